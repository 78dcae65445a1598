//! Facet alignment: a rack that moved, what must hold for any survey, and an outside oracle.

use acceptance::Verdict;
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::facets::{cell, dish, result, run, shift};
use crate::oracle::oracle;
use crate::table::{close, number};

const FOCAL: f64 = 6.0;

type Place = (&'static str, &'static str, f64, f64);

const PLACES: [Place; 10] = [
    ("R09/F01", "R09", 0.9, 255.0),
    ("R09/F02", "R09", 1.5, 249.0),
    ("R09/F03", "R09", 2.6, 262.0),
    ("R09/F04", "R09", 3.3, 246.0),
    ("R09/F05", "R09", 4.1, 258.0),
    ("R09/F06", "R09", 4.9, 264.0),
    ("R10/F01", "R10", 0.9, 285.0),
    ("R10/F02", "R10", 2.6, 279.0),
    ("R10/F03", "R10", 3.8, 292.0),
    ("R10/F04", "R10", 4.9, 286.0),
];

/// The spot's shift in mm when the normal of a facet moves by `turn` × normal: by exact reflection
/// in three dimensions, not by the formula under test.
fn traced(place: Place, turn: [f64; 3]) -> (f64, f64) {
    let (radius, bearing) = (place.2, place.3.to_radians());
    let at = [radius * bearing.sin(), radius * bearing.cos(), radius * radius / (4.0 * FOCAL)];
    let n = unit([-at[0] / (2.0 * FOCAL), -at[1] / (2.0 * FOCAL), 1.0]);
    let w = cross(turn, n);
    let n = unit([n[0] + w[0], n[1] + w[1], n[2] + w[2]]);
    // Incoming straight down: out = d − 2(d·n)n.
    let out = [2.0 * n[2] * n[0], 2.0 * n[2] * n[1], 2.0 * n[2] * n[2] - 1.0];
    let far = (FOCAL - at[2]) / out[2];
    (1000.0 * (at[0] + out[0] * far), 1000.0 * (at[1] + out[1] * far))
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn unit(v: [f64; 3]) -> [f64; 3] {
    let size = (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt();
    v.map(|c| c / size)
}

/// R09 turned as a whole, R10 left alone.
fn turned(turn: [f64; 3]) -> Value {
    let mut input = dish(FOCAL, &PLACES);
    for place in PLACES {
        let (dx, dy) = if place.1 == "R09" { traced(place, turn) } else { (0.0, 0.0) };
        shift(&mut input, place.0, dx, dy);
    }
    input
}

#[test]
fn a_rack_that_moved_is_found_by_name() {
    // 3.2 mrad about the rack's own radius: all its spots go the same way.
    let (s, c) = 255.0_f64.to_radians().sin_cos();
    let sheet = run(&turned([0.0032 * s, 0.0032 * c, 0.0]));
    assert_eq!(sheet.findings.len(), 1);
    let finding = &sheet.findings[0];
    assert_eq!((finding.code.as_str(), finding.place.as_str()), ("rack_moved", "R09"));
    assert!(finding.sentence.contains("check its bolts first"), "{}", finding.sentence);
    assert!(finding.sentence.contains("don't chase facets"), "{}", finding.sentence);
    assert_eq!(sheet.result("racks_moved").unwrap().value, "1");
    assert_eq!(sheet.result("out_elsewhere").unwrap().value, "0");
    assert_eq!(sheet.verdict, Verdict::Fail);
    close(number(&cell(&sheet, "racks", "R09", "ω x mrad")), 3.2 * s, 5e-3, "ω x");
    close(number(&cell(&sheet, "racks", "R09", "ω y mrad")), 3.2 * c, 2e-2, "ω y");
    assert_eq!(cell(&sheet, "racks", "R10", "moved"), "");
}

/// The two halves of the rule: a turn that is common but small, and one that is large but not
/// common, are no moved rack; each figure comes from the input.
#[test]
fn the_rule_of_the_moved_rack_comes_from_the_input() {
    let small = turned([0.0005, 0.0003, 0.0]);
    assert!(run(&small).findings.is_empty());
    let mut tighter = small;
    tighter["limits"]["axis"]["value"] = json!("0.3 mrad");
    assert_eq!(run(&tighter).findings.len(), 1);
    let mut scattered = dish(FOCAL, &PLACES);
    for (i, place) in PLACES.iter().enumerate() {
        let sign = if i % 2 == 0 { 1.0 } else { -1.0 };
        shift(&mut scattered, place.0, 40.0 * sign, -25.0 * sign + 8.0);
    }
    assert!(run(&scattered).findings.is_empty());
    scattered["limits"]["rack"]["explained"] = json!("1 %");
    scattered["limits"]["axis"]["value"] = json!("0.01 mrad");
    assert_eq!(run(&scattered).findings.len(), 2, "with a rule that takes anything, both moved");
}

/// A facet of a rack found within without a number leaves only the odd ones to fit: nothing said.
#[test]
fn exceptions_alone_move_no_rack() {
    let mut input = turned([0.004, 0.002, 0.0]);
    input["survey"][0] = json!({"facet": "R09/F01", "state": "within"});
    let sheet = run(&input);
    assert!(sheet.findings.is_empty());
    assert_eq!(cell(&sheet, "racks", "R09", "turn mrad"), "");
}

/// Own oracle (exact reflection, SciPy's lstsq) on the examples and on a traced rack.
#[test]
fn exact_reflection_and_lstsq_agree() {
    let calculation = acceptance::calculation("facet-alignment").unwrap();
    let good = calculation.examples().iter().filter(|e| e.name.starts_with("good-"));
    let mut cases: Vec<Value> = good.map(|e| serde_json::from_str(e.text).unwrap()).collect();
    let mut turned = turned([0.0031, -0.0012, 0.0009]);
    turned["limits"]["axis"]["value"] = json!("1.0000 mrad");
    cases.push(turned);
    for input in cases {
        let sheet = run(&input);
        let case = json!({"input": input, "tables": sheet.tables});
        let report = oracle("facets.py", &case.to_string());
        assert!(report.contains("agrees"), "{report}");
    }
}

fn any_shifts() -> impl Strategy<Value = Vec<(f64, f64)>> {
    proptest::collection::vec((-40.0_f64..40.0, -40.0_f64..40.0), PLACES.len())
}

fn survey(shifts: &[(f64, f64)], factor: f64) -> Value {
    let mut input = dish(FOCAL, &PLACES);
    // Fine limits print fine digits.
    input["limits"]["axis"]["value"] = json!("1.00000 mrad");
    input["limits"]["rms"]["value"] = json!("0.70000 mrad");
    for (place, (dx, dy)) in PLACES.iter().zip(shifts) {
        shift(&mut input, place.0, dx * factor, dy * factor);
    }
    input
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// The order of facets and rows changes nothing at all.
    #[test]
    fn order_does_not_matter(shifts in any_shifts(), by in 1_usize..9) {
        let straight = survey(&shifts, 1.0);
        let mut mixed = straight.clone();
        mixed["survey"].as_array_mut().unwrap().rotate_left(by);
        mixed["facets"].as_array_mut().unwrap().reverse();
        prop_assert_eq!(run(&straight), run(&mixed));
    }

    /// Twice the shift is twice the error.
    #[test]
    fn errors_scale_with_the_shift(shifts in any_shifts(), factor in 0.1_f64..3.0) {
        let (one, more) = (run(&survey(&shifts, 1.0)), run(&survey(&shifts, factor)));
        for name in ["rms", "axis_worst"] {
            let (a, b) = (result(&one, name) * factor, result(&more, name));
            prop_assert!((a - b).abs() < 2e-5 * factor.max(1.0), "{name}: {a} {b}");
        }
    }

    /// RMS lies between the worst component and nothing, and x and y make up both dimensions.
    #[test]
    fn the_parts_of_the_rms(shifts in any_shifts()) {
        let sheet = run(&survey(&shifts, 1.0));
        let [rms, x, y] = ["rms", "rms_x", "rms_y"].map(|name| result(&sheet, name));
        prop_assert!((rms * rms - x * x - y * y).abs() < 5e-3);
        prop_assert!(rms <= result(&sheet, "axis_worst") * core::f64::consts::SQRT_2 + 1e-6);
    }

    /// Any rigid turn of a rack is found again and explains all.
    #[test]
    fn a_rigid_turn_explains_all(x in -0.004_f64..0.004, y in -0.004_f64..0.004, z in -0.004_f64..0.004) {
        let sheet = run(&turned([x, y, z]));
        let explained = number(&cell(&sheet, "racks", "R09", "explained %"));
        prop_assume!(x.hypot(y) > 0.0005);
        prop_assert!(explained > 99.8, "{explained}");
        for (axis, value) in [("x", x), ("y", y), ("z", z)] {
            let got = number(&cell(&sheet, "racks", "R09", &format!("ω {axis} mrad")));
            prop_assert!((got - 1000.0 * value).abs() < 0.15, "ω {axis}: {got} for {value}");
        }
    }

    /// No text in any place makes it panic.
    #[test]
    fn no_text_makes_it_panic(text in any::<String>(), place in 0_usize..9) {
        let paths = [
            "/focal_length", "/facets/0/radius", "/facets/0/bearing", "/facets/0/aim_x", "/facets/0/rack",
            "/survey/0/dx", "/survey/0/facet", "/limits/axis/value", "/limits/rack/explained",
        ];
        let mut input = survey(&[(1.0, 1.0); 10], 1.0);
        *input.pointer_mut(paths[place]).unwrap() = Value::String(text);
        let _ = acceptance::calculation("facet-alignment").unwrap().run(&input);
    }
}
