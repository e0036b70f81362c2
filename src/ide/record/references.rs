//! From a code to its heading, and to all that was made of it.

use super::RecordView;
pub use super::code::CodePlace;
use super::code::{Texts, code_at};
use crate::model::shop::fold;
use std::path::PathBuf;

/// The heading of the lot or batch whose code is under the cursor.
pub fn definition(view: &RecordView, line: u32, byte: u32) -> Option<CodePlace> {
    let (code, _) = code_at(view, line, byte)?;
    let shop = view.shop;
    let lot = shop.lot(&code).map(|l| (l.path.clone(), l.line));
    let batch = shop.batch(&code).map(|b| (b.path.clone(), b.line));
    let (path, heading) = lot.or(batch)?;
    let mut places = Texts::new(view.loader).places(shop, &code);
    places.retain(|p| p.path == path && p.place.line == heading);
    places.into_iter().next()
}

/// Every place of the code under the cursor; of a lot, those of the lots that were made of it here too.
pub fn references(
    view: &RecordView,
    line: u32,
    byte: u32,
    with_heading: bool,
) -> Option<Vec<CodePlace>> {
    let (code, _) = code_at(view, line, byte)?;
    let shop = view.shop;
    let mut codes = vec![code.clone()];
    if let Some(trace) = shop.trace(&code) {
        codes.extend(trace.lots.iter().map(|l| l.code.clone()));
    }
    let mut seen: Vec<String> = Vec::new();
    codes.retain(|c| {
        let new = !seen.contains(&fold(c));
        seen.push(fold(c));
        new
    });
    let mut texts = Texts::new(view.loader);
    let mut out: Vec<CodePlace> = Vec::new();
    for code in &codes {
        let headings: Vec<(PathBuf, u32)> = shop.places_of_code(code);
        let mut places = texts.places(shop, code);
        places.retain(|p| with_heading || !headings.contains(&(p.path.clone(), p.place.line)));
        out.extend(places);
    }
    out.sort();
    out.dedup();
    Some(out)
}

/// The places of the code under the cursor in this file.
pub fn highlights(view: &RecordView, line: u32, byte: u32) -> Vec<CodePlace> {
    let Some((code, _)) = code_at(view, line, byte) else {
        return Vec::new();
    };
    let mut places = Texts::new(view.loader).places(view.shop, &code);
    places.retain(|p| p.path == view.snapshot.path);
    places
}
