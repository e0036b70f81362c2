//! The same amount "as acid", "as zinc", "as retinol": percent of one substance as percent of another.
//!
//! Method: by molar mass: percent × n × M(reference) / M(substance), n moles of the reference from one mole
//! of the substance. Exact decimals, since the result is held against a limit of the law; the quotient is
//! kept to 28 digits. Molar masses by the standard atomic weights (Pure Appl. Chem. 94 (2022) 573).
//! Range: molar masses above 0, n above 0. The state counts: citric acid monohydrate is 0.914 of itself as
//! the anhydrous acid.

use super::ChemError;
use rust_decimal::Decimal;

/// Grams of the reference in one gram of the substance.
pub fn factor(
    substance_g_mol: Decimal,
    reference_g_mol: Decimal,
    moles: Decimal,
) -> Result<Decimal, ChemError> {
    if substance_g_mol <= Decimal::ZERO || reference_g_mol <= Decimal::ZERO {
        return Err(ChemError::new("the molar mass is not known"));
    }
    if moles <= Decimal::ZERO {
        return Err(ChemError::new(
            "the substance gives none of what the limit is expressed as",
        ));
    }
    let moles = moles.checked_mul(reference_g_mol).ok_or_else(too_large)?;
    moles.checked_div(substance_g_mol).ok_or_else(too_large)
}

/// Percent of a salt, ester or hydrate as percent of the acid (or whatever the limit is expressed as).
pub fn as_reference(
    percent: Decimal,
    substance_g_mol: Decimal,
    reference_g_mol: Decimal,
    moles: Decimal,
) -> Result<Decimal, ChemError> {
    factor(substance_g_mol, reference_g_mol, moles)?;
    // One division, last, so that a round result stays round.
    let product = percent
        .checked_mul(reference_g_mol)
        .and_then(|p| p.checked_mul(moles))
        .ok_or_else(too_large)?;
    product.checked_div(substance_g_mol).ok_or_else(too_large)
}

/// Percent of the salt, ester or hydrate that makes a percent of the acid: the limit as it is weighed.
pub fn from_reference(
    percent: Decimal,
    substance_g_mol: Decimal,
    reference_g_mol: Decimal,
    moles: Decimal,
) -> Result<Decimal, ChemError> {
    factor(substance_g_mol, reference_g_mol, moles)?;
    let product = percent.checked_mul(substance_g_mol).ok_or_else(too_large)?;
    let per = reference_g_mol.checked_mul(moles).ok_or_else(too_large)?;
    product.checked_div(per).ok_or_else(too_large)
}

fn too_large() -> ChemError {
    ChemError::new("the figures have more digits than can be kept exactly")
}
