//! What cannot be read, or is not known where it stands.

mod reading;

super::rules! {
    syntax,
    missing_amount,
    unknown_field,
    given_twice,
    unknown_value,
    unknown_unit,
    unknown_phase,
    unknown_formula,
    ambiguous_number,
    not_positive,
    volume_unit,
}
