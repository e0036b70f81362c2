use super::{CREAM, at, at_in};
use phasewright::ide::Snapshot;
use phasewright::ide::complete::{Completion, CompletionKind, Trigger, complete, complete_card};
use phasewright::kb::{Kb, Lookup};
use phasewright::model::NoFiles;
use phasewright::syntax::{FileKind, parse};
use std::path::PathBuf;

fn offered_by(marked: &str, trigger: Trigger) -> Vec<Completion> {
    let c = at(marked);
    complete(&c.snapshot, c.line, c.byte, trigger)
}

/// While a maker types.
fn offered(marked: &str) -> Vec<Completion> {
    offered_by(marked, Trigger::Typing)
}

/// When a maker asks.
fn asked(marked: &str) -> Vec<Completion> {
    offered_by(marked, Trigger::Invoked)
}

fn labels_of(found: Vec<Completion>) -> Vec<String> {
    found.into_iter().map(|c| c.label).collect()
}

fn labels(marked: &str) -> Vec<String> {
    labels_of(offered(marked))
}

/// What the text is once the first of these is taken.
fn taken(marked: &str, label: &str) -> String {
    let c = at(marked);
    let all = complete(&c.snapshot, c.line, c.byte, Trigger::Invoked);
    let one = all.iter().find(|x| x.label == label).unwrap_or_else(|| {
        panic!(
            "{label} is not among {:?}",
            all.iter().map(|x| &x.label).collect::<Vec<_>>()
        )
    });
    let mut lines: Vec<String> = c.text.split('\n').map(str::to_owned).collect();
    lines[one.replace.line as usize].replace_range(one.replace.span.range(), &one.insert);
    lines.join("\n")
}

fn position(all: &[Completion], id: &str) -> usize {
    all.iter()
        .position(|c| c.id.as_deref() == Some(id))
        .unwrap_or_else(|| {
            panic!(
                "{id} is not among {:?}",
                all.iter().map(|c| &c.label).collect::<Vec<_>>()
            )
        })
}

const WATER: &str =
    "formula \"x\"\n  product: face cream, leave-on\nphase A \"water\" at 75 °C\n  water  q.s.\n";

#[test]
fn an_ingredient_by_any_of_its_names() {
    for (typed, id) in [
        ("phenoxy", "phenoxyethanol"),
        ("glycer", "glycerin"),
        ("Butyrospermum", "shea-butter"),
        ("E21", "sodium-benzoate"),
        ("aqua pur", "water"),
        ("benz sod", "sodium-benzoate"),
    ] {
        let all = offered(&format!("{WATER}  {typed}$0\n"));
        let n = position(&all, id);
        assert!(n < 10, "{typed}: {id} comes at {n}");
    }
}

/// Editors write the first offer on Enter. What is typed in full has none, so that Enter ends the line.
#[test]
fn nothing_is_offered_for_what_is_typed_in_full() {
    let rows = [
        "water",
        "glycerin",
        "glycerine",
        "shea butter",
        "organic shea butter",
        "jojoba oil",
        "panthenol",
        "vitamin e",
        "vit e",
        "vit e ",
        "e-wax",
        "shea",
        "rose",
        "guar",
        "jojoba ",
        "zinc",
        "vit c",
        "lactic acid 80 %",
        "polysorbate 20",
        "Caprylic/Capric Triglyceride",
        "glycerin ",
        "glycerin  ",
        "shea  ",
        "shea 5",
        "glycerin  4",
        "glycerin 4 %",
        "glycerin  4 %",
        "glycerin  4 % ",
        "glycerin  12 g",
        "glycerin  2 drops",
        "glycerin  2 tbsp",
        "water  q.s.",
        "lactic acid  q.s. to pH 5.2, about 1 %",
        "salicylic acid  0.5 % as preservative",
        "water,",
        "water:",
        "a thing that nobody knows",
        "",
    ];
    for row in rows {
        let text = format!("{WATER}  {row}$0\n");
        assert_eq!(labels(&text), Vec::<String>::new(), "{row}");
        // Editors send the same request for a letter that is typed and for one that is asked about.
        if row.ends_with(|c: char| c.is_alphabetic()) {
            assert_eq!(
                labels_of(asked(&text)),
                Vec::<String>::new(),
                "{row}, asked"
            );
        }
    }
    for field in [
        "product: hand cream",
        "product: hand cream, leave-on",
        "product: body scrub, rinse-off",
        "type: oil-in-water",
        "type: oil-in-water emulsion",
        "type: gel",
        "use: face",
        "use: lip",
        "keep: use at once",
        "form: pump spray",
        "sold in: EU",
        "sold in: EU, US",
        "batch: 250 g",
        "pH: 5.0 to 5.5",
        "fill: 5 x 50 g",
        "version: 1",
        "product",
        "sold in",
        "",
    ] {
        let text = format!("formula \"x\"\n  {field}$0\n");
        assert_eq!(labels(&text), Vec::<String>::new(), "{field}");
    }
    for step in [
        "fill",
        "add C",
        "add C ",
        "add panthenol",
        "measure pH",
        "adjust pH",
        "heat A and B to 75 °C",
        "heat A and B to 75 °C, hold A 20 min",
        "cool to 40",
        "cool to 40 °C",
        "cool to 38 °C, stirring",
        "stir 5 min",
        "add D in portions, stir 5 min, measure pH",
        "top up A with hot water to its starting weight",
        "pour A into B",
        "pour A into B, blend 3 min",
        "pour into tins",
        "slurry A1, stir into A",
        "rest 24 h, measure pH",
        "add 0.60 g lactic acid",
        "",
    ] {
        let text = CREAM.replace("  fill\n", &format!("  {step}$0\n"));
        assert_eq!(labels(&text), Vec::<String>::new(), "{step}");
    }
    for heading in [
        "method",
        "notes",
        "phase",
        "phase B",
        "phase B \"oil\"",
        "phase B \"oil\" at 75 °C",
        "phase B \"oil\" at 75 °C, hold 20 min",
        "phase B below 40 °C",
        "phase B at room temperature",
        "phase B \"powders\" dry",
        "premix A1 \"slurry\" at room temperature, into A",
        "",
    ] {
        let text = format!("{WATER}\n{heading}$0\n");
        assert_eq!(labels(&text), Vec::<String>::new(), "{heading}");
    }
}

/// Every line of every formula that lies here, as if it had just been typed: nothing stands in a list when Enter comes.
#[test]
fn enter_at_the_end_of_any_line_is_enter() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut lines = 0;
    for folder in ["examples", "tests/cases"] {
        let files = std::fs::read_dir(root.join(folder)).expect("a folder of formulas");
        for path in files.flatten().map(|f| f.path()) {
            if path.extension().is_none_or(|e| e != "formula") {
                continue;
            }
            let text = std::fs::read_to_string(&path).expect("a formula");
            let s = super::snapshot(FileKind::Formula, &text);
            for line in 0..s.tree.lines.len() as u32 {
                let whole = s.text(line);
                let end = whole.len() as u32;
                // A name that is not known may be half a name.
                let half = s
                    .findings()
                    .iter()
                    .any(|f| f.place.line == line && matches!(f.code, "missing-amount" | "syntax"));
                if half {
                    continue;
                }
                lines += 1;
                let trigger = match whole.ends_with(|c: char| c.is_alphabetic()) {
                    true => Trigger::Invoked,
                    false => Trigger::Typing,
                };
                let found = labels_of(complete(&s, line, end, trigger));
                assert!(
                    found.is_empty(),
                    "{}:{}: {whole:?} offers {:?}",
                    path.display(),
                    line + 1,
                    &found[..found.len().min(3)]
                );
            }
        }
    }
    assert!(lines > 1000, "{lines} lines");
}

/// What the row of each name offers, at the left edge and set in, with and without a blank behind the name.
fn offered_for(names: &[String]) -> Vec<(String, Vec<String>)> {
    let mut wrong = Vec::new();
    for some in names.chunks(200) {
        for (before, behind) in [("  ", ""), ("", ""), ("  ", " ")] {
            let rows: Vec<String> = some
                .iter()
                .map(|name| format!("{before}{name}{behind}"))
                .collect();
            let s = super::snapshot(FileKind::Formula, &format!("{WATER}{}\n", rows.join("\n")));
            for (n, row) in rows.iter().enumerate() {
                let line = 4 + n as u32;
                assert_eq!(s.text(line), row);
                let mut triggers = vec![Trigger::Typing];
                // Editors send the same request for a letter that is typed and for one that is asked about.
                if row.ends_with(char::is_alphabetic) {
                    triggers.push(Trigger::Invoked);
                }
                for trigger in triggers {
                    let found = labels_of(complete(&s, line, row.len() as u32, trigger));
                    if !found.is_empty() {
                        wrong.push((row.clone(), found));
                    }
                }
            }
        }
    }
    wrong
}

/// A full name is any name that a material goes by, also one that several share: the maker is asked which. Typed in full and followed by
/// Enter it stays what was typed, in every spelling.
#[test]
fn no_name_of_the_base_is_changed_by_enter() {
    let kb = Kb::bundled();
    let mut names = std::collections::BTreeSet::new();
    for id in kb.ids() {
        let one = kb.get(id);
        let kept = one.names.iter().chain(&one.ambiguous_names);
        let kept = kept.chain(&one.inci).chain(&one.inci_us);
        for name in kept
            .map(|n| n.to_string())
            .chain([one.id.replace('-', " ")])
        {
            // The plain spelling of an id is not always a name.
            if kb.lookup(&name) != Lookup::Unknown {
                let capital = name[..1].to_uppercase() + &name[1..];
                names.extend([name.to_lowercase(), name.to_uppercase(), capital, name]);
            }
        }
    }
    let names: Vec<String> = names.into_iter().collect();
    assert!(names.len() > 10_000, "{} names", names.len());
    let wrong = offered_for(&names);
    assert!(
        wrong.is_empty(),
        "{} of {}: {:#?}",
        wrong.len(),
        names.len(),
        &wrong[..wrong.len().min(20)]
    );
}

/// A name that is the beginning of longer ones: they are offered at the next letter.
#[test]
fn longer_names_come_as_one_types_on() {
    for (typed, first) in [
        ("shea b", "shea butter"),
        ("shea o", "shea oil"),
        ("guar g", "guar gum"),
        ("jojoba o", "jojoba oil"),
        ("jojoba e", "jojoba esters"),
        ("rose w", "rose water"),
        ("roseh", "rosehip oil"),
        ("rosem", "rosemary oil"),
        ("tea t", "tea tree oil"),
        ("vit e a", "vitamin E acetate"),
        ("lanolin o", "lanolin oil"),
    ] {
        let found = labels(&format!("{WATER}  {typed}$0\n"));
        assert_eq!(
            found.first().map(String::as_str),
            Some(first),
            "{typed}: {found:?}"
        );
    }
}

#[test]
fn the_text_typed_is_what_clients_filter_by() {
    for typed in ["glyc", "Glyc", "vit e a", "tocoph", "xantan g", "jojoba o"] {
        let all = offered(&format!("{WATER}  {typed}$0\n"));
        assert!(!all.is_empty(), "{typed}");
        assert!(all.iter().all(|c| c.filter == typed), "{typed}");
        assert!(all.windows(2).all(|w| w[0].sort < w[1].sort), "{typed}");
    }
}

#[test]
fn what_would_be_replaced_behind_the_cursor_is_said() {
    let all = offered(&format!("{WATER}  gly$0ceri  5 %\n"));
    assert!(
        all[0].aside.contains("replaces \"ceri\" behind the cursor"),
        "{:?}",
        all[0]
    );
    assert_eq!(all[0].snippet, None, "an amount stands there");
    assert_eq!(
        taken(&format!("{WATER}  gly$0ceri  5 %\n"), "glycerin"),
        format!("{WATER}  glycerin  5 %\n")
    );
    let field = "formula \"x\"\n  product: ha$0nd, leave-on\n";
    assert_eq!(
        taken(field, "hand cream"),
        "formula \"x\"\n  product: hand cream, leave-on\n"
    );
    let end = offered(&format!("{WATER}  glyc$0\n"));
    assert_eq!(end[0].aside, "");
}

/// One place to type in and nothing behind it: a key cannot jump back into a line that is done.
#[test]
fn a_snippet_has_one_field_and_ends_with_it() {
    let mut snippets = 0;
    for text in [
        format!("{WATER}  g$0\n"),
        format!("{WATER}\np$0\n"),
        CREAM.replace("  fill\n", "  h$0\n"),
        CREAM.replace("  fill\n", "  t$0\n"),
        "formula \"x\"\n  b$0\n".to_owned(),
        "formula \"x\"\nphase A \"water\" b$0\n".to_owned(),
    ] {
        for c in offered(&text) {
            let Some(snippet) = &c.snippet else { continue };
            snippets += 1;
            assert!(!snippet.contains("$0"), "{snippet}");
            assert_eq!(snippet.matches("${").count(), 1, "{snippet}");
            assert!(snippet.ends_with('}'), "{snippet}");
        }
    }
    assert!(snippets > 20, "{snippets}");
}

#[test]
fn what_lies_on_the_shelf_comes_first() {
    let folder = std::env::temp_dir().join(format!("phasewright-shelf-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    std::fs::write(
        folder.join("shelf.stock"),
        "lot GG-1 of glyceryl stearate\n  bought: 100 g for 5 EUR\n",
    )
    .expect("a file for the test");
    std::fs::write(
        folder.join("balm.formula"),
        "formula \"balm\"\nphase A\n  castor oil  30 %\n  carrageenan  1 %\n",
    )
    .expect("a file for the test");
    let first = |typed: &str, name: &str| {
        let text = format!("{WATER}  {typed}\n");
        let s = Snapshot::new(
            &folder.join(name),
            FileKind::Formula,
            parse(FileKind::Formula, &text),
            &Kb::bundled(),
            &super::settings(),
            &NoFiles,
        );
        let found = complete(&s, 4, 2 + typed.len() as u32, Trigger::Typing);
        found[0].label.clone()
    };
    let found = [
        first("gly", "cream.formula"),
        first("carr", "cream.formula"),
    ];
    std::fs::remove_dir_all(&folder).expect("the folder goes again");
    assert_eq!(found, ["glyceryl stearate", "carrageenan"]);
    assert_eq!(offered(&format!("{WATER}  gly$0\n"))[0].label, "glycerin");
}

#[test]
fn a_maker_who_asks_behind_a_full_name_gets_amounts() {
    for name in ["glycerin ", "glycerin  "] {
        let all = labels_of(asked(&format!("{WATER}  {name}$0\n")));
        assert!(
            all[0].ends_with(" %") && all.contains(&"q.s.".to_owned()),
            "{name:?}: {all:?}"
        );
    }
    assert_eq!(
        labels_of(asked(&format!("{WATER}  glycerin 4$0\n")))[0],
        "%"
    );
}

#[test]
fn what_fits_the_phase_comes_before_what_does_not() {
    let oil = "formula \"x\"\nphase B \"oil\" at 75 °C\n";
    let kb = Kb::bundled();
    let goes_to = |marked: &str, phase: &str| {
        let all = asked(marked);
        assert_eq!(all.len(), 100, "capped: {}", all.len());
        let first = all[..20].iter().filter(|c| {
            let one = kb.get(
                kb.by_id(c.id.as_deref().expect("an ingredient"))
                    .expect("of the base"),
            );
            format!("{:?}", one.phase.first()).contains(phase)
        });
        assert!(
            first.count() >= 18,
            "the first go into the {phase} phase: {:?}",
            all[..20].iter().map(|c| &c.label).collect::<Vec<_>>()
        );
    };
    goes_to(&format!("{oil}  $0\n"), "Oil");
    goes_to(&format!("{WATER}  $0\n"), "Water");
    goes_to(&format!("{WATER}phase C below 40 °C\n  $0\n"), "CoolDown");
}

#[test]
fn a_slip_of_the_finger_is_forgiven() {
    for (typed, id) in [
        ("phenoxyetanol", "phenoxyethanol"),
        ("glicerin", "glycerin"),
        ("xantan gum", "xanthan-gum"),
        ("cetaryl alc", "cetearyl-alcohol"),
    ] {
        let all = offered(&format!("{WATER}  {typed}$0\n"));
        let n = position(&all, id);
        assert!(n < 5, "{typed}: {id} comes at {n}");
        // The editor filters by what is typed.
        assert_eq!(all[n].filter, typed);
    }
    assert_eq!(
        labels(&format!("{WATER}  quartz wristwatch$0\n")),
        Vec::<String>::new()
    );
}

#[test]
fn a_name_that_several_share_offers_each_of_them() {
    let all = offered(&format!("{WATER}  vitamin$0\n"));
    let tocopherol = &all[position(&all, "tocopherol")];
    assert_eq!(
        (tocopherol.label.as_str(), tocopherol.aside.as_str()),
        ("tocopherol", " (vitamin E)"),
        "the one that is meant is written"
    );
    position(&all, "tocopheryl-acetate");
}

#[test]
fn the_usual_amount_comes_with_it_where_none_stands_yet() {
    let open = offered(&format!("{WATER}  phenoxyeth$0\n"));
    let one = &open[position(&open, "phenoxyethanol")];
    assert_eq!(one.snippet.as_deref(), Some("phenoxyethanol  ${1:0.5 %}"));
    assert!(
        one.detail.starts_with("preservative, ") && one.detail.contains("usually 0.5 to"),
        "{}",
        one.detail
    );
    assert!(
        one.brief.starts_with("preservative, 0.5 to "),
        "{}",
        one.brief
    );
    let before_amount = offered(&format!("{WATER}  phenoxyeth$0  0.8 %\n"));
    assert_eq!(
        before_amount[position(&before_amount, "phenoxyethanol")].snippet,
        None
    );
    assert_eq!(
        taken(&format!("{WATER}  phenoxy$0eth  0.8 %\n"), "phenoxyethanol"),
        format!("{WATER}  phenoxyethanol  0.8 %\n")
    );
    // Water fills up, unless another row does already.
    let first = offered("formula \"x\"\nphase A\n  wate$0\n");
    assert_eq!(
        first[position(&first, "water")]
            .snippet
            .as_deref()
            .map(|s| s.ends_with("${1:q.s.}")),
        Some(true)
    );
}

#[test]
fn at_the_left_edge_of_a_phase_a_row_is_set_in() {
    let text = format!("{WATER}phenoxy$0\n");
    assert_eq!(
        taken(&text, "phenoxyethanol"),
        format!("{WATER}  phenoxyethanol\n")
    );
    assert!(labels(&format!("{WATER}ph$0\n")).contains(&"phase".to_owned()));
}

#[test]
fn headings_that_are_missing_yet() {
    let all = labels_of(asked(&format!("{WATER}\n$0")));
    assert!(
        ["phase", "premix", "method", "notes"]
            .iter()
            .all(|h| all.contains(&(*h).to_owned())),
        "{all:?}"
    );
    assert!(!all.contains(&"formula".to_owned()), "there is one already");
    let phase = offered(&format!("{WATER}\np$0"))
        .into_iter()
        .find(|c| c.label == "phase")
        .expect("offered");
    assert_eq!(
        phase.snippet.as_deref(),
        Some("phase ${1:B}"),
        "the next free letter"
    );
    assert_eq!(
        labels_of(asked("$0")),
        ["formula", "phase", "premix", "method", "notes"]
    );
}

#[test]
fn what_may_follow_the_label_of_a_phase() {
    assert!(labels("formula \"x\"\nphase A \"water\" b$0\n").contains(&"below 40 °C".to_owned()));
    assert_eq!(
        labels("formula \"x\"\nphase A\n  water  q.s.\nphase $0\n"),
        ["B"]
    );
    let into =
        labels("formula \"x\"\nphase A \"water\"\n  water  q.s.\npremix A1 \"slurry\", into $0\n");
    assert_eq!(into, ["A"]);
}

#[test]
fn fields_and_their_values() {
    let keys = labels_of(asked("formula \"x\"\n  product: cream\n  $0\n"));
    assert!(
        keys.contains(&"batch".to_owned()) && keys.contains(&"pH".to_owned()),
        "{keys:?}"
    );
    assert!(!keys.contains(&"product".to_owned()), "it is there already");
    assert_eq!(
        labels("formula \"x\"\n  sold in: EU, $0\n"),
        ["UK", "US", "CA"]
    );
    assert_eq!(labels("formula \"x\"\n  sold in: EU, U$0\n"), ["UK", "US"]);
    assert_eq!(
        taken("formula \"x\"\n  sold in: EU, U$0\n", "US"),
        "formula \"x\"\n  sold in: EU, US\n"
    );
    assert_eq!(
        taken("formula \"x\"\n  ba$0: 100 g\n", "batch"),
        "formula \"x\"\n  batch: 100 g\n"
    );
    assert!(labels("formula \"x\"\n  type: oil$0\n").contains(&"oil-in-water".to_owned()));
    assert!(labels("formula \"x\"\n  product: $0\n").contains(&"leave-on".to_owned()));
    assert!(labels("formula \"x\"\n  product: hand$0\n").contains(&"hand cream".to_owned()));
    assert_eq!(labels_of(asked("formula \"x\"\n  batch: $0\n")), ["250 g"]);
    assert_eq!(labels("formula \"x\"\n  batch: $0\n"), Vec::<String>::new());
    let stock = |text| {
        let c = at_in(FileKind::Stock, text);
        labels_of(complete(&c.snapshot, c.line, c.byte, Trigger::Typing))
    };
    assert_eq!(stock("lot A-1 of glycerin\n  best$0\n"), ["best before"]);
    assert_eq!(stock("lot A-1 of glycerin$0\n"), Vec::<String>::new());
    assert_eq!(stock("lot A-1 of glyceri$0\n")[0], "glycerin");
}

#[test]
fn amounts_and_units() {
    let all = labels_of(asked(&format!("{WATER}  phenoxyethanol  $0\n")));
    assert!(
        all.contains(&"q.s.".to_owned()) && all[0].ends_with(" %"),
        "{all:?}"
    );
    assert_eq!(labels(&format!("{WATER}  glycerin  5 m$0\n")), ["mg", "mL"]);
    assert_eq!(labels(&format!("{WATER}  glycerin  q$0\n"))[0], "q.s.");
    assert_eq!(
        taken(&format!("{WATER}  glycerin  5$0\n"), "%"),
        format!("{WATER}  glycerin  5 %\n")
    );
    assert_eq!(
        taken(&format!("{WATER}  glycerin 5 $0\n"), "%"),
        format!("{WATER}  glycerin 5 %\n")
    );
    let weights = "formula \"x\"\nphase A\n  water  50 g\n  glycerin  5 $0\n";
    assert_eq!(labels_of(asked(weights))[0], "g");
    assert_eq!(
        labels(&format!("{WATER}  salicylic acid  0.5 % as pre$0\n")),
        ["preservative"]
    );
}

#[test]
fn steps_begin_with_verbs_and_go_on_with_phases_and_materials() {
    let step = |typed: &str| CREAM.replace("  fill\n", &format!("  {typed}$0\n"));
    let verbs = offered(&step("he"));
    assert_eq!(verbs[0].label, "heat");
    assert_eq!(verbs[0].snippet.as_deref(), Some("heat ${1:A to 75 °C}"));
    assert!(labels(&step("add C, st")).contains(&"stir".to_owned()));
    assert!(
        labels(&step("emul")).contains(&"emulsify".to_owned()),
        "other wordings as they are typed"
    );
    let objects = labels(&step("add "));
    assert!(
        ["A", "B", "C", "panthenol"]
            .iter()
            .all(|o| objects.contains(&(*o).to_owned())),
        "{objects:?}"
    );
    assert_eq!(labels(&step("add pan")), ["panthenol"]);
    assert_eq!(labels(&step("add 0.5 g pan")), ["panthenol"]);
    assert!(labels(&step("heat A to ")).contains(&"75 °C".to_owned()));
    assert_eq!(labels(&step("heat A and "))[..2], ["A", "B"]);
}

#[test]
fn behind_measure_and_cool_to_stands_what_belongs_there() {
    let step = |typed: &str| CREAM.replace("  fill\n", &format!("  {typed}$0\n"));
    assert_eq!(labels(&step("measure "))[0], "measure pH");
    assert_eq!(labels(&step("measure p")), ["measure pH"]);
    assert_eq!(
        taken(&step("measure p"), "measure pH"),
        step("measure pH").replace("$0", "")
    );
    assert_eq!(labels(&step("adjust p")), ["pH"]);
    let cool = labels(&step("cool to "));
    assert!(
        !cool.is_empty() && cool.iter().all(|l| l.ends_with("°C")),
        "{cool:?}"
    );
    assert!(!cool.contains(&"75 °C".to_owned()), "it has been that hot");
    assert_eq!(labels(&step("stir 5 mi")), Vec::<String>::new());
    assert_eq!(labels(&step("pour A into "))[0], "A");
}

#[test]
fn codes_of_rules_in_exceptions() {
    let all = offered(&format!("{WATER}  glycerin  5 %  # except ban$0\n"));
    assert_eq!(
        all.iter().map(|c| c.label.as_str()).collect::<Vec<_>>(),
        ["banned"]
    );
    assert_eq!(all[0].insert, "banned: ");
    assert_eq!(
        taken(
            &format!("{WATER}  glycerin  5 %  # except ban$0: why\n"),
            "banned"
        ),
        format!("{WATER}  glycerin  5 %  # except banned: why\n")
    );
    // What is found on the line comes first; what cannot be excepted not at all.
    let found = labels("formula \"x\"\nphase A\n  hydroquinone  2 %  # except $0\n  water  q.s.\n");
    assert_eq!(found[0], "banned", "{found:?}");
    assert!(!found.contains(&"syntax".to_owned()));
    let c = at(&format!("{WATER}  glycerin  5 %  # except ban$0\n"));
    assert!(complete_card(&c.snapshot, "banned").is_some_and(|m| m.contains("## Why")));
    assert!(complete_card(&c.snapshot, "glycerin").is_some_and(|m| m.contains("CAS 56-81-5")));
    assert_eq!(complete_card(&c.snapshot, "no such thing"), None);
}

#[test]
fn files_beside_the_formula() {
    let folder = std::env::temp_dir().join(format!("phasewright-files-{}", std::process::id()));
    std::fs::create_dir_all(folder.join("bases")).expect("a folder for the test");
    for name in [
        "stock gel.formula",
        "cream.formula",
        "notes.txt",
        "bases/cetyl base.formula",
    ] {
        std::fs::write(folder.join(name), "formula \"x\"\n").expect("a file for the test");
    }
    let text = "formula \"x\"\nphase A\n  \"\n";
    let s = Snapshot::new(
        &folder.join("cream.formula"),
        FileKind::Formula,
        parse(FileKind::Formula, text),
        &Kb::bundled(),
        &super::settings(),
        &NoFiles,
    );
    let all = complete(&s, 2, 3, Trigger::Typing);
    std::fs::remove_dir_all(&folder).expect("the folder goes again");
    assert_eq!(
        all.iter().map(|c| c.label.as_str()).collect::<Vec<_>>(),
        ["bases/cetyl base.formula", "stock gel.formula"]
    );
    assert_eq!(
        (all[0].kind, all[1].insert.as_str()),
        (CompletionKind::File, "stock gel.formula\"")
    );
}

#[test]
fn the_makers_own_ingredients_are_offered_and_theirs_replace_the_bundled() {
    let own = vec![
        (PathBuf::from("ingredients/meadow-blend.toml"), "id = \"meadow-blend\"\nnames = [\"meadow blend\"]\nphase = [\"water\"]\ncomposition = [{ of = \"water\", percent = 60 }, { of = \"sodium-benzoate\", percent = 40 }]\n".to_owned()),
        (PathBuf::from("ingredients/phenoxyethanol.toml"), "id = \"phenoxyethanol\"\nnote = \"ours\"\n".to_owned()),
    ];
    let (kb, faults) = Kb::with_user_entries(&own);
    assert!(faults.is_empty(), "{faults:?}");
    let text = format!("{WATER}  mead\n  phenoxyeth\n");
    let s = Snapshot::new(
        std::path::Path::new("x.formula"),
        FileKind::Formula,
        parse(FileKind::Formula, &text),
        &kb,
        &super::settings(),
        &NoFiles,
    );
    let meadow = complete(&s, 4, 6, Trigger::Typing);
    assert_eq!(meadow[0].label, "meadow blend");
    assert!(meadow[0].detail.starts_with("your own"));
    assert!(complete_card(&s, "meadow-blend").is_some_and(|m| m.contains("60 % Aqua")));
    let phenoxy: Vec<Completion> = complete(&s, 5, 12, Trigger::Typing)
        .into_iter()
        .filter(|c| c.id.as_deref() == Some("phenoxyethanol"))
        .collect();
    assert_eq!(phenoxy.len(), 1, "once, as the maker has it");
    assert!(phenoxy[0].detail.starts_with("your own"));
}

#[test]
fn nothing_is_offered_in_free_text() {
    assert_eq!(
        labels("formula \"x\"\nnotes\n  glyc$0\n"),
        Vec::<String>::new()
    );
    assert_eq!(
        labels(&format!("{WATER}  glycerin  5 %  # because glyc$0\n")),
        Vec::<String>::new()
    );
}

#[test]
fn signs_in_names_are_no_marks_of_a_snippet() {
    for c in asked(&format!("{WATER}  $0\n")) {
        if let Some(s) = &c.snippet {
            assert!(s.ends_with('}'), "{s}");
            assert_eq!(s.matches("${1:").count(), 1, "{s}");
        }
    }
}

/// The number of a data sheet is typed, and the name is written.
#[test]
fn a_material_is_found_by_its_cas_number() {
    let offered = |typed: &str| -> Vec<String> {
        let c = at(&format!("phase A\n  {typed}$0\n"));
        let all = complete(&c.snapshot, c.line, c.byte, Trigger::Typing);
        all.into_iter().map(|o| o.insert).collect()
    };
    assert_eq!(offered("56-81"), ["glycerin"]);
    assert!(offered("122-99").contains(&"phenoxyethanol".to_owned()));
    // A number that is typed in full is understood as it stands.
    assert_eq!(offered("56-81-5"), Vec::<String>::new());
}
