//! The net content in the units of the market, from what `fill:` says. A converted figure is never rounded up: it may not
//! say more than is inside (NIST Handbook 130, Uniform Packaging and Labeling Regulation, on rounding).
//! European Union and United Kingdom: Article 19(1)(b), metric. Canada: Consumer Packaging and Labelling Regulations,
//! s. 21, 25 and 27: millilitres and grams, litres and kilograms from 1 000 on, three figures. United States: 21 CFR 701.13
//! and 15 USC 1453: customary and metric units; fluid measure for what is liquid, weight for what is not.

use crate::chem::units::{Amount, Dimension, Unit, grams_in, millilitres_in};
use crate::kb::Market;
use crate::model::Formula;
use rust_decimal::{Decimal, RoundingStrategy};

pub struct Net {
    pub lines: Vec<String>,
    pub notes: Vec<String>,
}

pub fn net(market: Market, f: &Formula) -> Net {
    let mut out = Net {
        lines: Vec::new(),
        notes: Vec::new(),
    };
    let Some(fill) = &f.fields.fill else {
        out.notes.push(
            "the net content is not known; add it to the formula, as in \"fill: 10 x 50 g\"".into(),
        );
        return out;
    };
    for pack in &fill.value {
        let each = Amount::new(pack.each.value, pack.each.unit);
        let line = match market {
            Market::UnitedStates => american(each),
            Market::Canada => metric(each).map(|m| format!("Net content / Contenu net: {m}")),
            _ => metric(each).map(|m| format!("Net content: {m}")),
        };
        match line {
            Some(line) if !out.lines.contains(&line) => out.lines.push(line),
            Some(_) => {}
            None => out.notes.push(format!(
                "\"{each}\" under fill is no net content: write a weight or a volume"
            )),
        }
        if let Some(note) = note(market, each, f)
            && !out.notes.contains(&note)
        {
            out.notes.push(note);
        }
    }
    out
}

/// What the market asks about weight or volume, small packs and the mark of the average fill.
fn note(market: Market, each: Amount, f: &Formula) -> Option<String> {
    let by_weight = each.unit.dimension() == Dimension::Mass;
    let solid = ["bar", "stick", "balm", "powder", "pressed-powder", "paste"]
        .iter()
        .any(|w| f.product.has(w));
    let liquid = ["liquid", "lotion", "pump-spray", "foam"]
        .iter()
        .any(|w| f.product.has(w));
    match market {
        Market::EuropeanUnion | Market::UnitedKingdom if size(each).is_some_and(|s| s < Decimal::from(5)) => {
            Some("below 5 g or 5 mL the net content need not be printed (Article 19(1)(b))".into())
        }
        Market::EuropeanUnion | Market::UnitedKingdom => Some("the e-mark is not printed by itself: it promises that the packs were filled and checked by the average system".into()),
        Market::Canada if by_weight && !solid => {
            Some("Canada: by volume where the product is liquid or viscous, by weight where it is solid, unless the trade is used to another way (Consumer Packaging and Labelling Regulations, s. 21)".into())
        }
        Market::UnitedStates if liquid && by_weight || solid && !by_weight => {
            let should = if liquid { "a liquid is declared in fluid measure" } else { "what is solid, semisolid or viscous is declared by weight" };
            Some(format!("United States: {should}, unless consumers are used to another way (21 CFR 701.13(a))"))
        }
        _ => None,
    }
}

/// Grams or millilitres.
fn size(each: Amount) -> Option<Decimal> {
    match each.unit.dimension() {
        Dimension::Mass => each.grams(None),
        Dimension::Volume => each.millilitres(),
        Dimension::Share | Dimension::Ratio | Dimension::Count => None,
    }
}

/// "50 g", "1.5 L"; a converted figure to three figures, down.
fn metric(each: Amount) -> Option<String> {
    let size = size(each)?;
    let small = size < Decimal::ONE_THOUSAND;
    let (value, unit) = match (each.unit.dimension(), small) {
        (Dimension::Mass, true) => (size, "g"),
        (Dimension::Mass, false) => (size / Decimal::ONE_THOUSAND, "kg"),
        (_, true) => (size, "mL"),
        (_, false) => (size / Decimal::ONE_THOUSAND, "L"),
    };
    let written = matches!(
        each.unit,
        Unit::Gram | Unit::Kilogram | Unit::Milligram | Unit::Millilitre | Unit::Litre
    );
    let value = if written {
        value
    } else {
        value.round_sf_with_strategy(3, RoundingStrategy::ToZero)?
    };
    Some(format!("{} {unit}", value.normalize()))
}

/// "Net Wt. 1.76 oz (50 g)", "1.69 fl oz (50 mL)"; pounds, pints, quarts and gallons once there is a whole one.
fn american(each: Amount) -> Option<String> {
    let metric = metric(each)?;
    let customary = match each.unit.dimension() {
        Dimension::Mass => {
            let ounces = if each.unit == Unit::Ounce {
                each.value
            } else {
                grams_in(each.grams(None)?, Unit::Ounce)?
            };
            format!("Net Wt. {}", in_wholes(ounces, &[("lb", 16)], "oz"))
        }
        _ => {
            let ounces = if each.unit == Unit::FluidOunce {
                each.value
            } else {
                millilitres_in(each.millilitres()?, Unit::FluidOunce)?
            };
            in_wholes(ounces, &[("gal", 128), ("qt", 32), ("pt", 16)], "fl oz")
        }
    };
    Some(format!("{customary} ({metric})"))
}

/// The largest wholes first, what is left in ounces with two digits at the most, never rounded up.
fn in_wholes(ounces: Decimal, wholes: &[(&str, u32)], rest: &str) -> String {
    let mut left = ounces;
    let mut out: Vec<String> = Vec::new();
    for (unit, size) in wholes {
        let count = (left / Decimal::from(*size)).floor();
        if !count.is_zero() {
            left -= count * Decimal::from(*size);
            out.push(format!("{} {unit}", count.normalize()));
        }
    }
    let left = left
        .round_sf_with_strategy(3, RoundingStrategy::ToZero)
        .unwrap_or(left)
        .round_dp_with_strategy(2, RoundingStrategy::ToZero);
    if !left.is_zero() || out.is_empty() {
        out.push(format!("{} {rest}", left.normalize()));
    }
    out.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn us(value: &str, unit: Unit) -> String {
        american(Amount::new(value.parse().unwrap(), unit)).unwrap()
    }

    // Factors: NIST Handbook 44, Appendix C: 1 oz = 28.349 523 125 g, 1 fl oz = 29.573 529 562 5 mL.
    #[test]
    fn both_systems_and_never_more_than_is_inside() {
        // 50 / 28.349523125 = 1.7637; 50 / 29.5735295625 = 1.6907; 30 / 29.57... = 1.0144; 100 / 29.57... = 3.3814.
        assert_eq!(us("50", Unit::Gram), "Net Wt. 1.76 oz (50 g)");
        assert_eq!(us("50", Unit::Millilitre), "1.69 fl oz (50 mL)");
        assert_eq!(us("30", Unit::Millilitre), "1.01 fl oz (30 mL)");
        assert_eq!(us("100", Unit::Millilitre), "3.38 fl oz (100 mL)");
        // 1.75 x 28.349523125 = 49.6117; 4 x 29.5735295625 = 118.294.
        assert_eq!(us("1.75", Unit::Ounce), "Net Wt. 1.75 oz (49.6 g)");
        assert_eq!(us("4", Unit::FluidOunce), "4 fl oz (118 mL)");
    }

    #[test]
    fn wholes_come_first() {
        // 500 g = 17.637 oz = 1 lb and 1.637 oz; 500 mL = 16.907 fl oz = 1 pt and 0.907; 1 L = 33.814 fl oz = 1 qt and 1.814.
        assert_eq!(us("500", Unit::Gram), "Net Wt. 1 lb 1.63 oz (500 g)");
        assert_eq!(us("500", Unit::Millilitre), "1 pt 0.9 fl oz (500 mL)");
        assert_eq!(us("1", Unit::Litre), "1 qt 1.81 fl oz (1 L)");
        assert_eq!(us("1", Unit::Pound), "Net Wt. 1 lb (453 g)");
    }

    #[test]
    fn metric_units_change_at_a_thousand() {
        let m = |v: &str, u| metric(Amount::new(v.parse().unwrap(), u)).unwrap();
        assert_eq!(m("999", Unit::Gram), "999 g");
        assert_eq!(m("1000", Unit::Gram), "1 kg");
        assert_eq!(m("1500", Unit::Millilitre), "1.5 L");
        assert_eq!(m("3", Unit::Ounce), "85 g");
        assert!(metric(Amount::new(Decimal::ONE, Unit::Percent)).is_none());
    }
}
