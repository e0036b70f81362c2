//! Writing an exception down: the maker knows better here, and says why.

use super::{Action, ActionKind};
use crate::ide::Snapshot;
use crate::rules::{self, Edit, Finding};
use crate::syntax::tree::{FileKind, SectionKind};

pub fn write_down(s: &Snapshot, f: &Finding) -> Option<Action> {
    let line = s.line(f.place.line)?;
    let rule = rules::by_code(f.code)?;
    if !rule.can_be_excepted
        || f.suppression_reason.is_some()
        || matches!(line.section, SectionKind::Notes | SectionKind::Unknown)
    {
        return None;
    }
    let text = &line.text;
    // The reason is the maker's to write: the cursor belongs behind the colon.
    let edit = if line.comment.is_none() {
        let end = text.trim_end().len() as u32;
        Edit {
            start: (f.place.line, end),
            end: (f.place.line, text.len() as u32),
            text: format!("  # except {}: ", f.code),
        }
    } else {
        let indent = &text[..text.len() - text.trim_start().len()];
        Edit::insert_before(f.place.line, format!("{indent}# except {}: \n", f.code))
    };
    let keeps = if rule.is_legal {
        ", and it stays as a warning"
    } else {
        ""
    };
    Some(Action {
        title: format!(
            "Write down why this is meant (exception to \"{}\"{keeps})",
            f.code
        ),
        kind: ActionKind::QuickFix,
        preferred: false,
        code: Some(f.code),
        mends: (!f.is_legal && s.kind == FileKind::Formula).then_some(f.place),
        edits: vec![edit],
    })
}
