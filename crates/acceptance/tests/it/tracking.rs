//! Tracking errors against spherical trigonometry, pvlib and NumPy.

use acceptance::{Axes, Sheet, Verdict, calculation};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::sun::{result, run};
use crate::table::{number, rows};

fn example(name: &str) -> Value {
    let examples = calculation("tracking-error").unwrap().examples();
    serde_json::from_str(examples.iter().find(|e| e.name == name).unwrap().text).unwrap()
}

fn pair(azimuth: &str, elevation: &str, sun_azimuth: &str, sun_elevation: &str) -> Value {
    json!({
        "azimuth": format!("{azimuth} °"), "elevation": format!("{elevation} °"),
        "sun_azimuth": format!("{sun_azimuth} °"), "sun_elevation": format!("{sun_elevation} °"),
    })
}

fn given(readings: &[Value]) -> Value {
    json!({"method": "sun-given", "sun_elevation_is": "seen", "readings": readings})
}

fn flagged(sheet: &Sheet, code: &str) -> bool {
    sheet.flags.iter().any(|flag| flag.code == code)
}

#[test]
fn angles_of_the_table() {
    for row in rows("tracking_errors.csv") {
        let reading = pair(&row[1], &row[2], &row[3], &row[4]);
        let mut input = given(&[reading.clone(), reading]);
        input["limits"] = json!({"largest": {"value": "200 °"}});
        let off = (result(&run("tracking-error", &input), "largest") - number(&row[5])).abs();
        assert!(off <= number(&row[6]).max(2e-6 * number(&row[5])), "{}: off by {off}", row[0]);
    }
}

#[test]
fn spots_of_the_table() {
    for row in rows("tracking_spots.csv") {
        // The same shift to the side, and as the hypotenuse of 3 and 4.
        let (d, f) = (number(&row[2]), format!("{} m", row[1]));
        let side = json!({"offset_across": format!("{d} mm"), "offset_up": "0 mm"});
        let slant = json!({
            "offset_across": format!("{:.4} mm", -0.6 * d), "offset_up": format!("{:.4} mm", 0.8 * d),
        });
        let sheet = run(
            "tracking-error",
            &json!({
                "method": "camera", "focal_length": f, "readings": [side, slant],
                "limits": {"mean": {"value": "1 °"}},
            }),
        );
        for name in ["largest", "rms", "median"] {
            let off = (result(&sheet, name) / number(&row[3]) - 1.0).abs();
            assert!(off <= number(&row[4]), "{} {name}: off by {off}", row[0]);
        }
    }
}

/// Statistics and clock against pvlib 0.16.1 and NumPy 2.4.6.
#[test]
fn computed_sun_by_pvlib() {
    let mut input = example("good-computed-sun-leads");
    input["delta_t"] = json!("69.2 s");
    for (percentile, ahead) in [("95 %", "0 s"), ("50 %", "3.5 s"), ("80 %", "-9 s")] {
        input["percentile"] = json!(percentile);
        input["clock_ahead"] = json!(ahead);
        let sheet = run("tracking-error", &input);
        let results: serde_json::Map<String, Value> =
            sheet.results.iter().map(|r| (r.name.clone(), json!(r.value))).collect();
        let case = json!({"input": input, "results": results});
        let report = oracle("tracking.py", &case.to_string());
        assert!(report.contains("agrees"), "{report}");
    }
    // The dish of the example leads by 9 s; with stamps that are behind by as much, nothing is left.
    let known = run("tracking-error", &input);
    assert_eq!(known.verdict, Verdict::Pass, "{}", known.reason);
    assert!(result(&known, "leads_by").abs() < 0.5);
    assert!(!flagged(&known, "looks_like_clock"));
    input.as_object_mut().unwrap().remove("clock_ahead");
    let unknown = run("tracking-error", &input);
    assert_eq!(unknown.verdict, Verdict::Fail);
    assert!((result(&unknown, "leads_by") - 9.0).abs() < 0.5);
    assert!(flagged(&unknown, "looks_like_clock"));
}

/// A second of clock is at most 15.04″ (the sun's turn of 360° in a day, a little more against the
/// stars), and 15″·cos δ on average; trade sheet: 1 s of time = 15″ = 0.073 mrad.
#[test]
fn a_second_of_clock() {
    let input = example("good-computed-sun-leads");
    let each = result(&run("tracking-error", &input), "each_second");
    // Declination of 3 September: 7.4°.
    let expected = 1e3 * (15.0_f64 / 3600.0).to_radians() * 7.4_f64.to_radians().cos();
    assert!((each - expected).abs() < 1e-4, "{each} {expected}");
}

/// Fractions of a second are read: 9.5 s ahead instead of 9 s.
#[test]
fn fractions_of_a_second_count() {
    let mut input = example("good-computed-sun-leads");
    let whole = result(&run("tracking-error", &input), "leads_by");
    for reading in input["readings"].as_array_mut().unwrap() {
        let at = reading["at"].as_str().unwrap().replace(":00-04:00", ":00.500-04:00");
        reading["at"] = json!(at);
    }
    let half = result(&run("tracking-error", &input), "leads_by");
    assert!((whole - half - 0.5).abs() < 2e-3, "{whole} {half}");
}

/// Geometric elevations are lifted: at 20° by 0.036° or so (Bennett's rule, from memory), and
/// without air named they are missing it.
#[test]
fn geometric_elevations_are_lifted() {
    let reading = pair("100", "20", "100", "20");
    let mut input = given(&[reading.clone(), reading]);
    input["sun_elevation_is"] = json!("geometric");
    let sheet = run("tracking-error", &input);
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    let named: Vec<_> = sheet.missing.iter().map(|m| m.field.as_str()).collect();
    assert_eq!(named, ["barometer", "temperature"]);
    input["barometer"] = json!("862 hPa");
    input["temperature"] = json!("18 °C");
    let lifted = result(&run("tracking-error", &input), "mean_up");
    let bennett = 1.0 / (60.0 * (20.0_f64 + 7.31 / 24.4).to_radians().tan());
    let expected = -1e3 * (bennett * 862.0 / 1010.0 * 283.0 / 291.0).to_radians();
    assert!((lifted / expected - 1.0).abs() < 0.02, "{lifted} {expected}");
    input.as_object_mut().unwrap().remove("sun_elevation_is");
    assert!(flagged(&run("tracking-error", &input), "refraction_not_stated"));
}

/// Each limit one resolution inside, at, and outside.
#[test]
fn limits_at_their_edge() {
    let readings: Vec<Value> = (1..=20)
        .map(|n| pair("180", &format!("{:.2}", 45.0 + 0.01 * f64::from(n)), "180", "45"))
        .collect();
    // Errors 0.01° … 0.20°, all upward: mean 0.105°, RMS √(Σn²/20)/100 = 0.119 79°.
    for (limit, pass, fail) in [
        ("largest", "0.20 °", "0.199 °"),
        ("percentile", "0.19 °", "0.189 °"),
        ("mean", "0.105 °", "0.1049 °"),
        ("rms", "0.1198 °", "0.1197 °"),
        ("rms_each_axis", "0.1198 °", "0.1197 °"),
    ] {
        for (value, verdict) in [(pass, Verdict::Pass), (fail, Verdict::Fail)] {
            let mut input = given(&readings);
            input["limits"] = json!({limit: {"value": value}});
            let sheet = run("tracking-error", &input);
            assert_eq!(sheet.verdict, verdict, "{limit} {value}: {}", sheet.reason);
        }
    }
    for (share, verdict) in [("75 %", Verdict::Pass), ("75.1 %", Verdict::Fail)] {
        let mut input = given(&readings);
        input["within"] = json!("0.15 °");
        input["limits"] = json!({"share_within": {"value": share}});
        assert_eq!(run("tracking-error", &input).verdict, verdict, "{share}");
    }
    let mut input = given(&readings);
    input["limits"] = json!({"largest": {"value": "1 °"}, "mean": {"value": "0.05 °"}});
    let sheet = run("tracking-error", &input);
    assert_eq!(sheet.verdict, Verdict::Fail, "one limit broken is enough");
    assert!(sheet.reason.starts_with("Mean error"), "{}", sheet.reason);
    let rule = sheet.rule.unwrap();
    assert!(rule.limit.contains("1 °") && rule.limit.contains("0.05 °"), "{rule:?}");
}

/// The guarded rule judges nothing without a stated instrument, and tightens with one.
#[test]
fn guarded_needs_a_statement() {
    let mut input = example("good-three-runs");
    input["limits"] = json!({"rms": {"value": "1.0 mrad", "rule": "guarded"}});
    let stated = run("tracking-error", &input);
    assert_eq!(stated.verdict, Verdict::Fail, "0.68 + 2·0.165 > 1.0: {}", stated.reason);
    input.as_object_mut().unwrap().remove("uncertainty");
    assert_eq!(run("tracking-error", &input).verdict, Verdict::NotJudged);
}

/// An encoder zero that is off shifts the mean by itself: 0.01° across at the horizon is 0.01°.
#[test]
fn shared_errors_shift_the_mean() {
    let readings: Vec<Value> =
        [0.1, 0.1, 0.1, 0.1].map(|x| pair(&format!("{}", 90.0 + x), "0", "90", "0")).to_vec();
    let mut input = given(&readings);
    input["limits"] = json!({"mean": {"value": "1 °"}});
    input["uncertainty"] = json!({"azimuth": {"value": "0.01 °", "distribution": "standard"}});
    let sheet = run("tracking-error", &input);
    let u: f64 =
        sheet.result("mean_size").unwrap().standard_uncertainty.as_ref().unwrap().parse().unwrap();
    // 2000 trials give a standard deviation within 1.6 % (one sigma).
    assert!((u / 0.01 - 1.0).abs() < 0.07, "{u}");
    assert_eq!(sheet, run("tracking-error", &input), "a seed, not chance");
}

#[test]
fn wind_is_left_out_and_named() {
    let mut input = example("good-three-runs");
    let sheet = run("tracking-error", &input);
    assert!(flagged(&sheet, "wind") && result(&sheet, "samples") < 36.0);
    input["wind"]["value"] = json!("0.1 m/s");
    let none = run("tracking-error", &input);
    assert_eq!(none.verdict, Verdict::NotJudged);
    assert!(none.reason.contains("wind"), "{}", none.reason);
    input["wind"]["value"] = json!("22 kn");
    let all = run("tracking-error", &input);
    assert!((result(&all, "samples") - 36.0).abs() < 1e-9);
    input["readings"][3].as_object_mut().unwrap().remove("wind");
    let gap = run("tracking-error", &input);
    assert_eq!(gap.missing[0].field, "readings[3].wind");
}

/// A long run is one line of inputs, a short table and a thinned figure.
#[test]
fn a_long_run_stays_readable() {
    let readings: Vec<Value> = (0..1800)
        .map(|n| {
            let x = 0.01 * (f64::from(n) / 60.0).sin();
            pair(&format!("{:.5}", 180.0 + x), "45.002", "180", "45")
        })
        .collect();
    let mut input = given(&readings);
    input["uncertainty"] =
        json!({"elevation": {"value": "0.003 °", "distribution": "rectangular"}});
    let sheet = run("tracking-error", &input);
    assert!(sheet.inputs.len() < 10, "{}", sheet.inputs.len());
    assert!(sheet.inputs.iter().any(|line| line.typed.contains("1800 rows")));
    let figure = sheet.figure.as_ref().unwrap();
    assert_eq!(figure.axes, Some(Axes::Equal));
    assert!(figure.series[0].points.len() <= 601);
    assert!(flagged(&sheet, "samples_alike") && result(&sheet, "effective_samples") < 60.0);
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None, cases: 64, ..ProptestConfig::default()
    })]

    /// Turning the whole sky changes nothing; the other unit changes nothing; a mirrored error
    /// changes the sign across alone.
    #[test]
    fn turned_in_other_units_and_mirrored(
        turn in -300.0..300.0_f64, x in -0.5..0.5_f64, y in -0.5..0.5_f64, e in 5.0..80.0_f64,
    ) {
        let sheet = |turn: f64, x: f64, milli: bool| {
            let text = |degrees: f64| match milli {
                true => format!("{:.9} mrad", 1e3 * degrees.to_radians()),
                false => format!("{degrees:.9} °"),
            };
            let one = |x: f64| json!({
                "azimuth": text(30.0 + turn + x), "elevation": text(e + y),
                "sun_azimuth": text(30.0 + turn), "sun_elevation": text(e),
            });
            run("tracking-error", &given(&[one(x), one(x)]))
        };
        let plain = sheet(0.0, x, false);
        let near = |a: f64, b: f64| (a - b).abs() < 1e-4 + 1e-4 * a.abs();
        for name in ["largest", "mean_across", "mean_up"] {
            prop_assert!(near(result(&plain, name), result(&sheet(turn, x, false), name)));
            prop_assert!(near(result(&plain, name), result(&sheet(0.0, x, true), name)));
        }
        let other = sheet(0.0, -x, false);
        prop_assert!(near(result(&plain, "mean_across"), -result(&other, "mean_across")));
        prop_assert!(near(result(&plain, "mean_up"), result(&other, "mean_up")));
        prop_assert!(result(&plain, "rms") <= result(&plain, "largest") * (1.0 + 1e-5));
    }
}
