//! JSON Schemas of the files that a site adopts, generated from their types.

use schemars::{JsonSchema, Schema, SchemaGenerator, generate::SchemaSettings};

use super::{Checklist, Criteria, DishDesign, RetestRules};

fn generate<T: JsonSchema>() -> Schema {
    SchemaGenerator::new(SchemaSettings::draft2020_12()).into_root_schema_for::<T>()
}

/// The schema of one form of file by name: `checklist`, `criteria`, `retest-rules` or
/// `dish-design`.
pub fn schema(name: &str) -> Option<Schema> {
    schemas().into_iter().find(|(known, _)| *known == name).map(|(_, schema)| schema)
}

/// All schemas with their names.
pub fn schemas() -> Vec<(&'static str, Schema)> {
    vec![
        ("checklist", generate::<Checklist>()),
        ("criteria", generate::<Criteria>()),
        ("retest-rules", generate::<RetestRules>()),
        ("dish-design", generate::<DishDesign>()),
    ]
}
