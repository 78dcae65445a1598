//! Comparison with independent programs in Python: CoolProp for densities, `uncertainties` for the
//! budget, `jsonschema` for the schemas.
//!
//! The interpreter is the one named by `DISHWRIGHT_PYTHON`. Without it these tests fail; they never
//! pass unseen.

use std::fmt::Write as _;
use std::io::Write as _;
use std::process::{Command, Stdio};

use acceptance::{Gas, calculations};
use serde_json::json;

use crate::decay_cases::{case_a, circuit, run};
use crate::table::state;

pub(crate) fn oracle(script: &str, input: &str) -> String {
    let python = std::env::var("DISHWRIGHT_PYTHON").unwrap_or_else(|_| {
        panic!(
            "DISHWRIGHT_PYTHON is not set, so nothing was compared with CoolProp; run \
             `cargo xtask setup`, then `cargo xtask test`, which sets it"
        )
    });
    let path = format!("{}/tests/oracle/{script}", env!("CARGO_MANIFEST_DIR"));
    let mut child = Command::new(&python)
        .arg(path)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap_or_else(|error| {
            panic!("{python} does not start: {error}; run `cargo xtask setup`")
        });
    child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    let (out, err) =
        (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success(), "{script}:\n{out}{err}");
    out.into_owned()
}

/// 230 to 400 K by 5 K, 0.1 to 25 MPa: hydrogen within 5e-5, helium 1e-5, nitrogen 1e-4.
#[test]
fn densities_on_a_grid() {
    let mut grid = String::new();
    for gas in [Gas::Hydrogen, Gas::Helium, Gas::Nitrogen] {
        for kelvins in (230..=400).step_by(5).map(f64::from) {
            for step in 0..=50 {
                let megapascals = if step == 0 { 0.1 } else { f64::from(step) * 0.5 };
                let density = gas.equation().density(state(megapascals, kelvins));
                let density = density.kilograms_per_cubic_metre();
                writeln!(grid, "{} {kelvins} {megapascals} {density:e}", gas.name()).unwrap();
            }
        }
    }
    let report = oracle("densities.py", &grid);
    assert_eq!(report.matches("worst").count(), 3, "{report}");
}

/// The budget's u(L) and u(Δm), for case A and for the circuit test in hydrogen.
#[test]
fn budget_by_automatic_differentiation() {
    let mut hydrogen = circuit();
    hydrogen["gas"] = json!("hydrogen");
    let mut relative = hydrogen.clone();
    relative["uncertainty"]["gauge_scale"] =
        json!({"value": "0.5 %", "distribution": "expanded", "coverage_factor": "2"});
    relative["uncertainty"]["gauge_repeatability"] =
        json!({"value": "0.03 bar", "distribution": "standard"});
    for input in [case_a(), hydrogen, relative] {
        let sheet = run(&input);
        let line = |symbol: &str| {
            sheet.working.iter().find(|line| line.symbol == symbol).unwrap().value.clone()
        };
        let case = json!({
            "input": input,
            "loss": line("L"), "u_loss": line("u(L)"),
            "mass": line("Δm"), "u_mass": line("u(Δm)"),
        });
        let report = oracle("budget.py", &case.to_string());
        assert!(report.contains("agrees"), "{report}");
    }
}

/// An independent validator takes every good example and refuses every bad one.
#[test]
fn schemas_by_another_validator() {
    for calculation in calculations() {
        let examples: Vec<_> = calculation
            .examples()
            .iter()
            .map(|example| {
                let value: serde_json::Value = serde_json::from_str(example.text).unwrap();
                json!({"name": example.name, "value": value})
            })
            .collect();
        let case = json!({"schema": calculation.input_schema(), "examples": examples});
        let report = oracle("schemas.py", &case.to_string());
        assert!(report.contains("refused"), "{report}");
    }
}
