//! Steps of the method, in the words of the trade.

use super::said::{fault_of, fixed, in_method, step_said};

#[test]
fn the_verbs_of_the_trade_are_understood() {
    for (text, said) in [
        ("slurry A1, stir into A", "Slurry [A1] ; Add into [A]"),
        (
            "heat A and B to 75 °C, hold A 20 min",
            "Heat [A | B] 75 °C ; Hold [A] 20 min",
        ),
        (
            "top up A with hot water to its starting weight",
            "TopUp [A] with [hot water]",
        ),
        (
            "pour A into B, blend 3 min",
            "Pour [A] into [B] ; Blend 3 min",
        ),
        ("cool to 38 °C, stirring", "Cool 38 °C ; Stir"),
        ("add C", "Add [C]"),
        ("measure pH", "MeasurePh"),
        (
            "add D in portions, stir 5 min, measure pH",
            "Add [D] ; Stir 5 min ; MeasurePh",
        ),
        ("fill", "Fill"),
        ("rest 24 h, measure pH", "Rest 1440 min ; MeasurePh"),
        ("heat both phases to 75 °C", "Heat [both phases] 75 °C"),
        (
            "when below 40 °C stir in phase C",
            "Add [phase C] below 40 °C",
        ),
        ("when below 40 °C, add C", "Add [C] below 40 °C"),
        ("once at 40 °C add C", "Add [C] 40 °C"),
        ("below 40 °C add C and D", "Add [C | D] below 40 °C"),
        ("blend for 2 to 3 minutes", "Blend 2 to 3 min"),
        (
            "adjust pH to 5.0-5.5 with citric acid solution",
            "AdjustPh with [citric acid solution] pH 5 to 5.5",
        ),
        (
            "adjust to pH 5.2 with lactic acid",
            "AdjustPh with [lactic acid] pH 5.2",
        ),
        (
            "add 0.60 g lactic acid 10 %",
            "Add 0.60 g [lactic acid 10 %]",
        ),
        (
            "add 0.5 % xanthan gum to A",
            "Add 0.5 % [xanthan gum] into [A]",
        ),
        ("melt B at 70-75 °C", "Melt [B] 70 to 75 °C"),
        (
            "heat A, B and C to 75 °C and hold for 20 minutes",
            "Heat [A | B | C] 75 °C ; Hold 20 min",
        ),
        (
            "heat A to 75 °C and then pour into B",
            "Heat [A] 75 °C ; Pour into [B]",
        ),
        (
            "gently heat the oil phase to 167 °F",
            "Heat [oil phase] 75 (F) °C",
        ),
        ("cool to room temperature", "Cool room °C"),
        (
            "cool down to below 40 °C while stirring",
            "Cool below 40 °C ; Stir",
        ),
        (
            "dissolve salicylic acid in propylene glycol",
            "Dissolve [salicylic acid] into [propylene glycol]",
        ),
        (
            "sprinkle xanthan gum onto A, hydrate 30 min",
            "Sprinkle [xanthan gum] into [A] ; Hydrate 30 min",
        ),
        ("homogenise 5 min", "Homogenize 5 min"),
        ("pour into moulds", "Mould"),
        ("1. Heat A to 75 °C", "Heat [A] 75 °C"),
        ("- Add the preservative", "Add [preservative]"),
        ("keep stirring 5 min", "Stir 5 min"),
        ("combine A and B", "Pour [A | B]"),
        ("weigh 50 g water", "Weigh 50 g [water]"),
        ("grind P, sieve", "Grind [P] ; Sieve"),
        (
            "neutralize with sodium hydroxide solution to pH 6",
            "Neutralize with [sodium hydroxide solution] pH 6",
        ),
        ("add 2 g 1,2-hexanediol", "Add 2 g [1,2-hexanediol]"),
        ("stir, 5 min", "Stir 5 min"),
        ("hold at 75 °C for 20 min", "Hold 75 °C 20 min"),
        ("let cool to 25 °C", "Cool 25 °C"),
    ] {
        assert_eq!(step_said(text), said, "{text}");
    }
}

#[test]
fn what_is_not_understood_is_kept_as_text() {
    assert_eq!(
        step_said("admire the sheen"),
        "- [admire | sheen]".replace(" | ", " the ")
    );
    assert_eq!(step_said("A goes on the bench"), "- [A goes] into [bench]");
}

#[test]
fn a_temperature_without_its_scale_is_told_both() {
    let line = in_method("heat A to 75");
    assert_eq!(fault_of(&line), "syntax at `75`");
    assert_eq!(fixed(&line), ["  heat A to 75 °C", "  heat A to 75 °F"]);
    assert_eq!(
        fault_of(&in_method("add 1,000 g water")),
        "ambiguous-number at `1,000`"
    );
}
