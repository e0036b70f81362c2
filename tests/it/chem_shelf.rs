//! Dates, shelf life and cost.

use phasewright::chem::cost::{self, PricedLot, take};
use phasewright::chem::date::Date;
use phasewright::chem::shelf_life::{ShelfLifeLimit, earliest};
use proptest::prelude::*;
use rust_decimal::Decimal;

fn d(text: &str) -> Decimal {
    text.parse().unwrap()
}

fn day(text: &str) -> Date {
    text.parse().unwrap()
}

#[test]
fn days_of_the_calendar() {
    assert_eq!(day("1970-01-01").days(), 0);
    assert_eq!(day("2000-03-01").days(), 11_017);
    assert_eq!(day("2024-02-28").plus_days(1), Some(day("2024-02-29")));
    assert_eq!(day("2023-02-28").plus_days(1), Some(day("2023-03-01")));
    assert_eq!(day("1900-02-28").plus_days(1), Some(day("1900-03-01")));
    assert_eq!(day("2026-01-31").plus_months(1), Some(day("2026-02-28")));
    assert_eq!(day("2026-11-30").plus_months(3), Some(day("2027-02-28")));
    assert_eq!(day("2026-03-14").plus_months(-3), Some(day("2025-12-14")));
    assert_eq!(day("2027-03-05").end_of_month(), day("2027-03-31"));
    assert_eq!(day("2026-01-15").whole_months_to(day("2026-10-14")), 8);
    assert_eq!(day("2026-01-15").whole_months_to(day("2026-10-15")), 9);
    assert_eq!(day("2026-10-15").whole_months_to(day("2026-01-16")), -8);
    for wrong in [
        "2026-02-29",
        "2026-13-01",
        "26-01-01",
        "2026-1-1",
        "2026-01-01-01",
        "",
        "0000-01-01",
        "2026-01-+1",
    ] {
        assert!(wrong.parse::<Date>().is_err(), "{wrong}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_day_counts_once(days in -100_000i64..2_000_000) {
        let date = Date::from_days(days).unwrap();
        prop_assert_eq!(date.days(), days);
        prop_assert_eq!(date.to_string().parse::<Date>(), Ok(date));
        let next = Date::from_days(days + 1).unwrap();
        prop_assert!(next > date);
    }

    #[test]
    fn months_and_back(days in 0i64..100_000, months in 0i32..600) {
        let from = Date::from_days(days).unwrap();
        let to = from.plus_months(months).unwrap();
        prop_assert_eq!(from.whole_months_to(to), months);
    }
}

/// By hand: made 14 March 2026; a lot good to 30 June 2027, rosehip oil 6 months (14 September 2026), the
/// preservative 12 months: the oil sets it. With the oil left out it is the preservative, 12 months: within
/// the nine to twelve that such a cream is given by custom.
#[test]
fn the_earliest_date_sets_it() {
    let made = day("2026-03-14");
    let limits = [
        ShelfLifeLimit::Until(day("2027-06-30")),
        ShelfLifeLimit::Months(6),
        ShelfLifeLimit::Months(12),
    ];
    let life = earliest(made, &limits).unwrap();
    assert_eq!(
        (life.until, life.limiting, life.months),
        (day("2026-09-14"), 1, 6)
    );
    assert_eq!(life.already_past_days, None);
    let life = earliest(made, &[limits[0], limits[2]]).unwrap();
    assert_eq!(
        (life.until, life.limiting, life.months),
        (day("2027-03-14"), 1, 12)
    );
    let past = earliest(made, &[ShelfLifeLimit::Until(day("2026-03-01"))]).unwrap();
    assert_eq!((past.already_past_days, past.months), (Some(13), 0));
    assert_eq!(
        earliest(made, &[ShelfLifeLimit::Until(made)])
            .unwrap()
            .already_past_days,
        None
    );
    assert!(earliest(made, &[]).is_err());
    assert!(earliest(made, &[ShelfLifeLimit::Months(u32::MAX)]).is_err());
}

fn lot(grams_left: &str, price: &str, pack: &str, best_before: Option<&str>) -> PricedLot {
    PricedLot {
        grams_left: d(grams_left),
        price: d(price),
        pack_grams: d(pack),
        best_before: best_before.map(day),
    }
}

/// By hand: 120 g of an oil. The lot of 2026-06 has 50 g of a pack of 250 g for 10.00, that of 2026-12 500 g
/// for 15.00, one without a date comes last, one of January is past: 50 × 0.04 + 70 × 0.03 = 4.10.
#[test]
fn first_to_expire_first_out() {
    let lots = [
        lot("500", "15.00", "500", Some("2026-12-01")),
        lot("900", "1.00", "1000", None),
        lot("50", "10.00", "250", Some("2026-06-01")),
        lot("80", "4.00", "100", Some("2026-01-31")),
    ];
    let taken = take(&lots, d("120"), Some(day("2026-03-14"))).unwrap();
    assert_eq!(
        taken
            .draws
            .iter()
            .map(|t| (t.lot, t.grams))
            .collect::<Vec<_>>(),
        [(2, d("50")), (0, d("70"))]
    );
    assert_eq!(
        (taken.cost, taken.short_g, taken.expired),
        (d("4.10"), d("0"), vec![3])
    );
    let short = take(&lots[..1], d("600"), None).unwrap();
    assert_eq!((short.short_g, short.cost), (d("100"), d("15.00")));
    assert!(take(&lots, d("-1"), None).is_err());
    for wrong in [
        lot("1", "1", "0", None),
        lot("1", "-1", "10", None),
        lot("-1", "1", "10", None),
    ] {
        assert!(take(&[wrong], d("1"), None).is_err(), "{wrong:?}");
    }
    assert_eq!(take(&lots, d("0"), None).unwrap().draws, []);
    // Good on its last day, and not the day after.
    assert!(
        take(&lots[..1], d("1"), Some(day("2026-12-01")))
            .unwrap()
            .expired
            .is_empty()
    );
    assert_eq!(
        take(&lots[..1], d("1"), Some(day("2026-12-02")))
            .unwrap()
            .expired,
        [0]
    );
}

/// By hand: materials 18.00, 12 jars at 0.85 = 10.20; 28.20 in all, 2.35 a jar; 18.00 for 570 g is 3.1579
/// for 100 g.
#[test]
fn what_a_jar_costs() {
    let cost = cost::batch(d("18.00"), d("0.85"), 12, d("570")).unwrap();
    assert_eq!(
        (cost.packaging, cost.total, cost.per_container),
        (d("10.20"), d("28.20"), d("2.35"))
    );
    assert_eq!(cost.per_100_g.round_dp(4), d("3.1579"));
    assert!(cost::batch(d("1"), d("1"), 0, d("1")).is_err());
    assert!(cost::batch(d("1"), d("1"), 1, d("0")).is_err());
    assert!(cost::batch(d("-1"), d("1"), 1, d("1")).is_err());
}
