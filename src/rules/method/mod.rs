//! The method, simulated step by step.

super::rules! {
    added_hot,
    never_added,
}
