//! What the formula is made of: each bar begins where the one before ends, so that all of them add up in sight.

use super::axis::Frame;
use super::pen::{Dash, Fill, GREY, LETTER, Side, WIDTH, cut, drawing, name};
use crate::rules::words::number;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

const ROW: f64 = 22.0;
const NAMES: f64 = 250.0;
const FIGURES: f64 = 84.0;

/// `parts`: names with their percent of the whole, in the order in which they are shown. `what` they are: "by kind", "the largest". None
/// where there is nothing to show.
pub fn composition(what: &str, parts: &[(String, Decimal)]) -> Option<String> {
    let parts: Vec<&(String, Decimal)> = parts.iter().filter(|(_, p)| *p > Decimal::ZERO).collect();
    let sum = parts
        .iter()
        .try_fold(Decimal::ZERO, |sum, (_, p)| sum.checked_add(*p))?;
    if parts.is_empty() {
        return None;
    }
    let plain = |d: Decimal| d.to_f64().unwrap_or(0.0);
    let bottom = 30.0 + parts.len() as f64 * ROW;
    let frame = Frame::new(
        NAMES,
        WIDTH - FIGURES,
        30.0,
        bottom,
        0.0..plain(sum).max(100.0),
        0.0..1.0,
    );
    let title = format!("Composition {what}, in percent of the whole");
    Some(drawing(
        bottom + 44.0,
        &title,
        &in_words(&parts, sum),
        |pen| {
            frame.grid_x(pen, 10);
            pen.words(
                &format!("together {} %", number(sum, 2)),
                (WIDTH - 4.0, 14.0),
                Side::End,
                LETTER,
            );
            let mut before = 0.0;
            for (n, (part, percent)) in parts.iter().enumerate() {
                let y = frame.top + (n as f64 + 0.5) * ROW;
                let after = before + plain(*percent);
                pen.words(
                    &cut(&name(part), NAMES - 16.0, LETTER),
                    (NAMES - 10.0, y),
                    Side::End,
                    LETTER,
                );
                let (left, right) = (frame.x(before), frame.x(after));
                // The thinnest is still seen.
                let fill = if n % 2 == 0 {
                    Fill::Hatched
                } else {
                    Fill::Solid
                };
                pen.area(
                    (left.min(frame.right - 2.0), y - 7.0),
                    (right.max(left + 2.0).min(frame.right), y + 7.0),
                    fill,
                );
                if n + 1 < parts.len() {
                    pen.line(
                        &[(right, y + 7.0), (right, y + ROW - 7.0)],
                        Dash::Whole,
                        1,
                        GREY,
                    );
                }
                pen.words(
                    &format!("{} %", number(*percent, 2)),
                    (WIDTH - 4.0, y),
                    Side::End,
                    LETTER,
                );
                before = after;
            }
            frame.draw_x(pen, 10, "percent of the whole, adding up");
        },
    ))
}

fn in_words(parts: &[&(String, Decimal)], sum: Decimal) -> String {
    let each: Vec<String> = parts
        .iter()
        .map(|(part, percent)| format!("{} {} %", name(part), number(*percent, 2)))
        .collect();
    format!("{}; together {} %.", each.join(", "), number(sum, 2))
}
