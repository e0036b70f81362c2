//! Numbers that can be read two ways.

use super::said::{fault, row_fixed, row_said};

#[test]
fn one_comma_is_a_decimal_comma_unless_it_may_part_thousands() {
    assert_eq!(row_said("water 12,5 %"), "water | 12.5 %");
    assert_eq!(row_said("water 0,125 %"), "water | 0.125 %");
    assert_eq!(row_said("water 12,50 g"), "water | 12.50 g");
    assert_eq!(row_said("water 1,2345 g"), "water | 1.2345 g");
    assert_eq!(row_said("water 1.000 g"), "water | 1.000 g");
    assert_eq!(fault("water 1,000 g"), "ambiguous-number at `1,000`");
    assert_eq!(fault("water 12,500 g"), "ambiguous-number at `12,500`");
    assert_eq!(fault("water 1,000 %"), "ambiguous-number at `1,000`");
    assert_eq!(row_fixed("water 1,250 g"), ["water 1.25 g", "water 1250 g"]);
    assert_eq!(row_fixed("water 1,000 g"), ["water 1 g", "water 1000 g"]);
}

#[test]
fn a_blank_or_an_apostrophe_between_thousands_is_ambiguous() {
    assert_eq!(fault("water 1 500 g"), "ambiguous-number at `1 500`");
    assert_eq!(fault("water 1'500 g"), "ambiguous-number at `1'500`");
    assert_eq!(
        fault("water 1\u{202F}500 g"),
        "ambiguous-number at `1\u{202F}500`"
    );
    assert_eq!(
        row_fixed("polysorbate 20 500 g"),
        ["polysorbate 20500 g", "polysorbate 20  500 g"]
    );
    assert_eq!(row_said("polysorbate 20  500 g"), "polysorbate 20 | 500 g");
    assert_eq!(row_said("CI 77491 500 mg"), "CI 77491 | 500 mg");
    assert_eq!(row_said("polysorbate 20 50 g"), "polysorbate 20 | 50 g");
}

#[test]
fn several_marks_are_one_reading_and_still_refused() {
    assert_eq!(row_fixed("water 1,234,567 g"), ["water 1234567 g"]);
    assert_eq!(row_fixed("water 1.234,5 g"), ["water 1234.5 g"]);
    assert_eq!(row_fixed("water 1,234.5 g"), ["water 1234.5 g"]);
    assert_eq!(row_fixed("water 1 500 000 mg"), ["water 1500000 mg"]);
}
