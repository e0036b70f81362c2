//! The Schedule of the Canadian Cosmetic Regulations (C.R.C., c. 869, s. 21.2(4), as of 12 April 2026): names of the
//! European glossary with their INCI names and the French ones. A label may print the first, the other two, or all three.

/// European name, INCI name, French equivalent.
const SCHEDULE: [(&str, &str, &str); 64] = [
    ("Acetum", "Vinegar", "Vinaigre"),
    ("Adeps Bovis", "Tallow", "Suif"),
    ("Adeps Suillus", "Lard", "Saindoux"),
    ("Aqua", "Water", "Eau"),
    ("Bombyx Lipida", "Silkworm Extract", "Extrait de ver à soie"),
    ("Brevoortia Oil", "Menhaden Oil", "Huile de menhaden"),
    ("Bubulum Oil", "Neatsfoot Oil", "Huile de pied de bœuf"),
    (
        "Butyris Lac Powder",
        "Buttermilk Powder",
        "Babeurre en poudre",
    ),
    ("Butyrum", "Butter", "Beurre"),
    (
        "Candelilla Cera",
        "Euphorbia Cerifera (Candelilla) Wax",
        "Cire de candelilla",
    ),
    ("Caprae Lac", "Goat Milk", "Lait de chèvre"),
    ("Cera Alba", "Beeswax", "Cire d’abeille"),
    (
        "Cera Microcristallina",
        "Microcrystalline Wax",
        "Cire microcristalline",
    ),
    ("Colophonium", "Rosin", "Colophane"),
    (
        "Copernicia Cerifera Cera",
        "Copernicia Cerifera (Carnauba) Wax",
        "Cire de carnauba",
    ),
    ("Dromiceius Oil", "Emu Oil", "Huile d’émeu"),
    ("Faex", "Lactic Yeasts", "Levures lactiques"),
    ("Faex", "Yeast", "Levure"),
    ("Faex", "Yeast Extract", "Extrait de levure"),
    ("Gadi Lecur Oil", "Cod Liver Oil", "Huile de foie de morue"),
    (
        "Hoplostethus Oil",
        "Orange Roughy Oil",
        "Huile d’hoplostète orange",
    ),
    ("Lac", "Milk", "Lait"),
    ("Lac", "Whole Dry Milk", "Lait entier en poudre"),
    ("Lactis Lipida", "Milk Lipids", "Lipides du lait"),
    ("Lactis Proteinum", "Milk Protein", "Protéine du lait"),
    ("Lactis Proteinum", "Whey Protein", "Protéine du petit-lait"),
    ("Lanolin Cera", "Lanolin Wax", "Cire de lanoline"),
    ("Maris Aqua", "Sea Water", "Eau de mer"),
    (
        "Maris Limus Extract",
        "Sea Silt Extract",
        "Extrait de limon marin",
    ),
    ("Maris Sal", "Sea Salt", "Sel marin"),
    ("Mel", "Honey", "Miel"),
    ("Mel Extract", "Honey Extract", "Extrait de miel"),
    ("Montan Cera", "Montan Wax", "Cire de Montan"),
    ("Mustela Cera", "Mink Wax", "Cire de vison"),
    ("Mustela Oil", "Mink Oil", "Huile de vison"),
    ("Olus Oil", "Vegetable Oil", "Huile végétale"),
    (
        "Ostrea Edulis Extract",
        "Oyster Extract",
        "Extrait d’huître",
    ),
    (
        "Ostrea Shell Extract",
        "Oyster Shell Extract",
        "Extrait de coquille d’huître",
    ),
    (
        "Ostrea Shell Powder",
        "Oyster Shell Powder",
        "Poudre de coquille d’huître",
    ),
    ("Ovum", "Dried Egg Yolk", "Poudre de jaune d’œufs"),
    ("Ovum", "Egg", "Œuf"),
    ("Ovum", "Egg Yolk Extract", "Extrait de jaune d’œuf"),
    ("Ovum Oil", "Egg Oil", "Huile d’œufs"),
    ("Ovum Powder", "Egg Powder", "Poudre d’oeufs"),
    ("Paraffinum Liquidum", "Mineral Oil", "Huile minérale"),
    ("Pellis Lipida", "Skin Lipids", "Lipides cutanés"),
    ("Pisces Extract", "Fish Extract", "Extrait de poisson"),
    (
        "Piscum Cartilage Extract",
        "Fish Cartilage Extract",
        "Extrait de cartilage de poisson",
    ),
    (
        "Piscum Lecur Oil",
        "Fish Liver Oil",
        "Huile de foie de poisson",
    ),
    ("Pix", "Tar Oil", "Huile d’anthracène"),
    ("Propolis Cera", "Propolis Wax", "Cire de propolis"),
    ("Salmo Oil", "Salmon Oil", "Huile de saumon"),
    (
        "Salmo Ovum Extract",
        "Salmon Egg Extract",
        "Extrait d’œufs de saumon",
    ),
    ("Sepia Extract", "Cuttlefish Extract", "Extrait de seiche"),
    ("Serica", "Silk", "Soie"),
    ("Serica Extract", "Silk Extract", "Extrait de soie"),
    ("Serica Powder", "Silk Powder", "Poudre de soie"),
    ("Shellac Cera", "Shellac Wax", "Cire de laque"),
    (
        "Sine Adipe Colostrum",
        "Nonfat Dry Colostrum",
        "Poudre de colostrum écrémé",
    ),
    ("Sine Adipe Lac", "Nonfat Dry Milk", "Poudre de lait écrémé"),
    (
        "Solum Diatomeae",
        "Diatomaceous Earth",
        "Terre de diatomées",
    ),
    ("Solum Fullonum", "Fuller’s Earth", "Terre à foulon"),
    ("Sus Extract", "Pigskin Extract", "Extrait de peau de porc"),
    ("Tallol", "Tall Oil", "Tallöl"),
];

/// "Aqua/Water/Eau" for what the Schedule names; by its INCI name first, as one European name may stand for several.
pub fn names(european: Option<&str>, inci: Option<&str>) -> Option<String> {
    let by_inci = |wanted: &str| SCHEDULE.iter().find(|(_, name, _)| *name == wanted);
    let row = inci
        .and_then(by_inci)
        .or_else(|| european.and_then(by_inci))
        .or_else(|| SCHEDULE.iter().find(|(name, ..)| Some(*name) == european))?;
    let (first, second, third) = row;
    Some(format!("{first}/{second}/{third}"))
}
