//! The pH over what was added: the readings, how it is calculated to go on, the target.

use super::axis::Frame;
use super::pen::{Dash, GREY, INK, LETTER, Mark, Pen, SMALL, Side, WIDTH, drawing, number, span};

/// `readings`: grams in total at each, and the pH read. `samples`: the same of each sample, its grams as the batch would take
/// them. `curve`: the calculated way on, the same two figures. `target`: from and to.
pub fn titration(
    readings: &[(f64, f64)],
    samples: &[Vec<(f64, f64)>],
    curve: &[(f64, f64)],
    target: (f64, f64),
) -> String {
    let sound = |points: &[(f64, f64)]| -> Vec<(f64, f64)> {
        points
            .iter()
            .copied()
            .filter(|p| p.0.is_finite() && p.1.is_finite())
            .collect()
    };
    let (readings, curve) = (sound(readings), sound(curve));
    let samples: Vec<Vec<(f64, f64)>> = samples.iter().map(|s| sound(s)).collect();
    let (low, high) = (target.0.min(target.1), target.0.max(target.1));
    let all = || {
        readings
            .iter()
            .chain(&curve)
            .chain(samples.iter().flatten())
    };
    let most = all().map(|p| p.0).fold(0.0, f64::max);
    let lowest = all().map(|p| p.1).fold(low, f64::min);
    let highest = all().map(|p| p.1).fold(high, f64::max);
    let x_end = if most > 0.0 { most * 1.08 } else { 1.0 };
    let frame = Frame::new(
        64.0,
        WIDTH - 24.0,
        36.0,
        330.0,
        0.0..x_end,
        (lowest - 0.3).max(0.0)..highest + 0.4,
    );
    drawing(
        376.0,
        "pH over what was added",
        &in_words(&readings, &samples, &curve, low, high),
        |pen| {
            frame.draw_y(pen, 8, "pH");
            frame.band_y(pen, low, high);
            frame.draw_x(pen, 8, "grams added in all");
            for sample in &samples {
                pen.line(
                    &sample
                        .iter()
                        .map(|p| frame.at(p.0, p.1))
                        .collect::<Vec<_>>(),
                    Dash::Dots,
                    1,
                    GREY,
                );
                // Where it began the batch has its dot.
                let shown = |p: &&(f64, f64)| {
                    !readings
                        .iter()
                        .any(|r| apart(frame.at(r.0, r.1), frame.at(p.0, p.1)) < 6.0)
                };
                sample
                    .iter()
                    .filter(shown)
                    .for_each(|p| pen.mark(frame.at(p.0, p.1), Mark::Square));
            }
            pen.line(
                &curve.iter().map(|p| frame.at(p.0, p.1)).collect::<Vec<_>>(),
                Dash::Long,
                2,
                INK,
            );
            pen.line(
                &readings
                    .iter()
                    .map(|p| frame.at(p.0, p.1))
                    .collect::<Vec<_>>(),
                Dash::Whole,
                1,
                INK,
            );
            let name = format!("target pH {}", span(low, high, 2));
            pen.words_over(
                &name,
                (frame.right - 6.0, frame.y(high) - 10.0),
                Side::End,
                LETTER,
            );
            if let Some(p) = samples.last().and_then(|s| s.last()) {
                // Below the mark, where the curve does not come.
                let (x, y) = frame.at(p.0, p.1);
                pen.words_over(
                    "sample",
                    (x - 8.0, (y + 14.0).min(frame.bottom - 8.0)),
                    Side::End,
                    SMALL,
                );
            }
            if let Some(end) = curve.last() {
                calculated(pen, &frame, *end);
            }
            for (n, p) in readings.iter().enumerate() {
                let (x, y) = frame.at(p.0, p.1);
                pen.mark((x, y), Mark::Dot);
                // The line leaves downwards or upwards: the figure stands on the free side.
                let rises = readings
                    .get(n + 1)
                    .or(curve.last())
                    .is_some_and(|next| next.1 > p.1);
                let y = if rises { y + 14.0 } else { y - 14.0 };
                pen.words_over(
                    &number(p.1, 2),
                    (x + 4.0, y.clamp(frame.top + 6.0, frame.bottom - 8.0)),
                    Side::Start,
                    LETTER,
                );
            }
        },
    )
}

fn apart(a: (f64, f64), b: (f64, f64)) -> f64 {
    (a.0 - b.0).abs().max((a.1 - b.1).abs())
}

fn calculated(pen: &Pen, frame: &Frame, end: (f64, f64)) {
    let (x, y) = frame.at(end.0, end.1);
    pen.mark((x, y), Mark::Ring);
    let y = if y + 16.0 > frame.bottom - 8.0 {
        y - 16.0
    } else {
        y + 16.0
    };
    pen.words_over("as calculated", (x - 6.0, y), Side::End, SMALL);
}

fn in_words(
    readings: &[(f64, f64)],
    samples: &[Vec<(f64, f64)>],
    curve: &[(f64, f64)],
    low: f64,
    high: f64,
) -> String {
    let mut out: Vec<String> = readings
        .iter()
        .map(|(g, ph)| format!("pH {} at {} g.", number(*ph, 2), number(*g, 3)))
        .collect();
    if out.is_empty() && samples.iter().all(Vec::is_empty) {
        out.push("No reading yet.".to_owned());
    }
    for (g, ph) in samples.iter().flatten() {
        out.push(format!(
            "The sample: pH {} at what is {} g for the batch.",
            number(*ph, 2),
            number(*g, 3)
        ));
    }
    if let Some((g, ph)) = curve.last() {
        out.push(format!(
            "Expected to come to pH {} at {} g.",
            number(*ph, 2),
            number(*g, 3)
        ));
    }
    out.push(format!("The target is pH {}.", span(low, high, 2)));
    out.join(" ")
}
