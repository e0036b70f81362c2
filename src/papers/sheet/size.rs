//! How much to make: what was asked for, what the file says, or what its containers hold.

use super::SheetOptions;
use crate::chem::rounding;
use crate::chem::units::{Amount, Dimension, Unit};
use crate::model::volume;
use crate::papers::{CannotRender, FormulaContext};
use crate::rules::words;
use crate::syntax::tree::Pack;
use rust_decimal::Decimal;
use serde::Serialize;

/// Containers of one kind.
#[derive(Clone, Debug, Serialize)]
pub struct Container {
    pub count: u32,
    /// As written: "50 mL".
    pub each: String,
    pub grams_each: Decimal,
    /// A volume went through a density.
    pub estimated: bool,
    /// Written in grams or a multiple of them.
    #[serde(skip)]
    pub metric: bool,
}

/// How much, and why so much.
#[derive(Clone, Debug, Serialize)]
pub struct Size {
    /// The weight or volume that is to come out.
    pub wanted_g: Decimal,
    /// What stays in the beaker, on top of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub extra_percent: Option<Decimal>,
    pub containers: Vec<Container>,
    /// What the containers hold together.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub filled_g: Option<Decimal>,
    /// Where volumes are filled.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub density: Option<DensityUsed>,
    /// Digits behind the point that the scale shows.
    #[serde(skip)]
    pub scale_digits: u32,
}

#[derive(Clone, Debug, Serialize)]
pub struct DensityUsed {
    pub g_per_ml: Decimal,
    /// Worked out from the ingredients, volumes taken as additive; else it was given.
    pub estimated: bool,
    /// Ingredients that were counted as 1.00 g/mL.
    pub unknown: Vec<String>,
}

/// No formula is filled into more.
const MOST_CONTAINERS: u32 = 100_000;

pub(super) fn size(
    work: &FormulaContext,
    wish: &SheetOptions,
    scale_g: Decimal,
) -> Result<Size, CannotRender> {
    let f = work.formula;
    let packs: &[Pack] = match (&wish.fill, &f.fields.fill) {
        (Some(asked), _) => asked,
        (None, Some(said)) => &said.value,
        (None, None) => &[],
    };
    let line = f
        .fields
        .fill
        .as_ref()
        .filter(|_| wish.fill.is_none())
        .map_or(f.heading_line, |s| s.line);
    let density = if packs
        .iter()
        .any(|p| p.each.unit.dimension() == Dimension::Volume)
    {
        Some(density(work, wish)?)
    } else {
        None
    };
    let mut containers = Vec::new();
    let mut filled = Decimal::ZERO;
    for pack in packs {
        if pack.count > MOST_CONTAINERS {
            return Err(CannotRender::on(
                line,
                format!(
                    "{} containers are more than this sheet plans for; name fewer",
                    pack.count
                ),
            ));
        }
        let grams = Amount::new(pack.each.value, pack.each.unit)
            .grams(density.as_ref().map(|d| d.g_per_ml));
        let all = grams.and_then(|g| filled.checked_add(g.checked_mul(pack.count.into())?));
        let (Some(grams), Some(all)) = (grams, all) else {
            return Err(CannotRender::on(
                line,
                "a container is filled by weight or volume, such as 5 x 50 g or 12 x 50 mL",
            ));
        };
        filled = all;
        containers.push(Container {
            count: pack.count,
            each: Amount::new(pack.each.value.normalize(), pack.each.unit).to_string(),
            grams_each: rounding::to_step(grams, scale_g)
                .map_err(|e| CannotRender::on(line, e.reason()))?,
            estimated: pack.each.unit.dimension() == Dimension::Volume,
            metric: !matches!(pack.each.unit, Unit::Ounce | Unit::Pound),
        });
    }
    let filled_g = (!packs.is_empty()).then_some(filled);
    // What is asked for now goes before what the file says.
    let by_fill = wish.fill.as_ref().and(filled_g);
    let Some(wanted_g) = wish
        .batch_g
        .or(by_fill)
        .or_else(|| f.batch_g())
        .or(filled_g)
    else {
        return Err(CannotRender::on(
            f.heading_line,
            "how much is to be made? Add `batch: 250 g` or `fill: 5 x 50 g` to the formula, or ask with --batch 250g",
        ));
    };
    Ok(Size {
        wanted_g,
        extra_percent: f.fields.losses_percent.as_ref().map(|l| l.value),
        containers,
        filled_g,
        density,
        scale_digits: scale_g.normalize().scale(),
    })
}

fn density(work: &FormulaContext, wish: &SheetOptions) -> Result<DensityUsed, CannotRender> {
    if let Some(g_per_ml) = wish.density_g_ml {
        return Ok(DensityUsed {
            g_per_ml,
            estimated: false,
            unknown: Vec::new(),
        });
    }
    let estimate = volume::density(work.formula, work.kb);
    let estimate = estimate
        .ok_or_else(|| CannotRender::new("volumes are filled by weight, and the density is not known; give it with --density 0.98"))?;
    let unknown = estimate
        .unknown
        .iter()
        .map(|n| work.formula.rows[*n].name.value.to_string())
        .collect();
    Ok(DensityUsed {
        g_per_ml: estimate.g_per_ml.round_dp(4),
        estimated: true,
        unknown,
    })
}

impl Size {
    /// What goes on the scale: what is wanted, and what stays behind on top of it.
    pub fn to_weigh(&self) -> Option<Decimal> {
        let extra = self.extra_percent.unwrap_or_default();
        self.wanted_g
            .checked_mul(Decimal::ONE_HUNDRED.checked_add(extra)?)?
            .checked_div(Decimal::ONE_HUNDRED)
    }

    /// In words, a line each.
    pub fn words(&self) -> Vec<String> {
        let mut out = Vec::new();
        let grams = |g: Decimal| format!("{} g", words::number(g, self.scale_digits));
        match self.extra_percent.filter(|e| !e.is_zero()) {
            Some(extra) => out.push(format!(
                "{} wanted, {} % on top for what stays behind",
                grams(self.wanted_g),
                extra.normalize()
            )),
            None => out.push(format!("{} wanted", grams(self.wanted_g))),
        }
        for c in &self.containers {
            let weight = if c.estimated {
                format!(": {} each by density", grams(c.grams_each))
            } else if c.metric {
                String::new()
            } else {
                format!(" ({})", grams(c.grams_each))
            };
            out.push(format!("{} x {}{weight}", c.count, c.each));
        }
        if let Some(left) = self
            .filled_g
            .and_then(|g| self.wanted_g.checked_sub(g))
            .filter(|l| !l.is_zero())
        {
            out.push(match left > Decimal::ZERO {
                true => format!("{} stay over when the containers are full", grams(left)),
                false => format!("{} are missing to fill the containers", grams(-left)),
            });
        }
        if let Some(d) = &self.density {
            let how = match (d.estimated, d.unknown.is_empty()) {
                (false, _) => "as given".to_owned(),
                (true, true) => {
                    "estimated from the ingredients: weigh a full container first".to_owned()
                }
                (true, false) => format!(
                    "estimated, with 1.00 for {}: weigh a full container first",
                    words::list(&d.unknown)
                ),
            };
            out.push(format!(
                "density {} g/mL, {how}",
                words::number(d.g_per_ml, 3)
            ));
        }
        out
    }
}
