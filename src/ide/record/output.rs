//! What came out, what was packed, when to look again.

use super::{HintWords, RecordView};
use crate::chem::date::Date;
use crate::chem::units::Amount;
use crate::model::bench::grams;
use crate::model::making::Making;
use crate::rules::words::readable;
use crate::syntax::tree::{Event, LogLine, LogTime, Measure, Observation};
use rust_decimal::Decimal;

/// Behind `yield 213.0 g`: how much of what should be there, and how many jars it fills.
pub fn yielded(making: &Making, line: u32, log: &LogLine) -> Option<HintWords> {
    let measure = log.events.iter().rev().find_map(|e| match &e.value {
        Event::Yield(m) => Some(*m),
        _ => None,
    })?;
    if making.record.yield_line != Some(line) {
        return None;
    }
    let out = grams(measure)?;
    let expected = making.expected_g().filter(|g| *g > Decimal::ZERO)?;
    let percent = out
        .checked_mul(Decimal::ONE_HUNDRED)?
        .checked_div(expected)?
        .round_dp(1);
    let places = out.scale();
    let mut should = expected.round_dp(places);
    should.rescale(places);
    let jars = jars(making, out).map_or(String::new(), |words| format!(": {words}"));
    let text = format!("{percent} % of the {should} g that should be there{jars}");
    let tooltip = "What was weighed and added, less samples and the water that has gone".to_owned();
    Some(HintWords::new(text, tooltip))
}

/// "4 x 50 g and 13.0 g over", by the formula's `fill`.
fn jars(making: &Making, out: Decimal) -> Option<String> {
    let fill = making.plan?.formula.fields.fill.as_ref()?;
    let [pack] = fill.value.as_slice() else {
        return None;
    };
    let each = Amount::new(pack.each.value, pack.each.unit).grams(None)?;
    let count = out.checked_div(each)?.floor();
    let over = out - count * each;
    let packs = format!(
        "{count} x {}",
        crate::ide::figures::measure_words(pack.each)
    );
    Some(match over.is_zero() {
        true => packs,
        false => format!("{packs} and {over} g over"),
    })
}

/// Behind the last row of jars: what is packed of what came out, and what stays.
pub fn packed(making: &Making, line: u32) -> Option<HintWords> {
    let packs = &making.record.packs;
    if packs.last()?.line != line {
        return None;
    }
    let out = making.record.yield_g?;
    let each = |m: Measure| Amount::new(m.value, m.unit).grams(None);
    let packed = packs.iter().try_fold(Decimal::ZERO, |sum, p| {
        sum.checked_add(each(p.each)?.checked_mul(p.count.into())?)
    })?;
    let stays = out.checked_sub(packed).filter(|g| *g > Decimal::ZERO)?;
    let text = format!(
        "{} g of {out} g packed, {stays} g stays: is it a tester or waste?",
        readable(packed)
    );
    Some(HintWords::new(
        text,
        "Write it in the ledger, as `used` or `threw away`",
    ))
}

/// Behind `+28 d`: the day on which it falls, and how far that is off.
pub fn due(view: &RecordView, making: &Making, o: &Observation) -> Option<HintWords> {
    let LogTime::Day(days) = o.time.as_ref()?.value else {
        return None;
    };
    let date = making.record.made?.plus_days(days.into())?;
    let tooltip = format!("{days} days after the batch was made");
    let off = date.days() - view.today().days();
    let days_words = |n: i64| {
        if n == 1 {
            "1 day".to_owned()
        } else {
            format!("{n} days")
        }
    };
    let text = match (off, o.events.is_empty()) {
        (0, _) => format!("due {date}, today"),
        (1.., _) => format!("due {date}, in {}", days_words(off)),
        (_, true) => format!("was due {date}, {} ago", days_words(-off)),
        (_, false) => date.to_string(),
    };
    Some(HintWords::new(text, tooltip))
}

/// The day after the rest that the method asks for before the pH is read again.
pub fn read_again(making: &Making) -> Option<Date> {
    use crate::syntax::tree::{Node, Verb};
    let plan = making.plan?;
    let made = making.record.made?;
    let minutes = plan.tree.lines.iter().rev().find_map(|at| {
        let Node::Step(step) = &at.line.node else {
            return None;
        };
        let rest = step
            .clauses
            .iter()
            .position(|c| matches!(c.verb.as_ref().map(|v| v.value), Some(Verb::Rest)))?;
        let reads = step.clauses[rest..]
            .iter()
            .any(|c| matches!(c.verb.as_ref().map(|v| v.value), Some(Verb::MeasurePh)));
        let (_, longest) = step.clauses[rest].minutes.as_ref()?.value;
        reads.then_some(longest)
    })?;
    let days = minutes.checked_div(Decimal::from(24 * 60))?.ceil();
    made.plus_days(days.try_into().ok()?)
}
