//! Own use of a dish: the doubt of a small difference, meters against list, and the 8 % of the trade.

use acceptance::Verdict;
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::given::{cell, each_is_missed, example, flagged, refused};
use crate::sun::{result, run};
use crate::table::{close, number, rows};

const NAME: &str = "parasitic-share";

fn meters(gross: &str, net: &str) -> Value {
    let half = json!({"value": "0.5 %", "distribution": "standard"});
    json!({"gross": gross, "net": net, "uncertainty": {"gross": half, "net": half}})
}

#[test]
fn cases_of_the_table() {
    for row in rows("parasitic_share.csv") {
        let sheet = run(NAME, &meters(&row[0], &row[1]));
        let share = result(&sheet, "share");
        assert!(
            (share - number(&row[2])).abs() <= 1e-4 * number(&row[2]).max(1.0),
            "{row:?}: {share}"
        );
        let u = sheet.result("share").unwrap().standard_uncertainty.as_ref().unwrap();
        close(u.parse().unwrap(), number(&row[3]), 2e-3, &row[5]);
    }
}

/// Common practice, no source: parasitic power under 8 %.
#[test]
fn the_limit_of_the_trade() {
    let by = |net: &str, rule: &str| {
        let mut input = meters("25.00 kW", net);
        input["limit"] = json!({"value": "8 %", "rule": rule, "source": "contract"});
        run(NAME, &input).verdict
    };
    assert_eq!(by("23.00 kW", "simple"), Verdict::Pass);
    assert_eq!(by("22.99 kW", "simple"), Verdict::Fail);
    // 0.5 % of each meter is 0.68 points of the share: what passes by itself does not pass guarded.
    assert_eq!(by("23.30 kW", "guarded"), Verdict::Fail);
    assert_eq!(by("23.40 kW", "guarded"), Verdict::Pass);
}

#[test]
fn a_consumer_that_is_not_on_the_list_shows() {
    let sheet = run(NAME, &example(NAME, "good-something-not-on-the-list"));
    assert!(flagged(&sheet, "list_differs"));
    close(
        result(&sheet, "not_listed"),
        21.1 - 19.3 - (0.38 + 0.55 + 0.75 * 0.1 + 0.09),
        1e-4,
        "left",
    );
    let mut complete = example(NAME, "good-something-not-on-the-list");
    complete["net"] = json!("20.005 kW");
    assert!(!flagged(&run(NAME, &complete), "list_differs"));
    let listed = run(NAME, &example(NAME, "good-consumers"));
    close(result(&listed, "share"), 100.0 * 1.095 / 21.1, 1e-5, "share");
    assert_eq!(cell(&listed, "consumers", 2, "mean"), "0.07500");
}

#[test]
fn what_is_missing_is_named() {
    let input = meters("25 kW", "23 kW");
    each_is_missed(NAME, &input, &["gross", "net"]);
    let mut partly = example(NAME, "good-consumers");
    partly.as_object_mut().unwrap().remove("time");
    let sheet = run(NAME, &partly);
    assert_eq!(sheet.missing[0].field, "consumers[2].runs");
    let refusal = refused(NAME, &meters("-1 kW", "-2 kW"));
    assert_eq!(refusal.field, "gross");
}

proptest! {
    /// The share grows when the net falls, lies between 0 and 100 % for a net above zero, and is
    /// the same in other units.
    #[test]
    fn the_share_obeys(gross in 1_u32..40_000, part in 0_u32..=1000) {
        let net = f64::from(gross) * f64::from(part) / 1000.0;
        let watts = run(NAME, &meters(&format!("{gross} W"), &format!("{net:.3} W")));
        let share = result(&watts, "share");
        prop_assert!((-1e-6..=100.0).contains(&share));
        prop_assert!((share - (100.0 - f64::from(part) / 10.0)).abs() < 0.1);
        let kilo = |w: f64| format!("{:.6} kW", w / 1000.0);
        let same = run(NAME, &meters(&kilo(f64::from(gross)), &kilo(net)));
        prop_assert!((result(&same, "share") - share).abs() < 0.11);
        let less = run(NAME, &meters(&format!("{gross} W"), &format!("{:.3} W", 0.9 * net)));
        prop_assert!(result(&less, "share") >= share - 1e-6);
    }
}
