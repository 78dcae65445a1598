//! One integration binary for the crate.
#![expect(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

mod decay_cases;
mod densities;
mod facets;
mod facets_racks;
mod missing;
mod mount;
mod oracle;
mod performance;
mod performance_oracle;
mod performance_properties;
mod properties;
mod purges;
mod receivers;
mod reflectances;
mod schemas;
mod sheets;
mod soiling;
mod sun;
mod sun_oracle;
mod sun_properties;
mod table;
mod tracking;
mod verdicts;

/// Every file of this folder is a module above: a test that was forgotten would never run.
#[test]
fn no_file_is_forgotten() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/it");
    let listed = include_str!("main.rs");
    for entry in std::fs::read_dir(folder).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let module = name.trim_end_matches(".rs");
        assert!(module == "main" || listed.contains(&format!("mod {module};")), "{name}");
    }
}
