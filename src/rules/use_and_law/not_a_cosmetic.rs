//! # A medicine in the eyes of the law
//!
//! What the file promises, or what is in it, makes it a medicine in a market.
//!
//! ## Why
//! A cosmetic cleans, scents, colours, protects or keeps in good condition. Words that promise to treat or prevent a disease make a medicine of any cream, whatever is in it; a few substances do so without a word. It then needs a licence. Looked at are `claims:`, `product:` and the name of the formula. In the US some claims (sun, acne, dandruff, hurt skin, killing germs) make a drug with a permitted range for its active. A hand sanitizer with less than 60 % alcohol by volume does not do what it promises: that is said too.
//!
//! ## What to do
//! Say what it does for healthy skin, or leave the substance out. Selling a medicine is licensed practice.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!   claims: softens hands, heals eczema
//!                          ^^^^^ not a cosmetic claim
//!                                ^^^^^^ not a cosmetic claim
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!   claims: softens dry hands
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::kb::Market;
use crate::kb::schema::{ReviewStatus, Medicine};
use crate::analysis::law;
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject, words};
use crate::text::Span;
use rust_decimal::Decimal;
use std::borrow::Cow;
use std::collections::BTreeMap;

pub static RULE: Rule = Rule {
    code: "not-a-cosmetic",
    title: "A medicine in the eyes of the law",
    group: Group::UseAndLaw,
    loudest: Severity::Warning,
    yields_to: &["banned"],
    file: include_str!("not_a_cosmetic.rs"),
    check,
    in_soap: true,
    ..Rule::DEFAULT
};

/// Words that the product bears: line, where in it, the words in lower case.
struct Words {
    line: u32,
    span: Span,
    text: String,
    /// The first letters of its words.
    initials: u32,
}

impl Words {
    fn new(line: u32, span: Span, text: &str) -> Words {
        let text = text.to_ascii_lowercase();
        Words { line, span, initials: initials(&text), text }
    }
}

/// A bit for the first letter of each word.
fn initials(text: &str) -> u32 {
    let words = text.split(|c: char| !c.is_alphanumeric());
    words.filter_map(|word| word.bytes().next()).fold(0, |all, b| all | bit(b))
}

fn bit(letter: u8) -> u32 {
    1 << (letter.to_ascii_lowercase() % 32)
}

fn check(ctx: &Context, sink: &mut Sink) {
    let said = said(ctx);
    claims(ctx, sink, &said);
    substances(ctx, sink, &said);
    weak_sanitizer(ctx, sink, &said);
}

/// A hand sanitizer with too little alcohol does not do what it promises.
fn weak_sanitizer(ctx: &Context, sink: &mut Sink, said: &[Words]) {
    const SANITIZERS: [&str; 6] = [
        "sanitizer",
        "sanitiser",
        "sanitizing",
        "sanitising",
        "handrub",
        "hand rub",
    ];
    let Some(w) = said
        .iter()
        .find(|w| SANITIZERS.iter().any(|s| find(&w.text, s).is_some()))
    else {
        return;
    };
    let f = ctx.formula;
    if f.has_unknown {
        return;
    }
    let percent = |ids: &[&str]| {
        ids.iter()
            .filter_map(|id| ctx.kb.by_id(id))
            .map(|id| f.percent_of(id))
            .sum::<Decimal>()
    };
    let (ethanol, isopropyl) = (
        percent(&["alcohol", "alcohol-denat"]),
        percent(&["isopropyl-alcohol"]),
    );
    let (enough, enough_isopropyl) = (
        ctx.kb.threshold("sanitizer-alcohol-percent"),
        ctx.kb.threshold("sanitizer-isopropyl-percent"),
    );
    // A mixture of the two counts by the shares of what each would need alone.
    let reached = ethanol.checked_div(enough.value.0).unwrap_or_default()
        + isopropyl
            .checked_div(enough_isopropyl.value.0)
            .unwrap_or_default();
    if reached >= Decimal::ONE {
        return;
    }
    let message = format!(
        "{} alcohol is too weak for a hand sanitizer: it takes 60 % by volume, which is {} by weight",
        words::percent((ethanol + isopropyl).round_dp(1)),
        words::percent(enough.value.0)
    );
    let heading = ctx.text_span(w.line);
    sink.say(Subject::Formula, w.line, heading, message)
        .help(
            "Do not promise that it kills germs, or make it as the drug that it is, with a licence",
        )
        .rests_on(enough);
}

fn said(ctx: &Context) -> Vec<Words> {
    let f = ctx.formula;
    let name = f.name.iter().map(|n| Words::new(f.heading_line, n.span, &n.value));
    let fields =
        f.fields.claims.iter().chain(&f.fields.product).map(|s| Words::new(s.line, s.span, &s.value));
    name.chain(fields).collect()
}

/// A promise that the law of a market names.
struct Promise<'a> {
    line: u32,
    span: Span,
    market: Market,
    row: &'a Medicine,
}

/// One message for each promise, with the markets that read a medicine in it.
fn claims(ctx: &Context, sink: &mut Sink, said: &[Words]) {
    let mut found: Vec<Promise> = Vec::new();
    let all = said.iter().fold(0, |all, w| all | w.initials);
    for law in ctx.law().laws() {
        for row in law.medicine.general() {
            for claim in &row.claims {
                // Most begin with a letter that no word of the product does.
                if claim.bytes().next().map_or(0, bit) & all == 0 {
                    continue;
                }
                let initials = initials(claim);
                for w in said.iter().filter(|w| initials & !w.initials == 0) {
                    if let Some(start) = find(&w.text, &lower_case(claim)) {
                        let from = w.span.start + start as u32;
                        let span = Span { start: from, end: from + claim.len() as u32 };
                        found.push(Promise { line: w.line, span, market: law.market, row });
                    }
                }
            }
        }
    }
    found.sort_by_key(|p| (p.line, p.span));
    // "heals" inside "heals wounds" is one promise.
    for same in found.chunk_by(|a, b| a.line == b.line && b.span.start < a.span.end) {
        let Some(first) = same.iter().min_by_key(|p| p.row.review == ReviewStatus::NeedsReview) else { continue };
        let span = same.iter().map(|p| p.span).reduce(Span::cover).unwrap_or_default();
        let words = ctx.tree.lines.get(first.line as usize).and_then(|at| at.line.text.get(span.range())).unwrap_or_default();
        let markets = words::sorted(same.iter().map(|p| p.market));
        let message = format!("\"{words}\" is not a cosmetic claim in {}", words::markets(&markets));
        sink.say(Subject::Line(first.line), first.line, span, message)
            .help("Say what it does for healthy skin")
            .why(lower(&first.row.text))
            .rests_on(first.row).fixes(without(ctx, first.line, span));
    }
}

/// Takes the promise out of `claims:`, with the comma that sets it apart; a line with no other promise goes whole.
fn without(ctx: &Context, line: u32, span: Span) -> Option<Fix> {
    let field = ctx.formula.fields.claims.as_ref().filter(|c| c.line == line)?;
    let all = ctx.tree.lines.get(line as usize)?.line.text.get(field.span.range())?;
    let at = (span.start.checked_sub(field.span.start)?) as usize;
    let start = all.get(..at)?.rfind(',');
    let end = all.get(at..)?.find(',').map(|n| at + n);
    let base = field.span.start as usize;
    let edit = match (start, end) {
        (None, None) => Edit::delete_line(line),
        (Some(s), _) => Edit::replace(line, Span::new(base + s, base + end.unwrap_or(all.len())), ""),
        (None, Some(e)) => {
            let blanks = all[e + 1..].len() - all[e + 1..].trim_start().len();
            Edit::replace(line, Span::new(base, base + e + 1 + blanks), "")
        }
    };
    Some(Fix::new("Delete the promise", vec![edit]))
}

/// Substances that are medicines by themselves, and actives outside the range of the medicine that the claim makes.
fn substances(ctx: &Context, sink: &mut Sink, said: &[Words]) {
    let all = ctx.law().drug_claims();
    let mut by_row: BTreeMap<(usize, bool), Vec<&law::DrugClaimHit>> = BTreeMap::new();
    for seen in all.in_force() {
        let m = seen.row;
        let claimed = m.claims.iter().any(|c| said.iter().any(|w| find(&w.text, &lower_case(c)).is_some()));
        let outside = m.low_percent.is_some_and(|l| seen.member.percent < l.0) || m.high_percent.is_some_and(|h| seen.member.percent > h.0);
        if m.claims.is_empty() || claimed && outside {
            by_row.entry((seen.member.row, m.claims.is_empty())).or_default().push(seen);
        }
    }
    for ((row, by_itself), found) in by_row {
        let Some(first) = found.iter().min_by_key(|s| s.row.review == ReviewStatus::NeedsReview) else { continue };
        let r = &ctx.formula.rows[row];
        let name = ctx.called(first.member.id);
        let markets = words::sorted(found.iter().map(|s| s.market));
        let (count, markets) = (markets.len(), words::markets(&markets));
        let (message, help) = if by_itself {
            (format!("{name} makes this a medicine in {markets}"), "Leave it out of a cosmetic: a medicine needs a licence")
        } else {
            let m = first.row;
            let range = match (m.low_percent, m.high_percent) {
                (Some(l), Some(h)) => format!("{l} to {h} %"),
                (None, Some(h)) => format!("{h} % at most"),
                (Some(l), None) => format!("{l} % at least"),
                (None, None) => continue,
            };
            (
                format!("{}: with this claim {markets} {} {range}", words::dosed(first.member.percent, name), words::by_count(count, "allows", "allow")),
                "Keep to these figures, or leave the claim out",
            )
        };
        sink.say(Subject::Row(row), r.line, r.name.span, message).help(help).rests_on(first.row).related(
            r.line,
            r.name.span,
            first.row.text.clone(),
        );
    }
}

fn lower_case(claim: &str) -> Cow<'_, str> {
    if claim.bytes().any(|b| b.is_ascii_uppercase()) { claim.to_ascii_lowercase().into() } else { claim.into() }
}

/// A sentence of the base as the end of a message.
fn lower(sentence: &str) -> String {
    let sentence = sentence.trim_end_matches('.');
    let mut letters = sentence.chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().chain(letters).collect())
}

/// Where a claim stands as whole words, unless it is denied ("not for acne", "no SPF").
fn find(text: &str, claim: &str) -> Option<usize> {
    let letter = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
    text.match_indices(claim).map(|(at, _)| at).find(|at| {
        let (before, after) = (&text[..*at], &text[at + claim.len()..]);
        // A plural is the same promise.
        let rest = after.strip_prefix('s').unwrap_or(after);
        let whole = !letter(before.chars().next_back()) && (!letter(after.chars().next()) || !letter(rest.chars().next()));
        let denied = ["not for", "no", "not", "without", "does not treat", "not a"]
            .iter()
            .any(|n| before.trim_end().ends_with(n) && !letter(before.trim_end()[..before.trim_end().len() - n.len()].chars().next_back()));
        // "Use sun protection" is advice, which the law asks for beside some actives.
        let advised = claim.starts_with("sun")
            && ["use", "use a", "wear", "wear a", "apply", "apply a"]
                .iter()
                .any(|n| before.trim_end().ends_with(n) && !letter(before.trim_end()[..before.trim_end().len() - n.len()].chars().next_back()));
        whole && !denied && !advised
    })
}
