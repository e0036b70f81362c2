//! What a maker is shown at the bench, on the record of a batch of hand cream (`examples/hand-cream-031.batch`) as it is being written.

use super::apply;
use phasewright::ide::Snapshot;
use phasewright::ide::actions::Action;
use phasewright::ide::complete::{Completion, Trigger};
use phasewright::ide::record::{self, RecordView, references, rename};
use phasewright::kb::{Kb, Market};
use phasewright::model::shop::{Facts, Shop};
use phasewright::model::{FileLoader, Settings};
use phasewright::syntax::{FileKind, parse};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

const BATCH: &str = include_str!("../../../examples/hand-cream-031.batch");
const FORMULA: &str = include_str!("../../../examples/gardeners-hand-cream.formula");
const SHELF: &str = include_str!("../../../examples/shelf.stock");

/// A workshop in memory.
struct Bench {
    files: BTreeMap<PathBuf, String>,
    today: &'static str,
}

impl FileLoader for Bench {
    fn read(&self, path: &Path) -> Result<String, String> {
        self.files
            .get(path)
            .cloned()
            .ok_or("no such file".to_owned())
    }
}

fn path(name: &str) -> PathBuf {
    Path::new("/workshop").join(name)
}

impl Bench {
    /// The hand cream with its shelf; the record as it is given.
    fn with(record: &str) -> Bench {
        let mut bench = Bench {
            files: BTreeMap::new(),
            today: "2026-04-01",
        };
        bench.add("gardeners-hand-cream.formula", FORMULA);
        bench.add("shelf.stock", SHELF);
        bench.add("HC-031.batch", record);
        bench
    }

    fn add(&mut self, name: &str, text: &str) {
        self.files.insert(path(name), text.to_owned());
    }

    /// Looks at a file as the editor has it open.
    fn open<T>(&self, name: &str, ask: impl FnOnce(&RecordView) -> T) -> T {
        let kb = Kb::bundled();
        let settings = Settings {
            markets: vec![Market::EuropeanUnion],
            ..Settings::on(self.today.parse().expect("a day"))
        };
        let mut shop = Shop::default();
        for (path, text) in &self.files {
            if let Some(kind) = FileKind::of_path(path).filter(|k| *k != FileKind::Formula) {
                shop.set(path, Facts::of(&parse(kind, text), path, &kb));
            }
        }
        let path = path(name);
        let kind = FileKind::of_path(&path).expect("a kind");
        let tree = parse(kind, &self.files[&path]);
        let facts = Facts::of(&tree, &path, &kb);
        let snapshot = Snapshot::in_workshop(&path, tree, &kb, &settings, self, &shop, &facts);
        let mut view = RecordView::new(&snapshot, &shop, &facts, self);
        view.now = Some(10 * 60 + 5);
        ask(&view)
    }

    /// The hint behind the line that holds some words.
    fn hint(&self, words: &str) -> Option<String> {
        let line = self.line("HC-031.batch", words);
        self.open("HC-031.batch", |view| {
            let all = record::hints::hints(view, 0, u32::MAX);
            let mut lines: Vec<u32> = all.iter().map(|h| h.line).collect();
            lines.dedup();
            assert_eq!(lines.len(), all.len(), "one hint a line: {all:?}");
            all.into_iter().find(|h| h.line == line).map(|h| h.text)
        })
    }

    fn line(&self, name: &str, words: &str) -> u32 {
        let text = &self.files[&path(name)];
        let found = text.lines().position(|l| l.contains(words));
        found.unwrap_or_else(|| panic!("no line holds \"{words}\"")) as u32
    }

    fn lens(&self) -> String {
        self.open("HC-031.batch", |view| record::lenses(view).remove(0).title)
    }

    fn actions(&self, words: &str) -> Vec<Action> {
        let line = self.line("HC-031.batch", words);
        self.open("HC-031.batch", |view| {
            record::actions::actions(view, line, line)
        })
    }

    /// The line that holds some words, once an action is applied.
    fn mended(&self, action: &Action) -> String {
        apply(&self.files[&path("HC-031.batch")], &action.edits)
    }

    fn hover(&self, name: &str, words: &str) -> String {
        let text = &self.files[&path(name)];
        let line = self.line(name, words);
        let byte = text
            .lines()
            .nth(line as usize)
            .and_then(|l| l.find(words))
            .expect("it is there");
        let shown = self.open(name, |view| record::hover(view, line, byte as u32));
        shown.expect("a hover").markdown
    }

    /// What is offered at `$0`.
    fn complete(mut self, name: &str, marked: &str) -> Vec<Completion> {
        let at = marked.find("$0").expect("a cursor");
        let before = &marked[..at];
        self.add(name, &marked.replacen("$0", "", 1));
        let line = before.matches('\n').count() as u32;
        let byte = before.len() - before.rfind('\n').map_or(0, |n| n + 1);
        self.open(name, |view| {
            record::complete::complete(view, line, byte as u32, Trigger::Invoked)
        })
    }

    fn findings(&self) -> Vec<(u32, String)> {
        self.open("HC-031.batch", |view| {
            let found = view.snapshot.findings().iter();
            found.map(|f| (f.place.line, f.whole())).collect()
        })
    }
}

/// The record with some lines written in another way.
fn changed(pairs: &[(&str, &str)]) -> Bench {
    let mut text = BATCH.to_owned();
    for (from, to) in pairs {
        assert!(text.contains(from), "the example holds \"{from}\"");
        text = text.replacen(from, to, 1);
    }
    Bench::with(&text)
}

const PANTHENOL: &str = "2.50 g of 2.50 g     lot PAN-05";
const GLYCERIN: &str = "12.51 g of 12.50 g    lot GLY-07";

/// With a ledger that says what was counted on the shelf.
fn counted(mut bench: Bench, lines: &str) -> Bench {
    bench.add("ledger.stock", &format!("ledger\n{lines}"));
    bench
}

/// Two pots of panthenol, the older one nearly empty.
fn with_little_panthenol(bench: Bench) -> Bench {
    counted(bench, "  2026-03-01  counted 1.5 g PAN-05\n")
}

#[test]
fn moment_1_the_lens_tells_what_is_weighed_and_what_is_next() {
    let bench = changed(&[
        ("181.52 g of", "181.48 g of"),
        (
            PANTHENOL,
            "1.50 g of 1.50 g     lot PAN-05\n  panthenol  ? of 1.00 g  lot PAN-06",
        ),
    ]);
    assert_eq!(
        bench.lens(),
        "11 of 12 weighed, 0.00 g over plan; next: panthenol"
    );
}

#[test]
fn moment_2_a_lot_that_does_not_suffice_names_the_next() {
    let bench = with_little_panthenol(changed(&[(PANTHENOL, "? of 2.50 g  lot PAN-05")]));
    assert_eq!(
        bench.hint("? of 2.50 g").as_deref(),
        Some("1.50 g left in PAN-05: take the rest from PAN-06")
    );
}

#[test]
fn moment_3_such_a_row_is_split_between_the_two_lots() {
    let bench = with_little_panthenol(changed(&[(PANTHENOL, "? of 2.50 g  lot PAN-05")]));
    let all = bench.actions("? of 2.50 g");
    let split = all
        .iter()
        .find(|a| a.title == "Split: 1.50 g from PAN-05, 1.00 g from PAN-06");
    let text = bench.mended(split.unwrap_or_else(|| panic!("{all:?}")));
    let rows: Vec<&str> = text
        .lines()
        .filter(|l| l.contains("panthenol"))
        .map(str::trim)
        .collect();
    assert_eq!(rows.len(), 2, "{rows:?}");
    assert!(rows[0].ends_with("? of 1.50 g  lot PAN-05"), "{rows:?}");
    assert!(rows[1].ends_with("? of 1.00 g  lot PAN-06"), "{rows:?}");
    // What is written then suffices.
    let after = with_little_panthenol(Bench::with(&text));
    assert_eq!(after.hint("? of 1.50 g"), None);
}

#[test]
fn moment_4_a_row_without_a_lot_is_offered_the_one_that_expires_first() {
    let mut bench = changed(&[(GLYCERIN, "? of 12.50 g")]);
    let newer = "\nlot GLY-08 of glycerin\n  received: 2026-02-01\n  best before: 2029-01-31\n  bought: 1 kg for 9 EUR\n";
    bench.add("shelf.stock", &format!("{SHELF}{newer}"));
    let bench = counted(bench, "  2026-03-01  counted 431 g GLY-07\n");
    let titles: Vec<String> = bench
        .actions("glycerin  ")
        .into_iter()
        .map(|a| a.title)
        .collect();
    assert_eq!(
        titles,
        [
            "lot GLY-07 (431 g left, best before 2028-01-31, expires first)",
            "lot GLY-08 (1000 g left, best before 2029-01-31)",
        ]
    );
    let action = &bench.actions("glycerin  ")[0];
    assert!(bench.mended(action).contains("? of 12.50 g   lot GLY-07\n"));
}

#[test]
fn moment_5_while_the_scale_climbs_it_tells_what_is_to_go() {
    let bench = changed(&[("12.51 g of 12.50 g", "11.9 g of 12.50 g")]);
    assert_eq!(bench.hint("11.9 g").as_deref(), Some("0.60 g to go"));
    // Without a written plan it is the formula's.
    let bench = changed(&[("12.51 g of 12.50 g", "11.9 g")]);
    assert_eq!(bench.hint("11.9 g").as_deref(), Some("0.6 g to go"));
}

#[test]
fn moment_6_a_weight_shows_how_far_it_is_from_its_plan() {
    assert_eq!(changed(&[]).hint("12.51 g").as_deref(), Some("+0.01 g"));
    assert_eq!(changed(&[]).hint("22.48 g").as_deref(), Some("-0.02 g"));
    assert_eq!(changed(&[]).hint("sodium phytate"), None);
}

#[test]
fn moment_7_too_much_of_the_preservative_asks_for_a_reason_or_a_larger_batch() {
    let bench = changed(&[("2.25 g of 2.25 g", "2.60 g of 2.25 g")]);
    let line = bench.line("HC-031.batch", "2.60 g of");
    let said =
        "15.6 % over plan, and it is the preservative. Write why, or make the batch up to 289 g";
    let all = bench.findings();
    assert!(all.contains(&(line, said.to_owned())), "{all:?}");
}

#[test]
fn moment_11_once_all_is_weighed_the_lens_names_the_next_step() {
    let unlogged = BATCH[..BATCH.find("  10:05").expect("the log")].to_owned();
    assert_eq!(
        Bench::with(&unlogged).lens(),
        "All weighed: 247.54 g of 247.50 g. Heat A and B to 75 °C, hold A 20 min."
    );
    // The log moves on, and the lens with it.
    let cut = |words: &str| {
        let at = BATCH.find(words).expect("a line");
        Bench::with(&BATCH[..at]).lens()
    };
    assert!(cut("  10:27").ends_with("Top up A with hot water to its starting weight."));
    assert!(cut("  10:31").ends_with("Pour A into B, blend 3 min."));
    assert!(cut("  10:52").ends_with("Cool to 38 °C, stirring."));
    assert!(cut("  11:40").ends_with("Cool to 25 °C."));
    assert!(cut("  12:10").ends_with("Fill."));
    assert_eq!(changed(&[]).lens(), "All weighed: 247.54 g of 247.50 g.");
}

#[test]
fn moment_12_a_vessel_on_the_scale_tells_how_much_water_has_gone() {
    assert_eq!(
        changed(&[]).hint("A 190.4 g").as_deref(),
        Some("4.38 g of water has gone since 194.78 g: put it back hot")
    );
}

#[test]
fn moment_13_water_put_back_brings_the_vessel_to_where_it_began() {
    assert_eq!(
        changed(&[]).hint("add 4.3 g water").as_deref(),
        Some("A 194.70 g of 194.78 g: as it began")
    );
    assert_eq!(
        changed(&[("add 4.3 g water", "add 1.3 g water")])
            .hint("add 1.3 g water")
            .as_deref(),
        Some("A 191.70 g of 194.78 g: 3.08 g still to put back")
    );
}

#[test]
fn moment_15_two_readings_of_the_pot_tell_when_it_is_cool_enough() {
    let bench = changed(&[]);
    assert_eq!(
        bench.hint("10:52").as_deref(),
        Some("Below 40 °C at 11:04 (11:02 to 11:06)")
    );
    assert_eq!(bench.hint("10:31"), None, "one reading tells nothing");
    assert_eq!(bench.hint("11:08"), None, "it is cool enough");
}

#[test]
fn moment_17_the_first_ph_is_tried_on_a_sample() {
    assert_eq!(
        changed(&[]).hint("pH 6.4").as_deref(),
        Some("Target 5.0 to 5.5. Try it on 30 g first, or add 0.26 g lactic acid 10 %")
    );
}

/// The dose for the sample is rounded to the hundredth of a gram, and the model says 5.46 for it.
#[test]
fn moment_18_the_sample_is_led_on_step_by_step() {
    assert_eq!(
        changed(&[]).hint("sample pH 5.82").as_deref(),
        Some("Add 0.09 g more to the sample: about 5.46")
    );
}

#[test]
fn moment_19_once_the_sample_has_passed_the_target_the_batch_gets_its_dose() {
    assert_eq!(
        changed(&[]).hint("sample pH 4.99").as_deref(),
        Some("Add 1.95 g to the batch: about 5.24")
    );
}

#[test]
fn moment_20_no_dose_is_shown_once_an_addition_cannot_be_named() {
    let bench = changed(&[(
        "add 1.95 g lactic acid 10 % lot LAC-03",
        "add 1.5 g lactik acid",
    )]);
    assert_eq!(bench.hint("11:58  pH 5.24"), None);
}

#[test]
fn moment_21_in_range_it_names_the_day_to_measure_again() {
    assert_eq!(
        changed(&[]).hint("11:58  pH 5.24").as_deref(),
        Some("In range. Measure again on 2026-03-15.")
    );
}

#[test]
fn moment_22_the_yield_is_held_against_what_should_be_there() {
    assert_eq!(
        changed(&[]).hint("yield 213.0 g").as_deref(),
        Some("97.1 % of the 219.4 g that should be there: 4 x 50 g and 13.0 g over")
    );
}

#[test]
fn moment_23_what_is_not_packed_is_asked_after() {
    let bench = changed(&[(
        "\nobservations",
        "\npacked\n  4 x 50 g, 1 kept\n\nobservations",
    )]);
    assert_eq!(
        bench.hint("4 x 50 g").as_deref(),
        Some("200 g of 213.0 g packed, 13.0 g stays: is it a tester or waste?")
    );
}

#[test]
fn a_day_after_the_making_is_shown_as_its_date() {
    let bench = changed(&[]);
    assert_eq!(
        bench.hint("+28 d").as_deref(),
        Some("due 2026-04-11, in 10 days")
    );
    assert_eq!(bench.hint("+1 d").as_deref(), Some("2026-03-15"));
    let bench = changed(&[("+1 d   pH 5.3", "+1 d")]);
    assert_eq!(
        bench.hint("+1 d").as_deref(),
        Some("was due 2026-03-15, 17 days ago")
    );
}

/// Nine batches took from the lot, three of them have jars on the shelf.
fn nine_batches() -> Bench {
    let mut bench = changed(&[]);
    for n in 1..=8 {
        let packed = if n <= 3 {
            "\npacked\n  4 x 50 g, 1 kept\n"
        } else {
            ""
        };
        let released = "  released: 2026-03-20 by Ana\n";
        bench.add(
            &format!("HC-00{n}.batch"),
            &format!(
                "batch HC-00{n} of \"gardeners-hand-cream.formula\" version 4\n  made: 2026-02-0{n}\n{released}\nweighed\n  glycerin  12.50 g of 12.50 g  lot gly-07\n{packed}"
            ),
        );
    }
    bench.add(
        "shelf.stock",
        &SHELF.replacen(
            "lot GLY-07 of glycerin\n",
            "lot GLY-07 of glycerin\n  supplier lot: 8841-2\n",
            1,
        ),
    );
    counted(bench, "  2026-03-30  counted 431 g GLY-07\n")
}

#[test]
fn a_lot_under_the_cursor_tells_what_it_is_and_where_it_went() {
    let bench = nine_batches();
    let said = "glycerin, GLY-07, supplier's lot 8841-2, best before 2028-01-31, 431 g left, in 9 batches, 3 of them on sale";
    assert!(
        bench.hover("HC-031.batch", "GLY-07").starts_with(said),
        "{}",
        bench.hover("HC-031.batch", "GLY-07")
    );
    assert!(bench.hover("shelf.stock", "GLY-07").starts_with(said));
    assert!(bench.hover("ledger.stock", "GLY-07").starts_with(said));
}

#[test]
fn a_batch_under_the_cursor_tells_what_became_of_its_jars() {
    let packed = "  best before: 2027-01-31\n  released: 2026-03-20 by Ana\n";
    let bench = changed(&[
        ("  room: 21 °C\n", &format!("  room: 21 °C\n{packed}")),
        (
            "\nobservations",
            "\npacked\n  48 x 50 g, 2 kept\n\nobservations",
        ),
    ]);
    let bench = counted(
        bench,
        "  2026-03-28  sold 38 x 50 g HC-031 to Rosenrot Jena, invoice 2026-017\n",
    );
    let said = "38 of 48 sold, 2 kept, 8 on the shelf, best before 2027-01-31, released by Ana";
    assert!(
        bench.hover("HC-031.batch", "HC-031 of").starts_with(said),
        "{}",
        bench.hover("HC-031.batch", "HC-031 of")
    );
    assert!(bench.hover("ledger.stock", "HC-031").starts_with(said));
    assert_eq!(bench.lens(), said);
}

#[test]
fn a_weight_and_a_plan_under_the_cursor_tell_where_they_come_from() {
    let bench = changed(&[]);
    assert!(
        bench
            .hover("HC-031.batch", "12.51 g")
            .starts_with("12.51 g of 12.50 g: +0.01 g, 0.1 % over plan")
    );
    let plan = bench.hover("HC-031.batch", "12.50 g");
    assert!(
        plan.starts_with("5 % of 250 g are 12.5 g; gardeners-hand-cream.formula, line 15"),
        "{plan}"
    );
    assert!(
        bench
            .hover("HC-031.batch", "pH 6.4")
            .starts_with("Target 5.0 to 5.5. Try it on 30 g first")
    );
    assert!(
        bench
            .hover("HC-031.batch", "48 °C")
            .starts_with("Below 40 °C at 11:04")
    );
}

#[test]
fn a_lot_leads_to_its_heading_and_to_everything_it_went_into() {
    let bench = nine_batches();
    let line = bench.line("HC-031.batch", "GLY-07");
    let byte = bench.files[&path("HC-031.batch")]
        .lines()
        .nth(line as usize)
        .and_then(|l| l.find("GLY-07"))
        .expect("it is there") as u32;
    bench.open("HC-031.batch", |view| {
        let heading = references::definition(view, line, byte).expect("a heading");
        assert_eq!(heading.path, path("shelf.stock"));
        assert_eq!(heading.place.line, bench.line("shelf.stock", "lot GLY-07"));
        let all = references::references(view, line, byte, true).expect("a code");
        // Its heading, nine rows, and the count.
        assert_eq!(all.len(), 11, "{all:?}");
        let without = references::references(view, line, byte, false).expect("a code");
        assert_eq!(without.len(), 10);
    });
}

/// The lot of citric acid went into a batch of solution, and the solution into another batch.
#[test]
fn references_go_through_lots_that_were_made_here() {
    let mut bench = changed(&[("lot LAC-03", "lot CIT-01")]);
    bench.add(
        "citric.formula",
        "formula \"Citric acid solution\"\n\nphase A\n  water  q.s.\n  citric acid  20 %\n",
    );
    bench.add(
        "CS-001.batch",
        "batch CS-001 of \"citric.formula\"\n  made: 2026-01-02\n\nweighed\n  water  80 g of 80 g\n  citric acid  20 g of 20 g  lot CIA-01\n",
    );
    bench.add(
        "more.stock",
        "lot CIA-01 of citric acid\n  bought: 1 kg for 9 EUR\n\nlot CIT-01 of \"citric.formula\"\n  from: batch CS-001\n",
    );
    bench.open("more.stock", |view| {
        let all = references::references(view, 0, 5, true).expect("a code");
        let files: Vec<String> = all
            .iter()
            .map(|p| {
                format!(
                    "{}:{}",
                    p.path.file_name().expect("a name").to_string_lossy(),
                    p.place.line + 1
                )
            })
            .collect();
        let added = format!(
            "HC-031.batch:{}",
            bench.line("HC-031.batch", "lot CIT-01") + 1
        );
        assert_eq!(
            files,
            [
                "CS-001.batch:6",
                added.as_str(),
                "more.stock:1",
                "more.stock:4"
            ]
        );
        // From `from` to the batch.
        let batch = references::definition(view, 4, 15).expect("a batch");
        assert_eq!((batch.path, batch.place.line), (path("CS-001.batch"), 0));
    });
}

#[test]
fn a_code_on_paper_keeps_its_name() {
    let bench = nine_batches();
    let refused = bench.open("shelf.stock", |view| {
        let line = bench.line("shelf.stock", "lot GLY-07");
        rename::rename(view, line, 6, "GLY-70")
            .expect("a code")
            .expect_err("it is refused")
    });
    // HC-031 itself is not released yet.
    assert_eq!(
        refused,
        "GLY-07 is on 8 batches that are released; the code on paper stays. Write a new lot, or correct one line."
    );
}

#[test]
fn a_code_on_no_paper_yet_is_renamed_everywhere() {
    let bench = changed(&[]);
    let line = bench.line("shelf.stock", "lot GLY-07");
    bench.open("shelf.stock", |view| {
        assert!(rename::prepare(view, line, 6).expect("a code").is_ok());
        let places = rename::rename(view, line, 6, "GLY-70")
            .expect("a code")
            .expect("free");
        let files: Vec<PathBuf> = places.into_iter().map(|p| p.path).collect();
        assert_eq!(files, [path("HC-031.batch"), path("shelf.stock")]);
        let used = rename::rename(view, line, 6, "pan-05").expect("a code");
        assert!(
            used.expect_err("it is another lot's")
                .contains("is used already")
        );
        assert!(
            rename::rename(view, line, 6, "GLY 70")
                .expect("a code")
                .is_err()
        );
    });
}

#[test]
fn a_changed_figure_of_a_sealed_record_is_offered_its_old_value() {
    let folder = std::env::temp_dir().join(format!("phasewright-sealed-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("made");
    let file = folder.join("HC-031.batch");
    let sealed = BATCH.replacen(
        "  room: 21 °C\n",
        "  room: 21 °C\n  sealed: 2026-03-20 by Ana, 1a2b3c4d\n",
        1,
    );
    std::fs::write(&file, &sealed).expect("written");
    let now = sealed
        .replacen("12.51 g of", "12.61 g of", 1)
        .replacen("pH 6.4", "pH 6.6", 1);
    let kb = Kb::bundled();
    let settings = Settings::on("2026-04-01".parse().expect("a day"));
    let tree = parse(FileKind::Batch, &now);
    let facts = Facts::of(&tree, &file, &kb);
    let mut shop = Shop::default();
    shop.set(&file, facts.clone());
    let bench = Bench::with(BATCH);
    let snapshot = Snapshot::in_workshop(&file, tree, &kb, &settings, &bench, &shop, &facts);
    let view = RecordView::new(&snapshot, &shop, &facts, &bench);
    let all = record::actions::actions(&view, 0, u32::MAX);
    let kept: Vec<&Action> = all
        .iter()
        .filter(|a| a.title.starts_with("Keep the old value"))
        .collect();
    assert_eq!(kept.len(), 2, "{all:?}");
    let text = apply(&now, &kept[0].edits);
    assert!(
        text.contains("12.61 g, was 12.51 g (why) of 12.50 g"),
        "{text}"
    );
    let text = apply(&text, &kept[1].edits);
    assert!(text.contains("pH 6.6, was 6.4 (why)"), "{text}");
    let errors: Vec<String> = parse(FileKind::Batch, &text)
        .errors()
        .map(|(_, e)| e.whole())
        .collect();
    assert_eq!(errors, [""; 0]);
    let _ = std::fs::remove_dir_all(&folder);
}

fn labels(all: &[Completion]) -> Vec<&str> {
    all.iter().map(|c| c.label.as_str()).collect()
}

const BEGUN: &str = "batch HC-032 of \"gardeners-hand-cream.formula\" version 4\n  made: 2026-04-01\n  target: 250 g\n\nweighed\n  water  181.50 g of 181.50 g\n";

#[test]
fn in_weighed_the_rows_come_that_are_not_written_yet() {
    let bench = changed(&[]);
    let all = bench.complete("HC-032.batch", &format!("{BEGUN}  $0\n"));
    let first = &labels(&all)[..10];
    assert_eq!(first[0], "sodium phytate");
    assert!(
        !first.contains(&"water") && first.contains(&"panthenol"),
        "{first:?}"
    );
    let glycerin = all.iter().find(|c| c.label == "glycerin").expect("a row");
    assert_eq!(glycerin.insert, "glycerin  ? of 12.50 g   lot GLY-07");
    assert_eq!(glycerin.detail, "12.50 g, lot GLY-07");
    // Then what is in stock.
    assert!(
        labels(&all)[10..].contains(&"beeswax"),
        "{:?}",
        labels(&all)
    );
}

#[test]
fn behind_lot_come_the_lots_of_the_material_the_first_to_expire_first() {
    let bench = changed(&[]);
    let all = bench.complete(
        "HC-032.batch",
        &format!("{BEGUN}  panthenol  ? of 2.50 g  lot $0\n"),
    );
    assert_eq!(labels(&all), ["PAN-05", "PAN-06"]);
    assert_eq!(all[0].detail, "1.5 g left, best before 2027-03-31");
    let all = changed(&[]).complete(
        "HC-032.batch",
        &format!("{BEGUN}  rapeseed oil  ? of 22.50 g  lot $0\n"),
    );
    // RAP-14 is past its date.
    assert_eq!(labels(&all), ["RAP-15"]);
}

#[test]
fn behind_a_figure_comes_its_unit() {
    let all = changed(&[]).complete(
        "HC-032.batch",
        &format!("{BEGUN}  glycerin  12.51$0 of 12.50 g\n"),
    );
    assert_eq!(labels(&all)[0], "g");
    assert_eq!(all[0].insert, " g");
}

#[test]
fn in_the_log_comes_what_the_method_asks_for_next() {
    let log = |lines: &str| {
        let text = format!(
            "{}log\n{lines}",
            &BATCH[..BATCH.find("log\n").expect("a log")]
        );
        changed(&[]).complete("HC-031.batch", &text)
    };
    let all = log("  $0\n");
    assert_eq!(labels(&all)[..2], ["10:05  A … °C", "10:05  B … °C"]);
    assert_eq!(all[0].snippet.as_deref(), Some("10:05  A ${1:} °C"));
    assert_eq!(all[0].detail, "to 75 °C");
    assert_eq!(labels(&log("  10:05  A 76 °C\n  10:27  $0\n"))[0], "A … g");
    let all = log("  10:05  A 76 °C\n  10:31  combined at 71 °C\n  11:08  38 °C, $0\n");
    assert_eq!(labels(&all)[0], "add C");
    let all = log(
        "  10:05  A 76 °C\n  10:31  combined at 71 °C\n  11:08  38 °C, add C\n  11:40  25 °C, pH 6.4\n  11:45  $0\n",
    );
    assert_eq!(labels(&all)[0], "add 0.26 g lactic acid 10 % lot LAC-03");
    let all = log("  11:45  add 0.26 g la$0\n");
    assert_eq!(all[0].insert, "lactic acid 10 % lot LAC-03");
    let all = log("  11:45  add 0.26 g lactic acid 10 % lot $0\n");
    assert_eq!(labels(&all), ["LAC-03"]);
}

#[test]
fn today_and_the_batches_are_offered_in_their_fields() {
    let all = changed(&[]).complete(
        "HC-032.batch",
        "batch HC-032 of \"gardeners-hand-cream.formula\"\n  made: $0\n",
    );
    assert_eq!(labels(&all), ["2026-04-01"]);
    let all = changed(&[]).complete(
        "made.stock",
        "lot CRE-01 of \"gardeners-hand-cream.formula\"\n  from: $0\n",
    );
    assert_eq!(
        (all[0].label.as_str(), all[0].insert.as_str()),
        ("HC-031", "batch HC-031")
    );
}

#[test]
fn jars_and_the_ledger_are_offered_what_is_there() {
    let text = format!("{BEGUN}\npacked\n  4$0\n");
    assert_eq!(
        changed(&[]).complete("HC-032.batch", &text)[0].insert,
        " x 50 g"
    );
    let ledger = |line: &str| {
        let bench = changed(&[(
            "\nobservations",
            "\npacked\n  4 x 50 g, 1 kept\n\nobservations",
        )]);
        bench.complete("ledger.stock", &format!("ledger\n{line}\n"))
    };
    assert_eq!(ledger("  $0")[0].insert, "2026-04-01  sold ");
    assert_eq!(
        labels(&ledger("  2026-04-01  sold 2 x 50 g $0")),
        ["HC-031"]
    );
    assert!(labels(&ledger("  2026-04-01  used 20 g GLY$0")).contains(&"GLY-07"));
}

/// Many editors write the first offer on Enter: whoever has typed it in full must not get another.
#[test]
fn what_is_typed_in_full_is_not_offered() {
    for line in [
        "  glycerin$0",
        "  panthenol  ? of 2.50 g  lot PAN-05$0",
        "  panthenol  ? of 2.50 g  lot pan-06$0",
        "  glycerin  12.51 g$0 of 12.50 g",
    ] {
        let all = changed(&[]).complete("HC-032.batch", &format!("{BEGUN}{line}\n"));
        assert_eq!(labels(&all), [""; 0], "{line}");
    }
    for line in [
        "  11:08  add C$0",
        "  11:08  add 0.26 g lactic acid 10 %$0",
        "  11:40  pH 6.4$0",
        "  11:40  25 °C$0",
    ] {
        let text = format!("{BEGUN}\nlog\n{line}\n");
        let all = changed(&[]).complete("HC-032.batch", &text);
        assert_eq!(labels(&all), [""; 0], "{line}");
    }
    let all = changed(&[]).complete(
        "HC-032.batch",
        "batch HC-032 of \"gardeners-hand-cream.formula\"\n  made: 2026-04-01$0\n",
    );
    assert_eq!(labels(&all), [""; 0]);
    let all = changed(&[]).complete(
        "a.stock",
        "lot CRE-01 of \"gardeners-hand-cream.formula\"\n  from: batch HC-031$0\n",
    );
    assert_eq!(labels(&all), [""; 0]);
}

#[test]
fn the_reason_of_a_deviation_is_written_by_its_word() {
    let line = BATCH
        .lines()
        .position(|l| l.contains("12.51 g"))
        .expect("a row");
    let text: Vec<String> = BATCH
        .lines()
        .enumerate()
        .map(|(n, l)| {
            if n == line {
                format!("{l}  # wr$0")
            } else {
                l.to_owned()
            }
        })
        .collect();
    let all = changed(&[]).complete("HC-031.batch", &text.join("\n"));
    assert_eq!(labels(&all), ["write why"]);
    assert_eq!(all[0].insert, "except ");
}
