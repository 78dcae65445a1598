//! The JSON Schemas: generated from the code, kept in the repository, and as strict as it.
//!
//! `DISHWRIGHT_BLESS=1 cargo test -p acceptance schemas` writes them anew.

use acceptance::{Calculation, calculations};
use serde_json::Value;

fn folder() -> std::path::PathBuf {
    std::path::PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../schema/json/calculations"))
}

fn schemas(calculation: &Calculation) -> [(String, Value); 2] {
    let name = calculation.name();
    [
        (format!("{name}.input.json"), calculation.input_schema()),
        (format!("{name}.output.json"), calculation.output_schema()),
    ]
}

#[test]
fn schemas_in_the_repository_are_the_generated_ones() {
    let bless = std::env::var_os("DISHWRIGHT_BLESS").is_some();
    for (file, schema) in calculations().iter().flat_map(schemas) {
        let generated = serde_json::to_string_pretty(&schema).unwrap() + "\n";
        let path = folder().join(&file);
        if bless {
            std::fs::create_dir_all(folder()).unwrap();
            std::fs::write(&path, &generated).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            kept == generated,
            "{file} differs from the code; write it anew with \
             `DISHWRIGHT_BLESS=1 cargo test -p acceptance schemas`"
        );
    }
}

/// `good` passes schema and calculation, `bad` neither, `wrong` only the schema.
#[test]
fn examples_are_what_their_names_say() {
    for calculation in calculations() {
        let validator = jsonschema::validator_for(&calculation.input_schema()).unwrap();
        let (mut good, mut bad) = (0, 0);
        for example in calculation.examples() {
            let value: Value = serde_json::from_str(example.text).unwrap();
            let by_schema = validator.is_valid(&value);
            let by_program = calculation.run(&value).is_ok();
            let expected = match example.name.split('-').next() {
                Some("good") => (true, true),
                Some("bad") => (false, false),
                Some("wrong") => (true, false),
                _ => panic!("{} says nothing about itself", example.name),
            };
            assert_eq!((by_schema, by_program), expected, "{}", example.name);
            good += usize::from(by_program);
            bad += usize::from(!by_schema);
        }
        assert!(good >= 1 && bad >= 5, "{}: {good} good, {bad} bad", calculation.name());
    }
}

#[test]
fn every_sheet_fits_its_schema() {
    for calculation in calculations() {
        let validator = jsonschema::validator_for(&calculation.output_schema()).unwrap();
        for example in calculation.examples().iter().filter(|e| e.name.starts_with("good-")) {
            let sheet = serde_json::to_value(calculation.run_text(example.text).unwrap()).unwrap();
            assert!(validator.is_valid(&sheet), "{}", example.name);
        }
    }
}

/// Every example file is built in, so that none is forgotten.
#[test]
fn every_example_file_is_listed() {
    for calculation in calculations() {
        let folder = format!("{}/examples-data/{}", env!("CARGO_MANIFEST_DIR"), calculation.name());
        let mut files: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .map(|name| name.trim_end_matches(".json").to_owned())
            .collect();
        files.sort();
        let mut listed: Vec<_> = calculation.examples().iter().map(|e| e.name.to_owned()).collect();
        listed.sort();
        assert_eq!(files, listed);
    }
}

/// Unknown fields are refused at every depth, by schema and by program.
#[test]
fn unknown_fields_are_refused_at_every_depth() {
    let calculation = acceptance::calculation("pressure-decay").unwrap();
    let validator = jsonschema::validator_for(&calculation.input_schema()).unwrap();
    for parent in ["", "/start", "/end", "/limit", "/uncertainty", "/uncertainty/volume"] {
        let mut input = crate::decay_cases::circuit();
        assert!(validator.is_valid(&input));
        let object = input.pointer_mut(parent).unwrap().as_object_mut().unwrap();
        object.insert("humidity".to_owned(), Value::String("40 %".to_owned()));
        assert!(!validator.is_valid(&input), "schema took humidity in “{parent}”");
        let refusal = calculation.run(&input).unwrap_err();
        assert_eq!((refusal.code.as_str(), refusal.field.as_str()), ("unknown_field", "humidity"));
    }
}

/// What the schema takes as a reading in the right unit, the program takes too.
#[test]
fn the_pattern_takes_what_people_type() {
    let calculation = acceptance::calculation("pressure-decay").unwrap();
    let validator = jsonschema::validator_for(&calculation.input_schema()).unwrap();
    for text in
        ["110,2 bar", "1 595 psi", "1\u{202f}595 psi", "110.2 bar(g)", "110.2 barg", "11.02 MPa"]
    {
        let mut input = crate::decay_cases::circuit();
        input["start"]["gauge_pressure"] = Value::String(text.to_owned());
        assert!(validator.is_valid(&input), "schema refused “{text}”");
        assert!(calculation.run(&input).is_ok(), "program refused “{text}”");
    }
    for text in ["110.2", "bar", "110.2 bar(a)", "110.2 °C", "110.2 foo", "110.2 bar and more"] {
        let mut input = crate::decay_cases::circuit();
        input["start"]["gauge_pressure"] = Value::String(text.to_owned());
        assert!(!validator.is_valid(&input), "schema took “{text}”");
        assert!(calculation.run(&input).is_err(), "program took “{text}”");
    }
}
