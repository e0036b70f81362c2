//! # A preservative outside its pH
//!
//! At the pH of the product this preservative is asleep, or does not last.
//!
//! ## Why
//! Acids such as benzoic and sorbic acid work only in their active form, and how much of it there is follows from the pH: half at the pKa, a tenth one unit above, a hundredth two units above. Others break down outside their pH. The pH judged is the end of `pH:` that is worst for the preservative, also where `q.s. to pH` aims inside it: a batch at that end is within what the file asks for. Without `pH:` it is that of `q.s. to pH`; never a predicted one.
//!
//! Below 5 % active form and nothing else at work is an error, from 5 to 10 % a warning; where another preservative carries the formula, a hint.
//!
//! ## What to do
//! Lower the pH of the product, or take a preservative that works at this one.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 7
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   sodium benzoate                          0.5 %
//!   ^^^^^^^^^^^^^^^ active form
//! ```
//!
//! ```formula,good
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 4.5
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   sodium benzoate                          0.5 %
//! ```

use crate::kb::number::Number;
use crate::kb::schema::{Figure, PreservativeKind, Range};
use crate::model::system::{self, PhAim, Preserving};
use crate::rules::finding::Cited;
use crate::rules::fixes;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "preservative-ph",
    title: "A preservative outside its pH",
    group: Group::Microbes,
    loudest: Severity::Error,
    yields_to: &["ph-conflict"],
    file: include_str!("preservative_ph.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(aim) = ctx.ph_allowed() else { return };
    let all = ctx.preservatives();
    let states: Vec<State> = all.iter().map(|p| state(ctx, p, &aim)).collect();
    for (n, p) in all.iter().enumerate() {
        let carried = all.iter().zip(&states).enumerate().any(|(m, (o, s))| {
            m != n
                && o.kind != PreservativeKind::Booster
                && matches!(s, State::Fine)
                && super::at_level(ctx, o)
        });
        let name = ctx.called(p.id);
        let (level, message, way, figure) = match states[n] {
            _ if p.kind == PreservativeKind::Booster => continue,
            State::Fine => continue,
            State::Inactive { ph, share, pka } => {
                let level = if share < few(ctx) {
                    Severity::Error
                } else {
                    Severity::Warning
                };
                let best = words::number(highest_ph(ctx, pka), 1);
                (
                    level,
                    format!(
                        "only {} of {name} is in its active form at pH {}; it needs {best} or below",
                        share_shown(share),
                        words::number(ph, 2)
                    ),
                    "Lower",
                    pka.rests_on(),
                )
            }
            State::Outside { ph, range, lasts } => {
                let (level, what) = if lasts {
                    (Severity::Warning, "works")
                } else {
                    (Severity::Error, "lasts")
                };
                (
                    level,
                    format!(
                        "{name} {what} at pH {}, and the product goes to pH {}",
                        words::range(range),
                        words::number(ph, 2)
                    ),
                    if range.high.is_some_and(|high| ph > high.0) {
                        "Lower"
                    } else {
                        "Raise"
                    },
                    range.rests_on(),
                )
            }
        };
        let (level, help) = if carried {
            (Severity::Hint, super::CARRIED.to_owned())
        } else {
            (level, format!("{way} the pH, or take another preservative"))
        };
        let r = &ctx.formula.rows[p.row];
        sink.say(Subject::Row(p.row), r.line, r.name.span, message)
            .help(help)
            .level(level)
            .rests_on(&figure)
            .related(
                aim.line,
                ctx.text_span(aim.line),
                "the pH that the file allows",
            )
            .fixes(fixes::aim_at(ctx));
    }
}

/// Whether a preservative works at the pH aimed at.
pub(super) fn works_at(ctx: &Context, p: &Preserving, aim: &PhAim) -> bool {
    matches!(state(ctx, p, aim), State::Fine)
}

#[derive(Clone, Copy)]
enum State<'a> {
    Fine,
    /// A weak acid with little in its active form.
    Inactive {
        ph: Decimal,
        share: f64,
        pka: &'a Figure,
    },
    /// Outside the range it works in; outside the range it lasts in.
    Outside {
        ph: Decimal,
        range: &'a Range,
        lasts: bool,
    },
}

fn few(ctx: &Context) -> f64 {
    ctx.kb.threshold("active-form-error").value.f64()
}

fn state<'a>(ctx: &Context, p: &Preserving<'a>, aim: &PhAim) -> State<'a> {
    if p.kind == PreservativeKind::WeakAcid {
        let Some(pka) = p.entry.pka.first() else {
            return State::Fine;
        };
        let share = system::active_share(pka.value.f64(), Number(aim.high).f64());
        let enough = ctx.kb.threshold("active-form-warning").value.f64();
        return if share < enough {
            State::Inactive {
                ph: aim.high,
                share,
                pka,
            }
        } else {
            State::Fine
        };
    }
    let outside = |r: &'a Range, lasts: bool| {
        let over = r.high.is_some_and(|h| aim.high > h.0);
        let under = r.low.is_some_and(|l| aim.low < l.0);
        (over || under).then_some(State::Outside {
            ph: if over { aim.high } else { aim.low },
            range: r,
            lasts,
        })
    };
    let bears = p.entry.ph.bears.as_deref().and_then(|r| outside(r, false));
    bears
        .or_else(|| p.entry.ph.works.as_deref().and_then(|r| outside(r, true)))
        .unwrap_or(State::Fine)
}

/// The pH at which the active form falls to what is still enough: pKa + log10(1/share - 1).
pub(in crate::rules) fn highest_ph(ctx: &Context, pka: &Figure) -> Decimal {
    let enough = ctx.kb.threshold("active-form-warning").value.f64();
    let ph = pka.value.f64() + crate::chem::log10(1.0 / enough - 1.0);
    Decimal::try_from((ph * 10.0).floor() / 10.0).unwrap_or_default()
}

fn share_shown(share: f64) -> String {
    let percent = share * 100.0;
    let shown = if percent < 1.0 {
        format!("{percent:.2}")
    } else {
        format!("{percent:.1}")
    };
    format!("{} %", shown.trim_end_matches('0').trim_end_matches('.'))
}
