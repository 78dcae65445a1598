//! Slip and output against textbook cases.

use acceptance::{Sheet, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::given::{each_is_missed, example, flagged, refused};
use crate::sun::{line, result, run};
use crate::table::{close, number, rows};

const NAME: &str = "generator-slip";

fn at(frequency: &str, poles: &str, speed: &str) -> Sheet {
    run(NAME, &json!({"frequency": frequency, "poles": poles, "speed": speed}))
}

#[test]
fn cases_of_the_table() {
    for row in rows("generator_slip.csv") {
        let sheet = at(&format!("{} Hz", row[0]), &row[1], &format!("{} r/min", row[2]));
        close(result(&sheet, "synchronous_speed"), number(&row[3]), 1e-9, &row[5]);
        close(line(&sheet, "s"), number(&row[4]), 1e-6, &row[5]);
        let generates = number(&row[4]) < 0.0;
        assert_eq!(sheet.reason.contains("it generates"), generates, "{}", sheet.reason);
        assert_eq!(flagged(&sheet, "no_electrical_brake"), generates);
    }
}

/// P 25 kW, Q 14 kvar at 480 V: S 28.6531 kVA, cos φ 0.87251, I 34.4643 A (recomputed, Python 3.11).
#[test]
fn power_factor_and_current() {
    let mut input: Value = json!({
        "frequency": "60 Hz", "poles": "4", "speed": "1825 r/min",
        "real_power": "25 kW", "reactive_power": "14 kvar", "voltage": "480 V",
    });
    let sheet = run(NAME, &input);
    close(result(&sheet, "apparent_power"), 28.6531, 2e-6, "S");
    close(result(&sheet, "power_factor"), 0.872_51, 5e-6, "power factor");
    close(result(&sheet, "current"), 34.4643, 2e-6, "I");
    input["current"] = json!("40 A");
    assert!(flagged(&run(NAME, &input), "current_disagrees"));
    // The other way round: Q from P, U and I.
    input.as_object_mut().unwrap().remove("reactive_power");
    input["current"] = json!("34.4643 A");
    let sheet = run(NAME, &input);
    close(result(&sheet, "reactive_power"), 14.0, 1e-5, "Q");
    input["real_power"] = json!("30 kW");
    assert_eq!(refused(NAME, &input).code, "power_above_apparent");
}

/// The peak speed against its limit, one resolution inside and outside; rpm and rad/s alike.
#[test]
fn peak_speed_at_its_limit() {
    for (peak, verdict) in [
        ("1650 r/min", Verdict::Pass),
        ("1651 r/min", Verdict::Fail),
        ("172.7 rad/s", Verdict::Pass),
        ("172.8 rad/s", Verdict::Fail),
    ] {
        let mut input = example(NAME, "good-loss-of-grid");
        input["peak_speed"] = json!(peak);
        let sheet = run(NAME, &input);
        assert_eq!(sheet.verdict, verdict, "{}", sheet.reason);
    }
}

/// By hand: u(s)² = (u(n)/n_s)² + (n/n_s·u(f)/f)², rectangular ±1 r/min and ±0.01 Hz.
#[test]
fn doubt() {
    let sheet = run(NAME, &example(NAME, "good-on-the-site-network"));
    let (u_n, u_f) =
        (1.0 / 3.0_f64.sqrt() / 1500.0, 0.01 / 3.0_f64.sqrt() / 50.0 * 1525.0 / 1500.0);
    let combined: f64 = sheet.combined.unwrap().standard.parse().unwrap();
    close(combined, u_n.hypot(u_f), 3e-3, "combined");
    close(
        line(&run(NAME, &example(NAME, "good-on-the-site-network")), "s/s_r"),
        25.0 / 30.0,
        1e-6,
        "",
    );
}

#[test]
fn a_wrong_number_of_poles_is_noticed() {
    let sheet = at("50 Hz", "6", "1525 r/min");
    assert!(flagged(&sheet, "large_slip"));
    assert!(sheet.flags.iter().any(|flag| flag.sentence.contains("with 4 poles")));
    assert!(!flagged(&at("50 Hz", "4", "1525 r/min"), "large_slip"));
}

#[test]
fn what_is_missing_is_named() {
    let input = example(NAME, "good-loss-of-grid");
    each_is_missed(NAME, &input, &["frequency", "poles", "speed", "peak_speed"]);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 64, ..ProptestConfig::default() })]

    /// A faster shaft has less slip; the sign tells on which side of synchronous it is.
    #[test]
    fn falls_with_speed(pairs in 1_u32..8, hertz in 40_u32..70, share in 900_u32..1100) {
        let synchronous = 60.0 * f64::from(hertz) / f64::from(pairs);
        let slip = |by: f64| {
            let speed = synchronous * f64::from(share) / 1000.0 + by;
            let sheet = at(&format!("{hertz} Hz"), &format!("{}", 2 * pairs), &format!("{speed:.4} rpm"));
            result(&sheet, "slip")
        };
        prop_assert!(slip(1.0) < slip(0.0));
        if share != 1000 {
            prop_assert_eq!(slip(0.0) < 0.0, share > 1000);
        }
    }
}
