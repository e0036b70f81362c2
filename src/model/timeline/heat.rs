//! The temperatures that headings and steps state.

use crate::syntax::tree::{Heat, Temperature};
use rust_decimal::Decimal;

/// The temperature that a heading brings its phase to; none for phases that are added cold.
pub(super) fn heats_to(heat: Heat) -> Option<Decimal> {
    match heat {
        Heat::At(t) | Heat::Above(t) | Heat::Between(_, t) => Some(t.celsius),
        Heat::Below(_) | Heat::Room => None,
    }
}

/// The highest temperature at which a heading lets its phase go in.
pub fn goes_in_below(heat: Heat) -> Option<Temperature> {
    match heat {
        Heat::Below(t) | Heat::Between(_, t) => Some(t),
        _ => None,
    }
}

pub(super) fn reached(heat: Heat) -> Option<Decimal> {
    match heat {
        Heat::At(t) | Heat::Above(t) | Heat::Between(_, t) | Heat::Below(t) => Some(t.celsius),
        Heat::Room => None,
    }
}
