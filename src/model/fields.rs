//! The fields of a formula: what each takes, and what the file says in them.

use crate::chem::units::Unit;
use crate::kb::Kb;
use crate::kb::Market;
use crate::kb::names::key;
use crate::kb::schema::Product as Kind;
use crate::syntax::tree::{Field, FieldValue, Pack};
use crate::syntax::values;
use crate::syntax::{Node, SectionKind, Tree};
use crate::text::{Span, Spanned};
use rust_decimal::Decimal;

/// A field that a heading may carry.
pub struct FieldSpec {
    pub key: &'static str,
    pub section: SectionKind,
    /// What may stand there; empty where it is free or a number.
    pub values: &'static [&'static str],
    pub help: &'static str,
    /// An example, shown in messages and completion.
    pub example: &'static str,
}

pub const TYPES: [&str; 11] = [
    "oil-in-water",
    "water-in-oil",
    "anhydrous",
    "gel",
    "solution",
    "surfactant",
    "powder",
    "bar",
    "two-phase",
    "suspension",
    "soap",
];
pub const FORMS: [&str; 15] = [
    "cream",
    "lotion",
    "gel",
    "liquid",
    "balm",
    "bar",
    "stick",
    "roll-on",
    "pump spray",
    "propellant spray",
    "loose powder",
    "pressed powder",
    "wipe",
    "foam",
    "paste",
];
/// Scope words that say where on the body a product goes.
pub const PLACES: [&str; 15] = [
    "face", "body", "hand", "foot", "hair", "scalp", "lip", "eye", "eyelash", "nail", "underarm",
    "intimate", "mucous", "mouth", "oral",
];
/// Where a product goes that is for the whole skin.
const ALL_OVER: [&str; 2] = ["face", "body"];
pub const USES: [&str; 11] = [
    "face", "body", "hand", "lip", "eye", "scalp", "hair", "underarm", "nail", "intimate", "mouth",
];
/// The official languages of the European Union, by their codes in ISO 639-1.
const LANGUAGES: [&str; 24] = [
    "bg", "cs", "da", "de", "el", "en", "es", "et", "fi", "fr", "ga", "hr", "hu", "it", "lt", "lv",
    "mt", "nl", "pl", "pt", "ro", "sk", "sl", "sv",
];
pub const FOR: [&str; 5] = ["adults", "under 3", "under 6", "under 10", "professional"];

use SectionKind::{Batch, Formula as F, Lot};
use smol_str::SmolStr;

pub const FIELDS: [FieldSpec; 40] = [
    FieldSpec {
        key: "version",
        section: F,
        values: &[],
        help: "A number of your own, raised when the formula changes.",
        example: "4",
    },
    FieldSpec {
        key: "product",
        section: F,
        values: &["leave-on", "rinse-off"],
        help: "The kind of product, and whether it stays on. Law and usual levels depend on it.",
        example: "hand cream, leave-on",
    },
    FieldSpec {
        key: "type",
        section: F,
        values: &TYPES,
        help: "How it is built.",
        example: "oil-in-water emulsion",
    },
    FieldSpec {
        key: "form",
        section: F,
        values: &FORMS,
        help: "What it looks like in use. Sprays and loose powders have rules of their own.",
        example: "cream",
    },
    FieldSpec {
        key: "use",
        section: F,
        values: &USES,
        help: "Where on the body.",
        example: "face, hand",
    },
    FieldSpec {
        key: "for",
        section: F,
        values: &FOR,
        help: "Who it is for.",
        example: "adults",
    },
    FieldSpec {
        key: "batch",
        section: F,
        values: &[],
        help: "The weight to make. It scales and never changes the composition.",
        example: "250 g",
    },
    FieldSpec {
        key: "ph",
        section: F,
        values: &[],
        help: "The pH that the product should have.",
        example: "5.0 to 5.5",
    },
    FieldSpec {
        key: "sold in",
        section: F,
        values: &Market::CODES,
        help: "The markets whose law applies. For the EU, the languages of the label in brackets.",
        example: "EU (de, fr), US",
    },
    FieldSpec {
        key: "claims",
        section: F,
        values: &[],
        help: "What the label promises. Some words make a medicine of it.",
        example: "softens dry hands",
    },
    FieldSpec {
        key: "fill",
        section: F,
        values: &[],
        help: "Containers and their content.",
        example: "5 x 50 g",
    },
    FieldSpec {
        key: "extra for losses",
        section: F,
        values: &[],
        help: "What stays in the beaker, on top of the batch.",
        example: "3 %",
    },
    FieldSpec {
        key: "keep",
        section: F,
        values: &["use at once"],
        help: "`use at once`: made fresh and used the same day, so nothing preserves it.",
        example: "use at once",
    },
    FieldSpec {
        key: "made",
        section: Batch,
        values: &[],
        help: "The day it was made.",
        example: "2026-03-14",
    },
    FieldSpec {
        key: "target",
        section: Batch,
        values: &[],
        help: "The weight that was planned.",
        example: "250 g",
    },
    FieldSpec {
        key: "room",
        section: Batch,
        values: &[],
        help: "The temperature of the room.",
        example: "21 °C",
    },
    FieldSpec {
        key: "by",
        section: Batch,
        values: &[],
        help: "Who made it.",
        example: "initials",
    },
    FieldSpec {
        key: "code",
        section: F,
        values: &[],
        help: "The letters before the numbers of its batches.",
        example: "HC",
    },
    FieldSpec {
        key: "checked",
        section: Batch,
        values: &[],
        help: "Who looked over weighing and labels.",
        example: "initials",
    },
    FieldSpec {
        key: "equipment",
        section: Batch,
        values: &[],
        help: "What it was made with, parted by commas.",
        example: "pot 2, blender 1, scale S1",
    },
    FieldSpec {
        key: "best before",
        section: Batch,
        values: &[],
        help: "The date printed on the jar: a day, or a month for its last day.",
        example: "2027-03",
    },
    FieldSpec {
        key: "after opening",
        section: Batch,
        values: &[],
        help: "How long an open jar keeps, as printed on it.",
        example: "6 months",
    },
    FieldSpec {
        key: "released",
        section: Batch,
        values: &[],
        help: "The day it was passed for sale, by whom; a reason behind a comma.",
        example: "2026-03-20 by Ana",
    },
    FieldSpec {
        key: "rejected",
        section: Batch,
        values: &[],
        help: "The day it was refused, by whom; a reason behind a comma.",
        example: "2026-03-20 by Ana, separated",
    },
    FieldSpec {
        key: "on hold",
        section: Batch,
        values: &[],
        help: "The day it was put aside, by whom; a reason behind a comma.",
        example: "2026-03-20 by Ana, waits for the pH of day 28",
    },
    FieldSpec {
        key: "sealed",
        section: Batch,
        values: &[],
        help: "Made when the record is closed: the day, a name, eight signs that tell when a line changed.",
        example: "2026-03-21 by Ana 1a2b3c4d",
    },
    FieldSpec {
        key: "void",
        section: Batch,
        values: &[],
        help: "The day and why: the code stays used, and of the batch only what was weighed counts.",
        example: "2026-03-14, begun twice",
    },
    FieldSpec {
        key: "supplier",
        section: Lot,
        values: &[],
        help: "Where it was bought.",
        example: "local pharmacy wholesaler",
    },
    FieldSpec {
        key: "received",
        section: Lot,
        values: &[],
        help: "The day it came.",
        example: "2026-01-10",
    },
    FieldSpec {
        key: "best before",
        section: Lot,
        values: &[],
        help: "The date on the package.",
        example: "2028-01-31",
    },
    FieldSpec {
        key: "bought",
        section: Lot,
        values: &[],
        help: "How much, and for how much.",
        example: "1 kg for 9.40 EUR",
    },
    FieldSpec {
        key: "from",
        section: Lot,
        values: &[],
        help: "The batch that this lot was made in.",
        example: "batch CS-002",
    },
    FieldSpec {
        key: "supplier lot",
        section: Lot,
        values: &[],
        help: "The code on the supplier's drum.",
        example: "8841-2",
    },
    FieldSpec {
        key: "retest",
        section: Lot,
        values: &[],
        help: "The day from which it has to be tested again: a day, or a month for its last day.",
        example: "2027-06",
    },
    FieldSpec {
        key: "after opening",
        section: Lot,
        values: &[],
        help: "How many months it keeps once it is opened.",
        example: "6 months",
    },
    FieldSpec {
        key: "released",
        section: Lot,
        values: &[],
        help: "The day it was passed for use, by whom.",
        example: "2026-03-20 by Ana",
    },
    FieldSpec {
        key: "rejected",
        section: Lot,
        values: &[],
        help: "The day it was refused, by whom; a reason behind a comma.",
        example: "2026-03-20 by Ana, smells rancid",
    },
    FieldSpec {
        key: "on hold",
        section: Lot,
        values: &[],
        help: "The day it was put aside, by whom; a reason behind a comma.",
        example: "2026-03-20 by Ana, certificate missing",
    },
    FieldSpec {
        key: "for",
        section: Lot,
        values: &[],
        help: "Of a label: the formula that it was made for, and its version.",
        example: "\"hand-cream.formula\" version 4",
    },
    FieldSpec {
        key: "stored",
        section: Lot,
        values: &[],
        help: "Where and how it is kept.",
        example: "fridge, dark",
    },
];

/// Something that a field says, and where.
#[derive(Clone, Debug, PartialEq)]
pub struct Said<T> {
    pub value: T,
    pub line: u32,
    pub span: Span,
}

/// A word in a list that is not known, and what to write.
struct NotKnown {
    message: String,
    help: String,
    near: Vec<String>,
}

/// A value that is not understood; reported under `unknown-value`.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    pub line: u32,
    pub span: Span,
    pub message: String,
    /// What to do, where nothing is near.
    pub help: String,
    /// What it may have meant.
    pub near: Vec<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Type {
    OilInWater,
    WaterInOil,
    Anhydrous,
    Gel,
    Solution,
    Surfactant,
    Powder,
    Bar,
    TwoPhase,
    Suspension,
    Soap,
}

#[derive(Clone, Debug, Default)]
pub struct Fields {
    pub version: Option<Said<String>>,
    pub product_kind: Option<&'static Kind>,
    /// The maker's word for it: "hand lotion" where the kind is hand cream.
    pub product_word: Option<String>,
    /// Scope words written under `product`, `form`, `use` and `for`.
    pub words: Vec<SmolStr>,
    /// The kind of product goes on the face and the body, and the file says no place.
    pub places_assumed: bool,
    pub product: Option<Said<String>>,
    pub type_: Option<Said<Type>>,
    /// Grams.
    pub batch: Option<Said<Decimal>>,
    pub ph: Option<Said<(Decimal, Decimal)>>,
    pub sold_in: Option<Said<Vec<Market>>>,
    /// Codes of the languages of the label: those of `EU (de, fr)`.
    pub languages: Vec<SmolStr>,
    pub claims: Option<Said<String>>,
    /// Containers with their content.
    pub fill: Option<Said<Vec<Pack>>>,
    pub losses_percent: Option<Said<Decimal>>,
    pub use_at_once: bool,
    /// The letters before the numbers of its batches.
    pub code: Option<String>,
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
            && at.line.section == F
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
