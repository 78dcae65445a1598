//! The limits, findings about channels, and what a reader is warned of.

use quantity::{Temperature, TemperatureDifference, significant};

use super::exchange::NoSearch;
use super::input::SpreadOf;
use super::measure::{Answer, Fault, Found, suspected};
use super::read::Survey;
use crate::limit::Judged;
use crate::several::{Together, capital, together};
use crate::{Finding, Flag, RuleShown, Verdict};

/// The name of a channel by its number.
pub(super) fn name(survey: &Survey, place: usize) -> &str {
    survey.channels.get(place).map_or("", |channel| channel.name.as_str())
}

fn names(survey: &Survey, places: &[usize]) -> String {
    let names: Vec<_> = places.iter().map(|place| name(survey, *place)).collect();
    names.join(", ")
}

fn with_fault(survey: &Survey, found: &Found, fault: Fault) -> Vec<String> {
    found
        .faults
        .iter()
        .enumerate()
        .filter(|(_, of)| **of == Some(fault))
        .map(|(place, _)| name(survey, place).to_owned())
        .collect()
}

/// Judges every stated limit; none without one.
pub(super) fn judge(survey: &Survey, found: &Found) -> Option<Together> {
    let mut judged: Vec<(&str, Judged)> = Vec::new();
    let of_means = survey.spread_of == Some(SpreadOf::QuadrantMeans);
    let spread = if of_means { found.of_means } else { found.of_channels };
    let of_spread = |judged: &mut Judged| {
        if of_means && !found.put_right.is_empty() {
            hold(judged, &format!("{} are exchanged or suspected to be", pairs(survey, found)));
        }
        hold_for_faults(survey, found, judged);
    };
    for (what, limit) in
        [("spread, alarm", &survey.spread_alarm), ("spread, trip", &survey.spread_trip)]
    {
        let Some(limit) = limit else { continue };
        let value = spread.map_or(f64::NAN, |(_, _, spread)| spread);
        let doubt = survey.doubt.as_ref().and_then(|d| found.spread_doubt(&d.standard, of_means));
        let value = limit.settled(TemperatureDifference::from_kelvins(value));
        let mut one = limit.judge(value, doubt);
        if spread.is_none() {
            one.verdict = Verdict::NotJudged;
            one.sentence = "not judged: a quadrant has no channel that counts".to_owned();
        }
        of_spread(&mut one);
        judged.push((what, one));
    }
    if let Some(limit) = &survey.highest {
        let hottest = found.of_channels.map(|(high, _, _)| high);
        let value = hottest.and_then(|place| found.counted.get(place).copied().flatten());
        let doubt = survey
            .doubt
            .as_ref()
            .zip(hottest)
            .and_then(|(doubt, place)| doubt.standard.get(place).copied().flatten());
        let value = limit.settled(Temperature::from_kelvins(value.unwrap_or(f64::NAN)));
        let mut one = limit.judge(value, doubt);
        if hottest.is_none() {
            one.verdict = Verdict::NotJudged;
            one.sentence = "not judged: fewer than two channels count".to_owned();
        }
        hold_for_faults(survey, found, &mut one);
        judged.push(("hottest channel", one));
    }
    if let Some(source) = &survey.identity {
        judged.push(("identity of the thermocouples", identity(survey, found, source.clone())));
    }
    together(&judged)
}

/// What passed is not judged when something is in the way; what failed stays so.
fn hold(judged: &mut Judged, why: &str) {
    if judged.verdict == Verdict::Pass {
        judged.verdict = Verdict::NotJudged;
        judged.sentence = format!("{}; not judged, since {why}", judged.value);
    }
}

fn hold_for_faults(survey: &Survey, found: &Found, judged: &mut Judged) {
    let mut faulty = with_fault(survey, found, Fault::Open);
    faulty.extend(with_fault(survey, found, Fault::Stuck));
    if !faulty.is_empty() {
        hold(judged, &format!("{} can't be read and may be hotter", faulty.join(", ")));
    }
}

fn pairs(survey: &Survey, found: &Found) -> String {
    let pairs: Vec<_> = found
        .put_right
        .iter()
        .map(|(one, other)| format!("{} and {}", name(survey, *one), name(survey, *other)))
        .collect();
    pairs.join("; ")
}

fn identity(survey: &Survey, found: &Found, source: Option<String>) -> Judged {
    let all = survey.channels.len();
    let wrong = found.answers.len() - found.identified();
    let untested = all - found.answers.len();
    let (verdict, sentence) = if wrong > 0 {
        (Verdict::Fail, format!("{wrong} of {all} do not answer on their own channel alone"))
    } else if untested > 0 {
        (Verdict::NotJudged, format!("not judged: {untested} of {all} were not warmed"))
    } else {
        (Verdict::Pass, format!("all {all} answer on their own channel"))
    };
    Judged {
        verdict,
        value: format!("{} of {all}", found.identified()),
        rule: RuleShown {
            name: "simple".to_owned(),
            text: "Accepted when every place, warmed, is answered by its own channel and no other."
                .to_owned(),
            limit: "none on another channel".to_owned(),
            limit_source: source,
            acceptance_limit: None,
            conformance_probability: None,
        },
        sentence,
    }
}

/// What was noticed about channels.
pub(super) fn findings(survey: &Survey, found: &Found) -> Vec<Finding> {
    let mut out = Vec::new();
    let mut finding = |code: &str, place: String, sentence: String| {
        out.push(Finding { code: code.to_owned(), place, sentence });
    };
    for (one, other) in &found.exchanged {
        let (one, other) = (name(survey, *one), name(survey, *other));
        finding(
            "exchanged",
            format!("{one}, {other}"),
            format!(
                "{one} and {other} are exchanged: warmed at {one}, channel {other} rises, and the \
                 other way round."
            ),
        );
    }
    for (place, answer) in &found.answers {
        let place_name = name(survey, *place);
        match answer {
            Answer::Other(other) if !in_pair(found, *place) => finding(
                "on_another_channel",
                place_name.to_owned(),
                format!("Warmed at {place_name}, channel {} rises.", name(survey, *other)),
            ),
            Answer::None => finding(
                "no_answer",
                place_name.to_owned(),
                format!(
                    "Warmed at {place_name}, no channel rises by {} K.",
                    significant(survey.answer, 3)
                ),
            ),
            Answer::Several(several) => finding(
                "not_clear",
                place_name.to_owned(),
                format!(
                    "Warmed at {place_name}, several channels rise: {}. Warm a smaller spot.",
                    names(survey, several)
                ),
            ),
            _ => {}
        }
    }
    for place in with_fault(survey, found, Fault::Open) {
        let sentence = format!("{place} is open: it has no contact.");
        finding("open", place, sentence);
    }
    for place in with_fault(survey, found, Fault::Stuck) {
        let sentence = format!("{place} shows the same number in every scan while others moved.");
        finding("stuck", place, sentence);
    }
    if let Some(Ok(search)) = &found.search
        && suspected(survey, search)
        && let Some(best) = search.pairs.first()
    {
        let (one, other) = (name(survey, best.one), name(survey, best.other));
        finding(
            "exchange_suspected",
            format!("{one}, {other}"),
            format!(
                "{one} and {other} look exchanged: with them put right the channels fit the pattern \
                 within {} K instead of {} K; chance alone does as much in {} of runs. Prove it by \
                 warming both.",
                significant(best.rms, 3),
                significant(search.rms, 3),
                chance(search.chance, search.trials)
            ),
        );
    }
    out
}

/// A probability from trials, in words.
pub(super) fn chance(probability: f64, trials: u32) -> String {
    if probability <= 1.5 / f64::from(trials) {
        format!("fewer than {} %", significant(100.0 / f64::from(trials), 1))
    } else {
        format!("{} %", significant(100.0 * probability, 2))
    }
}

fn in_pair(found: &Found, place: usize) -> bool {
    found.exchanged.iter().any(|(one, other)| *one == place || *other == place)
}

/// A probability of chance below which a direction of the heat is worth a word. Common practice, no
/// source.
const SHOWN: f64 = 0.05;

/// What a reader is warned of, and where to look first.
pub(super) fn flags(survey: &Survey, found: &Found) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag =
        |code: &str, sentence: String| flags.push(Flag { code: code.to_owned(), sentence });
    if !found.put_right.is_empty() && !survey.scans.is_empty() {
        flag(
            "exchange_first",
            format!(
                "{} first: while they stand for each other, means of quadrants and the direction \
                 of the heat are wrong. What is said of the direction is with them put right.",
                capital(&pairs(survey, found))
            ),
        );
    }
    if !survey.scans.is_empty() && !found.even() {
        flag(
            "uneven_means",
            "The quadrants have different numbers of channels that count, so that their means are \
             over different places."
                .to_owned(),
        );
    }
    match &found.search {
        Some(Ok(search)) if suspected(survey, search) && search.rivals > 0 => flag(
            "other_pairs",
            format!(
                "{} other pairs would fit about as well; the table lists the best.",
                search.rivals
            ),
        ),
        Some(Err(NoSearch::TooFew)) => flag(
            "not_searched",
            "Too few channels count to look for exchanged ones by the pattern.".to_owned(),
        ),
        Some(Err(NoSearch::Pattern)) => flag(
            "not_searched",
            "The pattern can't be fitted: its places and quadrants can't be told apart.".to_owned(),
        ),
        _ => {}
    }
    if let Some(heat) = found.heat
        && heat.chance < SHOWN
    {
        let degrees = heat.bearing.to_degrees().rem_euclid(360.0);
        flag(
            "heat_to_one_side",
            format!(
                "The receiver is {} K hotter towards bearing {}°, seen from the mirror ({}): the \
                 light lies that way of the middle (beyond the focus the facets of the opposite side \
                 shine there). Look at the thermocouples first, then at the facets, then at \
                 tracking; don't nudge until it looks right.",
                significant(heat.amplitude, 3),
                significant(degrees, 3),
                side(degrees)
            ),
        );
    }
    if survey.doubt.as_ref().is_some_and(|doubt| doubt.by_class) {
        flag(
            "drift",
            "The class is that of thermocouples as delivered; after hours at heat they drift, \
             commonly by more."
                .to_owned(),
        );
    }
    flags
}

/// A bearing in words, seen from the mirror.
fn side(degrees: f64) -> &'static str {
    match degrees {
        d if !(22.5..337.5).contains(&d) => "up",
        d if d < 67.5 => "upper right",
        d if d < 112.5 => "right",
        d if d < 157.5 => "lower right",
        d if d < 202.5 => "down",
        d if d < 247.5 => "lower left",
        d if d < 292.5 => "left",
        _ => "upper left",
    }
}
