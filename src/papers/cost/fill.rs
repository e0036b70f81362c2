//! How much is made, how much of it reaches the containers, and how many containers that fills.

use super::{Cost, CostOptions};
use crate::chem::units::{Amount, Dimension};
use crate::model::Formula;
use crate::papers::CannotRender;
use rust_decimal::Decimal;
use serde::Serialize;

/// Containers of one content.
#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Container {
    /// "50 g".
    pub content: String,
    pub count: u32,
    /// Grams, or millilitres where all are filled by volume: what the cost is shared by. None where it cannot be.
    #[serde(skip)]
    pub size: Option<Decimal>,
}

pub struct Batch {
    /// What goes on the scale.
    pub made_g: Decimal,
    /// What is left of it to fill.
    pub net_g: Decimal,
    /// How many times what the file plans.
    times: Option<Decimal>,
}

/// What is wanted, and the extra for losses on top of it, as the weigh sheet has it.
pub fn batch(f: &Formula, wish: &CostOptions) -> Result<Batch, CannotRender> {
    let large = || {
        CannotRender::on(
            f.heading_line,
            "the batch has more digits than can be kept exactly",
        )
    };
    let losses = f
        .fields
        .losses_percent
        .as_ref()
        .map_or(Decimal::ZERO, |l| l.value);
    let planned = f.batch_g();
    let Some(net_g) = wish.batch_g.or(planned).or_else(|| filled(f)) else {
        return Err(CannotRender::on(
            f.heading_line,
            "no batch is named; add `batch: 250 g` to the formula, or ask with --batch 250g",
        ));
    };
    let made_g = net_g
        .checked_mul(Decimal::ONE_HUNDRED + losses)
        .and_then(|g| g.checked_div(Decimal::ONE_HUNDRED))
        .ok_or_else(large)?;
    // A whole batch is once what is planned; where nothing is, the containers stand as they are written.
    let times = planned
        .or_else(|| filled(f))
        .and_then(|p| net_g.checked_div(p));
    Ok(Batch {
        made_g,
        net_g,
        times,
    })
}

/// What the containers hold together, where all are filled by weight.
fn filled(f: &Formula) -> Option<Decimal> {
    let packs = &f.fields.fill.as_ref()?.value;
    let grams = packs.iter().try_fold(Decimal::ZERO, |sum, p| {
        sum.checked_add(
            Amount::new(p.each.value, p.each.unit)
                .grams(None)?
                .checked_mul(p.count.into())?,
        )
    });
    grams.filter(|g| *g > Decimal::ZERO)
}

/// Fills in the containers, and says where they do not fit the batch.
pub fn containers(f: &Formula, batch: &Batch, out: &mut Cost) {
    let Some(packs) = &f.fields.fill else { return };
    let volume = |p: &crate::syntax::tree::Pack| p.each.unit.dimension() == Dimension::Volume;
    let (by_volume, by_weight) = (
        packs.value.iter().any(volume),
        packs.value.iter().any(|p| !volume(p)),
    );
    for pack in &packs.value {
        let content = format!(
            "{} {}",
            pack.each.value.normalize(),
            pack.each.unit.symbol()
        );
        let amount = Amount::new(pack.each.value, pack.each.unit);
        let size = match (by_volume, by_weight) {
            (true, true) => None,
            (true, false) => amount.millilitres(),
            _ => amount.grams(None),
        };
        // A batch of another size fills another number of the same containers, the last of them whole.
        let scaled = batch.times.and_then(|t| t.checked_mul(pack.count.into()));
        // A third more, divided and multiplied again, may lack the last of 28 digits of a whole container.
        let count = scaled
            .map_or(Some(pack.count), |c| {
                u32::try_from(c.round_dp(12).floor()).ok()
            })
            .unwrap_or(0);
        let usable = pack.count > 0 && pack.each.value > Decimal::ZERO;
        if count == 0 || !usable {
            let why = if usable {
                "the batch is too small for one"
            } else {
                "the formula asks for none"
            };
            out.notes.push(format!("No container of {content}: {why}."));
            continue;
        }
        out.containers.push(Container {
            content,
            count,
            size: size.filter(|s| *s > Decimal::ZERO),
        });
    }
    if out.containers.is_empty() {
        return;
    }
    let total = out.containers.iter().try_fold(Decimal::ZERO, |sum, c| {
        sum.checked_add(c.size?.checked_mul(c.count.into())?)
    });
    let words = in_words(&out.containers);
    match (by_volume, by_weight, total) {
        (true, true, _) => {
            out.notes.push(format!(
                "{words}: by weight and by volume, so that the cost cannot be shared among them."
            ));
        }
        (true, false, _) => {
            out.notes.push(format!(
                "{words} are filled by volume; that the {} g fill them is not checked.",
                shown(batch.net_g)
            ));
        }
        (_, _, Some(needed)) if needed > batch.net_g => {
            out.notes.push(format!(
                "{words} take {} g, and {} g are there to fill: no cost of one is worked out.",
                shown(needed),
                shown(batch.net_g)
            ));
            out.containers.iter_mut().for_each(|c| c.size = None);
        }
        (_, _, Some(needed)) => {
            if needed < batch.net_g {
                out.notes.push(format!(
                    "{words} take {} g; the containers pay for the {} g that are over.",
                    shown(needed),
                    shown(batch.net_g - needed)
                ));
            }
            out.filled_g = needed.normalize();
        }
        (_, _, None) => {}
    }
}

/// "5 x 50 g, 1 x 200 g".
pub fn in_words(containers: &[Container]) -> String {
    containers
        .iter()
        .map(|c| format!("{} x {}", c.count, c.content))
        .collect::<Vec<_>>()
        .join(", ")
}

fn shown(grams: Decimal) -> Decimal {
    grams.round_dp(2).normalize()
}
