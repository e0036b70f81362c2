//! How much acid or base the product still needs, from the readings at the bench.
//!
//! Shapes: the batch in grams, what is being added ([`Agent`]), the readings so far (pH, and the grams that
//! went in since the reading before), the target; out comes the next dose in grams as weighed.
//!
//! Method: at every reading the charges must cancel. Those of hydrogen, hydroxide, the agent and whatever
//! acids the caller knows are calculated (ideal charge balance, [`super::acid_base`]); what is left over is
//! the product's own, unknown, buffering. It is taken as linear in pH between readings, from the third
//! reading on with the bend that the last three show. The dose follows without any search, because the
//! charge balance is linear in the amount of agent.
//!
//! Range, and what is refused or held back:
//! - one reading: a trial of 0.05 % of the batch as pure acid or base, less of a strong agent; where the acids
//!   of the formula are known, two thirds of what they alone take to the target, be it less or more;
//! - the fit reaches one span of the readings beyond the last one, and never more than 1.0 pH: a target
//!   further off gets a dose to the end of that reach and no promise beyond it;
//! - of a dose to the target two thirds go in first, then it is measured again; up to nine tenths once a third
//!   reading bears the fit out, less the further it is;
//! - a target that was passed is corrected back once, then the batch is better thrown away.
//!
//! Errors: pH meters are good to 0.02 to 0.05, paper to 0.3. Dilution by the additions is left out (below
//! 2 % of the batch it does not show). Of 2,000 random mixtures of one to five weak acids (3 to 33 mmol/kg
//! each, target 0.3 to 1.5 pH away) three in four came within 0.1 pH in three doses and one in twenty passed
//! the target by more than 0.1 after the trial: mixtures that lose their hold on the pH close by, which no
//! earlier reading shows. The blind trial alone passed it in one mixture of six: name the known acids.

use super::Refusal;
use super::acid_base::{System, check_pka, plain_forms};
use super::root::root;

/// The trial with nothing known: this share of the batch as pure acid or base.
pub const TRIAL_SHARE: f64 = 0.000_5;
/// What a trial of a strong acid or base may bring at most, mol per kg of batch: about what 0.05 % of
/// lactic acid brings.
pub const STRONG_TRIAL_MOL_KG: f64 = 0.006;
/// The fit is not believed further than this beyond the last reading, pH.
pub const REACH_PH: f64 = 1.0;
/// Nearer than this to the target is there: no kitchen meter tells the difference.
pub const CLOSE_ENOUGH_PH: f64 = 0.1;
/// Readings closer together than this say nothing about the buffering.
const LEAST_MOVE_PH: f64 = 0.03;
/// Of a first dose by the fit.
const FIRST_SHARE: f64 = 2.0 / 3.0;
/// Of a dose that a third reading vouches for: a drop short is easily mended, a drop over is not.
const PROVEN_SHARE: f64 = 0.9;
/// What is left of the fitted hold on the pH where it falls off on the way to the target.
const HOLD_LEFT: f64 = 0.75;

/// What is weighed in to move the pH.
#[derive(Clone, Debug, PartialEq)]
pub struct Agent {
    pub molar_mass_g_mol: f64,
    /// Ascending; empty for a strong acid or base.
    pub pka: Vec<f64>,
    /// Charge with all protons on.
    pub protonated_charge: i32,
    /// Charge of the strong ions that come with one mole: +1 for sodium hydroxide, −1 for hydrochloric acid.
    pub strong_charge: i32,
    /// Strength of what is weighed in, % by weight.
    pub percent: f64,
    /// Holds esters with itself when concentrated, as lactic acid does.
    pub self_esters: bool,
}

/// A pH read at the bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    pub ph: f64,
    /// Grams, as weighed in, since the reading before; 0 at the first.
    pub added_g: f64,
    /// Which of the agents that was; of no meaning where nothing went in.
    pub agent: usize,
}

/// Everything that is known at the bench.
#[derive(Clone, Copy, Debug)]
pub struct Bench<'a> {
    pub mass_g: f64,
    pub target_ph: f64,
    /// What went in so far or may go in now. Acids lower, bases raise; the first that goes the right way is
    /// the one to go on with.
    pub agents: &'a [Agent],
    /// Acids, bases and salts of the formula, mol per kg of product, as far as they are known.
    pub known: Option<&'a System>,
    pub readings: &'a [Reading],
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Within 0.1 of the target: leave it.
    OnTarget,
    /// One reading only: add a little and see.
    Trial,
    /// The fit reaches the target.
    Dose,
    /// The target is further off than the readings reach: a step towards it.
    Step,
    /// The target was passed: correct back, once.
    Overshot,
    /// Passed again after the correction: better discarded.
    Discard,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Caution {
    /// A strong acid or base: dilute it, add it drop by drop with stirring, wear goggles and gloves; acid
    /// into water, never water into acid.
    Strong,
    /// Concentrated lactic acid: its esters come apart after dilution and the pH drifts down for a day.
    EsterDrift,
    /// A product with little buffering (a toner, a gel without salts) can jump past the target: start with
    /// a tenth.
    MayJump,
    /// So far the pH hardly moved: the meter, the mixing and the strength of the agent are worth a look.
    HardlyMoved,
    /// The product holds its pH less and less: the last part in small steps.
    Softening,
    /// More than 2 % of the batch has gone in or would: the whole formula is being diluted.
    Diluting,
}

impl Caution {
    /// For a person at the bench.
    pub fn text(self) -> &'static str {
        match self {
            Caution::Strong => {
                "strong acids and bases burn: goggles and gloves, a dilute solution, drop by drop while stirring; acid into water, never water into acid"
            }
            Caution::EsterDrift => {
                "concentrated lactic acid holds esters with itself that come apart after dilution: the pH drifts down for a day, measure again tomorrow"
            }
            Caution::MayJump => {
                "nothing is known yet of how this product holds its pH: a toner, or a gel without salts, can jump past the target; start with a tenth of this for one of those"
            }
            Caution::HardlyMoved => "the pH hardly moved: check the meter, the mixing and the strength of the solution",
            Caution::Softening => "the product holds its pH less and less: the last part in small steps",
            Caution::Diluting => "more than 2 % of the batch goes in: use a stronger solution or the formula is diluted",
        }
    }
}

/// What to do next.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    pub verdict: Verdict,
    /// Which of the agents. None where nothing is to be added, or where a correction needs one that was not
    /// named.
    pub agent: Option<usize>,
    /// Grams, as weighed in, to the target, or as far towards it as the readings reach.
    pub add_g: Option<f64>,
    /// Grams to add now; then measure again.
    pub suggest_first_g: Option<f64>,
    /// pH expected after `suggest_first_g`.
    pub expected_ph: Option<f64>,
    /// mmol of strong acid or base that move one kg of the product by one pH, here.
    pub buffer_mmol_per_ph: Option<f64>,
    /// How many readings the fit rests on.
    pub points: usize,
    /// How far the target was passed, pH.
    pub overshot_by: Option<f64>,
    pub cautions: Vec<Caution>,
}

impl Agent {
    /// Mean charge that one mole brings at a pH: negative for an acid at work.
    fn charge(&self, ph: f64) -> f64 {
        let forms = plain_forms(&self.pka, ph);
        let own: f64 = forms.iter().enumerate().map(|(lost, s)| s * f64::from(self.protonated_charge - lost as i32)).sum();
        own + f64::from(self.strong_charge)
    }

    /// Whether it lowers the pH of a neutral product.
    pub fn is_acid(&self) -> bool {
        self.charge(7.0) < 0.0
    }

    pub fn is_strong(&self) -> bool {
        self.pka.is_empty()
    }

    fn grams(&self, mol_per_kg: f64, mass_g: f64) -> f64 {
        mol_per_kg * mass_g / 1000.0 * self.molar_mass_g_mol * 100.0 / self.percent
    }

    fn mol_per_kg(&self, grams: f64, mass_g: f64) -> f64 {
        grams * self.percent / 100.0 / self.molar_mass_g_mol * 1000.0 / mass_g
    }

    fn check(&self) -> Result<(), Refusal> {
        if !(self.molar_mass_g_mol.is_finite() && self.molar_mass_g_mol > 0.0) {
            return Err(Refusal::new("the molar mass of the acid or base is not known"));
        }
        check_pka(&self.pka)?;
        if !(self.percent > 0.0 && self.percent <= 100.0) {
            return Err(Refusal::new("the strength of the acid or base lies above 0 and up to 100 %"));
        }
        Ok(())
    }
}

/// The share of a proven dose that goes in: even if the product holds its pH a quarter less than fitted, the target is not passed by
/// more than can be told.
fn proven_share(distance_ph: f64) -> f64 {
    PROVEN_SHARE.min(HOLD_LEFT * (1.0 + CLOSE_ENOUGH_PH / distance_ph))
}

/// The next step towards the target.
pub fn advise(bench: &Bench) -> Result<Advice, Refusal> {
    check(bench)?;
    let points = fit_points(bench)?;
    let last = points[points.len() - 1].ph;
    let target = bench.target_ph;
    let mut advice = Advice {
        verdict: Verdict::OnTarget,
        agent: None,
        add_g: None,
        suggest_first_g: None,
        expected_ph: None,
        buffer_mmol_per_ph: Fit::new(&points).map(|fit| 1000.0 * fit.capacity(bench)),
        points: points.len(),
        overshot_by: None,
        cautions: Vec::new(),
    };
    if (last - target).abs() <= CLOSE_ENOUGH_PH {
        return Ok(advice);
    }
    let down = target < last;
    advice.agent = bench.agents.iter().position(|a| a.is_acid() == down);
    let additions: Vec<bool> = bench.readings.iter().filter(|r| r.added_g > 0.0).map(|r| bench.agents[r.agent].is_acid()).collect();
    let overshot = additions.last().is_some_and(|went_down| *went_down != down);
    if overshot {
        advice.overshot_by = Some((target - last).abs());
        if additions.iter().any(|a| *a != additions[0]) {
            advice.verdict = Verdict::Discard;
            advice.agent = None;
            return Ok(advice);
        }
        advice.verdict = Verdict::Overshot;
    }
    let Some(which) = advice.agent else {
        if overshot {
            return Ok(advice);
        }
        return Err(Refusal::new(if down {
            "the pH is above the target: this needs an acid, not a base"
        } else {
            "the pH is below the target: this needs a base, not an acid"
        }));
    };
    let agent = &bench.agents[which];
    if points.len() == 1 {
        return trial(bench, agent, &points[0], advice);
    }
    let Some(fit) = Fit::new(&points) else {
        return hardly_moved(bench, agent, advice);
    };
    let toward = (target - last).signum();
    // Going back over ground that was measured is not extrapolation.
    let reach = if advice.overshot_by.is_some() { f64::INFINITY } else { fit.span.min(REACH_PH) };
    let whole = fit.dose(bench, agent, target)?;
    let (add, first) = if (target - last).abs() <= reach + 1e-9 {
        if advice.overshot_by.is_none() {
            advice.verdict = Verdict::Dose;
        }
        (whole, if fit.is_proven(target) { whole * proven_share((target - last).abs()) } else { whole * FIRST_SHARE })
    } else {
        advice.verdict = Verdict::Step;
        let step = fit.dose(bench, agent, last + toward * reach)?;
        (step, step.min(whole * FIRST_SHARE))
    };
    advice.add_g = Some(agent.grams(add, bench.mass_g));
    advice.suggest_first_g = Some(agent.grams(first, bench.mass_g));
    advice.expected_ph = fit.ph_after(bench, agent, first).ok();
    if fit.softens() && advice.overshot_by.is_none() {
        advice.cautions.push(Caution::Softening);
    }
    common_cautions(bench, agent, &mut advice);
    Ok(advice)
}

/// The pH over further additions of an agent, as far as the fit reaches: (grams as weighed in after the last
/// reading, pH), `points` of them, for the drawing. Refused with fewer than two readings.
pub fn curve(bench: &Bench, agent: usize, points: usize) -> Result<Vec<(f64, f64)>, Refusal> {
    check(bench)?;
    let agent = bench.agents.get(agent).ok_or_else(|| Refusal::new("what goes in is not named"))?;
    let Some(fit) = Fit::new(&fit_points(bench)?) else {
        return Err(Refusal::new("two readings that differ are needed to draw a curve"));
    };
    let reach = fit.span.min(REACH_PH);
    let end = fit.last.ph + if agent.is_acid() { -reach } else { reach };
    let most = fit.dose(bench, agent, end)?;
    let steps = points.clamp(2, 1000) - 1;
    (0..=steps)
        .map(|step| {
            let mol = most * step as f64 / steps as f64;
            Ok((agent.grams(mol, bench.mass_g), fit.ph_after(bench, agent, mol)?))
        })
        .collect()
}

fn trial(bench: &Bench, agent: &Agent, last: &Point, mut advice: Advice) -> Result<Advice, Refusal> {
    advice.verdict = Verdict::Trial;
    let mut mol = TRIAL_SHARE * 1000.0 / agent.molar_mass_g_mol;
    if agent.is_strong() {
        mol = mol.min(STRONG_TRIAL_MOL_KG / f64::from(agent.strong_charge.abs().max(1)));
    }
    // What is known (the formula's acids, or water alone) holds the pH less than the whole product does, so what
    // moves it to the target is the least that moves the product there: two thirds of it cannot pass the target.
    let alone = Fit { last: last.clone(), slope: 0.0, bend: 0.0, before: last.ph, span: 0.0, earlier_slope: None, moved: 0.0 };
    let least = alone.dose(bench, agent, bench.target_ph).ok().filter(|least| *least > 0.0).map(|least| least * FIRST_SHARE);
    let known = bench.known.is_some() && least.is_some();
    match least {
        Some(least) if known || least > mol => mol = least,
        _ => {}
    }
    if known {
        advice.expected_ph = alone.ph_after(bench, agent, mol).ok();
    }
    if !known {
        advice.cautions.push(Caution::MayJump);
    }
    let grams = agent.grams(mol, bench.mass_g);
    advice.add_g = Some(grams);
    advice.suggest_first_g = Some(grams);
    common_cautions(bench, agent, &mut advice);
    Ok(advice)
}

/// The readings lie too close together for a fit: twice as much again, up to 0.5 % of the batch.
fn hardly_moved(bench: &Bench, agent: &Agent, mut advice: Advice) -> Result<Advice, Refusal> {
    let reading = &bench.readings[bench.readings.len() - 1];
    let last = reading.added_g * bench.agents.get(reading.agent).map_or(0.0, |a| a.percent) / 100.0;
    let most = 10.0 * TRIAL_SHARE * bench.mass_g;
    if last >= most {
        return Err(Refusal::new("the pH does not move: check the meter, the mixing and the strength of the solution before adding more"));
    }
    let pure = (2.0 * last).min(most);
    if advice.overshot_by.is_none() {
        advice.verdict = Verdict::Step;
    }
    advice.add_g = Some(pure * 100.0 / agent.percent);
    advice.suggest_first_g = advice.add_g;
    advice.cautions.push(Caution::HardlyMoved);
    common_cautions(bench, agent, &mut advice);
    Ok(advice)
}

fn common_cautions(bench: &Bench, agent: &Agent, advice: &mut Advice) {
    if agent.is_strong() {
        advice.cautions.push(Caution::Strong);
    }
    if agent.self_esters && agent.percent > 50.0 {
        advice.cautions.push(Caution::EsterDrift);
    }
    let so_far: f64 = bench.readings.iter().map(|r| r.added_g).sum();
    if so_far + advice.add_g.unwrap_or(0.0) > 0.02 * bench.mass_g {
        advice.cautions.push(Caution::Diluting);
    }
}

#[derive(Clone, Debug)]
struct Point {
    ph: f64,
    /// Charge that the known part leaves over, mol/kg: what the unknown part holds with opposite sign.
    rest: f64,
    /// What has gone in up to here of each agent, mol per kg of batch.
    dosed: Vec<f64>,
}

/// The unknown part as it is seen from the last reading.
struct Fit {
    last: Point,
    /// mol/kg per pH between the last two readings.
    slope: f64,
    /// How the slope changes per pH; 0 with two readings.
    bend: f64,
    /// pH of the reading before the last.
    before: f64,
    /// From the lowest reading to the highest, pH.
    span: f64,
    earlier_slope: Option<f64>,
    /// How far the last dose moved the pH.
    moved: f64,
}

impl Fit {
    fn new(points: &[Point]) -> Option<Fit> {
        let last = points.last()?.clone();
        // The nearest earlier readings that lie far enough apart to say something.
        let apart = |a: &Point, b: &Point| (a.ph - b.ph).abs() >= LEAST_MOVE_PH;
        let m = points.iter().rposition(|p| apart(p, &last))?;
        let slope = secant(&points[m], &last);
        let earlier = points[..m].iter().rposition(|p| apart(p, &points[m]) && apart(p, &last));
        let earlier_slope = earlier.map(|k| secant(&points[k], &points[m]));
        let bend = match (earlier, earlier_slope) {
            (Some(k), Some(before)) => (slope - before) / (last.ph - points[k].ph),
            _ => 0.0,
        };
        let low = points.iter().map(|p| p.ph).fold(f64::INFINITY, f64::min);
        let high = points.iter().map(|p| p.ph).fold(f64::NEG_INFINITY, f64::max);
        let before = points[m].ph;
        let moved = (last.ph - before).abs();
        Some(Fit { last, slope, bend, before, span: high - low, earlier_slope, moved })
    }

    /// What the unknown part holds at a pH, bent to no less than half the last slope and to no more than
    /// two and a half times it.
    fn rest(&self, ph: f64) -> f64 {
        let slope = (self.slope + self.bend * (ph - self.before)).clamp(0.5 * self.slope, 2.5 * self.slope);
        self.last.rest + slope * (ph - self.last.ph)
    }

    /// mol/kg of an agent from the last reading to a pH.
    fn dose(&self, bench: &Bench, agent: &Agent, ph: f64) -> Result<f64, Refusal> {
        let charge = agent.charge(ph);
        let wanted = if ph < self.last.ph { -1.0 } else { 1.0 };
        // Below a fiftieth of its proton at work an agent cannot take the pH there in any sane amount.
        if charge * wanted < 0.02 {
            return Err(Refusal::new(if wanted < 0.0 {
                "this acid is too weak to take the pH so low"
            } else {
                "this base is too weak to take the pH so high"
            }));
        }
        let missing = self.rest(ph) - known_charge(bench, &self.last.dosed, ph);
        Ok((missing / charge).max(0.0))
    }

    /// The pH that a dose leads to.
    fn ph_after(&self, bench: &Bench, agent: &Agent, mol_per_kg: f64) -> Result<f64, Refusal> {
        let gap = |ph: f64| known_charge(bench, &self.last.dosed, ph) + mol_per_kg * agent.charge(ph) - self.rest(ph);
        root(gap, 0.0, 14.0, 1e-6)
    }

    /// mol/kg that move the whole product by one pH at the last reading.
    fn capacity(&self, bench: &Bench) -> f64 {
        let h = 0.01;
        let at = |ph: f64| known_charge(bench, &self.last.dosed, ph);
        self.slope.max(0.0) + (at(self.last.ph - h) - at(self.last.ph + h)) / (2.0 * h)
    }

    /// A third reading that shows the product stiffening means that the fit errs on the side of too little;
    /// one that shows it softening a little is in the bend already, as long as the target is near.
    fn is_proven(&self, target: f64) -> bool {
        let near = (target - self.last.ph).abs() <= 1.5 * self.moved;
        self.earlier_slope.is_some_and(|earlier| self.slope >= earlier || (near && self.slope >= 0.5 * earlier))
    }

    fn softens(&self) -> bool {
        self.earlier_slope.is_some_and(|earlier| self.slope < 0.8 * earlier)
    }
}

fn secant(a: &Point, b: &Point) -> f64 {
    // Known acids that are overstated leave a slope below zero: the rest then counts as nothing.
    ((b.rest - a.rest) / (b.ph - a.ph)).max(0.0)
}

/// Charge of everything that can be calculated at a pH, mol/kg.
fn known_charge(bench: &Bench, dosed: &[f64], ph: f64) -> f64 {
    let product = bench.known.map_or_else(|| System::new().ideal_charge(ph), |s| s.ideal_charge(ph));
    let added: f64 = dosed.iter().zip(bench.agents).map(|(mol, agent)| mol * agent.charge(ph)).sum();
    product + added
}

fn fit_points(bench: &Bench) -> Result<Vec<Point>, Refusal> {
    let mut dosed = vec![0.0; bench.agents.len()];
    let mut points: Vec<Point> = Vec::with_capacity(bench.readings.len());
    for (row, reading) in bench.readings.iter().enumerate() {
        if reading.added_g > 0.0 {
            let agent = &bench.agents[reading.agent];
            dosed[reading.agent] += agent.mol_per_kg(reading.added_g, bench.mass_g);
            let before = points.last().map_or(reading.ph, |p| p.ph);
            let wrong = if agent.is_acid() { reading.ph - before } else { before - reading.ph };
            if wrong > LEAST_MOVE_PH {
                return Err(Refusal::new(if agent.is_acid() {
                    "the pH rose after acid went in: mix well, let the meter settle and measure again"
                } else {
                    "the pH fell after base went in: mix well, let the meter settle and measure again"
                }));
            }
        } else if row > 0 {
            // Measured again with nothing added: the newer reading stands.
            points.pop();
        }
        points.push(Point { ph: reading.ph, rest: known_charge(bench, &dosed, reading.ph), dosed: dosed.clone() });
    }
    Ok(points)
}

fn check(bench: &Bench) -> Result<(), Refusal> {
    if !(bench.mass_g.is_finite() && bench.mass_g > 0.0) {
        return Err(Refusal::new("the weight of the batch is not known"));
    }
    for agent in bench.agents {
        agent.check()?;
    }
    if let Some(system) = bench.known {
        system.check()?;
    }
    if bench.readings.is_empty() {
        return Err(Refusal::new("measure the pH first"));
    }
    let in_range = |ph: f64| (0.5..=13.5).contains(&ph);
    if !in_range(bench.target_ph) || bench.readings.iter().any(|r| !in_range(r.ph)) {
        return Err(Refusal::new("a pH below 0.5 or above 13.5 is beyond any meter at the bench"));
    }
    if bench.readings.iter().any(|r| !(r.added_g.is_finite() && r.added_g >= 0.0)) {
        return Err(Refusal::new("an addition cannot weigh less than nothing"));
    }
    if bench.readings[0].added_g > 0.0 {
        return Err(Refusal::new("the first reading is taken before anything goes in"));
    }
    if bench.readings.iter().any(|r| r.added_g > 0.0 && r.agent >= bench.agents.len()) {
        return Err(Refusal::new("what went in is not named"));
    }
    Ok(())
}
