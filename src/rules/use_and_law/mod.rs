//! Levels: what is usual, what the law of each market allows.

mod bans;
mod levels;
mod limits;

super::rules! {
    above_usual_use,
    below_usual_use,
    above_legal_limit,
    above_skin_maximum,
    family_above_limit,
    restricted_use,
    banned,
    not_a_cosmetic,
}
