//! Sums, names and what a scale can weigh.

super::rules! {
    mixed_units,
    total_not_100,
    no_room_for_qs,
    two_qs,
    unknown_ingredient,
    ambiguous_name,
    repeated_ingredient,
    below_scale,
    empty_phase,
}
