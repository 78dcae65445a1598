//! What misaligned facets cost in light: published and library values, rings of a whole dish,
//! quadrature and rays in Python, and what must hold for any spot.

use acceptance::{Sheet, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::facets::{cell, dish, result, run, shift};
use crate::facets_turns::{studs, work};
use crate::oracle::oracle;
use crate::table::{close, number, rows};

fn light(sigma: f64, radius: f64) -> Value {
    json!({
        "beam_error": format!("{sigma} mrad"), "aperture_radius": format!("{radius} m"),
        "facet_area": "0.3248 m²", "reflectance": "92 %", "irradiance": "950 W/m²",
    })
}

fn line(sheet: &Sheet, symbol: &str) -> f64 {
    let found = sheet.working.iter().find(|line| line.symbol == symbol);
    number(&found.unwrap_or_else(|| panic!("no {symbol}: {}", sheet.reason)).value)
}

/// A facet in the middle has a round spot: SciPy's noncentral chi-square.
#[test]
fn round_spots_of_the_table() {
    for row in rows("facet_spill.csv") {
        let [f, radius, sigma, off, share] = [0, 1, 2, 3, 4].map(|i| number(&row[i]));
        let mut input = dish(f, &[("F", "R", 0.0, 0.0)]);
        input["light"] = light(sigma, radius);
        // Off in a direction between the axes; the board takes no more than a metre.
        let (sin, cos) = 0.7_f64.sin_cos();
        shift(&mut input, "F", off * f * sin, off * f * cos);
        let sheet = run(&input);
        assert!((line(&sheet, "γ(F)") - share).abs() < 1.5e-7, "{row:?}: {}", line(&sheet, "γ(F)"));
    }
}

/// A whole dish of 11 m by 6.6 m as rings, every facet on its aim point, aperture of 0.1 m: the
/// shares of the ring integral, weighted by sin φ/(1 + cos φ)² (Bendt and Rabl 1981; values by 400
/// Gauss-Legendre points, agreed with 4·10⁶ rays).
#[test]
fn an_aligned_dish_of_rings() {
    let shares = [
        (3.0, 0.999_330),
        (4.0, 0.989_008),
        (5.0, 0.952_115),
        (6.0, 0.886_079),
        (7.0, 0.802_869),
        (8.0, 0.715_556),
        (10.0, 0.557_392),
    ];
    let rim = 45.239_730_f64.to_radians();
    let names: Vec<String> = (0..=40).map(|ring| format!("F{ring:02}")).collect();
    let angles: Vec<f64> = (0..=40).map(|ring| rim * f64::from(ring) / 40.0).collect();
    let places: Vec<_> = names
        .iter()
        .zip(&angles)
        .map(|(name, phi)| (name.as_str(), "R", 13.2 * (phi / 2.0).tan(), 30.0))
        .collect();
    for (sigma, expected) in shares {
        let mut input = dish(6.6, &places);
        input["light"] = light(sigma, 0.1);
        for name in &names {
            shift(&mut input, name, 0.0, 0.0);
        }
        let sheet = run(&input);
        let (mut sum, mut whole) = (0.0, 0.0);
        for (ring, (name, phi)) in names.iter().zip(&angles).enumerate() {
            // Simpson's rule.
            let simpson = if ring == 0 || ring == 40 { 1.0 } else { [2.0, 4.0][ring % 2] };
            let weight = simpson * phi.sin() / (1.0 + phi.cos()).powi(2);
            sum += weight * number(&cell(&sheet, "facets", name, "aimed %")) / 100.0;
            whole += weight;
        }
        assert!((sum / whole - expected).abs() < 6e-6, "{sigma}: {}", sum / whole);
        assert!(result(&sheet, "light_lost").abs() < 1e-9);
    }
}

/// SciPy's dblquad and own rays on an example with a lamp and on the whole invented dish.
#[test]
fn dblquad_and_rays_agree() {
    let mut dishes: Vec<Value> = serde_json::from_str(&oracle("turn_cases.py", "")).unwrap();
    let mut lamp = dishes.swap_remove(1);
    let mut narrow = dishes.swap_remove(0);
    for (input, sigma, radius, every) in [(&mut lamp, 4.0, 0.095, 5), (&mut narrow, 1.5, 0.04, 9)] {
        input["light"] = light(sigma, radius);
        for list in ["facets", "survey"] {
            let rows = input[list].as_array().unwrap();
            input[list] = rows.iter().step_by(every).cloned().collect();
        }
        let sheet = run(input);
        let report =
            oracle("light.py", &json!({"input": input, "tables": sheet.tables}).to_string());
        assert!(report.contains("agrees"), "{report}");
        let found: Value = serde_json::from_str(report.lines().nth(1).unwrap()).unwrap();
        close(result(&sheet, "light_lost"), found["lost_kW"].as_f64().unwrap(), 6e-4, "lost");
    }
}

fn one(radius: f64, at: (f64, f64)) -> Value {
    let mut input = dish(6.0, &[("F", "R", radius, 33.0)]);
    input["light"] = light(4.0, 0.095);
    shift(&mut input, "F", at.0, at.1);
    input
}

/// P = 0.92 · 950 · 0.3248 · cos(atan(4/12)) W, and the electric loss is the light's by the
/// efficiency; worked out by hand.
#[test]
fn the_power_of_a_facet_by_hand() {
    let mut input = one(4.0, (60.0, 20.0));
    input["light"]["efficiency"] = json!("28 %");
    let sheet = run(&input);
    let sent = 0.92 * 950.0 * 0.3248 * 12.0 / 160.0_f64.sqrt();
    close(line(&sheet, "P(F)"), sent, 5e-6, "P");
    let lost = sent * (line(&sheet, "γ*(F)") - line(&sheet, "γ(F)"));
    close(line(&sheet, "L(F)"), lost, 1e-4, "L");
    close(result(&sheet, "light_lost"), lost / 1000.0, 1e-3, "kW");
    close(result(&sheet, "electric_lost"), 0.28 * lost / 1000.0, 1e-3, "electric kW");
    close(number(&cell(&sheet, "light_racks", "R", "lost electric kW")), 0.28e-3 * lost, 2e-2, "R");
}

/// A part that is missing takes away the cost and nothing else, and it is named.
#[test]
fn without_a_part_of_the_light_the_errors_stand() {
    let whole = run(&one(4.0, (3.0, 2.0)));
    assert!(whole.result("light_lost").is_some() && whole.figure.is_some());
    for (part, words) in [
        ("beam_error", "spread"),
        ("aperture_radius", "aperture"),
        ("facet_area", "area"),
        ("reflectance", "reflectance"),
        ("irradiance", "irradiance"),
    ] {
        let mut input = one(4.0, (3.0, 2.0));
        input["light"].as_object_mut().unwrap().remove(part);
        let sheet = run(&input);
        assert_eq!((sheet.verdict, &sheet.reason), (Verdict::Pass, &whole.reason));
        assert!(sheet.result("light_lost").is_none() && sheet.figure.is_none());
        let flag = sheet.flags.iter().find(|flag| flag.code == "light_incomplete").unwrap();
        assert!(flag.sentence.contains(words), "{}", flag.sentence);
    }
}

/// What a turning gains is what the facet then catches more; listed beside the turns.
#[test]
fn the_list_of_work_says_what_each_repair_is_worth() {
    let mut input =
        dish(6.0, &[("A", "R1", 4.0, 10.0), ("B", "R1", 4.0, 20.0), ("C", "R2", 4.0, 40.0)]);
    for (name, dx) in [("A", 70.0), ("B", 110.0), ("C", 40.0)] {
        shift(&mut input, name, dx, 15.0);
    }
    input["light"] = light(4.0, 0.095);
    input["adjusters"] = studs();
    let sheet = run(&input);
    let gains: Vec<f64> =
        work(&sheet).iter().map(|row| number(row["gains W"].as_str().unwrap())).collect();
    assert_eq!(gains.len(), 3);
    let sum: f64 = gains.iter().sum();
    let so_far = work(&sheet).last().unwrap()["so far W"].clone();
    assert!((number(so_far.as_str().unwrap()) - sum).abs() < 0.2, "{so_far} {sum}");
    // Rounding leaves a little of what was lost.
    let lost = 1000.0 * result(&sheet, "light_lost");
    assert!(sum > 0.97 * lost && sum < 1.01 * lost, "{sum} {lost}");
    for (name, gain) in [("B", gains[0]), ("A", gains[1]), ("C", gains[2])] {
        let lost = number(&cell(&sheet, "facets", name, "lost W"));
        assert!((gain - lost).abs() < 0.05 * lost + 1.0, "{name}: {gain} of {lost}");
    }
    // Without studs the order is there as well, with all of the loss as gain.
    input.as_object_mut().unwrap().remove("adjusters");
    let bare = work(&run(&input));
    assert_eq!((bare.len(), &bare[0]["to do"]), (3, &json!("set to its aim point")));
}

/// A spot that comes nearer the middle than its aim point is a gain, and it is said why that is no
/// reason to leave it there.
#[test]
fn a_gain_is_no_loss() {
    let mut input = one(5.0, (0.0, 0.0));
    input["facets"][0]["aim_x"] = json!("50 mm");
    let sheet = run(&input);
    assert!(result(&sheet, "light_lost") < 0.0);
    assert!(sheet.flags.iter().any(|flag| flag.code == "better_off_aim"));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// A share is a share, grows with the aperture, and falls with the way from the middle.
    #[test]
    fn shares_are_in_order(
        radius in 0.0_f64..5.2, x in -400.0_f64..400.0, y in -400.0_f64..400.0,
        sigma in 0.05_f64..40.0, aperture in 0.01_f64..2.0,
    ) {
        let share = |by: f64, aperture: f64| {
            let mut input = one(radius, (by * x, by * y));
            input["light"] = light(sigma, aperture);
            line(&run(&input), "γ(F)")
        };
        let near = share(0.5, aperture);
        prop_assert!((0.0..=1.0).contains(&near));
        prop_assert!(share(0.5, aperture * 1.1) >= near - 1e-9);
        prop_assert!(share(1.0, aperture) <= near + 1e-9, "{near}");
    }

    /// The same in other units.
    #[test]
    fn units_do_not_matter(x in -90.0_f64..90.0, sigma in 1.0_f64..8.0) {
        let mut input = one(3.0, (x, 10.0));
        input["light"] = light(sigma, 0.1);
        let one = run(&input);
        input["light"] = json!({
            "beam_error": format!("{:.9} °", (sigma / 1000.0).to_degrees()), "aperture_radius": "10 cm",
            "facet_area": "3248 cm²", "reflectance": "0.92", "irradiance": "0.950 kW/m²",
        });
        let two = run(&input);
        for symbol in ["γ(F)", "P(F)"] {
            prop_assert!((line(&one, symbol) - line(&two, symbol)).abs() < 2e-6 * line(&one, symbol));
        }
    }
}
