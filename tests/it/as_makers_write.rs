//! Formulas as people write them: numbers that slip, headings of other recipes, methods in everyday words. What is understood
//! is not objected to; what is not is said on its line, and no sum, no error follows from it that is false.

use phasewright::kb::Kb;
use phasewright::model::{Formula, NoFiles, Settings, Total};
use phasewright::rules::{Finding, analyze};
use phasewright::syntax::{FileKind, parse};
use std::path::Path;
use std::sync::LazyLock;

static KB: LazyLock<Kb> = LazyLock::new(Kb::bundled);

fn look_at(kind: FileKind, text: &str) -> (Formula, Vec<Finding>) {
    let settings = Settings::on("2026-11-25".parse().expect("a day"));
    let tree = parse(kind, text);
    let judged = analyze(tree, Path::new("bench.formula"), &KB, &settings, &NoFiles);
    (Formula::clone(&judged.formula), judged.findings().to_vec())
}

fn look(text: &str) -> (Formula, Vec<Finding>) {
    look_at(FileKind::Formula, text)
}

fn show(findings: &[Finding]) -> String {
    let lines = findings
        .iter()
        .map(|f| format!("{}: {} {}", f.place.line + 1, f.code, f.message));
    lines.collect::<Vec<_>>().join("\n")
}

// ------------------------------------------------------------------ numbers

/// Each on its own line, which is where the message stands; nothing is summed over it.
#[test]
fn a_negative_or_monstrous_amount_is_said_on_its_line() {
    for (amount, code) in [
        ("-5 %", "syntax"),
        ("-0.1 g", "syntax"),
        ("12345678901234567890 %", "syntax"),
        ("99999999999999999999999999999999999999 g", "syntax"),
        ("-99999999999999999999999999999 kg", "syntax"),
        ("1000000001 g", "syntax"),
        ("0.00000000000000000001 %", "syntax"),
        ("q.s., about -1 %", "syntax"),
        ("q.s. to pH 52", "syntax"),
        ("q.s. to pH 5.2, about 99999999999999999999 %", "syntax"),
    ] {
        let text = format!(
            "formula \"x\"\n  batch: 500 g\n\nphase A\n  water  90 %\n  glycerin  {amount}\n"
        );
        let (f, findings) = look(&text);
        assert!(
            findings.iter().any(|x| x.code == code && x.place.line == 5),
            "{amount}\n{}",
            show(&findings)
        );
        assert_eq!(f.total, Total::Unknown { line: 5 }, "{amount}");
        assert!(
            !findings
                .iter()
                .any(|x| matches!(x.code, "total-not-100" | "internal")),
            "{amount}\n{}",
            show(&findings)
        );
    }
}

#[test]
fn monstrous_numbers_elsewhere_end_at_reading_too() {
    let nines = "9".repeat(24);
    for line in [
        format!("  batch: {nines} g"),
        "  batch: -250 g".to_owned(),
        format!("  fill: {nines} x 50 g"),
        format!("  fill: 5 x {nines} g"),
        "  pH: 52".to_owned(),
        "  pH: -3".to_owned(),
        format!("  extra for losses: {nines} %"),
        format!("phase B at {nines} °C"),
        "phase B at -300 °C".to_owned(),
        format!("method\n  heat A to {nines} °C"),
        format!("method\n  hold A {nines} h"),
        format!("method\n  add {nines} g water"),
    ] {
        let text = format!("formula \"x\"\n{line}\n\nphase A\n  water  100 %\n");
        let (_, findings) = look(&text);
        let at = line.matches('\n').count() as u32 + 1;
        assert!(
            findings
                .iter()
                .any(|x| x.place.line == at && x.code == "syntax"),
            "{line}\n{}",
            show(&findings)
        );
        assert!(!findings.iter().any(|x| x.code == "internal"), "{line}");
    }
}

// ------------------------------------------------------------------ given twice

#[test]
fn a_field_given_twice_names_both_lines() {
    let (_, findings) =
        look("formula \"x\"\n  pH: 5 to 5.5\n  sold in: EU\n  pH: 7\n\nphase A\n  water  100 %\n");
    let twice: Vec<&Finding> = findings
        .iter()
        .filter(|f| f.code == "given-twice")
        .collect();
    assert_eq!(twice.len(), 1, "{}", show(&findings));
    assert_eq!(twice[0].place.line, 3);
    assert!(twice[0].message.contains("line 2"), "{}", twice[0].message);
    assert_eq!(twice[0].related[0].place.line, 1);
}

/// What pasting a formula into a file that holds it already does.
#[test]
fn a_formula_pasted_into_its_own_file_is_one_message_and_no_false_sum() {
    let one = "formula \"Balm\"\n  product: lip balm\n  type: anhydrous\n\nphase A at 75 °C\n  beeswax  20 %\n  shea butter  30 %\n  sunflower oil  50 %\n";
    let (_, before) = look(one);
    let (_, findings) = look(&format!("{one}\n{one}"));
    let twice: Vec<&Finding> = findings
        .iter()
        .filter(|f| f.code == "given-twice")
        .collect();
    assert_eq!(twice.len(), 1, "{}", show(&findings));
    assert_eq!(
        (twice[0].place.line, twice[0].related[0].place.line),
        (9, 0)
    );
    for code in ["total-not-100", "repeated-ingredient", "two-qs"] {
        assert!(
            !findings.iter().any(|f| f.code == code),
            "{}",
            show(&findings)
        );
    }
    assert!(!before.iter().any(|f| f.code == "given-twice"));
    // Rows that fill up are two as well.
    let filled = one.replace("50 %", "q.s.");
    let (_, findings) = look(&format!("{filled}\n{filled}"));
    assert!(
        !findings.iter().any(|f| f.code == "two-qs"),
        "{}",
        show(&findings)
    );
}

#[test]
fn two_batches_in_one_file_and_a_lot_with_two_dates_are_said() {
    let batch = "batch X-1 of \"x.formula\" version 1\n  made: 2026-03-14\n  made: 2026-03-15\n\nbatch X-2 of \"x.formula\" version 1\n  made: 2026-03-16\n";
    let (_, findings) = look_at(FileKind::Batch, batch);
    let lines: Vec<u32> = findings
        .iter()
        .filter(|f| f.code == "given-twice")
        .map(|f| f.place.line)
        .collect();
    assert_eq!(lines, [2, 4], "{}", show(&findings));
    let stock = "lot A-1 of glycerin\n  received: 2026-01-10\n\nlot A-2 of glycerin\n  received: 2026-01-10\n  received: 2026-01-11\n";
    let (_, findings) = look_at(FileKind::Stock, stock);
    let lines: Vec<u32> = findings
        .iter()
        .filter(|f| f.code == "given-twice")
        .map(|f| f.place.line)
        .collect();
    assert_eq!(lines, [5], "{}", show(&findings));
}

// ------------------------------------------------------------------ headings

/// Heading, its label, its name, whether it is written so (no message), and how its fix writes it.
const HEADINGS: &[(&str, &str, &str, Option<&str>)] = &[
    ("Water phase", "water", "", Some("phase water")),
    ("Oil Phase:", "oil", "", Some("phase oil")),
    ("A. Water phase", "A", "water", Some("phase A \"water\"")),
    ("Water phase (A)", "A", "water", Some("phase A \"water\"")),
    ("Oil phase B:", "B", "oil", Some("phase B \"oil\"")),
    ("Cool down phase", "cool-down", "", Some("phase cool-down")),
    (
        "Cool down phase (below 40C)",
        "cool-down",
        "",
        Some("phase cool-down (below 40C)"),
    ),
    (
        "Heated water phase at 75 °C",
        "heated-water",
        "",
        Some("phase heated-water at 75 °C"),
    ),
    ("Phase A: water", "A", "water", Some("Phase A \"water\"")),
    (
        "Phase B: oil, heated to 75 C",
        "B",
        "oil",
        Some("Phase B \"oil\", heated to 75 C"),
    ),
    ("Phase B heated to 75 C", "B", "", None),
    ("phase B \"oil\" melted at 75 °C", "B", "oil", None),
    ("phase C no heat", "C", "", None),
    ("phase C \"cool\" unheated", "C", "cool", None),
    ("phase D <40 C", "D", "", None),
    ("phase D \"late\" (below 40 °C)", "D", "late", None),
    ("phase D (< 40°C)", "D", "", None),
    ("Phase A - water", "A", "water", Some("Phase A \"water\"")),
    (
        "Phase A – Water phase",
        "A",
        "Water phase",
        Some("Phase A \"Water phase\""),
    ),
    ("PHASE A (water)", "A", "water", Some("PHASE A \"water\"")),
    ("Oil phase: 75 C", "oil", "", Some("phase oil 75 C")),
    ("Oil phase (75 °C)", "oil", "", Some("phase oil (75 °C)")),
    (
        "Phase A: Aqueous (70°C)",
        "A",
        "Aqueous",
        Some("Phase A \"Aqueous\" (70°C)"),
    ),
    ("Part A", "A", "", Some("phase A")),
    ("Ingredients:", "", "", Some("phase A")),
];

#[test]
fn headings_as_makers_write_them_are_understood_or_have_the_fix_that_writes_them() {
    for (heading, label, name, fixed) in HEADINGS {
        let text = |heading: &str| {
            format!(
                "formula \"x\"\n  type: solution\n\n{heading}\n  water  95 %\n  glycerin  5 %\n"
            )
        };
        let (f, findings) = look(&text(heading));
        assert_eq!(
            f.total,
            Total::Known(100.into()),
            "{heading}\n{}",
            show(&findings)
        );
        let phase = f
            .phases
            .first()
            .unwrap_or_else(|| panic!("{heading} opens no phase"));
        assert_eq!(
            (phase.label.as_str(), phase.name.as_deref().unwrap_or("")),
            (*label, *name),
            "{heading}"
        );
        let said: Vec<&Finding> = findings
            .iter()
            .filter(|x| x.place.line == 3 && x.code == "syntax")
            .collect();
        let Some(fixed) = fixed else {
            assert!(said.is_empty(), "{heading}\n{}", show(&findings));
            continue;
        };
        assert_eq!(said.len(), 1, "{heading}\n{}", show(&findings));
        let mended = crate::support::edits::apply(&text(heading), &said[0].fixes[0].edits);
        assert_eq!(mended, text(fixed), "{heading}");
        let (_, after) = look(&mended);
        assert!(
            !after.iter().any(|x| x.code == "syntax"),
            "{fixed}\n{}",
            show(&after)
        );
    }
}

#[test]
fn how_warm_a_phase_is_comes_through() {
    let heat = |heading: &str| {
        let (f, _) = look(&format!("formula \"x\"\n\n{heading}\n  water  100 %\n"));
        f.phases[0].heat.as_ref().map(|h| format!("{:?}", h.value))
    };
    for (as_made, as_here) in [
        ("Phase B: oil, heated to 75 C", "phase B \"oil\" at 75 °C"),
        ("phase B heated up to 75 C", "phase B at 75 °C"),
        ("phase C no heat", "phase C at room temperature"),
        ("phase D <40 C", "phase D below 40 °C"),
        ("Cool down phase (below 40C)", "phase D below 40 °C"),
        ("phase D (under 104 °F)", "phase D below 104 °F"),
        ("Oil phase: 75 C", "phase B at 75 °C"),
        ("Oil phase (75 °C)", "phase B at 75 °C"),
        ("Phase A: <40 C", "phase D below 40 °C"),
    ] {
        assert!(heat(as_here).is_some());
        assert_eq!(heat(as_made), heat(as_here), "{as_made}");
    }
}

/// A heading that nobody can read takes its rows with it, and the sum is not known then.
#[test]
fn a_lost_heading_never_yields_a_false_sum() {
    for lost in ["The wet things", "Waterphase 1 of 2", "Aqueous part"] {
        let text = format!(
            "formula \"x\"\n\n{lost}\n  water  70 %\n\nphase B\n  rapeseed oil  25 %\n  beeswax  5 %\n"
        );
        let (f, findings) = look(&text);
        assert_eq!(
            f.total,
            Total::Unknown { line: 2 },
            "{lost}\n{}",
            show(&findings)
        );
        assert!(
            !findings.iter().any(|x| x.code == "total-not-100"),
            "{}",
            show(&findings)
        );
        let said = findings
            .iter()
            .find(|x| x.place.line == 2)
            .expect("the heading is said");
        assert!(
            said.whole().contains("the sum is unknown"),
            "{}",
            said.whole()
        );
        let offers: Vec<&str> = findings
            .iter()
            .flat_map(|x| &x.fixes)
            .map(|x| x.title.as_str())
            .collect();
        assert!(!offers.iter().any(|t| t.contains("Scale")), "{offers:?}");
    }
    // A row that lost its amount at the left edge is no heading either.
    let (f, _) = look("formula \"x\"\nphase A\nwater 50 %\nglycer\nurea 50 %\n");
    assert_eq!(f.total, Total::Unknown { line: 3 });
    // What holds no amounts takes none away.
    let (f, _) = look("formula \"x\"\nphase A\n  water 100 %\n\nStorage\n  cool and dry\n");
    assert_eq!(f.total, Total::Known(100.into()));
}

#[test]
fn directions_are_a_method() {
    for heading in ["Directions", "Instructions:", "Procedure", "How to make it"] {
        let text = format!(
            "formula \"x\"\n\nphase A\n  beeswax  20 %\n  olive oil  80 %\n\n{heading}\n  melt A\n  fill\n"
        );
        let (f, findings) = look(&text);
        assert!(f.timeline.from_method, "{heading}");
        let said = findings
            .iter()
            .find(|x| x.place.line == 6)
            .expect("it is said");
        assert_eq!(said.fixes[0].title, "Change to method");
    }
}

// ------------------------------------------------------------------ methods

/// Methods of a plain cream, each in other words; nothing in them is wrong.
const METHODS: &[&[&str]] = &[
    &["heat A and B to 75 °C", "combine", "cool to 40 °C", "add C"],
    &["heat A and B to 75 °C", "mix", "cool to 40 °C", "add C"],
    &[
        "heat A and B to 75 °C",
        "mix together",
        "cool to 40 °C",
        "add C",
    ],
    &[
        "heat both to 75 °C",
        "combine phases",
        "cool to 40 °C",
        "add C",
    ],
    &[
        "heat both to 75 °C",
        "combine the two phases",
        "cool to 40 °C",
        "add phase C ingredients",
    ],
    &[
        "heat A and B to 75 °C",
        "emulsify with stick blender",
        "cool to 40 °C",
        "add the rest",
    ],
    &[
        "heat both to 75 °C",
        "combine phases and emulsify with a stick blender",
        "cool to 40 °C",
        "mix in everything else",
    ],
    &[
        "heat A and B to 75 °C",
        "add oil to water",
        "cool to 40 °C",
        "add C",
    ],
    &[
        "heat A and B to 75 °C",
        "pour the oils into the water",
        "cool to 40 °C",
        "add preservative and panthenol",
    ],
    &[
        "heat A to 75 °C",
        "melt everything in B",
        "add B to A",
        "cool to 40 °C",
        "add panthenol and phenoxyethanol",
    ],
    &[
        "heat water and oils to 75 °C",
        "mix everything",
        "cool to 40 °C",
        "add remaining ingredients",
    ],
    &[
        "heat water phase to 75 °C",
        "melt oil phase at 75 °C",
        "combine both",
        "stick blend",
        "cool to 40 °C",
        "add cool down phase",
    ],
    &[
        "melt oils at 75 °C",
        "heat water to 75 °C",
        "mix them together",
        "cool to 40 °C",
        "stir everything else in",
    ],
    &[
        "heat A and B to 75 °C",
        "combine A + B",
        "cool to 40 °C",
        "add C",
    ],
    &[
        "heat A to 75 °C",
        "heat B to 75 °C",
        "whisk A into B",
        "when it reaches 40 °C, stir in C",
        "bottle",
    ],
    &[
        "combine water phase ingredients and heat to 75 °C",
        "combine oil phase ingredients and heat to 75 °C",
        "combine",
        "once the temperature drops to 40 °C add remaining ingredients",
    ],
    &[
        "heat A and B to 75 °C and hold for 20 minutes",
        "add B into A under stirring",
        "cool down to 40 °C",
        "add phase C one by one",
        "mix well",
    ],
    &["heat all to 75 °C", "emulsify", "cool to 40 °C", "add C"],
    &[
        "microwave A to 75 °C",
        "melt B in a double boiler at 75 °C",
        "add hot oils to hot water",
        "use a stick blender in short bursts",
        "leave to cool to 40 °C",
        "add the preservative and the panthenol",
        "pot up",
    ],
];

#[test]
fn methods_in_everyday_words_draw_no_false_error() {
    let mut wrong = Vec::new();
    for steps in METHODS {
        let text = format!(
            "formula \"Cream\"\n  product: face cream, leave-on\n  type: oil-in-water\n  sold in: EU\n\nphase A \"water\" at 75 °C\n  water  77.2 %\n  glycerin  4 %\n\nphase B \"oils\" at 75 °C\n  rapeseed oil  9.5 %\n  cetearyl alcohol  4 %\n  glyceryl stearate citrate  4 %\n\nphase C below 40 °C\n  phenoxyethanol  0.8 %\n  panthenol  0.5 %\n\nmethod\n  {}\n",
            steps.join("\n  ")
        );
        let (f, findings) = look(&text);
        let false_ones: Vec<Finding> = findings
            .into_iter()
            .filter(|x| {
                matches!(
                    x.code,
                    "never-added"
                        | "added-twice"
                        | "added-hot"
                        | "unknown-phase"
                        | "phases-apart"
                        | "heat-sensitive"
                        | "step-not-understood"
                        | "not-melted"
                )
            })
            .collect();
        if !false_ones.is_empty() {
            wrong.push(format!("{steps:?}\n{}", show(&false_ones)));
        }
        // What is united is united: all three come into the product.
        if f.timeline.phases.iter().any(|p| p.never) {
            wrong.push(format!("{steps:?}: a phase stays apart"));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} of {}\n{}",
        wrong.len(),
        METHODS.len(),
        wrong.join("\n\n")
    );
}

/// A premix that stands by is not stirred in by a word that does not name it, and what is really left out is still said.
#[test]
fn what_the_method_leaves_out_is_still_said() {
    let text = "formula \"Cream\"\n\nphase A at 75 °C\n  water  80 %\n\nphase B at 75 °C\n  rapeseed oil  19 %\n\nphase C below 40 °C\n  panthenol  1 %\n\nmethod\n  heat A and B to 75 °C\n  mix together\n  cool to 40 °C\n  stir\n  fill\n";
    let (_, findings) = look(text);
    let never: Vec<u32> = findings
        .iter()
        .filter(|f| f.code == "never-added")
        .map(|f| f.place.line)
        .collect();
    assert_eq!(never, [8], "{}", show(&findings));
}
