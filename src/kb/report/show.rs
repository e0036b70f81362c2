//! The report in words.

use super::{Kinds, Report, percent};
use std::fmt;

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(
            f,
            "{} ingredients with {} names; {} kinds of product, {} pairs, {} sources",
            self.ingredients, self.names, self.products, self.pairs, self.sources
        )?;
        writeln!(
            f,
            "{} more substances stand in lists of what is prohibited",
            self.prohibited
        )?;
        for (market, day, rows) in &self.laws {
            writeln!(f, "  law {market}, text of {day}: {rows} rows")?;
        }
        writeln!(f, "\nWhat of the law is in, and what is not")?;
        for one in &self.coverage {
            writeln!(
                f,
                "  {}: {} in, {} not or not whole",
                one.market,
                one.covers.len(),
                one.not_covered.len()
            )?;
            for (sign, text) in one
                .covers
                .iter()
                .map(|t| ('+', t))
                .chain(one.not_covered.iter().map(|t| ('-', t)))
            {
                writeln!(f, "    {sign} {text}")?;
            }
        }
        writeln!(f, "\nBy family")?;
        for (family, n) in &self.families {
            writeln!(f, "  {n:>5}  {family}")?;
        }
        writeln!(
            f,
            "\nBy field{:21}have   figures    law  published  practice  memory",
            ""
        )?;
        for one in &self.fields {
            write!(f, "  {:26} {:>5} ", one.name, one.entries)?;
            kinds(f, &one.kinds)?;
        }
        writeln!(
            f,
            "\nShare of each kind of source{:5}figures    law  published  practice  memory",
            ""
        )?;
        for (name, k) in [
            ("all figures", &self.all),
            ("law", &self.law),
            ("preservatives", &self.preservatives),
        ] {
            write!(f, "  {name:32} ")?;
            kinds(f, k)?;
        }
        writeln!(f, "\nGaps, worst first")?;
        for g in &self.gaps {
            let named: Vec<&str> = g.missing.iter().take(5).map(String::as_str).collect();
            let more = if g.missing.len() > named.len() {
                ", ..."
            } else {
                ""
            };
            writeln!(
                f,
                "  {:>3.0} %  {} of {} {}: {}{more}",
                percent(g.missing.len(), g.of),
                g.missing.len(),
                g.of,
                g.what,
                named.join(", ")
            )?;
        }
        Ok(())
    }
}

fn kinds(f: &mut fmt::Formatter<'_>, k: &Kinds) -> fmt::Result {
    let all = k.total();
    writeln!(
        f,
        "{all:>8} {:>4.0} %  {:>7.0} %  {:>6.0} %  {:>4.1} %",
        percent(k.law, all),
        percent(k.published, all),
        percent(k.practice, all),
        k.memory_percent()
    )
}
