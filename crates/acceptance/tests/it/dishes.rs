//! `dish-geometry` against tables, an oracle and its own rules.

use acceptance::{Sheet, Verdict, calculation};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::table::{close, number, rows};

fn run(input: &Value) -> Sheet {
    calculation("dish-geometry").unwrap().run(input).unwrap()
}

fn refused(input: &Value) -> (String, String) {
    let refusal = calculation("dish-geometry").unwrap().run(input).unwrap_err();
    (refusal.code, refusal.field)
}

pub(crate) fn value(sheet: &Sheet, name: &str) -> f64 {
    let found = sheet.result(name);
    found.unwrap_or_else(|| panic!("no {name}: {}", sheet.reason)).value.parse().unwrap()
}

#[test]
fn published_values() {
    for row in rows("dish_geometry.csv") {
        let sheet = run(&serde_json::from_str(&row[1]).unwrap());
        close(value(&sheet, &row[2]), number(&row[3]), number(&row[4]), &row[0]);
    }
}

#[test]
fn by_scipy_and_by_reflection() {
    let mut cases = Vec::new();
    for (diameter, focal, sun) in
        [(11.0, 6.6, 4.65), (10.4, 6.0, 4.72), (3.0, 0.9, 4.5), (10.0, 2.5, 4.65), (1.2, 2.0, 5.0)]
    {
        let radius = 0.4 * diameter;
        let sheet = run(&json!({
            "aperture_diameter": format!("{diameter} m"), "focal_length": format!("{focal} m"),
            "sun_half_angle": format!("{sun} mrad"), "radius": format!("{radius} m")
        }));
        let results: serde_json::Map<String, Value> =
            sheet.results.iter().map(|r| (r.name.clone(), json!(r.value))).collect();
        cases.push(json!({"diameter": diameter, "focal": focal, "sun": sun * 1e-3,
            "radius": radius, "results": results}));
    }
    let report = oracle("dish.py", &Value::from(cases).to_string());
    assert!(report.starts_with("5 dishes agree"), "{report}");
}

/// Whichever two of the four measures are typed, the dish is the same.
#[test]
fn any_two_measures_fix_the_shape() {
    let full = run(&json!({"aperture_diameter": "10.4 m", "focal_length": "6.0 m"}));
    let all = ["aperture_diameter", "focal_length", "rim_angle", "depth"];
    let units = ["m", "m", "°", "m"];
    for first in 0..4 {
        for second in first + 1..4 {
            let mut input = json!({});
            for place in [first, second] {
                let typed = format!("{} {}", full.result(all[place]).unwrap().value, units[place]);
                input[all[place]] = json!(typed);
            }
            let again = run(&input);
            for name in ["surface", "smallest_flat", "f_over_d", "depth", "rim_angle"] {
                close(value(&again, name), value(&full, name), 1e-6, name);
            }
        }
    }
}

#[test]
fn what_is_missing_is_named() {
    for (input, names) in [
        (json!({}), vec!["aperture_diameter", "focal_length"]),
        (json!({"aperture_diameter": "10 m"}), vec!["focal_length"]),
        (json!({"depth": "1 m"}), vec!["aperture_diameter"]),
        (
            json!({"aperture_diameter": "10 m", "focal_length": "6 m", "emittance": "0.9"}),
            vec!["irradiance", "receiver_diameter", "optical_efficiency", "absorptance", "ambient"],
        ),
    ] {
        let sheet = run(&input);
        assert_eq!(sheet.verdict, Verdict::NotJudged);
        assert!(sheet.results.is_empty());
        let named: Vec<_> = sheet.missing.iter().map(|missing| missing.field.as_str()).collect();
        assert_eq!(named, names);
    }
}

#[test]
fn what_contradicts_is_refused() {
    let dish = json!({"aperture_diameter": "10 m", "focal_length": "6 m"});
    for (field, typed, code) in [
        ("depth", json!("1.04 m"), "over_determined"),
        ("net_area", json!("78.6 m²"), "net_above_gross"),
        ("radius", json!("5.01 m"), "outside_rim"),
        ("receiver_diameter", json!("0 mm"), "out_of_range"),
        ("sun_half_angle", json!("0.53 °"), ""),
        ("irradiance", json!("1600 W/m²"), "implausible"),
    ] {
        let mut input = dish.clone();
        input[field] = typed;
        if code.is_empty() {
            run(&input);
        } else {
            assert_eq!(refused(&input).0, code, "{field}");
        }
    }
    let mut input = dish.clone();
    input["uncertainty"] =
        json!({"receiver_diameter": {"value": "1 mm", "distribution": "standard"}});
    assert_eq!(refused(&input), ("doubt_of_nothing".into(), "receiver_diameter".into()));
    for limit in ["78.53 m²", "5 m"] {
        let mut input = dish.clone();
        input[if limit.ends_with('²') { "net_area" } else { "radius" }] = json!(limit);
        run(&input);
    }
}

/// 2·u(d)/d and u(A)/A in quadrature, by hand.
#[test]
fn doubt_of_the_concentration() {
    let sheet = run(&json!({
        "aperture_diameter": "10 m", "focal_length": "6 m",
        "net_area": "75 m²", "receiver_diameter": "200 mm",
        "uncertainty": {
            "net_area": {"value": "1 %", "distribution": "standard"},
            "receiver_diameter": {"value": "1 mm", "distribution": "standard"}
        }
    }));
    let concentration = value(&sheet, "concentration_net");
    let expected = concentration * f64::hypot(0.01, 2.0 / 200.0);
    let combined = sheet.combined.as_ref().unwrap();
    close(combined.standard.parse().unwrap(), expected, 3e-3, "u");
    assert_eq!(combined.of, "concentration_net");
    let shown = sheet.result("concentration_net").unwrap().standard_uncertainty.clone();
    assert_eq!(shown, Some(combined.standard.clone()));
    let gross = run(&json!({
        "aperture_diameter": "10 m", "focal_length": "6 m", "receiver_diameter": "200 mm",
        "uncertainty": {"aperture_diameter": {"value": "10 mm", "distribution": "standard"}}
    }));
    let relative = gross.combined.unwrap().standard.parse::<f64>().unwrap() / 2500.0;
    close(relative, 2e-3, 2e-3, "u of gross");
}

#[test]
fn a_small_receiver_and_a_deep_rim_are_flagged() {
    let codes = |input: &Value| -> Vec<String> {
        run(input).flags.iter().map(|flag| flag.code.clone()).collect()
    };
    let mut input = json!({
        "aperture_diameter": "11 m", "focal_length": "6.6 m", "receiver_diameter": "102.7 mm"
    });
    assert_eq!(codes(&input), ["receiver_below_image"]);
    input["receiver_diameter"] = json!("102.8 mm");
    assert_eq!(codes(&input), Vec::<String>::new());
    input["receiver_diameter"] = json!("70 mm");
    assert_eq!(codes(&input), ["receiver_below_image", "above_limit"]);
    assert_eq!(
        codes(&json!({"aperture_diameter": "1 m", "rim_angle": "95 °"})),
        ["rim_beyond_flat"]
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// The same dish in other units gives the same, and a larger one scales.
    #[test]
    fn units_and_scale(diameter in 1.0..20.0f64, ratio in 0.3..2.0f64) {
        let dish = |d: f64, unit: &str, per: f64| run(&json!({
            "aperture_diameter": format!("{:.9} {unit}", d * per),
            "focal_length": format!("{:.9} {unit}", d * ratio * per),
            "receiver_diameter": format!("{:.9} {unit}", d * per / 50.0)
        }));
        let metric = dish(diameter, "m", 1.0);
        let feet = dish(diameter, "ft", 1.0 / 0.3048);
        let double = dish(2.0 * diameter, "m", 1.0);
        for (name, power) in [("surface", 2), ("smallest_flat", 1), ("rim_angle", 0),
            ("depth", 1), ("concentration_gross", 0), ("limit_rim", 0)]
        {
            let at = value(&metric, name);
            close(value(&feet, name), at, 1e-6, name);
            close(value(&double, name), at * 2f64.powi(power), 1e-6, name);
        }
        prop_assert!(value(&metric, "concentration_flat") < value(&metric, "limit_rim"));
        prop_assert!(value(&metric, "limit_rim") <= value(&metric, "limit"));
        prop_assert!(value(&metric, "surface") > value(&metric, "opening"));
    }
}
