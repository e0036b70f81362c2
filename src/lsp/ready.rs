//! Answers that are written by whoever has them: the service carries a number in their place, and no tree of JSON values is made of them.

use serde::Serialize;
use std::sync::{Mutex, PoisonError};
use tower_lsp::jsonrpc::{Error, Result};

/// Bytes that most answers need no more than.
const USUAL: usize = 4096;

/// Stands for an answer that is written already.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub struct Ready(u64);

/// The answer last written. It is taken in the same breath: nothing is awaited between.
#[derive(Default)]
pub struct Answers(Mutex<(u64, Vec<u8>)>);

impl Answers {
    pub fn write(&self, answer: &impl Serialize) -> Result<Ready> {
        let mut text = Vec::with_capacity(USUAL);
        serde_json::to_writer(&mut text, answer).map_err(|_| Error::internal_error())?;
        let mut last = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        *last = (last.0 + 1, text);
        Ok(Ready(last.0))
    }

    /// Returns none if a newer answer has replaced it.
    pub fn take(&self, ready: u64) -> Option<Vec<u8>> {
        let mut last = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        (last.0 == ready)
            .then(|| std::mem::take(&mut last.1))
            .filter(|text| !text.is_empty())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_answer_is_taken_once_and_by_its_own_number() {
        let answers = Answers::default();
        let first = answers.write(&"first").expect("written");
        let second = answers.write(&[2, 3]).expect("written");
        assert_eq!(answers.take(first.0), None);
        assert_eq!(answers.take(second.0).as_deref(), Some(&b"[2,3]"[..]));
        assert_eq!(answers.take(second.0), None);
    }
}
