//! The clock of this machine. The command line and the server ask it and hand the day in: nothing else knows the time.

use crate::chem::date::Date;
use chrono::{Datelike, Timelike};

/// The day by the clock and the time zone of this machine.
pub fn today() -> Date {
    let now = chrono::Local::now().date_naive();
    let part = |n: u32| u8::try_from(n).unwrap_or_default();
    Date::new(now.year(), part(now.month()), part(now.day())).unwrap_or(Date::EPOCH)
}

/// The time of day, minutes after midnight.
pub fn now() -> u16 {
    let now = chrono::Local::now().time();
    u16::try_from(now.hour() * 60 + now.minute()).unwrap_or_default()
}
