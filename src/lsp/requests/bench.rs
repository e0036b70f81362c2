//! `phasewright/bench`: a batch record as the page shows it at the bench. A request of our own, with a document's address as its parameters.

use super::super::convert;
use super::super::loader::Loader;
use super::super::state::Server;
use super::with_snapshot;
use crate::ide::bench::{self, Bench, Cool};
use serde_json::{Value, json};
use tower_lsp::gen_lsp_types::DocumentLinkParams;
use tower_lsp::jsonrpc::Result;

pub async fn bench(server: &Server, p: DocumentLinkParams) -> Result<Option<Value>> {
    let loader = Loader::new(server.state.clone());
    let answer = with_snapshot(server, &p.text_document.uri, |s, to, _| {
        let bench = bench::bench(s, &loader)?;
        let rows: Vec<Value> = bench
            .rows
            .iter()
            .map(|row| {
                json!({
                    "name": row.name,
                    "planned": row.planned.map(|g| g.to_string()),
                    "weighed": row.weighed.map(|g| g.to_string()),
                    "lot": row.lot,
                    "range": to.range(row.place),
                })
            })
            .collect();
        Some(answer(&bench, rows))
    });
    Ok(answer.await)
}

fn answer(bench: &Bench, rows: Vec<Value>) -> Value {
    json!({
        "code": bench.code,
        "formula": bench.formula.as_deref().and_then(convert::uri_of),
        "rows": rows,
        "logEnd": bench.log_end,
        "cool": bench.cool.as_ref().map(cool),
        "hasPh": bench.has_ph,
    })
}

/// Times are minutes after midnight.
fn cool(cool: &Cool) -> Value {
    let (celsius, phase) = (cool.celsius.normalize().to_string(), &cool.phase);
    match &cool.when {
        Ok(time) => json!({
            "celsius": celsius,
            "phase": phase,
            "minutes": time.minutes,
            "earliest": time.earliest,
            "latest": time.latest,
        }),
        Err(why) => json!({ "celsius": celsius, "phase": phase, "unknown": why }),
    }
}
