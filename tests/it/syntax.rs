//! The language, topic by topic: small formulas and what they say, in the trade's words.

mod fields;
mod files;
mod format;
mod headings;
mod logs;
mod numbers;
mod places;
mod properties;
mod rows;
mod said;
mod steps;
mod weighed;
