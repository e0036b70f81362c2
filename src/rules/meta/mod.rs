//! What the engine and the front ends say of settings, own ingredients, exceptions and failed rules.

use super::{Context, Sink};

super::rules! {
    settings,
    ingredient_file,
    internal,
    not_judged,
    exception_without_reason,
    exception_unused,
}

/// These codes have no check of their own.
pub(in crate::rules) fn said_by_the_engine(_: &Context, _: &mut Sink) {}
