//! What a body takes up from a product in a day, and how far that is below what is known to do nothing.
//!
//! Method: SED = amount of product (mg per kg body weight and day) × C/100 × absorption/100; MoS = point of
//! departure / SED. SCCS Notes of Guidance (SCCS/1647/22, 12th revision), section 3. The amounts per kg body
//! weight are those of its Tables 3A and 3B: they come from distributions and are not g/day over 60 kg (face
//! cream 24.14, not 1.54 g / 60 kg = 25.7). Body weight is used only for products that those tables lack.
//!
//! Range: shares 0 to 100 %. A margin is given only against a published point of departure; without one
//! there is none, and no margin says that a product is safe: that takes a qualified assessor.

use super::ChemError;

/// Acceptable from here on, by the Notes of Guidance.
pub const USUAL_MARGIN: f64 = 100.0;
/// kg, for products outside the tables.
pub const BODY_WEIGHT_KG: f64 = 60.0;

/// mg of product per kg body weight and day, from g a day and the share that stays on (1 leave-on, 0.01
/// rinse-off).
pub fn product_mg_per_kg(
    grams_per_day: f64,
    retention: f64,
    body_weight_kg: f64,
) -> Result<f64, ChemError> {
    if !(0.0..=1000.0).contains(&grams_per_day) {
        return Err(ChemError::new(
            "the amount used in a day lies between 0 and 1000 g",
        ));
    }
    if !(0.0..=1.0).contains(&retention) {
        return Err(ChemError::new(
            "the share that stays on the skin lies between 0 and 1",
        ));
    }
    if !(1.0..=500.0).contains(&body_weight_kg) {
        return Err(ChemError::new("a body weighs between 1 and 500 kg"));
    }
    Ok(grams_per_day * 1000.0 * retention / body_weight_kg)
}

/// Systemic exposure dose, mg per kg body weight and day.
pub fn systemic_dose(
    product_mg_per_kg: f64,
    percent: f64,
    absorbed_percent: f64,
) -> Result<f64, ChemError> {
    if !(product_mg_per_kg >= 0.0 && product_mg_per_kg.is_finite()) {
        return Err(ChemError::new(
            "the amount of product used in a day is not known",
        ));
    }
    let share = |p: f64| (0.0..=100.0).contains(&p);
    if !share(percent) || !share(absorbed_percent) {
        return Err(ChemError::new("a percentage lies between 0 and 100"));
    }
    Ok(product_mg_per_kg * percent / 100.0 * absorbed_percent / 100.0)
}

/// Margin of safety, where a point of departure (mg per kg body weight and day) was published.
pub fn margin(point_of_departure: Option<f64>, systemic_dose: f64) -> Result<f64, ChemError> {
    let Some(pod) = point_of_departure else {
        return Err(ChemError::new(
            "no published point of departure is known: there is no margin to give",
        ));
    };
    if !(pod > 0.0 && pod.is_finite()) {
        return Err(ChemError::new("a point of departure is more than nothing"));
    }
    if !(systemic_dose > 0.0 && systemic_dose.is_finite()) {
        return Err(ChemError::new(
            "nothing is taken up: there is no margin to give",
        ));
    }
    let margin = pod / systemic_dose;
    if margin.is_finite() {
        Ok(margin)
    } else {
        Err(ChemError::new(
            "nothing is taken up: there is no margin to give",
        ))
    }
}
