//! `completions SHELL`: a script that has the shell ask the program what could follow.

use super::Status;
use super::complete::VARIABLE;
use super::out::{CliError, Terminal};
use clap_complete::env::Shells;

/// Print the completion script of a shell
///
/// It completes commands, options, codes of rules, markets and names of materials.
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright completions bash > ~/.local/share/bash-completion/completions/phasewright\n  phasewright completions zsh > ~/.zfunc/_phasewright\n  phasewright completions fish > ~/.config/fish/completions/phasewright.fish\n  phasewright completions powershell >> $PROFILE"
)]
pub struct Args {
    /// The shell that is to read it
    #[arg(value_enum)]
    shell: clap_complete::Shell,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let failed = |e: std::io::Error| CliError::said(format!("the script cannot be written: {e}"));
    let name = args.shell.to_string();
    let shells = Shells::builtins();
    let shell = shells
        .completer(&name)
        .ok_or_else(|| CliError::said(format!("there is no completion for {name}")))?;
    let mut script = Vec::new();
    shell
        .write_registration(
            VARIABLE,
            "phasewright",
            "phasewright",
            "phasewright",
            &mut script,
        )
        .map_err(failed)?;
    out.bytes(&script)?;
    Ok(Status::Clean)
}
