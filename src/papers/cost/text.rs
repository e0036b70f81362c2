//! The cost sheet for the terminal.

use super::money::shown;
use super::{Cost, CostRow, Draw, fill};
use crate::papers::page::{self, WHO_DECIDES};
use crate::papers::table::{self, Column};
use rust_decimal::Decimal;

/// Of a lot's share in the table: tenths of a cent tell small amounts apart.
pub const SMALL: u32 = 3;
/// Of every sum.
pub const SUM: u32 = 2;

pub(super) fn text(cost: &Cost, width: usize) -> String {
    let mut out = format!(
        "{}\n{}\n\n",
        page::heading(&cost.head(), width),
        textwrap::fill(&lead(cost), width)
    );
    out.push_str(&table::text(
        &[
            ("ingredient", Column::Words),
            ("grams", Column::Number),
            ("lot", Column::Words),
            ("from it g", Column::Number),
            ("best before", Column::Words),
            (&money_title(cost), Column::Number),
        ],
        lines(cost).into_iter().map(Vec::from),
        width,
    ));
    out.push('\n');
    let sums = sums(cost);
    if !sums.is_empty() {
        let columns = [
            ("", Column::Words),
            ("", Column::Number),
            ("", Column::Words),
            ("", Column::Words),
        ];
        out.push_str(&table::text(
            &columns,
            sums.into_iter()
                .map(|s| vec![s.of, s.amount, s.currency, s.remark]),
            width,
        ));
    }
    for (title, items) in said(cost) {
        out.push_str(&page::lines(title, &items, width));
    }
    out.push_str(&page::lines("", &[WHO_DECIDES.to_owned()], width));
    out
}

/// How much, for which day.
pub fn lead(cost: &Cost) -> String {
    let losses = cost
        .losses_percent
        .filter(|l| !l.is_zero())
        .map_or(String::new(), |l| format!(", {l} % for losses among them"));
    let containers = if cost.containers.is_empty() {
        String::new()
    } else {
        format!(", for {}", fill::in_words(&cost.containers))
    };
    format!(
        "{} g{losses}{containers}; made on {} from the lots that expire first.",
        cost.batch_g.normalize(),
        cost.day
    )
}

/// The title of the last column names the money where there is but one.
pub fn money_title(cost: &Cost) -> String {
    match &cost.sums[..] {
        [one] => one.currency.clone(),
        _ => "cost".to_owned(),
    }
}

/// Ingredient, grams, lot, grams from it, best before, cost. Further lots stand under the first.
pub fn lines(cost: &Cost) -> Vec<[String; 6]> {
    let mut out = Vec::new();
    for row in &cost.rows {
        let mut line = |lot: String, from: String, date: String, money: String, first: bool| {
            let (name, grams) = if first {
                (row.ingredient.clone(), row.grams.to_string())
            } else {
                Default::default()
            };
            out.push([name, grams, lot, from, date, money]);
        };
        for (n, d) in row.lots.iter().enumerate() {
            line(
                d.lot.clone(),
                digits(d.grams, row),
                d.best_before.clone().unwrap_or_default(),
                money(d, cost),
                n == 0,
            );
        }
        let none = String::new;
        match row.short_g {
            Some(short) => line(
                "missing".into(),
                digits(short, row),
                none(),
                "?".into(),
                row.lots.is_empty(),
            ),
            None if !row.lots.is_empty() => {}
            None if row.cost.is_some() => line(
                "no lot".into(),
                none(),
                none(),
                shown(0.into(), SMALL),
                true,
            ),
            None => line("open".into(), none(), none(), "?".into(), true),
        }
    }
    out
}

/// As many digits as the scale shows; a thinned lot may need a few more.
fn digits(grams: Decimal, row: &CostRow) -> String {
    let mut out = grams.round_dp(4).normalize();
    if out.scale() < row.grams.scale() {
        out.rescale(row.grams.scale());
    }
    out.to_string()
}

fn money(d: &Draw, of: &Cost) -> String {
    match (d.cost, &d.currency) {
        (Some(cost), Some(_)) if of.sums.len() == 1 => shown(cost, SMALL),
        (Some(cost), Some(currency)) => format!("{} {currency}", shown(cost, SMALL)),
        _ => "?".to_owned(),
    }
}

pub struct SumLine {
    pub of: String,
    pub amount: String,
    pub currency: String,
    pub remark: String,
    pub total: bool,
}

pub fn sums(cost: &Cost) -> Vec<SumLine> {
    let without = match cost.without() {
        0 => String::new(),
        1 => "without 1 material, see below".to_owned(),
        n => format!("without {n} materials, see below"),
    };
    let least = if without.is_empty() { "" } else { "at least " };
    let mut out = Vec::new();
    for s in &cost.sums {
        let mut line = |of: String, amount, remark: String, total| {
            let least = if of == "Packaging" { "" } else { least };
            out.push(SumLine {
                of,
                amount: format!("{least}{}", shown(amount, SUM)),
                currency: s.currency.clone(),
                remark,
                total,
            });
        };
        line("Materials".into(), s.materials, without.clone(), false);
        if let Some(packaging) = s.packaging {
            let count: u32 = cost.containers.iter().map(|c| c.count).sum();
            let one = packaging.checked_div(count.into()).unwrap_or_default();
            line(
                "Packaging".into(),
                packaging,
                format!("{count} x {}, as given", shown(one, SUM)),
                false,
            );
            line("Together".into(), s.total, String::new(), true);
        }
        for each in &s.each {
            let remark = if s.packaging.is_none() {
                "its packaging not counted"
            } else {
                ""
            };
            line(
                format!("One of {}", each.content),
                each.cost,
                remark.to_owned(),
                false,
            );
        }
        if let Some(per_100_g) = s.per_100_g {
            line("100 g".into(), per_100_g, "materials alone".into(), false);
        }
    }
    out
}

/// Everything that has to be said in words, under its title.
pub fn said(cost: &Cost) -> Vec<(&'static str, Vec<String>)> {
    let mut out: Vec<(&str, Vec<String>)> = Vec::new();
    if cost.sums.is_empty() {
        out.push((
            "No sum",
            vec!["No price is known for anything in it.".to_owned()],
        ));
    }
    let missing = cost.missing.iter().map(|m| match m.grams {
        Some(grams) => format!(
            "{}, {} g: {}.",
            m.ingredient,
            grams.round_dp(6).normalize(),
            m.why
        ),
        None => format!("{}: {}.", m.ingredient, m.why),
    });
    out.push(("In no sum", missing.collect()));
    out.push((
        "Counted as nothing",
        cost.free
            .iter()
            .map(|w| format!("{w}: no lot on the shelf, as is usual for water."))
            .collect(),
    ));
    let left = |l: &super::LeftAlone| {
        format!(
            "{} ({}), best before {}, {} g left.",
            l.lot, l.ingredient, l.best_before, l.left_g
        )
    };
    out.push((
        "Past their date, left alone",
        cost.left_alone.iter().map(left).collect(),
    ));
    let thinned = cost.rows.iter().flat_map(|r| {
        r.lots
            .iter()
            .filter_map(move |d| Some((r, d, d.thinned_to_g?)))
    });
    let thinned = thinned.map(|(row, d, to)| {
        format!(
            "{}: {} g of {} with water to {} g; the water is counted as nothing.",
            row.ingredient,
            digits(d.grams, row),
            d.lot,
            digits(to, row)
        )
    });
    out.push(("Thinned", thinned.collect()));
    out.push(("Keeps", keeps(cost)));
    out.push(("To note", cost.notes.clone()));
    let line = |p: &super::Problem| {
        format!(
            "{}:{}: {}{}",
            p.path,
            p.line,
            p.message,
            if p.message.ends_with('?') { "" } else { "." }
        )
    };
    out.push((
        "Not understood on the shelf",
        cost.problems.iter().map(line).collect(),
    ));
    let errors = cost.objections.iter().filter(|o| o.severity == "error");
    out.push((
        "Errors in the formula",
        errors
            .map(|o| format!("Line {}, {}: {}", o.line, o.code, o.message))
            .collect(),
    ));
    out.push(("How it is calculated", vec![how_calculated(cost)]));
    out.retain(|(_, items)| !items.is_empty());
    out
}

fn keeps(cost: &Cost) -> Vec<String> {
    let Some(life) = &cost.shelf_life else {
        return Vec::new();
    };
    let lot = life
        .limiting
        .lot
        .as_ref()
        .map_or(String::new(), |l| format!(", lot {l}"));
    let months = if life.months == 1 {
        "1 month".to_owned()
    } else {
        format!("{} months", life.months)
    };
    let mut out = vec![format!(
        "No longer than {} ({months}), because of {}{lot}: {}.",
        life.until, life.limiting.ingredient, life.limiting.why
    )];
    if !life.no_date.is_empty() {
        out.push(format!("No date is known of {}.", life.no_date.join(", ")));
    }
    out.push("A date on paper is no stability test.".to_owned());
    out
}

fn how_calculated(cost: &Cost) -> String {
    let mut out =
        "Exactly, and rounded only to be shown; what is left of a lot is what was bought less what the batch files weighed of it."
            .to_owned();
    match cost.sums.iter().any(|s| s.packaging.is_some()) {
        true => out.push_str(" The cost of packaging is the one given with --packaging."),
        false if !cost.containers.is_empty() => {
            out.push_str(" Packaging is not counted; give it with --packaging \"0.80 EUR\".")
        }
        false => out.push_str(" The cost of one container needs `fill: 5 x 50 g` in the formula."),
    }
    out
}
