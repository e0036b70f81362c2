//! The pH at the bench: readings and what went in between them, from a batch record or from what is told, as `chem::dose` takes them.

pub mod dose;
mod log;

pub use log::{Log, Lost, log, log_up_to, plan};

use super::acidity::Acid;
use crate::chem::dose::{Agent, Reading, Sample};
use crate::chem::float;
use crate::chem::units::Amount;
use crate::kb::names::key;
use crate::kb::{Id, Kb, Lookup, StrengthBasis};
use crate::syntax::tree::Measure;
use rust_decimal::Decimal;

/// An acid or base as it is weighed in.
#[derive(Clone, Debug, PartialEq)]
pub struct Titrant {
    /// As written.
    pub name: String,
    pub id: Id,
    pub agent: Agent,
    /// It burns: goggles and gloves.
    pub caustic: bool,
    /// It is sold as a solution, and no strength is written: taken as pure.
    pub taken_as_pure: bool,
}

/// Why a name is no acid or base to dose with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoTitrant {
    /// With what may be meant.
    Unknown(Vec<String>),
    Several(Vec<String>),
    /// Known, and neither an acid nor a base.
    Neutral(String),
    /// Known, without the figures.
    NoFigures(String),
    /// The strength is not by weight.
    ByVolume,
}

impl NoTitrant {
    /// "what is wrong; what to do".
    pub fn words(&self, written: &str) -> String {
        match self {
            NoTitrant::Unknown(near) if near.is_empty() => {
                format!(
                    "\"{written}\" is not known; write an acid or base with its strength, such as lactic acid 10 %"
                )
            }
            NoTitrant::Unknown(near) => {
                let near: Vec<String> = near.iter().map(|n| format!("\"{n}\"")).collect();
                format!(
                    "\"{written}\" is not known; did you mean {}?",
                    near.join(" or ")
                )
            }
            NoTitrant::Several(all) => format!(
                "\"{written}\" is a name of several materials; say which: {}",
                all.join(", ")
            ),
            NoTitrant::Neutral(name) => {
                format!(
                    "{name} is neither an acid nor a base; name one with its strength, such as lactic acid 10 %"
                )
            }
            NoTitrant::NoFigures(name) => {
                format!(
                    "the strength of {name} as an acid or base is not known; use one that is, such as lactic acid 10 %"
                )
            }
            NoTitrant::ByVolume => format!(
                "the strength of \"{written}\" is not by weight; write it in percent by weight"
            ),
        }
    }
}

impl Titrant {
    /// What it is called, watered down so many times: "lactic acid 1 %" of "lactic acid 10 %".
    pub fn diluted(&self, times: u32) -> String {
        let percent = crate::chem::decimal(self.agent.percent / f64::from(times), 4);
        let strength = self
            .name
            .rfind(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '%' | ' ')));
        let name = match strength {
            Some(at) if self.name.ends_with('%') => {
                let end = at + self.name[at..].chars().next().map_or(0, char::len_utf8);
                &self.name[..end]
            }
            _ => &self.name,
        };
        format!("{name} {} %", percent.unwrap_or_default().normalize())
    }
}

/// Finds an acid or base by its name, with or without a strength.
pub fn titrant(kb: &Kb, written: &str) -> Result<Titrant, NoTitrant> {
    let (id, strength) = match kb.lookup(written) {
        Lookup::Known { id, strength } => (id, strength),
        Lookup::Ambiguous(ids) => {
            return Err(NoTitrant::Several(
                ids.iter().map(|id| kb.name(*id).to_owned()).collect(),
            ));
        }
        Lookup::Unknown => return Err(NoTitrant::Unknown(near(kb, written))),
    };
    if strength.is_some_and(|s| s.basis != StrengthBasis::ByWeight) {
        return Err(NoTitrant::ByVolume);
    }
    let one = kb.get(id);
    let Some(acid) = Acid::of(one) else {
        return Err(NoTitrant::NoFigures(kb.name(id).to_owned()));
    };
    if acid.is_neutral() || acid.molecules > 1.0 {
        return Err(NoTitrant::Neutral(kb.name(id).to_owned()));
    }
    let agent = Agent {
        molar_mass_g_mol: acid.molar_mass_g_mol,
        pka: acid.pka,
        protonated_charge: acid.protonated_charge,
        strong_charge: acid.strong_charge,
        percent: strength.map_or(100.0, |s| float(s.percent)),
        self_esters: one.id == "lactic-acid",
    };
    Ok(Titrant {
        name: written.trim().to_owned(),
        id,
        agent,
        caustic: one.cautions.iter().any(|c| c == "caustic"),
        taken_as_pure: strength.is_none()
            && one
                .sold_as_percent
                .iter()
                .any(|p| p.decimal() < Decimal::ONE_HUNDRED),
    })
}

/// Near names; of a name with a strength the nearest to what stands before the number.
fn near(kb: &Kb, written: &str) -> Vec<String> {
    let digits = written
        .find(|c: char| c.is_ascii_digit())
        .filter(|at| *at > 0)
        .unwrap_or(written.len());
    let (name, strength) = written.split_at(digits);
    let found = kb.nearest(name.trim());
    found
        .into_iter()
        .map(|(_, n)| format!("{n} {strength}").trim().to_owned())
        .collect()
}

/// What happened, in its order.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    Read(Decimal),
    Added {
        grams: Decimal,
        what: String,
    },
    /// So much was taken out to be tried on.
    Sample {
        grams: Decimal,
    },
    SampleRead(Decimal),
    SampleAdded {
        grams: Decimal,
        what: String,
    },
}

/// The readings with what went in before each.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Titration {
    pub titrants: Vec<Titrant>,
    pub readings: Vec<Reading>,
    /// Grams that went in before the first reading, by titrant: they are part of the product.
    pub before: Vec<(usize, f64)>,
    /// Grams and pH as they were written of the batch, for the paper: the readings without one that was the sample's.
    pub written: Vec<Written>,
    pub samples: Vec<Sampled>,
}

/// A sample with what it read and took.
#[derive(Clone, Debug, PartialEq)]
pub struct Sampled {
    pub mass_g: Decimal,
    /// How many readings of the batch stand before it.
    pub after: usize,
    pub readings: Vec<Reading>,
    pub written: Vec<Written>,
}

impl Sampled {
    /// As the fit takes it, from readings that number the agents in its way.
    pub fn with<'a>(&self, readings: &'a [Reading]) -> Sample<'a> {
        Sample {
            mass_g: float(self.mass_g),
            after: self.after,
            readings,
        }
    }
}

/// One reading as written.
#[derive(Clone, Debug, PartialEq)]
pub struct Written {
    pub ph: Decimal,
    pub added: Option<(Decimal, usize)>,
}

/// Puts steps in order for the fit. The error says what is wrong and what to do.
pub fn titration(kb: &Kb, steps: &[Step]) -> Result<Titration, String> {
    let mut out = Titration::default();
    let (mut batch, mut sample) = (Waiting(None), Waiting(None));
    for step in steps {
        match step {
            Step::Added { grams, what } => {
                let n = out.place(titrant(kb, what).map_err(|e| e.words(what))?);
                if out.readings.is_empty() {
                    out.before.push((n, float(*grams)));
                    continue;
                }
                batch.add(&out, n, *grams, what)?;
            }
            Step::Read(ph) => {
                let (reading, written) = batch.read(*ph);
                out.readings.push(reading);
                out.written.push(written);
            }
            Step::Sample { grams } => {
                if let Some((n, _)) = batch.0 {
                    return Err(format!(
                        "the pH after the {} is missing; read it before a sample is taken",
                        out.titrants[n].name
                    ));
                }
                sample.done(&out, "the pH of the sample")?;
                out.samples.push(Sampled {
                    mass_g: *grams,
                    after: out.readings.len(),
                    readings: Vec::new(),
                    written: Vec::new(),
                });
            }
            Step::SampleAdded { grams, what } => {
                let n = out.place(titrant(kb, what).map_err(|e| e.words(what))?);
                out.sample()?;
                sample.add(&out, n, *grams, what)?;
            }
            Step::SampleRead(ph) => {
                let (reading, written) = sample.read(*ph);
                let at = out.sample()?;
                let began = written.added.is_none();
                at.readings.push(reading);
                at.written.push(written);
                // It is the same product: where the batch was not read by itself, the fit begins here. Nobody wrote it of the batch.
                if out.readings.is_empty() && began {
                    out.readings.push(reading);
                }
            }
        }
    }
    batch.done(&out, "the pH")?;
    sample.done(&out, "the pH of the sample")?;
    Ok(out)
}

/// What went in and was not followed by a reading yet.
struct Waiting(Option<(usize, Decimal)>);

impl Waiting {
    fn add(
        &mut self,
        so_far: &Titration,
        n: usize,
        grams: Decimal,
        what: &str,
    ) -> Result<(), String> {
        self.0 = match self.0 {
            None => Some((n, grams)),
            Some((m, sum)) if m == n => Some((n, sum + grams)),
            Some((m, _)) => {
                return Err(format!(
                    "between {} and {what} no pH was read; read it after each acid or base",
                    so_far.titrants[m].name
                ));
            }
        };
        Ok(())
    }

    fn read(&mut self, ph: Decimal) -> (Reading, Written) {
        let added = self.0.take().filter(|(_, grams)| !grams.is_zero());
        let reading = Reading {
            ph: float(ph),
            added_g: added.map_or(0.0, |(_, g)| float(g)),
            agent: added.map_or(0, |(n, _)| n),
        };
        (
            reading,
            Written {
                ph,
                added: added.map(|(n, g)| (g, n)),
            },
        )
    }

    fn done(&self, so_far: &Titration, which: &str) -> Result<(), String> {
        match self.0 {
            Some((n, _)) => Err(format!(
                "{which} after the {} is missing; stir, read it and write it down",
                so_far.titrants[n].name
            )),
            None => Ok(()),
        }
    }
}

impl Titration {
    fn sample(&mut self) -> Result<&mut Sampled, String> {
        self.samples.last_mut().ok_or_else(|| {
            "how much the sample weighs is not known; say it before its readings, as `sample 30 g` in the log or --sample 30g".to_owned()
        })
    }

    /// The number of a titrant, which is put at the end where it is new.
    pub fn place(&mut self, one: Titrant) -> usize {
        let same = |t: &Titrant| t.id == one.id && t.agent.percent == one.agent.percent;
        self.titrants.iter().position(same).unwrap_or_else(|| {
            self.titrants.push(one);
            self.titrants.len() - 1
        })
    }
}

/// A measure in grams, where it is a weight.
pub fn grams(m: Measure) -> Option<Decimal> {
    Amount::new(m.value, m.unit).grams(None)
}

/// Whether two names are written alike.
pub fn alike(a: &str, b: &str) -> bool {
    key(a) == key(b)
}
