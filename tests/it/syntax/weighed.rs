//! Weighed rows of a batch.

use super::said::{fault_of, measure};
use phasewright::syntax::{FileKind, Line, Node, parse};

fn line(text: &str) -> Line {
    parse(FileKind::Batch, &format!("weighed\n  {text}")).lines[1]
        .line
        .as_ref()
        .clone()
}

fn said(text: &str) -> String {
    match line(text).node {
        Node::Weighed(w) => format!(
            "{} | {} | {} | {}",
            w.name.value,
            w.actual.as_ref().map_or("?".into(), measure),
            w.planned.as_ref().map_or("-".into(), measure),
            w.lot.map_or("-".into(), |l| l.value)
        ),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_weighed_row_has_actual_planned_and_lot() {
    for (text, out) in [
        (
            "glycerin                  12.51 g of 12.50 g   lot GLY-07",
            "glycerin | 12.51 g | 12.50 g | GLY-07",
        ),
        (
            "panthenol                     ? of 2.50 g",
            "panthenol | ? | 2.50 g | -",
        ),
        (
            "oil of rose  0.25 g of 0.25 g",
            "oil of rose | 0.25 g | 0.25 g | -",
        ),
        (
            "lactic acid 10 %  1.50 g of 1.50 g lot CIT-03",
            "lactic acid 10 % | 1.50 g | 1.50 g | CIT-03",
        ),
        (
            "polysorbate 20  5,5 g of 5,5 g",
            "polysorbate 20 | 5.5 g | 5.5 g | -",
        ),
        ("water 190.4 g", "water | 190.4 g | - | -"),
        ("water ?", "water | ? | - | -"),
        (
            "\"stock gel.formula\"  20 g of 20 g",
            "stock gel.formula | 20 g | 20 g | -",
        ),
    ] {
        assert_eq!(said(text), out);
        assert_eq!(fault_of(&line(text)), "none", "{text}");
    }
}

#[test]
fn what_is_missing_is_said() {
    for (text, at) in [
        ("glycerin", "syntax at `glycerin`"),
        ("glycerin of 12.5 g", "syntax at `of 12.5 g`"),
        ("glycerin 12.5 of 12.5 g", "syntax at `12.5`"),
        ("glycerin 1,250 g of 12.5 g", "ambiguous-number at `1,250`"),
        ("glycerin 12.5 g of 12.5 g lot", "syntax at `lot`"),
        ("glycerin 12.5 g of 12.5 g lot GLY 07", "syntax at `07`"),
        (
            "glycerin 80 g + 45 g of 125 g lot GLY-07",
            "syntax at `80 g + 45 g`",
        ),
        ("glycerin about 125 g of 125 g", "syntax at `about`"),
        ("glycerin 125 g of 5 %", "syntax at `%`"),
    ] {
        assert_eq!(fault_of(&line(text)), at, "{text}");
    }
}
