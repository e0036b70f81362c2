//! `manual`: the man page, all commands in one.

use super::out::{Out, Stop};
use super::{Status, command};

/// Print the manual page (try: phasewright manual | man -l -)
#[derive(clap::Args)]
pub struct Args {}

pub fn run(_: &Args, out: &mut Out) -> Result<Status, Stop> {
    let mut page = Vec::new();
    let all = command();
    let man = clap_mangen::Man::new(all.clone());
    man.render(&mut page).map_err(|e| Stop::said(format!("the manual cannot be written: {e}")))?;
    out.bytes(&page)?;
    Ok(Status::Clean)
}
