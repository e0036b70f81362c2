//! What comes out: what happens to each row, phase and vessel.

use rust_decimal::Decimal;

/// What happens to each row and phase.
#[derive(Clone, Debug, Default)]
pub struct Timeline {
    /// By row.
    pub rows: Vec<History>,
    /// By phase.
    pub phases: Vec<PhaseHistory>,
    /// The file has a method with at least one step that is understood.
    pub from_method: bool,
    /// Temperature of the main vessel after each step: line, degrees Celsius.
    pub temperature_curve: Vec<(u32, Decimal)>,
    /// What each step changes in the vessels.
    pub after: Vec<VesselsAfterStep>,
    /// Some phase is heated.
    pub hot: bool,
    /// Line on which water phase and oil phase first come together.
    pub combined_at: Option<u32>,
    /// The first time that a vessel with water and one with oil come together, each a good part of the product.
    pub water_meets_oil: Option<Merge>,
    /// Lines of steps of which a part was not understood.
    pub not_understood: Vec<u32>,
    /// Where pH is measured or adjusted.
    pub ph_steps: Vec<u32>,
}

/// What a step changes in the vessels.
#[derive(Clone, Debug, PartialEq)]
pub struct VesselsAfterStep {
    pub line: u32,
    /// The vessels that it changes, each by the phase that it began with.
    pub changed: Vec<(usize, VesselState)>,
}

impl Timeline {
    /// The vessel that began with this phase, after each step; before the first it stands at `room`.
    pub fn vessel_states(&self, phase: usize, room: Decimal) -> Vec<VesselState> {
        let mut now = VesselState::At(room);
        let after = |a: &VesselsAfterStep| {
            if let Some((_, state)) = a.changed.iter().find(|(v, _)| *v == phase) {
                now = *state;
            }
            now
        };
        self.after.iter().map(after).collect()
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum VesselState {
    At(Decimal),
    /// At a temperature that is not known.
    Unknown,
    /// Poured into another.
    Gone,
}

/// One vessel goes into another.
#[derive(Clone, Debug, PartialEq)]
pub struct Merge {
    pub line: u32,
    /// Temperature and rows of what stood there.
    pub into_c: Decimal,
    pub into_rows: Vec<usize>,
    /// Temperature and rows of what was poured in.
    pub from_c: Decimal,
    pub from_rows: Vec<usize>,
}

/// What one row goes through.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct History {
    /// Temperature at which it is put in.
    pub added_c: Option<Decimal>,
    /// The highest from then on; none: not known.
    pub highest_c: Option<Decimal>,
    /// The line that says so: a step, or the heading of a phase.
    pub line: Option<u32>,
    /// Minutes at or near that temperature, where holds are given.
    pub minutes: Option<Decimal>,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PhaseHistory {
    /// The step that puts it into the product.
    pub added_line: Option<u32>,
    pub added_c: Option<Decimal>,
    /// Set where the method never lets it reach the product.
    pub never: bool,
    /// A second time that it is put in.
    pub second_addition_line: Option<u32>,
}
