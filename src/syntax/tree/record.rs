//! What was done and what became of it: weighed rows, the log, jars, the ledger, complaints.

use super::{Measure, Temperature};
use crate::chem::date::Date;
use crate::text::{Span, Spanned};
use rust_decimal::Decimal;

/// `glycerin   12.51 g of 12.50 g   lot GLY-07`.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    pub name: Spanned<String>,
    pub file: bool,
    /// None: `?`, not weighed yet.
    pub actual: Option<Measure>,
    pub actual_span: Span,
    pub planned: Option<Measure>,
    pub lot: Option<Spanned<String>>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct LogLine {
    pub time: Option<Spanned<LogTime>>,
    pub events: Vec<Spanned<Event>>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LogTime {
    /// Minutes after midnight.
    Clock(u16),
    /// YYYY-MM-DD, with a clock time where one follows.
    Date(String, Option<u16>),
    /// `+1 d`.
    Day(u32),
}

#[derive(Clone, Debug, PartialEq)]
pub enum Event {
    /// `A 76 °C`, `48 °C`, `combined at 71 °C`.
    Temperature {
        vessel: Option<String>,
        at: Temperature,
        combined: bool,
    },
    /// `A 190.4 g`, `tare A 210 g`, `gross A 400.4 g`.
    Weight {
        vessel: Option<String>,
        weight: Measure,
        reading: WeightReading,
    },
    /// `add 4.3 g water to A`, `add C`, `add 1.50 g lactic acid 10 % lot LAC-03`;
    /// `add 0.12 g lactic acid 10 % to sample` is no part of the batch.
    Add {
        amount: Option<Measure>,
        what: String,
        into: Option<String>,
        lot: Option<Spanned<String>>,
    },
    /// `clean pot 2 with ethanol 70 % lot ETH-02`.
    Clean {
        what: String,
        with: String,
        lot: Spanned<String>,
    },
    /// `pH 5.6 (10 % in water, 22 °C, meter)`; of the sample: `sample pH 5.9`.
    Ph {
        value: Decimal,
        /// The upper end of `pH 5-5.5 (strip)`; the value is then the lower.
        upper: Option<Decimal>,
        how: Option<String>,
        sample: bool,
    },
    /// `sample 30 g`: taken out of the batch to be tried on.
    Sample(Measure),
    /// `yield 243.1 g`.
    Yield(Measure),
    /// Kept as text.
    Text(String),
}

impl Event {
    /// Whether it went into the sample, not into the batch.
    pub fn is_of_sample(&self) -> bool {
        match self {
            Event::Add {
                into: Some(into), ..
            } => {
                let into = into.trim();
                let name = into
                    .get(..4)
                    .filter(|the| the.eq_ignore_ascii_case("the "))
                    .map_or(into, |_| into[4..].trim());
                name.eq_ignore_ascii_case("sample")
            }
            Event::Ph { sample, .. } => *sample,
            Event::Sample(_) => true,
            _ => false,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WeightReading {
    Net,
    Tare,
    Gross,
}

/// `+28 d  40 °C, no separation`.
#[derive(Clone, Debug, PartialEq)]
pub struct Observation {
    pub time: Option<Spanned<LogTime>>,
    pub events: Vec<Spanned<Event>>,
}

/// `48 x 50 g, 2 kept, 1 spoilt`: how many of which pack; of these, how many are kept back or spoilt.
#[derive(Clone, Debug, PartialEq)]
pub struct Packs {
    pub count: Spanned<u32>,
    pub each: Measure,
    /// The pack as it is written: `50 g`.
    pub pack_span: Span,
    pub kept: u32,
    pub spoilt: u32,
}

/// `amber jar 50 mL  49 pieces of 50  lot JAR-03, 1 torn`.
#[derive(Clone, Debug, PartialEq)]
pub struct Packaging {
    /// Its weights are pieces.
    pub row: Weighed,
    /// Pieces among them that could not be used.
    pub spoilt: u32,
}

/// What happened to jars or to a lot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LedgerVerb {
    Sold,
    Back,
    Gave,
    ThrewAway,
    Used,
    Counted,
    Sampled,
    Moved,
}

/// `2026-03-28  sold 24 x 50 g HC-031 to a shop, invoice 2026-017`.
#[derive(Clone, Debug, PartialEq)]
pub struct LedgerLine {
    pub date: Spanned<Date>,
    pub verb: Spanned<LedgerVerb>,
    pub amount: LedgerAmount,
    /// Of a lot or of a batch.
    pub code: Spanned<String>,
    /// `to`, `from` or `at`, and whom or where.
    pub place: Option<(LedgerWay, Spanned<String>)>,
    /// What else stands behind a comma.
    pub note: Option<Spanned<String>>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LedgerWay {
    To,
    From,
    At,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LedgerAmount {
    Packs { count: u32, each: Measure },
    Measure(Measure),
}

/// `2026-05-02  order 1043, 50 g, rash on both hands, not serious`.
#[derive(Clone, Debug, PartialEq)]
pub struct Complaint {
    pub date: Spanned<Date>,
    pub words: Spanned<String>,
    /// `serious` or `not serious`; none where neither is said.
    pub serious: Option<bool>,
}
