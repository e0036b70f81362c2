//! Cooling, weighing and losses.

use phasewright::chem::cooling::{Reading, fit};
use phasewright::chem::losses::{
    EvaporatingVessel, batch_for, fill_grams, loss_percent, water_to_put_back,
};
use phasewright::chem::weighing::{
    dilution, pharmacopoeia_minimum, readability_share, smallest_batch, smallest_weight,
};
use proptest::prelude::*;
use rust_decimal::Decimal;

fn d(text: &str) -> Decimal {
    text.parse().unwrap()
}

fn readings(points: &[(f64, f64)]) -> Vec<Reading> {
    points
        .iter()
        .map(|&(minutes, celsius)| Reading { minutes, celsius })
        .collect()
}

/// Newton's law: room + (start − room) exp(−k t).
fn cooled(room: f64, start: f64, rate: f64, minutes: &[f64]) -> Vec<Reading> {
    minutes
        .iter()
        .map(|&m| Reading {
            minutes: m,
            celsius: room + (start - room) * (-rate * m).exp(),
        })
        .collect()
}

#[test]
fn a_known_curve_is_found_again() {
    let truth = |celsius: f64| ((75.0 - 21.0) / (celsius - 21.0)).ln() / 0.02;
    let all = cooled(21.0, 75.0, 0.02, &[0.0, 10.0, 20.0, 30.0, 40.0]);
    for (count, room) in [(2, Some(21.0)), (3, Some(21.0)), (5, Some(21.0)), (5, None)] {
        let cooling = fit(&all[..count], room).unwrap();
        assert!(
            (cooling.rate_per_minute - 0.02).abs() < 1e-5,
            "{count} readings, {room:?}: {cooling:?}"
        );
        assert!((cooling.room_celsius - 21.0).abs() < 0.01);
        let time = cooling.reaches(40.0).unwrap();
        assert!((time.minutes - truth(40.0)).abs() < 0.01, "{time:?}");
        assert!(time.earliest < time.minutes && time.minutes < time.latest);
        assert!((cooling.at(time.minutes).unwrap() - 40.0).abs() < 1e-6);
    }
}

#[test]
fn more_readings_narrow_the_spread_and_a_guessed_room_widens_it() {
    let all = cooled(
        21.0,
        75.0,
        0.02,
        &[0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0],
    );
    let spread = |readings: &[Reading], room| {
        let time = fit(readings, room).unwrap().reaches(40.0).unwrap();
        time.latest - time.earliest
    };
    assert!(spread(&all, Some(21.0)) < spread(&all[..4], Some(21.0)));
    assert!(spread(&all, None) > spread(&all, Some(21.0)));
}

/// Two standard errors on either side: against the scatter of 2,000 refits with a thermometer off by 0.5 °C
/// and a room off by 1 °C, drawn by a fixed generator.
#[test]
fn the_spread_is_that_of_repeated_readings() {
    let mut seed = 0x9E37_79B9_7F4A_7C15u64;
    let mut normal = || {
        // Twelve even draws, less six: near enough to the bell curve.
        (0..12).fold(-6.0, |sum, _| {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            sum + (seed >> 11) as f64 / (1u64 << 53) as f64
        })
    };
    let minutes = [10.0, 14.0, 19.0, 26.0, 33.0, 40.0];
    for (points, room) in [(2, Some(21.0)), (4, Some(21.0)), (6, Some(21.0)), (6, None)] {
        let exact = cooled(21.0, 75.0, 0.03, &minutes[..points]);
        let said = fit(&exact, room).unwrap().reaches(40.0).unwrap();
        let said = (said.latest - said.earliest) / 4.0;
        let mut times = Vec::new();
        for _ in 0..2000 {
            let mut again = exact.clone();
            again.iter_mut().for_each(|r| r.celsius += 0.5 * normal());
            let room = room.map(|r| r + normal());
            if let Ok(time) = fit(&again, room).and_then(|c| c.reaches(40.0)) {
                times.push(time.minutes);
            }
        }
        assert!(
            times.len() > 1200,
            "{points} readings, {room:?}: {}",
            times.len()
        );
        // Quartiles, since a fitted room has a long tail: 1.349 standard errors apart.
        times.sort_by(f64::total_cmp);
        let scatter = (times[times.len() * 3 / 4] - times[times.len() / 4]) / 1.349;
        let ratio = said / scatter;
        assert!(
            (0.85..1.2).contains(&ratio),
            "{points} readings, {room:?}: said {said:.2}, found {scatter:.2}"
        );
    }
}

/// A small jar at 119 °F that is below 100 °F in about ten minutes (common practice): in a room of 70 °F its
/// rate is ln(49/30)/10 = 0.049 a minute, so from two readings four minutes apart the ten come out.
#[test]
fn a_small_jar_in_ten_minutes() {
    let celsius = |f: f64| (f - 32.0) / 1.8;
    let rate: f64 = (49.0f64 / 30.0).ln() / 10.0;
    let jar = cooled(celsius(70.0), celsius(119.0), rate, &[0.0, 4.0]);
    let time = fit(&jar, Some(celsius(70.0)))
        .unwrap()
        .reaches(celsius(100.0))
        .unwrap();
    assert!((time.minutes - 10.0).abs() < 0.01);
    assert!(time.earliest > 5.0 && time.latest < 16.0, "{time:?}");
}

#[test]
fn cooling_that_cannot_be_told_is_refused() {
    let two = readings(&[(0.0, 75.0), (10.0, 65.0)]);
    assert!(fit(&two[..1], Some(21.0)).is_err());
    assert!(fit(&two, None).unwrap_err().reason().contains("room"));
    assert!(fit(&readings(&[(0.0, 60.0), (10.0, 65.0)]), Some(21.0)).is_err());
    assert!(fit(&readings(&[(10.0, 75.0), (0.0, 65.0)]), Some(21.0)).is_err());
    assert!(fit(&readings(&[(0.0, f64::NAN), (10.0, 65.0)]), Some(21.0)).is_err());
    assert!(fit(&two, Some(65.0)).is_err() && fit(&two, Some(f64::NAN)).is_err());
    assert!(fit(&readings(&[(f64::NAN, 75.0), (10.0, 65.0)]), Some(21.0)).is_err());
    assert!(fit(&readings(&[(0.0, 151.0), (10.0, 65.0)]), Some(21.0)).is_err());
    // A room of -25 °C or of a furnace is none, whether measured or fitted.
    assert!(fit(&two, Some(-25.0)).is_err());
    assert!(
        fit(
            &cooled(-25.0, 75.0, 0.05, &[0.0, 10.0, 20.0, 30.0, 40.0]),
            None
        )
        .is_err()
    );
    assert!(
        fit(
            &cooled(62.0, 95.0, 0.05, &[0.0, 10.0, 20.0, 30.0, 40.0]),
            None
        )
        .is_err()
    );
    // Three readings on a straight line tell no room.
    assert!(fit(&readings(&[(0.0, 75.0), (5.0, 70.0), (10.0, 65.0)]), None).is_err());
    let cooling = fit(&two, Some(21.0)).unwrap();
    assert!(
        cooling.reaches(21.0).is_err()
            && cooling.reaches(f64::NAN).is_err()
            && cooling.at(f64::NAN).is_err()
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    /// Readings off by what a thermometer is off by: the true time lies within the spread, or nearly so.
    #[test]
    fn the_spread_holds_the_truth(
        room in 15.0..28.0f64,
        start in 60.0..85.0f64,
        rate in 0.005..0.06f64,
        noise in prop::collection::vec(-0.5..0.5f64, 6),
    ) {
        let minutes: Vec<f64> = (0..6).map(|i| f64::from(i) * 0.15 / rate).collect();
        let mut all = cooled(room, start, rate, &minutes);
        for (reading, off) in all.iter_mut().zip(&noise) {
            reading.celsius += off;
        }
        let truth = ((start - room) / (40.0 - room)).ln() / rate;
        let time = fit(&all, Some(room)).unwrap().reaches(40.0).unwrap();
        prop_assert!(time.minutes.is_finite() && time.earliest <= time.minutes && time.minutes <= time.latest);
        prop_assert!(truth > time.earliest - 0.02 / rate && truth < time.latest + 0.02 / rate, "{truth} {time:?}");
    }

    /// Any readings give a time or a reason, never something that is no number.
    #[test]
    fn no_readings_break_it(points in prop::collection::vec((0.0..200.0f64, -30.0..160.0f64), 0..8), target in -30.0..160.0f64) {
        let mut points = points;
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        for room in [None, Some(21.0)] {
            if let Ok(cooling) = fit(&readings(&points), room) {
                prop_assert!(cooling.rate_per_minute > 0.0 && cooling.room_celsius.is_finite());
                if let Ok(time) = cooling.reaches(target) {
                    prop_assert!(time.minutes.is_finite() && time.earliest.is_finite() && time.latest.is_finite());
                }
            }
        }
    }
}

#[test]
fn what_a_scale_can_weigh() {
    // By hand: 0.01 g in 0.2 g is 5 %; a row of 0.2 % that may be 5 % off at most needs 100 g.
    assert_eq!(readability_share(d("0.2"), d("0.01")), Ok(d("0.05")));
    assert_eq!(smallest_weight(d("0.01"), d("0.05")), Ok(d("0.2")));
    assert_eq!(smallest_batch(d("0.2"), d("0.01"), d("0.05")), Ok(d("100")));
    // 0.3 %: 66.67 g, up to a step.
    assert_eq!(
        smallest_batch(d("0.3"), d("0.01"), d("0.05")),
        Ok(d("66.67"))
    );
    assert_eq!(smallest_weight(d("0.01"), d("1")), Ok(d("0.01")));
    assert!(dilution(d("0"), d("0.01"), d("0.05"), d("60")).is_err());
    assert!(readability_share(d("0"), d("0.01")).is_err());
    assert!(readability_share(d("1"), d("0")).is_err());
    assert!(smallest_batch(d("0"), d("0.01"), d("0.05")).is_err());
    assert!(smallest_batch(d("1"), d("0.01"), d("0")).is_err());
}

#[test]
fn a_dilution_that_makes_it_weighable() {
    // 0.05 g on a 0.01 g scale: as 10 % solution 0.5 g, of which 0.45 g is water; a stock of 0.2 g in 2 g.
    let ten = dilution(d("0.05"), d("0.01"), d("0.05"), d("60")).unwrap();
    assert_eq!(
        (ten.percent, ten.weigh_g, ten.carrier_g),
        (d("10"), d("0.50"), d("0.45"))
    );
    assert_eq!(
        (ten.stock_material_g, ten.stock_total_g),
        (d("0.20"), d("2.00"))
    );
    // 0.005 g needs 1 %, 0.0005 g 0.1 %; less than that no kitchen way.
    assert_eq!(
        dilution(d("0.005"), d("0.01"), d("0.05"), d("60"))
            .unwrap()
            .percent,
        d("1")
    );
    assert_eq!(
        dilution(d("0.0005"), d("0.01"), d("0.05"), d("60"))
            .unwrap()
            .percent,
        d("0.1")
    );
    assert!(dilution(d("0.0001"), d("0.01"), d("0.05"), d("60")).is_err());
    // And there must be water enough to leave out.
    assert!(dilution(d("0.005"), d("0.01"), d("0.05"), d("0.2")).is_err());
    // USP general chapter 41: 8.2 g for a scale of 0.01 g.
    assert_eq!(pharmacopoeia_minimum(d("0.01")), d("8.2"));
}

#[test]
fn water_that_went_as_vapour() {
    // By hand: beaker and phase 612.4 g, 20 g added, a sample of 1.5 g taken; now 619.2 g: 11.7 g are missing.
    let vessel = EvaporatingVessel {
        before_g: d("612.4"),
        added_g: d("20"),
        taken_g: d("1.5"),
        after_g: d("619.2"),
    };
    assert_eq!(water_to_put_back(vessel), Ok(d("11.7")));
    assert!(
        water_to_put_back(EvaporatingVessel {
            after_g: d("640"),
            ..vessel
        })
        .is_err()
    );
    assert!(
        water_to_put_back(EvaporatingVessel {
            after_g: d("-1"),
            ..vessel
        })
        .is_err()
    );
    assert_eq!(loss_percent(d("390"), d("11.7")), Ok(d("3")));
    assert!(loss_percent(d("0"), d("1")).is_err());
    // 12 jars of 47.5 g and 5 % in the pot: 600 g.
    assert_eq!(batch_for(12, d("47.5"), d("5")), Ok(d("600")));
    assert_eq!(batch_for(12, d("47.5"), d("0")), Ok(d("570")));
    assert!(batch_for(1, d("1"), d("-1")).is_err());
    assert!(batch_for(0, d("47.5"), d("5")).is_err() && batch_for(1, d("1"), d("100")).is_err());
    assert_eq!(fill_grams(d("50"), d("0.95")), Ok(d("47.50")));
    assert!(fill_grams(d("50"), d("0")).is_err());
}
