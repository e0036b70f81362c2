//! Emulsions and thickeners.

super::rules! {
    no_emulsifier,
    emulsifier_low,
    type_mismatch,
    hlb_mismatch,
    charge_clash,
    salt_thins,
    thickener_ph,
}
