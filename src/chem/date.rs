//! Days of the civil calendar: enough for lots, best-before dates and follow-ups.
//!
//! Shapes: a year, month and day of the Gregorian calendar, 1600 to 9999, read and written as 2026-03-14.
//! Months added to the end of a long month end on the end of a short one (31 January and one month is 28 or
//! 29 February). Method: days since 1970-01-01 counted from March on, so that the leap day is the last of
//! its year. A library would bring time zones and clocks that nothing here needs.

use std::fmt;
use std::str::FromStr;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date {
    year: i32,
    month: u8,
    day: u8,
}

impl Date {
    /// 1970-01-01.
    pub const EPOCH: Date = Date {
        year: 1970,
        month: 1,
        day: 1,
    };

    pub fn new(year: i32, month: u8, day: u8) -> Option<Date> {
        let real = (1600..=9999).contains(&year) && (1..=12).contains(&month) && day >= 1;
        (real && day <= month_length(year, month)).then_some(Date { year, month, day })
    }

    pub fn year(self) -> i32 {
        self.year
    }

    pub fn month(self) -> u8 {
        self.month
    }

    pub fn day(self) -> u8 {
        self.day
    }

    /// Days since 1970-01-01.
    pub fn days(self) -> i64 {
        let (y, m) = if self.month > 2 {
            (i64::from(self.year), i64::from(self.month) - 3)
        } else {
            (i64::from(self.year) - 1, i64::from(self.month) + 9)
        };
        // 153 days to every five months from March; 719468 days from 0000-03-01 to 1970-01-01.
        365 * y + y.div_euclid(4) - y.div_euclid(100)
            + y.div_euclid(400)
            + (153 * m + 2) / 5
            + i64::from(self.day)
            - 1
            - 719_468
    }

    /// The day so many days after 1970-01-01.
    pub fn from_days(days: i64) -> Option<Date> {
        if !(-200_000..=3_000_000).contains(&days) {
            return None;
        }
        let z = days + 719_468;
        let era = z.div_euclid(146_097);
        let of_era = z.rem_euclid(146_097);
        let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
        let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
        let march = (5 * of_year + 2) / 153;
        let day = of_year - (153 * march + 2) / 5 + 1;
        let month = if march < 10 { march + 3 } else { march - 9 };
        let year = year_of_era + era * 400 + i64::from(month <= 2);
        Date::new(i32::try_from(year).ok()?, month as u8, day as u8)
    }

    pub fn plus_days(self, days: i64) -> Option<Date> {
        Date::from_days(self.days().checked_add(days)?)
    }

    pub fn plus_months(self, months: i32) -> Option<Date> {
        let count = i64::from(self.year) * 12 + i64::from(self.month) - 1 + i64::from(months);
        let year = i32::try_from(count.div_euclid(12)).ok()?;
        let month = count.rem_euclid(12) as u8 + 1;
        Date::new(year, month, self.day.min(month_length(year, month)))
    }

    /// Whole months from this day to another; below zero when that lies before.
    pub fn whole_months_to(self, other: Date) -> i32 {
        let months = (other.year - self.year) * 12 + i32::from(other.month) - i32::from(self.month);
        let reached = self.plus_months(months).unwrap_or(self);
        if months > 0 && reached > other {
            months - 1
        } else if months < 0 && reached < other {
            months + 1
        } else {
            months
        }
    }

    /// The last day of its month: what "best before 03/2027" means.
    pub fn end_of_month(self) -> Date {
        Date {
            day: month_length(self.year, self.month),
            ..self
        }
    }
}

fn month_length(year: i32, month: u8) -> u8 {
    match month {
        2 if year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

impl FromStr for Date {
    type Err = super::ChemError;

    /// 2026-03-14.
    fn from_str(text: &str) -> Result<Date, super::ChemError> {
        let wrong =
            || super::ChemError::new(format!("\"{text}\" is not a date: write it as 2026-03-14"));
        let parts: Vec<&str> = text.trim().split('-').collect();
        let [year, month, day] = parts[..] else {
            return Err(wrong());
        };
        let digits = |s: &str, n: usize| s.len() == n && s.bytes().all(|b| b.is_ascii_digit());
        if !digits(year, 4) || !digits(month, 2) || !digits(day, 2) {
            return Err(wrong());
        }
        let read = (year.parse().ok(), month.parse().ok(), day.parse().ok());
        let (Some(year), Some(month), Some(day)) = read else {
            return Err(wrong());
        };
        Date::new(year, month, day).ok_or_else(|| {
            super::ChemError::new(format!("\"{}\" is not a day of the calendar", text.trim()))
        })
    }
}

impl serde::Serialize for Date {
    /// As it is shown: 2026-03-14.
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}
