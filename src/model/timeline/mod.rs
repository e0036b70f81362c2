//! The method as a program: vessels, temperatures, who goes in when. From the steps where there are steps,
//! else from what the phase headings say.
//!
//! Every figure is a plain reading of the file: no heat balance is computed, an addition takes the temperature
//! of what it goes into. What is not said stays unknown, and rules keep quiet on it.

mod clause;
mod contents;
mod headings;
mod heat;
mod named;
mod outcome;
mod simulate;
mod simulation;
mod vessel;

pub use heat::goes_in_below;
pub use outcome::{History, Merge, PhaseHistory, Timeline, VesselState, VesselsAfterStep};
pub use simulate::simulate;
