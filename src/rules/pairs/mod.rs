//! Pairs that must not meet, and what ages.

super::rules! {
    incompatible,
    oil_oxidizes,
}
