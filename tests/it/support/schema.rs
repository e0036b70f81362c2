//! Holds an answer against its schema in `docs/schemas`.

use super::cli::{Answer, json};
use serde_json::Value;
use std::path::Path;

pub fn holds(name: &str, answer: &Answer) -> Value {
    let value = json(answer);
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("docs/schemas/{name}.schema.json"));
    let schema: Value =
        serde_json::from_str(&std::fs::read_to_string(path).expect("the schema is there"))
            .expect("it is JSON");
    let (mut schemas, mut compiler) = (boon::Schemas::new(), boon::Compiler::new());
    compiler
        .add_resource("answer.json", schema)
        .expect("it is a schema");
    let index = compiler
        .compile("answer.json", &mut schemas)
        .expect("it compiles");
    if let Err(e) = schemas.validate(&value, index) {
        panic!("{name}: {e:#}");
    }
    // A schema that lets anything through would be no schema.
    let mut wrong = value.clone();
    wrong["surprise"] = Value::Null;
    assert!(
        schemas.validate(&wrong, index).is_err(),
        "{name} takes unknown keys"
    );
    value
}
