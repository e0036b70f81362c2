//! Rows: names that hold nearly anything, amounts at the end.

use super::said::{errors, fault, in_phase, row, row_fixed, row_said};
use phasewright::syntax::{Amount, Node};

#[test]
fn a_name_may_hold_digits_commas_slashes_brackets_and_percent_signs() {
    for (text, said) in [
        ("water  70 %", "water | 70 %"),
        ("polysorbate 20   5 %", "polysorbate 20 | 5 %"),
        ("polysorbate 20 5 %", "polysorbate 20 | 5 %"),
        ("1,2-hexanediol   1.5 %", "1,2-hexanediol | 1.5 %"),
        ("CI 77491  0.2 %", "CI 77491 | 0.2 %"),
        (
            "benzyl alcohol (and) dehydroacetic acid  0.9 %",
            "benzyl alcohol (and) dehydroacetic acid | 0.9 %",
        ),
        (
            "caprylic/capric triglyceride  4 %",
            "caprylic/capric triglyceride | 4 %",
        ),
        ("lactic acid 80 %  1 %", "lactic acid 80 % | 1 %"),
        (
            "sodium hyaluronate 1 % solution  10 %",
            "sodium hyaluronate 1 % solution | 10 %",
        ),
        ("ethanol 96 % v/v   83.3 %", "ethanol 96 % v/v | 83.3 %"),
        ("C12-15 alkyl benzoate 5 %", "C12-15 alkyl benzoate | 5 %"),
        ("PEG-8 beeswax 2 %", "PEG-8 beeswax | 2 %"),
        ("PEG-6 5 %", "PEG-6 | 5 %"),
        ("2-phenoxyethanol 1 %", "2-phenoxyethanol | 1 %"),
        ("zinc oxide (nano: no)  5 %", "zinc oxide (nano: no) | 5 %"),
        ("Anionic cream #7  5 %", "Anionic cream #7 | 5 %"),
        (
            "eau de fleurs d'oranger  10 %",
            "eau de fleurs d'oranger | 10 %",
        ),
        ("huile d’olive 🫒  10 %", "huile d’olive 🫒 | 10 %"),
        ("زيت الزيتون  10 %", "زيت الزيتون | 10 %"),
        ("kokum\tbutter\t5 %", "kokum\tbutter | 5 %"),
        ("oil of rose  3 drops", "oil of rose | 3 drops"),
    ] {
        assert_eq!(row_said(text), said);
        assert_eq!(fault(text), "none", "{text}");
    }
}

#[test]
fn amounts_come_in_percent_weights_volumes_drops_and_parts() {
    for (text, said) in [
        ("glycerin 5%", "glycerin | 5 %"),
        ("glycerin 5 % w/w", "glycerin | 5 %"),
        ("glycerin 12.5 g", "glycerin | 12.5 g"),
        ("glycerin 12.5g", "glycerin | 12.5 g"),
        ("glycerin 250 mg", "glycerin | 250 mg"),
        ("glycerin 1 kg", "glycerin | 1 kg"),
        ("glycerin 2 oz", "glycerin | 2 oz"),
        ("glycerin 2 fl oz", "glycerin | 2 fl oz"),
        ("glycerin 2 fl. oz.", "glycerin | 2 fl oz"),
        ("glycerin 20 mL", "glycerin | 20 mL"),
        ("glycerin 20 ml", "glycerin | 20 mL"),
        ("glycerin 2 tsp", "glycerin | 2 tsp"),
        ("glycerin 2 tbsp", "glycerin | 2 tbsp"),
        ("glycerin 2 tbsp.", "glycerin | 2 tbsp"),
        ("glycerin 1 tablespoon", "glycerin | 1 tbsp"),
        ("water 1 cup", "water | 1 cup"),
        ("water 2 cups", "water | 2 cup"),
        ("glycerin 30 parts", "glycerin | 30 parts"),
        ("glycerin .5 %", "glycerin | 0.5 %"),
        ("glycerin 0 %", "glycerin | 0 %"),
        ("glycerin\u{A0}5\u{A0}%", "glycerin | 5 %"),
    ] {
        assert_eq!(row_said(text), said);
        assert_eq!(fault(text), "none", "{text}");
    }
}

#[test]
fn a_decimal_keeps_its_digits() {
    assert_eq!(row_said("retinol 0.0500 %"), "retinol | 0.0500 %");
    assert_eq!(row_said("retinol 0,05 %"), "retinol | 0.05 %");
    assert_eq!(row_said("retinol 0.123456789 %"), "retinol | 0.123456789 %");
    assert_eq!(fault("retinol 0.1234567891 %"), "syntax at `0.1234567891`");
    assert_eq!(fault("glycerin 1000000001 g"), "syntax at `1000000001`");
    assert_eq!(fault("glycerin -5 %"), "syntax at `-5`");
    assert_eq!(
        fault("retinol 0.12345678901234567890123456789012345 %"),
        "syntax at `0.12345678901234567890123456789012345`"
    );
}

#[test]
fn qs_in_all_its_spellings_fills_up() {
    for spelling in [
        "q.s.",
        "q.s",
        "qs",
        "qs.",
        "Q.S.",
        "QS",
        "q. s.",
        "q.s. to 100",
        "q.s. to 100 %",
        "q.s. ad 100",
        "to 100",
        "to 100 %",
        "ad 100",
        "ad 100 %",
        "balance",
        "Balance",
        "remainder",
        "quantum satis",
        "q.s. to 100.0 %",
    ] {
        assert_eq!(
            row_said(&format!("purified water  {spelling}")),
            "purified water | fill",
            "{spelling}"
        );
        assert_eq!(
            fault(&format!("purified water  {spelling}")),
            "none",
            "{spelling}"
        );
    }
}

#[test]
fn qs_fills_to_a_stated_weight_or_volume() {
    assert_eq!(row_said("water  q.s. to 1000 g"), "water | fill to 1000 g");
    assert_eq!(row_said("water  qs to 1 L"), "water | fill to 1 L");
    assert_eq!(row_said("water  to 1000 mL"), "water | fill to 1000 mL");
    assert_eq!(row_said("water  ad 1000 g"), "water | fill to 1000 g");
    assert_eq!(fault("water  q.s. to 1000"), "syntax at `1000`");
    assert_eq!(fault("water  q.s. to 90 %"), "syntax at `90`");
}

#[test]
fn qs_to_a_ph_or_an_effect_carries_about_and_at_most() {
    for (text, said) in [
        (
            "lactic acid 10 %  q.s. to pH 5.2, about 1 %",
            "lactic acid 10 % | enough to pH 5.2, about 1 %",
        ),
        (
            "lactic acid  q.s. to pH 5,2, about 1 %",
            "lactic acid | enough to pH 5.2, about 1 %",
        ),
        ("lactic acid  to pH 5.2", "lactic acid | enough to pH 5.2"),
        ("lactic acid  q.s. pH 5.2", "lactic acid | enough to pH 5.2"),
        (
            "sodium chloride  q.s., about 0.5 %, at most 2 %",
            "sodium chloride | enough, about 0.5 %, at most 2 %",
        ),
        (
            "sodium chloride  q.s. about 0.5 % max. 2 %",
            "sodium chloride | enough, about 0.5 %, at most 2 %",
        ),
        (
            "sodium chloride  q.s., at most 2 %",
            "sodium chloride | enough, at most 2 %",
        ),
        (
            "sodium chloride  q.s. to pH 6, at most 0.3 g",
            "sodium chloride | enough to pH 6, at most 0.3 g",
        ),
    ] {
        assert_eq!(row_said(text), said);
        assert_eq!(fault(text), "none", "{text}");
    }
    assert_eq!(
        fault("lactic acid  q.s. to pH 5.0-5.5"),
        "syntax at `5.0-5.5`"
    );
    assert_eq!(
        row_fixed("lactic acid  q.s. to pH 5.0-5.5"),
        ["lactic acid  q.s. to pH 5.25"]
    );
    assert_eq!(
        fault("lactic acid  q.s. until sour"),
        "syntax at `until sour`"
    );
    assert_eq!(fault("lactic acid  q.s., about 1"), "syntax at `1`");
}

#[test]
fn a_purpose_stands_at_the_end() {
    assert_eq!(
        row_said("benzyl alcohol  0.8 % as preservative"),
        "benzyl alcohol | 0.8 % as preservative"
    );
    assert_eq!(
        row_said("zinc oxide  20 % as UV-filter"),
        "zinc oxide | 20 % as uv-filter"
    );
    assert_eq!(
        row_said("salicylic acid  q.s., about 0.5 % as preservative"),
        "salicylic acid | enough, about 0.5 % as preservative"
    );
    assert_eq!(row_said("oat as is  3 %"), "oat as is | 3 %");
}

#[test]
fn a_quoted_file_is_an_ingredient() {
    let row = row("\"stock-gel.formula\"  20 %");
    assert!(row.file);
    assert_eq!(row.name.value, "stock-gel.formula");
    assert_eq!(fault("\"stock gel.formula\"  20 %"), "none");
    assert_eq!(
        fault("\"stock gel.formula\""),
        "missing-amount at `stock gel.formula`"
    );
    assert_eq!(
        fault("\"stock gel.formula\" fresh 20 %"),
        "syntax at `fresh`"
    );
    assert_eq!(
        fault("\"stock gel.formula  20 %"),
        "syntax at `stock gel.formula`"
    );
    assert_eq!(
        row_fixed("\"stock gel.formula  20 %"),
        ["\"stock gel.formula\"  20 %"]
    );
    assert_eq!(
        row_said("\"stock # gel.formula\"  20 %"),
        "stock # gel.formula | 20 %"
    );
}

#[test]
fn a_name_without_an_amount_is_still_a_name() {
    for text in [
        "glycerin",
        "glyc",
        "polysorbate 20",
        "CI 77491",
        "macrogol 400 BP",
        "ethanol 96 % v/v",
    ] {
        let row = row(text);
        assert_eq!(row.name.value, text);
        assert_eq!(row.amount.value, Amount::Missing);
        assert_eq!(fault(text), format!("missing-amount at `{text}`"));
    }
    assert_eq!(
        row_fixed("polysorbate 20"),
        ["polysorbate  20 %", "polysorbate  20 g"]
    );
}

#[test]
fn an_amount_that_cannot_be_read_spoils_its_row_alone() {
    for (text, said, at) in [
        ("glycerin  5", "glycerin | unreadable", "syntax at `5`"),
        ("glycerin 0.5", "glycerin | unreadable", "syntax at `0.5`"),
        ("glycerin 5-6 %", "glycerin | unreadable", "syntax at `5-6`"),
        (
            "glycerin 5 – 6 %",
            "glycerin | unreadable",
            "syntax at `5 – 6`",
        ),
        (
            "glycerin 5 to 6 %",
            "glycerin | unreadable",
            "syntax at `5 to 6`",
        ),
        (
            "glycerin 5 % - 6 %",
            "glycerin | unreadable",
            "syntax at `5 % - 6`",
        ),
        ("glycerin ½ %", "glycerin | unreadable", "syntax at `½`"),
        ("glycerin 1 ½ %", "glycerin | unreadable", "syntax at `1 ½`"),
        ("glycerin 1/2 %", "glycerin | unreadable", "syntax at `1/2`"),
        ("glycerin ~5 %", "glycerin | unreadable", "syntax at `~5`"),
        (
            "glycerin about 5 %",
            "glycerin | unreadable",
            "syntax at `about 5 %`",
        ),
        ("glycerin x %", "glycerin x | unreadable", "syntax at `%`"),
        ("glycerin %", "glycerin | unreadable", "syntax at `%`"),
        (
            "glycerin 1.2.3 %",
            "glycerin | unreadable",
            "syntax at `1.2.3`",
        ),
        ("glycerin 5. %", "glycerin | unreadable", "syntax at `5.`"),
        ("5 % glycerin", "glycerin | unreadable", "syntax at `5 %`"),
    ] {
        assert_eq!(row_said(text), said);
        assert_eq!(fault(text), at, "{text}");
    }
}

#[test]
fn each_fix_gives_a_row_that_reads() {
    for (text, fixes) in [
        ("glycerin  5", vec!["glycerin  5 %", "glycerin  5 g"]),
        ("glycerin 5-6 %", vec!["glycerin 5 %", "glycerin 6 %"]),
        ("glycerin 1 ½ %", vec!["glycerin 1.5 %"]),
        ("glycerin 1/2 %", vec!["glycerin 0.5 %"]),
        ("glycerin ~5 %", vec!["glycerin 5 %"]),
        (
            "glycerin about 5 %",
            vec!["glycerin q.s., about 5 %", "glycerin 5 %"],
        ),
        ("5 % glycerin", vec!["glycerin  5 %"]),
        ("glycerin: 5 %", vec!["glycerin 5 %"]),
        ("glycerin, 5 %", vec!["glycerin 5 %"]),
        ("glycerin; 5 %", vec!["glycerin 5 %"]),
        ("glycerin ..... 5 %", vec!["glycerin 5 %"]),
        ("glycerin - 5 %", vec!["glycerin 5 %"]),
    ] {
        assert_eq!(row_fixed(text), fixes, "{text}");
        for fix in fixes {
            assert_eq!(fault(fix), "none", "{fix}");
        }
    }
}

#[test]
fn units_that_are_not_known_are_named_with_the_way_out() {
    for (text, at) in [
        ("glycerin 5 spoons", "unknown-unit at `spoons`"),
        ("glycerin 5 kilos", "unknown-unit at `kilos`"),
        ("glycerin 5gr", "unknown-unit at `gr`"),
        ("glycerin 500 ppm", "unknown-unit at `ppm`"),
        ("glycerin   5 gallons", "unknown-unit at `gallons`"),
        (
            "glycerin 5 % v/v  5 % w/v",
            "missing-amount at `glycerin 5 % v/v  5 % w/v`",
        ),
    ] {
        assert_eq!(fault(text), at, "{text}");
    }
    assert_eq!(row_fixed("tocopherol 500 ppm"), ["tocopherol 0.05 %"]);
    assert_eq!(row_fixed("glycerin 5gr"), ["glycerin 5g"]);
}

#[test]
fn a_row_alone_that_is_an_amount_has_no_name() {
    let line = in_phase("  5 %");
    assert_eq!(line.node, Node::Broken);
    assert_eq!(
        errors(&line),
        [
            "syntax at `5 %`: the name is missing before \"5 %\". Write the ingredient before its amount, as in glycerin  5 %"
        ]
    );
}

#[test]
fn comments_begin_at_a_hash_after_a_blank() {
    let line = in_phase("  glyceryl stearate 3 %   # the emulsifier");
    assert_eq!(
        &line.text[line.comment.unwrap().range()],
        "# the emulsifier"
    );
    assert!(line.errors.is_empty());
    assert_eq!(row_said("red dye #33  0.1 %"), "red dye #33 | 0.1 %");
    let line = in_phase("  red no. #5 %");
    assert_eq!(line.comment, None);
    let line = in_phase("# a whole line");
    assert_eq!(line.node, Node::Comment);
}

#[test]
fn an_exception_names_a_rule_and_a_reason() {
    let line =
        in_phase("  tocopherol  0.2 %  # except heat-sensitive: the supplier's data says 90 °C");
    let exception = line.exception.unwrap();
    assert_eq!(exception.code.value, "heat-sensitive");
    assert_eq!(exception.reason.value, "the supplier's data says 90 °C");
    let line = in_phase("# except banned");
    let exception = line.exception.unwrap();
    assert_eq!(
        (
            exception.code.value.as_str(),
            exception.reason.value.as_str()
        ),
        ("banned", "")
    );
    assert_eq!(in_phase("# exceptional stuff").exception, None);
}
