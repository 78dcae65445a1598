//! Contents of circuits made of parts, and their doubt, against CoolProp.

use acceptance::{Verdict, calculation};
use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::sun::{result, run};
use crate::table::{close, number, rows};

fn parted() -> Value {
    let examples = calculation("gas-mass").unwrap().examples();
    let example = examples.iter().find(|e| e.name == "good-engine-line-bottle").unwrap();
    serde_json::from_str(example.text).unwrap()
}

#[test]
fn masses_of_the_table() {
    for row in rows("part_masses.csv") {
        let mut input = json!({
            "gas": row[0], "parts": [],
            "after": {"gauge_pressure": format!("{} bar", row[1]), "barometer": "862 hPa", "temperatures": []},
        });
        for pair in [2, 4, 6] {
            let name = format!("part {pair}");
            let part = json!({"name": name, "volume": format!("{} L", row[pair])});
            input["parts"].as_array_mut().unwrap().push(part);
            let t = json!(format!("{} °C", row[pair + 1]));
            input["after"]["temperatures"].as_array_mut().unwrap().push(t);
        }
        let sheet = run("gas-mass", &input);
        assert_eq!(sheet.verdict, Verdict::Computed);
        close(result(&sheet, "mass"), number(&row[8]), number(&row[9]), &row[10]);
        assert!(sheet.combined.is_none() && sheet.doubt.is_empty(), "nothing was stated");
    }
}

#[test]
fn masses_and_doubts_by_coolprop() {
    let mut relative = parted();
    relative["uncertainty"]["gauge"]["value"] = json!("0.5 %");
    let single = |gas: &str| {
        json!({
            "gas": gas, "volume": "12.4 L",
            "after": {"gauge_pressure": "110.0 bar", "barometer": "862 hPa", "temperature": "24.0 °C"},
            "uncertainty": {
                "gauge": {"value": "0.25 bar", "distribution": "rectangular"},
                "barometer": {"value": "0.5 hPa", "distribution": "rectangular"},
                "temperature": {"value": "0.5 K", "distribution": "rectangular"},
                "volume": {"value": "0.1 L", "distribution": "rectangular"},
            },
        })
    };
    let cases: Vec<_> =
        [parted(), relative, single("hydrogen"), single("helium"), single("nitrogen")]
            .into_iter()
            .map(|input| json!({"sheet": run("gas-mass", &input), "input": input}))
            .collect();
    let report = oracle("circuits.py", &json!(cases).to_string());
    assert!(report.contains("10 checked, 0 off"), "{report}");
}

/// Parts of one temperature are one volume.
#[test]
fn parts_of_one_temperature_are_one_volume() {
    let mut input = parted();
    for state in ["before", "after"] {
        input[state]["temperatures"] = json!(["20.0 °C", "20.0 °C", "68.0 °F"]);
    }
    let mut whole = input.clone();
    let object = whole.as_object_mut().unwrap();
    object.remove("parts");
    object.insert("volume".to_owned(), json!("12.4 L"));
    for state in ["before", "after"] {
        let state = object.get_mut(state).unwrap().as_object_mut().unwrap();
        state.remove("temperatures");
        state.insert("temperature".to_owned(), json!("20.0 °C"));
    }
    let (parts, whole) = (run("gas-mass", &input), run("gas-mass", &whole));
    for name in ["mass", "admitted", "mass_before"] {
        close(result(&parts, name), result(&whole, name), 1e-4, name);
    }
}

#[test]
fn what_contradicts_is_refused_and_gaps_are_named() {
    let refused = |change: &dyn Fn(&mut Value)| {
        let mut input = parted();
        change(&mut input);
        let refusal = calculation("gas-mass").unwrap().run(&input).unwrap_err();
        (refusal.code, refusal.field)
    };
    let code = |code: &str, field: &str| (code.to_owned(), field.to_owned());
    assert_eq!(refused(&|i| i["volume"] = json!("12 L")), code("two_volumes", "volume"));
    assert_eq!(
        refused(&|i| i["after"]["temperature"] = json!("20 °C")),
        code("temperatures_do_not_fit", "after.temperatures")
    );
    assert_eq!(
        refused(&|i| i["parts"][1]["volume"] = json!("0 L")),
        code("out_of_range", "parts[1].volume")
    );
    assert_eq!(
        refused(&|i| i["before"]["temperatures"][2] = json!("12 bar")),
        code("wrong_unit", "before.temperatures[2]")
    );
    let mut input = parted();
    input["parts"][0].as_object_mut().unwrap().remove("volume");
    input["before"].as_object_mut().unwrap().remove("temperatures");
    let sheet = run("gas-mass", &input);
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    let named: Vec<_> = sheet.missing.iter().map(|missing| missing.field.as_str()).collect();
    assert_eq!(named, ["parts[0].volume", "before.temperatures"]);
    let mut input = parted();
    input["uncertainty"].as_object_mut().unwrap().remove("temperature");
    let sheet = run("gas-mass", &input);
    let flag = sheet.flags.iter().find(|flag| flag.code == "doubt_incomplete").unwrap();
    assert!(flag.sentence.contains("gas temperature"), "{}", flag.sentence);
}

/// Density carries the doubt of pressure and temperature, contents that of the volume too.
#[test]
fn doubt_of_a_density() {
    let sheet = run(
        "gas-density",
        &json!({
            "gas": "hydrogen", "absolute_pressure": "15.0000000 MPa(a)", "temperature": "293.15 K",
            "volume": "10 L",
            "uncertainty": {
                "gauge": {"value": "0.01 MPa", "distribution": "standard"},
                "temperature": {"value": "0.1 K", "distribution": "standard"},
                "volume": {"value": "2 %", "distribution": "standard"},
            },
        }),
    );
    let u = |name: &str| -> f64 {
        sheet.result(name).unwrap().standard_uncertainty.clone().unwrap().parse().unwrap()
    };
    // ∂ρ/∂p = 0.690546 kg/m³/MPa and ∂ρ/∂T = −0.036327 kg/m³/K at 15 MPa, 293.15 K: central
    // differences of the 2008 equation, recomputed in Python.
    let density = (0.006_905_46_f64.powi(2) + 0.003_632_7_f64.powi(2)).sqrt();
    close(u("density"), density, 1e-3, "u(ρ)");
    let mass = ((density * 0.01).powi(2) + (11.355_941 * 0.0002_f64).powi(2)).sqrt();
    close(u("mass"), mass, 3e-3, "u(m)");
    assert_eq!(sheet.combined.as_ref().unwrap().unit, "kg/m³");
}
