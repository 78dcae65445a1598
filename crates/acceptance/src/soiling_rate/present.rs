//! The sheet.

use quantity::significant;

use super::input::RateFrom;
use super::measure::{Crossing, Found, SEED, best_interval};
use super::read::{Survey, date};
use super::{CALCULATION, figure};
use crate::form::Form;
use crate::pressure_decay::Rule;
use crate::stats::TheilSen;
use crate::{Combined, DoubtLine, Flag, Line, Outcome, RuleShown, Sheet, Table, Verdict};

/// The sheet where no slope can be drawn.
pub(super) fn without(form: Form, survey: &Survey) -> Sheet {
    let reason = match survey.rate_from {
        RateFrom::LastPeriod => {
            "Not judged: the last dry period has no two readings at different times."
        }
        RateFrom::AllPeriods => "Not judged: no dry period has two readings at different times.",
    };
    Sheet {
        verdict: Verdict::NotJudged,
        reason: reason.to_owned(),
        ..Sheet::blank(&CALCULATION, form)
    }
}

/// The sheet of what was found.
pub(super) fn sheet(form: Form, survey: &Survey, found: &Found) -> Sheet {
    let judged = judge(survey, found);
    let mut reason: Vec<String> = judged.iter().map(|judged| judged.2.clone()).collect();
    let rate = &found.rate;
    reason.push(format!(
        "Rate {} a day ({} to {} with {} % confidence), {}.",
        significant(rate.slope, 3),
        significant(rate.low, 3),
        significant(rate.high, 3),
        percent(survey.confidence),
        match survey.rate_from {
            RateFrom::AllPeriods => "all dry periods together",
            RateFrom::LastPeriod => "last dry period",
        }
    ));
    if let (Some(threshold), Some(crossing)) = (survey.threshold, &found.crossing) {
        reason.push(date_sentence(survey, found, threshold, crossing));
    }
    Sheet {
        verdict: judged.as_ref().map_or(Verdict::Computed, |judged| judged.0),
        reason: reason.join(" "),
        results: results(survey, found),
        working: working(survey, found),
        doubt: doubt(survey, found),
        combined: combined(found),
        rule: judged.map(|judged| judged.1),
        validity: VALIDITY.to_owned(),
        sources: sources(survey),
        flags: flags(survey, found),
        figure: Some(figure::figure(survey, found)),
        tables: vec![periods(survey, found)],
        ..Sheet::blank(&CALCULATION, form)
    }
}

const SEN: &str = "H. Theil, Proc. Kon. Ned. Akad. Wetensch. A 53 (1950) 386; P. K. Sen, J. Am. Stat. \
                   Assoc. 63 (1968) 1379, interval by Kendall's rank statistic";
const POOLED: &str = "several dry periods as R. M. Hirsch, J. R. Slack, R. A. Smith, Water Resour. Res. \
                      18 (1982) 107, pool seasons";
const TRIALS: &str = "JCGM 101:2008; residuals drawn anew as B. Efron, R. J. Tibshirani, An Introduction \
                      to the Bootstrap (1993), from memory";
const BEST: &str = "least of C/T + r·V·T/2, derived here: T = √(2C/(r·V)), the form of the square-root \
                    rule for lots (F. W. Harris 1913)";
const VALIDITY: &str = "Dirt that gathers evenly between rains, on mirrors that a rain or a wash cleans at \
                        once. The date is that of the line, not of a single reading, and holds as long \
                        as no rain falls and the rate stays that of the readings; beyond them it is \
                        carried on as a straight line.";

fn sources(survey: &Survey) -> Vec<String> {
    let mut sources = vec![SEN.to_owned(), POOLED.to_owned()];
    if survey.threshold.is_some() {
        sources.push(TRIALS.to_owned());
    }
    if survey.economics.is_some() {
        sources.push(BEST.to_owned());
    }
    sources
}

/// A share in percent, without needless zeros.
fn percent(share: f64) -> String {
    let text = format!("{:.3}", 100.0 * share);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The date of a place in days since the first reading, or that there is none.
fn day(found: &Found, days: f64) -> String {
    if days.is_finite() && days.abs() < FAR {
        date(found.origin + days)
    } else {
        "never".to_owned()
    }
}

/// Farther off than this, in days, is no date: thirty years.
const FAR: f64 = 11_000.0;

fn date_sentence(survey: &Survey, found: &Found, threshold: f64, crossing: &Crossing) -> String {
    let interval = match crossing.has_interval() {
        true => format!(
            " ({} to {} with {} % confidence)",
            day(found, crossing.early),
            day(found, crossing.late),
            percent(survey.confidence)
        ),
        false => ", with too few readings to say how surely".to_owned(),
    };
    let threshold = significant(threshold, 4);
    match day(found, crossing.at).as_str() {
        "never" => format!("By this rate the threshold of {threshold} is not reached."),
        on if crossing.at <= found.last => {
            format!("The threshold of {threshold} was reached on {on}{interval}.")
        }
        on => format!("The threshold of {threshold} is reached on {on}{interval}, without rain."),
    }
}

/// Whether the threshold is reached before the planned wash.
fn judge(survey: &Survey, found: &Found) -> Option<(Verdict, RuleShown, String)> {
    let planned = survey.planned?;
    let on = date(planned);
    let rule = |name: &str, text: &str, edge: Option<String>, share: Option<f64>| RuleShown {
        name: name.to_owned(),
        text: text.to_owned(),
        limit: on.clone(),
        limit_source: survey.threshold_source.clone(),
        acceptance_limit: edge,
        conformance_probability: share.map(|share| format!("{:.1}", 100.0 * share)),
    };
    let (name, text) = match survey.rule {
        Rule::Simple => (
            "simple",
            "Accepted when the line reaches the threshold on the day of the \
                                    planned wash or later.",
        ),
        Rule::Guarded => (
            "guarded",
            "Accepted when the early end of the date's interval is on the \
                                      day of the planned wash or later.",
        ),
    };
    let Some(crossing) = &found.crossing else {
        let reason = format!(
            "Not judged: there is no reading since the last {}.",
            last_event(survey).unwrap_or("event")
        );
        return Some((Verdict::NotJudged, rule(name, text, None, None), reason));
    };
    if survey.rule == Rule::Guarded && !crossing.has_interval() {
        let reason =
            "Not judged by the guarded rule: too few readings to say how sure the date is.";
        return Some((Verdict::NotJudged, rule(name, text, None, None), reason.to_owned()));
    }
    let edge = if survey.rule == Rule::Guarded { crossing.early } else { crossing.at };
    let kept = found.origin + edge >= planned;
    let verdict = if kept { Verdict::Pass } else { Verdict::Fail };
    let reason = format!(
        "The threshold is {} before the wash planned for {on}{}.",
        if kept { "not reached" } else { "reached" },
        if survey.rule == Rule::Guarded { ", guarded by the interval of the date" } else { "" }
    );
    let early = (survey.rule == Rule::Guarded).then(|| day(found, edge));
    let share = crossing.in_time.filter(|_| crossing.has_interval());
    Some((verdict, rule(name, text, early, share), reason))
}

fn last_event(survey: &Survey) -> Option<&'static str> {
    survey.periods.last()?.begun_by.map(|event| event.kind.words())
}

fn results(survey: &Survey, found: &Found) -> Vec<Outcome> {
    let number = |name: &str, meaning: &str, value: f64, unit: &str| {
        Outcome::new(name, meaning, significant(value, 6), unit)
    };
    let rate = &found.rate;
    let mut out = vec![
        number("rate", "change of cleanliness in a day", rate.slope, "1/d"),
        number("rate_low", "lower end of its interval", rate.low, "1/d"),
        number("rate_high", "upper end of its interval", rate.high, "1/d"),
        number("rate_all", "the same of all dry periods together", found.all.slope, "1/d"),
        Outcome::new("pairs", "slopes that the rate is the median of", rate.pairs.to_string(), "1"),
    ];
    let whole = found.periods.iter().filter(|period| period.line.is_some()).count();
    out.push(Outcome::new("periods", "dry periods with a slope", whole.to_string(), "1"));
    if let [one] = found.periods.as_slice()
        && let Some(tau) = one.tau
    {
        out.push(number("tau", "Kendall's τ", tau, "1"));
    }
    if let (Some(level), Some(now)) = (found.level, found.now()) {
        let meaning = format!("where the line meets {}", date(found.origin));
        out.push(number("intercept", &meaning, level, "1"));
        let meaning = format!("what the line says for {}", date(found.origin + found.last));
        out.push(number("now", &meaning, now, "1"));
    }
    if let (Some(crossing), Some(left)) = (&found.crossing, found.days_left()) {
        let threshold = "day on which the line reaches the threshold";
        out.push(Outcome::new("wash_date", threshold, day(found, crossing.at), "date"));
        if crossing.has_interval() {
            let (early, late) = (day(found, crossing.early), day(found, crossing.late));
            out.push(Outcome::new("wash_early", "early end of its interval", early, "date"));
            out.push(Outcome::new("wash_late", "late end of its interval", late, "date"));
        }
        if left.is_finite() {
            let left = number("days_left", "days from the last reading to it", left, "d");
            out.push(match crossing.has_interval() && crossing.standard.is_finite() {
                true => left.within(significant(crossing.standard, 3)),
                false => left,
            });
        }
    }
    if let Some((wash, clean)) = survey.economics
        && let Some(best) = best_interval(rate.slope, wash, clean)
    {
        out.push(number("best_interval", "days between washes at least cost", best, "d"));
        let lost = -rate.slope * best;
        out.push(number("loss_at_best", "cleanliness lost by then", lost, "1"));
    }
    out
}

fn working(survey: &Survey, found: &Found) -> Vec<Line> {
    let line = |symbol: &str, meaning: &str, formula: &str, value: f64, unit: &str| {
        Line::new(symbol, meaning, formula, significant(value, 8), unit)
    };
    let origin = date(found.origin);
    let mut lines = vec![Line::new(
        "t₀",
        "day of the first reading",
        "days t are counted from here; a day alone means its noon",
        origin,
        "date",
    )];
    let rate: &TheilSen = &found.rate;
    let within = match survey.rate_from {
        RateFrom::AllPeriods => "pairs within each dry period, never across an event",
        RateFrom::LastPeriod => "pairs within the last dry period",
    };
    lines.push(Line::new("N", "slopes", within, rate.pairs.to_string(), "1"));
    lines.push(
        line("b", "rate", "median of (χ_j − χ_i)/(t_j − t_i)", rate.slope, "1/d").sourced(SEN),
    );
    lines.push(
        line(
            "σ_S",
            "deviation of Kendall's score without a trend",
            "√(Σ(n(n − 1)(2n + 5) − the same of ties in t and in χ)/18), over the periods",
            rate.deviation,
            "1",
        )
        .sourced(POOLED),
    );
    lines.push(line(
        "S",
        "Kendall's score: pairs that rise less pairs that fall",
        "counted",
        rate.score,
        "1",
    ));
    let z = quantity::quantile(0.5 + 0.5 * survey.confidence).unwrap_or(f64::NAN);
    lines.push(line("z", "normal quantile", "for the confidence, two-sided", z, "1"));
    let low = "slope number [(N − z·σ_S)/2], [] to the nearest whole number and at least 1, smallest first";
    lines.push(line("b₁", "lower end of the rate", low, rate.low, "1/d"));
    let high = "slope number [(N + z·σ_S)/2] + 1, at most N";
    lines.push(line("b₂", "upper end of the rate", high, rate.high, "1/d"));
    if let Some(level) = found.level {
        let formula = "a = median χ − b·median t, of the last dry period";
        lines.push(line("a", "line at t = 0", formula, level, "1"));
    }
    if let (Some(threshold), Some(crossing)) = (survey.threshold, &found.crossing) {
        let typed = line("χ₀", "threshold", "as typed", threshold, "1");
        lines.push(match &survey.threshold_source {
            Some(source) => typed.sourced(source),
            None => typed,
        });
        if crossing.at.is_finite() {
            let formula = "t_w = (χ₀ − a)/b";
            lines.push(line("t_w", "days to the threshold", formula, crossing.at, "d"));
            lines.push(Line::new(
                "wash",
                "day on which the line reaches the threshold",
                "t₀ + t_w, the day that it falls into",
                day(found, crossing.at),
                "date",
            ));
        }
        lines.push(Line::new(
            "trials",
            "lines with residuals drawn anew and the shared error drawn, for the interval of t_w",
            &format!("ChaCha8 from the seed {SEED}; residuals scaled by √(n/(n − lines − 1))"),
            crossing.trials.to_string(),
            "1",
        ));
    }
    if let Some((wash, clean)) = survey.economics {
        lines.push(line("C", "cost of a wash", "as typed", wash, "currency"));
        lines.push(line("V", "what a clean day brings", "as typed", clean, "currency/d"));
        if let Some(best) = best_interval(rate.slope, wash, clean) {
            let formula = "T = √(2C/(−b·V))";
            lines.push(line("T", "best days between washes", formula, best, "d").sourced(BEST));
        }
    }
    lines
}

/// The interval's doubt in days, where every trial reached the threshold.
fn finite(found: &Found) -> Option<&Crossing> {
    found
        .crossing
        .as_ref()
        .filter(|crossing| crossing.has_interval() && crossing.standard.is_finite())
}

fn doubt(survey: &Survey, found: &Found) -> Vec<DoubtLine> {
    let Some(crossing) = finite(found) else { return Vec::new() };
    let [scatter, shared] = crossing.parts;
    let variance = scatter * scatter + shared * shared;
    let line = |source: &str, statement: String, u: String, unit: &str, days: f64| DoubtLine {
        source: source.to_owned(),
        statement,
        standard_uncertainty: u,
        unit: unit.to_owned(),
        contribution: significant(days, 3),
        contribution_unit: "d".to_owned(),
        share: if variance > 0.0 {
            format!("{:.1}", 100.0 * days * days / variance)
        } else {
            "0".to_owned()
        },
        share_of_mass: None,
    };
    let mut lines = vec![line(
        "scatter of the readings about their lines",
        format!("{} points more than the lines take", significant(crossing.spare, 3)),
        "1".to_owned(),
        "1",
        scatter,
    )];
    if let (Some(stated), Some(threshold)) = (&survey.shared, survey.threshold) {
        let u = significant(stated.of(threshold), 3);
        let source = "instrument and clean reference, shared by all points";
        lines.push(line(source, stated.text.clone(), u, "1", shared));
    }
    lines
}

fn combined(found: &Found) -> Option<Combined> {
    let crossing = finite(found)?;
    Some(Combined {
        of: "days_left".to_owned(),
        standard: significant(crossing.standard, 3),
        coverage_factor: "2".to_owned(),
        expanded: significant(2.0 * crossing.standard, 3),
        unit: "d".to_owned(),
    })
}

fn flags(survey: &Survey, found: &Found) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag =
        |code: &str, sentence: String| flags.push(Flag { code: code.to_owned(), sentence });
    if found.rate.slope >= 0.0 {
        flag(
            "not_falling",
            "The readings don't fall: look for a rain or a wash that is not listed, or another \
             clean reference."
                .to_owned(),
        );
    } else if found.rate.high >= 0.0 {
        flag(
            "not_shown",
            "With this confidence the rate can't be told from zero; the late end of the date is \
             open."
                .to_owned(),
        );
    }
    if survey.threshold.is_some() && found.level.is_none() {
        flag(
            "no_reading_since",
            format!(
                "There is no reading since the last {}, so no date can be given.",
                last_event(survey).unwrap_or("event")
            ),
        );
    }
    if let Some(left) = found.days_left()
        && left.is_finite()
        && left > found.last
    {
        flag(
            "far_ahead",
            format!(
                "The date lies {} days after the last reading, farther than the readings reach \
                 back ({} days).",
                significant(left, 3),
                significant(found.last, 3)
            ),
        );
    }
    for (number, period) in (1_u32..).zip(&found.periods) {
        if let Some(jump) = rise(&period.points) {
            flag(
                "rises_within",
                format!(
                    "In dry period {number} the value rises by {} from one reading to the next; was \
                     there a rain?",
                    significant(jump, 3)
                ),
            );
        }
    }
    if survey.economics.is_some() && found.rate.slope < 0.0 {
        flag(
            "economics",
            "The best interval takes a wash for full cleaning, the income for proportional to \
             cleanliness, and no rain."
                .to_owned(),
        );
    }
    flags
}

/// Rises within a dry period from here on look like a rain. Common practice, no source.
const RISE: f64 = 0.02;

/// The largest rise from one reading to the next, where it looks like a rain.
fn rise(points: &[(f64, f64)]) -> Option<f64> {
    points
        .iter()
        .zip(points.iter().skip(1))
        .map(|(one, next)| next.1 - one.1)
        .reduce(f64::max)
        .filter(|rise| *rise > RISE)
}

fn periods(survey: &Survey, found: &Found) -> Table {
    let rows = (1_u32..)
        .zip(survey.periods.iter().zip(&found.periods))
        .map(|(number, (period, of))| {
            let begun = period.begun_by.map_or_else(
                || "first reading".to_owned(),
                |event| format!("{} {}", event.kind.words(), date(event.day)),
            );
            let ends = |reading: Option<&super::read::Reading>| {
                reading.map_or_else(String::new, |reading| date(reading.day))
            };
            let slope = |get: &dyn Fn(&TheilSen) -> f64| {
                of.line.as_ref().map_or_else(String::new, |line| significant(get(line), 4))
            };
            vec![
                number.to_string(),
                begun,
                ends(period.readings.first()),
                ends(period.readings.last()),
                period.readings.len().to_string(),
                slope(&|line| line.slope),
                slope(&|line| line.low),
                slope(&|line| line.high),
                of.tau.map_or_else(String::new, |tau| format!("{tau:.4}")),
            ]
        })
        .collect();
    let columns = [
        "period",
        "begun by",
        "from",
        "to",
        "readings",
        "rate 1/d",
        "low 1/d",
        "high 1/d",
        "Kendall's τ",
    ];
    Table {
        name: "periods".to_owned(),
        title: "Dry periods".to_owned(),
        columns: columns.map(str::to_owned).to_vec(),
        rows,
    }
}
