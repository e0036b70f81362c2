//! The next dose for the printer, with the titration drawn.

use super::Dose;
use crate::chem::float;
use crate::papers::page::Head;
use crate::papers::plot;
use askama::Template;

#[derive(Template)]
#[template(path = "dose/dose.html")]
struct DosePage<'a> {
    head: Head,
    dose: &'a Dose,
    plot: String,
}

pub(super) fn html(dose: &Dose) -> String {
    let plot = plot::titration(
        &dose.points(),
        &dose.sample_points,
        &dose.curve,
        (float(dose.target_low), float(dose.target_high)),
    );
    DosePage {
        head: dose.head(),
        dose,
        plot,
    }
    .render()
    .expect("a template that compiled writes into memory")
}
