//! Performance runs worked out again in Python: pandas for instants and intervals, SciPy for the
//! lag, NumPy and `uncertainties` for the peak and the budget.

use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::performance::{example, run};

fn case(input: Value) -> Value {
    let sheet = run(&input);
    let line = |symbol: &str| {
        sheet.working.iter().find(|line| line.symbol == symbol).map(|line| line.value.clone())
    };
    let rule = sheet.rule.clone().unwrap();
    json!({
        "R": line("R"), "R_ref": line("R_ref"), "S": line("S"), "u": line("u(R)"),
        "lag": line("τ"), "r": line("r"), "peak": line("t_peak"), "u_peak": line("u(t_peak)"),
        "noon": line("t_noon"), "rho": line("ρ"), "s_rho": line("s(ρ)"),
        "good": sheet.result("good_intervals").map(|result| &result.value),
        "missing": sheet.result("missing_share").map(|result| &result.value),
        "p": rule.conformance_probability, "acceptance": rule.acceptance_limit,
        "verdict": sheet.verdict, "rows": sheet.tables[0].rows, "input": input,
    })
}

/// The power some steps later: a machine that answers late.
fn delayed(steps: usize) -> Value {
    let mut input = example("good-pass");
    let values = input["power"]["values"].as_array_mut().unwrap();
    for _ in 0..steps {
        let last = values.pop().unwrap();
        values.insert(0, last);
    }
    input
}

fn gaps(every: usize) -> Value {
    let mut input = example("good-guarded");
    for channel in ["irradiance", "power", "wind"] {
        for value in input[channel]["values"].as_array_mut().unwrap().iter_mut().step_by(every) {
            *value = json!("");
        }
    }
    input["limits"]["missing"]["value"] = json!("60 %");
    input["limits"]["irradiance_change"]["value"] = json!("0.3 %");
    input["clock_offsets"]["power"] = json!("95 s");
    input
}

#[test]
fn by_pandas_scipy_and_uncertainties() {
    let cases: Vec<Value> = [
        example("good-pass"),
        example("good-guarded"),
        example("good-dirty-mirrors"),
        example("good-logger-in-another-zone"),
        delayed(1),
        delayed(4),
        gaps(7),
        gaps(11),
    ]
    .into_iter()
    .map(case)
    .collect();
    let report = oracle("performance.py", &json!(cases).to_string());
    assert_eq!(report.matches("agrees").count(), 8, "{report}");
}
