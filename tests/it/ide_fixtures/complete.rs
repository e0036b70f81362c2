use super::{CREAM, at, at_in};
use phasewright::ide::Snapshot;
use phasewright::ide::complete::{Completion, CompletionKind, complete, complete_card};
use phasewright::kb::Kb;
use phasewright::model::NoFiles;
use phasewright::syntax::{FileKind, parse};
use std::path::PathBuf;

fn offered(marked: &str) -> Vec<Completion> {
    let c = at(marked);
    complete(&c.snapshot, c.line, c.byte)
}

fn labels(marked: &str) -> Vec<String> {
    offered(marked).into_iter().map(|c| c.label).collect()
}

/// What the text is once the first of these is taken.
fn taken(marked: &str, label: &str) -> String {
    let c = at(marked);
    let all = complete(&c.snapshot, c.line, c.byte);
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
        ("E211", "sodium-benzoate"),
        ("aqua pur", "water"),
        ("benz sod", "sodium-benzoate"),
    ] {
        let all = offered(&format!("{WATER}  {typed}$0\n"));
        let n = position(&all, id);
        assert!(n < 10, "{typed}: {id} comes at {n}");
    }
}

#[test]
fn what_is_spelled_out_comes_first() {
    for (typed, id) in [
        ("water", "water"),
        ("glycerin", "glycerin"),
        ("shea butter", "shea-butter"),
        ("panthenol", "panthenol"),
    ] {
        let all = offered(&format!("{WATER}  {typed}$0\n"));
        assert_eq!(all[0].id.as_deref(), Some(id), "{typed}");
        assert!(
            all.windows(2).all(|w| w[0].sort < w[1].sort),
            "sorted as listed"
        );
    }
}

#[test]
fn what_fits_the_phase_comes_before_what_does_not() {
    let oil = "formula \"x\"\nphase B \"oil\" at 75 °C\n";
    let kb = Kb::bundled();
    let goes_to = |marked: &str, phase: &str| {
        let all = offered(marked);
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
    // Of those that begin so, whatever their phase; what only holds the letters comes after them.
    let mut all = offered(&format!("{oil}  sod$0\n"));
    all.retain(|c| {
        c.filter
            .to_lowercase()
            .split([' ', '-', '/', '('])
            .any(|w| w.starts_with("sod"))
    });
    let fits = |c: &Completion| {
        kb.get(kb.by_id(c.id.as_deref().expect("id")).expect("known"))
            .phase
            .contains(&phasewright::kb::schema::PhaseKind::Oil)
    };
    let last_fitting = all.iter().rposition(fits);
    let first_other = all.iter().position(|c| !fits(c));
    if let (Some(last), Some(first)) = (last_fitting, first_other) {
        assert!(last < first, "fitting ones stand before the others");
    }
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
    let all = offered(&format!("{WATER}  vitamin e$0\n"));
    let tocopherol = &all[position(&all, "tocopherol")];
    assert_eq!(tocopherol.filter.to_lowercase(), "vitamin e");
    assert_ne!(
        tocopherol.insert.to_lowercase(),
        "vitamin e",
        "the one that is meant is written"
    );
    position(&all, "tocopheryl-acetate");
}

#[test]
fn the_usual_amount_comes_with_it_where_none_stands_yet() {
    let open = offered(&format!("{WATER}  phenoxyeth$0\n"));
    let one = &open[position(&open, "phenoxyethanol")];
    assert_eq!(one.snippet.as_deref(), Some("phenoxyethanol  ${1:0.5} %$0"));
    assert!(
        one.detail.contains("preservative") && one.detail.contains("usually"),
        "{}",
        one.detail
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
            .map(|s| s.ends_with("${1:q.s.}$0")),
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
    let all = labels(&format!("{WATER}\n$0"));
    assert!(
        ["phase", "premix", "method", "notes"]
            .iter()
            .all(|h| all.contains(&(*h).to_owned())),
        "{all:?}"
    );
    assert!(!all.contains(&"formula".to_owned()), "there is one already");
    let phase = offered(&format!("{WATER}\n$0"))
        .into_iter()
        .find(|c| c.label == "phase")
        .expect("offered");
    assert!(
        phase.snippet.is_some_and(|s| s.starts_with("phase ${1:B}")),
        "the next free letter"
    );
    assert_eq!(
        labels("$0"),
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
    let keys = labels("formula \"x\"\n  product: cream\n  $0\n");
    assert!(
        keys.contains(&"batch".to_owned()) && keys.contains(&"pH".to_owned()),
        "{keys:?}"
    );
    assert!(!keys.contains(&"product".to_owned()), "it is there already");
    assert_eq!(labels("formula \"x\"\n  sold in: EU, U$0\n"), ["UK", "US"]);
    assert_eq!(
        taken("formula \"x\"\n  sold in: EU, U$0\n", "US"),
        "formula \"x\"\n  sold in: EU, US\n"
    );
    assert!(labels("formula \"x\"\n  type: oil$0\n").contains(&"oil-in-water".to_owned()));
    assert!(labels("formula \"x\"\n  product: $0\n").contains(&"leave-on".to_owned()));
    assert!(labels("formula \"x\"\n  product: hand$0\n").contains(&"hand cream".to_owned()));
    assert_eq!(labels("formula \"x\"\n  batch: $0\n"), ["250 g"]);
    let stock: Vec<String> = {
        let c = at_in(FileKind::Stock, "lot A-1 of glycerin\n  best$0\n");
        complete(&c.snapshot, c.line, c.byte)
            .into_iter()
            .map(|c| c.label)
            .collect()
    };
    assert_eq!(stock, ["best before"]);
}

#[test]
fn amounts_and_units() {
    let all = labels(&format!("{WATER}  phenoxyethanol  $0\n"));
    assert!(
        all.contains(&"q.s.".to_owned()) && all[0].ends_with(" %"),
        "{all:?}"
    );
    assert_eq!(labels(&format!("{WATER}  glycerin  5 m$0\n")), ["mg", "mL"]);
    assert_eq!(
        taken(&format!("{WATER}  glycerin  5$0\n"), "%"),
        format!("{WATER}  glycerin  5 %\n")
    );
    assert_eq!(
        taken(&format!("{WATER}  glycerin 5 $0\n"), "%"),
        format!("{WATER}  glycerin 5 %\n")
    );
    assert_eq!(
        labels("formula \"x\"\nphase A\n  water  50 g\n  glycerin  5 $0\n")[0],
        "g"
    );
    let purposes = offered(&format!("{WATER}  salicylic acid  0.5 % as pre$0\n"));
    assert_eq!(
        purposes
            .iter()
            .map(|c| c.label.as_str())
            .collect::<Vec<_>>(),
        ["preservative"]
    );
}

#[test]
fn steps_begin_with_verbs_and_go_on_with_phases_and_materials() {
    let step = |typed: &str| CREAM.replace("  fill\n", &format!("  {typed}$0\n"));
    let verbs = offered(&step("he"));
    assert_eq!(verbs[0].label, "heat");
    assert_eq!(
        verbs[0].snippet.as_deref(),
        Some("heat ${1:A} to ${2:75 °C}$0")
    );
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
    assert!(labels(&step("heat A to 7")).contains(&"75 °C".to_owned()));
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
    let all = complete(&s, 2, 3);
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
    let (kb, faults) = Kb::with_own(&own);
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
    let meadow = complete(&s, 4, 6);
    assert_eq!(meadow[0].label, "meadow blend");
    assert!(meadow[0].detail.starts_with("your own"));
    assert!(complete_card(&s, "meadow-blend").is_some_and(|m| m.contains("60 % Aqua")));
    let phenoxy: Vec<Completion> = complete(&s, 5, 12)
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
    for c in offered(&format!("{WATER}  $0\n")) {
        if let Some(s) = &c.snippet {
            assert!(s.ends_with("$0"), "{s}");
            assert_eq!(s.matches("${1:").count(), 1, "{s}");
        }
    }
}
