//! What must hold for every pair of directions and every job.

use acceptance::{Verdict, separation};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::sun::{direction, line, run, unix};

fn any_direction() -> impl Strategy<Value = (f64, f64)> {
    (-180.0_f64..360.0, -90.0_f64..=90.0)
}

fn degrees(one: (f64, f64), other: (f64, f64)) -> f64 {
    separation(direction(one.0, one.1), direction(other.0, other.1)).radians().to_degrees()
}

/// A job anywhere, on any day of four years, with any parking direction.
fn any_job() -> impl Strategy<Value = Value> {
    (-89.0_f64..89.0, -179.0_f64..179.0, 0_i64..1461, 0_i64..24, any_direction(), 1.0_f64..60.0)
        .prop_map(|(latitude, longitude, day, hour, (azimuth, elevation), margin)| {
            let (year, of_year) = (2026 + day / 366, day % 365);
            let (month, of_month) = (of_year / 31 + 1, of_year % 28 + 1);
            json!({
                "latitude": format!("{latitude:.4} °"), "longitude": format!("{longitude:.4} °"),
                "altitude": "1350 m",
                "start": format!("{year}-{month:02}-{of_month:02}T{hour:02}:00:00+00:00"),
                "length": "6 h", "axis_azimuth": format!("{azimuth:.3} °"),
                "axis_elevation": format!("{elevation:.3} °"),
                "limit": {"margin": format!("{margin:.2} °")},
            })
        })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn of_two_directions(one in any_direction(), other in any_direction(), third in any_direction()) {
        let angle = degrees(one, other);
        prop_assert!((0.0..=180.0 + 1e-12).contains(&angle));
        prop_assert!((angle - degrees(other, one)).abs() < 1e-9);
        prop_assert!(degrees(one, one).abs() < 1e-7);
        prop_assert!(angle <= degrees(one, third) + degrees(third, other) + 1e-9);
        // A whole turn of azimuth is no turn.
        prop_assert!((angle - degrees((one.0 + 360.0, one.1), other)).abs() < 1e-9);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 40, ..ProptestConfig::default() })]

    /// The minimum is at most every row of the sun's path, and lies in the window.
    #[test]
    fn the_minimum_is_a_minimum(input in any_job()) {
        let sheet = run("parking-window", &input);
        let Some(at) = sheet.result("at") else {
            prop_assert!(sheet.tables.iter().all(|table| table.name != "sun"));
            prop_assert_eq!(sheet.verdict, Verdict::Pass);
            return Ok(());
        };
        let lowest = line(&sheet, "σ_n");
        let start = unix(input["start"].as_str().unwrap());
        prop_assert!((start - 1.0..=start + 6.0 * 3600.0 + 1.0).contains(&unix(&at.value)));
        let path = sheet.tables.iter().find(|table| table.name == "sun").unwrap();
        for row in &path.rows {
            let angle: f64 = row[3].parse().unwrap();
            prop_assert!(lowest <= angle + 0.0051, "{lowest} against {angle} at {}", row[0]);
        }
        let margin = input["limit"]["margin"].as_str().unwrap();
        let margin: f64 = margin.trim_end_matches(" °").parse().unwrap();
        let expected = if lowest < margin { Verdict::Fail } else { Verdict::Pass };
        prop_assert!(sheet.verdict == expected || (lowest - margin).abs() < 1e-5);
        prop_assert_eq!(sheet.verdict == Verdict::Fail, sheet.result("first_break").is_some());
    }

    /// A longer job never has a larger minimum.
    #[test]
    fn longer_is_never_farther(mut input in any_job(), more in 1.0_f64..30.0) {
        let short = run("parking-window", &input);
        input["length"] = json!(format!("{:.2} h", 6.0 + more));
        let long = run("parking-window", &input);
        if short.result("min_angle").is_some() {
            prop_assert!(line(&long, "σ_n") <= line(&short, "σ_n") + 1e-4);
        }
        prop_assert!(short.verdict != Verdict::Fail || long.verdict == Verdict::Fail);
    }

    /// No text in any field makes the calculations panic.
    #[test]
    fn no_text_makes_them_panic(text in any::<String>(), place in 0_usize..8) {
        let mut input = crate::sun::job();
        let fields = ["latitude", "longitude", "altitude", "start", "length", "axis_azimuth", "axis_elevation"];
        match fields.get(place) {
            Some(field) => input[*field] = json!(text),
            None => input["limit"]["margin"] = json!(text),
        }
        let _ = acceptance::calculation("parking-window").unwrap().run(&input);
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None, cases: 120, ..ProptestConfig::default()
    })]

    /// No text in any field of any example makes a calculation about the sun or its light panic.
    #[test]
    fn no_text_makes_any_of_them_panic(text in any::<String>(), which in 0_usize..6, place in any::<prop::sample::Index>()) {
        let names =
            ["focal-zone", "parking-window", "stow-directions", "sun-day", "sun-position", "walk-off"];
        let calculation = acceptance::calculation(names[which]).unwrap();
        for example in calculation.examples().iter().filter(|e| e.name.starts_with("good-")).take(2) {
            let mut input: Value = serde_json::from_str(example.text).unwrap();
            let fields = input.as_object_mut().unwrap();
            let field = place.index(fields.len());
            if let Some((_, value)) = fields.iter_mut().nth(field) {
                *value = json!(text);
            }
            let _ = calculation.run(&input);
        }
    }
}
