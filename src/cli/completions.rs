//! `completions SHELL`: a script that completes commands and options.

use super::out::{CliError, Terminal};
use super::{Status, command};

/// Print the completion script of a shell
#[derive(clap::Args)]
pub struct Args {
    #[arg(value_enum)]
    shell: clap_complete::Shell,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut command(), "phasewright", &mut script);
    out.bytes(&script)?;
    Ok(Status::Clean)
}
