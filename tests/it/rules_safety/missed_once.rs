//! Hazards that were missed once, and what stands next to them and is sound.

use super::*;
use phasewright::rules::Severity::{Error, Hint, Information, Warning};

/// A preservative at its level.
const P: &str = "phenoxyethanol (and) ethylhexylglycerin  1 %";

/// A name that is not known keeps quiet only what it could change: a hydrosol or a flavour preserves nothing.
#[test]
fn a_name_not_known_hides_no_open_water() {
    let toner = |row: &str| {
        product(
            "product: face toner, leave-on; type: solution; pH: 5.0 to 5.5",
            &["rose water  q.s.", "glycerin  4 %", row],
        )
    };
    for plain in ["moonflower water  20 %", "moon mint flavour  1 %"] {
        says(&toner(plain), "no-preservative", Error);
    }
    for doubtful in [
        "moonflower extract  2 %",
        "moonflower alcohol water  20 %",
        "moon preservative oil  1 %",
        "moonstuff  1 %",
        // More of it than of the water that is known.
        "moonflower water  60 %",
    ] {
        silent(&toner(doubtful), "no-preservative");
    }
}

#[test]
fn lashes_are_not_dyed_with_coal_tar() {
    let dye = |kind: &str| {
        product(
            &format!("product: {kind}, rinse-off; pH: 9.0 to 9.5"),
            &["water  q.s.", "p-phenylenediamine  1.5 %", P],
        )
        .replace("sold in: EU", "sold in: US")
    };
    for eyes in ["eyelash and eyebrow dye", "brow tint", "lash tint"] {
        says(&dye(eyes), "restricted-use", Error);
    }
    silent(&dye("hair dye"), "restricted-use");
    says(&dye("hand cream"), "restricted-use", Error);
}

#[test]
fn a_permanent_wave_has_its_own_limit() {
    let wave = |kind: &str, acid: &str| {
        product(
            &format!("product: {kind}, rinse-off; for: adults; pH: 8.6 to 9.0"),
            &["water  q.s.", &format!("thioglycolic acid  {acid}"), P],
        )
    };
    for kind in ["hair waving lotion", "permanent wave"] {
        silent(&wave(kind, "8 %"), "above-legal-limit");
        says(&wave(kind, "8.1 %"), "above-legal-limit", Error);
    }
    says(&wave("hair mask", "8 %"), "above-legal-limit", Error);
}

/// Not added below three years, and no more than traces from other materials.
#[test]
fn camphor_menthol_and_eucalyptus_for_small_children() {
    let rub = |whom: &str, row: &str| {
        product(
            &format!("product: body balm, leave-on; type: anhydrous; for: {whom}"),
            &["petrolatum  q.s.", "beeswax  12 %", row],
        )
    };
    says(&rub("under 3", "menthol  0.4 %"), "caution-child", Warning);
    says(
        &rub("under 3", "camphor  0.5 %"),
        "above-skin-maximum",
        Warning,
    );
    says(
        &rub("under 3", "eucalyptus globulus essential oil  2 %"),
        "above-skin-maximum",
        Warning,
    );
    silent(&rub("adults", "menthol  0.4 %"), "caution-child");
    silent(&rub("adults", "camphor  0.5 %"), "above-skin-maximum");
    // Mouth care is excepted.
    let paste = product(
        "product: children's toothpaste, rinse-off; type: suspension; pH: 7",
        &["water  q.s.", "hydrated silica  20 %", "menthol  0.5 %", P],
    );
    silent(&paste, "above-skin-maximum");
}

#[test]
fn essential_oils_at_the_eyes() {
    let remover = |row: &str| {
        product(
            "product: eye make-up remover, rinse-off; type: solution; pH: 7",
            &["water  q.s.", "polysorbate 20  5 %", row, P],
        )
    };
    says(
        &remover("peppermint essential oil  1 %"),
        "caution-eye",
        Warning,
    );
    says(&remover("menthol  0.1 %"), "caution-eye", Warning);
    says(&remover("parfum  0.1 %"), "caution-eye", Hint);
    silent(&remover("rose water  10 %"), "caution-eye");
}

#[test]
fn colours_at_the_eyes_in_the_us() {
    let shadow = |place: &str, row: &str| {
        product(
            &format!("product: {place}, leave-on; type: powder; form: pressed powder"),
            &["mica  q.s.", row],
        )
        .replace("sold in: EU", "sold in: US")
    };
    let red = "D&C Red No. 7 calcium lake  4 %";
    says(&shadow("eyeshadow", red), "restricted-use", Warning);
    silent(&shadow("blush", red), "restricted-use");
    silent(&shadow("eyeshadow", "CI 77491  4 %"), "restricted-use");
}

/// A polymer of positive charge throws a carbomer down; beside a gum it may cloud.
#[test]
fn a_gel_that_stands_by_its_charge() {
    let gel = |rows: &[&str]| {
        let mut all = vec!["water  q.s.", P];
        all.extend(rows);
        product("product: hair gel, leave-on; type: gel; pH: 6.5", &all)
    };
    says(
        &gel(&["carbomer  0.6 %", "polyquaternium-10  0.4 %"]),
        "charge-clash",
        Warning,
    );
    says(
        &gel(&["xanthan gum  0.6 %", "polyquaternium-10  0.4 %"]),
        "charge-clash",
        Hint,
    );
    silent(
        &gel(&["carbomer  0.6 %", "hydroxyethylcellulose  0.4 %"]),
        "charge-clash",
    );
}

/// Galen's cerate: beeswax alone holds three times its weight of water.
#[test]
fn beeswax_with_more_water_than_it_holds() {
    let cream = |water: &str| {
        product(
            "product: cold cream, leave-on; type: water-in-oil",
            &[
                "sweet almond oil  q.s.",
                "beeswax  10 %",
                &format!("water  {water}"),
                P,
            ],
        )
    };
    silent(&cream("29 %"), "no-emulsifier");
    says(&cream("31 %"), "no-emulsifier", Warning);
}

#[test]
fn an_emulsifier_that_is_next_to_none() {
    let milk = |rows: &[&str]| {
        let mut all = vec!["water  q.s.", "olive oil  20 %", "squalane  5 %", P];
        all.extend(rows);
        product(
            "product: body milk, leave-on; type: oil-in-water; pH: 5.5",
            &all,
        )
    };
    says(&milk(&["polysorbate 20  1.2 %"]), "emulsifier-low", Warning);
    silent(&milk(&["polysorbate 20  1.3 %"]), "emulsifier-low");
    // A polymer that swells around the drops holds them with less.
    silent(
        &milk(&[
            "polysorbate 20  0.3 %",
            "acrylates/C10-30 alkyl acrylate crosspolymer  0.3 %",
        ]),
        "emulsifier-low",
    );
}

#[test]
fn what_dissolves_in_water_alone_in_an_oil() {
    let oil = |fields: &str, rows: &[&str]| {
        let mut all = vec!["squalane  q.s."];
        all.extend(rows);
        product(&format!("product: face oil, leave-on; {fields}"), &all)
    };
    let code = "wrong-phase";
    says(
        &oil("type: anhydrous", &["niacinamide  4 %"]),
        code,
        Warning,
    );
    // A balm is stiff: grains stay where they are.
    says(
        &oil("type: anhydrous; form: balm", &["niacinamide  4 %"]),
        code,
        Hint,
    );
    silent(&oil("type: suspension", &["niacinamide  4 %"]), code);
    silent(&oil("type: anhydrous", &["bisabolol  1 %"]), code);
    silent(
        &oil(
            "type: anhydrous",
            &["glycerin  4 %", "polysorbate 80  10 %"],
        ),
        code,
    );
    // A powder is meant to stand in it.
    silent(&oil("type: anhydrous", &["zinc oxide  10 %"]), code);
}

#[test]
fn a_promise_that_outlives_the_oil() {
    let oil = |claims: &str, guard: &str| {
        product(
            &format!("product: face oil, leave-on; type: anhydrous; claims: {claims}"),
            &["hemp seed oil  50 %", "squalane  q.s.", guard],
        )
    };
    let code = "oil-oxidizes";
    let none = "jojoba oil  1 %";
    says(&oil("keeps 24 months", none), code, Warning);
    says(&oil("lasts 2 years", none), code, Warning);
    // Hemp seed oil keeps nine months when fresh.
    says(&oil("keeps 9 months", none), code, Hint);
    says(&oil("for dry skin", none), code, Hint);
    silent(&oil("keeps 24 months", "tocopherol  0.5 %"), code);
}

#[test]
fn essential_oils_in_the_bath() {
    let salts = |rows: &[&str]| {
        let mut all = vec!["Epsom salt  q.s."];
        all.extend(rows);
        product("product: bath salts, rinse-off; type: powder", &all)
    };
    let code = "needs-solubilizer";
    says(
        &salts(&["eucalyptus globulus essential oil  2 %"]),
        code,
        Warning,
    );
    says(&salts(&["lavender oil  0.2 %"]), code, Warning);
    silent(&salts(&["lavender oil  0.1 %"]), code);
    silent(
        &salts(&["lavender oil  0.5 %", "polysorbate 80  2 %"]),
        code,
    );
    // Three times as much oil thins it.
    silent(
        &salts(&["lavender oil  0.5 %", "sweet almond oil  1.5 %"]),
        code,
    );
    says(
        &salts(&["lavender oil  0.5 %", "sweet almond oil  1.4 %"]),
        code,
        Warning,
    );
}

/// A baby cannot turn away from the cloud.
#[test]
fn loose_powder_for_a_baby_and_for_a_face() {
    let powder = |fields: &str| {
        product(
            &format!("{fields}; type: powder; form: loose powder"),
            &["kaolin  20 %", "corn starch  q.s."],
        )
    };
    let code = "inhalation";
    says(&powder("product: baby powder, leave-on"), code, Warning);
    says(
        &powder("product: body powder, leave-on; for: under 3"),
        code,
        Warning,
    );
    says(&powder("product: face powder, leave-on"), code, Information);
}
