//! The record of a batch for the terminal: what was done and what is open, at one look.

use super::{BatchRecord, counted};
use crate::papers::page;

pub(super) fn text(r: &BatchRecord, width: usize) -> String {
    let or_nobody = |name: &Option<String>| name.clone().unwrap_or_else(|| "nobody".to_owned());
    let version = r
        .formula_version
        .as_ref()
        .map_or(String::new(), |v| format!(", version {v}"));
    let made = r.made.as_ref().map_or("no day".to_owned(), Clone::clone);
    let mut out = format!(
        "Batch {}  {}{version}\nmade {made} by {}, checked by {}\n",
        r.code,
        r.formula,
        or_nobody(&r.by),
        or_nobody(&r.checked)
    );
    let mut lines: Vec<String> = Vec::new();
    let mut say = |what: &str, words: String| {
        if !words.is_empty() {
            lines.push(format!("{what:<10} {words}"));
        }
    };
    say("weighed", weighed(r));
    say("heat", r.heat.join(", "));
    say("pH", ph(r));
    say("yield", yielded(r));
    say("packed", packed(r));
    say("jars", pieces(r));
    say("cost", cost(r));
    if let Some(date) = &r.best_before {
        say("best before", date.clone());
    }
    out.push_str(&page::lines("", &lines, width));
    let planned: Vec<String> = r
        .not_as_planned
        .iter()
        .map(|d| {
            let reason = match &d.reason {
                Some(reason) => format!("explained: {reason}"),
                None => "no reason written".to_owned(),
            };
            format!("line {}  {} ({}); {reason}", d.line, d.message, d.code)
        })
        .collect();
    out.push_str(&page::lines("Not as planned", &planned, width));
    let corrected: Vec<String> = r
        .corrections
        .iter()
        .map(|c| {
            let now: Vec<&str> = c.now.split_whitespace().collect();
            let why = if c.reason.is_empty() {
                "; no reason written"
            } else {
                ""
            };
            format!("line {}  {}{why}", c.line, now.join(" "))
        })
        .collect();
    out.push_str(&page::lines("Corrected", &corrected, width));
    let looks: Vec<String> = r
        .observations
        .iter()
        .map(|e| format!("{}  {}", e.time, e.words))
        .collect();
    out.push_str(&page::lines("Looked at again", &looks, width));
    out.push_str(&page::lines("Complaints", &r.complaints, width));
    let mut release: Vec<String> = r.decisions.clone();
    if release.is_empty() {
        release.push("not decided".to_owned());
    }
    let open = r.open();
    if !open.is_empty() {
        release.push(format!("open: {}", open.join(", ")));
    }
    release.extend(r.sealed.as_ref().map(|s| format!("sealed {s}")));
    out.push_str(&page::lines("Release", &release, width));
    out
}

fn weighed(r: &BatchRecord) -> String {
    let [done, all] = r.weighed;
    let mut out = format!("{done} of {}", counted(all, "row", "rows"));
    if let (Some(weighed), Some(planned)) = (&r.weighed_g, &r.planned_g) {
        out.push_str(&format!(", {weighed} g of {planned} g"));
    }
    let size = |off: &str| off.trim_start_matches('-').parse::<f64>().unwrap_or(0.0);
    let largest = r
        .rows
        .iter()
        .filter_map(|row| Some((row.off_percent.as_deref()?, &row.name)))
        .max_by(|a, b| size(a.0).total_cmp(&size(b.0)))
        .filter(|(off, _)| size(off) > 0.0);
    if let Some((off, name)) = largest {
        out.push_str(&format!("; largest difference {off} % ({name})"));
    }
    out
}

fn ph(r: &BatchRecord) -> String {
    let mut out = r.ph.join(", ");
    if let (Some([low, high]), false) = (&r.ph_range, out.is_empty()) {
        out.push_str(&format!(" (range {low} to {high})"));
    }
    out
}

fn yielded(r: &BatchRecord) -> String {
    match (&r.yield_g, &r.put_in_g, &r.yield_percent) {
        (Some(out), Some(put_in), Some(percent)) => {
            format!("{out} g of {put_in} g, {percent} %")
        }
        (Some(out), ..) => format!("{out} g"),
        _ => String::new(),
    }
}

fn packed(r: &BatchRecord) -> String {
    let packs = r.packs.iter().map(|p| {
        let mut parts = vec![format!("{} for sale", p.for_sale)];
        if p.kept > 0 {
            parts.push(format!("{} kept", p.kept));
        }
        if p.spoilt > 0 {
            parts.push(format!("{} spoilt", p.spoilt));
        }
        format!("{} x {}: {}", p.count, p.pack, parts.join(", "))
    });
    let mut out = packs.collect::<Vec<_>>().join("; ");
    if let Some(left) = &r.left_over_g {
        out.push_str(&format!("; {left} g left over"));
    }
    out
}

fn pieces(r: &BatchRecord) -> String {
    let all = r.packaging.iter().map(|p| {
        let used = p.used.as_deref().unwrap_or("?");
        let spoilt = match p.spoilt {
            0 => String::new(),
            n => format!(", {n} spoilt"),
        };
        let lot = p.lot.as_deref().unwrap_or("no lot");
        format!("{} {used}{spoilt} ({lot})", p.name)
    });
    all.collect::<Vec<_>>().join("; ")
}

fn cost(r: &BatchRecord) -> String {
    r.cost.as_ref().map_or(String::new(), |c| {
        let per = c
            .per_100g
            .as_ref()
            .map_or(String::new(), |p| format!(", {p} {} per 100 g", c.currency));
        format!(
            "{} {} materials{per}; lots as used",
            c.materials, c.currency
        )
    })
}
