//! A hash for look-ups by text in tables of our own: plain and quick. They are filled by the build, or hold so few rows that nothing
//! has to be guarded against names chosen to collide.

use std::hash::{BuildHasherDefault, Hasher};

pub type Plain = BuildHasherDefault<Fnv>;

/// After FNV-1a, eight bytes at a time.
pub struct Fnv(u64);

impl Default for Fnv {
    fn default() -> Self {
        Fnv(0xcbf2_9ce4_8422_2325)
    }
}

impl Fnv {
    fn take(&mut self, word: u64) {
        self.0 = (self.0 ^ word).wrapping_mul(0x0100_0000_01b3);
        // Without this the high bits of a word would never reach the low ones of the hash.
        self.0 ^= self.0 >> 29;
    }
}

impl Hasher for Fnv {
    fn write(&mut self, bytes: &[u8]) {
        let (words, rest) = bytes.as_chunks::<8>();
        for word in words {
            self.take(u64::from_le_bytes(*word));
        }
        match bytes.last_chunk::<8>() {
            _ if rest.is_empty() => {}
            // What is left over, with bytes before it that were taken already: one step instead of one for each byte.
            Some(last) => self.take(u64::from_le_bytes(*last)),
            None => self.take(
                rest.iter()
                    .fold(rest.len() as u64, |all, byte| all << 8 | u64::from(*byte)),
            ),
        }
    }

    fn write_u8(&mut self, n: u8) {
        self.take(u64::from(n));
    }

    fn write_u16(&mut self, n: u16) {
        self.take(u64::from(n));
    }

    fn write_u32(&mut self, n: u32) {
        self.take(u64::from(n));
    }

    fn write_usize(&mut self, n: usize) {
        self.take(n as u64);
    }

    fn finish(&self) -> u64 {
        self.0.wrapping_mul(0x9e37_79b9_7f4a_7c15)
    }
}
