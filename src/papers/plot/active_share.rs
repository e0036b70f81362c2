//! How much of each preservative acid is awake over the pH, with the pH of the product.

use super::axis::Frame;
use super::pen::{
    Dash, INK, LETTER, Mark, SMALL, Side, WIDTH, broken, drawing, name, number, span,
};
use crate::chem::acid_base::undissociated_share;

/// An acid that preserves by its undissociated form.
#[derive(Clone, Debug, PartialEq)]
pub struct Acid {
    pub name: String,
    /// Ascending.
    pub pka: Vec<f64>,
}

/// Room for the names at the right.
const KEY: f64 = 236.0;
const KEY_ROW: f64 = 60.0;

/// `aim`: the pH of the product, from and to; None where it is not said. None where there is no acid to show.
pub fn active_share(acids: &[Acid], aim: Option<(f64, f64)>) -> Option<String> {
    let acids: Vec<&Acid> = acids
        .iter()
        .filter(|a| !a.pka.is_empty() && undissociated_share(&a.pka, 7.0).is_ok())
        .collect();
    if acids.is_empty() {
        return None;
    }
    let aim = aim
        .filter(|(l, h)| l.is_finite() && h.is_finite())
        .map(|(l, h)| (l.min(h), l.max(h)));
    let (low, high) = aim.unwrap_or((4.0, 6.0));
    let from = acids
        .iter()
        .map(|a| a.pka[0] - 2.0)
        .fold(low - 1.0, f64::min)
        .floor()
        .clamp(0.0, 3.0);
    let to = acids
        .iter()
        .map(|a| a.pka[0] + 3.0)
        .fold(high + 1.0, f64::max)
        .ceil()
        .clamp(8.0, 14.0);
    let height = (acids.len() as f64 * KEY_ROW + 40.0).max(320.0);
    let frame = Frame::new(56.0, WIDTH - KEY, 36.0, height - 44.0, from..to, 0.0..100.0);
    let share = |a: &Acid, ph: f64| undissociated_share(&a.pka, ph).unwrap_or(0.0) * 100.0;
    let title = "Active share of each preservative acid over pH";
    Some(drawing(height, title, &in_words(&acids, aim), |pen| {
        if let Some((low, high)) = aim {
            frame.band_x(pen, low, high);
        }
        frame.draw_y(pen, 10, "% active (undissociated)");
        frame.draw_x(pen, 12, "pH");
        if let Some((low, high)) = aim {
            let words = format!("product: pH {}", span(low, high, 2));
            let half = super::pen::width(&words, LETTER) / 2.0;
            let x = ((frame.x(low) + frame.x(high)) / 2.0)
                .clamp(frame.left + 150.0 + half, frame.right - half);
            pen.bold(&words, (x, frame.top - 16.0), Side::Middle, LETTER);
        }
        for (n, acid) in acids.iter().enumerate() {
            let steps = 120;
            let at = |k: i32| from + (to - from) * f64::from(k) / f64::from(steps);
            let points: Vec<_> = (0..=steps)
                .map(|k| frame.at(at(k), share(acid, at(k))))
                .collect();
            pen.line(&points, Dash::nth(n), 2, INK);
            // The half-way point of each lies at its own pKa: the marks stand apart where the curves do.
            for pka in &acid.pka[..1] {
                pen.mark(frame.at(*pka, share(acid, *pka)), Mark::nth(n));
            }
            let y = frame.top + 10.0 + n as f64 * KEY_ROW;
            let x = frame.right + 16.0;
            pen.line(&[(x, y), (x + 36.0, y)], Dash::nth(n), 2, INK);
            pen.mark((x + 18.0, y), Mark::nth(n));
            let room = WIDTH - x - 48.0;
            let lines = broken(&acid.name, room, LETTER, 2);
            for (row, words) in lines.iter().enumerate() {
                pen.words(
                    &name(words),
                    (x + 44.0, y + row as f64 * 16.0),
                    Side::Start,
                    LETTER,
                );
            }
            let words = match aim {
                Some(aim) => format!(
                    "{} active, pKa {}",
                    shares(acid, aim),
                    number(acid.pka[0], 2)
                ),
                None => format!("pKa {}", number(acid.pka[0], 2)),
            };
            pen.words(
                &words,
                (x + 44.0, y + lines.len() as f64 * 16.0),
                Side::Start,
                SMALL,
            );
        }
    }))
}

/// "12 to 30 %" over the pH of the product.
fn shares(acid: &Acid, (low, high): (f64, f64)) -> String {
    let share = |ph: f64| undissociated_share(&acid.pka, ph).unwrap_or(0.0) * 100.0;
    let places = |n: f64| {
        if n < 1.0 {
            2
        } else if n < 10.0 {
            1
        } else {
            0
        }
    };
    let (least, most) = (share(high), share(low));
    let (least, most) = (number(least, places(least)), number(most, places(most)));
    if least == most {
        format!("{least} %")
    } else {
        format!("{least} to {most} %")
    }
}

fn in_words(acids: &[&Acid], aim: Option<(f64, f64)>) -> String {
    let mut out = Vec::new();
    for acid in acids {
        let half = number(acid.pka[0], 2);
        out.push(match aim {
            Some(aim) => format!(
                "{}: {} active at the product's pH, half of it at pH {half}.",
                name(&acid.name),
                shares(acid, aim)
            ),
            None => format!("{}: half of it active at pH {half}.", name(&acid.name)),
        });
    }
    out.push(match aim {
        Some((low, high)) => format!("The product has pH {}.", span(low, high, 2)),
        None => "The product's pH is not said.".to_owned(),
    });
    out.join(" ")
}
