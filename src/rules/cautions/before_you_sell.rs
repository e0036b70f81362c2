//! # What the market asks before a sale
//!
//! The file shows that the product is to be sold, and selling asks for more than a good formula.
//!
//! ## Why
//! Every market has its duties: a safety assessment by a qualified person, a notification, records, a label; and preservation is shown by a challenge test, by no calculation. This tool compares with limits that it lists, as of the date of its texts. It does not assess the product, and nothing that it leaves unsaid is a permission.
//!
//! ## What to do
//! Ask the authority or a qualified assessor in the market where you sell. The duties are those of the local law and of whoever is licensed to practise there. The message comes once in a formula, where `sold in:` stands with `fill:`; `before-you-sell = "off"` in the settings silences it.
//!
//! ```formula,bad
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   sold in: EU
//!            ^^ assessment
//!   fill: 10 x 50 g
//!
//! phase A
//!   caprylic/capric triglyceride             99.5 %
//!   tocopherol                               0.5 %
//! ```
//!
//! ```formula,good
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   sold in: EU
//!
//! phase A
//!   caprylic/capric triglyceride             99.5 %
//!   tocopherol                               0.5 %
//! ```

use super::for_sale;
use crate::kb::law::{Law, Status};
use crate::kb::schema::Duty;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "before-you-sell",
    title: "What the market asks before a sale",
    group: Group::Cautions,
    loudest: Severity::Information,
    file: include_str!("before_you_sell.rs"),
    check,
    in_soap: true,
    ..Rule::DEFAULT
};

/// The kinds of duty that come before a sale, in the words of the message.
const BEFORE: [(&str, &str); 5] = [
    ("responsible", "responsible person"),
    ("assessment", "safety assessment"),
    ("notification", "notification"),
    ("records", "records"),
    ("testing", "tests"),
];

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let Some(sold) = f.fields.sold_in.as_ref().filter(|_| for_sale(ctx)) else { return };
    let laws: Vec<&Law> = ctx.law().laws().collect();
    let holds = |d: &Duty| Status::of(d, ctx.settings.today).is_in_force();
    let asks = |kind: &str| laws.iter().any(|l| l.duty.general().any(|d| d.kind == kind && holds(d)));
    let asked: Vec<&str> = BEFORE.iter().filter(|(kind, _)| asks(kind)).map(|(_, words)| *words).collect();
    let Some((law, duty)) = laws.iter().find_map(|l| Some((*l, l.duty.iter().find(|d| holds(d) && BEFORE.iter().any(|(kind, _)| *kind == d.kind))?)))
    else {
        return;
    };
    let markets: Vec<&str> = laws.iter().map(|l| l.market.code()).collect();
    let challenge = if f.water_percent.is_zero() { "" } else { ", and have a challenge test made" };
    let message = format!("before a sale ({}): {}", markets.join(", "), words::list(&asked));
    sink.say(Subject::Formula, sold.line, sold.span, message)
        .help(format!("Ask the authority or a qualified assessor there{challenge}"))
        .why("the law asks for this; this check only compares with the limits that it lists".to_owned())
        .law(law, duty);
}
