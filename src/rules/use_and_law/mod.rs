//! Levels: what is usual, what the law of each market allows.

mod bans;
mod limits;

super::rules! {
    above_usual_use,
    above_legal_limit,
    family_above_limit,
    restricted_use,
    banned,
}
