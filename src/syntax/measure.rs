//! A number with its unit, and what to say where one of the two is missing or not known.

use super::grammar::{Rule, part_of};
use super::number;
use super::scan::Part;
use super::tree::{ErrorCode, LineFix, Measure, SyntaxError};
use crate::chem::units::{Dimension, Unit};
use crate::text::Span;
use pest::iterators::Pair;
use rust_decimal::Decimal;

/// A figure, or two where a range is written, with the unit behind.
pub struct Figures<'a> {
    pub first: (Pair<'a, Rule>, Part<'a>),
    pub last: Option<(Pair<'a, Rule>, Part<'a>)>,
    /// From the first figure to the last.
    pub whole: Part<'a>,
    pub unit: Option<Part<'a>>,
}

impl<'a> Figures<'a> {
    /// From the children of a pair that holds `(range | figure) ~ unit?`.
    pub fn of(
        children: impl Iterator<Item = Pair<'a, Rule>>,
        base: Part<'a>,
    ) -> Option<Figures<'a>> {
        let mut found: Option<Figures<'a>> = None;
        for child in children {
            let part = part_of(&child, base);
            match child.as_rule() {
                Rule::range_end => {
                    if let (Some(f), Some(last)) = (
                        &mut found,
                        child.into_inner().find(|c| number::is_figure(c.as_rule())),
                    ) {
                        let last_part = part_of(&last, base);
                        f.whole = Part::new(
                            &base.text[f.whole.at - base.at..part.at + part.text.len() - base.at],
                            f.whole.at,
                        );
                        f.last = Some((last, last_part));
                    }
                }
                rule if number::is_figure(rule) => {
                    found = Some(Figures {
                        first: (child, part),
                        last: None,
                        whole: part,
                        unit: None,
                    })
                }
                Rule::unit | Rule::dose_unit => {
                    if let Some(f) = &mut found {
                        f.unit = Some(part);
                    }
                }
                _ => {}
            }
        }
        found
    }

    /// The one exact value, or what is wrong with the number.
    pub fn value(&self) -> Result<Decimal, Box<SyntaxError>> {
        match &self.last {
            Some(last) => Err(self.range_fault(last.1)),
            None => number::value(&self.first.0, self.first.1),
        }
    }

    /// A fraction of a spoon, a cup or another volume, of an ounce or a pound: "1/2 tsp", "1 1/2 cups". A third of a spoon is an
    /// estimate like any spoon; a weight has to end.
    fn of_a_kitchen_measure(&self) -> Option<Decimal> {
        let unit = unit(self.unit?.text)?;
        let volume = unit.dimension() == Dimension::Volume;
        if self.last.is_some() || !(volume || matches!(unit, Unit::Ounce | Unit::Pound)) {
            return None;
        }
        number::fraction_of(self.first.0.as_rule(), self.first.1.text, volume)
    }

    fn range_fault(&self, last: Part<'_>) -> Box<SyntaxError> {
        let fix = |text: &str| LineFix {
            title: format!("Change to {text}"),
            span: self.whole.span(),
            text: text.to_string(),
        };
        syntax(
            self.whole.span(),
            format!(
                "\"{}\" is a range, and an amount is one number\nWrite the one that you weigh",
                self.whole.text
            ),
            vec![fix(self.first.1.text), fix(last.text)],
        )
    }

    /// The measure, where number and unit can both be read. Pieces are none: they are counted.
    pub fn measure(&self) -> Result<Measure, Box<SyntaxError>> {
        let measure = self.measure_or_count()?;
        if measure.unit == Unit::Piece {
            let message =
                "pieces are of jars and labels, and what goes into a product is weighed\nWrite the grams"
                    .to_owned();
            return Err(syntax(measure.unit_span, message, vec![]));
        }
        Ok(measure)
    }

    /// The same, and pieces too.
    pub fn measure_or_count(&self) -> Result<Measure, Box<SyntaxError>> {
        let value = match self.of_a_kitchen_measure() {
            Some(value) => value,
            None => self.value()?,
        };
        if value < Decimal::ZERO {
            return Err(below_nothing(self.whole));
        }
        let Some(unit_part) = self.unit else {
            return Err(unit_missing(self.whole));
        };
        match unit(unit_part.text) {
            Some(unit) => Ok(Measure {
                value,
                unit,
                value_span: self.whole.span(),
                unit_span: unit_part.span(),
            }),
            None => Err(unknown_unit(self.whole, unit_part, value)),
        }
    }
}

fn below_nothing(number: Part<'_>) -> Box<SyntaxError> {
    let positive = number.text.trim_start_matches(['-', '\u{2212}']);
    syntax(
        number.span(),
        format!(
            "\"{}\" is less than nothing\nWrite what goes in, or put # before the line",
            number.text
        ),
        vec![LineFix {
            title: format!("Change to {positive}"),
            span: number.span(),
            text: positive.to_owned(),
        }],
    )
}

pub fn syntax(span: Span, message: String, fixes: Vec<LineFix>) -> Box<SyntaxError> {
    Box::new(SyntaxError::new(ErrorCode::Syntax, span, &message, fixes))
}

/// The unit that `text` spells; a point behind an abbreviation is no part of it.
pub fn unit(text: &str) -> Option<Unit> {
    match text {
        "%" | "\u{FF05}" => Some(Unit::Percent),
        "g" => Some(Unit::Gram),
        _ if text.starts_with(['%', '\u{FF05}']) => {
            let rest = text
                .trim_start_matches(['%', '\u{FF05}'])
                .trim_start_matches(super::scan::is_blank);
            super::scan::same(rest, "w/w").then_some(Unit::Percent)
        }
        _ => Unit::parse(text).or_else(|| Unit::parse(text.strip_suffix('.')?)),
    }
}

fn unit_missing(number: Part<'_>) -> Box<SyntaxError> {
    let end = Span::new(number.span().range().end, number.span().range().end);
    let fix = |unit: &str| LineFix {
        title: format!("Change to {} {unit}", number.text),
        span: end,
        text: format!(" {unit}"),
    };
    syntax(
        number.span(),
        format!("\"{0}\" has no unit\nWrite {0} % or {0} g", number.text),
        vec![fix("%"), fix("g")],
    )
}

/// Units that makers write and that are not read, with the way out.
enum Way {
    /// Another spelling of a unit that is read.
    Spelling(&'static str),
    /// So many of a unit that is read.
    Times(Decimal, &'static str),
    /// Cannot be weighed out.
    Weigh,
    /// Percent, but not by weight.
    ByWeight,
}

fn way(unit: &str) -> Option<Way> {
    let lower = unit.to_lowercase();
    let lower = lower.trim_end_matches('.');
    Some(match lower {
        "gr" | "gm" | "gms" | "grs" | "gramm" | "gramme" | "grammes" => Way::Spelling("g"),
        "kilo" | "kilos" | "kgs" => Way::Spelling("kg"),
        "cc" | "mls" | "ccm" | "cm3" | "cm³" => Way::Spelling("mL"),
        "ltr" | "lt" => Way::Spelling("L"),
        "pct" | "prozent" | "pc" | "wt%" | "w%" | "wt.%" | "gew%" | "percents" => {
            Way::Spelling("%")
        }
        "ozs" => Way::Spelling("oz"),
        "pts" | "pt" => Way::Spelling("parts"),
        "ppm" => Way::Times(Decimal::new(1, 4), "%"),
        "ppb" => Way::Times(Decimal::new(1, 7), "%"),
        "mcg" | "ug" | "µg" | "μg" => Way::Times(Decimal::new(1, 3), "mg"),
        "cl" => Way::Times(Decimal::TEN, "mL"),
        "dl" => Way::Times(Decimal::ONE_HUNDRED, "mL"),
        "cup" | "cups" | "tbsp" | "tbsps" | "tbs" | "tablespoon" | "tablespoons" | "pinch"
        | "pinches" | "dash" | "dashes" | "scoop" | "scoops" | "spoon" | "spoons" | "handful"
        | "ts" => Way::Weigh,
        _ if lower.starts_with('%') => Way::ByWeight,
        _ => return None,
    })
}

/// True of a word that stands where a unit belongs and is no word of a name: one that is known to be a unit
/// elsewhere, or two small letters at most.
pub fn looks_like_unit(word: &str) -> bool {
    way(word).is_some() || word.chars().count() <= 2 && word.chars().all(char::is_lowercase)
}

fn unknown_unit(number: Part<'_>, unit: Part<'_>, value: Decimal) -> Box<SyntaxError> {
    let span = unit.span();
    let whole = number.span().cover(span);
    let replace = |text: String, span: Span| LineFix {
        title: format!("Change to {text}"),
        span,
        text,
    };
    let (message, fixes) = match way(unit.text) {
        Some(Way::Spelling(known)) => (
            format!(
                "\"{}\" is not how the unit is written\nWrite {known}",
                unit.text
            ),
            vec![replace(known.to_string(), span)],
        ),
        Some(Way::Times(factor, known)) => match value.checked_mul(factor) {
            Some(v) => {
                let text = format!("{} {known}", v.normalize());
                (
                    format!(
                        "the unit \"{}\" is not read: {} {} is {text}\nWrite {text}",
                        unit.text, number.text, unit.text
                    ),
                    vec![replace(text, whole)],
                )
            }
            None => (units_known(unit.text), vec![]),
        },
        Some(Way::Weigh) => (
            format!(
                "\"{}\" cannot be weighed out\nPut it on the scale once and write the grams",
                unit.text
            ),
            vec![],
        ),
        Some(Way::ByWeight) => (
            format!(
                "\"{}\" is not what a row takes: its percentage is by weight of the whole\nWrite % or the weight",
                unit.text
            ),
            vec![],
        ),
        None => (units_known(unit.text), vec![]),
    };
    Box::new(SyntaxError::new(
        ErrorCode::UnknownUnit,
        span,
        &message,
        fixes,
    ))
}

fn units_known(unit: &str) -> String {
    format!(
        "\"{unit}\" is not a unit\nUnits are %, g, mg, kg, oz, lb, mL, L, fl oz, tsp, tbsp, cup, drops and parts"
    )
}
