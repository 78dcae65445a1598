//! Earth electrodes: the hemisphere's exact line, Tagg's table, rods and soil.

use acceptance::Verdict;
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::given::{cell, each_is_missed, example, flagged, missing, refused, without};
use crate::sun::{line, result, run};
use crate::table::{close, number, rows};

const NAME: &str = "earth-resistance";

#[test]
fn models_of_the_table() {
    for row in rows("earth_resistance.csv") {
        let (input, name) = match row[0].as_str() {
            "hemisphere" => {
                (json!({"resistivity": row[1], "hemisphere": {"radius": row[2]}}), "hemisphere")
            }
            "rod" => {
                let rod = json!({"length": row[2], "diameter": row[3]});
                (json!({"resistivity": row[1], "rod": rod}), "rod")
            }
            _ => (json!({"wenner": [{"spacing": row[1], "resistance": row[2]}]}), "resistivity"),
        };
        close(result(&run(NAME, &input), name), number(&row[4]), number(&row[5]), &row[6]);
    }
}

/// Soundings on hemispheres, recomputed in Python 3.11: ρ 100, r 0.5, c 50.
#[test]
fn line_of_a_hemisphere() {
    let sheet = run(NAME, &example(NAME, "good-model-line"));
    for (row, ohms) in
        [(2, 31.512_68), (3, 31.777_94), (4, 31.830_99), (5, 31.836_93), (6, 32.118_98)]
    {
        close(number(cell(&sheet, "model_line", row, "resistance")), ohms, 1e-6, "R(x)");
    }
    assert_eq!(cell(&sheet, "model_line", 4, "off"), "0.00", "exact at 61.8 %");
    assert_eq!(cell(&sheet, "model_line", 6, "off"), "0.90");
}

/// Readings of a hemisphere whose middle lies `behind` the tape's beginning, ρ 100, r 0.5.
fn readings(c: f64, behind: f64) -> (Value, f64) {
    let k = 100.0 / (2.0 * core::f64::consts::PI);
    let points: Vec<_> = (4..=18)
        .map(|n| {
            let x = c * f64::from(n) / 20.0;
            let r = k * (2.0 - 1.0 / (x + behind) - 1.0 / (c + behind) + 1.0 / (c - x));
            json!({"distance": format!("{x} m"), "resistance": format!("{r:.6} Ω")})
        })
        .collect();
    (json!(points), k * 2.0)
}

/// A hemisphere read from a point off its middle: 61.8 % is wrong, the slope method finds it.
#[test]
fn the_slope_method_finds_a_hidden_middle() {
    for (behind, off) in [(0.0, false), (10.0, true)] {
        let (points, truth) = readings(50.0, behind);
        let mut input = json!({"fall_of_potential": {
            "current_distance": "50 m", "method": "slope", "readings": points,
        }});
        let slope = run(NAME, &input);
        close(result(&slope, "resistance"), truth, 2e-3, "slope method");
        assert!((line(&slope, "d") - behind / 50.0).abs() < 1e-4, "{}", line(&slope, "d"));
        input["fall_of_potential"]["method"] = json!("golden_share");
        let golden = result(&run(NAME, &input), "resistance");
        assert_eq!((golden / truth - 1.0).abs() > 5e-3, off, "{golden} for {truth}");
    }
    let (points, _) = readings(50.0, 0.0);
    let input = json!({"fall_of_potential": {
        "current_distance": "50 m", "method": "golden_share", "readings": points,
    }});
    close(line(&run(NAME, &input), "μ"), 0.571_429, 1e-4, "slope of the exact line");
}

/// A current probe within the electrode's own field: μ leaves Tagg's table and nothing is judged.
#[test]
fn slope_out_of_range() {
    let line = |r60: &str| {
        let mut input = example(NAME, "good-line-of-the-dish");
        input["fall_of_potential"]["readings"] = json!([
            {"distance": "10 m", "resistance": "5.0 Ω"}, {"distance": "20 m", "resistance": "6.0 Ω"},
            {"distance": "30 m", "resistance": r60}, {"distance": "35 m", "resistance": "8.0 Ω"},
        ]);
        run(NAME, &input)
    };
    for (r60, judged) in [("6.40 Ω", true), ("6.39 Ω", false), ("7.59 Ω", true), ("7.60 Ω", false)]
    {
        let sheet = line(r60);
        assert_eq!(sheet.verdict == Verdict::Pass, judged, "{r60}: {}", sheet.reason);
        assert_eq!(flagged(&sheet, "slope_out_of_range"), !judged);
        assert_eq!(sheet.result("resistance").is_some(), judged);
    }
}

#[test]
fn limit_and_doubt() {
    for (clamp, verdict) in
        [("10.0 Ω", Verdict::Pass), ("10.1 Ω", Verdict::Fail), ("0.0100 kΩ", Verdict::Pass)]
    {
        let mut input = example(NAME, "good-clamp-reading");
        input["resistance"] = json!(clamp);
        assert_eq!(run(NAME, &input).verdict, verdict, "{clamp}");
    }
    let sheet = run(NAME, &example(NAME, "good-line-of-the-dish"));
    assert_eq!(sheet.verdict, Verdict::Pass);
    let combined: f64 = sheet.combined.clone().unwrap().standard.parse().unwrap();
    close(combined, result(&sheet, "resistance") * 0.03 / 3.0_f64.sqrt(), 5e-3, "3 % rectangular");
}

#[test]
fn agreement_and_gaps() {
    let mut input = example(NAME, "good-line-of-the-dish");
    input["fall_of_potential"]["agreement"] = json!("10 %");
    assert_eq!(run(NAME, &input).verdict, Verdict::Pass);
    input["fall_of_potential"]["agreement"] = json!("3 %");
    assert_eq!(run(NAME, &input).verdict, Verdict::NotJudged, "about 6 % apart");
    let few = json!([
        {"distance": "10 m", "resistance": "6 Ω"}, {"distance": "30 m", "resistance": "7.3 Ω"},
    ]);
    input["fall_of_potential"]["readings"] = few;
    let sheet = run(NAME, &input);
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert!(flagged(&sheet, "slope_not_checked"));
}

#[test]
fn layered_soil_has_no_model() {
    let mut input = example(NAME, "good-rod-in-measured-soil");
    assert!(run(NAME, &input).result("rod").is_some());
    input["wenner"][1]["resistance"] = json!("9.9 Ω");
    let sheet = run(NAME, &input);
    assert!(flagged(&sheet, "layered_soil") && sheet.result("rod").is_none());
    // Depth of probes: for b → 0 the full formula is 2πaR.
    input["wenner"] = json!([{"spacing": "4 m", "resistance": "5 Ω", "depth": "0.001 m"}]);
    close(result(&run(NAME, &input), "resistivity"), 125.6637, 1e-5, "shallow probes");
}

#[test]
fn what_is_missing_or_contradicts() {
    let input = example(NAME, "good-line-of-the-dish");
    let paths = [
        "fall_of_potential/current_distance",
        "fall_of_potential/method",
        "fall_of_potential/readings/0/resistance",
    ];
    for path in paths {
        let sheet = run(NAME, &without(&input, path));
        assert_eq!(sheet.verdict, Verdict::NotJudged, "{path}");
        assert_eq!(sheet.missing.len(), 1, "{path}");
    }
    each_is_missed(NAME, &example(NAME, "good-clamp-reading"), &["resistance"]);
    let rod = json!({"rod": {"length": "2 m", "diameter": "16 mm"}});
    assert_eq!(missing(&run(NAME, &rod)), ["resistivity", "resistance"]);
    let mut two = example(NAME, "good-rod-in-measured-soil");
    two["resistivity"] = json!("100 Ω·m");
    assert_eq!(refused(NAME, &two).code, "two_soils");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 48, ..ProptestConfig::default() })]

    /// All readings twice as large: the result too, and the slope the same.
    #[test]
    fn in_proportion(shift in 0_u32..20) {
        let (points, _) = readings(50.0, f64::from(shift));
        let mut input = json!({"fall_of_potential": {
            "current_distance": "50 m", "method": "golden_share", "readings": points.clone(),
        }});
        let one = run(NAME, &input);
        for point in input["fall_of_potential"]["readings"].as_array_mut().unwrap() {
            let text = point["resistance"].as_str().unwrap().to_owned();
            let ohms: f64 = text.trim_end_matches(" Ω").parse().unwrap();
            point["resistance"] = json!(format!("{:.9} kΩ", 2.0 * ohms / 1000.0));
        }
        let two = run(NAME, &input);
        prop_assert!((result(&two, "resistance") / result(&one, "resistance") - 2.0).abs() < 1e-4);
        prop_assert!((line(&two, "μ") - line(&one, "μ")).abs() < 1e-4);
    }
}
