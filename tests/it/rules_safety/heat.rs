use super::{product, says, silent};
use phasewright::rules::Severity::{Hint, Warning};

const P: &str = "benzyl alcohol (and) dehydroacetic acid  0.9 %";

#[test]
fn a_little_oil_in_water() {
    let toner = |fields: &str, rows: &[&str]| {
        let mut all = vec!["water  q.s.", P];
        all.extend(rows);
        product(&format!("product: toner, leave-on; pH: 5; {fields}"), &all)
    };
    says(
        &toner("type: solution", &["lavender oil  0.2 %"]),
        "needs-solubilizer",
        Warning,
    );
    says(
        &toner("", &["lavender oil  0.2 %"]),
        "needs-solubilizer",
        Warning,
    );
    says(
        &toner(
            "type: solution",
            &["lavender oil  0.1 %", "tocopherol  0.2 %"],
        ),
        "needs-solubilizer",
        Warning,
    );
    // As little as this disappears.
    silent(
        &toner("type: solution", &["lavender oil  0.05 %"]),
        "needs-solubilizer",
    );
    says(
        &toner("type: solution", &["lavender oil  0.06 %"]),
        "needs-solubilizer",
        Warning,
    );
    // What holds it.
    silent(
        &toner(
            "type: solution",
            &["lavender oil  0.2 %", "polysorbate 20  1.6 %"],
        ),
        "needs-solubilizer",
    );
    silent(
        &toner(
            "type: solution",
            &["lavender oil  0.2 %", "decyl glucoside  2 %"],
        ),
        "needs-solubilizer",
    );
    silent(
        &toner("type: solution", &["lavender oil  0.2 %", "ethanol  60 %"]),
        "needs-solubilizer",
    );
    says(
        &toner("type: solution", &["lavender oil  0.2 %", "ethanol  59 %"]),
        "needs-solubilizer",
        Warning,
    );
    says(
        &toner("type: gel", &["lavender oil  0.2 %", "carbomer  0.3 %"]),
        "needs-solubilizer",
        Hint,
    );
    // Left in peace.
    silent(
        &toner("type: two-phase", &["lavender oil  0.2 %"]),
        "needs-solubilizer",
    );
    silent(
        &toner(
            "type: solution; claims: shake before use",
            &["lavender oil  0.2 %"],
        ),
        "needs-solubilizer",
    );
    silent(
        &product(
            "product: bath salts, rinse-off",
            &["sodium chloride  99.5 %", "lavender oil  0.5 %"],
        ),
        "needs-solubilizer",
    );
    silent(
        &toner(
            "type: solution",
            &["lavender oil  0.2 %", "mystery blend  1 %"],
        ),
        "needs-solubilizer",
    );
}

#[test]
fn more_than_dissolves() {
    let gel = |rows: &[&str]| {
        let mut all = vec!["water  q.s.", "xanthan gum  0.5 %", P];
        all.extend(rows);
        product("product: face gel, leave-on; type: gel; pH: 6", &all)
    };
    // 9 g in 100 g of water: here about 7.9 %, read no finer than a tenth.
    silent(&gel(&["disodium EDTA  8.5 %"]), "above-solubility");
    says(&gel(&["disodium EDTA  9.5 %"]), "above-solubility", Warning);
    // A remembered figure is no louder than a hint; another solvent keeps it silent.
    says(&gel(&["allantoin  1 %"]), "above-solubility", Hint);
    silent(&gel(&["allantoin  0.4 %"]), "above-solubility");
    says(
        &gel(&["allantoin  1 %", "propylene glycol  10 %"]),
        "above-solubility",
        Hint,
    );
    silent(
        &gel(&["allantoin  1 %", "propylene glycol  20 %"]),
        "above-solubility",
    );
    // Salicylic acid likes glycols: 5 % keep the rule silent.
    let acid = |more: &str| {
        product(
            "product: face gel, leave-on; type: gel; pH: 3.5",
            &["water  q.s.", "salicylic acid  1 %", more, P],
        )
    };
    says(&acid("panthenol  1 %"), "above-solubility", Warning);
    silent(&acid("propylene glycol  5 %"), "above-solubility");
    // A suspension is meant.
    silent(
        &product(
            "product: lotion, leave-on; type: suspension; pH: 6",
            &["water  q.s.", "allantoin  2 %", P],
        ),
        "above-solubility",
    );
}
