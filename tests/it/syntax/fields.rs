//! Fields and their values.

use super::said::{code, fault_of, fixed, formula};
use phasewright::syntax::{FileKind, Heat, Node, parse, values};
use phasewright::text::{Span, Spanned};

fn field(text: &str) -> (String, String) {
    match &formula(&format!("formula \"x\"\n  {text}")).lines[1]
        .line
        .node
    {
        Node::Field(f) => (f.key.value.clone(), f.value.value.clone()),
        other => panic!("{other:?}"),
    }
}

fn fault(text: &str) -> String {
    fault_of(&formula(&format!("formula \"x\"\n  {text}")).lines[1].line)
}

#[test]
fn a_field_is_a_word_or_a_few_a_colon_and_a_value() {
    assert_eq!(
        field("product: hand cream, leave-on"),
        ("product".into(), "hand cream, leave-on".into())
    );
    assert_eq!(
        field("Sold in: EU, US"),
        ("sold in".into(), "EU, US".into())
    );
    assert_eq!(
        field("extra  for losses: 3 %"),
        ("extra for losses".into(), "3 %".into())
    );
    assert_eq!(field("pH: 5.0 to 5.5"), ("ph".into(), "5.0 to 5.5".into()));
    assert_eq!(
        field("claims: soothes: fast"),
        ("claims".into(), "soothes: fast".into())
    );
}

#[test]
fn a_field_that_is_not_known_has_a_nearest() {
    assert_eq!(fault("prodcut: hand cream"), "unknown-field at `prodcut`");
    let tree = formula("formula \"x\"\n  prodcut: hand cream");
    assert_eq!(fixed(&tree.lines[1].line), ["  product: hand cream"]);
    assert_eq!(fault("colour: red"), "unknown-field at `colour`");
    assert_eq!(fault("product:"), "syntax at `product`");
    assert_eq!(fault("hand cream"), "syntax at `hand cream`");
}

#[test]
fn values_whose_form_is_fixed_are_read_at_once() {
    for (text, at) in [
        ("batch: 250 g", "none"),
        ("batch: 1,000 g", "ambiguous-number at `1,000`"),
        ("batch: 250", "syntax at `250`"),
        ("batch: a lot", "syntax at `a lot`"),
        ("pH: 5.0 to 5.5", "none"),
        ("pH: 5,0-5,5", "none"),
        ("pH: about 5.5", "none"),
        ("pH: sour", "syntax at `sour`"),
        ("fill: 5 x 50 g", "none"),
        ("fill: 200 mL, 3 × 15 mL", "none"),
        ("fill: five jars", "syntax at `five jars`"),
        ("extra for losses: 3 %", "none"),
        ("version: 4", "none"),
    ] {
        assert_eq!(fault(text), at, "{text}");
    }
}

#[test]
fn dates_are_days_of_the_calendar() {
    let fault = |text: &str| {
        fault_of(&parse(FileKind::Stock, &format!("lot G-1 of glycerin\n  {text}")).lines[1].line)
    };
    assert_eq!(fault("best before: 2028-02-29"), "none");
    assert_eq!(fault("best before: 2027-02-29"), "syntax at `2027-02-29`");
    assert_eq!(fault("best before: 29.2.2028"), "syntax at `29.2.2028`");
    assert_eq!(fault("bought: 1 kg for 9.40 EUR"), "none");
}

#[test]
fn what_was_bought_is_a_weight_and_a_price() {
    let value = |text: &str| Spanned::new(text.to_string(), Span::new(10, 10 + text.len()));
    let said = |text: &str| match values::bought(&value(text)) {
        Ok(b) => {
            let price = b.price.map_or("no price".to_owned(), |p| {
                format!("{} {}", p.amount, p.currency)
            });
            format!(
                "{} x {} {}, {price}",
                b.pack.count,
                b.pack.each.value,
                b.pack.each.unit.symbol()
            )
        }
        Err(e) => format!(
            "{} at `{}`",
            code(e.code),
            &text[e.span.range().start - 10..e.span.range().end - 10]
        ),
    };
    for (text, is) in [
        ("1 kg for 9.40 EUR", "1 x 1 kg, 9.40 EUR"),
        ("1 kg for 9,40 €", "1 x 1 kg, 9.40 EUR"),
        ("2 x 500 g For €18", "2 x 500 g, 18 EUR"),
        ("250mL for 4.20 eur", "1 x 250 mL, 4.20 EUR"),
        ("1 lb for $ 12.50", "1 x 1 lb, 12.50 $"),
        ("1 lb for £3", "1 x 1 lb, 3 GBP"),
        ("100 g for 0 EUR", "1 x 100 g, 0 EUR"),
        ("100 g for 30 Kč", "1 x 100 g, 30 Kč"),
        ("100 g", "1 x 100 g, no price"),
        ("two bottles", "syntax at `two bottles`"),
        ("for 3 EUR", "syntax at `for 3 EUR`"),
        ("a kilo for 3 EUR", "syntax at `a kilo`"),
        ("3 % for 3 EUR", "syntax at `%`"),
        ("0 g for 3 EUR", "syntax at `0 g`"),
        ("1 kg for 9.40", "syntax at `9.40`"),
        ("1 kg for 1,250 EUR", "ambiguous-number at `1,250`"),
        ("1 kg for -3 EUR", "syntax at `-3`"),
        ("1 kg for nothing", "syntax at `nothing`"),
        ("1 kg for", "syntax at `1 kg for`"),
        (
            "1 kg for 9.40 EUR with postage",
            "syntax at `9.40 EUR with postage`",
        ),
        ("1 kg for € 9.40 EUR", "syntax at `€ 9.40 EUR`"),
        ("1 kg for 9.40 E/kg", "syntax at `9.40 E/kg`"),
        (
            "1 kg for 99999999999999999999999999999999 EUR",
            "syntax at `99999999999999999999999999999999`",
        ),
    ] {
        assert_eq!(said(text), is, "{text}");
    }
}

#[test]
fn values_can_be_taken_apart() {
    let value = |text: &str| Spanned::new(text.to_string(), Span::new(9, 9 + text.len()));
    let packs = values::packs(&value("5 x 50 g, 200 mL")).unwrap();
    assert_eq!(
        packs
            .iter()
            .map(|p| (p.count, p.each.value.to_string()))
            .collect::<Vec<_>>(),
        [(5, "50".into()), (1, "200".into())]
    );
    let ph = values::ph(&value("5.0 to 5.5")).unwrap();
    assert_eq!(
        (ph.0.to_string(), ph.1.to_string()),
        ("5.0".into(), "5.5".into())
    );
    let room = values::heat(&value("70 °F")).unwrap();
    assert!(matches!(room, Heat::At(t) if t.fahrenheit));
    let list = values::list(&value("EU, US ,UK"));
    assert_eq!(
        list.iter()
            .map(|i| (i.value.as_str(), i.span.start))
            .collect::<Vec<_>>(),
        [("EU", 9), ("US", 13), ("UK", 17)]
    );
    let measure = values::measure(&value("250 g")).unwrap();
    assert_eq!(
        (measure.value_span, measure.unit_span),
        (Span::new(9, 12), Span::new(13, 14))
    );
}

#[test]
fn a_field_elsewhere_is_told_where_fields_stand() {
    let tree = formula("phase A\n  water 50 %\nproduct: hand cream\n  oil 50 %");
    assert_eq!(fault_of(&tree.lines[2].line), "syntax at `product`");
    assert_eq!(tree.rows().count(), 2);
    assert_eq!(tree.errors().count(), 1);
}

#[test]
fn an_ingredient_in_no_phase_is_told_to_get_one_and_that_once() {
    let tree = formula("formula \"x\"\n  beeswax 20 %\n  olive oil 80 %");
    let said: Vec<_> = tree
        .errors()
        .map(|(n, e)| (n, e.whole(), e.fixes[0].text.clone()))
        .collect();
    assert_eq!(
        said,
        [(
            1,
            "this ingredient stands in no phase. Put a line such as \"phase A\" above it".into(),
            "phase A\n".into()
        )]
    );
    assert_eq!(tree.rows().count(), 2);
}
