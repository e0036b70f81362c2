//! The method, simulated step by step.

super::rules! {
    added_hot,
    never_added,
    added_twice,
    phases_apart,
    hold_short,
    water_loss,
    filled_warm,
    step_not_understood,
}
