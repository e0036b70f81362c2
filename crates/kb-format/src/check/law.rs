//! The law of one market, and the long lists of what is prohibited.

use super::{At, Checker, join};
use crate::number::Number;
use crate::schema::*;
use rust_decimal::Decimal;
use smol_str::SmolStr;

impl<'a> Checker<'a> {
    pub(super) fn law(&mut self, n: usize, law: &LawFile) {
        let origin = self.base.law_origins.get(n);
        let at = At {
            file: origin.and_then(|o| self.base.files.get(o.file)),
            name: format!("law/{}.toml", law.market).into(),
            path: "".into(),
        };
        // Bans behind these come from the lists and are checked there.
        let own_bans = origin.map_or(law.ban.len(), |o| o.bans);
        let markets = &self.base.vocabulary.markets;
        if !self.is_unread("vocabulary.toml") && !markets.contains(&law.market) {
            let message = format!("market \"{}\" is not in vocabulary.toml", law.market);
            self.report_at(&at, "market", message);
        }
        self.day(&at, "as_of", Some(&law.as_of));
        let rows = || {
            law.rows()
                .filter(|(table, n, _)| *table != "ban" || *n < own_bans)
        };
        for (table, n, row) in rows() {
            self.row(&at, &format!("{table}.{n}"), row);
        }
        let ids: Vec<_> = rows()
            .map(|(table, n, row)| {
                let message = format!("the row \"{}\" stands twice", row.id());
                (row.id(), at.clone(), format!("{table}.{n}.id"), message)
            })
            .collect();
        self.check_twice(ids.into_iter());
        for (n, x) in law.limit.iter().enumerate() {
            self.limit(&at, &format!("limit.{n}"), x);
        }
        for (n, x) in law.ban.iter().enumerate().take(own_bans) {
            let path = format!("ban.{n}");
            self.check_scope_words(&at, &join(&path, "in_scope"), &x.in_scope);
            self.check_scope_words(&at, &join(&path, "only_scope"), &x.only_scope);
            self.check_purpose(&at, &path, x.purpose.as_ref());
            self.share(&at, &path, "trace_percent", &x.id, x.trace_percent);
            if x.substances.is_empty() {
                let message = format!("the ban \"{}\" names no substance", x.id);
                self.report_at(&at, &join(&path, "substances"), message);
            }
        }
        for (n, x) in law.allergen.iter().enumerate() {
            let path = format!("allergen.{n}");
            let (leave_on, rinse_off) = (Some(x.leave_on_percent), Some(x.rinse_off_percent));
            self.share(&at, &path, "leave_on_percent", &x.id, leave_on);
            self.share(&at, &path, "rinse_off_percent", &x.id, rinse_off);
        }
        for (n, x) in law.colour.iter().enumerate() {
            let path = format!("colour.{n}");
            self.share(&at, &path, "max_percent", &x.id, x.max_percent);
            if x.eye.is_none() && x.lip.is_none() && x.external.is_none() {
                let message = format!("the colour \"{}\" states no area", x.id);
                self.report_at(&at, &join(&path, "id"), message);
            }
        }
        for (n, x) in law.warning.iter().enumerate() {
            let path = format!("warning.{n}");
            self.check_scope_words(&at, &join(&path, "scope"), &x.scope);
            self.check_scope_words(&at, &join(&path, "not_scope"), &x.not_scope);
            self.share(&at, &path, "above_percent", &x.id, x.above_percent);
            self.counted_as(&at, &path, &x.id, &x.substances, x.r#as.as_deref());
        }
        for (n, x) in law.medicine.iter().enumerate() {
            self.medicine(&at, &format!("medicine.{n}"), x);
        }
        for (n, d) in law.duty.iter().enumerate() {
            if !DUTY_KINDS.contains(&d.kind.as_str()) {
                let message = format!(
                    "duty \"{}\": the kind \"{}\" is none of {}",
                    d.id,
                    d.kind,
                    DUTY_KINDS.join(", ")
                );
                self.report_at(&at, &format!("duty.{n}.kind"), message);
            }
        }
    }

    /// What holds of a row of any table.
    fn row(&mut self, at: &At, path: &str, row: &dyn LawRow) {
        self.check_source(at, &join(path, "source"), row.source());
        for (n, id) in row.substances().iter().enumerate() {
            self.check_ingredient_id(at, &format!("{path}.substances.{n}"), id);
        }
        let (begins, ends) = (row.begins(), row.sold_through());
        self.day(at, &join(path, "from"), begins);
        self.day(at, &join(path, "sell_through"), ends);
        if let (Some(from), Some(last)) = (begins, ends)
            && last < from
        {
            let message = format!(
                "the row \"{}\": sale of old stock ends on {last}, before the rule starts on {from}",
                row.id()
            );
            self.report_at(at, &join(path, "sell_through"), message);
        }
    }

    fn limit(&mut self, at: &At, path: &str, x: &Limit) {
        self.check_scope_words(at, &join(path, "scope"), &x.scope);
        self.check_scope_words(at, &join(path, "not_scope"), &x.not_scope);
        self.check_purpose(at, path, x.purpose.as_ref());
        self.share(at, path, "max_percent", &x.id, x.max_percent);
        if x.substances.is_empty() {
            let message = format!("the limit \"{}\" names no substance", x.id);
            self.report_at(at, &join(path, "substances"), message);
        }
        for (key, ph) in [("ph_min", x.ph_min), ("ph_max", x.ph_max)] {
            if ph.is_some_and(|n| n.0.is_sign_negative() || n.0 > 14.into()) {
                let message = format!("the limit \"{}\": its pH lies outside 0 to 14", x.id);
                self.report_at(at, &join(path, key), message);
            }
        }
        if let (Some(l), Some(h)) = (x.ph_min, x.ph_max)
            && l > h
        {
            let message = format!("the limit \"{}\": pH {l} to {h} is inside out", x.id);
            self.report_at(at, &join(path, "ph_min"), message);
        }
        if x.max_percent.is_none() && x.ph_min.is_none() && x.ph_max.is_none() {
            let message = format!("the limit \"{}\" limits nothing: no share and no pH", x.id);
            self.report_at(at, &join(path, "id"), message);
        }
        self.counted_as(at, path, &x.id, &x.substances, x.r#as.as_deref());
    }

    fn medicine(&mut self, at: &At, path: &str, x: &Medicine) {
        self.share(at, path, "low_percent", &x.id, x.low_percent);
        self.share(at, path, "high_percent", &x.id, x.high_percent);
        if let (Some(l), Some(h)) = (x.low_percent, x.high_percent)
            && l > h
        {
            let message = format!("the medicine \"{}\": low {l} is above high {h}", x.id);
            self.report_at(at, &join(path, "low_percent"), message);
        }
        if x.substances.is_empty() && x.claims.is_empty() {
            let message = format!(
                "the medicine \"{}\" names neither substance nor claim",
                x.id
            );
            self.report_at(at, &join(path, "id"), message);
        }
    }

    fn share(&mut self, at: &At, path: &str, key: &str, row: &str, share: Option<Number>) {
        if share.is_some_and(|n| n.0.is_sign_negative() || n.0 > Decimal::ONE_HUNDRED) {
            let message = format!("the row \"{row}\": a share lies outside 0 to 100 %");
            self.report_at(at, &join(path, key), message);
        }
    }

    /// A limit 'as acid' needs a way to count each of its substances as that acid.
    fn counted_as(
        &mut self,
        at: &At,
        path: &str,
        row: &str,
        substances: &[SmolStr],
        r#as: Option<&str>,
    ) {
        let Some(r#as) = r#as else { return };
        self.check_ingredient_id(at, &join(path, "as"), r#as);
        for id in substances.iter().filter(|id| *id != r#as) {
            let one = self.by_id.get(id.as_str());
            if one.is_some_and(|i| !i.counts_as.iter().any(|y| y.of == r#as)) {
                let message = format!(
                    "the row \"{row}\" counts \"{id}\" as \"{as}\", but {id}.toml has no yields for it",
                    r#as = r#as
                );
                self.report_at(at, &join(path, "as"), message);
            }
        }
    }

    /// The groups of the long lists. Their substances are checked among the ingredients.
    pub(super) fn prohibited(&mut self) {
        for (file, list) in &self.base.lists {
            let at = At {
                file: self.base.files.get(*file),
                name: "prohibited".into(),
                path: "".into(),
            };
            for (n, group) in list.group.iter().enumerate() {
                self.group(&at, &format!("group.{n}"), group);
            }
        }
    }

    fn group(&mut self, at: &At, path: &str, group: &ProhibitedGroup) {
        self.check_scope_words(at, &join(path, "in_scope"), &group.in_scope);
        self.check_purpose(at, path, group.purpose.as_ref());
        self.day(at, &join(path, "from"), group.from.as_ref());
        self.day(at, &join(path, "sell_through"), group.sell_through.as_ref());
        for (n, place) in group.r#in.iter().enumerate() {
            let path = format!("{path}.in.{n}");
            self.check_source(at, &join(&path, "source"), &place.source);
            if !self.is_unread("law") && !self.base.laws.iter().any(|l| l.market == place.market) {
                let message = format!("no file of law/ has the market \"{}\"", place.market);
                self.report_at(at, &join(&path, "market"), message);
            }
        }
    }

    fn day(&mut self, at: &At, path: &str, day: Option<&SmolStr>) {
        if let Some(day) = day
            && !is_day(day)
        {
            let message = format!("\"{day}\" is no date; write YYYY-MM-DD");
            self.report_at(at, path, message);
        }
    }
}

/// A day of the calendar, written YYYY-MM-DD.
fn is_day(day: &str) -> bool {
    let shaped = day.len() == 10
        && day.bytes().enumerate().all(|(n, b)| match n {
            4 | 7 => b == b'-',
            _ => b.is_ascii_digit(),
        });
    let number = |range: std::ops::Range<usize>| {
        day.get(range)
            .and_then(|t| t.parse::<u32>().ok())
            .unwrap_or(0)
    };
    if !shaped {
        return false;
    }
    let (year, month, day) = (number(0..4), number(5..7), number(8..10));
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let last = match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        _ => 0,
    };
    (1..=last).contains(&day)
}
