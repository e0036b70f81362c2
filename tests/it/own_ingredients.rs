//! The maker's own ingredients, and formulas inside formulas: a slip costs its own line, a ring is said where it stands, and
//! nothing goes silent because of it.

use phasewright::kb::Kb;
use phasewright::kb::KbError;
use phasewright::model::{FileLoader, NoFiles, Settings};
use phasewright::rules::{Finding, Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use std::collections::HashMap;
use std::path::{Path, PathBuf};

fn own(files: &[(&str, &str)]) -> (Kb, Vec<KbError>) {
    let files: Vec<(PathBuf, String)> = files
        .iter()
        .map(|(name, text)| (Path::new("ingredients").join(name), (*text).to_owned()))
        .collect();
    Kb::with_user_entries(&files)
}

fn said(faults: &[KbError]) -> Vec<String> {
    faults
        .iter()
        .map(|f| {
            format!(
                "{}:{}: {}",
                f.file.file_name().unwrap().to_string_lossy(),
                f.line,
                f.message
            )
        })
        .collect()
}

fn judged(text: &str, kb: &Kb, loader: &dyn FileLoader) -> Vec<Finding> {
    let settings = Settings::on("2026-11-25".parse().expect("a day"));
    let tree = parse(FileKind::Formula, text);
    analyze(tree, Path::new("top.formula"), kb, &settings, loader)
        .findings()
        .to_vec()
}

#[test]
fn one_misspelt_key_is_one_fault_at_its_line_and_the_other_files_stand() {
    let (kb, faults) = own(&[
        (
            "meadow-blend.toml",
            "# names and roles\nid = \"meadow-blend\"\nnames = [\"meadow blend\"]\nrolse = [\"oil\"]\n",
        ),
        (
            "hedge-blend.toml",
            "id = \"hedge-blend\"\nnames = [\"hedge blend\"]\ncomposition = [{ of = \"meadow-blend\", percent = 50 }, { of = \"sunflower-oil\", percent = 50 }]\n",
        ),
    ]);
    assert_eq!(
        said(&faults),
        ["meadow-blend.toml:4: \"rolse\" is no key here; did you mean \"roles\"?"]
    );
    assert!(kb.by_id("hedge-blend").is_some());
    // What leans on it is not known to its last part, and says so on the row.
    let findings = judged(
        "formula \"x\"\nphase A\n  water  90 %\n  hedge blend  10 %\n",
        &kb,
        &NoFiles,
    );
    let row = findings
        .iter()
        .find(|f| f.place.line == 3 && f.code == "unknown-ingredient");
    assert_eq!(row.expect("the row says it").severity, Severity::Warning);
}

#[test]
fn a_misspelt_key_of_a_bundled_material_laid_over_is_one_fault() {
    let (kb, faults) = own(&[(
        "water.toml",
        "id = \"water\"\nnames = [\"water\"]\nphse = [\"water\"]\n",
    )]);
    assert_eq!(
        said(&faults),
        ["water.toml:3: \"phse\" is no key here; did you mean \"phase\"?"]
    );
    assert!(kb.by_id("water").is_some());
}

/// The whole base with one key of its most used material misspelt.
#[test]
fn one_misspelt_key_in_the_whole_base_is_one_fault() {
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("kb");
    let to = Path::new(env!("CARGO_TARGET_TMPDIR")).join("kb-one-slip");
    let _ = std::fs::remove_dir_all(&to);
    let mut water = None;
    for entry in walk(&from) {
        let path = to.join(entry.strip_prefix(&from).unwrap());
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::copy(&entry, &path).unwrap();
        if path.ends_with("water.toml") {
            water = Some(path);
        }
    }
    let water = water.expect("the base has water");
    let text = std::fs::read_to_string(&water).unwrap();
    let line = 1 + text
        .lines()
        .position(|l| l.starts_with("phase"))
        .expect("water has its phase");
    std::fs::write(&water, text.replacen("\nphase", "\nphsae", 1)).unwrap();
    let (base, mut faults) = phasewright::kb::read::read(&to);
    faults.extend(phasewright::kb::check::check(&base));
    assert_eq!(
        said(&faults),
        [format!(
            "water.toml:{line}: \"phsae\" is no key here; did you mean \"phase\"?"
        )]
    );
}

fn walk(folder: &Path) -> Vec<PathBuf> {
    let mut out = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap().flatten() {
        let path = entry.path();
        if path.is_dir() {
            out.extend(walk(&path));
        } else {
            out.push(path);
        }
    }
    out
}

/// The line is that of the value, not of the first line that happens to hold its letters.
#[test]
fn a_fault_stands_on_its_value_and_not_on_a_comment() {
    let (_, faults) = own(&[(
        "meadow-blend.toml",
        "# a composition without \"no-such\" parts, id or cas 1-1\nid = \"meadow-blend\"\nnames = [\"composition of id\"]\ncas = [\"7732-18-4\"]\nstandin = [\"no-such\"]\ncomposition = [{ of = \"sunflower-oil\", percent = 90 }]\n",
    )]);
    let lines: Vec<usize> = faults.iter().map(|f| f.line).collect();
    let mut sorted = lines.clone();
    sorted.sort_unstable();
    assert_eq!(sorted, [4, 5, 6], "{:?}", said(&faults));
}

#[test]
fn a_ring_of_own_materials_is_said_in_each_of_its_files_and_nothing_goes_silent() {
    let blend = |id: &str, of: &str| {
        format!(
            "id = \"{id}\"\nnames = [\"{id}\"]\ncomposition = [{{ of = \"{of}\", percent = 100 }}]\n"
        )
    };
    let (first, second) = (
        blend("first-blend", "second-blend"),
        blend("second-blend", "first-blend"),
    );
    let (kb, faults) = own(&[("first-blend.toml", &first), ("second-blend.toml", &second)]);
    let found = said(&faults);
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(
        found[0].starts_with("first-blend.toml:3: ") && found[0].contains("\"second-blend\""),
        "{found:?}"
    );
    let findings = judged(
        "formula \"x\"\nphase A\n  water  90 %\n  first blend  10 %\n",
        &kb,
        &NoFiles,
    );
    assert!(
        findings
            .iter()
            .any(|f| f.code == "unknown-ingredient" && f.place.line == 3)
    );
    // A ring through a bundled material leaves that as it was bundled.
    let water = "id = \"water\"\ncomposition = [{ of = \"first-blend\", percent = 100 }]\n";
    let into_water = blend("first-blend", "water");
    let (kb, faults) = own(&[("first-blend.toml", &into_water), ("water.toml", water)]);
    assert_eq!(faults.len(), 2, "{:?}", said(&faults));
    let findings = judged(
        "formula \"x\"\n  product: face cream, leave-on\n  type: gel\nphase A\n  water  99 %\n  xanthan gum  1 %\n",
        &kb,
        &NoFiles,
    );
    assert!(findings.iter().any(|f| f.code == "no-preservative"));
}

#[test]
fn parts_of_parts_without_end_are_said() {
    let files: Vec<(String, String)> = (0..12)
        .map(|n| {
            let of = if n == 11 { "sunflower-oil".to_owned() } else { format!("blend-{}", n + 1) };
            (format!("blend-{n}.toml"), format!("id = \"blend-{n}\"\nnames = [\"blend no {n}\"]\ncomposition = [{{ of = \"{of}\", percent = 100 }}]\n"))
        })
        .collect();
    let files: Vec<(&str, &str)> = files
        .iter()
        .map(|(a, b)| (a.as_str(), b.as_str()))
        .collect();
    let (_, faults) = own(&files);
    let deep: Vec<String> = said(&faults)
        .into_iter()
        .filter(|f| f.contains("deep"))
        .collect();
    assert!(
        deep.iter().any(|f| f.starts_with("blend-0.toml:3:")),
        "{deep:?}"
    );
}

struct Files(HashMap<PathBuf, String>);

impl FileLoader for Files {
    fn read(&self, path: &Path) -> Result<String, String> {
        self.0
            .get(path)
            .cloned()
            .ok_or_else(|| "no such file".into())
    }
}

#[test]
fn formulas_nested_too_deep_are_said_where_they_stand() {
    let chain = |depth: usize, last: &str| {
        let mut files = HashMap::new();
        for n in 1..=depth {
            let inner = if n == depth {
                last.to_owned()
            } else {
                format!("  \"f{}.formula\"  10 %\n  water  90 %\n", n + 1)
            };
            files.insert(
                PathBuf::from(format!("f{n}.formula")),
                format!("formula \"f{n}\"\nphase A\n{inner}"),
            );
        }
        Files(files)
    };
    let top = "formula \"top\"\n  product: face cream, leave-on\n  type: gel\nphase A\n  water  80 %\n  \"f1.formula\"  20 %\n";
    let kb = Kb::bundled();
    let on_row = |loader: &Files| {
        let findings = judged(top, &kb, loader);
        let row = findings
            .iter()
            .find(|f| f.place.line == 5 && f.code == "unknown-formula");
        (
            row.map(|f| (f.severity, f.message.clone())),
            findings.iter().any(|f| f.code == "no-preservative"),
        )
    };
    let (said, protected) = on_row(&chain(3, "  water  100 %\n"));
    assert_eq!((said, protected), (None, true));
    let (said, _) = on_row(&chain(12, "  water  100 %\n"));
    let (severity, message) = said.expect("too deep is said");
    assert!(
        severity == Severity::Error && message.contains("deep"),
        "{message}"
    );
    // A ring, and something further in that is not known: said on this row too.
    let (said, _) = on_row(&chain(3, "  \"f1.formula\"  100 %\n"));
    assert!(said.expect("a ring is said").1.contains("leads back"));
    let (said, _) = on_row(&chain(3, "  glorp  100 %\n"));
    let (severity, message) = said.expect("what is not known is said");
    assert!(
        severity == Severity::Warning && message.contains("line 3"),
        "{message}"
    );
}
