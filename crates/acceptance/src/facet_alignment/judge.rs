//! The verdict: whether the survey can be judged at all, then each limit by its rule.

use quantity::{Decimal, against_limit};

use super::advice;
use super::input::{FacetState, SurveyState};
use super::measure::{Facet, Measured, Rack};
use super::read::{Edge, Survey};
use super::work::Plan;
use crate::form::Form;
use crate::several::capital;
use crate::{Finding, Flag, Verdict};

/// An error this large makes the first-order formula a few percent wrong (derived in the head of
/// this calculation); it is flagged.
const LARGE: f64 = 0.01;

/// What was decided.
#[derive(Debug)]
pub(super) struct Judgement {
    pub(super) verdict: Verdict,
    pub(super) reason: String,
    pub(super) flags: Vec<Flag>,
    pub(super) findings: Vec<Finding>,
}

/// Judges a survey.
pub(super) fn judge(
    form: &Form,
    survey: &Survey,
    measured: &Measured<'_>,
    plan: &Plan<'_>,
) -> Judgement {
    let findings: Vec<_> = measured
        .racks
        .iter()
        .filter(|rack| rack.moved == Some(true))
        .map(|rack| moved(survey, rack))
        .collect();
    let (verdict, mut sentences) = verdict(form, survey, measured);
    if !findings.is_empty() {
        let names: Vec<_> = findings.iter().map(|finding| finding.place.as_str()).collect();
        sentences.push(format!(
            "Moved as a whole: {}. Check the bolts of the rack first, before any facet on it.",
            names.join(", ")
        ));
    }
    let mut flags = flags(survey, measured);
    flags.extend(advice::flags(survey, measured, plan));
    Judgement { verdict, reason: sentences.join(" "), flags, findings }
}

fn verdict(form: &Form, survey: &Survey, measured: &Measured<'_>) -> (Verdict, Vec<String>) {
    let figures = figures(survey, measured);
    if survey.state == Some(SurveyState::AsFound) {
        let mut sentences = vec!["As found: shown, not judged.".to_owned()];
        sentences.extend(figures);
        sentences
            .extend(obstacles(form, measured).into_iter().map(|o| format!("{}.", capital(&o))));
        return (Verdict::Computed, sentences);
    }
    let broken = broken(survey, measured);
    if !broken.is_empty() {
        let mut sentences = vec![format!("Outside the limits: {}.", broken.join("; "))];
        sentences.extend(figures);
        return (Verdict::Fail, sentences);
    }
    let obstacles = obstacles(form, measured);
    if !obstacles.is_empty() {
        let mut sentences = vec![format!("Not judged: {}.", obstacles.join("; "))];
        sentences.extend(figures);
        return (Verdict::NotJudged, sentences);
    }
    let mut sentences = vec!["Within the limits.".to_owned()];
    sentences.extend(figures);
    (Verdict::Pass, sentences)
}

/// The main figures in words.
fn figures(survey: &Survey, measured: &Measured<'_>) -> Vec<String> {
    let mut out = Vec::new();
    if let Some((facet, error)) = measured.worst() {
        out.push(format!(
            "Largest error on one axis {} mrad, at {}{}.",
            mrad(error.tilt.larger(), survey.axis.as_ref()),
            facet.row.facet,
            limit_words(survey.axis.as_ref()),
        ));
    }
    if let Some(all) = &measured.all {
        out.push(format!(
            "RMS {} mrad over {} facets{}.",
            mrad(all.rms, survey.rms.as_ref()),
            all.count,
            limit_words(survey.rms.as_ref()),
        ));
    }
    out
}

fn limit_words(edge: Option<&Edge>) -> String {
    edge.map_or_else(String::new, |edge| format!(" (limit {} mrad)", edge.mrad))
}

/// An angle in mrad without sign, with the digits that its limit needs.
pub(super) fn mrad(value: f64, edge: Option<&Edge>) -> String {
    let value = 1000.0 * value.abs();
    edge.map_or_else(|| format!("{value:.3}"), |edge| against_limit(value, &edge.mrad))
}

/// An angle in mrad with its sign.
pub(super) fn signed_mrad(value: f64, edge: Option<&Edge>) -> String {
    let text = mrad(value, edge);
    let zero = text.chars().all(|c| c == '0' || c == '.');
    if value < 0.0 && !zero { format!("-{text}") } else { text }
}

/// Limits that are certainly not kept.
fn broken(survey: &Survey, measured: &Measured<'_>) -> Vec<String> {
    let mut broken = Vec::new();
    if let Some(axis) = &survey.axis
        && measured.counts.out > 0
    {
        broken.push(format!(
            "{} of {} measured facets beyond {} mrad on an axis",
            measured.counts.out, measured.counts.measured, axis.mrad
        ));
    }
    // With facets missing the RMS of all is not known.
    if let (Some(rms), Some(all), 0) = (&survey.rms, &measured.all, measured.counts.unmeasured)
        && all.rms > rms.edge - rms.guard * measured.rms_doubt.unwrap_or(0.0)
    {
        broken.push(format!("RMS {} mrad", mrad(all.rms, Some(rms))));
    }
    broken
}

/// Why the survey can't be judged, or not fully; empty if it can.
fn obstacles(form: &Form, measured: &Measured<'_>) -> Vec<String> {
    let mut obstacles = Vec::new();
    let counts = &measured.counts;
    if !form.missing.is_empty() {
        let names: Vec<_> = form
            .missing
            .iter()
            .map(|missing| format!("{} ({})", missing.meaning, missing.field))
            .collect();
        obstacles.push(format!("this is missing: {}", names.join("; ")));
    }
    if counts.unmeasured > 0 {
        obstacles.push(format!(
            "{} of {} facets not measured: {}",
            counts.unmeasured,
            counts.facets,
            measured.names(FacetState::NotMeasured).join(", ")
        ));
    }
    if counts.within > 0 {
        obstacles.push(format!(
            "{} facets stand as within and carry no number, so that there is no RMS of all; measure \
             them, or read the file of the survey in",
            counts.within
        ));
    }
    if counts.measured == 0 {
        obstacles.push("no facet carries a number".to_owned());
    }
    obstacles
}

fn moved(survey: &Survey, rack: &Rack) -> Finding {
    let (tilt, explained) =
        rack.fit.as_ref().map_or((0.0, 0.0), |fit| (fit.tilt, 100.0 * fit.explained));
    let count = rack.group.map_or(0, |group| group.count);
    let quick = rack.quick.map_or_else(String::new, |quick| {
        format!(" (mean of {:.2} mrad by the quick rule)", 1000.0 * quick)
    });
    Finding {
        code: "rack_moved".to_owned(),
        place: rack.name.clone(),
        sentence: format!(
            "The {count} facets measured on {} are off together: one turn of {} mrad explains \
             {explained:.1} % of what they show{quick}. The rack moved, not the facets: check its \
             bolts first, don't chase facets.",
            rack.name,
            mrad(tilt, survey.axis.as_ref()),
        ),
    }
}

fn flags(survey: &Survey, measured: &Measured<'_>) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag = |code: &str, sentence: String| {
        flags.push(Flag { code: code.to_owned(), sentence });
    };
    let large: Vec<&Facet<'_>> = measured
        .facets
        .iter()
        .filter(|f| f.error.as_ref().is_some_and(|e| e.tilt.larger() > LARGE))
        .collect();
    if let Some(first) = large.first() {
        flag(
            "large_error",
            format!(
                "{} facets are off by more than 10 mrad, {} first; there the first-order formula is \
                 some percent wrong.",
                large.len(),
                first.row.facet
            ),
        );
    }
    if survey.doubt.is_none() {
        flag(
            "reading_doubt_not_stated",
            "No uncertainty of the readings on the board is stated; the results carry none."
                .to_owned(),
        );
    }
    flag(
        "board_place",
        format!(
            "The centre of the board is taken to stand on the dish axis. A board that is 1 mm off \
             moves all facets by about {:.2} mrad the same way.",
            0.5 / survey.bench.focal_length
        ),
    );
    flags
}

/// A decimal of the limit, for the rule.
pub(super) fn limit_of(edge: &Edge) -> Decimal {
    edge.mrad
}
