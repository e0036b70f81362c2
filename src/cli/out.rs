//! What goes to stdout and stderr: colours where they are wanted, a closed pipe taken calmly.

use anstream::{AutoStream, ColorChoice};
use anstyle::Style;
use std::fmt::Display;
use std::io::{self, Write};

/// Why a command ends before its end.
#[derive(Debug)]
pub enum CliError {
    /// Something to tell: `FILE:LINE: what is wrong; what to do`.
    Message(String),
    /// Nobody reads any more (`phasewright check | head`).
    PipeClosed,
}

impl CliError {
    pub fn said(message: impl Into<String>) -> CliError {
        CliError::Message(message.into())
    }
}

/// Says on stderr what went wrong. If nobody listens there either, there is nothing left to do.
pub fn eprintln_error(message: impl Display) {
    let _ = writeln!(io::stderr().lock(), "phasewright: {message}");
}

/// Stdout.
pub struct Terminal {
    to: Box<dyn Write>,
    pub paint: Styling,
    /// Columns to fill.
    pub width: usize,
}

/// Text is not set wider than this: long lines are hard to read.
const MAX_WIDTH: usize = 100;
/// Where the terminal does not tell, or there is none.
const USUAL_WIDTH: usize = 80;

impl Terminal {
    pub fn new(color: ColorChoice) -> Terminal {
        let stdout = io::stdout();
        let choice = match color {
            ColorChoice::Auto => AutoStream::choice(&stdout),
            said => said,
        };
        let on = choice != ColorChoice::Never;
        // Old Windows consoles have to be told that escapes come; the stream does that.
        let to: Box<dyn Write> = if on {
            Box::new(io::BufWriter::new(AutoStream::new(stdout, choice)))
        } else {
            Box::new(io::BufWriter::new(stdout))
        };
        let width = terminal_size::terminal_size()
            .map_or(USUAL_WIDTH, |(w, _)| usize::from(w.0))
            .clamp(40, MAX_WIDTH);
        Terminal {
            to,
            paint: Styling { on },
            width,
        }
    }

    pub fn write(&mut self, text: &str) -> Result<(), CliError> {
        self.to.write_all(text.as_bytes()).map_err(stop)
    }

    #[cfg(feature = "shell")]
    pub fn bytes(&mut self, bytes: &[u8]) -> Result<(), CliError> {
        self.to.write_all(bytes).map_err(stop)
    }

    /// A value as JSON, one line break at its end.
    pub fn json(&mut self, value: &impl serde::Serialize) -> Result<(), CliError> {
        let mut text = serde_json::to_string_pretty(value)
            .map_err(|e| CliError::said(format!("the answer cannot be written as JSON: {e}")))?;
        text.push('\n');
        self.write(&text)
    }

    pub fn end(&mut self) -> Result<(), CliError> {
        self.to.flush().map_err(stop)
    }
}

fn stop(e: io::Error) -> CliError {
    match e.kind() {
        io::ErrorKind::BrokenPipe => CliError::PipeClosed,
        _ => CliError::Message(format!(
            "the answer cannot be written: {e}; see that there is room, and that it may be written there"
        )),
    }
}

/// Puts a style around text, or leaves it plain.
#[derive(Clone, Copy)]
pub struct Styling {
    pub on: bool,
}

impl Styling {
    pub fn with(self, style: Style, text: impl Display) -> String {
        if self.on {
            format!("{style}{text}{style:#}")
        } else {
            text.to_string()
        }
    }
}

/// The styles, all in one place. The sixteen colours of the terminal's own palette suit light and dark grounds.
pub mod style {
    use crate::kb::schema::SourceKind;
    use crate::rules::Severity;
    use anstyle::{AnsiColor, Style};

    pub const BOLD: Style = Style::new().bold();
    pub const DIM: Style = Style::new().dimmed();
    pub const FILE: Style = Style::new().bold().underline();
    pub const GOOD: Style = AnsiColor::Green.on_default().bold();
    pub const FIX: Style = AnsiColor::Green.on_default();
    pub const CODE: Style = AnsiColor::Cyan.on_default();

    pub fn severity(s: Severity) -> Style {
        match s {
            Severity::Error => AnsiColor::Red.on_default().bold(),
            Severity::Warning => AnsiColor::Yellow.on_default().bold(),
            Severity::Information => AnsiColor::Blue.on_default().bold(),
            Severity::Hint => AnsiColor::Cyan.on_default(),
        }
    }

    pub fn source(kind: SourceKind) -> Style {
        match kind {
            SourceKind::Law | SourceKind::Published => BOLD,
            SourceKind::Practice | SourceKind::Unsourced => DIM,
        }
    }
}
