//! Batches and stock in the editor: judged in their workshop, as `phasewright check` judges them, whatever was edited where.

use crate::support::lsp_client::*;
use crate::support::workshop::*;
use phasewright::chem::date::Date;
use phasewright::lsp::Options;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

/// A client that is pushed to.
fn pushed_to() -> Client {
    begin(full_client())
}

/// A client that pulls and cannot be told to ask again.
fn pulling_alone() -> Client {
    begin(client_with(&[
        ("clientInfo/name", json!("Neovim")),
        ("capabilities/textDocument/diagnostic", json!({})),
    ]))
}

/// A client that pulls and can be told to ask again.
fn pulling() -> Client {
    begin(client_with(&[
        ("capabilities/textDocument/diagnostic", json!({})),
        (
            "capabilities/workspace/diagnostics",
            json!({ "refreshSupport": true }),
        ),
    ]))
}

fn begin(hello: Value) -> Client {
    let mut c = Client::here(Options::default());
    c.start(hello);
    c
}

/// A hand gel, its record and its shelf. The record is sound but for what the tests change.
const GEL_FORMULA: &str = "\
formula \"Hand gel\"
  version: 4
  product: hand gel, leave-on

phase A
  water     q.s.
  glycerin  5 %
";
const GEL_BATCH: &str = "\
batch HG-001 of \"gel.formula\" version 4
  made: 2026-03-14
  target: 250 g

weighed
  water     237.50 g of 237.50 g
  glycerin   12.50 g of 12.50 g   lot GLY-07
";
const GEL_STOCK: &str = "\
lot GLY-07 of glycerin
  received: 2026-01-10
  best before: 2028-01-31
  bought: 1 kg for 9.40 EUR
";
/// Line of the row of glycerin.
const ROW: u64 = 6;

struct Gel {
    folder: PathBuf,
    batch: String,
}

fn gel(name: &str) -> Gel {
    let folder = folder(name);
    // Its settings are its own, whatever lies above the folder of the tests.
    fs::write(folder.join("phasewright.toml"), "").expect("written");
    fs::create_dir(folder.join("shelf")).expect("made");
    for (file, text) in [
        ("hg-001.batch", GEL_BATCH),
        ("shelf/stock.stock", GEL_STOCK),
        ("gel.formula", GEL_FORMULA),
    ] {
        fs::write(folder.join(file), text).expect("written");
    }
    Gel {
        batch: uri(&folder.join("hg-001.batch")),
        folder,
    }
}

#[test]
fn a_record_is_judged_in_its_workshop_as_the_command_judges_it() {
    let g = gel("records-judged");
    let mut c = pushed_to();
    let text = GEL_BATCH.replace("lot GLY-07", "lot GLY-70");
    c.open(&g.batch, "batch", &text);
    let push = c.pushed(&g.batch);
    assert!(
        codes(&push.all).contains(&(ROW, "lot-unknown".to_owned())),
        "{:?}",
        push.all
    );
    fs::write(g.folder.join("hg-001.batch"), text).expect("written");
    let check = of_check(&g.folder);
    assert_eq!(of_editor(&push.all), check[&g.folder.join("hg-001.batch")]);
    c.leave();
}

/// A change of something that the findings of the record come from, and the finding that then comes or goes.
struct Change {
    file: &'static str,
    text: &'static str,
    code: &'static str,
    comes: bool,
    /// Counts as it is typed, not as it is saved.
    in_editor: bool,
}

const CHANGES: [Change; 5] = [
    Change {
        file: "shelf/stock.stock",
        text: "lot GLY-70 of glycerin\n  bought: 1 kg for 9.40 EUR\n",
        code: "lot-unknown",
        comes: true,
        in_editor: true,
    },
    Change {
        file: "hg-000.batch",
        text: "batch HG-001 of \"gel.formula\" version 4\n  made: 2026-03-13\n",
        code: "code-twice",
        comes: true,
        in_editor: true,
    },
    Change {
        file: "gel.formula",
        text: "formula \"Hand gel\"\n  version: 5\n  product: hand gel, leave-on\n\nphase A\n  water     q.s.\n  glycerin  5 %\n",
        code: "old-version",
        comes: true,
        in_editor: true,
    },
    Change {
        file: "ingredients/house-balm.toml",
        text: "id = \"house-balm\"\ninci = \"House Balm\"\nnames = [\"house balm\"]\nroles = [\"emollient\"]\nphase = [\"oil\"]\n",
        code: "unknown-ingredient",
        comes: false,
        in_editor: false,
    },
    Change {
        file: "phasewright.toml",
        text: "[severity]\nunknown-ingredient = \"off\"\n",
        code: "unknown-ingredient",
        comes: false,
        in_editor: false,
    },
];

impl Change {
    fn holds(&self, all: &[Value]) -> bool {
        all.iter().any(|d| d["code"] == self.code) == self.comes
    }

    fn save(&self, folder: &Path) -> String {
        let path = folder.join(self.file);
        fs::write(&path, self.text).expect("written");
        uri(&path)
    }

    fn language(&self) -> &'static str {
        match self.file.rsplit_once('.') {
            Some((_, "formula")) => "formula",
            Some((_, "batch")) => "batch",
            _ => "stock",
        }
    }
}

/// The record with a material that nobody knows.
fn with_balm() -> String {
    format!("{GEL_BATCH}  house balm   1.00 g of 1.00 g   lot GLY-07\n")
}

/// A folder for each change, the record open in it; true in `then` when the change is told.
fn each_change(
    name: &str,
    mut c: impl FnMut() -> Client,
    then: impl Fn(&mut Client, &Gel, &Change),
) {
    for (n, change) in CHANGES.iter().enumerate() {
        let g = gel(&format!("records-{name}-{n}"));
        fs::create_dir(g.folder.join("ingredients")).expect("made");
        let mut c = c();
        c.open(&g.batch, "batch", &with_balm());
        then(&mut c, &g, change);
        c.leave_unread();
    }
}

fn pulled(c: &mut Client, uri: &str) -> Vec<Value> {
    c.pull(uri)["items"]
        .as_array()
        .expect("a full report")
        .clone()
}

fn asked_to_ask_again(c: &mut Client) {
    c.take(|m| m["method"] == "workspace/diagnostic/refresh");
}

/// Pushes for the record until the change is told.
fn is_pushed(c: &mut Client, g: &Gel, change: &Change) {
    while !change.holds(&c.pushed(&g.batch).all) {}
}

fn is_pulled(c: &mut Client, g: &Gel, change: &Change) {
    let all = pulled(c, &g.batch);
    assert!(change.holds(&all), "{}: {all:?}", change.file);
}

/// As it is before the change.
fn is_not_pulled(c: &mut Client, g: &Gel, change: &Change) {
    let all = pulled(c, &g.batch);
    assert!(!change.holds(&all), "{}: {all:?}", change.file);
}

fn is_not_pushed(c: &mut Client, g: &Gel, change: &Change) {
    let all = c.pushed(&g.batch).all;
    assert!(!change.holds(&all), "{}: {all:?}", change.file);
}

fn watched(c: &mut Client, uri: &str) {
    c.notify(
        "workspace/didChangeWatchedFiles",
        json!({ "changes": [{ "uri": uri, "type": 2 }] }),
    );
}

#[test]
fn a_client_that_pulls_is_asked_to_ask_again_when_what_a_record_rests_on_is_edited() {
    each_change("pull-editor", pulling, |c, g, change| {
        is_not_pulled(c, g, change);
        if !change.in_editor {
            return;
        }
        let other = uri(&g.folder.join(change.file));
        c.open(&other, change.language(), change.text);
        asked_to_ask_again(c);
        is_pulled(c, g, change);
        // Closed without saving: the disk counts again.
        c.close(&other);
        asked_to_ask_again(c);
        is_not_pulled(c, g, change);
    });
}

#[test]
fn a_client_that_pulls_is_asked_to_ask_again_when_what_a_record_rests_on_is_saved_and_watched() {
    each_change("pull-watched", pulling, |c, g, change| {
        is_not_pulled(c, g, change);
        let other = change.save(&g.folder);
        watched(c, &other);
        asked_to_ask_again(c);
        is_pulled(c, g, change);
    });
}

/// Nobody watches: any question makes the server look at the disk, and then it asks to be asked again.
#[test]
fn a_client_that_pulls_hears_of_a_lot_or_batch_that_nobody_watches() {
    each_change("pull-unwatched", pulling, |c, g, change| {
        is_not_pulled(c, g, change);
        change.save(&g.folder);
        if !change.holds(&pulled(c, &g.batch)) {
            asked_to_ask_again(c);
            is_pulled(c, g, change);
        }
    });
}

/// A client that cannot be asked to ask again gets the truth at once.
#[test]
fn a_client_that_cannot_be_asked_to_ask_again_is_never_told_of_yesterdays_shelf() {
    each_change("pull-alone", pulling_alone, |c, g, change| {
        is_not_pulled(c, g, change);
        change.save(&g.folder);
        is_pulled(c, g, change);
    });
}

#[test]
fn a_client_that_is_pushed_to_hears_what_is_edited_beside_a_record() {
    each_change("push-editor", pushed_to, |c, g, change| {
        is_not_pushed(c, g, change);
        if !change.in_editor {
            return;
        }
        let other = uri(&g.folder.join(change.file));
        c.open(&other, change.language(), change.text);
        is_pushed(c, g, change);
        c.close(&other);
        while change.holds(&c.pushed(&g.batch).all) {}
    });
}

#[test]
fn a_client_that_is_pushed_to_hears_what_is_saved_beside_a_record() {
    each_change("push-watched", pushed_to, |c, g, change| {
        is_not_pushed(c, g, change);
        let other = change.save(&g.folder);
        watched(c, &other);
        is_pushed(c, g, change);
    });
    // Nobody watches: any change in the editor makes the server look at the disk.
    each_change("push-unwatched", pushed_to, |c, g, change| {
        is_not_pushed(c, g, change);
        change.save(&g.folder);
        c.open("file:///elsewhere/a.formula", "formula", GEL);
        is_pushed(c, g, change);
    });
}

/// A shelf of another workshop inside the folder is none of this one's.
#[test]
fn a_workshop_inside_another_keeps_its_own_lots() {
    let g = gel("records-nested");
    fs::write(g.folder.join("shelf/phasewright.toml"), "").expect("written");
    let mut c = pulling_alone();
    c.open(&g.batch, "batch", GEL_BATCH);
    let all = pulled(&mut c, &g.batch);
    assert!(
        codes(&all).contains(&(ROW, "lot-unknown".to_owned())),
        "{all:?}"
    );
    fs::remove_file(g.folder.join("shelf/phasewright.toml")).expect("removed");
    let all = pulled(&mut c, &g.batch);
    assert!(
        !codes(&all).contains(&(ROW, "lot-unknown".to_owned())),
        "{all:?}"
    );
    c.leave();
}

/// What cannot be read counts for nothing, and that is said.
#[test]
fn a_shelf_that_cannot_be_read_is_said_on_the_record() {
    let g = gel("records-unreadable");
    fs::write(
        g.folder.join("shelf/stock.stock"),
        b"lot GLY-07 of gl\xffcerin\n",
    )
    .expect("written");
    let mut c = pulling_alone();
    c.open(&g.batch, "batch", GEL_BATCH);
    let all = pulled(&mut c, &g.batch);
    let said: Vec<&str> = all.iter().filter_map(|d| d["message"].as_str()).collect();
    assert!(
        said.iter()
            .any(|m| m.starts_with("shelf/stock.stock does not count: this is not UTF-8")),
        "{said:?}"
    );
    c.leave();
}

/// The server runs past midnight: the new day counts, without a restart.
#[test]
fn after_midnight_the_new_day_counts() {
    static PAST_MIDNIGHT: AtomicBool = AtomicBool::new(false);
    fn today() -> Date {
        let day = match PAST_MIDNIGHT.load(Ordering::SeqCst) {
            false => "2028-01-31",
            true => "2028-02-01",
        };
        day.parse().expect("a day")
    }
    let g = gel("records-midnight");
    let mut c = Client::here(Options {
        today,
        ..Options::default()
    });
    c.start(full_client());
    let stock = uri(&g.folder.join("shelf/stock.stock"));
    c.open(&stock, "stock", GEL_STOCK);
    let is_past = |all: &[Value]| all.iter().any(|d| d["code"] == "past-date-on-shelf");
    assert!(!is_past(&pulled(&mut c, &stock)), "good on its last day");
    PAST_MIDNIGHT.store(true, Ordering::SeqCst);
    assert!(is_past(&pulled(&mut c, &stock)));
    c.leave_unread();
}

/// A linear congruential generator (Knuth, MMIX): the same edits for the same seed.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n.max(1)
    }
}

/// A line taken out, doubled or mistyped, or the whole file as it was.
fn edited(dice: &mut Dice, text: &str, whole: &str) -> String {
    let mut lines: Vec<&str> = text.lines().collect();
    let n = dice.below(lines.len());
    let wrong = lines
        .get(n)
        .map_or(String::new(), |l| l.replacen('0', "3", 1));
    match dice.below(5) {
        0 => return whole.to_owned(),
        1 if !lines.is_empty() => drop(lines.remove(n)),
        2 if !lines.is_empty() => lines.insert(n, lines[n]),
        _ if !lines.is_empty() => lines[n] = &wrong,
        _ => {}
    }
    lines.iter().map(|l| format!("{l}\n")).collect()
}

/// Random edits in the editor and on the disk, files that come and go: what the editor says of each open record is what the command says of
/// a folder that holds the same texts.
#[test]
fn after_any_edits_the_editor_says_what_the_command_says_of_the_same_files() {
    let (folder, mirror) = (folder("records-random"), folder("records-mirror"));
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/workshop");
    let mut whole: BTreeMap<String, String> = BTreeMap::new();
    for entry in fs::read_dir(example).expect("the workshop is there") {
        let path = entry.expect("it can be listed").path();
        let name = path.file_name().and_then(|n| n.to_str()).expect("a name");
        if let Ok(text) = fs::read_to_string(&path) {
            fs::write(folder.join(name), &text).expect("written");
            fs::write(mirror.join(name), &text).expect("written");
            whole.insert(name.to_owned(), text);
        }
    }
    for f in [&folder, &mirror] {
        fs::write(
            f.join("phasewright.toml"),
            whole.get("phasewright.toml").map_or("", |t| t),
        )
        .expect("written");
    }
    let names: Vec<String> = whole
        .keys()
        .filter(|n| n.ends_with(".batch") || n.ends_with(".stock"))
        .cloned()
        .collect();
    let mut on_disk = whole.clone();
    // Its version and its text in the editor.
    let mut open: BTreeMap<String, (i64, String)> = BTreeMap::new();
    let mut dice = Dice(20_261_201);
    let mut c = pulling_alone();
    for round in 0..8 {
        for _ in 0..25 {
            let stock = ["ledger.stock", "shelf.stock"];
            let name = match dice.below(3) {
                0 => stock[dice.below(2)].to_owned(),
                _ => names[dice.below(names.len())].clone(),
            };
            let path = folder.join(&name);
            match dice.below(6) {
                0 if open.contains_key(&name) => {
                    open.remove(&name);
                    c.close(&uri(&path));
                }
                // On the disk, watched or not.
                1 | 2 => {
                    let before = on_disk.get(&name).map_or("", |t| t);
                    if dice.below(6) == 0 {
                        on_disk.remove(&name);
                        let _ = fs::remove_file(&path);
                    } else {
                        let text = edited(&mut dice, before, &whole[&name]);
                        fs::write(&path, &text).expect("written");
                        on_disk.insert(name.clone(), text);
                    }
                    // Two writes within the grain of a file's date look alike: those are told.
                    watched(&mut c, &uri(&path));
                }
                _ => {
                    let saved = on_disk.get(&name).map_or("", |t| t);
                    let (version, before) = open.get(&name).map_or((0, saved), |(v, t)| (*v, t));
                    let text = edited(&mut dice, before, &whole[&name]);
                    if version == 0 {
                        c.open(&uri(&path), language(&name), &text);
                    } else {
                        c.change(&uri(&path), version + 1, json!([{ "text": text }]));
                    }
                    open.insert(name.clone(), (version + 1, text));
                }
            }
        }
        for name in &names {
            let text = open.get(name).map(|(_, t)| t).or(on_disk.get(name));
            match text {
                Some(text) => fs::write(mirror.join(name), text).expect("written"),
                None => drop(fs::remove_file(mirror.join(name))),
            }
        }
        let check = of_check(&mirror);
        for name in open.keys() {
            let all = pulled(&mut c, &uri(&folder.join(name)));
            assert_eq!(
                of_editor(&all),
                check[&mirror.join(name)],
                "{name} in round {round}"
            );
        }
    }
    c.leave_unread();
}

fn language(name: &str) -> &'static str {
    if name.ends_with(".batch") {
        "batch"
    } else {
        "stock"
    }
}
