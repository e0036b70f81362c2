//! The clock of this machine. The command line and the server ask it and hand the day in: nothing else knows the time.

use crate::chem::date::Date;
use jiff::Zoned;

/// The day by the clock and the time zone of this machine. It is the day that the maker's calendar shows, not that of universal time.
pub fn today() -> Date {
    let now = Zoned::now().date();
    let part = |n: i8| u8::try_from(n).unwrap_or_default();
    Date::new(now.year().into(), part(now.month()), part(now.day())).unwrap_or(Date::EPOCH)
}

/// The time of day, minutes after midnight.
pub fn now() -> u16 {
    let now = Zoned::now();
    u16::try_from(i32::from(now.hour()) * 60 + i32::from(now.minute())).unwrap_or_default()
}
