//! The JSON Schemas that editors use for the files of a knowledge base, made from the shapes.

use crate::schema::{Ingredient, LawFile, PairsFile, ProductsFile, SourcesFile, ThresholdsFile};
use schemars::{JsonSchema, Schema, schema_for};
use std::path::Path;

/// `PHASEWRIGHT_WRITE_SCHEMAS=1` writes what is not current.
fn is_current(name: &str, schema: &Schema) {
    let file = format!("{name}-file.schema.json");
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/schemas");
    let wanted = serde_json::to_string_pretty(schema).expect("a schema is JSON") + "\n";
    if std::env::var_os("PHASEWRIGHT_WRITE_SCHEMAS").is_some() {
        std::fs::write(folder.join(&file), &wanted).expect("the folder can be written");
    }
    let written = std::fs::read_to_string(folder.join(&file)).unwrap_or_default();
    assert!(
        written == wanted,
        "docs/schemas/{file} is not what the shapes say; run the tests once with PHASEWRIGHT_WRITE_SCHEMAS=1"
    );
}

fn check<T: JsonSchema>(name: &str) {
    is_current(name, &schema_for!(T));
}

#[test]
fn schemas_of_the_files_are_current() {
    check::<Ingredient>("ingredient");
    check::<LawFile>("law");
    check::<SourcesFile>("sources");
    check::<PairsFile>("pairs");
    check::<ProductsFile>("products");
    check::<ThresholdsFile>("thresholds");
}
