//! `explain [CODE]`: the page of a rule, or the table of rules.

use super::markdown;
use super::out::{CliError, Terminal, style};
use super::wrap::wrap;
use super::{Format, Status};
use crate::rules::{self, Group, Rule, page};
use serde::Serialize;

/// Explain a rule: why it is there, what to do, an example
///
/// Without a code: the table of rules.
#[derive(clap::Args)]
#[command(after_help = "Examples:\n  phasewright explain\n  phasewright explain heat-sensitive")]
pub struct Args {
    /// The code of the rule, as a message shows it in brackets
    #[cfg_attr(feature = "shell", arg(add = crate::cli::complete::codes()))]
    code: Option<String>,
    #[command(flatten)]
    format: Format,
}

#[derive(Serialize)]
struct RulePage {
    version: u8,
    code: &'static str,
    title: &'static str,
    severity: &'static str,
    group: &'static str,
    yields_to: &'static [&'static str],
    markdown: String,
}

#[derive(Serialize)]
struct Table {
    version: u8,
    rules: Vec<RuleRow>,
}

#[derive(Serialize)]
struct RuleRow {
    code: &'static str,
    title: &'static str,
    severity: &'static str,
    group: &'static str,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let Some(code) = &args.code else {
        if args.format.is_json() {
            let rules = rules::all()
                .map(|r| RuleRow {
                    code: r.code,
                    title: r.title,
                    severity: r.loudest.name(),
                    group: r.group.title(),
                })
                .collect();
            out.json(&Table { version: 1, rules })?;
        } else {
            let text = table(out);
            out.write(&text)?;
        }
        return Ok(Status::Clean);
    };
    let rule = rules::by_code(code.trim().to_lowercase().as_str()).ok_or_else(|| unknown(code))?;
    if args.format.is_json() {
        out.json(&RulePage {
            version: 1,
            code: rule.code,
            title: rule.title,
            severity: rule.loudest.name(),
            group: rule.group.title(),
            yields_to: rule.yields_to,
            markdown: page::markdown(rule),
        })?;
    } else {
        let text = terminal(rule, out);
        out.write(&text)?;
    }
    Ok(Status::Clean)
}

fn unknown(code: &str) -> CliError {
    let near = near(code);
    let hint = if near.is_empty() {
        "`phasewright explain` lists all".to_owned()
    } else {
        format!("did you mean {}?", near.join(" or "))
    };
    CliError::said(format!("no rule has the code \"{code}\"; {hint}"))
}

/// Codes that are spelled alike, or that hold the word; best first, at most three.
fn near(code: &str) -> Vec<&'static str> {
    let wanted = code.trim().to_lowercase().replace([' ', '_'], "-");
    let mut all: Vec<(usize, &str)> = rules::all()
        .filter_map(|r| {
            let distance = strsim::osa_distance(r.code, &wanted);
            let holds = wanted.len() >= 3 && r.code.contains(wanted.as_str());
            (holds || distance <= wanted.len() / 3 + 1)
                .then_some((if holds { 0 } else { distance }, r.code))
        })
        .collect();
    all.sort();
    all.into_iter().take(3).map(|(_, code)| code).collect()
}

fn table(out: &Terminal) -> String {
    let p = out.paint;
    let wide = rules::all().map(|r| r.code.len()).max().unwrap_or(0);
    let mut text = String::new();
    let mut group: Option<Group> = None;
    for r in rules::all() {
        if group != Some(r.group) {
            if group.is_some() {
                text.push('\n');
            }
            group = Some(r.group);
            text.push_str(&p.with(style::BOLD, r.group.title()));
            text.push('\n');
        }
        let level = p.with(
            style::severity(r.loudest),
            format!("{:<11}", r.loudest.name()),
        );
        let before = format!("  {:<wide$}  {level}  ", r.code);
        // Code, level and blanks are before it; the title goes on under itself.
        let indent = 2 + wide + 2 + 11 + 2;
        let room = out.width.saturating_sub(indent).max(20);
        for (n, line) in wrap(r.title, room, "", "").iter().enumerate() {
            match n {
                0 => text.push_str(&format!("{before}{line}\n")),
                _ => text.push_str(&format!("{:indent$}{line}\n", "")),
            }
        }
    }
    let last = "The level is the loudest that a finding may have. `phasewright explain CODE` shows a page.";
    let last = wrap(last, out.width, "", "").join("\n");
    text.push_str(&p.with(style::DIM, format!("\n{last}\n")));
    text
}

fn terminal(rule: &Rule, out: &Terminal) -> String {
    let p = out.paint;
    let mut text = format!(
        "{}  {}\n",
        p.with(style::DIM, format!("[{}]", rule.code)),
        p.with(
            style::severity(rule.loudest),
            format!("at most {}", rule.loudest.name())
        )
    );
    if !rule.yields_to.is_empty() {
        text.push_str(&p.with(
            style::DIM,
            format!(
                "{}\n",
                wrap(
                    &format!("gives way to: {}", rule.yields_to.join(", ")),
                    out.width,
                    "",
                    "  "
                )
                .join("\n")
            ),
        ));
    }
    format!(
        "{}\n{}",
        text,
        markdown::terminal(&page::markdown(rule), p, out.width)
    )
}
