//! `open [FOLDER]`: hands over to the server of the page, which `main` brings along, and starts the browser.

use super::Status;
use super::out::{CliError, Terminal, eprintln_error};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Open the page in the browser, on the files of a folder
///
/// It is served to this machine only, under an address that nobody can guess. End it with Ctrl+C.
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright open                 the current folder\n  phasewright open workshop --no-browser"
)]
pub struct Args {
    /// The folder with the formulas
    #[arg(value_name = "FOLDER", default_value = ".")]
    folder: PathBuf,
    /// The port on this machine; 0 takes a free one
    #[arg(long, value_name = "PORT", default_value_t = 0)]
    port: u16,
    /// Say the address, and do not start the browser
    #[arg(long)]
    no_browser: bool,
    /// A built page to serve instead of the one inside the program
    #[arg(long, value_name = "DIR")]
    page: Option<PathBuf>,
}

/// Serves a built page (the one inside the program, where none is named) on the files of a folder until the process is ended. What it calls
/// is told the name of the folder and the address.
pub type PageServer =
    fn(&Path, Option<&Path>, u16, &mut dyn FnMut(&str, &str)) -> Result<(), String>;

pub fn run(
    args: &Args,
    server: Option<PageServer>,
    out: &mut Terminal,
) -> Result<Status, CliError> {
    let server = server.ok_or_else(|| {
        CliError::said("this build cannot serve the page; build it with the feature \"open\"")
    })?;
    let mut unsaid = None;
    let mut ready = |folder: &str, address: &str| {
        let words = format!(
            "{folder} is open at\n  {address}\nKeep this address to yourself. Ctrl+C ends it.\n"
        );
        unsaid = out.write(&words).and_then(|()| out.end()).err();
        if !args.no_browser {
            start_browser(address);
        }
    };
    let served = server(&args.folder, args.page.as_deref(), args.port, &mut ready);
    served.map_err(CliError::said)?;
    unsaid.map_or(Ok(Status::Clean), Err)
}

/// Asks the system to show an address. Where it cannot, the address has been said.
fn start_browser(address: &str) {
    let (program, before): (&str, &[&str]) = if cfg!(windows) {
        ("rundll32", &["url.dll,FileProtocolHandler"])
    } else if cfg!(target_os = "macos") {
        ("open", &[])
    } else {
        ("xdg-open", &[])
    };
    let started = Command::new(program)
        .args(before)
        .arg(address)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    if started.is_err() {
        eprintln_error("no browser could be started; open the address yourself");
    }
}
