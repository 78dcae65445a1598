//! The verdict: first whether the run can be judged at all, then the decision rule.
//!
//! Sources: JCGM 100:2008 (GUM) 5.1.2, first order, for the uncertainty of the ratio; JCGM 106:2012
//! for the decision. The conditions are limits that the input gives.

use libm::{round, sqrt};
use quantity::{Measured, Ratio, StandardUncertainty, against_limit, decide, significant};

use super::checks::Checks;
use super::intervals::Intervals;
use super::read::Run;
use crate::pressure_decay::Rule;
use crate::stats::count;
use crate::time::Moment;
use crate::{Finding, Flag, Verdict};

/// Guard band over standard uncertainty: the expanded uncertainty for k = 2.
pub(super) const GUARD: f64 = 2.0;
/// Zones differ by whole half hours, nearly everywhere.
const HALF_HOUR: f64 = 1800.0;

/// What was decided, and on what.
#[derive(Debug)]
pub(super) struct Judgement {
    pub(super) verdict: Verdict,
    pub(super) reason: String,
    pub(super) flags: Vec<Flag>,
    pub(super) findings: Vec<Finding>,
    /// None without a steady interval.
    pub(super) judged: Option<Judged>,
}

/// The judged ratio with its parts.
#[derive(Debug, Clone, Copy)]
pub(super) struct Judged {
    pub(super) ratio: f64,
    /// With the reference reflectance.
    pub(super) at_reference: f64,
    /// Relative sensitivity of the ratio to irradiance and to reflectance.
    pub(super) sensitivity: f64,
    /// Standard uncertainty of the ratio.
    pub(super) u: f64,
    /// The limit with its guard band.
    pub(super) acceptance: f64,
    pub(super) conformance: Option<f64>,
    verdict: Verdict,
}

/// Judges a run.
pub(super) fn judge(run: &Run, intervals: &Intervals, checks: &Checks) -> Judgement {
    let judged = judged(run, intervals);
    let mut findings = Vec::new();
    let mut obstacles = clocks(run, checks, &mut findings);
    obstacles.extend(mirrors(run, intervals, &mut findings));
    obstacles.extend(data(run, intervals));
    let flags = flags(run, checks);
    let (verdict, reason) = match (&judged, obstacles.is_empty()) {
        (Some(judged), true) => (judged.verdict, decided(run, judged)),
        (judged, _) => {
            let seen = judged.as_ref().map_or_else(String::new, |judged| {
                format!(
                    " The ratio computed is {}, and {} at the reference reflectance, against a \
                     limit of {}.",
                    shown(run, judged.ratio),
                    shown(run, judged.at_reference),
                    run.limits.ratio.text
                )
            });
            (Verdict::NotJudged, format!("Not judged: {}.{seen}", obstacles.join("; ")))
        }
    };
    Judgement { verdict, reason, flags, findings, judged }
}

/// A ratio to one digit finer than its limit, or as many as the verdict needs.
pub(super) fn shown(run: &Run, ratio: f64) -> String {
    against_limit(ratio, &run.limits.ratio_typed)
}

fn judged(run: &Run, intervals: &Intervals) -> Option<Judged> {
    let power = intervals.sum(super::intervals::Interval::kilowatts);
    let expected = |which: usize| {
        intervals.sum(|interval| interval.expected.and_then(|e| e.get(which).copied()))
    };
    let (as_measured, at_reference) = (expected(0), expected(1));
    if !(as_measured > 0.0 && at_reference > 0.0) {
        return None;
    }
    let gained = intervals.sum(|interval| {
        let (irradiance, air) = (interval.irradiance.mean()?, interval.ambient.mean()?);
        Some(run.model.gained(irradiance, intervals.rho) * run.model.warmth(air))
    });
    let sensitivity = gained / as_measured;
    let [irradiance, power_doubt, reflectance] = &run.doubt;
    let parts = [
        power_doubt.standard,
        sensitivity * irradiance.standard,
        sensitivity * reflectance.standard,
    ];
    let relative = sqrt(parts.iter().map(|part| part * part).sum());
    let ratio = power / as_measured;
    let u = relative * ratio.abs();
    let measured = Measured::new(Ratio::from_fraction(ratio), StandardUncertainty::standard(u));
    let rule = match run.limits.rule {
        Rule::Simple => quantity::Rule::Simple,
        Rule::Guarded => quantity::Rule::Guarded { factor: GUARD },
    };
    let limit = quantity::Limit::AtLeast(Ratio::from_fraction(run.limits.ratio.value));
    let decision = decide(&measured, limit, rule);
    let acceptance = match decision.acceptance {
        quantity::Limit::AtLeast(low) => low.fraction(),
        quantity::Limit::AtMost(_) | quantity::Limit::Between(..) => run.limits.ratio.value,
    };
    Some(Judged {
        ratio,
        at_reference: power / at_reference,
        sensitivity,
        u,
        acceptance,
        conformance: decision.conformance,
        verdict: match decision.verdict {
            quantity::Verdict::Pass => Verdict::Pass,
            quantity::Verdict::Fail => Verdict::Fail,
            quantity::Verdict::NotJudged => Verdict::NotJudged,
        },
    })
}

/// An offset from UTC in words.
pub(super) fn zone(seconds: f64) -> String {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "an offset from UTC, some thousand seconds"
    )]
    let (sign, minutes) = (if seconds < 0.0 { '−' } else { '+' }, (seconds.abs() / 60.0) as i64);
    format!("UTC{sign}{:02}:{:02}", minutes / 60, minutes % 60)
}

fn offset(seconds: i64) -> f64 {
    Moment { seconds, offset: 0 }.unix()
}

/// At which zone a file was read, and at which it would fit.
fn probable(read_at: i64, off_by: f64) -> String {
    let steps = HALF_HOUR * round(off_by / HALF_HOUR);
    let read = zone(offset(read_at));
    if steps.abs() < 1.0 {
        return format!("its stamps were read at {read}; compare the clock with true time");
    }
    format!(
        "its stamps were read at {read} and are probably at {}; import the file again at the zone \
         that its clock keeps",
        zone(offset(read_at) + steps)
    )
}

/// Minutes with their direction.
fn minutes(seconds: f64) -> String {
    significant(seconds.abs() / 60.0, 3)
}

fn clocks(run: &Run, checks: &Checks, findings: &mut Vec<Finding>) -> Vec<String> {
    let mut obstacles = Vec::new();
    let mut find = |file: &str, sentence: String| {
        findings.push(Finding {
            code: "clock_zone".into(),
            place: file.to_owned(),
            sentence: format!("{sentence}."),
        });
        obstacles.push(sentence);
    };
    let lag = checks.clear_lag().map(offset).filter(|lag| lag.abs() > run.limits.lag.value);
    let peak = checks.clear_peak(run.limits.noon.value);
    let far = peak.filter(|distance| distance.abs() > run.limits.noon.value);
    let follows = |lag: f64| {
        let word = if lag > 0.0 { "follows" } else { "precedes" };
        format!(
            "the power of {} {word} the irradiance of {} by {} min, more than the {} allowed",
            run.power.file,
            run.irradiance.file,
            minutes(lag),
            run.limits.lag.text
        )
    };
    if let Some(distance) = far {
        let also = lag.map_or_else(String::new, |lag| format!("{}; ", follows(lag)));
        find(
            &run.irradiance.file,
            format!(
                "{also}the irradiance of {} peaks {} min {} solar noon, {}, more than the {} \
                 allowed; {}",
                run.irradiance.file,
                minutes(distance),
                if distance < 0.0 { "before" } else { "after" },
                checks.noon.shown(),
                run.limits.noon.text,
                probable(run.irradiance.offset, distance)
            ),
        );
    } else if let Some(lag) = lag {
        let which = if peak.is_some() {
            format!(
                "the irradiance peaks at solar noon, so it is the meter's file: {}",
                probable(run.power.offset, lag)
            )
        } else {
            format!(
                "either {}: {}; or {}: {}",
                run.power.file,
                probable(run.power.offset, lag),
                run.irradiance.file,
                probable(run.irradiance.offset, -lag)
            )
        };
        find(&run.power.file, format!("{}; {which}", follows(lag)));
    }
    obstacles
}

fn mirrors(run: &Run, intervals: &Intervals, findings: &mut Vec<Finding>) -> Vec<String> {
    let limits = &run.limits;
    let mut obstacles = Vec::new();
    if count(run.reflectance.len()) < limits.reflectance_points.value {
        obstacles.push(format!(
            "the reflectance has {} readings, and {} are asked for; take the others",
            run.reflectance.len(),
            limits.reflectance_points.text
        ));
    }
    if intervals.rho < limits.reflectance.value {
        let sentence = format!(
            "the mirrors' reflectance is {} %, and the contract's condition is {} or more; wash \
             the mirrors, survey them again and repeat the run",
            against_limit(100.0 * intervals.rho, &hundredfold(limits.reflectance.value)),
            limits.reflectance.text
        );
        findings.push(Finding {
            code: "wash".into(),
            place: "mirrors".into(),
            sentence: format!("{sentence}."),
        });
        obstacles.push(sentence);
    }
    let age = age(run);
    if age > limits.reflectance_age.value {
        obstacles.push(format!(
            "the reflectance was surveyed {} h from the run, and {} are allowed; survey it again",
            significant(age / 3600.0, 3),
            limits.reflectance_age.text
        ));
    }
    obstacles
}

/// A fraction as a number of percent, for printing beside it.
fn hundredfold(fraction: f64) -> quantity::Decimal {
    quantity::Decimal::try_from(100.0 * fraction).unwrap_or_default().round_dp(6).normalize()
}

/// Seconds between the survey and the farther end of the run.
pub(super) fn age(run: &Run) -> f64 {
    let ends = [run.irradiance.samples.first(), run.irradiance.samples.last()];
    let survey = run.reflectance_at.seconds;
    let far = ends.iter().flatten().map(|sample| (sample.start - survey).abs()).max();
    offset(far.unwrap_or(0))
}

fn data(run: &Run, intervals: &Intervals) -> Vec<String> {
    let limits = &run.limits;
    let mut obstacles = Vec::new();
    if intervals.list.is_empty() {
        return vec![format!(
            "{} and {} have no interval in common; check their dates",
            run.irradiance.file, run.power.file
        )];
    }
    let good = intervals.used().count();
    if count(good) < limits.intervals.value {
        obstacles.push(format!(
            "{good} intervals are complete and steady, and {} are asked for; repeat the run",
            limits.intervals.text
        ));
    }
    let share = intervals.missing_share();
    if share > limits.missing.value {
        obstacles.push(format!(
            "{} % of irradiance and power are missing, and {} are allowed; repeat the run",
            significant(100.0 * share, 3),
            limits.missing.text
        ));
    }
    obstacles
}

fn flags(run: &Run, checks: &Checks) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag = |code: &str, sentence: String| {
        flags.push(Flag { code: code.to_owned(), sentence });
    };
    if checks.clear_lag().is_none() {
        flag(
            "lag_unclear",
            "Irradiance and power don't resemble each other enough to say how their clocks agree."
                .to_owned(),
        );
    }
    if checks.clear_peak(run.limits.noon.value).is_none() {
        flag(
            "peak_unclear",
            "The irradiance has no peak within the run that could be compared with solar noon."
                .to_owned(),
        );
    }
    let starts = run.irradiance.samples.first().map_or(0, |sample| sample.start);
    if run.reflectance_at.seconds > starts {
        flag(
            "surveyed_after",
            "The reflectance was surveyed after the run began; it counts only if nothing was \
             washed in between."
                .to_owned(),
        );
    }
    flags
}

fn decided(run: &Run, judged: &Judged) -> String {
    let within = judged.verdict == Verdict::Pass;
    let against = match run.limits.rule {
        Rule::Simple => format!("the limit of {}", run.limits.ratio.text),
        Rule::Guarded => format!(
            "the acceptance limit of {} (limit {} and guard band)",
            significant(judged.acceptance, 4),
            run.limits.ratio.text
        ),
    };
    format!(
        "Ratio of measured to expected output {}, {} {against}. Expanded uncertainty (k = 2) {}.",
        shown_ratio(run, judged),
        if within { "not below" } else { "below" },
        significant(2.0 * judged.u, 2)
    )
}

/// The ratio with enough digits to see on which side of limit and acceptance limit it lies.
pub(super) fn shown_ratio(run: &Run, judged: &Judged) -> String {
    let text = shown(run, judged.ratio);
    let above = |value: f64| value >= judged.acceptance;
    let same_side = text.parse::<f64>().is_ok_and(|rounded| above(rounded) == above(judged.ratio));
    if same_side { text } else { significant(judged.ratio, 6) }
}
