//! What `trace` answers, as JSON has it.

use serde::Serialize;

#[derive(Serialize)]
pub(super) struct Answer {
    pub(super) version: u8,
    pub(super) code: String,
    pub(super) batches: Vec<BatchOut>,
    pub(super) lots: Vec<String>,
    pub(super) uncertain: Vec<UncertainOut>,
    pub(super) totals: Totals,
}

#[derive(Serialize)]
pub(super) struct BatchOut {
    pub(super) code: String,
    pub(super) formula: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) made: Option<String>,
    /// Lots from the one asked for to the one that went in.
    pub(super) path: Vec<String>,
    /// weighed, added or packaging.
    pub(super) how: &'static str,
    pub(super) packs: Vec<String>,
    pub(super) jars: i64,
    pub(super) sold: i64,
    pub(super) kept: i64,
    pub(super) spoilt: i64,
    pub(super) here: i64,
    pub(super) customers: Vec<Customer>,
}

#[derive(Serialize, Clone)]
pub(super) struct Customer {
    pub(super) name: String,
    pub(super) jars: i64,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) notes: Vec<String>,
}

#[derive(Serialize)]
pub(super) struct UncertainOut {
    pub(super) path: String,
    pub(super) line: u32,
    pub(super) message: String,
}

#[derive(Serialize, Default)]
pub(super) struct Totals {
    pub(super) batches: usize,
    pub(super) jars: i64,
    pub(super) sold: i64,
    pub(super) kept: i64,
    pub(super) spoilt: i64,
    pub(super) here: i64,
}

#[derive(Serialize)]
pub(super) struct BackAnswer {
    pub(super) version: u8,
    pub(super) code: String,
    pub(super) formula: String,
    pub(super) lots: Vec<BackOut>,
    pub(super) customers: Vec<Customer>,
}

#[derive(Serialize)]
pub(super) struct BackOut {
    pub(super) depth: usize,
    pub(super) lot: String,
    pub(super) of: String,
    pub(super) how: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) made_in: Option<String>,
    pub(super) on_a_shelf: bool,
}
