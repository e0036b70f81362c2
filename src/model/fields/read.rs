//! Reads the fields of a formula.

use super::{FOR, FORMS, Fields, PLACES, Problem, Said, TYPES, Type, USES};
use crate::chem::units::Unit;
use crate::kb::names::key;
use crate::kb::{Kb, Market};
use crate::syntax::tree::{Field, FieldValue};
use crate::syntax::{Node, SectionKind, Tree, values};
use crate::text::{Span, Spanned};
use rust_decimal::Decimal;
use smol_str::SmolStr;

/// Where a product goes that is for the whole skin.
const ALL_OVER: [&str; 2] = ["face", "body"];
/// The official languages of the European Union, by their codes in ISO 639-1.
const LANGUAGES: [&str; 24] = [
    "bg", "cs", "da", "de", "el", "en", "es", "et", "fi", "fr", "ga", "hr", "hu", "it", "lt", "lv",
    "mt", "nl", "pl", "pt", "ro", "sk", "sl", "sv",
];

/// A word in a list that is not known, and what to write.
struct NotKnown {
    message: String,
    help: String,
    near: Vec<String>,
}

/// Reads the fields under the `formula` heading.
pub fn read(tree: &Tree, kb: &Kb) -> (Fields, Vec<Problem>) {
    let mut r = Reader {
        kb,
        out: Fields::default(),
        all_over: false,
        problems: Vec::new(),
    };
    for (n, at) in tree.lines.iter().enumerate() {
        if let Node::Field(f) = &at.line.node
            && at.line.section == SectionKind::Formula
        {
            r.field(n as u32, f);
        }
    }
    r.assume_places();
    (r.out, r.problems)
}

struct Reader<'a> {
    kb: &'a Kb,
    out: Fields,
    /// A kind of product goes on the face and the body.
    all_over: bool,
    problems: Vec<Problem>,
}

impl Reader<'_> {
    /// A kind that goes on the face and the body does so where the file names no place: a "sunscreen"
    /// goes all over, a "face cream, sunscreen" on the face.
    fn assume_places(&mut self) {
        let named = self.out.words.iter().any(|w| PLACES.contains(&w.as_str()));
        if self.all_over && !named {
            self.out.words.extend(ALL_OVER.map(SmolStr::new_static));
            self.out.places_assumed = true;
        }
    }

    fn field(&mut self, line: u32, field: &Field) {
        let value = &field.value;
        let v = value.value.trim();
        let span = value.span;
        // An unknown field, an empty one and a malformed value are said where the line is read.
        if v.is_empty() {
            return;
        }
        match field.key.value.as_str() {
            "version" => {
                self.out.version = Some(Said {
                    value: v.to_owned(),
                    line,
                    span,
                })
            }
            "claims" => {
                self.out.claims = Some(Said {
                    value: v.to_owned(),
                    line,
                    span,
                })
            }
            "product" => {
                self.out.product = Some(Said {
                    value: v.to_owned(),
                    line,
                    span,
                });
                self.items(line, value, |r, item| r.product_item(item));
            }
            "form" => self.items(line, value, |r, item| r.word(item, &FORMS)),
            "use" => self.items(line, value, |r, item| r.word(item, &USES)),
            "for" => self.items(line, value, |r, item| r.word(item, &FOR)),
            "type" => self.type_(line, v, span),
            "code" => {
                if v.chars().any(char::is_whitespace) {
                    let message = format!("the letters of a batch's code hold no blank: \"{v}\"");
                    self.unknown(
                        line,
                        span,
                        message,
                        "",
                        vec![v.split_whitespace().collect()],
                    );
                } else {
                    self.out.code = Some(v.to_owned());
                }
            }
            "keep" => {
                if key(v) == "use at once" {
                    self.out.use_at_once = true;
                } else {
                    self.unknown(
                        line,
                        span,
                        format!("\"keep\" knows only \"use at once\", not \"{v}\""),
                        "",
                        vec!["use at once".into()],
                    );
                }
            }
            "batch" => {
                if let FieldValue::Measure(m) = &field.read {
                    match m
                        .unit
                        .grams()
                        .and_then(|g| m.value.checked_mul(g))
                        .filter(|g| *g > Decimal::ZERO)
                    {
                        Some(value) => self.out.batch = Some(Said { value, line, span }),
                        None => self.unknown(
                            line,
                            span,
                            format!("\"{v}\" is not a weight"),
                            "Write the batch like \"250 g\"",
                            vec![],
                        ),
                    }
                }
            }
            "ph" => {
                if let FieldValue::Ph(low, high) = field.read {
                    if ph_possible(low) && ph_possible(high) && low <= high {
                        self.out.ph = Some(Said {
                            value: (low, high),
                            line,
                            span,
                        });
                    } else {
                        self.unknown(
                            line,
                            span,
                            format!("\"{v}\" is not a pH between 0 and 14"),
                            "Write it like \"5.0 to 5.5\"",
                            vec![],
                        );
                    }
                }
            }
            "sold in" => {
                let mut all = Vec::new();
                // Inside the brackets of "EU (de, fr)" stand languages.
                let mut inside = false;
                self.items(line, value, |r, item| {
                    let (item, languages) = match item.split_once('(') {
                        _ if inside => ("", item),
                        Some((place, languages)) => (place.trim(), languages),
                        None => (item, ""),
                    };
                    inside = !languages.is_empty() && !languages.ends_with(')');
                    for code in languages.trim_end_matches(')').split_whitespace() {
                        r.language(code)?;
                    }
                    if item.is_empty() {
                        return Ok(());
                    }
                    match Market::named(item) {
                        Some(m) => {
                            all.push(m);
                            Ok(())
                        }
                        None if matches!(key(item).as_str(), "nowhere" | "not sold" | "gift") => {
                            Ok(())
                        }
                        None => Err(NotKnown {
                            message: format!("\"{item}\" is not a market known here"),
                            help: format!("Write one of {}", Market::CODES.join(", ")),
                            near: nearest(item, Market::CODES.iter().copied()),
                        }),
                    }
                });
                all.dedup();
                if !all.is_empty() {
                    self.out.sold_in = Some(Said {
                        value: all,
                        line,
                        span,
                    });
                }
            }
            "fill" => {
                if let FieldValue::Packs(packs) = &field.read {
                    self.out.fill = Some(Said {
                        value: packs.clone(),
                        line,
                        span,
                    });
                }
            }
            "extra for losses" => {
                if let FieldValue::Measure(m) = &field.read {
                    if m.unit == Unit::Percent
                        && (Decimal::ZERO..=Decimal::ONE_HUNDRED).contains(&m.value)
                    {
                        self.out.losses_percent = Some(Said {
                            value: m.value,
                            line,
                            span,
                        });
                    } else {
                        self.unknown(
                            line,
                            span,
                            format!("\"{v}\" is not a percentage"),
                            "Write it like \"3 %\"",
                            vec![],
                        );
                    }
                }
            }
            _ => {}
        }
    }

    fn unknown(&mut self, line: u32, span: Span, message: String, help: &str, near: Vec<String>) {
        self.problems.push(Problem {
            line,
            span,
            message,
            help: help.to_owned(),
            near,
        });
    }

    /// Reads a list parted by commas, item by item.
    fn items(
        &mut self,
        line: u32,
        value: &Spanned<String>,
        mut read: impl FnMut(&mut Self, &str) -> Result<(), NotKnown>,
    ) {
        for item in values::list(value) {
            if let Err(NotKnown {
                message,
                help,
                near,
            }) = read(self, &item.value)
            {
                self.unknown(line, item.span, message, &help, near);
            }
        }
    }

    fn language(&mut self, code: &str) -> Result<(), NotKnown> {
        let code = code.to_lowercase();
        if !LANGUAGES.contains(&code.as_str()) {
            return Err(NotKnown {
                message: format!("\"{code}\" is not a language of the European Union"),
                help: format!("Write a code of two letters: {}", LANGUAGES.join(", ")),
                near: Vec::new(),
            });
        }
        if !self.out.languages.iter().any(|l| *l == code) {
            self.out.languages.push(code.into());
        }
        Ok(())
    }

    fn product_item(&mut self, item: &str) -> Result<(), NotKnown> {
        let word = item.to_lowercase().replace(' ', "-");
        if let Some(kind) = self.kb.product(item) {
            if self.out.product_kind.is_none() {
                self.out.product_kind = Some(kind);
                self.out.product_word = Some(item.trim().to_owned());
            }
            let all_over = ALL_OVER
                .iter()
                .all(|place| kind.scope.iter().any(|w| w == place));
            self.all_over |= all_over;
            let words = kind
                .scope
                .iter()
                .filter(|w| !all_over || !ALL_OVER.contains(&w.as_str()));
            self.out.words.extend(words.cloned());
        } else if self.kb.scope_words().iter().any(|known| *known == word) {
            self.out.words.push(word.into());
        } else {
            let kinds = self
                .kb
                .products()
                .flat_map(|p| std::iter::once(&p.name).chain(&p.names))
                .map(SmolStr::as_str);
            let near = nearest(
                item,
                kinds.chain(self.kb.scope_words().iter().map(SmolStr::as_str)),
            );
            return Err(NotKnown {
                message: format!("\"{item}\" is not a kind of product known here"),
                help: "Write a kind such as \"hand cream\", with \"leave-on\" or \"rinse-off\""
                    .to_owned(),
                near,
            });
        }
        Ok(())
    }

    fn word(&mut self, item: &str, known: &[&str]) -> Result<(), NotKnown> {
        let lower = item.to_lowercase();
        if known.contains(&lower.as_str()) {
            self.out.words.push(lower.replace(' ', "-").into());
            Ok(())
        } else {
            Err(NotKnown {
                message: format!("\"{item}\" is not known here"),
                help: format!("Write one of {}", known.join(", ")),
                near: nearest(item, known.iter().copied()),
            })
        }
    }

    fn type_(&mut self, line: u32, v: &str, span: Span) {
        let k = key(v);
        let found = [
            (Type::OilInWater, &["oil in water", "o/w"][..]),
            (Type::WaterInOil, &["water in oil", "w/o"]),
            (Type::Anhydrous, &["anhydrous", "water free", "oil"]),
            (Type::Gel, &["gel"]),
            (Type::Solution, &["solution"]),
            (Type::Surfactant, &["surfactant"]),
            (Type::Powder, &["powder"]),
            (Type::Bar, &["bar"]),
            (Type::TwoPhase, &["two phase"]),
            (Type::Suspension, &["suspension"]),
            (Type::Soap, &["soap"]),
        ]
        .into_iter()
        .find(|(_, spellings)| {
            spellings.iter().any(|s| {
                k == *s
                    || k.strip_prefix(s)
                        .is_some_and(|rest| rest.starts_with([' ', ',']))
            })
        });
        match found {
            Some((value, _)) => self.out.type_ = Some(Said { value, line, span }),
            None => {
                let near = nearest(v, TYPES.iter().copied());
                self.unknown(
                    line,
                    span,
                    format!("\"{v}\" is not a type known here"),
                    &format!("Write one of {}", TYPES.join(", ")),
                    near,
                );
            }
        }
    }
}

/// The nearest of some words, at most two.
pub fn nearest<'a>(word: &str, among: impl Iterator<Item = &'a str>) -> Vec<String> {
    let k = key(word);
    let allowed = (k.chars().count() / 3).clamp(1, 4);
    let mut all: Vec<(usize, &str)> = among
        .map(|w| (strsim::osa_distance(&key(w), &k), w))
        .filter(|(d, _)| *d <= allowed)
        .collect();
    all.sort();
    all.dedup();
    all.into_iter().take(2).map(|(_, w)| w.to_owned()).collect()
}

fn ph_possible(n: Decimal) -> bool {
    (Decimal::ZERO..=Decimal::from(14)).contains(&n)
}
