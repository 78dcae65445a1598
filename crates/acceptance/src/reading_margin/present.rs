//! The sheet.

use quantity::{Bound, Decimal, Dimension};
use rust_decimal::prelude::ToPrimitive;

use super::CALCULATION;
use super::correct::Correction;
use super::input::{Review, Row, difference_in, in_unit};
use crate::doubt::{Budget, Part, first_order};
use crate::form::Form;
use crate::pressure_decay::Rule;
use crate::stats::count;
use crate::steps::{flag, gravest, word};
use crate::{
    Drawn, Figure, Finding, Flag, Line, Outcome, Point, Refusal, RuleShown, Series, Sheet, Table,
    Verdict,
};

/// A reading judged before and after the correction.
struct Judged<'a> {
    row: &'a Row,
    corrected: Option<Decimal>,
    margin: Option<Decimal>,
    before: Verdict,
    after: Verdict,
    guard: Decimal,
}

fn judge<'a>(review: &Review, row: &'a Row) -> Result<Judged<'a>, Refusal> {
    let base = row.reading.base();
    let exact = row.reading.bound() == Bound::Exact;
    let corrected = match review.correction.of(base) {
        Some(correction) if exact => Some(base.checked_add(correction).ok_or_else(|| {
            Refusal::new(
                "too_large",
                "readings",
                format!("“{}” is too large to correct.", row.reading.text()),
                "Check digits and unit.",
            )
        })?),
        _ => None,
    };
    let guard = match (review.rule, &review.doubt, corrected) {
        (Rule::Guarded, Some(doubt), Some(value)) => {
            let u = doubt.of(value.to_f64().unwrap_or(f64::NAN));
            Decimal::try_from(2.0 * u).unwrap_or_default()
        }
        _ => Decimal::ZERO,
    };
    let before = if exact { row.band.verdict(base, Decimal::ZERO) } else { Verdict::NotJudged };
    let has_limit = row.band.at_least.is_some() || row.band.at_most.is_some();
    let after = match corrected {
        Some(value) => row.band.verdict(value, guard),
        None if has_limit => Verdict::NotJudged,
        None => Verdict::Computed,
    };
    let margin = corrected.and_then(|value| row.band.margin(value));
    Ok(Judged { row, corrected, margin, before, after, guard })
}

pub(super) fn sheet(form: Form, review: &Review) -> Result<Sheet, Refusal> {
    let judged: Vec<_> =
        review.rows.iter().map(|row| judge(review, row)).collect::<Result<_, _>>()?;
    let verdict = gravest(judged.iter().map(|judged| judged.after));
    let changed: Vec<_> = judged.iter().filter(|j| j.changed()).collect();
    let reason = reason(review, &judged, &changed);
    let budget = budget(review, &judged);
    let number = |wanted: Verdict| judged.iter().filter(|j| j.after == wanted).count();
    let results = [
        ("readings", "readings looked at", judged.len()),
        ("changed", "readings whose verdict changes", changed.len()),
        ("pass", "readings that pass corrected", number(Verdict::Pass)),
        ("fail", "readings that fail corrected", number(Verdict::Fail)),
        ("not_judged", "readings that are not judged", number(Verdict::NotJudged)),
    ]
    .map(|(name, meaning, n)| Outcome::new(name, meaning, n.to_string(), "1"))
    .to_vec();
    Ok(Sheet {
        verdict,
        reason,
        results,
        working: working(review, &judged),
        doubt: budget.as_ref().map(|b| b.lines.clone()).unwrap_or_default(),
        combined: budget.as_ref().map(|b| b.combined("corrected reading")),
        rule: rule(review, &judged),
        validity: "The error was there, as large as found, when the readings were taken; since \
                   when is not known from the certificate. The correction holds within its \
                   points."
            .to_owned(),
        sources: vec![
            "ISO 9001:2015, 7.1.5.2: earlier results of an instrument found unfit are looked at \
             again"
                .to_owned(),
            "JCGM 106:2012, 8.2 and 8.3: decision rules".to_owned(),
        ],
        flags: flags(review, &judged),
        findings: changed.iter().map(|judged| judged.finding()).collect(),
        figure: figure(&judged),
        tables: vec![table(&judged)],
        ..Sheet::blank(&CALCULATION, form)
    })
}

impl Judged<'_> {
    fn changed(&self) -> bool {
        self.before != self.after
    }

    fn unit(&self) -> &'static str {
        match self.row.reading.unit().symbol() {
            "1" => "",
            symbol => symbol,
        }
    }

    fn corrected_text(&self) -> String {
        let number = self.corrected.and_then(|base| in_unit(self.row.reading.unit(), base));
        number.map_or_else(|| "–".to_owned(), |n| format!("{n} {}", self.unit()).trim().to_owned())
    }

    fn margin_text(&self) -> String {
        let number = self.margin.and_then(|base| difference_in(self.row.reading.unit(), base));
        number.map_or_else(|| "–".to_owned(), |n| format!("{n} {}", self.unit()).trim().to_owned())
    }

    fn finding(&self) -> Finding {
        Finding {
            code: "verdict_changes".to_owned(),
            place: self.row.name.clone(),
            sentence: format!(
                "{}: read {}, corrected {}, limit {}: {} becomes {}.",
                self.row.name,
                self.row.reading,
                self.corrected_text(),
                self.row.limits,
                word(self.before),
                word(self.after)
            ),
        }
    }
}

fn reason(review: &Review, judged: &[Judged<'_>], changed: &[&Judged<'_>]) -> String {
    let mut sentences: Vec<String> = changed.iter().map(|j| j.finding().sentence).collect();
    if sentences.is_empty() {
        sentences.push(match judged.iter().any(|j| j.after != Verdict::Computed) {
            true => "No verdict changes by the correction.".to_owned(),
            false => "Corrected and not judged, as no limit is given.".to_owned(),
        });
    }
    let failed = judged.iter().filter(|j| j.after == Verdict::Fail && !j.changed()).count();
    if failed > 0 {
        sentences.push(format!("{failed} failed already as read."));
    }
    sentences.push(format!("The instrument {}.", review.found));
    sentences.join(" ")
}

fn working(review: &Review, judged: &[Judged<'_>]) -> Vec<Line> {
    let base = review.dimension.base_unit();
    let mut lines = Vec::new();
    match &review.correction {
        Correction::Same(c) => {
            let meaning = "correction of every reading";
            lines.push(Line::new("c", meaning, "what it showed too little", text(*c), base));
        }
        Correction::Proportion(k) => {
            let formula = "k = reference/shown";
            lines.push(Line::new("k", "factor of every reading", formula, text(*k), "1"));
        }
        Correction::Points(points) => {
            for (number, (shown, c)) in points.iter().enumerate() {
                let symbol = format!("c({})", number + 1);
                let meaning = format!("correction at {} {base} shown", text(*shown));
                lines.push(Line::new(&symbol, &meaning, "reference − shown", text(*c), base));
            }
        }
    }
    for (number, judged) in judged.iter().enumerate() {
        let Some(corrected) = judged.corrected else { continue };
        let formula = match &review.correction {
            Correction::Proportion(_) => "x_c = k·x".to_owned(),
            Correction::Same(_) => "x_c = x + c".to_owned(),
            Correction::Points(_) => "x_c = x + c, c by line between its neighbours".to_owned(),
        };
        let meaning = format!("{}: {} corrected", judged.row.name, judged.row.reading);
        let symbol = format!("x_c({})", number + 1);
        lines.push(Line::new(&symbol, &meaning, &formula, text(corrected), base));
    }
    lines
}

fn text(number: Decimal) -> String {
    number.round_sf(12).unwrap_or(number).normalize().to_string()
}

fn budget(review: &Review, judged: &[Judged<'_>]) -> Option<Budget> {
    let stated = review.doubt.as_ref()?;
    let largest = judged
        .iter()
        .filter_map(|j| j.corrected?.to_f64())
        .max_by(|a, b| a.abs().total_cmp(&b.abs()))?;
    let part = Part {
        source: "corrected reading, the largest".to_owned(),
        statement: stated.text.clone(),
        value: largest,
        standard: stated.of(largest),
        unit: review.dimension.base_unit(),
    };
    Some(first_order(&[part], review.dimension.base_unit(), |values| values.iter().sum()))
}

fn rule(review: &Review, judged: &[Judged<'_>]) -> Option<RuleShown> {
    let nearest = judged.iter().filter(|j| j.margin.is_some()).min_by_key(|j| j.margin)?;
    let (name, text) = match review.rule {
        Rule::Simple => ("simple", "Accepted when the corrected reading is within its limits."),
        Rule::Guarded => (
            "guarded",
            "Accepted when the corrected reading is within its limits tightened by 2 standard \
             uncertainties (JCGM 106:2012, 8.3).",
        ),
    };
    let guard = difference_in(nearest.row.reading.unit(), nearest.guard);
    Some(RuleShown {
        name: name.to_owned(),
        text: text.to_owned(),
        limit: nearest.row.limits.clone(),
        limit_source: review.source.clone(),
        acceptance_limit: (review.rule == Rule::Guarded).then(|| {
            format!(
                "{} tightened by {} {}",
                nearest.row.limits,
                guard.unwrap_or_default(),
                nearest.unit()
            )
        }),
        conformance_probability: None,
    })
}

fn flags(review: &Review, judged: &[Judged<'_>]) -> Vec<Flag> {
    let mut flags = Vec::new();
    if let Some(tolerance) = &review.tolerance {
        let out = review.error.abs() > tolerance.base();
        let unit = tolerance.unit();
        let error = difference_in(unit, review.error.abs()).unwrap_or_default();
        let (code, say) = if out {
            ("out_of_tolerance", "was out of tolerance as found")
        } else {
            ("within_tolerance", "was within tolerance as found")
        };
        flags.push(flag(
            code,
            format!("The instrument {say}: {error} {} against {tolerance}.", unit.symbol()),
        ));
    }
    if judged.iter().any(|j| j.row.reading.bound() != Bound::Exact) {
        flags.push(flag(
            "bounds",
            "A reading that is only a bound is not corrected and not judged.",
        ));
    }
    let exact = |j: &&Judged<'_>| j.row.reading.bound() == Bound::Exact && j.corrected.is_none();
    if judged.iter().any(|j| exact(&j)) {
        flags.push(flag(
            "beyond_the_points",
            "A reading lies beyond the points of the certificate: its error is not known, and it \
             is not judged.",
        ));
    }
    if matches!(review.correction, Correction::Same(_)) && review.dimension != Dimension::Ratio {
        flags.push(flag(
            "one_error_everywhere",
            "One error is taken for every reading. Where the certificate has several points, give \
             them: the error may differ elsewhere on the scale.",
        ));
    }
    flags
}

fn table(judged: &[Judged<'_>]) -> Table {
    Table {
        name: "readings".to_owned(),
        title: "Readings, corrected".to_owned(),
        columns: ["record", "read", "corrected", "limit", "margin", "as read", "corrected verdict"]
            .map(str::to_owned)
            .to_vec(),
        rows: judged
            .iter()
            .map(|j| {
                vec![
                    j.row.name.clone(),
                    j.row.reading.to_string(),
                    j.corrected_text(),
                    j.row.limits.clone(),
                    j.margin_text(),
                    word(j.before).to_owned(),
                    word(j.after).to_owned(),
                ]
            })
            .collect(),
    }
}

/// Readings and corrected readings in their order, with the limits; in the first reading's unit.
fn figure(judged: &[Judged<'_>]) -> Option<Figure> {
    let unit = judged.first()?.row.reading.unit();
    let at = |base: Decimal| in_unit(unit, base)?.to_f64();
    let series = |name: &str, meaning: &str, drawn, of: &dyn Fn(&Judged<'_>) -> Option<Decimal>| {
        let points: Vec<_> = judged
            .iter()
            .enumerate()
            .filter_map(|(n, j)| Some(Point::of(count(n + 1), at(of(j)?)?)))
            .collect();
        (!points.is_empty()).then(|| Series::new(name, meaning, drawn, points))
    };
    let all = [
        series("read", "as read", Drawn::Crosses, &|j| Some(j.row.reading.base())),
        series("corrected", "corrected", Drawn::Points, &|j| j.corrected),
        series("at_most", "upper limit", Drawn::Dashed, &|j| j.row.band.at_most),
        series("at_least", "lower limit", Drawn::Dashed, &|j| j.row.band.at_least),
    ];
    let y = match unit.symbol() {
        "1" => "reading".to_owned(),
        symbol => format!("reading in {symbol}"),
    };
    Some(Figure::lines(
        "Readings before and after the correction",
        "number of the reading",
        &y,
        all.into_iter().flatten().collect(),
    ))
}
