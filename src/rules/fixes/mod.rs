//! Edits that several quick fixes share.

mod aim;
mod amounts;
mod cooler;
mod steps;

pub(super) use aim::{aim_at, suitable_ph, within_skin};
pub(super) use amounts::{down, leave_out, set_percent};
pub(super) use cooler::{cool_phase, cool_phases, cooler};
pub(super) use steps::{after, before, cool_before, last_step};
