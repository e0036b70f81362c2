//! The temperature over the method, vessel by vessel, and what goes in where.

use super::axis::Frame;
use super::pen::{
    Dash, GREY, INK, LETTER, Mark, Pen, SMALL, Side, WIDTH, broken, drawing, name, number,
};

/// The method as a course of temperatures, in the unit that is shown.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// "°C" or "°F".
    pub unit: &'static str,
    pub steps: Vec<PlottedStep>,
    /// What the product comes together in first.
    pub vessels: Vec<PlottedVessel>,
    pub entries: Vec<Entry>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct PlottedStep {
    /// As written.
    pub words: String,
    /// "20 min", where it is said.
    pub time: Option<String>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct PlottedVessel {
    /// The phase that it began with.
    pub name: String,
    /// At the start, then after each step; none where it is not known, or no longer (not yet) a vessel of its own.
    pub at: Vec<Option<f64>>,
}

/// Something goes in.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// From 0.
    pub step: usize,
    pub name: String,
    /// The temperature then, where it is known.
    pub at: Option<f64>,
}

const LIST_ROW: f64 = 17.0;

/// None where no temperature is known.
pub fn temperature(course: &Course) -> Option<String> {
    let steps = course.steps.len();
    let known = || {
        course
            .vessels
            .iter()
            .flat_map(|v| v.at.iter().flatten().copied())
            .filter(|c| c.is_finite())
    };
    if steps == 0 || known().next().is_none() {
        return None;
    }
    let lowest = known().fold(f64::MAX, f64::min);
    let highest = known().fold(f64::MIN, f64::max);
    let reach = (highest - lowest).max(20.0);
    let (top, bottom) = (44.0, 300.0);
    let frame = Frame::new(
        56.0,
        WIDTH - 20.0,
        top,
        bottom,
        -0.2..steps as f64 + 0.3,
        lowest - reach * 0.16..highest + reach * 0.24,
    );
    let half = steps.div_ceil(2);
    let list_from = bottom + 62.0;
    // Long methods in two columns, each step cut to its column; few steps have the width for themselves.
    let (columns, rows) = if steps > 5 { (2, half) } else { (1, steps) };
    let height = list_from + rows as f64 * LIST_ROW + 4.0;
    Some(drawing(
        height,
        "Temperature over the method",
        &in_words(course),
        |pen| {
            frame.draw_y(pen, 6, course.unit);
            for (n, step) in course.steps.iter().enumerate() {
                below(pen, &frame, n, step, (WIDTH - 80.0) / steps as f64);
            }
            pen.words(
                "start",
                (frame.x(0.0), frame.bottom + 14.0),
                Side::Middle,
                SMALL,
            );
            pen.words("step", (4.0, frame.bottom + 14.0), Side::Start, SMALL);
            // The first is broad and grey, the others lie black and dashed on it: both are seen where they run together.
            for (n, vessel) in course.vessels.iter().enumerate() {
                line(pen, &frame, n, vessel);
            }
            for (n, vessel) in course.vessels.iter().enumerate() {
                names(pen, &frame, n, vessel, course.vessels.len() > 1);
            }
            entries(pen, &frame, course);
            let wide = (WIDTH - 8.0) / f64::from(columns);
            for (n, step) in course.steps.iter().enumerate() {
                let (column, row) = (n / rows, n % rows);
                let (x, y) = (
                    4.0 + column as f64 * wide,
                    list_from + row as f64 * LIST_ROW,
                );
                pen.bold(&(n + 1).to_string(), (x + 18.0, y), Side::End, SMALL);
                for words in broken(&name(&step.words), wide - 36.0, SMALL, 1) {
                    pen.words(&words, (x + 26.0, y), Side::Start, SMALL);
                }
            }
        },
    ))
}

/// The number of a step under the axis, and its time where it is said.
fn below(pen: &Pen, frame: &Frame, n: usize, step: &PlottedStep, room: f64) {
    let x = frame.x(n as f64 + 1.0);
    pen.line(
        &[(x, frame.bottom), (x, frame.bottom + 4.0)],
        Dash::Whole,
        1,
        INK,
    );
    pen.words(
        &(n + 1).to_string(),
        (x, frame.bottom + 14.0),
        Side::Middle,
        SMALL,
    );
    if let Some(time) = &step.time {
        for (row, words) in broken(time, room.max(26.0), SMALL - 1.0, 2)
            .iter()
            .enumerate()
        {
            pen.words(
                words,
                (x, frame.bottom + 29.0 + row as f64 * 13.0),
                Side::Middle,
                SMALL - 1.0,
            );
        }
    }
}

fn line(pen: &Pen, frame: &Frame, n: usize, vessel: &PlottedVessel) {
    let mut run = Vec::new();
    let (dash, width, ink) = if n == 0 {
        (Dash::Whole, 4, GREY)
    } else {
        (Dash::nth(n), 2, INK)
    };
    for (step, c) in vessel
        .at
        .iter()
        .enumerate()
        .map(|(s, c)| (s, c.filter(|c| c.is_finite())))
        .chain([(0, None)])
    {
        match c {
            Some(c) => run.push(frame.at(step as f64, c)),
            None => {
                pen.line(&run, dash, width, ink);
                run.clear();
            }
        }
    }
}

/// Marks where a temperature is new, with the figure; the name of the vessel at its first change.
fn names(pen: &Pen, frame: &Frame, n: usize, vessel: &PlottedVessel, several: bool) {
    let mut named = !several;
    for (step, c) in vessel.at.iter().enumerate() {
        let Some(c) = *c else { continue };
        let before = step.checked_sub(1).and_then(|b| vessel.at[b]);
        let after = vessel.at.get(step + 1).copied().flatten();
        let (x, y) = frame.at(step as f64, c);
        // The end of a vessel that is poured into another lies on that one's line.
        let poured = n > 0 && after.is_none() && before.is_some();
        if before == Some(c) || poured {
            continue;
        }
        pen.mark((x, y), Mark::nth(n));
        // All begin in the same room.
        if step == 0 && n > 0 {
            continue;
        }
        let (rises, falls) = (before.is_some_and(|b| c > b), before.is_some_and(|b| c < b));
        let low = after.is_none_or(|a| a >= c) && falls;
        let place = if low {
            (x, y + 16.0, Side::Middle)
        } else if rises {
            (x - 7.0, y - 11.0, Side::End)
        } else {
            (x + 7.0, y - 11.0, Side::Start)
        };
        let mut words = number(c, 0);
        if !named && rises {
            words = format!(
                "{}: {words}",
                super::pen::cut(&name(&vessel.name), 90.0, LETTER)
            );
            named = true;
        }
        // Those that run together are named one over the other.
        let up = if low { 0.0 } else { n as f64 * 15.0 };
        let least = super::pen::width(&words, LETTER);
        let x = if place.2 == Side::End {
            place.0.max(frame.left + least + 2.0)
        } else {
            place.0
        };
        pen.words_over(&words, (x, place.1 - up), place.2, LETTER);
    }
}

/// Arrows where something goes in; what is added in one step stands together.
fn entries(pen: &Pen, frame: &Frame, course: &Course) {
    for step in 0..course.steps.len() {
        let here: Vec<&Entry> = course.entries.iter().filter(|e| e.step == step).collect();
        let Some(first) = here.first() else { continue };
        let x = frame.x(step as f64 + 1.0);
        let names: Vec<String> = here.iter().map(|e| name(&e.name)).collect();
        let words = super::pen::cut(&format!("+ {}", names.join(", ")), 150.0, LETTER);
        let (y, words) = match first.at {
            Some(c) => (frame.y(c), words),
            None => (frame.bottom, format!("{words} (?)")),
        };
        // Above the figures that stand at the point, unless the sheet ends.
        let from = (y - 46.0).max(20.0);
        pen.line(&[(x, from + 8.0), (x, y - 12.0)], Dash::Whole, 1, INK);
        pen.arrow_down((x, y - 6.0));
        // Where it is heated right after, the line rises on the right.
        let heated =
            course.vessels.iter().any(|v| matches!((v.at.get(step + 1), v.at.get(step + 2)), (Some(Some(a)), Some(Some(b))) if b > a));
        let wide = super::pen::width(&words, LETTER);
        let end = if heated { x + 6.0 } else { x + wide / 2.0 };
        pen.words_over(
            &words,
            (end.clamp(frame.left + wide, WIDTH - 4.0), from),
            Side::End,
            LETTER,
        );
    }
}

fn in_words(course: &Course) -> String {
    let mut out = Vec::new();
    for (n, step) in course.steps.iter().enumerate() {
        let mut said = vec![name(step.words.trim_end_matches(['.', ' ']))];
        let heats: Vec<String> = course
            .vessels
            .iter()
            .filter_map(|v| {
                let (before, now) = (
                    v.at.get(n).copied().flatten(),
                    v.at.get(n + 1).copied().flatten()?,
                );
                (before != Some(now)).then(|| {
                    format!(
                        "{} comes to {} {}",
                        name(&v.name),
                        number(now, 0),
                        course.unit
                    )
                })
            })
            .collect();
        said.extend(heats);
        said.extend(
            course
                .entries
                .iter()
                .filter(|e| e.step == n)
                .map(|e| match e.at {
                    Some(c) => format!(
                        "{} goes in at {} {}",
                        name(&e.name),
                        number(c, 0),
                        course.unit
                    ),
                    None => format!("{} goes in, the temperature is not known", name(&e.name)),
                }),
        );
        out.push(format!("Step {}: {}.", n + 1, said.join("; ")));
    }
    out.join(" ")
}
