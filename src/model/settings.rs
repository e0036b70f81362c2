//! `phasewright.toml`: markets, scale, room, severities, the pattern of batch codes, what a workshop keeps written.

use crate::chem::date::Date;
use crate::kb::Market;
use crate::kb::number::Number;
use rust_decimal::Decimal;
use serde::Deserialize;
use std::collections::BTreeMap;

/// The name of the file.
pub const FILE_NAME: &str = "phasewright.toml";

#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// All four where nothing is said.
    pub markets: Vec<Market>,
    /// Readability of the scale in grams; none: the threshold of the knowledge base.
    pub scale_g: Option<Decimal>,
    pub room_c: Option<Decimal>,
    /// Severity by rule code, as written: "off", "hint", "information", "warning", "error".
    pub severity: BTreeMap<String, String>,
    pub batch_code: Option<String>,
    pub workshop: Workshop,
    /// The day of the judgement: laws that begin later are only announced.
    pub today: Date,
}

impl Settings {
    /// The settings where no file says anything, on a day.
    pub fn on(today: Date) -> Self {
        Settings {
            markets: Market::ALL.to_vec(),
            scale_g: None,
            room_c: None,
            severity: BTreeMap::new(),
            batch_code: None,
            workshop: Workshop::default(),
            today,
        }
    }
}

/// What a workshop keeps written, so that a missing line is worth a word. All off where nothing is said.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Workshop {
    /// Lots and batches wait for `released`.
    pub release: bool,
    /// Somebody else looks over weighing and labels.
    #[serde(rename = "two-people", alias = "two people")]
    pub two_people: bool,
    /// Jars and labels are counted under `packed`.
    pub jars: bool,
}

pub const LEVELS: [&str; 5] = ["off", "hint", "information", "warning", "error"];

/// What is wrong in the settings: line (from 0), bytes in it, a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SettingsFault {
    pub line: u32,
    pub start: u32,
    pub end: u32,
    pub message: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    markets: Option<Vec<toml::Spanned<String>>>,
    scale: Option<toml::Spanned<String>>,
    room: Option<toml::Spanned<String>>,
    #[serde(default)]
    severity: BTreeMap<toml::Spanned<String>, toml::Spanned<String>>,
    batch: Option<BatchTable>,
    #[serde(default)]
    workshop: Workshop,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BatchTable {
    code: Option<String>,
}

/// Reads the settings for a day. What is wrong is reported and left at its default; `codes` are the rules there are.
pub fn parse(text: &str, codes: &[&str], today: Date) -> (Settings, Vec<SettingsFault>) {
    let mut faults = Vec::new();
    let mut out = Settings::on(today);
    let file: File = match toml::from_str(text) {
        Ok(file) => file,
        Err(e) => {
            faults.push(fault(
                text,
                e.span().unwrap_or(0..0),
                e.message().replace('\n', " "),
            ));
            return (out, faults);
        }
    };
    if let Some(markets) = file.markets {
        out.markets.clear();
        for m in markets {
            match Market::named(m.get_ref()) {
                Some(market) => out.markets.push(market),
                None => faults.push(fault(
                    text,
                    m.span(),
                    format!(
                        "\"{}\" is no market; the markets are {}",
                        m.get_ref(),
                        Market::CODES.join(", ")
                    ),
                )),
            }
        }
        if out.markets.is_empty() {
            out.markets = Market::ALL.to_vec();
        }
    }
    if let Some(scale) = file.scale {
        match scale
            .get_ref()
            .trim()
            .strip_suffix('g')
            .and_then(|n| n.trim().parse::<Decimal>().ok())
            .filter(|n| *n > Decimal::ZERO)
        {
            Some(g) => out.scale_g = Some(g),
            None => faults.push(fault(
                text,
                scale.span(),
                format!(
                    "\"{}\" is no readability; write it like \"0.01 g\"",
                    scale.get_ref()
                ),
            )),
        }
    }
    if let Some(room) = file.room {
        match temperature(room.get_ref()) {
            Some(c) => out.room_c = Some(c),
            None => faults.push(fault(
                text,
                room.span(),
                format!(
                    "\"{}\" is no temperature; write it like \"20 °C\"",
                    room.get_ref()
                ),
            )),
        }
    }
    for (code, level) in file.severity {
        if !codes.contains(&code.get_ref().as_str()) {
            let near = codes
                .iter()
                .min_by_key(|c| strsim::osa_distance(c, code.get_ref()))
                .copied()
                .unwrap_or_default();
            faults.push(fault(
                text,
                code.span(),
                format!(
                    "no rule has the code \"{}\"; did you mean \"{near}\"?",
                    code.get_ref()
                ),
            ));
        } else if !LEVELS.contains(&level.get_ref().as_str()) {
            faults.push(fault(
                text,
                level.span(),
                format!(
                    "\"{}\" is no level; the levels are {}",
                    level.get_ref(),
                    LEVELS.join(", ")
                ),
            ));
        } else {
            out.severity.insert(code.into_inner(), level.into_inner());
        }
    }
    out.batch_code = file.batch.and_then(|b| b.code);
    out.workshop = file.workshop;
    (out, faults)
}

/// "20 °C", "68 F" in degrees Celsius.
pub fn temperature(text: &str) -> Option<Decimal> {
    let t = text.trim();
    let (number, unit) =
        t.split_at(t.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))?);
    let n: Decimal = number.parse().ok()?;
    match unit
        .replace(['°', 'º', ' '], "")
        .to_ascii_uppercase()
        .as_str()
    {
        "C" => Some(n),
        "F" => Some((n - Decimal::from(32)) * Decimal::from(5) / Decimal::from(9)),
        _ => None,
    }
}

impl Settings {
    pub fn scale_g(&self, kb: &crate::kb::Kb) -> Decimal {
        let Number(default) = kb.threshold("scale-readability-g").value;
        self.scale_g.unwrap_or(default)
    }
    pub fn room_c(&self, kb: &crate::kb::Kb) -> Decimal {
        let Number(default) = kb.threshold("room-c").value;
        self.room_c.unwrap_or(default)
    }
}

fn fault(text: &str, span: std::ops::Range<usize>, message: String) -> SettingsFault {
    let start = span.start.min(text.len());
    let line_start = text[..start].rfind('\n').map_or(0, |p| p + 1);
    let line_end = text[start..].find('\n').map_or(text.len(), |p| start + p);
    SettingsFault {
        line: text[..start].matches('\n').count() as u32,
        start: (start - line_start) as u32,
        end: (span.end.clamp(start, line_end) - line_start) as u32,
        message,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_as_a_maker_writes_them() {
        let (s, faults) = parse(
            "markets = [\"EU\", \"Canada\"]\nscale = \"0.1 g\"\nroom = \"68 °F\"\n[severity]\nno-chelator = \"off\"\n",
            &["no-chelator"],
            Date::EPOCH,
        );
        assert!(faults.is_empty(), "{faults:?}");
        assert_eq!(s.markets, [Market::EuropeanUnion, Market::Canada]);
        assert_eq!(s.scale_g, Some(Decimal::new(1, 1)));
        assert_eq!(s.room_c, Some(Decimal::from(20)));
        assert_eq!(s.severity["no-chelator"], "off");
    }

    #[test]
    fn what_a_workshop_keeps_is_off_until_it_says_so() {
        let (s, faults) = parse(
            "[workshop]\nrelease = true\ntwo-people = true\n",
            &[],
            Date::EPOCH,
        );
        assert!(faults.is_empty(), "{faults:?}");
        assert_eq!(
            (s.workshop.release, s.workshop.two_people, s.workshop.jars),
            (true, true, false)
        );
        let (_, faults) = parse("[workshop]\njars = \"yes\"\n", &[], Date::EPOCH);
        assert_eq!(faults.len(), 1);
    }

    #[test]
    fn what_is_wrong_names_its_line_and_the_rest_holds() {
        let (s, faults) = parse(
            "markets = [\"EU\", \"Mars\"]\nscale = \"fine\"\n[severity]\nno-chelatr = \"off\"\n",
            &["no-chelator"],
            Date::EPOCH,
        );
        assert_eq!(s.markets, [Market::EuropeanUnion]);
        assert_eq!(faults.iter().map(|f| f.line).collect::<Vec<_>>(), [0, 1, 3]);
        assert!(faults[2].message.contains("did you mean \"no-chelator\"?"));
        let (_, faults) = parse("markets = \n", &[], Date::EPOCH);
        assert_eq!(faults.len(), 1);
        let (_, faults) = parse("colour = \"red\"\n", &[], Date::EPOCH);
        assert_eq!(faults.len(), 1);
    }
}
