//! The sheet.

use quantity::significant;

use super::exchange::SEED;
use super::input::{Pattern, SpreadOf};
use super::judge::{findings, flags, judge, name};
use super::measure::{Fault, Found};
use super::read::Survey;
use super::{CALCULATION, tables, thermocouple};
use crate::form::Form;
use crate::several::Together;
use crate::{Bar, Combined, DoubtLine, Figure, Line, Outcome, Sheet, Verdict};

/// A temperature in °C with a decimal or two.
pub(super) fn celsius(kelvins: f64) -> String {
    if kelvins.is_finite() { format!("{:.2}", kelvins - 273.15) } else { String::new() }
}

/// A difference in K.
pub(super) fn kelvin(difference: f64) -> String {
    if difference.is_finite() { format!("{difference:.2}") } else { String::new() }
}

/// The sheet of what was found.
pub(super) fn sheet(form: Form, survey: &Survey, found: &Found) -> Sheet {
    let together = judge(survey, found);
    let findings = findings(survey, found);
    let judged_spread = survey.spread_alarm.is_some() || survey.spread_trip.is_some();
    Sheet {
        verdict: together.as_ref().map_or(Verdict::Computed, |all| all.verdict),
        reason: reason(survey, found, together.as_ref(), &findings),
        results: results(survey, found),
        working: working(survey, found),
        doubt: doubt(survey, found),
        combined: combined(survey, found).filter(|_| judged_spread),
        rule: together.map(|all| all.rule),
        validity: VALIDITY.to_owned(),
        sources: sources(survey),
        flags: flags(survey, found),
        figure: figure(survey, found),
        tables: tables::tables(survey, found),
        findings,
        ..Sheet::blank(&CALCULATION, form)
    }
}

const VALIDITY: &str = "Temperatures of the sheaths at one moment of steady sun. A mean is that of the \
                        channels that count. An exchange by the pattern is a suspicion with a stated \
                        probability of a false alarm; the warming test proves it. One pair at a time \
                        is looked for; places that are equally hot can't be told apart by it.";
const BOOTSTRAP: &str = "exchange by the pattern: least squares with each pair exchanged in turn, its \
                         chance by drawing from the fit (parametric bootstrap; B. Efron, R. J. \
                         Tibshirani 1993, from memory); derived here";
const WARMING: &str = "warming test: common practice, no source";
const HARMONIC: &str = "direction of the heat: least squares of the pattern and x·sin β + y·cos β, with \
                        the F test of both parts";

fn sources(survey: &Survey) -> Vec<String> {
    let mut out = Vec::new();
    if survey.doubt.as_ref().is_some_and(|doubt| doubt.by_class) {
        out.push(thermocouple::SOURCE.to_owned());
    }
    if survey.pattern.is_some() {
        out.push(BOOTSTRAP.to_owned());
    }
    if !survey.warming.is_empty() {
        out.push(WARMING.to_owned());
    }
    if survey.channels.iter().any(|channel| channel.bearing.is_some()) {
        out.push(HARMONIC.to_owned());
    }
    out
}

fn reason(
    survey: &Survey,
    found: &Found,
    together: Option<&Together>,
    findings: &[crate::Finding],
) -> String {
    let mut out = together.map_or_else(Vec::new, |all| all.sentences.clone());
    if let Some((high, low, spread)) = found.of_means {
        let quadrant = |number: usize| {
            found.quadrants.get(number).map_or("", |quadrant| quadrant.name.as_str())
        };
        out.push(format!(
            "Means of the quadrants spread by {} K, {} hottest, {} coolest.",
            kelvin(spread),
            quadrant(high),
            quadrant(low)
        ));
    }
    if let Some((high, low, spread)) = found.of_channels {
        out.push(format!(
            "Channels spread by {} K, from {} at {} °C to {} at {} °C.",
            kelvin(spread),
            name(survey, low),
            celsius(found.counted.get(low).copied().flatten().unwrap_or(f64::NAN)),
            name(survey, high),
            celsius(found.counted.get(high).copied().flatten().unwrap_or(f64::NAN))
        ));
    }
    out.extend(findings.iter().map(|finding| finding.sentence.clone()));
    if out.is_empty() {
        out.push(format!("{} places warmed.", found.answers.len()));
    }
    out.join(" ")
}

fn results(survey: &Survey, found: &Found) -> Vec<Outcome> {
    let mut out = Vec::new();
    let with = |outcome: Outcome, of_means: bool| {
        let standard = survey.doubt.as_ref().map(|doubt| &doubt.standard);
        match standard.and_then(|standard| found.spread_doubt(standard, of_means)) {
            Some(u) => outcome.within(significant(u, 3)),
            None => outcome,
        }
    };
    let difference =
        |name: &str, meaning: &str, value: f64| Outcome::new(name, meaning, kelvin(value), "K");
    if let Some((_, _, spread)) = found.of_means {
        let meaning = "hottest less coolest mean of a quadrant";
        out.push(with(difference("spread_of_means", meaning, spread), true));
    }
    if let Some(spread) = found.corrected {
        let meaning = "the same with exchanged channels put right";
        out.push(difference("spread_of_means_put_right", meaning, spread));
    }
    if let Some((high, _, spread)) = found.of_channels {
        let meaning = "hottest less coolest channel";
        out.push(with(difference("spread_of_channels", meaning, spread), false));
        let hottest = found.counted.get(high).copied().flatten().unwrap_or(f64::NAN);
        let meaning = format!("hottest channel, {}", name(survey, high));
        out.push(Outcome::new("highest", &meaning, celsius(hottest), "°C"));
    }
    for quadrant in &found.quadrants {
        if quadrant.mean.is_finite() {
            let label = format!("mean_{}", quadrant.name);
            let meaning = format!("mean of quadrant {}", quadrant.name);
            out.push(Outcome::new(&label, &meaning, celsius(quadrant.mean), "°C"));
        }
    }
    let counted: Vec<f64> = found.counted.iter().copied().flatten().collect();
    if !counted.is_empty() {
        let mean = crate::stats::mean(&counted);
        out.push(Outcome::new("mean", "mean of all channels that count", celsius(mean), "°C"));
        if let Some(set) = survey.set_point {
            let meaning = "mean less the set point";
            out.push(difference("above_set_point", meaning, mean - set));
        }
    }
    if let Some((place, above)) = found.hot {
        let meaning =
            format!("{} above the mean of the others of its quadrant", name(survey, place));
        out.push(difference("hot_tube", &meaning, above));
    }
    let count = |name: &str, meaning: &str, value: usize| {
        Outcome::new(name, meaning, value.to_string(), "1")
    };
    let faulty = |fault| found.faults.iter().filter(|of| **of == Some(fault)).count();
    if !survey.scans.is_empty() {
        out.push(count("open", "channels without contact", faulty(Fault::Open)));
        out.push(count("stuck", "channels that don't move", faulty(Fault::Stuck)));
    }
    if !survey.warming.is_empty() {
        out.push(count("identified", "channels that answer for their place", found.identified()));
        let of = |own: bool| {
            survey.warming.iter().flat_map(move |warmed| {
                warmed.rises.iter().copied().filter(move |rise| (*rise >= survey.answer) == own)
            })
        };
        if let Some(least) = of(true).reduce(f64::min) {
            out.push(difference("least_answer", "smallest rise that counts as an answer", least));
        }
        if let Some(most) = of(false).reduce(f64::max) {
            out.push(difference("largest_other", "largest rise that does not", most));
        }
        out.push(count(
            "exchanged_pairs",
            "pairs that answer for each other",
            found.exchanged.len(),
        ));
    }
    if let Some(Ok(search)) = &found.search {
        out.push(difference("pattern_rms", "RMS off the pattern, as read", search.rms));
        if let Some(best) = search.pairs.first() {
            let pair = format!("{}, {}", name(survey, best.one), name(survey, best.other));
            let meaning = format!("RMS off the pattern with {pair} exchanged");
            out.push(difference("pattern_rms_exchanged", &meaning, best.rms));
            out.push(Outcome::new("best_pair", "pair that lowers it most", pair, ""));
        }
        let share = significant(100.0 * search.share, 4);
        out.push(Outcome::new("pair_explains", "share of the squares it takes away", share, "%"));
        let chance = significant(100.0 * search.chance, 3);
        let meaning = "how often chance alone takes away as much";
        out.push(Outcome::new("pair_by_chance", meaning, chance, "%"));
    }
    if let Some(heat) = found.heat {
        let meaning = "how much hotter than the mean one side is";
        out.push(difference("heat", meaning, heat.amplitude).within(kelvin(heat.doubt)));
        let degrees = heat.bearing.to_degrees().rem_euclid(360.0);
        let meaning = "bearing of that side, clockwise from up, seen from the mirror";
        out.push(Outcome::new("heat_bearing", meaning, format!("{degrees:.1}"), "°"));
        let chance = significant(100.0 * heat.chance, 3);
        let meaning = "how often chance alone makes it as large";
        out.push(Outcome::new("heat_by_chance", meaning, chance, "%"));
    }
    out
}

fn working(survey: &Survey, found: &Found) -> Vec<Line> {
    let mut lines = Vec::new();
    if let Some(scan) = &survey.scan_name {
        lines.push(Line::new("scan", "scan that is judged", "the last", scan.clone(), ""));
    }
    for quadrant in found.quadrants.iter().filter(|quadrant| quadrant.mean.is_finite()) {
        let members: Vec<_> = quadrant.counted.iter().map(|place| name(survey, *place)).collect();
        lines.push(Line::new(
            &format!("T({})", quadrant.name),
            &format!("mean of quadrant {}", quadrant.name),
            &format!("mean of {}", members.join(", ")),
            celsius(quadrant.mean),
            "°C",
        ));
    }
    if let Some((_, _, spread)) = found.of_means {
        let formula = "largest T(quadrant) − smallest";
        lines.push(Line::new("S_q", "spread of the means", formula, kelvin(spread), "K"));
    }
    if let Some((_, _, spread)) = found.of_channels {
        let formula = "largest reading − smallest";
        lines.push(Line::new("S_c", "spread of the channels", formula, kelvin(spread), "K"));
    }
    if let (Some(Ok(search)), Some(pattern)) = (&found.search, survey.pattern) {
        let formula = match pattern {
            Pattern::Expected => "least squares of level + scale·expected",
            Pattern::FirstScan => "least squares of level + scale·first scan",
            Pattern::Symmetrical => {
                "least squares of a level for each quadrant + a step for each place"
            }
        };
        lines.push(Line::new("r", "RMS off the pattern", formula, kelvin(search.rms), "K"));
        let freedom = significant(search.freedom, 3);
        lines.push(Line::new("ν", "channels less terms", "counted", freedom, "1"));
        let formula = "T = 1 − SSQ(pair exchanged)/SSQ, of the pair where it is largest";
        let share = significant(search.share, 5);
        lines.push(
            Line::new("T", "share of the squares that the pair takes away", formula, share, "1")
                .sourced(BOOTSTRAP),
        );
        let formula = format!(
            "(1 + how many of {} draws reach T)/({} + 1), ChaCha8 from the seed {SEED}",
            search.trials, search.trials
        );
        let chance = significant(search.chance, 3);
        lines.push(Line::new("p", "how often chance alone reaches T", &formula, chance, "1"));
        let typed = significant(survey.false_alarm, 3);
        lines.push(Line::new("α", "false alarms allowed", "as typed; 0.01 if not", typed, "1"));
    }
    if let Some(heat) = found.heat {
        let degrees = heat.bearing.to_degrees().rem_euclid(360.0);
        let formula = "√(x² + y²) of the least squares: pattern (or one level) + x·sin β + y·cos β";
        lines.push(
            Line::new("A", "heat to one side", formula, kelvin(heat.amplitude), "K")
                .sourced(HARMONIC),
        );
        let formula = "atan2(x, y)";
        lines.push(Line::new("β₀", "its bearing", formula, format!("{degrees:.1}"), "°"));
        let formula = format!("(1 + 2F/ν)^(−ν/2), ν = {}", significant(heat.freedom, 3));
        let chance = significant(heat.chance, 3);
        lines.push(Line::new("p_A", "how often chance alone makes it", &formula, chance, "1"));
    }
    lines
}

/// Whether the means of quadrants are what is budgeted.
fn of_means(survey: &Survey) -> bool {
    survey.spread_of != Some(SpreadOf::Channels)
}

fn doubt(survey: &Survey, found: &Found) -> Vec<DoubtLine> {
    let Some(doubt) = &survey.doubt else { return Vec::new() };
    let means = of_means(survey);
    let Some(all) = found.spread_doubt(&doubt.standard, means) else { return Vec::new() };
    let of = |place: &usize| doubt.standard.get(*place).copied().flatten().unwrap_or(f64::NAN);
    let ends = if means { found.of_means } else { found.of_channels };
    let Some((high, low, _)) = ends else { return Vec::new() };
    [high, low]
        .into_iter()
        .map(|end| {
            let places: Vec<usize> = match means {
                true => found.quadrants.get(end).map_or_else(Vec::new, |q| q.counted.clone()),
                false => vec![end],
            };
            let squares: f64 = places.iter().map(|place| of(place) * of(place)).sum();
            let n = crate::stats::count(places.len());
            let u = libm::sqrt(squares) / n;
            let what = match means {
                true => found.quadrants.get(end).map_or("", |quadrant| quadrant.name.as_str()),
                false => name(survey, end),
            };
            DoubtLine {
                source: match means {
                    true => format!("thermocouples of {what}, each by itself"),
                    false => format!("thermocouple of {what}"),
                },
                statement: doubt.text.clone(),
                standard_uncertainty: significant(libm::sqrt(squares / n), 3),
                unit: "K".to_owned(),
                contribution: significant(u, 3),
                contribution_unit: "K".to_owned(),
                share: format!("{:.1}", 100.0 * u * u / (all * all)),
                share_of_mass: None,
            }
        })
        .collect()
}

fn combined(survey: &Survey, found: &Found) -> Option<Combined> {
    let doubt = survey.doubt.as_ref()?;
    let means = of_means(survey);
    let u = found.spread_doubt(&doubt.standard, means)?;
    Some(Combined {
        of: if means { "spread_of_means" } else { "spread_of_channels" }.to_owned(),
        standard: significant(u, 3),
        coverage_factor: "2".to_owned(),
        expanded: significant(2.0 * u, 3),
        unit: "K".to_owned(),
    })
}

fn figure(survey: &Survey, found: &Found) -> Option<Figure> {
    let bars: Vec<Bar> = survey
        .channels
        .iter()
        .zip(&found.counted)
        .filter_map(|(channel, value)| {
            value.map(|value| Bar {
                name: channel.name.clone(),
                meaning: format!("{}, {}", channel.name, channel.quadrant),
                value: celsius(value),
                unit: "°C".to_owned(),
            })
        })
        .collect();
    (!bars.is_empty()).then(|| Figure {
        bars,
        ..Figure::lines("Temperature of each channel", "channel", "temperature in °C", Vec::new())
    })
}
