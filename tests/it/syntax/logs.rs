//! The log of a batch and what was seen later.

use super::said::{fault_of, measure};
use phasewright::syntax::{Event, FileKind, Line, LogTime, Node, WeightReading, parse};

fn line(section: &str, text: &str) -> Line {
    parse(FileKind::Batch, &format!("{section}\n  {text}")).lines[1]
        .line
        .as_ref()
        .clone()
}

fn time(t: &LogTime) -> String {
    match t {
        LogTime::Clock(m) => format!("{:02}:{:02}", m / 60, m % 60),
        LogTime::Date(d, None) => d.clone(),
        LogTime::Date(d, Some(m)) => format!("{d} {:02}:{:02}", m / 60, m % 60),
        LogTime::Day(d) => format!("+{d} d"),
    }
}

fn event(e: &Event) -> String {
    let or = |v: &Option<String>| v.clone().unwrap_or_else(|| "-".into());
    match e {
        Event::Temperature {
            vessel,
            at,
            combined,
        } => {
            format!(
                "temperature {} {}{}",
                or(vessel),
                at.celsius,
                if *combined { " combined" } else { "" }
            )
        }
        Event::Weight {
            vessel,
            weight,
            reading,
        } => {
            let kind = match reading {
                WeightReading::Net => "net",
                WeightReading::Tare => "tare",
                WeightReading::Gross => "gross",
            };
            format!("{kind} {} {}", or(vessel), measure(weight))
        }
        Event::Add {
            amount,
            what,
            into,
            lot,
        } => format!(
            "add {} {what} to {}{}",
            amount.as_ref().map_or("-".into(), measure),
            or(into),
            lot.as_ref()
                .map_or(String::new(), |l| format!(" lot {}", l.value))
        ),
        Event::Ph {
            value,
            upper,
            how,
            sample,
        } => format!(
            "{}pH {value}{} ({})",
            if *sample { "sample " } else { "" },
            upper.map_or(String::new(), |u| format!(" to {u}")),
            or(how)
        ),
        Event::Clean { what, with, lot } => format!("clean {what} with {with} lot {}", lot.value),
        Event::Sample(m) => format!("sample {}", measure(m)),
        Event::Yield(m) => format!("yield {}", measure(m)),
        Event::Text(t) => format!("text {t}"),
    }
}

fn said(section: &str, text: &str) -> String {
    let (t, events) = match line(section, text).node {
        Node::Log(l) => (l.time, l.events),
        Node::Observation(o) => (o.time, o.events),
        Node::Note => return "note".into(),
        other => panic!("{other:?}"),
    };
    let events: Vec<String> = events.iter().map(|e| event(&e.value)).collect();
    format!(
        "{}: {}",
        t.map_or("-".into(), |t| time(&t.value)),
        events.join("; ")
    )
}

#[test]
fn a_log_line_is_a_time_and_events() {
    for (text, out) in [
        ("10:05  A 76 °C", "10:05: temperature A 76"),
        (
            "10:27  A 190.4 g                    # of 194.75 g",
            "10:27: net A 190.4 g",
        ),
        ("10:28  add 4.3 g water to A", "10:28: add 4.3 g water to A"),
        (
            "10:31  combined at 71 °C",
            "10:31: temperature - 71 combined",
        ),
        ("10:52  48 °C", "10:52: temperature - 48"),
        (
            "11:08  38 °C, add C",
            "11:08: temperature - 38; add - C to -",
        ),
        (
            "11:40  25 °C, pH 6.4",
            "11:40: temperature - 25; pH 6.4 (-)",
        ),
        (
            "11:44  add 1.50 g lactic acid 10 %",
            "11:44: add 1.50 g lactic acid 10 % to -",
        ),
        (
            "11:50  pH 5.6 (10 % in water, 22 °C, meter)",
            "11:50: pH 5.6 (10 % in water, 22 °C, meter)",
        ),
        (
            "11:44  add 1.95 g lactic acid 10 % lot LAC-03",
            "11:44: add 1.95 g lactic acid 10 % to - lot LAC-03",
        ),
        (
            "11:44  add 1.95 g lactic acid 10 %, LOT LAC-03, pH 5.6",
            "11:44: add 1.95 g lactic acid 10 % to - lot LAC-03; pH 5.6 (-)",
        ),
        (
            "11:44  add 1.95 g lactic acid 10 % (lot LAC-03) to A",
            "11:44: add 1.95 g lactic acid 10 % to A lot LAC-03",
        ),
        (
            "11:30  add D 25.0 g lot LAC-03",
            "11:30: add 25.0 g D to - lot LAC-03",
        ),
        (
            "11:30  add lactic acid 10 % 12 g",
            "11:30: add 12 g lactic acid 10 % to -",
        ),
        (
            "11:30  add 2 g a lot of it",
            "11:30: add 2 g a lot of it to -",
        ),
        ("11:41  sample 30 g", "11:41: sample 30 g"),
        (
            "11:41  Sample of 30,5 g, pH 6.4",
            "11:41: sample 30.5 g; pH 6.4 (-)",
        ),
        (
            "11:43  add 0.12 g lactic acid 10 % to sample",
            "11:43: add 0.12 g lactic acid 10 % to sample",
        ),
        ("11:44  sample pH 5.9", "11:44: sample pH 5.9 (-)"),
        (
            "11:44  sample  PH = 5.9 (meter, 22 °C)",
            "11:44: sample pH 5.9 (meter, 22 °C)",
        ),
        ("11:45  sample 40 °C", "11:45: temperature sample 40"),
        ("11:45  sample jar 30 g", "11:45: net sample jar 30 g"),
        ("11:45  sample kept cold", "11:45: text sample kept cold"),
        ("12:10  yield 243.1 g", "12:10: yield 243.1 g"),
        (
            "tare A 210 g, gross A 400,4 g",
            "-: tare A 210 g; gross A 400.4 g",
        ),
        ("2026-03-15 09:00  pH 5.5", "2026-03-15 09:00: pH 5.5 (-)"),
        ("water bath 80 °C", "-: temperature water bath 80"),
        ("pot 2 76 °C", "-: temperature pot 2 76"),
        ("phase B at 74 °C", "-: temperature B 74"),
        ("lost about 5 g", "-: text lost about 5 g"),
        (
            "colour yellowed at 40 °C",
            "-: text colour yellowed at 40 °C",
        ),
        (
            "correction: glycerin was 126 g, not 125 g",
            "-: text correction: glycerin was 126 g; text not 125 g",
        ),
        ("12:00  yield 2440 g (97.6 %)", "12:00: yield 2440 g"),
        ("12:00  yielded 2440 g", "12:00: yield 2440 g"),
        ("12:00  total 2440 g", "12:00: yield 2440 g"),
        ("11:40  pH: 5.4", "11:40: pH 5.4 (-)"),
        ("11:40  pH = 5.4 at 23 °C", "11:40: pH 5.4 (at 23 °C)"),
        ("11:40  pH 5-5.5 (strip)", "11:40: pH 5 to 5.5 (strip)"),
        (
            "10:20  B into A at 72 °C",
            "10:20: temperature - 72 combined",
        ),
        (
            "10:52  add C at 38 °C",
            "10:52: temperature - 38; add - C to -",
        ),
        (
            "10:52  38 °C added C",
            "10:52: temperature - 38; add - C to -",
        ),
        (
            "09:40  clean pot 2 and blender with ethanol 70 % lot ETH-02",
            "09:40: clean pot 2 and blender with ethanol 70 % lot ETH-02",
        ),
        (
            "12:05  cleaned beaker 3 with ethanol 70 %",
            "12:05: text cleaned beaker 3 with ethanol 70 %",
        ),
        ("10:00 stopped for lunch", "10:00: text stopped for lunch"),
        (
            "10:00 stirred 5 min, thick",
            "10:00: text stirred 5 min; text thick",
        ),
    ] {
        assert_eq!(said("log", text), out);
        assert_eq!(fault_of(&line("log", text)), "none", "{text}");
    }
}

#[test]
fn an_observation_has_a_day_and_without_one_is_a_note() {
    assert_eq!(said("observations", "+1 d   pH 5.5"), "+1 d: pH 5.5 (-)");
    assert_eq!(
        said("observations", "+28 d  40 °C, no separation"),
        "+28 d: temperature - 40; text no separation"
    );
    assert_eq!(said("observations", "a little soaping when rubbed"), "note");
}

#[test]
fn times_and_numbers_that_cannot_be_are_said() {
    for (text, at) in [
        ("25:10  A 76 °C", "syntax at `25:10`"),
        ("2026-02-30  A 76 °C", "syntax at `2026-02-30`"),
        ("10:00  A 76", "syntax at `76`"),
        ("10:00  A 76°", "syntax at `76°`"),
        ("10:00  sample 30", "syntax at `30`"),
        ("10:00  sample 30 mL", "syntax at `30 mL`"),
        ("10:00  sample pH 1,000", "ambiguous-number at `1,000`"),
        ("10:00  yield 1,000 g", "ambiguous-number at `1,000`"),
        ("10.05  A 76 °C", "syntax at `10.05`"),
        ("10h05  A 76 °C", "syntax at `10h05`"),
        ("14.3.2026 12:10  A 30 °C", "syntax at `14.3.2026`"),
    ] {
        assert_eq!(fault_of(&line("log", text)), at, "{text}");
    }
}

#[test]
fn what_belongs_to_the_sample_is_told_from_what_belongs_to_the_batch() {
    let of_sample = |text: &str| match line("log", text).node {
        Node::Log(l) => l
            .events
            .iter()
            .map(|e| e.value.is_of_sample())
            .collect::<Vec<_>>(),
        other => panic!("{other:?}"),
    };
    assert_eq!(
        of_sample("sample 30 g, add 0.12 g citric acid to sample, sample pH 5.9"),
        [true, true, true]
    );
    assert_eq!(
        of_sample("add 0.12 g citric acid into the Sample, add 1 g citric acid, pH 5.2"),
        [true, false, false]
    );
    assert_eq!(
        of_sample(
            "add 4.3 g water to A, sample jar 30 g, add 1 g water to samples, add 1 g water to é"
        ),
        [false; 4]
    );
}
