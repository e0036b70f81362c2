//! `cost BATCH`: what the materials of a batch cost, by the lots that were used.

use super::Status;
use super::files::{self, shown};
use super::out::{CliError, Terminal, eprintln_error};
use super::shop;
use rust_decimal::Decimal;
use serde::Serialize;
use std::path::Path;

#[derive(Serialize)]
struct Answer {
    version: u8,
    batches: Vec<BatchOut>,
}

#[derive(Serialize)]
struct BatchOut {
    code: String,
    /// Exact, as far as 28 digits go; absent where it cannot be known.
    #[serde(skip_serializing_if = "Option::is_none")]
    materials: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    packaging: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    currency: Option<String>,
    /// Materials of 100 g of what came out.
    #[serde(skip_serializing_if = "Option::is_none")]
    per_100g: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<String>,
}

pub fn run(batch: &Path, json: bool, out: &mut Terminal) -> Result<Status, CliError> {
    let opened = shop::open(batch);
    let path = files::tidy(batch);
    let facts = opened
        .shop
        .facts(&path)
        .ok_or_else(|| CliError::said(format!("{}: there is no batch in it", shown(&path))))?;
    let mut answer = Answer {
        version: 1,
        batches: Vec::new(),
    };
    let mut text = String::new();
    let mut status = Status::Clean;
    for record in &facts.records {
        let code = record.code().to_owned();
        match opened.shop.cost(record, &opened.workspace.kb) {
            Ok(cost) => {
                let currency = cost.materials.currency.clone();
                let per_100g = record.size_g().and_then(|g| {
                    let all = cost.materials.amount.checked_mul(Decimal::ONE_HUNDRED)?;
                    all.checked_div(g)
                });
                let money = |amount: Decimal| format!("{:.2} {currency}", amount.round_dp(2));
                text.push_str(&format!(
                    "{code}  materials {}",
                    money(cost.materials.amount)
                ));
                if let Some(packaging) = &cost.packaging {
                    text.push_str(&format!(", jars and labels {}", money(packaging.amount)));
                }
                if let Some(each) = per_100g {
                    text.push_str(&format!("; 100 g: {} of materials", money(each)));
                }
                text.push_str("; lots as used\n");
                answer.batches.push(BatchOut {
                    code,
                    materials: Some(cost.materials.amount.normalize().to_string()),
                    packaging: cost.packaging.map(|p| p.amount.normalize().to_string()),
                    currency: Some(currency),
                    per_100g: per_100g.map(|p| p.normalize().to_string()),
                    error: None,
                });
            }
            Err(e) => {
                let message = format!("{}:{}: {}", shown(&e.path), e.line + 1, e.message);
                eprintln_error(&message);
                status = Status::Failed;
                answer.batches.push(BatchOut {
                    code,
                    materials: None,
                    packaging: None,
                    currency: None,
                    per_100g: None,
                    error: Some(message),
                });
            }
        }
    }
    if json {
        out.json(&answer)?;
    } else {
        out.write(&text)?;
    }
    Ok(if opened.unread {
        Status::Failed
    } else {
        status
    })
}
