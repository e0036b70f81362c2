//! On a heading: what the formula or the phase comes to.

use super::amount::why;
use crate::ide::figures;
use crate::ide::{Snapshot, words::count, words::text};
use crate::kb::schema::SourceKind;
use crate::model::hlb::{self, Side};
use crate::model::{Basis, Formula, Total, system};
use crate::rules::{Severity, words};
use crate::syntax::tree::{Heading, Heat};
use rust_decimal::Decimal;

pub(super) fn heading(s: &Snapshot, line: u32, at: usize, h: &Heading) -> Option<String> {
    match h {
        Heading::Formula { .. } => formula(s),
        Heading::Phase(_) | Heading::Premix(_) => phase(s, s.phase_on(line)?),
        Heading::Method => method(s),
        other => super::of_heading(s, other, at),
    }
}

fn formula(s: &Snapshot) -> Option<String> {
    let f = s.formula.as_ref()?;
    let mut out = format!(
        "**{}**\n\n",
        text(f.name.as_ref().map_or("This formula", |n| &n.value))
    );
    let known =
        matches!(f.total, Total::Known(_)) && !matches!(f.basis, Basis::Mixed | Basis::Nothing);
    if known {
        out.push_str(&format!("- **Sum:** {}\n", figures::total_words(f)));
    } else if f.basis == Basis::Nothing && matches!(f.total, Total::Known(_)) {
        out.push_str("- **Sum:** no amounts yet\n");
    } else {
        out.push_str(&format!("- **Sum:** not known. {}", why(s, f)));
    }
    if let Some(batch) = f.batch_g() {
        out.push_str(&format!("- **Batch:** {}\n", figures::grams_words(batch)));
    }
    if f.rows.iter().all(|r| r.percent.is_some()) && !f.rows.is_empty() {
        let show = |n: Decimal| words::percent(n.round_dp(2));
        let rest = if f.has_unknown {
            " (parts are not known)"
        } else {
            ""
        };
        out.push_str(&format!(
            "- **Water:** {}; **oils:** {}{rest}\n",
            show(f.water_percent),
            show(f.oil_percent)
        ));
    }
    if let Some(aim) = system::ph_aim(f) {
        out.push_str(&format!("- **pH:** {}\n", aim_words(aim)));
    }
    let said: Vec<String> = Severity::ALL
        .into_iter()
        .rev()
        .filter_map(|level| {
            let n = s.findings().iter().filter(|x| x.severity == level).count();
            (n > 0).then(|| {
                count(
                    n,
                    if level == Severity::Information {
                        "piece of information"
                    } else {
                        level.name()
                    },
                )
            })
        })
        .collect();
    let said: Vec<String> = said
        .into_iter()
        .map(|t| t.replace("piece of informations", "pieces of information"))
        .collect();
    if !said.is_empty() {
        out.push_str(&format!("- **To look at:** {}\n", said.join(", ")));
    }
    Some(out)
}

pub(super) fn aim_words(aim: system::PhAim) -> String {
    if aim.low == aim.high {
        aim.low.normalize().to_string()
    } else {
        format!("{} to {}", aim.low.normalize(), aim.high.normalize())
    }
}

pub(super) fn phase(s: &Snapshot, n: usize) -> Option<String> {
    let f = s.formula.as_ref()?;
    let phase = f.phases.get(n)?;
    let word = if phase.premix { "Premix" } else { "Phase" };
    let name = phase
        .name
        .as_ref()
        .map_or(String::new(), |n| format!(" \"{}\"", text(n)));
    let mut out = format!("**{word} {}**{name}\n\n", text(&phase.label));
    share_lines(s, f, n, &mut out);
    heat_lines(s, f, n, &mut out);
    hlb_lines(s, f, n, &mut out);
    if let Some(into) = phase.into.map(|p| &f.phases[p]) {
        out.push_str(&format!("- **Goes into** phase {}\n", text(&into.label)));
    }
    let mut premixes = f.phases.iter().filter(|p| p.into == Some(n)).peekable();
    if premixes.peek().is_some() {
        let all: Vec<String> = premixes.map(|p| text(&p.label)).collect();
        out.push_str(&format!("- **Takes** premix {}\n", words::list(&all)));
    }
    Some(out)
}

fn share_lines(s: &Snapshot, f: &Formula, n: usize, out: &mut String) {
    let rows = &f.phases[n].rows;
    if rows.is_empty() {
        out.push_str("- No rows yet\n");
        return;
    }
    let weights = figures::weights(s, f);
    let show = |rows: &[usize]| {
        let percent = figures::percent_sum(f, rows)?;
        let grams = weights
            .sum(rows)
            .map_or(String::new(), |g| format!(", {}", figures::grams_words(g)));
        Some(format!(
            "{} of the whole{grams}",
            words::percent(percent.round_dp(4))
        ))
    };
    match show(rows) {
        Some(t) => out.push_str(&format!("- **Share:** {t}\n")),
        None => out.push_str(&format!("- **Share:** not known. {}", why(s, f))),
    }
    let with = figures::rows_with_premixes(f, n);
    if with.len() > rows.len()
        && let Some(t) = show(&with)
    {
        out.push_str(&format!("- **With its premixes:** {t}\n"));
    }
}

fn heat_lines(s: &Snapshot, f: &Formula, n: usize, out: &mut String) {
    let phase = &f.phases[n];
    let degrees = s.degrees();
    let mut written = phase.heat.as_ref().map(|h| match h.value {
        Heat::At(t) => format!("at {}", degrees.show(t.celsius)),
        Heat::Below(t) => format!("below {}", degrees.show(t.celsius)),
        Heat::Above(t) => format!("above {}", degrees.show(t.celsius)),
        Heat::Between(a, b) => format!(
            "between {} and {}",
            degrees.show(a.celsius),
            degrees.show(b.celsius)
        ),
        Heat::Room => "at room temperature".to_owned(),
    });
    if let (Some(t), Some(minutes)) = (&mut written, phase.hold_minutes) {
        t.push_str(&format!(", held {} min", minutes.normalize()));
    }
    let highest = phase
        .rows
        .iter()
        .filter_map(|r| f.timeline.rows.get(*r)?.highest_c)
        .max();
    let met = match (f.timeline.from_method, highest) {
        (true, Some(c)) => Some(format!("by the method as warm as {}", degrees.show(c))),
        _ => None,
    };
    let added = f.timeline.phases.get(n).and_then(|p| {
        Some(format!(
            "added on line {}{}",
            p.added_line? + 1,
            p.added_c
                .map_or(String::new(), |c| format!(" at {}", degrees.show(c)))
        ))
    });
    let parts: Vec<String> = [written, met, added].into_iter().flatten().collect();
    if !parts.is_empty() {
        out.push_str(&format!("- **Temperature:** {}\n", parts.join("; ")));
    }
    let entries = || {
        phase
            .rows
            .iter()
            .filter_map(|r| Some((&f.rows[*r], s.kb.get(f.rows[*r].id()?))))
    };
    if let Some((row, t)) = entries()
        .filter_map(|(r, e)| Some((r, e.add_below_c.as_deref()?)))
        .min_by_key(|(_, t)| t.value)
    {
        out.push_str(&format!(
            "- **Most tender:** {}, added below {} ({})\n",
            text(&row.name.value),
            degrees.show(t.value.0),
            kind(s, &t.source)
        ));
    }
    if let Some((row, high, low, source)) = entries()
        .filter_map(|(r, e)| {
            let m = e.melts_c.as_deref()?;
            Some((r, m.high.or(m.low)?, m.low, &m.source))
        })
        .max_by_key(|(_, high, ..)| *high)
    {
        let range = low
            .filter(|l| *l != high)
            .map_or(degrees.show(high.0), |l| {
                crate::kb::card::show::between(&degrees.show(l.0), &degrees.show(high.0))
            });
        out.push_str(&format!(
            "- **Melts last:** {}, at {range} ({})\n",
            text(&row.name.value),
            kind(s, source)
        ));
    }
}

/// What the oils of a phase need, what its emulsifiers give, and how the whole formula stands.
fn hlb_lines(s: &Snapshot, f: &Formula, n: usize, out: &mut String) {
    if f.rows.iter().any(|r| r.percent.is_none()) {
        return;
    }
    let rows = figures::rows_with_premixes(f, n);
    let here = |row: usize| rows.contains(&row);
    let (asked, given) = (hlb::asked(f, &s.kb, here), hlb::given(f, &s.kb, here));
    if let Some(side) = &asked {
        out.push_str(&format!(
            "- **Its oils need HLB** {}\n",
            side_words(s, side)
        ));
    }
    if let Some(side) = &given {
        out.push_str(&format!(
            "- **Its emulsifiers give HLB** {}\n",
            side_words(s, side)
        ));
    }
    if asked.is_some() || given.is_some() {
        out.push_str(&format!(
            "- **HLB of the whole:** {}\n",
            balance_words(s, f)
        ));
    }
}

/// The mean by weight, with how much of what counts has a figure.
fn side_words(s: &Snapshot, side: &Side) -> String {
    let known: Decimal = side.parts.iter().map(|(w, _)| *w).sum();
    let weakest = side
        .parts
        .iter()
        .map(|(_, f)| {
            s.kb.source(&f.source)
                .map_or(SourceKind::Unsourced, |x| x.kind)
        })
        .max();
    let part = if side.unknown.is_zero() {
        String::new()
    } else {
        format!(
            ", from {} of {} whose figure is known",
            words::percent(known),
            words::percent(known + side.unknown)
        )
    };
    format!(
        "{}{part} ({})",
        words::number(side.hlb, 1),
        kind_word(weakest.unwrap_or(SourceKind::Unsourced))
    )
}

/// How the emulsifiers stand to the oils, or why that says nothing.
pub(super) fn balance_words(s: &Snapshot, f: &Formula) -> String {
    match hlb::balance(f, &s.kb) {
        Ok(b) => format!(
            "the emulsifiers have {}, the oils ask for {}",
            words::number(b.given.hlb, 1),
            words::number(b.asked.hlb, 1)
        ),
        Err(silent) => format!("not compared; {}", silent.text()),
    }
}

fn method(s: &Snapshot) -> Option<String> {
    let f = s.formula.as_ref()?;
    let mut steps: Vec<String> = f
        .timeline
        .temperature_curve
        .iter()
        .map(|(_, c)| s.degrees().show(*c))
        .collect();
    steps.dedup();
    Some(match steps.as_slice() {
        [] => "**Method**\n\nNo step gives a temperature yet.\n".to_owned(),
        steps => format!(
            "**Method**\n\n- **Temperature step by step:** {}\n",
            steps.join(", then ")
        ),
    })
}

pub(super) fn kind(s: &Snapshot, source: &str) -> &'static str {
    kind_word(
        s.kb.source(source)
            .map_or(SourceKind::Unsourced, |x| x.kind),
    )
}

fn kind_word(kind: SourceKind) -> &'static str {
    match kind {
        SourceKind::Law => "law",
        SourceKind::Published => "published",
        SourceKind::Practice => "practice",
        SourceKind::Unsourced => "memory",
    }
}
