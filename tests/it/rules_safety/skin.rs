//! What skin bears: published maxima of oils and of what several oils bring, what takes light, and limits of law reached through oils.

use super::{KB, findings, product, says};
use phasewright::rules::{Finding, Severity};

fn body_oil(rows: &[&str]) -> String {
    let mut all = vec!["caprylic/capric triglyceride  q.s."];
    all.extend(rows);
    product("product: body oil, leave-on; type: anhydrous", &all)
}

fn of_code(text: &str, code: &str) -> Option<Finding> {
    findings(text).into_iter().find(|f| f.code == code)
}

/// Cinnamon bark 0.07 % and clove bud 0.5 %: Essential Oil Safety, 2nd edition, as quoted by the institute of its first author.
#[test]
fn an_oil_above_its_published_maximum() {
    says(
        &body_oil(&["cinnamon bark oil  0.08 %"]),
        "above-skin-maximum",
        Severity::Warning,
    );
    says(
        &body_oil(&["clove bud oil  0.6 %"]),
        "above-skin-maximum",
        Severity::Warning,
    );
    let within = of_code(&body_oil(&["clove bud oil  0.3 %"]), "above-skin-maximum");
    assert!(
        within.is_none_or(|f| f.severity == Severity::Hint),
        "0.3 % of clove bud oil keeps to 0.5 %"
    );
    assert!(
        of_code(
            &body_oil(&["lavender essential oil  1 %"]),
            "above-skin-maximum"
        )
        .is_none()
    );
}

/// Whatever a fix writes lies below every figure that is known.
#[test]
fn no_fix_points_above_the_strictest_figure() {
    let text = product(
        "product: baby balm, leave-on; type: anhydrous",
        &["shea butter  95 %", "cinnamon bark oil  5 %"],
    );
    for f in findings(&text) {
        for fix in f
            .fixes
            .iter()
            .filter(|fix| fix.title.starts_with("Lower to"))
        {
            let most: f64 = fix.title["Lower to ".len()..]
                .split(' ')
                .next()
                .and_then(|n| n.parse().ok())
                .expect("a figure");
            assert!(most <= 0.07, "{}: {}", f.code, fix.title);
        }
    }
}

/// Estragole in a face cream: 0.0062 % (International Fragrance Association, 49th Amendment, category 5B); in a body lotion 0.075 % (5A).
#[test]
fn a_substance_is_summed_over_all_that_bring_it() {
    let face = |rows: &[&str]| {
        let mut all = vec!["caprylic/capric triglyceride  q.s."];
        all.extend(rows);
        product("product: face oil, leave-on; type: anhydrous", &all)
    };
    let both = face(&["estragole  0.004 %", "estragole  0.004 %"]);
    says(&both, "above-skin-maximum", Severity::Warning);
    assert!(of_code(&face(&["estragole  0.006 %"]), "above-skin-maximum").is_none());
    assert!(of_code(&body_oil(&["estragole  0.07 %"]), "above-skin-maximum").is_none());
    says(
        &body_oil(&["estragole  0.08 %"]),
        "above-skin-maximum",
        Severity::Warning,
    );
}

#[test]
fn oils_that_are_not_for_skin_at_all() {
    for oil in [
        "calamus oil",
        "pennyroyal oil",
        "thuja oil",
        "wormwood oil",
        "mugwort oil",
        "tansy oil",
        "boldo oil",
    ] {
        let rows = [&format!("{oil}  0.01 %")[..]];
        let all = findings(&body_oil(&rows));
        let loud = all.iter().filter(|f| f.severity >= Severity::Warning);
        let said = loud.filter(|f| {
            matches!(
                f.code,
                "above-skin-maximum" | "banned" | "restricted-use" | "above-legal-limit"
            )
        });
        assert!(said.count() > 0, "{oil} passes in silence: {all:?}");
    }
}

/// Birch and wintergreen are not for children (Essential Oil Safety, 2nd edition, p. 656).
#[test]
fn wintergreen_is_kept_from_children() {
    let baby = product(
        "product: baby oil; type: anhydrous",
        &["sunflower oil  q.s.", "sweet birch oil  0.05 %"],
    );
    assert!(findings(&baby).iter().any(|f| {
        f.severity >= Severity::Warning
            && ["sweet birch oil", "methyl salicylate"]
                .iter()
                .any(|n| f.message.contains(n))
    }));
}

/// Everything that is said to take light or to make skin take it is warned of, held to its figure, or judged by law.
#[test]
fn nothing_that_takes_light_falls_between_two_rules() {
    let mut silent = Vec::new();
    for one in KB.ids().map(|id| KB.get(id)) {
        let marked = |w: &str| one.cautions.iter().any(|c| c == w);
        if !marked("phototoxic") && !marked("sun") {
            continue;
        }
        let amount = one
            .phototoxic_max_percent
            .as_deref()
            .map_or("12".to_owned(), |m| {
                (m.value.decimal() * rust_decimal::Decimal::new(11, 1)).to_string()
            });
        let row = format!("{}  {amount} %", one.id);
        let said = findings(&body_oil(&[&row])).into_iter().any(|f| {
            matches!(
                f.code,
                "phototoxic"
                    | "caution-sun"
                    | "banned"
                    | "restricted-use"
                    | "above-legal-limit"
                    | "family-above-limit"
                    | "not-a-cosmetic"
                    | "acid-too-strong"
            )
        });
        if !said {
            silent.push(one.id.to_string());
        }
    }
    assert!(silent.is_empty(), "in silence: {silent:?}");
}

#[test]
fn whole_juices_burn_in_the_sun() {
    for juice in [
        "lime juice",
        "lemon juice",
        "bergamot juice",
        "fig juice",
        "celery juice",
        "rue juice",
    ] {
        let toner = |fields: &str| product(fields, &["water  q.s.", &format!("{juice}  5 %")]);
        says(
            &toner("product: toner, leave-on"),
            "phototoxic",
            Severity::Warning,
        );
        assert!(
            of_code(&toner("product: shampoo, rinse-off"), "phototoxic").is_none(),
            "{juice} is washed off"
        );
    }
}

/// Bergamot oil holds 0.11 to 0.32 % of bergapten (Flavour and Fragrance Journal 8, 1993, 17), and sun products may hold 0.0001 % of
/// furocoumarins (Annex II, entry 358): surely too much, too much at a typical content, within it at the highest.
#[test]
fn a_limit_reached_through_an_oil() {
    let sun = |percent: &str| {
        product(
            "product: sunscreen",
            &[
                "caprylic/capric triglyceride  q.s.",
                &format!("bergamot essential oil  {percent} %"),
            ],
        )
    };
    says(&sun("0.1"), "above-legal-limit", Severity::Error);
    says(&sun("0.06"), "above-legal-limit", Severity::Warning);
    says(&sun("0.04"), "above-legal-limit", Severity::Warning);
    assert!(of_code(&sun("0.03"), "above-legal-limit").is_none());
}

/// A ban passes through a mixture: cyclomethicone may bring the ring of four, which the EU prohibits.
#[test]
fn a_ban_reached_through_a_mixture() {
    says(
        &body_oil(&["cyclomethicone  5 %"]),
        "banned",
        Severity::Warning,
    );
    assert!(of_code(&body_oil(&["cyclohexasiloxane  0.05 %"]), "banned").is_none());
}
