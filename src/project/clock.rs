//! The clock of this machine. The command line and the server ask it and hand the day in: nothing else knows the time.

use crate::chem::date::Date;
use chrono::Datelike;

/// The day by the clock and the time zone of this machine.
pub fn today() -> Date {
    let now = chrono::Local::now().date_naive();
    let part = |n: u32| u8::try_from(n).unwrap_or_default();
    Date::new(now.year(), part(now.month()), part(now.day())).unwrap_or(Date::EPOCH)
}
