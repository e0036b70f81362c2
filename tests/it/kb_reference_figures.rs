//! Physical figures of the base against figures looked up apart from it: `tests/kb/reference_figures.txt`, a source beside each.

use phasewright::kb::Kb;
use phasewright::kb::schema::{Ingredient, Range};

#[derive(Debug, Clone, Copy)]
struct Span {
    low: Option<f64>,
    high: Option<f64>,
}

fn span(text: &str) -> Span {
    let number = |t: &str| {
        (!t.trim().is_empty()).then(|| {
            t.trim()
                .parse::<f64>()
                .unwrap_or_else(|_| panic!("no number: {t}"))
        })
    };
    match text.split_once("..") {
        Some((low, high)) => Span {
            low: number(low),
            high: number(high),
        },
        None => Span {
            low: number(text),
            high: number(text),
        },
    }
}

fn of_range(r: &Option<Box<Range>>) -> Option<Span> {
    r.as_ref().map(|r| Span {
        low: r.low.map(|n| n.f64()),
        high: r.high.map(|n| n.f64()),
    })
}

fn of_value(value: Option<f64>) -> Option<Span> {
    value.map(|v| Span {
        low: Some(v),
        high: Some(v),
    })
}

/// What the base says of a field.
fn ours(one: &Ingredient, field: &str) -> Option<Span> {
    if let Some(step) = field.strip_prefix("pka") {
        let n: usize = step.parse().expect("a step");
        return of_value(one.pka.get(n - 1).map(|p| p.value.f64()));
    }
    if let Some(at) = field.strip_prefix("water_solubility@") {
        let at: f64 = at.parse().expect("a temperature");
        let fits = |c: f64| (c - at).abs() <= 5.0;
        return of_value(
            one.solubility
                .iter()
                .find(|s| s.r#in == "water" && s.at_c.is_none_or(|c| fits(c.f64())))
                .map(|s| s.g_per_100g.f64()),
        );
    }
    match field {
        "hlb" => of_value(one.hlb.as_ref().map(|f| f.value.f64())),
        "required_hlb" => of_value(one.required_hlb.as_ref().map(|f| f.value.f64())),
        "density_g_ml" => of_value(one.density_g_ml.as_ref().map(|f| f.value.f64())),
        "melts_c" => of_range(&one.melts_c),
        "iodine_value" => of_range(&one.iodine_value),
        "saponification_value" => of_range(&one.saponification_value),
        "ph.works" => of_range(&one.ph.works),
        "ph.bears" => of_range(&one.ph.bears),
        _ => panic!("no such field: {field}"),
    }
}

/// A single figure must lie in the span of the other side; two spans must agree at each end that both state.
fn agree(a: Span, b: Span, tolerance: f64) -> bool {
    let point = |s: Span| s.low.is_some() && s.low == s.high;
    if point(a) || point(b) {
        let (p, other) = if point(a) { (a, b) } else { (b, a) };
        let p = p.low.expect("a point has both ends");
        return other.low.is_none_or(|l| p >= l - tolerance)
            && other.high.is_none_or(|h| p <= h + tolerance);
    }
    let near =
        |x: Option<f64>, y: Option<f64>| x.zip(y).is_none_or(|(x, y)| (x - y).abs() <= tolerance);
    near(a.low, b.low) && near(a.high, b.high)
}

#[test]
fn figures_agree_or_say_why_not() {
    let kb = Kb::bundled();
    let mut faults = Vec::new();
    let mut agreeing = 0;
    for line in include_str!("../kb/reference_figures.txt")
        .lines()
        .filter(|l| !l.is_empty() && !l.starts_with('#'))
    {
        let parts: Vec<&str> = line.split('|').map(str::trim).collect();
        let (id, field, figure, tolerance, source) = match parts[..] {
            [id, field, figure, tolerance, source] | [id, field, figure, tolerance, source, _] => {
                (id, field, figure, tolerance, source)
            }
            _ => panic!("five or six parts: {line}"),
        };
        assert!(source.len() > 4, "no source: {line}");
        let theirs = span(figure);
        let tolerance = match tolerance.strip_suffix('%') {
            Some(share) => {
                share.parse::<f64>().expect("a share") / 100.0
                    * theirs.low.or(theirs.high).expect("a figure")
            }
            None => tolerance.parse().expect("a tolerance"),
        };
        let (_, one) = kb.substance(id).unwrap_or_else(|| panic!("no entry {id}"));
        let Some(mine) = ours(one, field) else {
            faults.push(format!("the base has no {field} of {id}"));
            continue;
        };
        // Decimal steps are not exact in binary.
        let same = agree(mine, theirs, tolerance + 1e-9);
        match parts.get(5).map(|p| {
            p.strip_prefix("differs:")
                .unwrap_or_else(|| panic!("\"differs: why\" is meant: {line}"))
        }) {
            None if same => agreeing += 1,
            None => faults.push(format!(
                "{id} {field}: {mine:?} in the base, {figure} in {source}"
            )),
            Some(why) if same => faults.push(format!("{id} {field} agrees by now; drop \"{why}\"")),
            Some(why) => assert!(why.trim().len() > 10, "say why: {line}"),
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(agreeing >= 120, "only {agreeing} figures agree");
}
