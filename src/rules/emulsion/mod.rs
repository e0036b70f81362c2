//! Emulsions and thickeners.

super::rules! {
    no_emulsifier,
}
