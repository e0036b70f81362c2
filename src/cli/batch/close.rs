//! `batch close BATCH`: seals a record, so that a later change shows.

use super::show::OpenedRecord;
use crate::chem::date::Date;
use crate::cli::Status;
use crate::cli::files::shown;
use crate::cli::out::{CliError, Terminal};
use crate::cli::whole_file;
use crate::model::record::Actual;
use crate::model::seal::signs;
use crate::syntax::tree::{Heading, Node};
use std::path::PathBuf;

/// Seal a record: from then on a line that changes is told, unless it keeps its old value with `was`
#[derive(clap::Args)]
#[command(
    after_help = "Example:\n  phasewright batch close HC-009.batch --by Ana\n\nObservations, complaints and decisions can still be added."
)]
pub struct Args {
    /// The record's file (*.batch)
    #[arg(value_name = "BATCH")]
    batch: PathBuf,
    /// Which batch, where the file holds several
    #[arg(long, value_name = "CODE")]
    code: Option<String>,
    /// Who closes it [default: the first name behind `by`]
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// The day [default: today]
    #[arg(long, value_name = "DATE", value_parser = crate::cli::cost::day)]
    on: Option<Date>,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let opened = OpenedRecord::of(&args.batch)?;
    let chosen = opened.chosen(args.code.as_deref())?;
    let stop = |line: u32, what: &str| {
        CliError::said(format!("{}:{}: {what}", shown(&opened.path), line + 1))
    };
    if let Some((line, seal)) = &chosen.sealed {
        let what = format!(
            "this record is sealed ({}); delete the line to seal it again",
            seal.value
        );
        return Err(stop(*line, &what));
    }
    if let Some(line) = chosen.unread.first() {
        return Err(stop(
            *line,
            "this line cannot be read; correct it before you seal it",
        ));
    }
    if let Some(row) = chosen.weighed.iter().find(|r| r.actual == Actual::NotYet) {
        return Err(stop(
            row.line,
            "this is not weighed; write the weight before you seal it",
        ));
    }
    let first = chosen
        .by
        .iter()
        .flat_map(|by| by.split(','))
        .next()
        .map(str::trim);
    let name = args
        .by
        .as_deref()
        .or(first)
        .map(str::trim)
        .filter(|name| !name.is_empty());
    let Some(name) = name else {
        return Err(stop(
            chosen.line,
            "nobody is named behind `by`; say who closes it with --by",
        ));
    };
    if name.contains([',', '#', '\n', '\r']) {
        return Err(CliError::said(format!(
            "\"{name}\" cannot stand behind `sealed`; write the name without commas and #"
        )));
    }
    let tree = &opened.tree;
    let last_field = (chosen.line as usize + 1..tree.lines.len())
        .take_while(|n| {
            !matches!(
                tree.line(*n).map(|l| &l.node),
                Some(Node::Heading(
                    Heading::Batch { .. } | Heading::Weighed | Heading::Log
                ))
            )
        })
        .filter(|n| matches!(tree.line(*n).map(|l| &l.node), Some(Node::Field(_))))
        .last()
        .unwrap_or(chosen.line as usize);
    let day = args.on.unwrap_or(opened.shop.workspace.settings.today);
    let seal = format!("{day} by {name}, {}", signs(tree, chosen.line));
    let mut text = opened.text.clone();
    let breaks = tree.line_break;
    text.insert_str(
        tree.offset(last_field, usize::MAX),
        &format!("{breaks}  sealed: {seal}"),
    );
    whole_file::replace(&opened.path, text.as_bytes()).map_err(|e| {
        CliError::said(format!(
            "{}: it cannot be written: {e}",
            shown(&opened.path)
        ))
    })?;
    out.write(&format!("{} is sealed: {seal}\n", chosen.code()))?;
    let open = opened.paper(chosen).open();
    if !open.is_empty() {
        out.write(&format!("  open: {}\n", open.join(", ")))?;
    }
    Ok(Status::Clean)
}
