//! The rows as they are weighed, phase by phase, with what has to be known at the scale.

use crate::chem::{decimal, float, rounding, weighing};
use crate::model::acidity::{self, Acidity};
use crate::model::composition::{bulk_density, measured_density};
use crate::model::dilution::{self, Carriers};
use crate::model::weights::Weights;
use crate::model::{Formula, Phase};
use crate::papers::FormulaContext;
use crate::rules::words::{self, Degrees};
use crate::syntax::tree::{Amount, Heat};
use rust_decimal::Decimal;
use serde::Serialize;

#[derive(Clone, Debug, Serialize)]
pub struct SheetRow {
    /// Its label; empty where a row stands in none.
    pub phase: String,
    pub ingredient: String,
    /// Of the whole, as it counts in the sum.
    pub percent: Decimal,
    pub grams: Decimal,
    /// Of a row that is added to a pH and says no amount: what the charge balance expects. It stands outside the sum.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub estimate_g: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// One vessel's rows.
#[derive(Clone, Debug, Serialize)]
pub struct SheetPart {
    /// Empty for rows outside of every phase.
    pub label: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// "at 75 °C, hold 20 min".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub treatment: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub into: Option<String>,
    pub grams: Decimal,
    /// Places in the list of rows.
    pub rows: Vec<usize>,
}

pub(super) fn rows(work: &FormulaContext, weights: &Weights) -> Vec<SheetRow> {
    let f = work.formula;
    let asks = |r: &crate::model::Row| {
        matches!(
            r.amount.value,
            Amount::Enough {
                ph: Some(_),
                about: None,
                ..
            }
        )
    };
    let acidity = f.rows.iter().any(asks).then(|| acidity::of(f, work.kb));
    f.rows
        .iter()
        .zip(&weights.rows)
        .enumerate()
        .map(|(n, (row, grams))| (n, row, grams, estimate(work, acidity.as_ref(), weights, n)))
        .map(|(n, row, grams, estimate_g)| SheetRow {
            phase: row
                .phase
                .map_or_else(String::new, |p| f.phases[p].label.to_string()),
            ingredient: row.name.value.to_string(),
            percent: row.percent.unwrap_or_default().round_dp(4).normalize(),
            grams: grams.unwrap_or_default(),
            note: note(work, weights, n, estimate_g),
            estimate_g,
        })
        .collect()
}

/// To the scale's step, and to two figures at most: it is no more than a hint of what to prepare.
fn estimate(
    work: &FormulaContext,
    acidity: Option<&Acidity>,
    weights: &Weights,
    n: usize,
) -> Option<f64> {
    let percent = acidity?
        .estimate_percent(&work.formula.rows[n], work.kb)?
        .ok()?;
    let grams = decimal(percent / 100.0 * float(weights.batch_g?), 6)?.round_sf(2)?;
    let shown = rounding::to_step(grams, weights.scale_g).ok()?;
    (!shown.is_zero()).then(|| float(shown))
}

fn note(
    work: &FormulaContext,
    weights: &Weights,
    n: usize,
    estimate_g: Option<f64>,
) -> Option<String> {
    let row = &work.formula.rows[n];
    let mut notes = Vec::new();
    match &row.amount.value {
        Amount::Enough { ph, about, at_most } => {
            notes.push(match ph {
                Some(ph) => format!(
                    "to pH {}: in portions, measuring in between",
                    ph.value.normalize()
                ),
                None => "as much as it takes, in portions".to_owned(),
            });
            match (about, estimate_g) {
                (Some(_), _) => {}
                (None, Some(g)) => notes.push(format!(
                    "perhaps {g} g, by the acids that are known; not in the sum"
                )),
                (None, None) => notes.push("amount not known before; not in the sum".to_owned()),
            }
            if let Some(most) = at_most {
                notes.push(format!(
                    "at most {} {}",
                    most.value.normalize(),
                    most.unit.symbol()
                ));
            }
        }
        Amount::Measured(m) if row.estimated => {
            let loose = bulk_density(work.kb, &row.material).is_some();
            let by = match measured_density(work.kb, &row.material) {
                Some(d) if loose => format!("as loose powder, {} g/mL", words::number(d, 3)),
                Some(d) => format!("by density {} g/mL", words::number(d, 3)),
                None => "its density is not known, counted as 1.00".to_owned(),
            };
            notes.push(format!(
                "written as {} {}; {by}",
                words::number(m.value, 3),
                m.unit.symbol()
            ));
        }
        Amount::Fill { .. } if row.estimated => {
            notes.push("filled up to a volume, by densities".to_owned())
        }
        _ => {}
    }
    notes.extend(too_little(work, weights, n));
    if row.file {
        notes.push("made earlier".to_owned());
    }
    (!notes.is_empty()).then(|| notes.join("; "))
}

/// Below what the scale shows well: how far off, and the dilution that would do, the sum unchanged.
fn too_little(work: &FormulaContext, weights: &Weights, n: usize) -> Option<String> {
    let row = &work.formula.rows[n];
    let exact = row
        .percent?
        .checked_mul(weights.batch_g?)?
        .checked_div(Decimal::ONE_HUNDRED)?;
    let step = weights.scale_g;
    let worst = work.kb.threshold("scale-share-hint").value.0;
    let share = weighing::readability_share(exact, step)
        .ok()
        .filter(|s| *s > worst)?;
    let off = match share > Decimal::ONE {
        true => format!(
            "{} g is less than one step of the scale",
            words::number(exact, 4)
        ),
        false => format!(
            "one step of the scale is {} % of it",
            words::number(share * Decimal::ONE_HUNDRED, 0)
        ),
    };
    let at_hand = |row: usize| weights.rows[row];
    let carriers = Carriers::of(work.formula, work.kb);
    let Some(d) = dilution::of(&carriers, n, exact, (step, worst), at_hand) else {
        return Some(format!("{off}: make more, or use a finer scale"));
    };
    let carrier = &work.formula.rows[d.carrier].name.value;
    // The row's own grams are in the sum already.
    let less = d.weigh_g - weights.rows[n].unwrap_or_default();
    Some(format!(
        "{off}: mix {} g of it with {} g of {carrier}, weigh in {} g of that, and leave out {less} g of the {carrier}",
        d.take_g, d.carrier_g, d.weigh_g
    ))
}

pub(super) fn parts(work: &FormulaContext, rows: &[SheetRow]) -> Vec<SheetPart> {
    let f = work.formula;
    let degrees = Degrees::of(work.tree);
    let sum = |of: &[usize]| of.iter().map(|n| rows[*n].grams).sum();
    let loose: Vec<usize> = (0..f.rows.len())
        .filter(|n| f.rows[*n].phase.is_none())
        .collect();
    let mut out = Vec::new();
    if !loose.is_empty() {
        out.push(SheetPart {
            label: String::new(),
            name: None,
            treatment: None,
            into: None,
            grams: sum(&loose),
            rows: loose,
        });
    }
    for phase in f.phases.iter().filter(|p| !p.rows.is_empty()) {
        out.push(SheetPart {
            label: phase.label.to_string(),
            name: phase.name.as_deref().map(str::to_owned),
            treatment: treatment(phase, degrees),
            into: phase.into.map(|p| f.phases[p].label.to_string()),
            grams: sum(&phase.rows),
            rows: phase.rows.clone(),
        });
    }
    out
}

/// "at 75 °C, hold 20 min".
pub(in crate::papers) fn treatment(phase: &Phase, degrees: Degrees) -> Option<String> {
    let mut words = Vec::new();
    words.extend(phase.heat.as_ref().map(|h| heat(h.value, degrees)));
    if phase.dry {
        words.push("dry".to_owned());
    }
    words.extend(
        phase
            .hold_minutes
            .map(|m| format!("hold {} min", m.normalize())),
    );
    (!words.is_empty()).then(|| words.join(", "))
}

fn heat(heat: Heat, degrees: Degrees) -> String {
    match heat {
        Heat::At(t) => format!("at {}", degrees.show(t.celsius)),
        Heat::Below(t) => format!("below {}", degrees.show(t.celsius)),
        Heat::Above(t) => format!("above {}", degrees.show(t.celsius)),
        Heat::Between(low, high) => format!(
            "between {} and {}",
            degrees.show(low.celsius),
            degrees.show(high.celsius)
        ),
        Heat::Room => "at room temperature".to_owned(),
    }
}

/// Whether a phase is heated, by its heading.
pub(super) fn is_hot(phase: &Phase, from: Decimal) -> bool {
    matches!(&phase.heat, Some(h) if matches!(h.value, Heat::At(t) | Heat::Above(t) | Heat::Between(_, t) if t.celsius > from))
}

/// The rows of a phase and of the premixes that go into it.
pub(super) fn with_premixes(f: &Formula, phase: usize) -> Vec<usize> {
    let mut rows = f.phases[phase].rows.clone();
    for p in f.phases.iter().filter(|p| p.into == Some(phase)) {
        rows.extend(&p.rows);
    }
    rows
}
