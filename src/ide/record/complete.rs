//! What may be written at the cursor of a record: rows of the formula that are missing, lots of the material, what the method asks for
//! next. A reading is never offered: nobody but the maker has seen the thermometer and the scale.

mod log;
mod weighed;

use super::{RecordView, lot_words};
use crate::ide::complete::{self, Completion, CompletionKind, List, Trigger, finish, listed};
use crate::model::StockItem;
use crate::syntax::tree::{Node, SectionKind};
use crate::text::Span;

/// As [`complete::complete`], with what the workshop knows.
pub fn complete(view: &RecordView, line: u32, byte: u32, trigger: Trigger) -> Vec<Completion> {
    let s = view.snapshot;
    match offers(view, line, byte, trigger == Trigger::Invoked) {
        Some(mut found) => {
            finish(s, line, byte, &mut found);
            found
        }
        None => complete::complete(s, line, byte, trigger),
    }
}

/// None: what is written here is not a matter of the workshop.
fn offers(view: &RecordView, line: u32, byte: u32, invoked: bool) -> Option<Vec<Completion>> {
    let s = view.snapshot;
    let l = s.line(line)?;
    let text = l.text.as_str();
    let at = byte as usize;
    let before = text.get(..at)?;
    let in_comment = l.comment.is_some_and(|c| (c.start as usize) < at);
    if in_comment || !text.starts_with([' ', '\t']) {
        return None;
    }
    let typing = Typing {
        line,
        text,
        before,
        invoked,
    };
    match s.section_before(line) {
        SectionKind::Weighed => weighed::offer(view, &typing),
        SectionKind::Packed => packed(view, &typing),
        SectionKind::Log => log::offer(view, &typing),
        SectionKind::Batch | SectionKind::Lot => field(view, &typing),
        SectionKind::Ledger => ledger(view, &typing),
        _ => None,
    }
}

/// A line up to the cursor.
struct Typing<'a> {
    line: u32,
    text: &'a str,
    before: &'a str,
    /// Asked for by the maker, not by a key that was typed.
    invoked: bool,
}

impl Typing<'_> {
    /// A list of what may stand in place of the last bytes typed.
    fn list(&self, typed: &str, fill: &dyn Fn(&mut List)) -> Vec<Completion> {
        let at = self.before.len();
        let end = at
            + self.text[at..]
                .find(|c: char| !(c.is_alphanumeric() || c == '-'))
                .unwrap_or(self.text.len() - at);
        listed(self.line, Span::new(at - typed.len(), end), typed, fill)
    }

    /// The same, at the cursor only: what stands behind it stays.
    fn list_here(&self, typed: &str, fill: &dyn Fn(&mut List)) -> Vec<Completion> {
        let at = self.before.len();
        listed(self.line, Span::new(at - typed.len(), at), typed, fill)
    }

    /// The word at the cursor, and what stands before it.
    fn last_word(&self) -> (&str, &str) {
        let at = self.before.rfind([' ', '\t']).map_or(0, |n| n + 1);
        (self.before[..at].trim_end(), &self.before[at..])
    }

    /// What is typed of a lot's code behind the word `lot`, and what stands before that word.
    fn lot(&self) -> Option<(&str, &str)> {
        let (before, word) = self.last_word();
        let head = before.strip_suffix("lot").or(before.strip_suffix("Lot"))?;
        head.ends_with([' ', '\t']).then_some((head.trim(), word))
    }

    /// A figure at the cursor and what is typed of its unit.
    fn figure(&self) -> Option<(&str, &str)> {
        let word_at = self.before.rfind([' ', '\t']).map_or(0, |n| n + 1);
        let word = &self.before[word_at..];
        if word.starts_with(|c: char| c.is_ascii_digit()) {
            let end = word
                .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')))
                .unwrap_or(word.len());
            return Some((&word[..end], &word[end..]));
        }
        // "12.51 g": the unit is a word of its own.
        let head = self.before[..word_at].trim_end();
        let figure = head.rsplit([' ', '\t']).next()?;
        let digits = figure.starts_with(|c: char| c.is_ascii_digit())
            && figure
                .chars()
                .all(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
        (digits && !word.is_empty()).then_some((figure, word))
    }

    /// Units behind the figure at the cursor.
    fn units(&self, units: &[(&str, &str)]) -> Option<Vec<Completion>> {
        let (_, unit) = self.figure()?;
        let gap = match self.before[..self.before.len() - unit.len()].ends_with(' ') {
            true => "",
            false => " ",
        };
        Some(self.list_here(unit, &|list| {
            for (word, help) in units {
                list.add(
                    word,
                    CompletionKind::Unit,
                    help,
                    &format!("{gap}{word}"),
                    None,
                );
            }
        }))
    }
}

/// Lots of a material that may be used on the day of the batch, with what is left of them.
fn lots(view: &RecordView, typing: &Typing, item: &StockItem, typed: &str) -> Vec<Completion> {
    let day = view
        .making_on(typing.line)
        .map_or(view.today(), |m| view.day_of(m.record));
    let usable = view.lots_for(item, day);
    typing.list(typed, &|list| {
        for u in &usable {
            let code = &u.lot.code;
            let detail = lot_words::left_words(view, u);
            list.add_beginning(code, CompletionKind::Value, &detail, None);
        }
    })
}

fn packed(view: &RecordView, typing: &Typing) -> Option<Vec<Completion>> {
    if let Some((head, typed)) = typing.lot() {
        let name = name_of(head);
        let item = StockItem::of(name, false, &view.snapshot.path, view.kb());
        return Some(lots(view, typing, &item, typed));
    }
    let (head, word) = typing.last_word();
    let making = view.making_on(typing.line)?;
    if head.is_empty() && !word.is_empty() && word.chars().all(|c| c.is_ascii_digit()) {
        let fill = making.plan?.formula.fields.fill.as_ref()?;
        return Some(typing.list_here("", &|list| {
            for pack in &fill.value {
                let pack = crate::ide::figures::measure_words(pack.each);
                let label = format!("x {pack}");
                let insert = format!(" {label}");
                list.add(
                    &label,
                    CompletionKind::Value,
                    "as the formula is filled",
                    &insert,
                    None,
                );
            }
        }));
    }
    None
}

/// The name before the first figure of a row.
fn name_of(head: &str) -> &str {
    let gap = head.find("  ").unwrap_or(head.len());
    head[..gap].trim()
}

fn field(view: &RecordView, typing: &Typing) -> Option<Vec<Completion>> {
    let (key, value) = typing.before.trim_start().split_once(':')?;
    let typed = value.trim_start();
    let today = view.today().to_string();
    let value = CompletionKind::Value;
    match key.trim().to_lowercase().as_str() {
        "made" | "received" | "opened" => Some(typing.list(typed, &|list| {
            list.add_beginning(&today, value, "today", None);
        })),
        "released" | "rejected" | "on hold" | "void" if !typed.contains(' ') => {
            Some(typing.list(typed, &|list| {
                list.add_beginning(&today, value, "today", None);
            }))
        }
        "from" => {
            let mut batches: Vec<_> = view
                .shop
                .all_batches()
                .filter(|b| b.code.is_some())
                .collect();
            batches.sort_by_key(|b| std::cmp::Reverse((b.made, b.code().to_owned())));
            let typed = typed.strip_prefix("batch ").unwrap_or(typed);
            let word = match typing.before.contains("batch ") {
                true => "",
                false => "batch ",
            };
            Some(typing.list(typed, &|list| {
                for b in batches.iter().take(complete::MAX_ITEMS) {
                    let made = b.made.map_or(String::new(), |d| format!("made {d}"));
                    let formula = b.formula.as_ref().map_or("", |f| f.value.as_str());
                    let detail = [made.as_str(), formula].join(", ");
                    let insert = format!("{word}{}", b.code());
                    list.add(
                        b.code(),
                        value,
                        detail.trim_matches([',', ' ']),
                        &insert,
                        None,
                    );
                }
            }))
        }
        _ => None,
    }
}

/// The verbs of the ledger, and codes behind the amount.
fn ledger(view: &RecordView, typing: &Typing) -> Option<Vec<Completion>> {
    const VERBS: [(&str, &str); 8] = [
        ("sold", "to whom, which invoice"),
        ("back", "what a shop sent back"),
        ("gave", "to testers, as a present"),
        ("threw away", "and why"),
        ("used", "of a lot, for something else than a batch"),
        ("counted", "what is there sets what is left"),
        ("sampled", "for a test"),
        ("moved", "to another place"),
    ];
    let trimmed = typing.before.trim_start();
    let today = view.today().to_string();
    let heading = CompletionKind::Verb;
    let date = trimmed.split_whitespace().next().unwrap_or("");
    let is_day = date.parse::<crate::chem::date::Date>().is_ok() && trimmed.len() > date.len();
    if !is_day {
        if trimmed.is_empty() && !typing.invoked {
            return Some(Vec::new());
        }
        return Some(typing.list(trimmed, &|list| {
            for (verb, help) in VERBS {
                list.add(
                    &format!("{today}  {verb}"),
                    heading,
                    help,
                    &format!("{today}  {verb} "),
                    None,
                );
            }
        }));
    }
    let rest = trimmed[date.len()..].trim_start();
    let verb = VERBS.iter().find(|(v, _)| {
        rest.get(..v.len())
            .is_some_and(|w| w.eq_ignore_ascii_case(v))
            && rest[v.len()..].starts_with(' ')
    });
    let Some((verb, _)) = verb else {
        return Some(typing.list(rest, &|list| {
            for (verb, help) in VERBS {
                list.add_beginning(verb, heading, help, None);
            }
        }));
    };
    // Behind the unit comes the code.
    let words: Vec<&str> = rest[verb.len()..].split_whitespace().collect();
    let ends_in_blank = typing.before.ends_with(' ');
    let typed = if ends_in_blank { "" } else { *words.last()? };
    let before = words.len() - usize::from(!ends_in_blank);
    let unit = *words.get(before.checked_sub(1)?)?;
    if crate::chem::units::Unit::parse(unit).is_none() || before > 4 {
        return Some(Vec::new());
    }
    let packs = words.contains(&"x");
    let usable = view.shop.all_usable_lots(view.today(), view.kb());
    Some(typing.list(typed, &|list| {
        if packs {
            for b in view.shop.all_batches() {
                let here = view.shop.jars(b, None).here;
                if here > 0 {
                    list.add_beginning(
                        b.code(),
                        CompletionKind::Value,
                        &format!("{here} on the shelf"),
                        None,
                    );
                }
            }
        } else {
            for u in &usable {
                let detail = lot_words::left_words(view, u);
                list.add_beginning(&u.lot.code, CompletionKind::Value, &detail, None);
            }
        }
        list.out.truncate(complete::MAX_ITEMS);
    }))
}

/// The material of the row on a line, as far as it is written.
fn row_item(view: &RecordView, line: u32) -> Option<StockItem> {
    let node = view.snapshot.line(line).map(|l| &l.node)?;
    let (name, file) = match node {
        Node::Weighed(w) => (&w.name.value, w.file),
        Node::Packaging(p) => (&p.row.name.value, p.row.file),
        _ => return None,
    };
    Some(StockItem::of(name, file, &view.snapshot.path, view.kb()))
}
