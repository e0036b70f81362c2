//! The hydrophile-lipophile balance: what the oils ask for, what the emulsifiers give.
//!
//! Shapes: weights in any one unit with their HLB; HLB out. Method: the mean by weight, both for the
//! required HLB of the oils and for a blend of emulsifiers; for two emulsifiers A and B that are to meet X,
//! share of A = (X − B)/(A − B). J. Soc. Cosmet. Chem. 1 (1949) 311 and 5 (1954) 249.
//!
//! Range: HLB 0 to 40 (sodium lauryl sulfate stands at 40). For ethoxylated and ester nonionics; anionic,
//! cationic, polymeric and lamellar (self-emulsifying) systems do not follow it. Tables of required HLB
//! differ by one to two units between authors: an agreement within 1 is as good as exact.

use super::ChemError;

/// Weight and HLB (or required HLB).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HlbPart {
    pub weight: f64,
    pub hlb: f64,
}

/// Shares (0 to 1) of two emulsifiers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    pub first: f64,
    pub second: f64,
}

/// The HLB that oils ask for, or that a blend of emulsifiers has.
pub fn mean(parts: &[HlbPart]) -> Result<f64, ChemError> {
    let mut weight = 0.0;
    let mut sum = 0.0;
    for part in parts {
        check(part.hlb)?;
        if !(part.weight >= 0.0 && part.weight.is_finite()) {
            return Err(ChemError::new("a weight cannot be less than nothing"));
        }
        weight += part.weight;
        sum += part.weight * part.hlb;
    }
    if weight > 0.0 && sum.is_finite() {
        Ok(sum / weight)
    } else {
        Err(ChemError::new("nothing here has a known HLB"))
    }
}

/// How two emulsifiers meet a required HLB.
pub fn pair(first_hlb: f64, second_hlb: f64, required: f64) -> Result<Pair, ChemError> {
    check(first_hlb)?;
    check(second_hlb)?;
    check(required)?;
    if required < first_hlb.min(second_hlb) {
        return Err(ChemError::new(
            "both emulsifiers stand above the required HLB: one with a lower HLB is needed",
        ));
    }
    if required > first_hlb.max(second_hlb) {
        return Err(ChemError::new(
            "both emulsifiers stand below the required HLB: one with a higher HLB is needed",
        ));
    }
    if first_hlb == second_hlb {
        return Ok(Pair {
            first: 0.5,
            second: 0.5,
        });
    }
    let first = (required - second_hlb) / (first_hlb - second_hlb);
    Ok(Pair {
        first,
        second: 1.0 - first,
    })
}

/// HLB of a polyol ester of a fatty acid: 20 (1 − S/A), S the saponification value of the ester, A the acid
/// value of its fatty acid.
pub fn of_ester(saponification_value: f64, acid_value: f64) -> Result<f64, ChemError> {
    if !(saponification_value >= 0.0
        && acid_value > 0.0
        && saponification_value <= acid_value
        && acid_value.is_finite())
    {
        return Err(ChemError::new(
            "the saponification value of an ester is not above the acid value of its fatty acid",
        ));
    }
    Ok(20.0 * (1.0 - saponification_value / acid_value))
}

/// HLB of an ethoxylate: (E + P)/5, E the weight percent of ethylene oxide, P that of polyol.
pub fn of_ethoxylate(ethylene_oxide_percent: f64, polyol_percent: f64) -> Result<f64, ChemError> {
    let sum = ethylene_oxide_percent + polyol_percent;
    if !(ethylene_oxide_percent >= 0.0 && polyol_percent >= 0.0 && sum <= 100.0) {
        return Err(ChemError::new(
            "ethylene oxide and polyol are weight percent of the molecule",
        ));
    }
    Ok(sum / 5.0)
}

fn check(hlb: f64) -> Result<(), ChemError> {
    if (0.0..=40.0).contains(&hlb) {
        Ok(())
    } else {
        Err(ChemError::new("an HLB lies between 0 and 40"))
    }
}
