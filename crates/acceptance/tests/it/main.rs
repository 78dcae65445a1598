//! One integration binary for the crate.
#![expect(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

mod annual_energy;
mod availability;
mod circuits;
mod cluster_output;
mod decay_cases;
mod decay_regressions;
mod densities;
mod dishes;
mod due_dates;
mod earth_resistance;
mod enclosures;
mod facets;
mod facets_light;
mod facets_racks;
mod facets_turns;
mod failure_rate;
mod focal;
mod generator_slip;
mod given;
mod insulation_resistance;
mod intercepts;
mod missing;
mod mount;
mod oracle;
mod parasitic_share;
mod performance;
mod performance_line;
mod performance_line_oracle;
mod performance_oracle;
mod performance_properties;
mod power_at_reference;
mod properties;
mod protection_times;
mod purges;
mod rays;
mod reading_margin;
mod receivers;
mod reflectances;
mod releases;
mod schemas;
mod sheets;
mod soiling;
mod steady_windows;
mod stows;
mod sun;
mod sun_oracle;
mod sun_properties;
mod sun_years;
mod sweeps;
mod table;
mod top_ups;
mod tracking;
mod verdicts;
mod voltage_unbalance;
mod walks;
mod wind_at_height;

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
