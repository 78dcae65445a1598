//! The calculation sheets of the invented report: one for each attempt at the leak test, and one
//! with every kind of figure and list.

use report::model::*;

use crate::fixture::s;

pub(crate) fn sheets() -> Vec<Sheet> {
    let mut sheets = vec![
        sheet(
            1,
            SheetMark::Outside,
            "Outside the limit",
            "Lost 3.98 % ± 0.26 % of the gas in 12.00 h. Limit 1.0 % in 12 h.",
            "3.98",
        ),
        Sheet {
            working: vec![],
            doubt: vec![],
            figures: vec![],
            formula: vec![],
            ..sheet(
                2,
                SheetMark::NotJudged,
                "Not judged",
                "Barometer at end is missing: with it, the end pressure can be made absolute. It is never taken as zero, and the start barometer does not stand in for it.",
                "",
            )
        },
        sheet(
            3,
            SheetMark::Within,
            "Within the limit",
            "Lost 0.76 % ± 0.26 % of the gas in 12.00 h. Limit 1.0 % in 12 h.",
            "0.76",
        ),
    ];
    sheets.extend(sheets.first().cloned().map(crate::fixture_mirror::sheet));
    sheets
}

fn sheet(n: u32, mark: SheetMark, verdict: &str, reason: &str, loss: &str) -> Sheet {
    let w = |symbol: &str, meaning: &str, formula: &str, value: &str, unit: &str| WorkingLine {
        symbol: s(symbol),
        meaning: s(meaning),
        formula: s(formula),
        value: s(value),
        unit: s(unit),
        source: s(""),
    };
    let d = |source: &str, size: &str| DoubtLine { source: s(source), size: s(size), share: s("") };
    let i = |name: &str, value: &str, instrument: &str, at: &str, entry: &str| SheetInput {
        name: s(name),
        value: s(value),
        instrument: s(instrument),
        at: s(at),
        entry: s(entry),
    };
    Sheet {
        attempt: format!("leak-{n}"),
        subject: format!("PC-04, leak, attempt {n}, step 9"),
        calculation: s(
            "Calculation: pressure decay, version 1. Input and result are also embedded as data.",
        ),
        mark,
        verdict: s(verdict),
        reason: s(reason),
        given: vec![],
        inputs: vec![
            i(
                "gauge pressure at start",
                "110.0 bar(g)",
                "PG-03, due 15 Jan 2027",
                "Thu 27 Aug 18:10",
                "T1-0361",
            ),
            i(
                "gas temperature at start",
                "24.0 °C",
                "TH-01, due Dec 2026",
                "Thu 27 Aug 18:10",
                "T1-0362",
            ),
            i(
                "barometer at start",
                "862 hPa",
                "BA-01, due Dec 2026",
                "Thu 27 Aug 18:10",
                "T1-0363",
            ),
            i(
                "gauge pressure at end",
                "104.7 bar(g)",
                "PG-03, due 15 Jan 2027",
                "Fri 28 Aug 06:10",
                "T1-0368",
            ),
            i(
                "gas temperature at end",
                "12.0 °C",
                "TH-01, due Dec 2026",
                "Fri 28 Aug 06:10",
                "T1-0369",
            ),
            i(
                "barometer at end",
                if n == 2 { "missing" } else { "862 hPa" },
                if n == 2 { "" } else { "BA-01, due Dec 2026" },
                "Fri 28 Aug 06:10",
                "T1-0370",
            ),
        ],
        formula: vec![s("r = (p₂ / Z₂ T₂) / (p₁ / Z₁ T₁),     Δ = 1 − r")],
        working: vec![
            w("p₁", "absolute pressure at start", "110.0 bar(g) + 0.862 bar", "110.862", "bar(a)"),
            w("T₁", "gas temperature at start", "24.0 °C + 273.15", "297.15", "K"),
            w("Z₁", "compressibility of helium", "Z(p₁, T₁)", "1.05103", ""),
            w("p₂", "absolute pressure at end", "104.7 bar(g) + 0.862 bar", "105.562", "bar(a)"),
            w("T₂", "gas temperature at end", "12.0 °C + 273.15", "285.15", "K"),
            w("Z₂", "compressibility of helium", "Z(p₂, T₂)", "1.05092", ""),
            w("r", "gas left", "(p₂ / Z₂ T₂) / (p₁ / Z₁ T₁)", "0.99236", ""),
            w("ρ₁", "density at start", "p₁ M / (Z₁ R T₁)", "17.088", "kg/m³"),
            w("Δ", "loss of contents", "1 − r, over 12.00 h", loss, "%"),
            w("U", "expanded uncertainty", "k = 2", "0.26", "%"),
        ],
        doubt: vec![
            d("temperature, 0.15 K each end", "0.24 %"),
            d("gauge resolution, 0.05 bar each end", "0.07 %"),
            d("gauge scale error, same gauge twice", "0.01 %"),
        ],
        doubt_total: s("together, k = 2: 0.26 %"),
        rule: s(
            "Simple acceptance: loss ≤ limit. Judged because U ≤ ⅓ of the limit. Chosen in criteria revision 7 before the test.",
        ),
        limit: s("1.0 % of contents in 12 h"),
        limit_source: s("Owner's criteria for LV-3, line 6.1."),
        validity: s("helium, 220 to 1 000 K, to 200 bar; hold of 12 h or longer."),
        sources: vec![s(
            "Compressibility: see the calculation's documentation. Uncertainty: GUM (JCGM 100:2008).",
        )],
        flags: if n == 1 {
            vec![s("The raw gauge drop of 6.4 % is larger than the loss because the gas cooled.")]
        } else {
            vec![]
        },
        findings: vec![],
        figures: vec![Figure::Lines(figure(loss))],
        tables: vec![],
        foot: s(
            "Done by I. Brize, gas technician. Reviewed by T. Manquel, supervisor, 28 Aug 07:15.",
        ),
    }
}

fn figure(loss: &str) -> Lines {
    let p = |x: &str, y: &str, bar: &str| FigurePoint { x: s(x), y: s(y), bar: s(bar) };
    let end = if loss == "3.98" { "96.02" } else { "99.24" };
    let mid = if loss == "3.98" { "98.01" } else { "99.62" };
    Lines {
        title: s("Gas left over the hold"),
        y_title: s("% of the gas at the start"),
        x_unit: s("h"),
        x_title: s(""),
        scaled: Scaled::Even,
        series: vec![
            FigureSeries {
                label: s("limit 1.00 %"),
                second: s(""),
                style: LineStyle::Dashed,
                plain: false,
                points: vec![p("0", "100", ""), p("12", "99", "")],
            },
            FigureSeries {
                label: s("gauge alone"),
                second: s("down 4.8 %"),
                style: LineStyle::Thin,
                plain: false,
                points: vec![p("0", "100", ""), p("6", "97.1", ""), p("12", "95.2", "")],
            },
            FigureSeries {
                label: format!("gas left {end} %"),
                second: s(""),
                style: LineStyle::Thick,
                plain: false,
                points: vec![p("0", "100", ""), p("6", mid, "0.26"), p("12", end, "0.26")],
            },
        ],
    }
}
