//! Output of a cluster: doubts that add up and doubts that don't, losses, and the trade's 800 kW.

use acceptance::Verdict;
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::given::{each_is_missed, example, flagged};
use crate::sun::{result, run};
use crate::table::{close, number, rows};

const NAME: &str = "cluster-output";

fn alike(count: usize, each: &str, common: &str, own: &str) -> Value {
    let dishes: Vec<Value> =
        (1..=count).map(|n| json!({"name": format!("D{n}"), "power": each})).collect();
    let stated = |value: &str| json!({"value": value, "distribution": "standard"});
    json!({"dishes": dishes, "uncertainty": {"common": stated(common), "own": stated(own)}})
}

#[test]
fn cases_of_the_table() {
    for row in rows("cluster_output.csv") {
        let sheet = run(NAME, &alike(row[0].parse().unwrap(), &row[1], &row[2], &row[3]));
        close(result(&sheet, "output"), number(&row[4]), 1e-5, &row[6]);
        let u = sheet.combined.as_ref().unwrap().standard.parse().unwrap();
        close(u, number(&row[5]), 3e-3, &row[6]);
    }
}

/// 800 kW at the dishes, 1.2 % and 1.8 % on the way, 5 kW in the house: 771.2 kW.
#[test]
fn losses_follow_one_another() {
    let mut input = alike(32, "25 kW", "0.4 %", "0.3 %");
    input["cable_loss"] = json!("1.2 %");
    input["transformer_loss"] = json!("1.8 %");
    input["house_load"] = json!("5 kW");
    let sheet = run(NAME, &input);
    close(result(&sheet, "output"), 800.0 * 0.988 * 0.982 - 5.0, 1e-6, "output");
    for (limit, verdict) in [("771.17 kW", Verdict::Pass), ("771.18 kW", Verdict::Fail)] {
        input["limit"] = json!({"value": limit, "source": "contract"});
        assert_eq!(run(NAME, &input).verdict, verdict, "{limit}");
    }
    input["limit"] = json!({"value": "766 kW", "rule": "guarded", "source": "contract"});
    assert_eq!(run(NAME, &input).verdict, Verdict::Fail);
}

#[test]
fn a_dish_that_is_not_read_is_no_zero() {
    let sheet = run(NAME, &example(NAME, "good-one-not-read"));
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert_eq!(sheet.missing[0].field, "dishes[3].power");
    assert!(flagged(&run(NAME, &example(NAME, "good-eight-dishes")), "far_from_the_others"));
    each_is_missed(NAME, &json!({"dishes": [{"name": "A", "power": "1 kW"}]}), &["dishes"]);
}

proptest! {
    /// The order of dishes does not matter; a dish more never gives less; four times as many dishes
    /// have twice the own doubt and four times the common one.
    #[test]
    fn sums_obey(mut powers in prop::collection::vec(0_u32..25_000, 2..12)) {
        let of = |powers: &[u32]| {
            let dishes: Vec<Value> = powers
                .iter()
                .enumerate()
                .map(|(n, p)| json!({"name": format!("D{n}"), "power": format!("{p} W")}))
                .collect();
            result(&run(NAME, &json!({"dishes": dishes})), "output")
        };
        let plain = of(&powers);
        powers.reverse();
        prop_assert!((of(&powers) - plain).abs() <= 1e-4 * plain.max(1e-3));
        powers.push(1000);
        prop_assert!(of(&powers) > plain);
    }

    #[test]
    fn doubts_grow_as_they_should(count in 1_usize..8, each in 1_u32..25) {
        let u = |count: usize, common: &str, own: &str| -> f64 {
            let sheet = run(NAME, &alike(count, &format!("{each} kW"), common, own));
            sheet.combined.unwrap().standard.parse().unwrap()
        };
        let (own, common) = (u(count, "0 %", "1 %"), u(count, "1 %", "0 %"));
        prop_assert!((u(4 * count, "0 %", "1 %") / own - 2.0).abs() < 0.02);
        prop_assert!((u(4 * count, "1 %", "0 %") / common - 4.0).abs() < 0.04);
    }
}
