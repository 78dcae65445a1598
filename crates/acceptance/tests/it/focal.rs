//! Irradiance about the focus: closed forms, quadratures, and what must hold for every dish.

use acceptance::{Axes, Sheet, Verdict, calculation};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::sun::{line, result, run};
use crate::table::{close, number, rows};

/// D, f, ρ, G of a dish.
fn dish(name: &str) -> Value {
    let (diameter, focal, reflectance, irradiance) = match name {
        "A" => (11.0, 6.6, 0.93, 1000.0),
        "B" => (10.0, 2.5, 0.9, 1000.0),
        _ => (11.0, 7.45, 0.94, 950.0),
    };
    json!({
        "aperture_diameter": format!("{diameter} m"), "focal_length": format!("{focal} m"),
        "reflectance": format!("{reflectance}"), "irradiance": format!("{irradiance} W/m²"),
        "ray_error": "5 mrad",
    })
}

fn table<'s>(sheet: &'s Sheet, name: &str) -> &'s [Vec<String>] {
    &sheet.tables.iter().find(|table| table.name == name).unwrap().rows
}

/// The line of a meaning among the levels' lines, whose symbols are numbered.
fn own(sheet: &Sheet, symbol: &str) -> f64 {
    let level = sheet
        .working
        .iter()
        .find(|line| line.meaning == "level: own")
        .unwrap_or_else(|| panic!("no own level"));
    line(sheet, &level.symbol.replace('E', symbol))
}

#[test]
fn zones_of_the_table() {
    for row in rows("focal_zones.csv") {
        let mut input = dish(&row[1]);
        let (what, of) = row[2].split_once(' ').unwrap_or((&row[2], ""));
        let got = match what {
            "x" => {
                input["levels"] = json!([{"name": "own", "irradiance": format!("{of} W/m²")}]);
                let sheet = run("focal-zone", &input);
                let plain = own(&sheet, "x");
                // By rings it is a little more, and the cone's bound is more than both.
                let key = format!("axis_{of}");
                assert!((0.0..0.02 * plain).contains(&(result(&sheet, &key) - plain)), "{row:?}");
                let cone = result(&sheet, &format!("cone_{of}"));
                assert!((cone - own(&sheet, "R")).abs() <= 0.011 && cone > plain, "{row:?}");
                plain
            }
            "level" => {
                let level = format!("{of} Btu/(h·ft²)");
                input["levels"] = json!([{"name": "own", "irradiance": level}]);
                own(&run("focal-zone", &input), "E")
            }
            "axis" => {
                input["places"] = json!([{"name": "place", "distance": format!("{of} m")}]);
                number(&table(&run("focal-zone", &input), "places")[0][3])
            }
            _ => result(&run("focal-zone", &input), what),
        };
        close(got, number(&row[3]), number(&row[4]), &format!("{row:?}"));
    }
}

/// Axis by scipy; the cone, on both sides and at every slope, by cutting the mirror into elements;
/// one facet by cutting it. None is above what is printed, and what is printed is not far above.
#[test]
fn nothing_is_above_what_is_printed() {
    let mut dishes = Vec::new();
    for (diameter, focal, error) in [(11.0, 6.6, 5.0), (10.4, 6.0, 9.0), (8.0, 8.0, 4.0)] {
        let distances = [0.15, 0.4, 1.0, 2.5];
        let places: Vec<_> = distances
            .iter()
            .map(|at| json!({"name": format!("at {at}"), "distance": format!("{at} m")}))
            .collect();
        let sheet = run(
            "focal-zone",
            &json!({
                "aperture_diameter": format!("{diameter} m"), "places": places,
                "focal_length": format!("{focal} m"), "reflectance": "0.93",
                "irradiance": "1000 W/m²", "ray_error": format!("{error} mrad"),
            }),
        );
        let found: Vec<_> = table(&sheet, "places")
            .iter()
            .zip(distances)
            .map(|(row, at)| {
                json!({
                    "distance": at, "most": 1e3 * number(&row[2]), "axis": 1e3 * number(&row[3]),
                })
            })
            .collect();
        dishes.push(json!({
            "diameter": diameter, "focal": focal, "error": error / 1e3, "reflected": 930.0,
            "places": found,
        }));
    }
    let mut input = dish("A");
    input["facet"] = json!({"area": "0.325 m²"});
    let sheet = run("focal-zone", &input);
    let along: Vec<_> = table(&sheet, "facet")
        .iter()
        .map(|row| json!([number(&row[0]), 1e3 * number(&row[1])]))
        .collect();
    // Close to its focus the outline of a square counts neither wholly nor by the disc; and the
    // oracle's sun is as bright at its edge as in its middle, the program's 1.25 times in the middle.
    let beams = json!([{
        "focus": line(&sheet, "p_1"), "area": 0.325, "sun": 4.57e-3, "reflected": 930.0,
        "along": along,
    }]);
    let report = oracle("focal.py", &json!({"dishes": dishes, "beams": beams}).to_string());
    assert!(report.starts_with("12 places"), "{report}");
}

/// A facet's reach on both sides of its focus: `p·(1 ± √(ρG/E))`, cut where its area is too small.
#[test]
fn reach_of_a_stray_facet() {
    let mut input = dish("A");
    input["levels"] = json!([{"name": "own", "irradiance": "5 kW/m²"}]);
    input["facet"] = json!({"focal_length": "7 m"});
    let sheet = run("focal-zone", &input);
    let share = (930.0_f64 / 5000.0).sqrt();
    close(own(&sheet, "df"), 7.0 * (1.0 - share), 1e-6, "near");
    close(own(&sheet, "dt"), 7.0 * (1.0 + share), 1e-6, "far");
    // Its own focus lies in the cone, 0.4 m beyond that of the dish for the innermost facets.
    let cone = own(&sheet, "Rc");
    close(cone, (7.0 * (1.0 + share) - 6.6).max(7.745_833 - 7.0 * (1.0 - share)), 1e-6, "cone");
    // The same level with a facet so small that its image of the sun never is so bright.
    input["facet"]["area"] = json!("30 cm²");
    let sheet = run("focal-zone", &input);
    assert_eq!(sheet.result("facet_5000").unwrap().value, "not reached");
    let peak = 930.0 * 1.25 * 3e-3 / (std::f64::consts::PI * (4.57e-3_f64 * 6.6).powi(2));
    let focal = |sheet: &Sheet| result(sheet, "facet_peak") * 1e3;
    close(focal(&sheet), peak * (6.6_f64 / 7.0).powi(2), 1e-3, "peak");
}

/// The program says of no distance that it is safe, marks what is from memory, and says who decides.
#[test]
fn what_is_said_and_what_not() {
    let mut input = dish("A");
    input.as_object_mut().unwrap().remove("ray_error");
    let sheet = run("focal-zone", &input);
    assert_eq!(sheet.verdict, Verdict::Computed);
    assert!(sheet.rule.is_none());
    for said in ["the computed irradiance falls below 1.577 kW/m²", "No distance is called safe"] {
        assert!(sheet.reason.contains(said), "{said}: {}", sheet.reason);
    }
    let text = serde_json::to_string(&sheet).unwrap();
    for at in text.match_indices("safe").map(|(at, _)| at) {
        let before = &text[..at];
        let denied = ["is called ", "no_distance_is_"].iter().any(|words| before.ends_with(words));
        let word = text[at..].starts_with("safety");
        assert!(denied || word, "{}", &text[at.saturating_sub(60)..at + 20]);
    }
    for flag in [
        "no_distance_is_safe",
        "facets_aligned",
        "reflections",
        "from_memory",
        "ray_error_not_stated",
    ] {
        assert!(sheet.flags.iter().any(|one| one.code == flag), "{flag}");
    }
    for row in table(&sheet, "levels") {
        let memory = row[6].contains("from memory");
        let known_by_heart = row[7].contains("ICNIRP")
            || ["6.31", "9.46", "12.5", "37.5"].contains(&row[1].as_str());
        assert_eq!(memory, known_by_heart, "{row:?}");
    }
    assert!(table(&sheet, "eye").iter().all(|row| row[3].contains("from memory")));
    let figure = sheet.figure.as_ref().unwrap();
    assert_eq!(figure.axes, Some(Axes::LogBoth));
    assert!(figure.series.iter().filter(|series| series.name.starts_with("level_")).count() >= 3);
    let positive = |p: &acceptance::Point| number(&p.x) > 0.0 && number(&p.y) > 0.0;
    assert!(figure.series.iter().flat_map(|series| &series.points).all(positive));
}

/// An eye in the cone: as bright as the sun itself less the reflectance, so burnt where the sun in
/// the mirror is seen under 0.118/E_r; direct sun (0.1 W/cm², 9.3 mrad) has 8.0014 W/cm² by the same
/// formula, recomputed with numpy 2.4.6.
#[test]
fn the_eye() {
    let mut input = dish("A");
    input["reflectance"] = json!("100 %");
    input["places"] =
        json!([{"name": "near", "distance": "1 m"}, {"name": "far", "distance": "60 m"}]);
    let sheet = run("focal-zone", &input);
    let seen = number(&table(&sheet, "eye")[0][1]);
    close(seen, 8.0014 * (9.3_f64 / 9.14).powi(2), 1e-3, "on the retina");
    let burns = number(&table(&sheet, "eye")[0][2]);
    close(burns, 2.0 * 4.57e-3 * 7.745_833 * seen / 0.118, 5e-3, "burn");
    let places = table(&sheet, "places");
    assert_eq!((places[0][6].as_str(), places[1][6].as_str()), ("burn", "after-image"));
}

#[test]
fn every_gap_is_named() {
    for field in ["aperture_diameter", "focal_length", "reflectance", "irradiance"] {
        let mut input = dish("A");
        input.as_object_mut().unwrap().remove(field);
        let sheet = run("focal-zone", &input);
        assert_eq!(sheet.verdict, Verdict::NotJudged);
        let named: Vec<_> = sheet.missing.iter().map(|missing| missing.field.as_str()).collect();
        assert_eq!(named, [field]);
    }
    let mut input = dish("A");
    input["places"] = json!([{"name": "ladder"}]);
    assert_eq!(run("focal-zone", &input).missing[0].field, "places[0].distance");
    input["places"] = json!([{"name": "ladder", "distance": "0 m"}]);
    assert_eq!(calculation("focal-zone").unwrap().run(&input).unwrap_err().code, "out_of_range");
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None, cases: 24, ..ProptestConfig::default()
    })]

    /// A dish of another size has every distance in its measure, in any unit; more light reaches
    /// farther; a lower level is farther out; the cone is never below the axis.
    #[test]
    fn zones_scale(depth in 0.3_f64..3.9, factor in 0.2_f64..5.0, level in 300.0_f64..60_000.0) {
        let of = |factor: f64, irradiance: f64, level: f64| {
            let sheet = run("focal-zone", &json!({
                "aperture_diameter": format!("{:.9} ft", depth * 6.0 * factor / 0.3048),
                "focal_length": format!("{:.9} mm", 6000.0 * factor),
                "reflectance": "92 %", "irradiance": format!("{irradiance} W/m²"),
                "ray_error": "6 mrad",
                "levels": [{"name": "own", "irradiance": format!("{level:.3} W/m²")}],
            }));
            (own(&sheet, "xa"), own(&sheet, "Rc"), own(&sheet, "dt"))
        };
        let one = of(1.0, 900.0, level);
        let other = of(factor, 900.0, level);
        close(other.0, one.0 * factor, 1e-5, "axis");
        close(other.1, one.1 * factor, 1e-5, "cone");
        close(other.2, one.2 * factor, 1e-5, "facet");
        prop_assert!(one.1 >= one.0 * (1.0 - 1e-9));
        let (brighter, lower) = (of(1.0, 1000.0, level), of(1.0, 900.0, 0.9 * level));
        prop_assert!(brighter.0 > one.0 && brighter.1 > one.1 && brighter.2 > one.2);
        prop_assert!(lower.0 > one.0 && lower.1 > one.1 && lower.2 > one.2);
    }
}
