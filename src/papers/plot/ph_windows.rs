//! The pH that each ingredient needs, side by side, with the pH of the product.

use super::axis::Frame;
use super::pen::{Dash, Fill, INK, LETTER, SMALL, Side, WIDTH, cut, drawing, name, number, span};

/// What a window is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Does {
    /// In it the material does its work.
    Works,
    /// In it the material lasts.
    Lasts,
}

/// A range of pH; an end that is not known is open.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    pub name: String,
    pub does: Does,
    pub low: Option<f64>,
    pub high: Option<f64>,
}

const ROW: f64 = 22.0;
const NAMES: f64 = 250.0;
const FIGURES: f64 = 150.0;
/// More windows than a page takes are not drawn.
const MAX_ROWS: usize = 36;

/// `aim`: the pH of the product, from and to. None where nothing needs a pH.
pub fn ph_windows(windows: &[Window], aim: Option<(f64, f64)>) -> Option<String> {
    let mut shown: Vec<&Window> = windows
        .iter()
        .filter(|w| w.low.is_some() || w.high.is_some())
        .collect();
    if shown.is_empty() {
        return None;
    }
    let left_out = shown.len().saturating_sub(MAX_ROWS);
    if left_out > 0 {
        // The narrow ones decide.
        let wide = |w: &Window| w.high.unwrap_or(14.0) - w.low.unwrap_or(0.0);
        shown.sort_by(|a, b| wide(a).total_cmp(&wide(b)));
        shown.truncate(MAX_ROWS);
    }
    let aim = aim.map(|(l, h)| (l.min(h), l.max(h)));
    let ends = || {
        shown
            .iter()
            .flat_map(|w| [w.low, w.high])
            .chain([aim.map(|a| a.0), aim.map(|a| a.1)])
            .flatten()
    };
    let from = (ends().fold(f64::MAX, f64::min) - 1.0)
        .floor()
        .clamp(0.0, 13.0);
    let to = (ends().fold(f64::MIN, f64::max) + 1.0)
        .ceil()
        .clamp(from + 1.0, 14.0);
    let under = if left_out > 0 { 60.0 } else { 44.0 };
    let height = 44.0 + shown.len() as f64 * ROW + under + 22.0;
    let frame = Frame::new(
        NAMES,
        WIDTH - FIGURES,
        44.0,
        44.0 + shown.len() as f64 * ROW,
        from..to,
        0.0..1.0,
    );
    Some(drawing(
        height,
        "pH that each ingredient needs, and the pH of the product",
        &in_words(&shown, aim),
        |pen| {
            frame.grid_x(pen, 14);
            if let Some((low, high)) = aim {
                frame.band_x(pen, low, high);
                let words = format!("product: pH {}", span(low, high, 2));
                pen.bold(
                    &words,
                    ((frame.x(low) + frame.x(high)) / 2.0, 22.0),
                    Side::Middle,
                    LETTER,
                );
            }
            for (n, w) in shown.iter().enumerate() {
                let y = frame.top + (n as f64 + 0.5) * ROW;
                let outside = misses(w, aim);
                let label = cut(&name(&w.name), NAMES - 16.0, LETTER);
                if outside {
                    pen.bold(
                        &cut(&name(&w.name), NAMES - 28.0, LETTER),
                        (NAMES - 10.0, y),
                        Side::End,
                        LETTER,
                    );
                } else {
                    pen.words(&label, (NAMES - 10.0, y), Side::End, LETTER);
                }
                bar(pen, &frame, w, y);
                let mark = if outside { ", outside" } else { "" };
                let words = format!("{}{mark}", range(w));
                let x = frame.right + 12.0;
                if outside {
                    pen.bold(&words, (x, y), Side::Start, SMALL)
                } else {
                    pen.words(&words, (x, y), Side::Start, SMALL)
                }
            }
            frame.draw_x(pen, 14, "pH");
            let y = frame.bottom + 54.0;
            pen.area((NAMES, y - 5.0), (NAMES + 28.0, y + 5.0), Fill::Hatched);
            pen.words("in it it works", (NAMES + 34.0, y), Side::Start, SMALL);
            pen.area(
                (NAMES + 150.0, y - 5.0),
                (NAMES + 178.0, y + 5.0),
                Fill::Plain,
            );
            pen.words("in it it lasts", (NAMES + 184.0, y), Side::Start, SMALL);
            if left_out > 0 {
                pen.words(
                    &format!("{left_out} more with wider ranges are not drawn"),
                    (NAMES, y + 18.0),
                    Side::Start,
                    SMALL,
                );
            }
        },
    ))
}

/// An end that is not known runs to the edge without one, and an arrow goes on.
fn bar(pen: &super::pen::Pen, frame: &Frame, w: &Window, y: f64) {
    let (left, right) = (
        w.low.map_or(frame.left, |l| frame.x(l)),
        w.high.map_or(frame.right, |h| frame.x(h)),
    );
    let (top, bottom) = (y - 6.0, y + 6.0);
    let fill = if w.does == Does::Works {
        Fill::Hatched
    } else {
        Fill::Plain
    };
    pen.ground((left, top), (right, bottom), fill);
    for edge in [top, bottom] {
        pen.line(&[(left, edge), (right, edge)], Dash::Whole, 1, INK);
    }
    for (end, x) in [(w.low, left), (w.high, right)] {
        if end.is_some() {
            pen.line(&[(x, top), (x, bottom)], Dash::Whole, 2, INK);
        }
    }
    if w.low.is_none() {
        pen.arrow_aside((frame.left, y), false);
    }
    if w.high.is_none() {
        pen.arrow_aside((frame.right, y), true);
    }
}

/// Part of the aim lies outside the window.
fn misses(w: &Window, aim: Option<(f64, f64)>) -> bool {
    aim.is_some_and(|(low, high)| {
        w.low.is_some_and(|l| low < l) || w.high.is_some_and(|h| high > h)
    })
}

fn range(w: &Window) -> String {
    match (w.low, w.high) {
        (Some(l), Some(h)) => span(l, h, 2),
        (Some(l), None) => format!("{} or above", number(l, 2)),
        (None, Some(h)) => format!("{} or below", number(h, 2)),
        (None, None) => String::new(),
    }
}

fn in_words(shown: &[&Window], aim: Option<(f64, f64)>) -> String {
    let mut out = vec![match aim {
        Some((low, high)) => format!("The product has pH {}.", span(low, high, 2)),
        None => "The product's pH is not said.".to_owned(),
    }];
    for w in shown {
        let does = if w.does == Does::Works {
            "works"
        } else {
            "lasts"
        };
        let mark = if misses(w, aim) {
            ", and part of the product's range lies outside"
        } else {
            ""
        };
        out.push(format!(
            "{} {does} at pH {}{mark}.",
            name(&w.name),
            range(w)
        ));
    }
    out.join(" ")
}
