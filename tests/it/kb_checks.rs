//! Each fault that the knowledge base check must refuse, planted in a small base, with the file, line and words that it answers.

use phasewright::kb::check::{check, unused_sources};
use phasewright::kb::read::read;
use std::path::{Path, PathBuf};

/// A small sound base, written into a folder of its own.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Folder {
        let root = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("kb-check-{name}"));
        let _ = std::fs::remove_dir_all(&root);
        let folder = Folder(root);
        for (file, text) in SOUND {
            folder.write(file, text);
        }
        folder
    }

    fn write(&self, file: &str, text: &str) {
        let path = self.0.join(file);
        std::fs::create_dir_all(path.parent().expect("a file stands in a folder"))
            .expect("the folder can be made");
        std::fs::write(path, text).expect("the file can be written");
    }

    /// The faults as "file:line: what", the file named from the base folder.
    fn faults(&self) -> Vec<String> {
        let (base, mut faults) = read(&self.0);
        faults.extend(check(&base));
        faults
            .iter()
            .map(|f| short(&self.0, &f.file, f.line, &f.message))
            .collect()
    }
}

fn short(root: &Path, file: &Path, line: usize, what: &str) -> String {
    format!(
        "{}:{line}: {what}",
        file.strip_prefix(root).unwrap_or(file).display()
    )
}

const SOUND: [(&str, &str); 9] = [
    (
        "vocabulary.toml",
        "qualifiers = []\ncautions = [\"eye\"]\npurposes = [\"preservative\"]\nmarkets = [\"EU\"]\n",
    ),
    (
        "sources/all.toml",
        "[[source]]\nid = \"act\"\nkind = \"law\"\ntitle = \"An act\"\n\n[[source]]\nid = \"practice\"\nkind = \"practice\"\ntitle = \"Custom\"\n",
    ),
    (
        "products.toml",
        "scope_words = [\"leave-on\", \"face\"]\n\n[[product]]\nname = \"face cream\"\nscope = [\"leave-on\", \"face\"]\n",
    ),
    (
        "pairs.toml",
        "[[pair]]\nid = \"acid-salt\"\na = [\"one-acid\"]\nb = [\"one-salt\"]\nwhy = \"why\"\ninstead = \"instead\"\nsource = \"practice\"\n",
    ),
    (
        "thresholds.toml",
        "[[threshold]]\nid = \"limit\"\nvalue = 1\nunit = \"%\"\nwhat = \"a limit\"\nsource = \"practice\"\n",
    ),
    (
        "law/EU.toml",
        "market = \"EU\"\ntitle = \"Act\"\nas_of = \"2026-01-31\"\nfree_order_percent = 1\nfree_order_inclusive = false\n\n[[limit]]\nid = \"row\"\nsubstances = [\"one-salt\"]\nas = \"one-acid\"\nmax_percent = 0.5\nsource = \"act\"\n",
    ),
    (
        "ingredients/waters/water.toml",
        "id = \"water\"\nnames = [\"water\"]\nroles = [\"water\"]\ncas = [\"7732-18-5\"]\n",
    ),
    (
        "ingredients/acids/one-acid.toml",
        "id = \"one-acid\"\nnames = [\"one acid\"]\nroles = [\"acid\"]\nmolar_mass = { value = 100, source = \"practice\" }\n",
    ),
    (
        "ingredients/acids/one-salt.toml",
        "id = \"one-salt\"\nnames = [\"one salt\"]\nyields = [{ of = \"one-acid\", moles = 1 }]\nmolar_mass = { value = 122, source = \"practice\" }\n",
    ),
];

#[test]
fn the_small_base_is_sound() {
    assert_eq!(Folder::new("sound").faults(), Vec::<String>::new());
}

/// Name of the case, file that is put in, its text, the one fault.
type Case = (&'static str, &'static str, &'static str, &'static str);

const INGREDIENT: &[Case] = &[
    (
        "unknown-key",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\ncolor = \"red\"\n",
        "3: \"color\" is no key here; take it out",
    ),
    (
        "wrong-id",
        "x.toml",
        "names = [\"x\"]\nid = \"y\"\n",
        "2: id \"y\" is not the file's name; call the file y.toml",
    ),
    (
        "no-name",
        "x.toml",
        "id = \"x\"\n",
        "1: neither a name nor an INCI name; give it one",
    ),
    (
        "duplicate-name",
        "x.toml",
        "id = \"x\"\nnames = [\"Water\"]\n",
        "2: the name \"Water\" belongs to water already",
    ),
    (
        "loose-and-owned",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nloose_names = [\"water\"]\n",
        "3: the loose name \"water\" is the own name of water",
    ),
    (
        "cas-digit",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\ncas = [\"7732-18-4\"]\n",
        "3: CAS number 7732-18-4 has a wrong check digit",
    ),
    (
        "ec-digit",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nec = [\"231-791-3\"]\n",
        "3: EC number 231-791-3 has a wrong check digit",
    ),
    (
        "role",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nroles = [\"magic\"]\n",
        "3: \"magic\" is none of the words that may stand here; take it out",
    ),
    (
        "misspelt-role",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nroles = [\"water\", \"preservativ\"]\n",
        "3: \"preservativ\" is none of the words that may stand here; did you mean \"preservative\"?",
    ),
    (
        "caution",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\ncautions = [\"magic\"]\n",
        "3: caution \"magic\" is not in vocabulary.toml",
    ),
    (
        "low-above-high",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nmelts_c = { low = 65, high = 60, source = \"practice\" }\n",
        "3: melts_c: low 65 is above high 60",
    ),
    (
        "use-low-above-high",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nuse = [{ low = 5, high = 1, source = \"practice\" }]\n",
        "3: use level: low 5 is above high 1",
    ),
    (
        "use-empty",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nuse = [{ source = \"practice\" }]\n",
        "3: a use level without a figure",
    ),
    (
        "use-over-100",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nuse = [{ high = 101, source = \"practice\" }]\n",
        "3: a use level lies outside 0 to 100 %",
    ),
    (
        "use-product",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nuse = [{ product = \"soup\", high = 1, source = \"practice\" }]\n",
        "3: \"soup\" is neither a scope word nor a product",
    ),
    (
        "ph-inside-out",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nph.works = { low = 6, high = 3, source = \"practice\" }\n",
        "3: ph.works: low 6 is above high 3",
    ),
    (
        "ph-outside",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nph.bears = { high = 15, source = \"practice\" }\n",
        "3: ph.bears lies outside 0 to 14",
    ),
    (
        "unknown-source",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nhlb = { value = 4, source = \"hearsay\" }\n",
        "3: source \"hearsay\" is in none of the files of sources/",
    ),
    (
        "misspelt-source",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nhlb = { value = 4, source = \"practise\" }\n",
        "3: source \"practise\" is in none of the files of sources/; did you mean \"practice\"?",
    ),
    (
        "misspelt-part",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\ncomposition = [\n  { of = \"one-acid\", percent = 60 },\n  { of = \"watre\", percent = 40 },\n]\n",
        "5: no ingredient has the id \"watre\"; did you mean \"water\"?",
    ),
    (
        "no-source",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nhlb = { value = 4 }\n",
        "3: the key \"source\" is missing; add it",
    ),
    (
        "group-half",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\n[[groups]]\nmmol_g = { high = 2, source = \"practice\" }\npka = { low = 3, high = 4, source = \"practice\" }\nneutralised = { low = 0, high = 1, source = \"practice\" }\n",
        "4: mmol_g of a group needs low and high",
    ),
    (
        "group-outside",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\n[[groups]]\nmmol_g = { low = 1, high = 2, source = \"practice\" }\npka = { low = 3, high = 4, source = \"practice\" }\nneutralised = { low = 0, high = 100, source = \"practice\" }\n",
        "6: neutralised of a group lies outside 0 to 1",
    ),
    (
        "group-and-steps",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nacid_base = { strong_charge = 0 }\n[[groups]]\nmmol_g = { low = 1, high = 2, source = \"practice\" }\npka = { low = 3, high = 4, source = \"practice\" }\nneutralised = { low = 0, high = 1, source = \"practice\" }\n",
        "4: groups are for what has no acid_base: keep one of the two",
    ),
    (
        "salt-without-mass",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nacid_base = { strong_charge = 1 }\n",
        "3: an acid, base or salt needs its molar_mass to be counted",
    ),
    (
        "not-100",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\ncomposition = [{ of = \"water\", percent = 60 }, { of = \"one-acid\", percent = 39.5 }]\n",
        "3: the parts of the composition sum to 99.5 %, not to 100 %",
    ),
    (
        "unknown-part",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\ncomposition = [{ of = \"ether-of-life\", percent = 100 }]\n",
        "3: no ingredient has the id \"ether-of-life\"",
    ),
    (
        "constituent-order",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nconstituents = [{ of = \"one-acid\", low = 3, high = 2, source = \"practice\" }]\n",
        "3: constituent \"one-acid\": low, usual and high are out of order",
    ),
    (
        "yields-without-mass",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nyields = [{ of = \"one-acid\", moles = 1 }]\n",
        "3: to be counted as \"one-acid\" both need a molar_mass",
    ),
    (
        "weak-acid-without-pka",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\n[preservative]\nkind = \"weak-acid\"\n",
        "4: a preservative that works by its active form needs a pka",
    ),
    (
        "heat-contradicts",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\nadd_below_c = { value = 70, source = \"practice\" }\nbears_c = { value = 60, source = \"practice\" }\n",
        "3: to be added below 70 °C, yet it bears no more than 60 °C",
    ),
    (
        "density",
        "x.toml",
        "id = \"x\"\nnames = [\"x\"]\ndensity_g_ml = { value = 913, source = \"practice\" }\n",
        "3: a density of 913 g/mL is not believable",
    ),
    (
        "registered-mark",
        "x.toml",
        "id = \"x\"\nnames = [\"plain wax®\"]\n",
        "2: \"plain wax®\" looks like a trade name",
    ),
    (
        "made-up-word",
        "x.toml",
        "id = \"x\"\nnames = [\"GentleFoam 20\"]\n",
        "2: \"GentleFoam 20\" looks like a trade name",
    ),
];

#[test]
fn faults_of_an_ingredient() {
    for (name, file, text, expected) in INGREDIENT {
        let folder = Folder::new(name);
        folder.write(&format!("ingredients/zz/{file}"), text);
        let found = folder.faults();
        let expected = format!("ingredients/zz/{file}:{expected}");
        assert_eq!(found.len(), 1, "{name}: {found:?}");
        assert!(
            found[0].starts_with(&expected),
            "{name}: expected {expected}, found {}",
            found[0]
        );
    }
}

/// Rows that are put at the end of the law, one after the other, from line 14.
const LAW: &[(&str, &str, &str)] = &[
    (
        "no-such-substance",
        "[[limit]]\nid = \"r\"\nsubstances = [\"phlogiston\"]\nmax_percent = 1\nsource = \"act\"\n",
        "16: no ingredient has the id \"phlogiston\"",
    ),
    (
        "limits-nothing",
        "[[limit]]\nid = \"r\"\nsubstances = [\"water\"]\nsource = \"act\"\n",
        "15: the limit \"r\" limits nothing: no share and no pH",
    ),
    (
        "no-substance",
        "[[limit]]\nid = \"r\"\nsubstances = []\nmax_percent = 1\nsource = \"act\"\n",
        "16: the limit \"r\" names no substance",
    ),
    (
        "not-countable",
        "[[limit]]\nid = \"r\"\nsubstances = [\"water\"]\nas = \"one-acid\"\nmax_percent = 1\nsource = \"act\"\n",
        "17: the row \"r\" counts \"water\" as \"one-acid\", but water.toml has no yields for it",
    ),
    (
        "share",
        "[[limit]]\nid = \"r\"\nsubstances = [\"water\"]\nmax_percent = 500\nsource = \"act\"\n",
        "17: the row \"r\": a share lies outside 0 to 100 %",
    ),
    (
        "ph-inside-out",
        "[[limit]]\nid = \"r\"\nsubstances = [\"water\"]\nph_min = 9\nph_max = 7\nsource = \"act\"\n",
        "17: the limit \"r\": pH 9 to 7 is inside out",
    ),
    (
        "twice",
        "[[ban]]\nid = \"row\"\nsubstances = [\"water\"]\nsource = \"act\"\n",
        "15: the row \"row\" stands twice",
    ),
    (
        "no-date",
        "[[ban]]\nid = \"r\"\nsubstances = [\"water\"]\nfrom = \"next May\"\nsource = \"act\"\n",
        "17: \"next May\" is no date; write YYYY-MM-DD",
    ),
    (
        "no-such-day",
        "[[ban]]\nid = \"r\"\nsubstances = [\"water\"]\nfrom = \"2027-02-29\"\nsource = \"act\"\n",
        "17: \"2027-02-29\" is no date; write YYYY-MM-DD",
    ),
    (
        "ends-before-it-starts",
        "[[ban]]\nid = \"r\"\nsubstances = [\"water\"]\nfrom = \"2027-05-01\"\nsell_through = \"2026-05-01\"\nsource = \"act\"\n",
        "18: the row \"r\": sale of old stock ends on 2026-05-01, before the rule starts on 2027-05-01",
    ),
    (
        "scope",
        "[[ban]]\nid = \"r\"\nsubstances = [\"water\"]\nin_scope = [\"moon\"]\nsource = \"act\"\n",
        "17: \"moon\" is neither a scope word nor a product",
    ),
    (
        "purpose",
        "[[ban]]\nid = \"r\"\nsubstances = [\"water\"]\npurpose = \"luck\"\nsource = \"act\"\n",
        "17: purpose \"luck\" is not in vocabulary.toml",
    ),
    (
        "medicine-inside-out",
        "[[medicine]]\nid = \"r\"\nsubstances = [\"water\"]\nlow_percent = 2\nhigh_percent = 1\ntext = \"t\"\nsource = \"act\"\n",
        "17: the medicine \"r\": low 2 is above high 1",
    ),
    (
        "duty-kind",
        "[[duty]]\nid = \"r\"\nkind = \"dance\"\ntext = \"t\"\nsource = \"act\"\n",
        "16: duty \"r\": the kind \"dance\" is none of",
    ),
    (
        "no-source",
        "[[ban]]\nid = \"r\"\nsubstances = [\"water\"]\n",
        "14: the key \"source\" is missing; add it",
    ),
];

#[test]
fn faults_of_a_law() {
    let (_, sound) = SOUND
        .iter()
        .find(|(file, _)| *file == "law/EU.toml")
        .expect("the small base has a law");
    for (name, row, expected) in LAW {
        let folder = Folder::new(&format!("law-{name}"));
        folder.write("law/EU.toml", &format!("{sound}\n{row}"));
        let found = folder.faults();
        let expected = format!("law/EU.toml:{expected}");
        assert_eq!(found.len(), 1, "{name}: {found:?}");
        assert!(
            found[0].starts_with(&expected),
            "{name}: expected {expected}, found {}",
            found[0]
        );
    }
}

#[test]
fn faults_of_the_other_files() {
    let cases: [(&str, &str, &str); 4] = [
        (
            "pairs.toml",
            "[[pair]]\nid = \"p\"\na = []\nb = [\"water\"]\nwhy = \"w\"\ninstead = \"i\"\nsource = \"practice\"\n",
            "pairs.toml:2: the pair \"p\" has an empty side",
        ),
        (
            "pairs.toml",
            "[[pair]]\nid = \"p\"\na = [\"role:magic\"]\nb = [\"water\"]\nwhy = \"w\"\ninstead = \"i\"\nsource = \"practice\"\n",
            "pairs.toml:3: \"role:magic\": no such role, charge or family",
        ),
        (
            "products.toml",
            "scope_words = [\"leave-on\"]\n[[product]]\nname = \"cream\"\nnames = [\"Cream\"]\nscope = [\"leave-on\"]\n",
            "products.toml:4: the product \"Cream\" stands twice",
        ),
        (
            "sources/more.toml",
            "[[source]]\nid = \"act\"\nkind = \"law\"\ntitle = \"Again\"\n",
            "sources/more.toml:2: source \"act\" stands twice",
        ),
    ];
    for (n, (file, text, expected)) in cases.into_iter().enumerate() {
        let folder = Folder::new(&format!("other-{n}"));
        folder.write(file, text);
        let found = folder.faults();
        assert_eq!(found, [expected], "{file}");
    }
}

/// Whatever leans on a file that cannot be read is not at fault for that.
#[test]
fn one_misspelt_key_of_any_file_is_one_error_at_its_line() {
    for (file, key, misspelt, line) in [
        ("vocabulary.toml", "cautions", "cautoins", 2),
        ("sources/all.toml", "kind", "knid", 3),
        ("products.toml", "scope_words", "scope_wrods", 1),
        ("pairs.toml", "instead", "insted", 6),
        ("thresholds.toml", "unit", "unti", 4),
        ("law/EU.toml", "as_of", "as_fo", 3),
        ("ingredients/acids/one-acid.toml", "names", "nmaes", 2),
    ] {
        let folder = Folder::new(&format!("slip-{key}"));
        let (_, sound) = SOUND
            .iter()
            .find(|(name, _)| *name == file)
            .expect("the small base has the file");
        folder.write(file, &sound.replacen(key, misspelt, 1));
        assert_eq!(
            folder.faults(),
            [format!(
                "{file}:{line}: \"{misspelt}\" is no key here; did you mean \"{key}\"?"
            )]
        );
    }
}

#[test]
fn a_source_that_no_figure_names_is_idle() {
    let folder = Folder::new("idle");
    folder.write(
        "sources/more.toml",
        "\n[[source]]\nid = \"unread\"\nkind = \"published\"\ntitle = \"Unread\"\n",
    );
    let (base, faults) = read(&folder.0);
    assert!(faults.is_empty(), "{faults:?}");
    let idle = unused_sources(&base);
    let said: Vec<String> = idle
        .iter()
        .map(|f| short(&folder.0, &f.file, f.line, &f.message))
        .collect();
    assert_eq!(
        said,
        ["sources/more.toml:3: no figure names the source \"unread\""]
    );
}

/// The shipped base itself: sound, no idle source.
#[test]
fn the_shipped_base_is_sound() {
    let (base, mut faults) = read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("kb"));
    faults.extend(check(&base));
    faults.extend(unused_sources(&base));
    assert!(
        faults.is_empty(),
        "{}",
        faults
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<_>>()
            .join("\n")
    );
    assert!(
        base.ingredients.len() >= 450,
        "only {} ingredients",
        base.ingredients.len()
    );
}

#[test]
fn what_is_common_is_an_ingredient_and_stands_once() {
    let folder = Folder::new("common");
    folder.write("common.toml", "common = [\n  \"water\",\n]\n");
    assert_eq!(folder.faults(), [""; 0]);
    folder.write(
        "common.toml",
        "common = [\n  \"water\",\n  \"wax of the moon\",\n]\n",
    );
    assert_eq!(
        folder.faults(),
        ["common.toml:3: \"wax of the moon\" is no ingredient"]
    );
    folder.write("common.toml", "common = [\"water\", \"water\"]\n");
    assert_eq!(folder.faults(), ["common.toml:1: \"water\" stands twice"]);
}
