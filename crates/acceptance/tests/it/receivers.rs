//! Temperatures of receivers: quadrants by hand, exchanges by NumPy, tolerances by the standard.

use acceptance::{Refusal, Sheet, Verdict, calculation};
use proptest::prelude::*;
use serde_json::{Map, Value, json};

use crate::oracle::oracle;
use crate::sun::{result, run};
use crate::table::{number, rows};

const CALC: &str = "receiver-temperatures";

fn example(name: &str) -> Value {
    let examples = calculation(CALC).unwrap().examples();
    serde_json::from_str(examples.iter().find(|e| e.name == name).unwrap().text).unwrap()
}

fn refused(input: &Value) -> Refusal {
    calculation(CALC).unwrap().run(input).unwrap_err()
}

fn found(sheet: &Sheet, code: &str) -> Vec<String> {
    sheet.findings.iter().filter(|f| f.code == code).map(|f| f.place.clone()).collect()
}

fn flagged(sheet: &Sheet, code: &str) -> bool {
    sheet.flags.iter().any(|flag| flag.code == code)
}

fn doubt(sheet: &Sheet, name: &str) -> f64 {
    sheet.result(name).unwrap().standard_uncertainty.as_ref().unwrap().parse().unwrap()
}

/// Four quadrants of four: `Q2-3` is place 3 of quadrant 2.
fn names() -> Vec<String> {
    (1..=4).flat_map(|q| (1..=4).map(move |p| format!("Q{q}-{p}"))).collect()
}

fn receiver(values: &[f64]) -> Value {
    let channels: Vec<Value> = names()
        .iter()
        .map(|name| json!({"channel": name, "quadrant": &name[..2], "place": &name[3..]}))
        .collect();
    let readings: Map<String, Value> =
        names().into_iter().zip(values).map(|(n, v)| (n, json!(format!("{v:.4} °C")))).collect();
    json!({"channels": channels, "scans": [{"readings": readings}]})
}

/// A number between −1 and 1 that looks random and is always the same.
fn scattered(n: u32) -> f64 {
    let turn = (f64::from(n) * 12.9898).sin() * 43_758.545_3;
    2.0 * (turn - turn.floor()) - 1.0
}

/// A pattern that all quadrants share, with noise.
fn alike(seed: u32, noise: f64) -> Vec<f64> {
    let step = [-22.0, 9.0, 26.0, -13.0];
    (0_u32..16).map(|n| 680.0 + step[n as usize % 4] + noise * scattered(seed + n)).collect()
}

/// Means 681, 663, 669, 675 by hand: spread 18 K, channels 664 … 684, u of class 1 of type K.
#[test]
fn quadrants_by_hand() {
    let mut values = Vec::new();
    for mean in [681.0, 665.0, 669.0, 675.0] {
        values.extend([mean - 3.0, mean - 1.0, mean + 1.0, mean + 3.0]);
    }
    values[4] = 654.0;
    let mut input = receiver(&values);
    input["set_point"] = json!("680 °C");
    input["uncertainty"] = json!({"channel": {"value": "2 K", "distribution": "standard"}});
    let sheet = run(CALC, &input);
    // The second quadrant's first channel is 654 instead of 662, so its mean 663.
    let near = |name: &str, expected: f64| {
        let got = result(&sheet, name);
        assert!((got - expected).abs() < 5e-3, "{name}: {got}");
    };
    near("spread_of_means", 18.0);
    near("spread_of_channels", 30.0);
    near("highest", 684.0);
    near("mean", 672.0);
    near("above_set_point", -8.0);
    near("hot_tube", 6.667); // 668 over the mean of 654, 664 and 666
    assert!((doubt(&sheet, "spread_of_means") - 2.0_f64.sqrt()).abs() < 5e-3, "2·√(2/4)");
    assert!((doubt(&sheet, "spread_of_channels") - 2.828).abs() < 5e-3);
    for (of, at, below) in [("quadrant-means", "18 K", "17.9 K"), ("channels", "30 K", "29.9 K")] {
        for (limit, verdict) in [(at, Verdict::Pass), (below, Verdict::Fail)] {
            input["limits"] = json!({"spread_of": of, "spread_alarm": {"value": limit}});
            assert_eq!(run(CALC, &input).verdict, verdict, "{of} {limit}");
        }
    }
    for (limit, verdict) in
        [("684 °C", Verdict::Pass), ("683.9 °C", Verdict::Fail), ("1263.2 °F", Verdict::Pass)]
    {
        input["limits"] = json!({"highest": {"value": limit}});
        assert_eq!(run(CALC, &input).verdict, verdict, "{limit}");
    }
    input["limits"] = json!({"highest": {"value": "687 °C", "rule": "guarded"}});
    assert_eq!(run(CALC, &input).verdict, Verdict::Fail, "684 + 2·2 > 687");
    input["limits"] = json!({"spread_alarm": {"value": "60 K"}});
    let open = run(CALC, &input);
    assert_eq!(open.missing[0].field, "limits.spread_of", "which spread is never guessed");
}

#[test]
fn tolerances_of_the_table() {
    for row in rows("thermocouples.csv") {
        let celsius = number(&row[2]);
        let mut input = receiver(&[celsius; 16]);
        input["uncertainty"] = json!({"thermocouple": row[0], "class": row[1]});
        let u = doubt(&run(CALC, &input), "spread_of_channels");
        let expected = number(&row[3]) * (2.0_f64 / 3.0).sqrt();
        assert!((u / expected - 1.0).abs() < 5e-3, "{} {} {celsius}: {u}", row[0], row[1]);
    }
    let mut input = receiver(&[760.0; 16]);
    input["uncertainty"] = json!({"thermocouple": "J", "class": "2"});
    assert_eq!(refused(&input).code, "outside_validity");
    input["uncertainty"] = json!({"thermocouple": "J"});
    assert_eq!(run(CALC, &input).missing[0].field, "uncertainty.class");
}

/// Q2-3 and Q3-1 of PC-09, by warming and by the pattern.
#[test]
fn the_pair_of_the_story() {
    let warmed = run(CALC, &example("good-warming-test"));
    assert_eq!(found(&warmed, "exchanged"), ["Q2-3, Q3-1"]);
    assert_eq!(warmed.verdict, Verdict::Fail);
    let pattern = run(CALC, &example("good-exchanged-pair"));
    assert_eq!(found(&pattern, "exchange_suspected"), ["Q2-3, Q3-1"]);
    assert_eq!(pattern.verdict, Verdict::NotJudged, "a spread of wrong means passes nothing");
    assert!(result(&pattern, "spread_of_means_put_right") < result(&pattern, "spread_of_means"));
    let clean = run(CALC, &example("good-first-sun"));
    assert_eq!(clean.verdict, Verdict::Pass);
    assert!(found(&clean, "exchange_suspected").is_empty());
}

/// Exchanges, chances and the direction of the heat against NumPy 2.4.6 and SciPy 1.17.1.
#[test]
fn exchanges_by_numpy() {
    let bearings = [45.0, 135.0, 225.0, 315.0];
    for (case, swap) in [(0_u32, None), (1, Some((6, 8))), (2, Some((3, 14))), (3, Some((0, 5)))] {
        let mut values = alike(100 * case, 4.0);
        for (n, value) in values.iter_mut().enumerate() {
            *value += [6.0, -2.0, -5.0, 1.0][n / 4];
        }
        if let Some((one, other)) = swap {
            values.swap(one, other);
        }
        let by_expected = case == 2;
        let mut input = receiver(&values);
        input["quadrants"] = (0..4)
            .map(|q| json!({"quadrant": format!("Q{}", q + 1), "bearing": format!("{} °", bearings[q])}))
            .collect();
        let expected: Vec<f64> = alike(0, 0.0);
        if by_expected {
            let map: Map<String, Value> = names()
                .into_iter()
                .zip(&expected)
                .map(|(n, v)| (n, json!(format!("{v} °C"))))
                .collect();
            input["expected"] = Value::Object(map);
        }
        input["pattern"] = json!(if by_expected { "expected" } else { "symmetrical" });
        let sheet = run(CALC, &input);
        let put_right: Vec<(usize, usize)> = match found(&sheet, "exchange_suspected").first() {
            Some(pair) => {
                let places: Vec<usize> = pair
                    .split(", ")
                    .map(|name| names().iter().position(|n| n == name).unwrap())
                    .collect();
                vec![(places[0], places[1])]
            }
            None => vec![],
        };
        assert_eq!(put_right.first().copied(), swap, "case {case}: {}", sheet.reason);
        let results: Map<String, Value> =
            sheet.results.iter().map(|r| (r.name.clone(), json!(r.value))).collect();
        let channels: Vec<Value> = names()
            .iter()
            .enumerate()
            .map(|(n, name)| json!([&name[..2], &name[3..], bearings[n / 4]]))
            .collect();
        let exact: Vec<f64> = values.iter().map(|v| (1e4 * v).round() / 1e4).collect();
        let given = json!({
            "channels": channels, "names": names(), "values": exact, "results": results,
            "expected": if by_expected { json!(expected) } else { Value::Null },
            "put_right": put_right,
        });
        let report = oracle("receiver.py", &given.to_string());
        assert!(report.contains("agrees"), "{report}");
    }
}

/// With nothing exchanged an alarm at 5 % comes in about 5 % of runs, and not more often: 30 runs,
/// at most 5 (binomial: more in 0.3 % of such sets).
#[test]
fn false_alarms_are_as_rare_as_stated() {
    let alarms = (0..30)
        .filter(|seed| {
            let mut input = receiver(&alike(1000 + 17 * seed, 4.0));
            input["pattern"] = json!("symmetrical");
            input["false_alarm"] = json!("5 %");
            !found(&run(CALC, &input), "exchange_suspected").is_empty()
        })
        .count();
    assert!(alarms <= 5, "{alarms} of 30");
}

/// Heat to one side: 12 K towards 60°, put on top of the pattern.
#[test]
fn the_side_of_the_heat() {
    let bearings = [45.0_f64, 135.0, 225.0, 315.0];
    let mut values = alike(4, 2.0);
    for (n, value) in values.iter_mut().enumerate() {
        *value += 12.0 * (bearings[n / 4] - 60.0).to_radians().cos();
    }
    let mut input = receiver(&values);
    assert!(run(CALC, &input).result("heat").is_none(), "no bearing is known");
    input["quadrants"] = (0..4)
        .map(
            |q| json!({"quadrant": format!("Q{}", q + 1), "bearing": format!("{} °", bearings[q])}),
        )
        .collect();
    input["pattern"] = json!("symmetrical");
    let sheet = run(CALC, &input);
    assert!((result(&sheet, "heat") - 12.0).abs() < 2.0, "{}", result(&sheet, "heat"));
    assert!((result(&sheet, "heat_bearing") - 60.0).abs() < 10.0);
    assert!(flagged(&sheet, "heat_to_one_side"));
    let flag = sheet.flags.iter().find(|flag| flag.code == "heat_to_one_side").unwrap();
    assert!(flag.sentence.contains("upper right"), "{}", flag.sentence);
}

/// Open and stuck channels don't count, and nothing passes while there are any; a limit that is
/// broken without them stays broken.
#[test]
fn open_and_stuck_channels() {
    let mut input = example("good-open-and-stuck");
    let sheet = run(CALC, &input);
    assert_eq!(
        (found(&sheet, "open"), found(&sheet, "stuck")),
        (vec!["Q1-4".into()], vec!["Q4-2".into()])
    );
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert!(flagged(&sheet, "uneven_means"));
    input["limits"]["highest"]["value"] = json!("700 °C");
    assert_eq!(run(CALC, &input).verdict, Verdict::Fail);
    for quadrant in ["Q1-1", "Q1-2", "Q1-3"] {
        input["scans"][2]["readings"][quadrant] = json!("open");
    }
    input["limits"].as_object_mut().unwrap().remove("highest");
    let none = run(CALC, &input);
    assert_eq!(none.verdict, Verdict::NotJudged);
    assert!(none.result("spread_of_means").is_none(), "a quadrant without a channel has no mean");
    // Scans in which nothing moved say nothing of a stuck channel.
    let still = receiver(&[680.0; 16]);
    let mut twice = still.clone();
    twice["scans"].as_array_mut().unwrap().push(still["scans"][0].clone());
    assert!(found(&run(CALC, &twice), "stuck").is_empty());
}

#[test]
fn warming_tests() {
    let mut input = example("good-warming-test");
    let warming = input["warming"].as_array().unwrap().clone();
    let at = |name: &str| warming.iter().position(|w| w["warmed"] == name).unwrap();
    // Put right: all identified.
    input["warming"][at("Q2-3")]["rises"] = json!({"Q2-3": "22 K"});
    input["warming"][at("Q3-1")]["rises"] = json!({"Q3-1": "21 K"});
    assert_eq!(run(CALC, &input).verdict, Verdict::Pass);
    // One place never warmed: not judged. None or several answers: failed.
    let mut short = input.clone();
    short["warming"].as_array_mut().unwrap().pop();
    assert_eq!(run(CALC, &short).verdict, Verdict::NotJudged);
    input["warming"][at("Q1-2")]["rises"] = json!({"Q1-2": "4.9 K"});
    let none = run(CALC, &input);
    assert_eq!((found(&none, "no_answer"), none.verdict), (vec!["Q1-2".into()], Verdict::Fail));
    input["warming"][at("Q1-2")]["rises"] = json!({"Q1-2": "5 K", "Q1-3": "6 K"});
    assert_eq!(found(&run(CALC, &input), "not_clear"), ["Q1-2"]);
    // Three in a ring are no pair.
    for (place, channel) in [("Q1-2", "Q1-3"), ("Q1-3", "Q2-1"), ("Q2-1", "Q1-2")] {
        input["warming"][at(place)]["rises"] = json!({channel: "20 K"});
    }
    let ring = run(CALC, &input);
    assert!(found(&ring, "exchanged").is_empty());
    assert_eq!(found(&ring, "on_another_channel").len(), 3);
    input.as_object_mut().unwrap().remove("answer_at_least");
    assert_eq!(run(CALC, &input).missing[0].field, "answer_at_least");
}

#[test]
fn gaps_and_refusals() {
    let missing = run(CALC, &example("good-reading-missing"));
    assert_eq!(missing.missing[0].field, "scans[0].readings.Q3-2");
    let none = run(CALC, &json!({}));
    let named: Vec<_> = none.missing.iter().map(|m| m.field.as_str()).collect();
    assert_eq!(named, ["channels", "scans"]);
    let mut input = receiver(&[680.0; 16]);
    input["scans"][0]["readings"]["Q1-1"] = json!("6800 °C");
    let refusal = refused(&input);
    assert_eq!(
        (refusal.code.as_str(), refusal.field.as_str()),
        ("implausible", "scans[0].readings.Q1-1")
    );
    input["open_at"] = json!("1372 °C");
    assert_eq!(found(&run(CALC, &input), "open"), ["Q1-1"], "full scale is an open circuit");
    let mut input = receiver(&[680.0; 16]);
    input["pattern"] = json!("symmetrical");
    input["channels"][2].as_object_mut().unwrap().remove("place");
    assert_eq!(run(CALC, &input).missing[0].field, "channels[2].place");
    input["pattern"] = json!("first-scan");
    assert_eq!(run(CALC, &input).missing[0].field, "scans[1]");
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None, cases: 32, ..ProptestConfig::default()
    })]

    /// Fahrenheit or Celsius, channels in any order, a common level: the same spreads.
    #[test]
    fn units_order_and_level(seed in 0_u32..1000, level in -50.0..50.0_f64) {
        let values = alike(seed, 9.0);
        let plain = run(CALC, &receiver(&values));
        let mut other = receiver(&values.iter().map(|v| v + level).collect::<Vec<_>>());
        other["channels"].as_array_mut().unwrap().reverse();
        for (name, value) in names().iter().zip(&values) {
            let fahrenheit = 1.8 * (value + level) + 32.0;
            other["scans"][0]["readings"][name.as_str()] = json!(format!("{fahrenheit:.4} °F"));
        }
        let other = run(CALC, &other);
        for name in ["spread_of_means", "spread_of_channels", "hot_tube"] {
            prop_assert!((result(&plain, name) - result(&other, name)).abs() < 0.011, "{}", name);
        }
        prop_assert!(result(&plain, "spread_of_means") <= result(&plain, "spread_of_channels"));
        let rise = result(&other, "highest") - result(&plain, "highest");
        prop_assert!((rise - level).abs() < 0.011);
    }
}
