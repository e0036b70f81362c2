//! The card for the printer, with its plots.

use super::{Card, Share};
use crate::papers::page::Head;
use crate::papers::plot;
use askama::Template;
use rust_decimal::Decimal;

#[derive(Template)]
#[template(path = "card/card.html")]
struct CardPage<'a> {
    head: Head,
    card: &'a Card,
    /// Made by this program, every word in them escaped.
    figures: Vec<String>,
}

pub(super) fn html(card: &Card) -> String {
    let parts = |all: &[Share]| {
        all.iter()
            .map(|s| (s.name.clone(), s.percent))
            .collect::<Vec<(String, Decimal)>>()
    };
    let figures = [
        plot::composition("by kind", &parts(&card.kinds)),
        plot::composition("by ingredient", &parts(&card.largest)),
        card.plots.course.as_ref().and_then(plot::temperature),
        plot::active_share(&card.plots.acids, card.plots.aim),
        plot::ph_windows(&card.plots.windows, card.plots.aim),
    ];
    let figures = figures.into_iter().flatten().collect();
    CardPage {
        head: card.head(),
        card,
        figures,
    }
    .render()
    .expect("a template that compiled writes into memory")
}

impl CardPage<'_> {
    /// The title that a drawing carries, escaped as it stands there.
    fn caption<'f>(&self, figure: &'f str) -> &'f str {
        figure
            .split_once("<title>")
            .and_then(|(_, rest)| rest.split_once("</title>"))
            .map_or("", |(title, _)| title)
    }
}
