//! `check` as a process: every exit status, every format, what is said and where.

mod cli;

use cli::{Folder, json};

const GOOD: &str = "formula \"Salve\"\n  product: balm, leave-on\n  type: anhydrous\n  sold in: EU\n\nphase A at 70 °C\n  sunflower oil     80 %\n  beeswax           20 %\n";
const BANNED: &str = "formula \"Salve\"\n  product: balm, leave-on\n  type: anhydrous\n  sold in: EU\n\nphase A at 70 °C\n  sunflower oil     79 %\n  hydroquinone       1 %\n  beeswax           20 %\n";

#[test]
fn a_clean_file_ends_with_0_a_bad_one_with_1() {
    let f = Folder::new();
    f.write("good.formula", GOOD);
    f.write("bad.formula", BANNED);
    let good = f.run(&["check", "good.formula"]);
    assert_eq!(good.status, 0, "{good:?}");
    assert!(good.out.contains("1 file: nothing to object to"), "{good:?}");
    assert!(good.out.contains("law as of: EU 20"), "{good:?}");
    let bad = f.run(&["check", "bad.formula"]);
    assert_eq!(bad.status, 1, "{bad:?}");
    assert!(bad.out.contains("[banned]"), "{bad:?}");
    assert!(bad.out.contains("  8 │   hydroquinone       1 %\n    │   ^^^^^^^^^^^^\n"), "{bad:?}");
    assert_eq!(bad.err, "");
}

#[test]
fn json_places_count_characters_from_1() {
    let f = Folder::new();
    f.write("bad.formula", BANNED);
    let answer = f.run(&["check", "--json"]);
    assert_eq!(answer.status, 1);
    let v = json(&answer);
    let found = &v["files"][0]["findings"][0];
    assert_eq!((found["code"].as_str(), found["line"].as_u64(), found["column"].as_u64()), (Some("banned"), Some(8), Some(3)), "{v}");
    assert_eq!((found["endLine"].as_u64(), found["endColumn"].as_u64()), (Some(8), Some(15)));
    assert_eq!(found["basis"]["kind"], "law");
    assert_eq!(v["law"][0]["market"], "EU");
    assert_eq!(v["summary"]["errors"], 1);
    assert_eq!(v["files"][0]["path"], "bad.formula");
}
