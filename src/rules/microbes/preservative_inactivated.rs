//! # A preservative that is not free in the water
//!
//! Oil draws this preservative in, or a nonionic emulsifier binds it, and too little is left in the water, where microbes live.
//!
//! ## Why
//! Vegetable oils take up parabens eighty or three hundred times more readily than water does; the micelles of polysorbates and PEG emulsifiers hold them too. The free level is worked out by Cw = C (φ + 1) / (K φ + R): C the whole amount, φ the oil over the water by volume, K the preservative's liking for the oil, R = 1 + k S for S % of nonionics. It is compared with the lowest level known to protect. For acids the pH of the product counts as well.
//!
//! It is an estimate, good to a factor of two: K is measured for one oil of a kind, silicones and waxes are taken to hold none, what clays, gums and plastics take up is not in it, and glycols that help are not either. Where no such level is known, what stays free is compared with the lowest usual one: less than half of it is a hint, less than a tenth a warning. Where another preservative carries the product it is a hint.
//!
//! ## What to do
//! Raise it within its limit, take one that stays in the water (phenoxyethanol, an acid at low pH), use less oil or an emulsifier that is no polysorbate. Then have it tested.
//!
//! ```formula,bad
//! formula "Hand cream"
//!   product: hand cream, leave-on
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water" at 75 °C
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   disodium EDTA                            0.1 %
//!
//! phase B "oil" at 75 °C
//!   sunflower oil                            20 %
//!   cetearyl alcohol                         3 %
//!   glyceryl stearate citrate                3 %
//!   propylparaben                            0.1 %
//!   ^^^^^^^^^^^^^ stays free
//! ```
//!
//! ```formula,good
//! formula "Hand cream"
//!   product: hand cream, leave-on
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water" at 75 °C
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   disodium EDTA                            0.1 %
//!
//! phase B "oil" at 75 °C
//!   sunflower oil                            20 %
//!   cetearyl alcohol                         3 %
//!   glyceryl stearate citrate                3 %
//!
//! phase C "cool-down" below 40 °C
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::kb::number::Number;
use crate::kb::schema::{PreservativeKind, Shows};
use crate::model::preservation::{self, FreeConcentration};
use crate::model::system::{PhAim, Preserving};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "preservative-inactivated",
    title: "A preservative that is not free in the water",
    group: Group::Microbes,
    loudest: Severity::Warning,
    yields_to: &["preservative-ph"],
    file: include_str!("preservative_inactivated.rs"),
    check,
    ..Rule::DEFAULT
};

const WHAT_TO_DO: &str = "Add a preservative that stays in the water";
const ESTIMATE: &str = "an estimate, good to a factor of two";

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if f.has_unknown
        || f.water_percent < ctx.kb.threshold("incidental-share-percent").value.0
        || ctx.protects().is_some()
    {
        return;
    }
    let aim = ctx.ph_allowed();
    let all = ctx.preservatives();
    let boosted = all
        .iter()
        .any(|p| super::is_booster(p) && super::at_level(ctx, p));
    let short: Vec<Option<FreeConcentration>> = all.iter().map(|p| short_of(ctx, p, aim.as_ref())).collect();
    for (n, p) in all.iter().enumerate() {
        let r = &f.rows[p.row];
        let carried = all.iter().enumerate().any(|(m, o)| {
            m != n
                && o.kind != PreservativeKind::Booster
                && short[m].is_none()
                && super::at_level(ctx, o)
                && aim.is_none_or(|a| super::preservative_ph::works_at(ctx, o, &a))
        });
        if let Some(free) = &short[n] {
            let form = if free.active {
                " in its active form"
            } else {
                ""
            };
            let when = free
                .needs
                .when
                .as_ref()
                .and_then(|w| w.split(';').next())
                .map_or(String::new(), |w| format!(" ({w})"));
            let message = format!(
                "only about {} of {} stays free in the water, and it takes {}",
                percent(free.percent),
                words::dosed(p.percent, ctx.called(p.id)),
                percent(free.needed)
            );
            let help = if carried { super::CARRIED } else { WHAT_TO_DO };
            let why = format!(
                "{} ({ESTIMATE}); what counts is what is free{form}{when}",
                taken_by(ctx, free)
            );
            // A level that stops growth is met or not within the factor that the estimate is good to.
            let near = free.needs.shows == Shows::Inhibits
                && free.percent >= free.needed * ctx.kb.threshold("mostly-lost-share").value.f64();
            let level = if carried || boosted || near {
                Severity::Hint
            } else {
                Severity::Warning
            };
            let mut said = sink
                .say(Subject::Row(p.row), r.line, r.name.span, message)
                .help(help)
                .why(why)
                .level(level)
                .rests_on(free.needs);
            if let Some(k) = free.oil.filter(|_| !free.oil_percent.is_zero()) {
                said = said.rests_on(k);
            }
            if let Some(b) = free.micelles {
                said.rests_on(b);
            }
        } else if !carried {
            mostly_lost(ctx, sink, p, aim.as_ref());
        }
    }
}

/// The free level where it falls short; told without the micelles, whose constants are the weaker ones, where oil alone does it.
/// What is too little even before it is shared out is the business of another rule.
fn short_of<'a>(ctx: &Context<'a>, p: &Preserving<'a>, aim: Option<&PhAim>) -> Option<FreeConcentration<'a>> {
    // Micelles take up nothing where there are none.
    let ways = if ctx.liquids().has_micelles() {
        &[false, true][..]
    } else {
        &[false]
    };
    ways.iter()
        .filter_map(|micelles| preservation::free(ctx.liquids(), ctx.kb, p, aim, *micelles))
        .find(|x| {
            let taken = x.oil.is_some() || x.micelles.is_some();
            let before = x.percent / x.share.max(f64::MIN_POSITIVE);
            taken
                && x.percent < x.needed
                && before >= x.needed
                && x.share < 1.0
                && super::at_level(ctx, p)
        })
}

/// Enough by the lowest level known, yet most of it is gone: less stays free than is usually put in.
fn mostly_lost(ctx: &Context, sink: &mut Sink, p: &Preserving, aim: Option<&PhAim>) {
    let lost = ctx.kb.threshold("mostly-lost-share").value.f64();
    let Some((usual, figure)) = super::lowest(ctx, p.entry) else {
        return;
    };
    let Some(s) = preservation::spread(ctx.liquids(), ctx.kb, p, aim, true) else {
        return;
    };
    let of_usual = s.free_percent / Number(usual).f64().max(f64::MIN_POSITIVE);
    if s.oil.is_none() && s.micelles.is_none()
        || s.share >= lost
        || of_usual >= lost
        || !super::at_level(ctx, p)
    {
        return;
    }
    let nearly_all = of_usual < ctx.kb.threshold("nearly-all-lost-share").value.f64();
    let level = if nearly_all {
        Severity::Warning
    } else {
        Severity::Hint
    };
    let r = &ctx.formula.rows[p.row];
    let mut by = Vec::new();
    by.extend(
        s.oil
            .map(|_| format!("{} oil", words::percent(s.oil_percent.round_dp(1)))),
    );
    by.extend(s.micelles.map(|_| {
        format!(
            "{} nonionics",
            words::percent(s.nonionic_percent.round_dp(1))
        )
    }));
    let message = format!(
        "only about {} of {} stays free in the water, and it is used from {}",
        percent(s.free_percent),
        words::dosed(p.percent, ctx.called(p.id)),
        words::percent(usual)
    );
    let why = format!("{} take up most of it ({ESTIMATE})", words::list(&by));
    let mut said = sink
        .say(Subject::Row(p.row), r.line, r.name.span, message)
        .help(WHAT_TO_DO)
        .why(why)
        .level(level)
        .rests_on(&figure);
    if let Some(k) = s.oil {
        said = said.rests_on(k);
    }
    if let Some(b) = s.micelles {
        said.rests_on(b);
    }
}

fn taken_by(ctx: &Context, free: &FreeConcentration) -> String {
    let mut by = Vec::new();
    if free.oil.is_some_and(|k| k.k.0 > Decimal::ZERO) && !free.oil_percent.is_zero() {
        by.push(format!(
            "{} oil draws it in",
            words::percent(free.oil_percent.round_dp(1))
        ));
    }
    if let Some(b) = free.micelles {
        let who = ctx.kb.by_id(&b.by).map_or("nonionics", |id| ctx.called(id));
        by.push(format!(
            "{} {who} bind it",
            words::percent(free.nonionic_percent.round_dp(1))
        ));
    }
    words::list(&by)
}

/// Two figures, as an estimate deserves.
fn percent(n: f64) -> String {
    let places = if n >= 0.1 {
        2
    } else if n >= 0.01 {
        3
    } else {
        4
    };
    let shown = format!("{n:.places$}");
    format!("{} %", shown.trim_end_matches('0').trim_end_matches('.'))
}
