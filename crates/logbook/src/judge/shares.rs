//! Whether the means of measuring were good enough to judge at all: shares of uncertainty.
//!
//! A share that is too large shows nothing about the dish, so it is never a failure.

use quantity::{Decimal, Dimension, Field};

use super::inputs::Run;
use super::limits::{Found, sheet_of};
use super::{Case, Verdict};
use crate::events::Answer;
use crate::source::{GaugeShare, Limit};
use crate::typed;

fn base(text: &str, dimension: Dimension) -> Option<Decimal> {
    quantity::parse(text, &Field::of(dimension)).ok().map(|reading| reading.base())
}

fn reading_base(case: &Case<'_>, step: &str) -> Option<Decimal> {
    match &case.answer(step)?.answer {
        Answer::Read { reading } => typed::reread(reading).ok().map(|reading| reading.base()),
        _ => None,
    }
}

/// The gauge's stated uncertainty against the drop that the loss limit allows at constant
/// temperature: loss × (gauge pressure + barometer).
pub(super) fn of_gauge(case: &Case<'_>, share: &GaugeShare, limit: &Limit) -> Found {
    let stated = case
        .answer(&share.gauge)
        .and_then(|given| given.instrument.as_ref())
        .and_then(|used| used.calibration.as_ref())
        .and_then(|calibration| {
            calibration.components.iter().find(|component| component.name == share.component)
        })
        .map(|component| component.value.as_str());
    let Some(stated) = stated else {
        return Found::not_judged("The gauge's uncertainty is not known from a calibration.");
    };
    let loss =
        case.criteria.limit(&share.loss).and_then(|loss| base(&loss.value, Dimension::Ratio));
    let (Some(gauge), Some(barometer), Some(loss), Some(size), Some(most)) = (
        reading_base(case, &share.gauge),
        reading_base(case, &share.barometer),
        loss,
        base(stated, Dimension::PressureDifference),
        base(&limit.value, Dimension::Ratio),
    ) else {
        return Found::not_judged(
            "The gauge can't be compared with the allowed drop: a reading is missing.",
        );
    };
    let allowed = loss * (gauge + barometer);
    let Some(found) = size.checked_div(allowed) else {
        return Found::not_judged("The allowed drop is zero.");
    };
    share_found("The gauge's uncertainty", "of the allowed drop", found, most, limit)
}

/// The expanded uncertainty of the calculation against its limit, both in the same unit.
pub(super) fn of_uncertainty(run: Option<&Run>, limit: &Limit) -> Found {
    let sheet = match sheet_of(run) {
        Ok(sheet) => sheet,
        Err(found) => return found,
    };
    let (Some(combined), Some(rule)) = (&sheet.combined, &sheet.rule) else {
        return Found::not_judged("The uncertainty was not computed, because an input is missing.");
    };
    let unit = combined.unit.split_whitespace().next().unwrap_or("");
    let limit_number = rule.limit.split_whitespace().next().unwrap_or("");
    let (Some(expanded), Some(edge), Some(most)) = (
        base(&format!("{} {unit}", combined.expanded), Dimension::Ratio),
        base(&format!("{limit_number} {unit}"), Dimension::Ratio),
        base(&limit.value, Dimension::Ratio),
    ) else {
        return Found::not_judged("The uncertainty can't be compared with the limit.");
    };
    let Some(found) = expanded.checked_div(edge) else {
        return Found::not_judged("The limit is zero.");
    };
    share_found("The expanded uncertainty (k = 2)", "of the limit", found, most, limit)
}

fn share_found(what: &str, of: &str, found: Decimal, most: Decimal, limit: &Limit) -> Found {
    let percent = (found * Decimal::ONE_HUNDRED).round_dp(2).normalize();
    let words = format!("{percent} % {of}");
    if found <= most {
        let reason = format!("{what} is {words}, at most {} is allowed.", limit.value);
        return Found { words, verdict: Verdict::Pass, reason };
    }
    Found {
        reason: format!(
            "{what} is {words}, more than {}; the attempt can't be judged.",
            limit.value
        ),
        words,
        verdict: Verdict::NotJudged,
    }
}
