//! What a sheet must hold to be printed and redone by hand.

use acceptance::{Sheet, Verdict};
use serde_json::{Value, json};

use crate::decay_cases::{circuit, run};
use crate::table::close;

fn line(sheet: &Sheet, symbol: &str) -> f64 {
    let found = sheet.working.iter().find(|line| line.symbol == symbol);
    found.unwrap_or_else(|| panic!("no line {symbol}")).value.parse().unwrap()
}

/// Only what the ledger's canonical form can hold.
fn canonical(value: &Value, path: &str) {
    match value {
        Value::String(_) => {}
        Value::Number(number) => assert!(number.is_u64() || number.is_i64(), "{path}: {number}"),
        Value::Array(items) => items.iter().for_each(|item| canonical(item, path)),
        Value::Object(fields) => {
            for (name, inner) in fields {
                let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
                assert!(name.chars().all(plain), "{path}: {name}");
                canonical(inner, name);
            }
        }
        Value::Null | Value::Bool(_) => panic!("{path}: {value}"),
    }
}

#[test]
fn every_sheet_fits_the_canonical_form() {
    for calculation in acceptance::calculations() {
        for example in calculation.examples().iter().filter(|e| e.name.starts_with("good-")) {
            let sheet = calculation.run_text(example.text).unwrap();
            let value = serde_json::to_value(&sheet).unwrap();
            canonical(&value, example.name);
            assert_eq!(serde_json::from_value::<Sheet>(value).unwrap(), sheet);
        }
    }
}

/// Redoes the whole working from the printed lines alone, as a reader with a calculator would.
#[test]
fn the_working_can_be_redone_from_the_page() {
    let sheet = run(&circuit());
    let of = |symbol: &str| line(&sheet, symbol);
    close(of("p₁"), 110.0 + 0.862, 1e-12, "p₁");
    close(of("T₂"), 12.0 + 273.15, 1e-12, "T₂");
    for n in ["₁", "₂"] {
        let (p, t) = (of(&format!("p{n}")) * 1e5, of(&format!("T{n}")));
        let mut z = 1.0;
        for term in sheet.working.iter().filter(|line| line.meaning.starts_with("coefficient")) {
            let powers: Vec<f64> = term
                .formula
                .split(", ")
                .map(|part| part.rsplit("= ").next().unwrap().parse().unwrap())
                .collect();
            let a: f64 = term.value.parse().unwrap();
            z += a * (100.0 / t).powf(powers[0]) * (p / 1e6).powf(powers[1]);
        }
        close(of(&format!("Z{n}")), z, 1e-8, "Z");
        let density = p * of("M") / (z * of("R_g") * t);
        close(of(&format!("ρ{n}")), density, 1e-7, "ρ");
    }
    close(of("L"), 100.0 * (1.0 - of("ρ₂") / of("ρ₁")), 1e-4, "L");
    close(of("L_t"), of("L") * 12.0 / of("Δt"), 1e-6, "L_t");
    close(of("Δm"), of("V") * (of("ρ₁") - of("ρ₂")), 1e-4, "Δm");
    close(of("ṁ"), of("Δm") / (of("Δt") * 3600.0), 1e-6, "ṁ");
    close(of("ṅ"), of("ṁ") / of("M"), 1e-6, "ṅ");
    close(of("q(20 °C)"), of("ṅ") * of("R") * 293.15, 1e-6, "q");
    close(of("q_std(0 °C)"), of("ṅ") * of("R") * 273.15 / 0.101_325, 1e-6, "q_std");
    close(of("Δp"), of("Δp_T") + of("Δp_m"), 1e-4, "Δp");
    close(of("U(L_t)"), 2.0 * of("u(L)"), 1e-3, "U");
}

/// The contributions add up to the combined uncertainty, and the shares to the whole.
#[test]
fn the_budget_adds_up() {
    let sheet = run(&circuit());
    let squares: f64 =
        sheet.doubt.iter().map(|row| row.contribution.parse::<f64>().unwrap().powi(2)).sum();
    let combined = sheet.combined.unwrap();
    close(squares.sqrt(), combined.standard.parse().unwrap(), 5e-3, "combined");
    let shares: f64 = sheet.doubt.iter().map(|row| row.share.parse::<f64>().unwrap()).sum();
    assert!((shares - 100.0).abs() < 0.5, "{shares}");
    let scale = sheet.doubt.iter().filter(|row| row.source.contains("gauge scale")).count();
    assert_eq!(scale, 1, "one term for both readings");
}

#[test]
fn the_figure_splits_the_drop() {
    let figure = run(&circuit()).figure.unwrap();
    let bar = |name: &str| -> f64 {
        figure.bars.iter().find(|bar| bar.name == name).unwrap().value.parse().unwrap()
    };
    close(bar("drop"), bar("by_temperature") + bar("by_leak"), 1e-3, "drop");
    let names: Vec<_> = figure.series.iter().map(|series| series.name.as_str()).collect();
    assert_eq!(names, ["left", "gauge", "limit"]);
    let end = |name: &str| -> f64 {
        let series = figure.series.iter().find(|series| series.name == name).unwrap();
        series.points.last().unwrap().y.parse().unwrap()
    };
    assert!(end("left") > end("limit") && end("limit") > end("gauge"), "within, and cooled");
}

/// Contents at 110 bar: Z 1.0670, 52.15 mol, 0.105 kg of hydrogen (recomputed with CoolProp 8.0.0).
#[test]
fn contents_of_a_circuit() {
    let input = json!({
        "gas": "hydrogen", "gauge_pressure": "110.0 bar", "barometer": "862 hPa",
        "temperature": "24.0 °C", "volume": "12.4 L"
    });
    let sheet = acceptance::calculation("gas-density").unwrap().run(&input).unwrap();
    assert_eq!(sheet.verdict, Verdict::Computed);
    let value = |name: &str| -> f64 { sheet.result(name).unwrap().value.parse().unwrap() };
    close(value("compressibility"), 1.0670, 5e-5, "Z");
    close(value("amount"), 52.15, 1e-4, "n");
    close(value("mass"), 0.105, 3e-3, "m");
}

#[test]
fn every_sheet_says_where_it_holds_and_what_it_rests_on() {
    let sheet = run(&circuit());
    assert!(sheet.validity.contains("230 to 400 K"));
    assert!(sheet.sources.iter().any(|source| source.contains("JCGM 106")));
    let rule = sheet.rule.unwrap();
    assert_eq!((rule.name.as_str(), rule.limit.as_str()), ("simple", "1.0 % of contents per 12 h"));
    assert!(rule.acceptance_limit.is_none());
    assert!(sheet.inputs.iter().any(|input| input.typed == "862 hPa"));
}
