//! One line above the formula: its total, its share of water and oil, its pH, its HLB.

use super::Snapshot;
use super::figures;
use crate::model::acidity::{self, Why};
use crate::model::{Total, hlb, system};
use crate::rules::words;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lens {
    pub line: u32,
    pub title: String,
    /// What a click would show.
    pub about: LensAbout,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LensAbout {
    Total,
    Phases,
    Ph,
    Hlb,
}

pub fn lenses(s: &Snapshot) -> Vec<Lens> {
    let Some(f) = s.formula.as_ref().filter(|f| !f.rows.is_empty()) else {
        return Vec::new();
    };
    let line = f.heading_line;
    let total = match f
        .fields
        .batch
        .as_ref()
        .filter(|_| matches!(f.total, Total::Known(_)))
    {
        Some(batch) => format!(
            "{}, batch of {}",
            figures::total_words(f),
            figures::grams_words(batch.value)
        ),
        None => figures::total_words(f),
    };
    let mut out = vec![Lens {
        line,
        title: total,
        about: LensAbout::Total,
    }];
    if f.rows.iter().all(|r| r.percent.is_some()) {
        let short = |n: rust_decimal::Decimal| words::percent(n.round_dp(1));
        let (water, oil) = (f.water_percent, f.oil_percent);
        let unknown = if f.has_unknown { ", not all known" } else { "" };
        out.push(Lens {
            line,
            title: format!("water {}, oils {}{unknown}", short(water), short(oil)),
            about: LensAbout::Phases,
        });
    }
    if let Some(aim) = system::ph_aim(f) {
        let title = if aim.low == aim.high {
            format!("aims at pH {}", aim.low.normalize())
        } else {
            format!(
                "aims at pH {} to {}",
                aim.low.normalize(),
                aim.high.normalize()
            )
        };
        out.push(Lens {
            line,
            title,
            about: LensAbout::Ph,
        });
    }
    if f.rows.iter().all(|r| r.percent.is_some()) {
        let acidity = acidity::of(f, &s.kb);
        // Where it cannot be foretold the hover tells why.
        if let Some(p) = acidity.telling() {
            let before = if acidity.missing.iter().any(|m| m.why == Why::NoAmount) {
                " before it is adjusted"
            } else {
                ""
            };
            let title = format!(
                "pH about {}{before}, as reckoned",
                words::about(p.low, p.high, 1)
            );
            out.push(Lens {
                line,
                title,
                about: LensAbout::Ph,
            });
        }
        if let Ok(hlb) = hlb::balance(f, &s.kb) {
            let short = |n: rust_decimal::Decimal| words::number(n, 1);
            let title = format!(
                "HLB {}, the oils ask for {}",
                short(hlb.given.hlb),
                short(hlb.asked.hlb)
            );
            out.push(Lens {
                line,
                title,
                about: LensAbout::Hlb,
            });
        }
    }
    out
}
