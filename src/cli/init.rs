//! `init`: begins a folder: settings with a comment on each, never over settings that are there.

use super::Status;
use super::files::shown;
use super::out::{CliError, Terminal, style};
use crate::project::{OWN, SETTINGS};
use std::io::Write;
use std::path::PathBuf;

/// Begin a folder for formulas: write its settings, with comments
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright init\n  phasewright init creams\n\nSettings that are there already are never overwritten."
)]
pub struct Args {
    /// The folder; it is made where there is none
    #[arg(value_name = "FOLDER", default_value = ".")]
    folder: PathBuf,
}

const STARTER: &str = include_str!("starter.toml");

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let folder = super::files::tidy(&args.folder);
    let path = super::files::tidy(&folder.join(SETTINGS));
    let failed = |e: std::io::Error| {
        let what = match e.kind() {
            std::io::ErrorKind::AlreadyExists => {
                "these settings are there already and are left as they are".to_owned()
            }
            _ => format!("it cannot be written: {e}; see that the folder may be written to"),
        };
        CliError::said(format!("{}: {what}", shown(&path)))
    };
    std::fs::create_dir_all(&folder).map_err(failed)?;
    let mut file = std::fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&path)
        .map_err(failed)?;
    file.write_all(STARTER.as_bytes()).map_err(failed)?;
    let name = out.paint.with(style::FILE, shown(&path));
    out.write(&format!(
        "{name} is written. Ingredients of your own go into a folder \"{OWN}\" beside it.\nBegin a formula with\n  phasewright new \"Day cream\"\n"
    ))?;
    Ok(Status::Clean)
}

#[cfg(test)]
mod tests {
    use super::STARTER;
    use crate::chem::date::Date;
    use crate::model::settings::parse;
    use crate::project::rule_codes;

    /// As it is written, and with every comment that holds a setting taken up.
    #[test]
    fn the_starter_is_sound() {
        let taken_up: String = STARTER
            .lines()
            .map(|l| l.strip_prefix("#: ").unwrap_or(l))
            .map(|l| format!("{l}\n"))
            .collect();
        for text in [STARTER, taken_up.as_str()] {
            let (_, faults) = parse(text, &rule_codes(), Date::EPOCH);
            assert!(faults.is_empty(), "{faults:?}\n{text}");
        }
        let (settings, _) = parse(&taken_up, &rule_codes(), Date::EPOCH);
        assert!(settings.scale_g.is_some() && settings.batch_code.is_some());
        assert!(!settings.exclude.is_empty() && !settings.severity.is_empty());
    }
}
