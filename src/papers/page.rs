//! The frame of every printed page: title, style, the name of what was printed and from which file.

/// Style of all papers: black on white, large enough for the bench, tables that break between rows.
pub const STYLE: &str = include_str!("page.css");

/// What stands on every page.
pub struct Head {
    /// "Weigh sheet".
    pub kind: &'static str,
    /// Name of the formula.
    pub name: String,
    /// "Version 4, gardeners-hand-cream.formula".
    pub from: String,
}

/// Last words of every paper that a decision may rest on.
pub const WHO_DECIDES: &str =
    "Worked out from the file as written. Local codes and licensed practice decide; the maker answers for the product.";
