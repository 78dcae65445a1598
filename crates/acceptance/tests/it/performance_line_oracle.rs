//! Lines on random sets against NumPy and SciPy.

use std::fmt::Write as _;

use serde_json::json;

use crate::oracle::oracle;
use crate::performance_line::{run, value};

/// A plain generator, so that the sets are the same each time (Knuth's MMIX constants).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963);
        f64::from(u32::try_from(self.0 >> 33).unwrap()) / f64::from(u32::MAX >> 1)
    }
}

#[test]
fn random_sets_by_numpy_and_scipy() {
    let mut numbers = Numbers(42);
    let mut text = String::new();
    for set in 0..60_usize {
        let n = 4 + set % 12;
        let r = if set % 3 == 0 { 1.4 * numbers.next() - 0.7 } else { 0.0 };
        let (u_x, u_y) = (2.0 + 10.0 * numbers.next(), 0.05 + 0.3 * numbers.next());
        let points: Vec<_> = (0..n)
            .map(|_| {
                let x = 300.0 + 700.0 * numbers.next();
                let y = 0.03 * x - 6.0 + 1.2 * (numbers.next() - 0.5);
                let (scale_x, scale_y) = (0.5 + numbers.next(), 0.5 + numbers.next());
                json!({
                    "irradiance": format!("{x} W/m²"), "power": format!("{y} kW"),
                    "irradiance_doubt":
                        {"value": format!("{} W/m²", u_x * scale_x), "distribution": "standard"},
                    "power_doubt":
                        {"value": format!("{} kW", u_y * scale_y), "distribution": "standard"},
                })
            })
            .collect();
        for method in ["ols", "york"] {
            let input = json!({
                "points": points, "method": method, "correlation": format!("{r:.6}"),
                "reference_irradiance": "1000 W/m²",
            });
            let sheet = run(&input);
            let got: serde_json::Map<_, _> = [
                "slope",
                "intercept",
                "u_slope",
                "u_intercept",
                "power_at_reference",
                "u_power_at_reference",
                "confidence",
                "prediction",
                "threshold",
                "u_threshold",
                "threshold_low",
                "threshold_high",
                "r_squared",
            ]
            .iter()
            .map(|name| ((*name).to_owned(), json!(value(&sheet, name))))
            .collect();
            let sizes = sheet.tables[0].rows.iter().map(|row| row[6].clone()).collect::<Vec<_>>();
            writeln!(text, "{}", json!({"input": input, "got": got, "sizes": sizes})).unwrap();
        }
    }
    let report = oracle("performance_line.py", &text);
    assert!(report.contains("120 lines agree"), "{report}");
}
