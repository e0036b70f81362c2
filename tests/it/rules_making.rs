//! Emulsions, pairs, the method and cautions, each from both sides of its threshold: what must be said, and what must not.

use phasewright::kb::Kb;
use phasewright::model::{NoFiles, Settings};
use phasewright::rules::Severity::{Error, Hint, Information, Warning};
use phasewright::rules::{Finding, Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use std::path::Path;
use std::sync::LazyLock;

static KB: LazyLock<Kb> = LazyLock::new(Kb::bundled);

fn findings(text: &str) -> Vec<Finding> {
    let settings = Settings::on("2026-11-01".parse().expect("a day"));
    let tree = parse(FileKind::Formula, text);
    analyze(tree, Path::new("test.formula"), &KB, &settings, &NoFiles)
        .findings()
        .to_vec()
}

/// Fields parted by "; ", then rows in one phase.
fn product(fields: &str, rows: &[&str]) -> String {
    let fields: String = fields.split("; ").map(|f| format!("  {f}\n")).collect();
    let rows: String = rows.iter().map(|r| format!("  {r}\n")).collect();
    format!("formula \"Test\"\n{fields}\nphase A\n{rows}")
}

/// A hand cream with its oil phase and the steps of its method.
fn cream(oil: &[&str], steps: &[&str]) -> String {
    let oil: String = oil.iter().map(|r| format!("  {r}\n")).collect();
    let steps: String = steps.iter().map(|s| format!("  {s}\n")).collect();
    let method = if steps.is_empty() {
        String::new()
    } else {
        format!("\nmethod\n{steps}")
    };
    format!(
        "formula \"Test\"\n  product: hand cream, leave-on\n  type: oil-in-water\n  pH: 5.0 to 5.4\n\nphase A \"water\" at 75 °C\n  water  q.s.\n  methylparaben  0.3 %\n\nphase B \"oil\" at 75 °C\n{oil}{method}"
    )
}

#[track_caller]
fn says(text: &str, code: &str, level: Severity) {
    let found = findings(text);
    let mine: Vec<&Finding> = found.iter().filter(|f| f.code == code).collect();
    let all: Vec<String> = found
        .iter()
        .map(|f| format!("{} {}: {}", f.severity.name(), f.code, f.whole()))
        .collect();
    assert!(
        mine.len() == 1 && mine[0].severity == level,
        "wanted one {} {code} in\n{text}\nfound\n  {}",
        level.name(),
        all.join("\n  ")
    );
}

#[track_caller]
fn silent(text: &str, code: &str) {
    let found: Vec<String> = findings(text)
        .iter()
        .filter(|f| f.code == code)
        .map(|f| format!("{} {}: {}", f.severity.name(), f.code, f.whole()))
        .collect();
    assert!(
        found.is_empty(),
        "wanted no {code} in\n{text}\nfound\n  {}",
        found.join("\n  ")
    );
}

const OIL: &str = "sunflower oil  10 %";

#[test]
fn too_little_emulsifier() {
    let code = "emulsifier-low";
    says(
        &cream(&[OIL, "glyceryl stearate citrate  0.9 %"], &[]),
        code,
        Warning,
    );
    silent(&cream(&[OIL, "glyceryl stearate citrate  1 %"], &[]), code);
    // Two halves make a whole.
    silent(
        &cream(
            &[
                OIL,
                "glyceryl stearate citrate  0.6 %",
                "polysorbate 60  0.6 %",
            ],
            &[],
        ),
        code,
    );
    // Others hold it, or what holds it is not known.
    silent(
        &cream(
            &[OIL, "glyceryl stearate citrate  0.5 %", "lanolin  2 %"],
            &[],
        ),
        code,
    );
    silent(
        &cream(
            &[OIL, "glyceryl stearate citrate  0.5 %", "mystery wax  2 %"],
            &[],
        ),
        code,
    );
    // A trace of oil is no emulsion.
    silent(
        &cream(
            &["sunflower oil  3 %", "glyceryl stearate citrate  0.5 %"],
            &[],
        ),
        code,
    );
}

#[test]
fn the_other_kind_of_emulsion() {
    let code = "type-mismatch";
    says(
        &cream(&[OIL, "polyglyceryl-2 dipolyhydroxystearate  3 %"], &[]),
        code,
        Warning,
    );
    silent(
        &cream(
            &[
                OIL,
                "polyglyceryl-2 dipolyhydroxystearate  3 %",
                "polysorbate 60  1 %",
            ],
            &[],
        ),
        code,
    );
    silent(&cream(&[OIL, "glyceryl stearate citrate  3 %"], &[]), code);
    let inverse = |emulsifier: &str| {
        cream(&[OIL, emulsifier], &[]).replace("type: oil-in-water", "type: water-in-oil")
    };
    says(&inverse("polysorbate 60  3 %"), code, Warning);
    silent(&inverse("polyglyceryl-2 dipolyhydroxystearate  3 %"), code);
}

#[test]
fn hlb_of_nonionics_only() {
    let code = "hlb-mismatch";
    says(
        &cream(&[OIL, "polysorbate 60  4 %"], &[]),
        code,
        Information,
    );
    // Sunflower asks for 7: 1.2 parts of 14.9 and 2.8 of 4.7 give 7.8, 2 and 2 give 9.8.
    silent(
        &cream(
            &[OIL, "polysorbate 60  1.2 %", "sorbitan stearate  2.8 %"],
            &[],
        ),
        code,
    );
    says(
        &cream(&[OIL, "polysorbate 60  2 %", "sorbitan stearate  2 %"], &[]),
        code,
        Information,
    );
    // A charged partner, an emulsifying wax, or an oil without a figure.
    silent(
        &cream(
            &[OIL, "polysorbate 60  4 %", "glyceryl stearate citrate  1 %"],
            &[],
        ),
        code,
    );
    silent(
        &cream(&[OIL, "polysorbate 60  4 %", "cetearyl alcohol  4 %"], &[]),
        code,
    );
    says(
        &cream(&[OIL, "polysorbate 60  4 %", "cetearyl alcohol  1 %"], &[]),
        code,
        Information,
    );
}

#[test]
fn opposite_charges() {
    let code = "charge-clash";
    let hair = |rows: &[&str]| {
        let mut all = vec!["water  q.s."];
        all.extend(rows);
        product("product: conditioner, rinse-off; pH: 4.5", &all)
    };
    says(
        &hair(&[
            "behentrimonium chloride  2 %",
            "glyceryl stearate citrate  2 %",
        ]),
        code,
        Warning,
    );
    says(
        &hair(&["behentrimonium chloride  2 %", "xanthan gum  0.3 %"]),
        code,
        Warning,
    );
    silent(
        &hair(&["behentrimonium chloride  2 %", "xanthan gum  0.04 %"]),
        code,
    );
    // Betaines and nonionic gums do not count, and conditioning polymers are made for shampoo.
    silent(
        &hair(&[
            "behentrimonium chloride  2 %",
            "cocamidopropyl betaine  5 %",
            "hydroxyethylcellulose  1 %",
        ]),
        code,
    );
    silent(
        &hair(&["polyquaternium-10  0.3 %", "sodium laureth sulfate  30 %"]),
        code,
    );
    says(
        &hair(&["polyquaternium-10  0.3 %", "xanthan gum  0.3 %"]),
        code,
        Hint,
    );
}

#[test]
fn salt_and_thickeners() {
    let code = "salt-thins";
    let gel = |rows: &[&str]| {
        let mut all = vec!["water  q.s.", "phenoxyethanol  0.9 %"];
        all.extend(rows);
        product("product: hand cream, leave-on; type: gel; pH: 6", &all)
    };
    says(
        &gel(&["carbomer  0.5 %", "sodium chloride  0.11 %"]),
        code,
        Warning,
    );
    silent(&gel(&["carbomer  0.5 %", "sodium chloride  0.1 %"]), code);
    silent(
        &gel(&["hydroxyethylcellulose  1 %", "sodium chloride  2 %"]),
        code,
    );
    // Magnesium is a pair of its own: one cause, one message.
    silent(&gel(&["carbomer  0.5 %", "magnesium sulfate  1 %"]), code);
    says(
        &gel(&["carbomer  0.5 %", "magnesium sulfate  1 %"]),
        "incompatible",
        Warning,
    );
    let shampoo = |salt: &str| {
        product(
            "product: shampoo, rinse-off; type: surfactant; pH: 5.5",
            &["water  q.s.", "sodium laureth sulfate  35 %", salt],
        )
    };
    says(&shampoo("sodium chloride  3.1 %"), code, Hint);
    silent(&shampoo("sodium chloride  3 %"), code);
}

#[test]
fn thickeners_and_ph() {
    let code = "thickener-ph";
    let gel = |ph: &str| {
        product(
            &format!("product: hand cream, leave-on; type: gel; pH: {ph}"),
            &[
                "water  q.s.",
                "acrylates/C10-30 alkyl acrylate crosspolymer  0.5 %",
                "phenoxyethanol  0.9 %",
            ],
        )
    };
    says(&gel("4.6"), code, Warning);
    silent(&gel("4.7"), code);
    silent(&gel("4.5 to 5.5"), code);
}

#[test]
fn pairs_by_level_and_ph() {
    let code = "incompatible";
    let cream = |ph: &str, rows: &[&str]| {
        let mut all = vec!["water  q.s."];
        all.extend(rows);
        product(&format!("product: face cream, leave-on; pH: {ph}"), &all)
    };
    says(
        &cream("5", &["zinc oxide  5 %", "lactic acid  2 %"]),
        code,
        Warning,
    );
    silent(&cream("7", &["zinc oxide  5 %", "lactic acid  2 %"]), code);
    silent(
        &cream("5", &["zinc oxide  0.9 %", "lactic acid  2 %"]),
        code,
    );
    silent(
        &cream("5", &["zinc oxide  5 %", "lactic acid  0.4 %"]),
        code,
    );
    silent(&cream("5", &["zinc oxide  5 %"]), code);
}

#[test]
fn rancid_oils() {
    let code = "oil-oxidizes";
    let oil = |rows: &[&str]| product("product: body oil, leave-on; type: anhydrous", rows);
    says(&oil(&["sunflower oil  10 %", "squalane  90 %"]), code, Hint);
    silent(&oil(&["sunflower oil  3 %", "squalane  97 %"]), code);
    silent(
        &oil(&[
            "sunflower oil  10 %",
            "tocopherol  0.2 %",
            "squalane  89.8 %",
        ]),
        code,
    );
    silent(
        &oil(&["sunflower oil  10 %", "mystery oil  1 %", "squalane  89 %"]),
        code,
    );
}

const HELD: [&str; 2] = ["sunflower oil  10 %", "glyceryl stearate citrate  3 %"];

#[test]
fn the_method_step_by_step() {
    let c = |steps: &[&str]| {
        cream(
            &[
                "sunflower oil  10 %",
                "cetearyl alcohol  3 %",
                "glyceryl stearate citrate  3 %",
            ],
            steps,
        )
    };
    says(
        &c(&["heat A and B to 75 °C", "add B", "stir 2 min", "add B"]),
        "added-twice",
        Error,
    );
    silent(
        &c(&["heat A and B to 75 °C", "add B", "stir 2 min"]),
        "added-twice",
    );
    says(
        &c(&[
            "heat A and B to 75 °C",
            "hold A and B 9 min",
            "pour B into A",
        ]),
        "hold-short",
        Hint,
    );
    silent(
        &c(&[
            "heat A and B to 75 °C",
            "hold A and B 10 min",
            "pour B into A",
        ]),
        "hold-short",
    );
    silent(
        &c(&["heat A and B to 75 °C", "hold B 3 min", "pour B into A"]),
        "hold-short",
    );
    silent(
        &c(&["heat A and B to 75 °C", "pour B into A"]),
        "hold-short",
    );
    says(
        &c(&["heat A and B to 75 °C", "pour B into A"]),
        "water-loss",
        Hint,
    );
    silent(
        &c(&["heat A and B to 75 °C under a lid", "pour B into A"]),
        "water-loss",
    );
    silent(
        &c(&["heat A and B to 75 °C", "top up the water", "pour B into A"]),
        "water-loss",
    );
    silent(
        &c(&["heat A to 55 °C", "heat B to 55 °C", "pour B into A"]),
        "water-loss",
    );
    says(
        &c(&[
            "heat A and B to 75 °C",
            "pour B into A",
            "cool to 46 °C",
            "fill",
        ]),
        "filled-warm",
        Hint,
    );
    silent(
        &c(&[
            "heat A and B to 75 °C",
            "pour B into A",
            "cool to 45 °C",
            "fill",
        ]),
        "filled-warm",
    );
    says(
        &c(&["heat A and B to 75 °C", "twiddle it", "pour B into A"]),
        "step-not-understood",
        Hint,
    );
    silent(
        &c(&["heat A and B to 75 °C", "pour B into A"]),
        "step-not-understood",
    );
}

#[test]
fn phases_that_meet_apart() {
    let code = "phases-apart";
    let waxes = [
        "sunflower oil  10 %",
        "cetearyl alcohol  3 %",
        "glyceryl stearate citrate  3 %",
    ];
    says(
        &cream(
            &waxes,
            &["heat B to 75 °C", "heat A to 64 °C", "pour B into A"],
        ),
        code,
        Hint,
    );
    silent(
        &cream(
            &waxes,
            &["heat B to 75 °C", "heat A to 65 °C", "pour B into A"],
        ),
        code,
    );
    says(
        &cream(&waxes, &["heat B to 75 °C", "pour B into A"]),
        code,
        Warning,
    );
    // By the headings alone.
    let headings = |c: &str| {
        cream(&HELD, &[]).replace(
            "phase B \"oil\" at 75 °C",
            &format!("phase B \"oil\" at {c} °C"),
        )
    };
    says(&headings("64"), code, Hint);
    silent(&headings("65"), code);
}

#[test]
fn sun_on_expressed_oils() {
    let code = "phototoxic";
    let oil = |product_: &str, rows: &[&str]| {
        product(
            &format!("product: {product_}; type: anhydrous; sold in: US"),
            rows,
        )
    };
    says(
        &oil(
            "body oil, leave-on",
            &["bergamot essential oil  0.41 %", "squalane  99.59 %"],
        ),
        code,
        Warning,
    );
    silent(
        &oil(
            "body oil, leave-on",
            &["bergamot essential oil  0.4 %", "squalane  99.6 %"],
        ),
        code,
    );
    // Half of each limit and a little more.
    says(
        &oil(
            "body oil, leave-on",
            &[
                "bergamot essential oil  0.2 %",
                "lemon oil  1.1 %",
                "squalane  98.7 %",
            ],
        ),
        code,
        Warning,
    );
    silent(
        &oil(
            "body oil, leave-on",
            &[
                "bergamot essential oil  0.2 %",
                "lemon oil  1 %",
                "squalane  98.8 %",
            ],
        ),
        code,
    );
    silent(
        &oil(
            "shower gel, rinse-off",
            &["bergamot essential oil  1 %", "squalane  99 %"],
        ),
        code,
    );
    silent(
        &oil(
            "body oil, leave-on",
            &["bergamot FCF  1 %", "squalane  99 %"],
        ),
        code,
    );
}

#[test]
fn breath_fire_and_gas() {
    let powder = |form: &str, kaolin: &str, starch: &str| {
        product(
            &format!("product: body powder, leave-on; type: powder; form: {form}"),
            &[
                &format!("kaolin  {kaolin}"),
                &format!("magnesium sulfate  {starch}"),
            ],
        )
    };
    // For adults; a baby's powder is a warning.
    says(
        &powder("loose powder", "1 %", "99 %"),
        "inhalation",
        Information,
    );
    silent(&powder("loose powder", "0.9 %", "99.1 %"), "inhalation");
    silent(&powder("pressed powder", "20 %", "80 %"), "inhalation");
    let rub = |heat: &str, alcohol: &str| {
        product(
            "product: body lotion, leave-on; type: solution",
            &["water  q.s.", &format!("n-propanol  {alcohol}")],
        )
        .replace("phase A", &format!("phase A {heat}"))
    };
    says(&rub("at 46 °C", "30 %"), "flammable", Warning);
    silent(&rub("at 45 °C", "30 %"), "flammable");
    silent(&rub("at 70 °C", "4 %"), "flammable");
    let fizz = |ph: &str, soda: &str| {
        product(
            &format!("product: face gel, leave-on; pH: {ph}"),
            &[
                "water  q.s.",
                "lactic acid  1 %",
                &format!("baking soda  {soda}"),
            ],
        )
    };
    says(&fizz("5", "0.1 %"), "gas-pressure", Warning);
    silent(&fizz("5", "0.09 %"), "gas-pressure");
    silent(&fizz("8", "1 %"), "gas-pressure");
    silent(
        &product(
            "product: bath bomb, rinse-off; type: powder",
            &["citric acid  40 %", "baking soda  60 %"],
        ),
        "gas-pressure",
    );
}

#[test]
fn cautions_once_and_aloud_when_it_is_sold() {
    let oil = |fields: &str, rows: &[&str]| {
        product(
            &format!("product: body oil, leave-on; type: anhydrous; {fields}"),
            rows,
        )
    };
    let sold = "sold in: US; fill: 10 x 50 g";
    for (row, code) in [
        ("retinal  0.05 %", "caution-sun"),
        ("retinol  0.05 %", "caution-pregnancy"),
        ("hazelnut oil  5 %", "caution-nut"),
    ] {
        says(&oil(sold, &[row, "squalane  90 %"]), code, Information);
        says(&oil("sold in: US", &[row, "squalane  90 %"]), code, Hint);
        silent(&oil(sold, &["squalane  100 %"]), code);
    }
    // One word, however many there are.
    says(
        &oil(
            sold,
            &[
                "hazelnut oil  5 %",
                "sweet almond oil  5 %",
                "squalane  90 %",
            ],
        ),
        "caution-nut",
        Information,
    );
    silent(
        &oil(sold, &["hazelnut oil  0.09 %", "squalane  99.91 %"]),
        "caution-nut",
    );
    // An acid that only sets the pH.
    let gel = |acid: &str| product("product: face gel, leave-on; pH: 4", &["water  q.s.", acid]);
    says(&gel("lactic acid  1 %"), "caution-sun", Hint);
    silent(&gel("lactic acid  0.9 %"), "caution-sun");
    says(
        &oil("use: eye", &["lavender oil  0.1 %", "squalane  99.9 %"]),
        "caution-eye",
        Warning,
    );
    silent(
        &oil("use: body", &["lavender oil  0.1 %", "squalane  99.9 %"]),
        "caution-eye",
    );
    says(
        &oil(
            "for: under 3",
            &["eucalyptus oil  0.1 %", "squalane  99.9 %"],
        ),
        "caution-child",
        Information,
    );
    silent(
        &oil(
            "for: adults",
            &["eucalyptus oil  0.1 %", "squalane  99.9 %"],
        ),
        "caution-child",
    );
    let salts = |starch: &str, salt: &str| {
        product(
            "product: bath salts, rinse-off; type: powder",
            &[
                &format!("cornstarch  {starch}"),
                &format!("magnesium sulfate  {salt}"),
            ],
        )
    };
    says(&salts("30 %", "70 %"), "caution-dust", Information);
    silent(&salts("29 %", "71 %"), "caution-dust");
    says(
        &gel("sodium hydroxide  0.5 %"),
        "caution-caustic",
        Information,
    );
    silent(&gel("sodium hydroxide  0.4 %"), "caution-caustic");
    let hot = |c: &str| {
        oil("sold in: US", &["carnauba wax  5 %", "squalane  95 %"])
            .replace("phase A", &format!("phase A at {c} °C"))
    };
    says(&hot("91"), "caution-hot", Information);
    silent(&hot("90"), "caution-hot");
}

#[test]
fn labels_and_sales() {
    let oil = |fields: &str, rows: &[&str]| {
        product(
            &format!("product: body oil, leave-on; type: anhydrous; {fields}"),
            rows,
        )
    };
    says(
        &oil("sold in: EU", &["lavender oil  0.3 %", "squalane  99.7 %"]),
        "allergen-label",
        Hint,
    );
    silent(
        &oil("sold in: US", &["lavender oil  0.3 %", "squalane  99.7 %"]),
        "allergen-label",
    );
    silent(&oil("sold in: EU", &["squalane  100 %"]), "allergen-label");
    // In the list of ingredients by itself.
    silent(
        &oil("sold in: EU", &["linalool  0.3 %", "squalane  99.7 %"]),
        "allergen-label",
    );
    says(
        &oil("sold in: EU; fill: 10 x 50 g", &["squalane  100 %"]),
        "before-you-sell",
        Information,
    );
    silent(&oil("sold in: EU", &["squalane  100 %"]), "before-you-sell");
    silent(
        &oil("fill: 10 x 50 g", &["squalane  100 %"]),
        "before-you-sell",
    );
}

/// A powder by the spoon is weighed with the air in it: a US teaspoon of 4.93 mL of baking soda, loose 0.93 g/mL, is 4.58 g.
#[test]
fn powders_by_the_spoon() {
    let salts = product(
        "product: bath salts, rinse-off",
        &["sea salt  100 g", "baking soda  1 tsp"],
    );
    let found = findings(&salts);
    let said = found
        .iter()
        .find(|f| f.code == "volume-unit")
        .expect("a spoon is an estimate");
    assert!(
        said.message.contains("4.58 g") && said.message.contains("0.93"),
        "{}",
        said.message
    );
    // A liquid goes by its own density.
    let oil = product(
        "product: body oil, leave-on",
        &["sunflower oil  100 g", "castor oil  1 tsp"],
    );
    let found = findings(&oil);
    let said = found
        .iter()
        .find(|f| f.code == "volume-unit")
        .expect("a spoon is an estimate");
    assert!(said.message.contains("0.959"), "{}", said.message);
}
