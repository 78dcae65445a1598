//! Short forms for what many small calculations write: a step, a result, a flag, a verdict in
//! words.

use quantity::{Dimension, Si, significant};

use crate::form::{Form, free};
use crate::{Flag, Line, Outcome, Point, Refusal, Verdict};

/// A step of the working from a number; seven digits redo the next step.
pub(crate) fn step(symbol: &str, meaning: &str, formula: &str, value: f64, unit: &str) -> Line {
    Line::new(symbol, meaning, formula, significant(value, 7), unit)
}

/// A result from a number.
pub(crate) fn outcome(name: &str, meaning: &str, value: f64, unit: &str) -> Outcome {
    Outcome::new(name, meaning, significant(value, 6), unit)
}

/// A warning.
pub(crate) fn flag(code: &str, sentence: impl Into<String>) -> Flag {
    Flag { code: code.to_owned(), sentence: sentence.into() }
}

/// What a verdict is called in a table.
pub(crate) const fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Fail => "fail",
        Verdict::NotJudged => "not judged",
        Verdict::Computed => "computed",
    }
}

/// A count with its noun: "1 failure", "2 failures".
pub(crate) fn counted(count: u32, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

/// The verdict of several: a failure outweighs what could not be judged, and that a pass; computed
/// when there was nothing to judge.
pub(crate) fn gravest(verdicts: impl IntoIterator<Item = Verdict>) -> Verdict {
    let weight = |verdict: Verdict| match verdict {
        Verdict::Fail => 3,
        Verdict::NotJudged => 2,
        Verdict::Pass => 1,
        Verdict::Computed => 0,
    };
    verdicts.into_iter().max_by_key(|verdict| weight(*verdict)).unwrap_or(Verdict::Computed)
}

/// The points of a curve from `from` to `to`, evenly spaced.
pub(crate) fn curve(from: f64, to: f64, points: u32, y: impl Fn(f64) -> f64) -> Vec<Point> {
    (0..=points)
        .map(|n| {
            let x = from + (to - from) * f64::from(n) / f64::from(points);
            Point::of(x, y(x))
        })
        .collect()
}

/// A whole number that may be absent, within a range.
pub(crate) fn whole(
    form: &mut Form,
    field: &str,
    meaning: &str,
    (low, high): (u32, u32),
    text: Option<&str>,
) -> Result<Option<u32>, Refusal> {
    let Some(text) = text else { return Ok(None) };
    form.show(field, meaning, text);
    match text.trim().parse::<u32>() {
        Ok(number) if (low..=high).contains(&number) => Ok(Some(number)),
        _ => Err(form.refuse(
            "out_of_range",
            field,
            format!("The {meaning} “{text}” is no whole number from {low} to {high}."),
            "Type the digits alone.",
        )),
    }
}

/// A number without unit that may be absent; refused outside `low` to `high`.
pub(crate) fn plain(
    form: &mut Form,
    field: &'static str,
    meaning: &'static str,
    (low, high): (f64, f64),
    text: Option<&str>,
) -> Result<Option<f64>, Refusal> {
    let place = free(field, meaning, &[Dimension::Ratio]);
    let Some(number) = form.may::<quantity::Ratio>(&place, text)? else { return Ok(None) };
    if number.si() < low || number.si() > high {
        return Err(form.refuse(
            "implausible",
            field,
            format!("The {meaning} “{}” is not from {low} to {high}.", text.unwrap_or_default()),
            "Check digits and sign.",
        ));
    }
    Ok(Some(number.si()))
}
