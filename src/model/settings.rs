//! `phasewright.toml`: markets, scale, room, severities, files left out, the pattern of batch codes, what a workshop keeps written.

use crate::chem::date::Date;
use crate::kb::Market;
use crate::kb::number::Number;
use crate::syntax::nearest;
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

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
    /// Patterns of files and folders that are not looked at, as .gitignore writes them, from the folder of the settings.
    pub exclude: Vec<String>,
    /// How a new batch is named, such as `{formula}-{n}`.
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
            exclude: Vec::new(),
            batch_code: None,
            workshop: Workshop::default(),
            today,
        }
    }
}

/// What a workshop keeps written, so that a missing line is worth a word. All off where nothing is said.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Workshop {
    /// Lots and batches wait for `released`.
    pub release: bool,
    /// Somebody else looks over weighing and labels.
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

/// The keys of the file, and those of its tables.
const KEYS: [&str; 7] = [
    "markets", "scale", "room", "exclude", "severity", "batch", "workshop",
];
const BATCH_KEYS: [&str; 1] = ["code"];
const WORKSHOP_KEYS: [&str; 3] = ["release", "two-people", "jars"];

/// Reads the settings for a day. What is wrong costs its own key alone, which stays at its default; all of it is reported, in
/// the order of the file. `codes` are the rules there are.
pub fn parse(text: &str, codes: &[&str], today: Date) -> (Settings, Vec<SettingsFault>) {
    let mut reader = Reader {
        text,
        faults: Vec::new(),
        out: Settings::on(today),
    };
    let (file, errors) = DeTable::parse_recoverable(text);
    for e in errors {
        reader.fault(e.span().unwrap_or(0..0), e.message().replace('\n', " "));
    }
    // One slip of the pen may be told twice by the reader of the format, and make a value that is wrong as well.
    reader.faults.dedup_by_key(|f| f.line);
    let broken: Vec<u32> = reader.faults.iter().map(|f| f.line).collect();
    for (key, value) in file.get_ref() {
        match &**key.get_ref() {
            "markets" => reader.markets(value),
            "scale" => reader.scale(value),
            "room" => reader.room(value),
            "exclude" => reader.exclude(value),
            "severity" => reader.severity(value, codes),
            "batch" => reader.batch(value),
            "workshop" => reader.workshop(value),
            unknown => reader.unknown("the settings have", unknown, key.span(), &KEYS),
        }
    }
    let mut faults = reader.faults;
    let values = faults.split_off(broken.len());
    faults.extend(values.into_iter().filter(|f| !broken.contains(&f.line)));
    faults.sort_by_key(|f| (f.line, f.start));
    (reader.out, faults)
}

struct Reader<'a> {
    text: &'a str,
    faults: Vec<SettingsFault>,
    out: Settings,
}

type Value<'a> = Spanned<DeValue<'a>>;

impl Reader<'_> {
    fn fault(&mut self, span: Range<usize>, message: String) {
        self.faults.push(fault(self.text, span, message));
    }

    fn unknown(&mut self, owner: &str, key: &str, span: Range<usize>, known: &[&str]) {
        let way = match nearest(known, key) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("the keys are {}", known.join(", ")),
        };
        self.fault(span, format!("{owner} no \"{key}\"; {way}"));
    }

    /// The text of a value; anything else is a fault that names what it should look like.
    fn string<'v>(&mut self, value: &'v Value<'_>, key: &str, such: &str) -> Option<&'v str> {
        if let DeValue::String(text) = value.get_ref() {
            return Some(&**text);
        }
        self.fault(
            value.span(),
            format!("{key} is a text in quotes; write it like {such}"),
        );
        None
    }

    fn strings<'v>(
        &mut self,
        value: &'v Value<'_>,
        key: &str,
        such: &str,
    ) -> Vec<(&'v str, Range<usize>)> {
        let DeValue::Array(all) = value.get_ref() else {
            self.fault(
                value.span(),
                format!("{key} is a list in square brackets; write it like {such}"),
            );
            return Vec::new();
        };
        all.iter()
            .filter_map(|one| {
                Some((
                    self.string(one, &format!("each of {key}"), such)?,
                    one.span(),
                ))
            })
            .collect()
    }

    fn markets(&mut self, value: &Value<'_>) {
        let mut found = Vec::new();
        for (name, span) in self.strings(value, "markets", "[\"EU\", \"UK\"]") {
            match Market::named(name) {
                Some(market) => found.push(market),
                None => self.fault(
                    span,
                    format!(
                        "\"{name}\" is no market; the markets are {}",
                        Market::CODES.join(", ")
                    ),
                ),
            }
        }
        if !found.is_empty() {
            self.out.markets = found;
        }
    }

    fn scale(&mut self, value: &Value<'_>) {
        let Some(written) = self.string(value, "scale", "\"0.01 g\"") else {
            return;
        };
        let grams = written
            .trim()
            .strip_suffix('g')
            .and_then(|n| n.trim().parse::<Decimal>().ok());
        match grams.filter(|n| *n > Decimal::ZERO) {
            Some(g) => self.out.scale_g = Some(g),
            None => self.fault(
                value.span(),
                format!("\"{written}\" is no readability; write it like \"0.01 g\""),
            ),
        }
    }

    fn room(&mut self, value: &Value<'_>) {
        let Some(written) = self.string(value, "room", "\"20 °C\"") else {
            return;
        };
        match temperature(written) {
            Some(c) => self.out.room_c = Some(c),
            None => self.fault(
                value.span(),
                format!("\"{written}\" is no temperature; write it like \"20 °C\""),
            ),
        }
    }

    fn exclude(&mut self, value: &Value<'_>) {
        let patterns = self.strings(value, "exclude", "[\"drafts/\", \"*.old.formula\"]");
        self.out.exclude = patterns.into_iter().map(|(p, _)| p.to_owned()).collect();
    }

    fn severity(&mut self, value: &Value<'_>, codes: &[&str]) {
        let DeValue::Table(table) = value.get_ref() else {
            return self.fault(
                value.span(),
                "severity is a table; write [severity] on a line, and a code and a level on each line below it".to_owned(),
            );
        };
        for (code, level) in table {
            let name: &str = code.get_ref();
            if !codes.contains(&name) {
                let near = codes.iter().min_by_key(|c| strsim::osa_distance(c, name));
                let near = near.copied().unwrap_or_default();
                self.fault(
                    code.span(),
                    format!("no rule has the code \"{name}\"; did you mean \"{near}\"?"),
                );
                continue;
            }
            let Some(written) = self.string(level, "a level", "\"off\"") else {
                continue;
            };
            if LEVELS.contains(&written) {
                self.out
                    .severity
                    .insert(name.to_owned(), written.to_owned());
            } else {
                let near = nearest(&LEVELS, written)
                    .map_or(String::new(), |n| format!("did you mean \"{n}\"? "));
                self.fault(
                    level.span(),
                    format!(
                        "\"{written}\" is no level; {near}the levels are {}",
                        LEVELS.join(", ")
                    ),
                );
            }
        }
    }

    fn workshop(&mut self, value: &Value<'_>) {
        let DeValue::Table(table) = value.get_ref() else {
            return self.fault(
                value.span(),
                "workshop is a table; write [workshop] on a line, and release = true below it"
                    .to_owned(),
            );
        };
        for (key, value) in table {
            let name: &str = key.get_ref();
            if !WORKSHOP_KEYS.contains(&name) && name != "two people" {
                self.unknown("[workshop] has", name, key.span(), &WORKSHOP_KEYS);
                continue;
            }
            let DeValue::Boolean(on) = value.get_ref() else {
                self.fault(
                    value.span(),
                    format!("{name} is true or false, without quotes"),
                );
                continue;
            };
            match name {
                "release" => self.out.workshop.release = *on,
                "jars" => self.out.workshop.jars = *on,
                _ => self.out.workshop.two_people = *on,
            }
        }
    }

    fn batch(&mut self, value: &Value<'_>) {
        let DeValue::Table(table) = value.get_ref() else {
            return self.fault(
                value.span(),
                "batch is a table; write [batch] on a line, and code = \"{formula}-{n}\" below it"
                    .to_owned(),
            );
        };
        for (key, value) in table {
            if key.get_ref() != "code" {
                self.unknown("[batch] has", key.get_ref(), key.span(), &BATCH_KEYS);
                continue;
            }
            let Some(written) = self.string(value, "code", "\"{formula}-{n}\"") else {
                continue;
            };
            match batch_pattern_fault(written) {
                None => self.out.batch_code = Some(written.to_owned()),
                Some(what) => self.fault(value.span(), what),
            }
        }
    }
}

/// What may stand in curly brackets in the pattern of batch codes.
pub const BATCH_PARTS: [&str; 4] = ["formula", "year", "month", "n"];

/// What is wrong in a pattern of batch codes.
fn batch_pattern_fault(pattern: &str) -> Option<String> {
    let parts: Vec<&str> = pattern
        .split('{')
        .skip(1)
        .map(|p| p.split('}').next().unwrap_or_default())
        .collect();
    if let Some(unknown) = parts.iter().find(|p| !BATCH_PARTS.contains(p)) {
        let all: Vec<String> = BATCH_PARTS.iter().map(|p| format!("{{{p}}}")).collect();
        return Some(format!(
            "\"{{{unknown}}}\" stands for nothing in a batch code; there are {}",
            all.join(", ")
        ));
    }
    if parts.iter().filter(|p| **p == "n").count() != 1 {
        return Some(
            "a batch code needs {n} once, which counts up; write it like \"{formula}-{n}\""
                .to_owned(),
        );
    }
    if pattern.chars().any(char::is_whitespace) {
        return Some("a batch code holds no blank; write it like \"{formula}-{n}\"".to_owned());
    }
    None
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

    #[test]
    fn one_broken_key_costs_that_key_alone_and_all_are_told() {
        let text = "market = [\"EU\"]\nscale = 1\nroom = \"21 °C\"\nexclude = [\"drafts/\", 3]\n[severity]\nno-chelator = \"of\"\n[batch]\ncode = \"{recipe}-{n}\"\n";
        let (s, faults) = parse(text, &["no-chelator"], Date::EPOCH);
        assert_eq!(s.room_c, Some(Decimal::from(21)));
        assert_eq!(s.exclude, ["drafts/"]);
        assert_eq!(s.markets, Market::ALL);
        let lines: Vec<u32> = faults.iter().map(|f| f.line).collect();
        assert_eq!(lines, [0, 1, 3, 5, 7], "{faults:?}");
        assert!(faults[0].message.contains("did you mean \"markets\"?"));
        assert!(faults[3].message.contains("did you mean \"off\"?"));
        assert!(faults[4].message.contains("{formula}"));
    }

    #[test]
    fn a_line_that_is_no_toml_leaves_the_others() {
        let (s, faults) = parse(
            "room = \n scale = \"0.1 g\"\nmarkets = [\"UK\"]\n",
            &[],
            Date::EPOCH,
        );
        assert_eq!(s.scale_g, Some(Decimal::new(1, 1)), "{faults:?}");
        assert_eq!(s.markets, [Market::UnitedKingdom]);
        assert_eq!(faults.iter().map(|f| f.line).collect::<Vec<_>>(), [0]);
    }
}
