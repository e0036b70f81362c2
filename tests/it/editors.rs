//! The folders of `editors`: what they say of the language is what the language says, and the real editors work with them.
//!
//! `tests/editors/install.sh` installs the editors. Without one its test says that it was left out; where it must not be
//! (`CI` is set, as in the test command), it fails.

use phasewright::syntax::{FileKind, VERBS, field_written, fields, wording};
use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn text(path: &str) -> String {
    std::fs::read_to_string(root().join(path)).unwrap_or_else(|e| panic!("{path}: {e}"))
}

fn toml(path: &str) -> toml::Table {
    text(path).parse().unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// The names of the kinds of file, as editors list them.
const NAMES: [(&str, FileKind); 3] = [
    ("Formula", FileKind::Formula),
    ("Batch record", FileKind::Batch),
    ("Stock list", FileKind::Stock),
];

/// The word stands in the text with no letter before or after it.
fn holds_word(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let after = text[at + word.len()..].chars().next();
        !before.is_some_and(char::is_alphabetic) && !after.is_some_and(char::is_alphabetic)
    })
}

/// What colours by its look names every heading of its kind of file, and every verb.
#[test]
fn the_syntax_files_leave_no_heading_and_no_verb_out() {
    let all = FileKind::ALL;
    let formula = [FileKind::Formula];
    let files: [(&[&str], &[FileKind]); 8] = [
        (&["editors/vim/syntax/formula.vim"], &all),
        (&["editors/emacs/phasewright.el"], &all),
        (&["editors/kakoune/phasewright.kak"], &all),
        (&["editors/kate/syntax/formula.xml"], &formula),
        (&["editors/kate/syntax/batch.xml"], &[FileKind::Batch]),
        (&["editors/kate/syntax/stock.xml"], &[FileKind::Stock]),
        (
            &["editors/vscode/syntaxes/formula.tmLanguage.json"],
            &formula,
        ),
        (
            &[
                "editors/vscode/syntaxes/formula.tmLanguage.json",
                "editors/vscode/syntaxes/batch.tmLanguage.json",
                "editors/vscode/syntaxes/stock.tmLanguage.json",
            ],
            &all,
        ),
    ];
    let mut left_out = Vec::new();
    for (paths, kinds) in files {
        let text: String = paths.iter().map(|p| text(p).replace("[sz]", "z")).collect();
        let headings = kinds.iter().flat_map(|k| k.headings()).map(|(h, _)| *h);
        let verbs = VERBS
            .iter()
            .map(|(_, v)| wording(*v).split(' ').next().unwrap_or(""));
        for word in headings.chain(verbs) {
            if !holds_word(&text, word) {
                left_out.push(format!("{}: {word}", paths[paths.len() - 1]));
            }
        }
    }
    left_out.dedup();
    assert!(left_out.is_empty(), "{}", left_out.join("\n"));
}

/// The grammar of VS Code names the fields one by one.
#[test]
fn the_textmate_grammar_leaves_no_field_out() {
    let grammar = text("editors/vscode/syntaxes/formula.tmLanguage.json");
    for kind in FileKind::ALL {
        for (_, section) in kind.headings() {
            for key in fields(*section) {
                assert!(holds_word(&grammar, field_written(key)), "{key}");
            }
        }
    }
}

#[test]
fn vim_and_neovim_colour_alike() {
    for file in [
        "syntax/formula.vim",
        "syntax/batch.vim",
        "syntax/stock.vim",
        "ftdetect/phasewright.vim",
    ] {
        assert_eq!(
            text(&format!("editors/vim/{file}")),
            text(&format!("editors/neovim/{file}")),
            "{file}"
        );
    }
}

/// Kate starts a server by the name of the highlighting: a syntax file and the settings have to agree.
#[test]
fn kates_files_name_the_same_modes() {
    let settings: serde_json::Value =
        serde_json::from_str(&text("editors/kate/settings.json")).expect("JSON");
    assert_eq!(
        settings["servers"]["formula"]["command"],
        serde_json::json!(["phasewright", "serve"])
    );
    for (name, kind) in NAMES {
        let id = kind.extension();
        let page = text(&format!("editors/kate/syntax/{id}.xml"));
        let options = roxmltree::ParsingOptions {
            allow_dtd: true,
            ..roxmltree::ParsingOptions::default()
        };
        let page = roxmltree::Document::parse_with_options(&page, options).expect("well-formed");
        let language = page.root_element();
        assert_eq!(language.attribute("name"), Some(name));
        assert_eq!(
            language.attribute("extensions"),
            Some(format!("*.{id}").as_str())
        );
        assert_eq!(
            settings["servers"][id]["highlightingModeRegex"],
            format!("^{name}$")
        );
        let contexts: Vec<_> = page
            .descendants()
            .filter_map(|n| {
                n.has_tag_name("context")
                    .then(|| n.attribute("name"))
                    .flatten()
            })
            .collect();
        for rule in page.descendants().filter(|n| n.has_tag_name("RegExpr")) {
            let target = rule.attribute("context").unwrap_or_default();
            assert!(
                target.starts_with('#') || contexts.contains(&target),
                "{target}"
            );
        }
    }
}

/// Helix cannot be installed by name here: its configuration is held to what the program and the language are.
#[test]
fn helixs_configuration_names_the_program_and_every_kind_of_file() {
    let table = toml("editors/helix/languages.toml");
    let server = &table["language-server"]["phasewright"];
    assert_eq!(server["command"].as_str(), Some("phasewright"));
    assert_eq!(server["args"].as_array().map(|a| a.len()), Some(1));
    assert_eq!(server["args"][0].as_str(), Some("serve"));
    let languages = table["language"].as_array().expect("languages");
    assert_eq!(languages.len(), FileKind::ALL.len());
    let grammar = table["grammar"][0]["name"].as_str().expect("a grammar");
    for (language, kind) in languages.iter().zip(FileKind::ALL) {
        let id = kind.extension();
        assert_eq!(language["name"].as_str(), Some(id));
        assert_eq!(language["file-types"][0].as_str(), Some(id));
        assert_eq!(language["comment-token"].as_str(), Some("#"));
        assert_eq!(
            language["language-servers"][0].as_str(),
            Some("phasewright")
        );
        assert_eq!(language["roots"][0].as_str(), Some("phasewright.toml"));
        let named = language.get("grammar").unwrap_or(&language["name"]);
        assert_eq!(named.as_str(), Some(grammar));
    }
    let path = table["grammar"][0]["source"]["path"]
        .as_str()
        .expect("a path");
    let path = path
        .strip_prefix("/path/to/phasewright/")
        .expect("a path of this project");
    assert!(root().join(path).join("grammar.js").is_file(), "{path}");
}

/// Zed cannot be installed by name here either.
#[test]
fn zeds_extension_names_the_program_and_every_kind_of_file() {
    let table = toml("editors/zed/extension.toml");
    let server = &table["language_servers"]["phasewright"];
    for (name, kind) in NAMES {
        let id = kind.extension();
        assert!(
            server["languages"]
                .as_array()
                .is_some_and(|l| l.iter().any(|l| l.as_str() == Some(name)))
        );
        assert_eq!(server["language_ids"][name].as_str(), Some(id));
        let language = toml(&format!("editors/zed/languages/{id}/config.toml"));
        assert_eq!(language["name"].as_str(), Some(name));
        assert_eq!(language["path_suffixes"][0].as_str(), Some(id));
        assert_eq!(language["line_comments"][0].as_str(), Some("# "));
        assert!(
            table["grammars"]
                .get(language["grammar"].as_str().unwrap_or_default())
                .is_some()
        );
    }
    let grammar = table["grammars"]["formula"]["path"]
        .as_str()
        .expect("a path");
    assert!(root().join(grammar).join("grammar.js").is_file());
    assert_eq!(table["version"].as_str(), Some(env!("CARGO_PKG_VERSION")));
}

/// Every page of an editor says how to get the program, and its pictures are there.
#[test]
fn every_editors_page_says_how_to_get_the_program() {
    for editor in [
        "emacs", "helix", "kakoune", "kate", "neovim", "vim", "vscode", "zed",
    ] {
        let page = text(&format!("editors/{editor}/README.md"));
        assert!(page.contains("(../../README.md#get-it)"), "{editor}");
        for picture in page.split("](../../docs/pictures/").skip(1) {
            let name = picture.split(')').next().unwrap_or_default();
            assert!(
                root().join("docs/pictures").join(name).is_file(),
                "{editor}: {name}"
            );
        }
    }
    assert!(text("README.md").contains("\n## Get it\n"));
}

/// A workspace with a formula and an ingredient of its own, with an é and an emoji to the left of what is typed.
#[cfg(unix)]
fn workspace(name: &str) -> PathBuf {
    let folder = crate::support::lsp_client::folder(name);
    let example = text("examples/gardeners-hand-cream.formula");
    std::fs::write(
        folder.join("hand-cream.formula"),
        example.replace("\"oil\"", "\"oil, crème 🧴\""),
    )
    .expect("written");
    std::fs::create_dir(folder.join("ingredients")).expect("made");
    let own = "id = \"creme-mix\"\nnames = [\"crème 🧴 mix\"]\ncomposition = [{ of = \"phenoxyethanol\", percent = 100 }]\n";
    std::fs::write(folder.join("ingredients/creme-mix.toml"), own).expect("written");
    folder
}

/// Runs a script of `tests/editors` where its editor is there.
#[cfg(unix)]
fn driven(needs: &[&str], command: &mut Command, folder: PathBuf) {
    let path = std::env::var("PATH").unwrap_or_default();
    let path = format!("{}:{path}", root().join("target/editors/bin").display());
    let there = |tool: &&&str| std::env::split_paths(&path).any(|f| f.join(tool).is_file());
    let missing: Vec<_> = needs.iter().filter(|tool| !there(tool)).collect();
    if !missing.is_empty() {
        assert!(
            std::env::var_os("CI").is_none(),
            "{missing:?} are not there; run tests/editors/install.sh"
        );
        return eprintln!("left out: {missing:?} are not there; run tests/editors/install.sh");
    }
    let output = command
        .current_dir(root())
        .env("PHASEWRIGHT", env!("CARGO_BIN_EXE_phasewright"))
        .env("FOLDER", folder)
        .env("PATH", path)
        .output()
        .expect("it starts");
    let said = format!(
        "{}{}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    );
    assert!(
        output.status.success() && said.contains("all well"),
        "{said}"
    );
}

#[cfg(unix)]
fn script(name: &str) -> Command {
    let mut command = Command::new("python3");
    command.arg(format!("tests/editors/{name}.py"));
    command
}

#[cfg(unix)]
#[test]
fn a_maker_edits_a_formula_in_emacs() {
    driven(
        &["emacs", "python3"],
        &mut script("emacs"),
        workspace("emacs"),
    );
}

#[cfg(unix)]
#[test]
fn a_maker_edits_a_formula_in_vim() {
    driven(
        &["vim", "tmux", "python3"],
        &mut script("vim"),
        workspace("vim"),
    );
}

#[cfg(unix)]
#[test]
fn a_maker_edits_a_formula_in_kakoune() {
    driven(
        &["kak", "kak-lsp", "tmux", "python3"],
        &mut script("kakoune"),
        workspace("kakoune"),
    );
}

#[cfg(unix)]
#[test]
fn a_maker_edits_a_formula_in_kate() {
    driven(
        &[
            "kate",
            "Xvfb",
            "xdotool",
            "xwd",
            "dbus-run-session",
            "python3",
        ],
        &mut script("kate"),
        workspace("kate"),
    );
}

#[cfg(unix)]
#[test]
fn a_maker_sets_neovim_up_as_its_page_says() {
    driven(
        &["nvim", "tmux", "python3"],
        &mut script("neovim"),
        workspace("neovim-page"),
    );
}
