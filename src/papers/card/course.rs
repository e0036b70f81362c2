//! The method as it is drawn: from its steps, else from the headings of the phases.

use crate::chem::float;
use crate::model::Phase;
use crate::model::timeline::VesselState;
use crate::papers::FormulaContext;
use crate::papers::plot::{Course, Entry, PlottedStep, PlottedVessel};
use crate::rules::words::{Degrees, number};
use crate::syntax::tree::Node;
use rust_decimal::Decimal;

pub(super) fn course(work: &FormulaContext) -> Option<Course> {
    let hot = work.formula.timeline.hot
        || work
            .formula
            .timeline
            .temperature_curve
            .windows(2)
            .any(|w| w[0].1 != w[1].1);
    // A cold mixture has no course to draw.
    if !hot {
        return None;
    }
    if work.formula.timeline.from_method {
        from_method(work)
    } else {
        from_headings(work)
    }
}

fn from_method(work: &FormulaContext) -> Option<Course> {
    let f = work.formula;
    let t = &f.timeline;
    let degrees = Degrees::of(work.tree);
    let shown = |c: Decimal| float(degrees.figure(c));
    let room = work.settings.room_c(work.kb);
    let steps: Vec<PlottedStep> = t.after.iter().map(|a| step(work, a.line)).collect();
    let after_step = |line: u32| {
        t.temperature_curve
            .iter()
            .find(|(l, _)| *l == line)
            .map(|(_, c)| *c)
    };
    let mut vessels = Vec::new();
    let mut entries = Vec::new();
    for (p, phase) in f
        .phases
        .iter()
        .enumerate()
        .filter(|(_, p)| !p.rows.is_empty())
    {
        let states = t.vessel_states(p, room);
        let gone = states.iter().position(|s| *s == VesselState::Gone);
        let warmed = states
            .iter()
            .any(|s| matches!(s, VesselState::At(c) if *c != room));
        if let Some(step) = gone {
            let c = after_step(t.after[step].line).or(t.phases.get(p).and_then(|h| h.added_c));
            entries.push(Entry {
                step,
                name: label(phase),
                at: c.map(shown),
            });
        }
        if warmed {
            let mut at: Vec<Option<f64>> = vec![Some(shown(room))];
            at.extend(states.iter().map(|s| match s {
                VesselState::At(c) => Some(shown(*c)),
                VesselState::Unknown | VesselState::Gone => None,
            }));
            // Poured, it comes to the temperature of what took it.
            if let Some(step) = gone {
                at[step + 1] = after_step(t.after[step].line).map(shown);
            }
            vessels.push((
                gone.is_some(),
                PlottedVessel {
                    name: label(phase),
                    at,
                },
            ));
        }
    }
    // What the product comes together in stands first.
    vessels.sort_by_key(|(gone, _)| *gone);
    entries.sort_by_key(|e| e.step);
    Some(Course {
        unit: degrees.unit(),
        steps,
        vessels: vessels.into_iter().map(|(_, v)| v).collect(),
        entries,
    })
}

fn step(work: &FormulaContext, line: u32) -> PlottedStep {
    let Some(at) = work.tree.lines.get(line as usize) else {
        return PlottedStep {
            words: String::new(),
            time: None,
        };
    };
    let text = &at.line.text;
    let words = text[..at.line.comment.map_or(text.len(), |c| c.start as usize)]
        .trim()
        .to_owned();
    let times: Vec<String> = match &at.line.node {
        Node::Step(s) => s
            .clauses
            .iter()
            .filter_map(|c| c.minutes.as_ref())
            .map(|m| time(m.value))
            .collect(),
        _ => Vec::new(),
    };
    PlottedStep {
        words,
        time: (!times.is_empty()).then(|| times.join(", ")),
    }
}

/// "20 min", "2 to 3 min", "24 h".
fn time((low, high): (Decimal, Decimal)) -> String {
    let (by, unit) = if low >= Decimal::from(120) {
        (Decimal::from(60), "h")
    } else {
        (Decimal::ONE, "min")
    };
    let (low, high) = (number(low / by, 1), number(high / by, 1));
    if low == high {
        format!("{low} {unit}")
    } else {
        format!("{low} to {high} {unit}")
    }
}

/// Each phase is a step: it goes in at its temperature.
fn from_headings(work: &FormulaContext) -> Option<Course> {
    let f = work.formula;
    let degrees = Degrees::of(work.tree);
    let mut at = vec![Some(float(degrees.figure(work.settings.room_c(work.kb))))];
    let (mut steps, mut entries) = (Vec::new(), Vec::new());
    for (p, phase) in f
        .phases
        .iter()
        .enumerate()
        .filter(|(_, p)| !p.rows.is_empty())
    {
        let c = f.timeline.phases.get(p).and_then(|h| h.added_c);
        let words = match c {
            Some(c) => format!("phase {}, at {}", phase.label, degrees.show(c)),
            None => format!("phase {}, its temperature is not said", phase.label),
        };
        steps.push(PlottedStep {
            words,
            time: phase.hold_minutes.map(|m| format!("{} min", number(m, 1))),
        });
        entries.push(Entry {
            step: steps.len() - 1,
            name: label(phase),
            at: c.map(|c| float(degrees.figure(c))),
        });
        at.push(c.map(|c| float(degrees.figure(c))));
    }
    Some(Course {
        unit: degrees.unit(),
        steps,
        vessels: vec![PlottedVessel {
            name: "product".into(),
            at,
        }],
        entries,
    })
}

fn label(phase: &Phase) -> String {
    match (&phase.name, phase.label.is_empty()) {
        (Some(name), true) => name.to_string(),
        (None, true) => "the rows".to_owned(),
        (_, false) => phase.label.to_string(),
    }
}
