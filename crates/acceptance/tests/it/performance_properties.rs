//! What holds for every performance run.

use proptest::prelude::*;
use serde_json::{Value, json};

use crate::performance::{example, line, result, run};

const CHANNELS: [&str; 4] = ["irradiance", "power", "ambient", "wind"];

fn texts(input: &Value, channel: &str, what: &str) -> Vec<String> {
    let list = input[channel][what].as_array().unwrap();
    list.iter().map(|text| text.as_str().unwrap().to_owned()).collect()
}

/// The wall clock some whole hours later, by the date and hour alone.
fn later(time: &str, hours: i64) -> String {
    let (date, rest) = time.split_once('T').unwrap();
    let (day, hour) = (date[8..].parse::<i64>().unwrap(), rest[..2].parse::<i64>().unwrap());
    let total = day * 24 + hour + hours;
    format!("{}-{:02}T{:02}{}", &date[..7], total / 24, total % 24, &rest[2..])
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn order_of_samples_is_irrelevant(seed in any::<u64>()) {
        let mut input = example("good-pass");
        let before = run(&input);
        for (n, channel) in CHANNELS.iter().enumerate() {
            let mut pairs: Vec<_> = texts(&input, channel, "times")
                .into_iter()
                .zip(texts(&input, channel, "values"))
                .collect();
            let mut state = seed ^ n as u64;
            for last in (1..pairs.len()).rev() {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                pairs.swap(last, (state >> 33) as usize % (last + 1));
            }
            let (times, values): (Vec<_>, Vec<_>) = pairs.into_iter().unzip();
            input[*channel]["times"] = json!(times);
            input[*channel]["values"] = json!(values);
        }
        let after = run(&input);
        prop_assert_eq!(&before, &after);
    }

    #[test]
    fn power_scales_the_ratio(thousandths in 200_u32..1_400) {
        let mut input = example("good-pass");
        let factor = f64::from(thousandths) / 1000.0;
        let before = line(&run(&input), "R");
        let scaled: Vec<String> = texts(&input, "power", "values")
            .iter()
            .map(|value| format!("{:.9}", value.parse::<f64>().unwrap() * factor))
            .collect();
        input["power"]["values"] = json!(scaled);
        let after = line(&run(&input), "R");
        prop_assert!((after / before - factor).abs() < 1e-6, "{before} {after} {factor}");
    }

    /// Everything a number of hours later, noon and survey included: the same results.
    #[test]
    fn a_shift_of_everything_changes_nothing(hours in -200_i64..400) {
        let mut input = example("good-pass");
        input["noon"] = json!("2026-09-09T12:35:40-04:00");
        let before = run(&input);
        for channel in CHANNELS {
            let times: Vec<String> =
                texts(&input, channel, "times").iter().map(|time| later(time, hours)).collect();
            input[channel]["times"] = json!(times);
        }
        for moment in ["noon", "reflectance_at"] {
            input[moment] = json!(later(input[moment].as_str().unwrap(), hours));
        }
        let after = run(&input);
        prop_assert_eq!(&before.results, &after.results);
        prop_assert_eq!(before.verdict, after.verdict);
        prop_assert_eq!(&before.doubt, &after.doubt);
    }

    /// Missing values leave their interval out. They never pull a mean down, as zeros would.
    #[test]
    fn missing_is_never_zero(
        gaps in prop::collection::btree_set((0_usize..4, 0_usize..30), 1..12),
    ) {
        let mut input = example("good-pass");
        for (channel, at) in &gaps {
            input[CHANNELS[*channel]]["values"][*at] = json!("");
        }
        let sheet = run(&input);
        let rows = &sheet.tables[0].rows;
        let used: Vec<f64> = rows
            .iter()
            .filter(|row| row.last().is_some_and(|word| word == "used"))
            .map(|row| row[9].parse().unwrap())
            .collect();
        prop_assert_eq!(used.len().to_string(), sheet.result("good_intervals").unwrap().value.clone());
        for (_, at) in &gaps {
            // Two samples make an interval.
            prop_assert!(rows[at / 2].last().unwrap().contains("missing"), "{:?}", rows[at / 2]);
        }
        if !used.is_empty() {
            let (low, high) = used
                .iter()
                .fold((f64::MAX, f64::MIN), |(low, high), r| (low.min(*r), high.max(*r)));
            let ratio = line(&sheet, "R");
            prop_assert!(low - 1e-4 <= ratio && ratio <= high + 1e-4, "{low} {ratio} {high}");
            prop_assert!(result(&sheet, "mean_power") > 20.0);
        }
    }

    /// Whatever texts stand where values are expected: a sheet or a refusal.
    #[test]
    fn any_text_is_read_or_refused(text in "\\PC{0,12}", channel in 0_usize..4) {
        let mut input = example("good-pass");
        input[CHANNELS[channel]]["values"][3] = json!(text);
        let _ = acceptance::calculation("performance-run").unwrap().run(&input);
        input[CHANNELS[channel]]["times"][3] = json!(text);
        let _ = acceptance::calculation("performance-run").unwrap().run(&input);
    }
}
