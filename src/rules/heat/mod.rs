//! Heat, melting, and the phase a material belongs in.

super::rules! {
    heat_sensitive,
    not_melted,
    needs_solubilizer,
    above_solubility,
    wrong_phase,
}
