//! `manual`: the man page, all commands in one.

use super::out::{CliError, Terminal};
use super::{Status, command};
use clap_mangen::Man;
use clap_mangen::roff::Roff;
use std::path::PathBuf;

/// Print the manual page (try: phasewright manual | man -l -)
#[derive(clap::Args)]
pub struct Args {
    /// Write a page for each command into this folder, as `man` looks for them
    #[arg(long, value_name = "FOLDER", value_hint = clap::ValueHint::DirPath)]
    pages: Option<PathBuf>,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    if let Some(folder) = &args.pages {
        std::fs::create_dir_all(folder)
            .and_then(|()| clap_mangen::generate_to(command(), folder))
            .map_err(failed)?;
        return Ok(Status::Clean);
    }
    let mut all = command();
    all.build();
    let mut page = Vec::new();
    Man::new(all.clone()).render(&mut page).map_err(failed)?;
    // Every command has its section here; there are no pages of their own to look up.
    let mut page = one_page(&String::from_utf8_lossy(&page)).into_bytes();
    sections(&all, "phasewright", &mut page)?;
    out.bytes(&page)?;
    Ok(Status::Clean)
}

/// `phasewright\-check(1)` becomes `phasewright check`.
fn one_page(page: &str) -> String {
    let line = |line: &str| match line
        .strip_prefix("phasewright\\-")
        .and_then(|rest| rest.strip_suffix("(1)"))
    {
        Some(name) => format!("phasewright {name}\n"),
        None => format!("{line}\n"),
    };
    page.lines().map(line).collect()
}

/// A section for each command, with its own parts one level down.
fn sections(of: &clap::Command, path: &str, page: &mut Vec<u8>) -> Result<(), CliError> {
    for sub in of.get_subcommands().filter(|s| !s.is_hide_set()) {
        let path = format!("{path} {}", sub.get_name());
        page.extend(
            Roff::new()
                .control("SH", [path.to_uppercase().as_str()])
                .to_roff()
                .into_bytes(),
        );
        let man = Man::new(sub.clone());
        let mut inner = Vec::new();
        man.render_synopsis_section(&mut inner).map_err(failed)?;
        man.render_description_section(&mut inner).map_err(failed)?;
        if sub.get_subcommands().next().is_none() {
            man.render_options_section(&mut inner).map_err(failed)?;
        }
        if sub.get_after_help().is_some() {
            man.render_extra_section(&mut inner).map_err(failed)?;
        }
        page.extend(
            String::from_utf8_lossy(&inner)
                .replace(".SH ", ".SS ")
                .into_bytes(),
        );
        sections(sub, &path, page)?;
    }
    Ok(())
}

fn failed(e: std::io::Error) -> CliError {
    CliError::said(format!("the manual cannot be written: {e}"))
}
