//! From the bytes of the packed base to what they hold.

use kb_format::pack::Bytes;
use serde::Deserialize;
use std::sync::OnceLock;

pub fn decode<T: Deserialize<'static>>(bytes: Bytes<'static>) -> T {
    postcard::from_bytes(bytes).expect("the build packed this")
}

/// Things of one kind, decoded one by one. Boxed, because most are never asked for.
pub struct DecodedRows<T>(Box<[OnceLock<Box<T>>]>);

impl<T: Deserialize<'static>> DecodedRows<T> {
    pub fn new(len: usize) -> DecodedRows<T> {
        DecodedRows((0..len).map(|_| OnceLock::new()).collect())
    }

    pub fn get(&self, n: usize, bytes: &[Bytes<'static>]) -> &T {
        self.0[n].get_or_init(|| Box::new(decode(bytes[n])))
    }
}
