//! The dose at the bench: ten products whose titration curves pHcalc worked out, dosed from the readings
//! alone; and what is said when it goes wrong.

use phasewright::chem::acid_base::{Activity, System};
use phasewright::chem::dose::*;
use serde_json::Value;

struct Product {
    name: String,
    /// mol of agent per kg of product, and the pH.
    curve: Vec<(f64, f64)>,
    agent: Agent,
    target: f64,
}

fn products() -> Vec<Product> {
    let path = format!("{}/tests/reference/titrations.json", env!("CARGO_MANIFEST_DIR"));
    let rows: Vec<Value> = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let number = |v: &Value| v.as_f64().unwrap();
    rows.iter()
        .map(|row| Product {
            name: row["name"].as_str().unwrap().into(),
            curve: row["curve"].as_array().unwrap().iter().map(|p| (number(&p[0]), number(&p[1]))).collect(),
            agent: Agent {
                molar_mass_g_mol: number(&row["agent"]["molar_mass"]),
                pka: row["agent"]["pka"].as_array().unwrap().iter().map(number).collect(),
                protonated_charge: row["agent"]["charge"].as_i64().unwrap() as i32,
                strong_charge: row["agent"]["strong"].as_i64().unwrap() as i32,
                percent: 10.0,
                self_esters: false,
            },
            target: number(&row["target"]),
        })
        .collect()
}

impl Product {
    /// What a meter that shows two decimals reads after so much agent.
    fn read(&self, mol_per_kg: f64) -> f64 {
        let next = self.curve.iter().position(|(mol, _)| *mol >= mol_per_kg).expect("a dose beyond the curve");
        let (m1, p1) = self.curve[next];
        let (m0, p0) = self.curve[next.max(1) - 1];
        let exact = if next == 0 { p1 } else { p0 + (p1 - p0) * (mol_per_kg - m0) / (m1 - m0) };
        (exact * 100.0).round() / 100.0
    }
}

#[test]
fn ten_products_land_within_a_tenth_in_three_doses() {
    let products = products();
    assert_eq!(products.len(), 10);
    let mut faults = Vec::new();
    for product in &products {
        let mut readings = vec![Reading { ph: product.read(0.0), added_g: 0.0, agent: 0 }];
        let down = product.agent.is_acid();
        let mut mol = 0.0;
        let mut story = format!("{}: {:.2}", product.name, readings[0].ph);
        for _ in 0..3 {
            let bench = bench(std::slice::from_ref(&product.agent), &readings, product.target);
            let advice = advise(&bench).unwrap();
            let Some(added_g) = advice.suggest_first_g else { break };
            mol += added_g * 0.10 / product.agent.molar_mass_g_mol * 1000.0 / bench.mass_g;
            let ph = product.read(mol);
            story += &format!(" | {:?} {added_g:.3} g, expected {:.2?}, read {ph:.2}", advice.verdict, advice.expected_ph);
            let past = if down { product.target - ph } else { ph - product.target };
            if past > 0.1 {
                faults.push(format!("overshot by {past:.2}: {story}"));
            }
            readings.push(Reading { ph, added_g, agent: 0 });
        }
        let off = (readings.last().unwrap().ph - product.target).abs();
        if off > 0.1 + 1e-9 {
            faults.push(format!("{off:.2} off the target {}: {story}", product.target));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// The same on mixtures drawn by a fixed generator: the figures that the module's own page gives.
#[test]
fn random_mixtures_mostly_land_and_rarely_pass() {
    let mut draw = Draw(0x0123_4567);
    let (mut tried, mut landed, mut passed) = (0, 0, 0);
    while tried < 300 {
        let mut system = System::new();
        let mut total = 0.0;
        for _ in 0..1 + (draw.next() * 5.0) as usize {
            let mol = 0.003 + 0.03 * draw.next();
            system.add(mol, &[3.0 + 5.0 * draw.next()], 0, 0);
            total += mol;
        }
        system = system.ion(total * (0.2 + 0.8 * draw.next()), 1);
        let start = system.ph(Activity::Ideal).unwrap().ph;
        let down = draw.next() < 0.7;
        let away = 0.3 + 1.2 * draw.next();
        let target = if down { start - away } else { start + away };
        if !(3.5..8.5).contains(&start) || !(4.2..7.5).contains(&target) {
            continue;
        }
        let agent = if down { lactic(10.0) } else { arginine() };
        let mut mol = 0.0;
        let mut readings = vec![Reading { ph: start, added_g: 0.0, agent: 0 }];
        for _ in 0..3 {
            let bench = bench(std::slice::from_ref(&agent), &readings, target);
            let Some(added_g) = advise(&bench).unwrap().suggest_first_g else { break };
            mol += added_g * 0.1 / agent.molar_mass_g_mol * 1000.0 / bench.mass_g;
            let with = system.clone().with(mol, &agent.pka, agent.protonated_charge, agent.strong_charge);
            let ph = with.ph(Activity::Ideal).unwrap().ph;
            readings.push(Reading { ph: (ph * 100.0).round() / 100.0, added_g, agent: 0 });
            if (if down { target - ph } else { ph - target }) > 0.1 {
                break;
            }
        }
        let last = readings.last().unwrap().ph;
        let past = if down { target - last } else { last - target };
        if past > 0.1 && readings.len() == 2 {
            continue;
        }
        tried += 1;
        landed += i32::from(past.abs() <= 0.1);
        passed += i32::from(past > 0.1);
    }
    assert!(landed >= 200 && passed <= 24, "{landed} landed, {passed} passed of {tried}");
}

struct Draw(u64);

impl Draw {
    /// 0 to 1.
    fn next(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

fn lactic(percent: f64) -> Agent {
    Agent { molar_mass_g_mol: 90.078, pka: vec![3.86], protonated_charge: 0, strong_charge: 0, percent, self_esters: true }
}

fn lye() -> Agent {
    Agent { molar_mass_g_mol: 39.997, pka: vec![], protonated_charge: 0, strong_charge: 1, percent: 10.0, self_esters: false }
}

fn arginine() -> Agent {
    Agent {
        molar_mass_g_mol: 174.20,
        pka: vec![1.823, 8.991, 12.48],
        protonated_charge: 2,
        strong_charge: 0,
        percent: 10.0,
        self_esters: false,
    }
}

fn bench<'a>(agents: &'a [Agent], readings: &'a [Reading], target_ph: f64) -> Bench<'a> {
    Bench { mass_g: 250.0, target_ph, agents, known: None, readings }
}

fn read(ph: f64, added_g: f64) -> Reading {
    Reading { ph, added_g, agent: 0 }
}

#[test]
fn one_reading_gives_a_trial_of_a_twentieth_of_a_percent() {
    let advice = advise(&bench(&[lactic(10.0)], &[read(6.4, 0.0)], 5.2)).unwrap();
    assert_eq!(advice.verdict, Verdict::Trial);
    // 0.05 % of 250 g is 0.125 g of pure acid, 1.25 g of a 10 % solution.
    assert!((advice.add_g.unwrap() - 1.25).abs() < 1e-9);
    assert!(advice.cautions.contains(&Caution::MayJump));
    // Lye brings four times as many moles for its weight: 6 mmol/kg at most, 0.6 g of 10 %.
    let advice = advise(&bench(&[lye()], &[read(4.0, 0.0)], 5.0)).unwrap();
    assert!((advice.add_g.unwrap() - 0.59996).abs() < 1e-4);
    assert!(advice.cautions.contains(&Caution::Strong));
}

#[test]
fn known_acids_make_the_trial_smaller_in_a_product_that_would_jump() {
    let toner = System::new().with(0.002, &[4.76], 0, 1);
    let agents = [lactic(10.0)];
    let readings = [read(6.4, 0.0)];
    let advice = advise(&Bench { known: Some(&toner), ..bench(&agents, &readings, 5.2) }).unwrap();
    assert!(advice.add_g.unwrap() < 0.2, "{advice:?}");
    assert!(!advice.cautions.contains(&Caution::MayJump));
    assert!((5.2..6.4).contains(&advice.expected_ph.unwrap()));
}

#[test]
fn two_readings_give_two_thirds_first() {
    let advice = advise(&bench(&[lactic(10.0)], &[read(6.4, 0.0), read(5.6, 0.6)], 5.2)).unwrap();
    assert_eq!((advice.verdict, advice.points), (Verdict::Dose, 2));
    let (add, first) = (advice.add_g.unwrap(), advice.suggest_first_g.unwrap());
    assert!((first - add * 2.0 / 3.0).abs() < 1e-9);
    // By hand: 0.6 g of 10 % in 250 g is 2.664 mmol/kg. Lactic acid has given up 98.21 % of its proton at
    // 5.6 and 95.63 % at 5.2; the rest of the product took 2.616 mmol for 0.8 pH, 3.27 per pH, so 1.308 more
    // are wanted, less the 0.069 that the acid already there takes back, plus 0.0038 for hydrogen ions.
    let wanted = (1.308 + 0.0687 + 0.0038) / 0.9563;
    assert!((add - wanted / 1000.0 * 0.25 * 90.078 * 10.0).abs() < 0.005, "{add}");
    assert!((5.2..5.6).contains(&advice.expected_ph.unwrap()));
    // Buffering at 5.6: the rest's 3.27, the lactic acid's 2.303 × 2.664 × 0.9821 × 0.0179 = 0.108, 0.006 of water.
    assert!((advice.buffer_mmol_per_ph.unwrap() - 3.384).abs() < 0.01, "{advice:?}");
    assert!(advice.cautions.is_empty());
}

#[test]
fn the_fit_reaches_one_span_and_no_more_than_one_ph() {
    // Span 0.3: a target 0.8 away is out of reach, and the dose ends 0.3 on.
    let advice = advise(&bench(&[lactic(10.0)], &[read(6.4, 0.0), read(6.1, 1.25)], 5.3)).unwrap();
    assert_eq!(advice.verdict, Verdict::Step);
    assert!(advice.expected_ph.unwrap() >= 5.8 - 1e-3);
    // Span 2.4: still no further than 1.0.
    let advice = advise(&bench(&[lactic(10.0)], &[read(8.4, 0.0), read(6.0, 1.25)], 4.6)).unwrap();
    assert_eq!(advice.verdict, Verdict::Step);
    assert!(advice.expected_ph.unwrap() >= 5.0 - 1e-3);
}

#[test]
fn past_the_target_is_said_corrected_once_and_then_given_up() {
    let agents = [lactic(10.0), arginine()];
    let mut readings = vec![read(6.4, 0.0), read(4.6, 1.25)];
    let over = advise(&bench(&agents[..1], &readings, 5.2)).unwrap();
    assert_eq!((over.verdict, over.agent, over.add_g), (Verdict::Overshot, None, None));
    assert!((over.overshot_by.unwrap() - 0.6).abs() < 1e-9);
    let back = advise(&bench(&agents, &readings, 5.2)).unwrap();
    assert_eq!((back.verdict, back.agent), (Verdict::Overshot, Some(1)));
    assert!(back.suggest_first_g.unwrap() > 0.0);
    assert!((4.6..=5.2).contains(&back.expected_ph.unwrap()), "{back:?}");
    readings.push(Reading { ph: 4.9, added_g: back.suggest_first_g.unwrap(), agent: 1 });
    let rest = advise(&bench(&agents, &readings, 5.2)).unwrap();
    assert_eq!((rest.verdict, rest.agent), (Verdict::Dose, Some(1)), "{rest:?}");
    readings.push(Reading { ph: 5.6, added_g: rest.suggest_first_g.unwrap(), agent: 1 });
    let end = advise(&bench(&agents, &readings, 5.2)).unwrap();
    assert_eq!((end.verdict, end.agent, end.add_g), (Verdict::Discard, None, None));
}

/// What went in may be two solutions of one acid, or two acids: the charges count, not the names.
#[test]
fn solutions_of_two_strengths_and_two_acids_are_one_titration() {
    let citric = Agent { molar_mass_g_mol: 192.124, pka: vec![3.128, 4.761, 6.396], ..lactic(50.0) };
    let strong = [lactic(10.0), lactic(50.0), citric];
    let one = [read(6.4, 0.0), read(6.0, 0.5), read(5.6, 0.5)];
    let two = [read(6.4, 0.0), Reading { ph: 6.0, added_g: 0.1, agent: 1 }, read(5.6, 0.5)];
    let by_one = advise(&bench(&strong, &one, 5.3)).unwrap();
    let by_two = advise(&bench(&strong, &two, 5.3)).unwrap();
    assert_eq!(by_two.agent, Some(0));
    assert!((by_one.add_g.unwrap() - by_two.add_g.unwrap()).abs() < 1e-9);
    let mixed = [read(6.4, 0.0), Reading { ph: 6.0, added_g: 0.05, agent: 2 }, read(5.6, 0.5)];
    assert_eq!(advise(&bench(&strong, &mixed, 5.3)).unwrap().points, 3);
}

#[test]
fn the_curve_starts_at_the_last_reading_and_ends_with_the_reach() {
    let agents = [lactic(10.0), lye()];
    let readings = [read(6.4, 0.0), read(5.8, 0.6)];
    let points = curve(&bench(&agents, &readings, 5.2), 0, 21).unwrap();
    assert_eq!(points.len(), 21);
    assert!(points[0].0 == 0.0 && (points[0].1 - 5.8).abs() < 1e-3);
    assert!((points[20].1 - 5.2).abs() < 1e-3, "{points:?}");
    assert!(points.windows(2).all(|w| w[1].0 > w[0].0 && w[1].1 < w[0].1));
    let up = curve(&bench(&agents, &readings, 5.2), 1, 5).unwrap();
    assert!(up[4].1 > up[0].1);
    assert!(curve(&bench(&agents, &readings[..1], 5.2), 0, 21).is_err());
    assert!(curve(&bench(&agents, &readings, 5.2), 7, 21).is_err());
}

#[test]
fn a_product_that_loses_its_hold_and_one_that_is_drowned_are_said() {
    let agents = [lactic(10.0)];
    let cautions = |middle, last| {
        let readings = [read(7.0, 0.0), read(middle, 1.0), read(last, 1.0)];
        advise(&bench(&agents, &readings, last - 0.5)).unwrap().cautions
    };
    assert!(cautions(6.6, 5.9).contains(&Caution::Softening));
    assert!(!cautions(6.4, 5.78).contains(&Caution::Softening));
    assert!(!cautions(6.4, 6.1).contains(&Caution::Softening));
    // 250 g: more than 5 g in all is too much water for the formula.
    let diluting = |grams| {
        let readings = [read(7.0, 0.0), read(6.0, grams)];
        advise(&bench(&agents, &readings, 5.5)).unwrap().cautions.contains(&Caution::Diluting)
    };
    assert!(diluting(4.9) && !diluting(2.0));
}

#[test]
fn on_target_leaves_it_alone() {
    let advice = advise(&bench(&[lactic(10.0)], &[read(6.4, 0.0), read(5.27, 1.0)], 5.2)).unwrap();
    assert_eq!((advice.verdict, advice.add_g), (Verdict::OnTarget, None));
}

#[test]
fn a_ph_that_hardly_moves_asks_for_a_look_at_the_meter() {
    let advice = advise(&bench(&[lactic(10.0)], &[read(6.40, 0.0), read(6.39, 1.25)], 5.2)).unwrap();
    assert!(advice.cautions.contains(&Caution::HardlyMoved));
    assert!((advice.add_g.unwrap() - 2.5).abs() < 1e-9);
    assert!(advise(&bench(&[lactic(10.0)], &[read(6.40, 0.0), read(6.39, 12.6)], 5.2)).is_err());
}

#[test]
fn concentrated_lactic_acid_is_said_to_drift() {
    let drift = |percent| advise(&bench(&[lactic(percent)], &[read(6.4, 0.0)], 5.2)).unwrap().cautions;
    assert!(drift(60.0).contains(&Caution::EsterDrift));
    assert!(!drift(50.0).contains(&Caution::EsterDrift));
}

#[test]
fn what_makes_no_sense_is_refused() {
    let agents = [lactic(10.0)];
    assert!(advise(&bench(&agents, &[], 5.2)).is_err());
    assert!(advise(&bench(&agents, &[read(5.0, 0.0)], 6.0)).unwrap_err().reason().contains("base"));
    assert!(advise(&bench(&[lye()], &[read(6.0, 0.0)], 5.0)).unwrap_err().reason().contains("acid"));
    assert!(advise(&bench(&agents, &[read(6.0, 0.0), read(6.2, 1.0)], 5.0)).unwrap_err().reason().contains("rose"));
    assert!(advise(&bench(&agents, &[read(f64::NAN, 0.0)], 5.0)).is_err());
    assert!(advise(&bench(&agents, &[read(6.0, 0.0)], f64::NAN)).is_err());
    assert!(advise(&bench(&agents, &[read(13.8, 0.0)], 5.0)).is_err());
    assert!(advise(&bench(&agents, &[read(6.0, 0.0)], 0.2)).is_err());
    assert!(advise(&bench(&agents, &[read(6.0, 0.0), read(5.8, -1.0)], 5.0)).is_err());
    assert!(advise(&bench(&agents, &[read(6.0, 0.0), read(5.8, f64::NAN)], 5.0)).is_err());
    assert!(advise(&Bench { mass_g: 0.0, ..bench(&agents, &[read(6.0, 0.0)], 5.0) }).is_err());
    assert!(advise(&bench(&[Agent { percent: 0.0, ..lactic(1.0) }], &[read(6.0, 0.0)], 5.0)).is_err());
    assert!(advise(&bench(&agents, &[read(6.0, 1.0)], 5.0)).unwrap_err().reason().contains("first"));
    assert!(advise(&bench(&agents, &[read(6.0, 0.0), Reading { ph: 5.8, added_g: 1.0, agent: 3 }], 5.0)).is_err());
    assert!(advise(&bench(&[], &[read(6.0, 0.0)], 5.0)).is_err());
    // A weak acid cannot take a product to pH 1.
    assert!(advise(&bench(&agents, &[read(2.4, 0.0), read(1.6, 20.0)], 1.0)).is_err());
}

#[test]
fn measuring_again_without_an_addition_replaces_the_reading() {
    let twice = [read(6.6, 0.0), read(6.4, 0.0), read(5.6, 0.6)];
    let once = [read(6.4, 0.0), read(5.6, 0.6)];
    let agents = [lactic(10.0)];
    assert_eq!(advise(&bench(&agents, &twice, 5.2)).unwrap(), advise(&bench(&agents, &once, 5.2)).unwrap());
}
