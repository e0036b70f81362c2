//! The drawings on the papers, one a file: SVG that needs nothing from outside and stands inside a page.
//!
//! 720 units wide, printed 180 mm wide: a letter of 13 units is one of 9 points. Nothing is told by colour: lines differ
//! in their dashes and markers, areas in their hatching, and each has its name next to it. Every drawing has a title and
//! says in words what it shows.

mod active_share;
mod axis;
mod composition;
mod pen;
mod ph_windows;
mod temperature;
mod titration;

pub use active_share::{Acid, active_share};
pub use composition::composition;
pub use ph_windows::{Does, Window, ph_windows};
pub use temperature::{Course, Entry, PlottedStep, PlottedVessel, temperature};
pub use titration::titration;
