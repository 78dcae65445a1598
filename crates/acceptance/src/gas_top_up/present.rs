//! The sheet of the top-ups.

use quantity::{MassFlow, significant};

use super::CALCULATION;
use super::alert::Raised;
use super::course::{Course, Total};
use super::read::List;
use crate::circuit;
use crate::form::Form;
use crate::limit::Judged;
use crate::{
    Combined, DoubtLine, Drawn, Figure, Finding, Line, Outcome, Point, RuleShown, Series, Sheet,
    Table, Verdict,
};

const SEN: &str = "P. K. Sen, J. Am. Stat. Assoc. 63 (1968) 1379–1389";
/// g/d in one kg/d.
const GRAMS: f64 = 1e3;
const SECONDS_IN_A_DAY: f64 = 86_400.0;

/// The sheet of a whole list.
pub(super) fn sheet(form: Form, list: &List, course: &Course, raised: &Raised) -> Sheet {
    let judged = judged(list, course);
    let (verdict, reason) = verdict(list, course, raised, judged.as_ref());
    let standard = course.total.as_ref().and_then(|total| total.standard);
    Sheet {
        verdict,
        reason,
        results: results(list, course, raised),
        working: working(list, course),
        combined: standard.map(|standard| Combined {
            of: "loss_total".to_owned(),
            standard: significant(standard, 3),
            coverage_factor: "2".to_owned(),
            expanded: significant(2.0 * standard, 3),
            unit: "kg".to_owned(),
        }),
        doubt: course.total.as_ref().map(doubt).unwrap_or_default(),
        rule: rule(list, judged),
        validity: validity(list),
        sources: sources(list),
        flags: course.flags.clone(),
        figure: Some(figure(course, raised)),
        tables: vec![table(list, course, raised)],
        findings: findings(list, raised),
        ..Sheet::blank(&CALCULATION, form)
    }
}

/// The budget of the total loss, with the weighing as a line.
fn doubt(total: &Total) -> Vec<DoubtLine> {
    let mut lines = total.doubt.as_ref().map(|budget| budget.lines.clone()).unwrap_or_default();
    if total.weighing > 0.0 {
        let u = significant(total.weighing, 4);
        lines.push(DoubtLine {
            source: "weighing, all top-ups".to_owned(),
            statement: "root of the sum of squares".to_owned(),
            standard_uncertainty: u.clone(),
            unit: "kg".to_owned(),
            contribution: u,
            contribution_unit: "kg".to_owned(),
            share: String::new(),
            share_of_mass: None,
        });
    }
    if let Some(whole) = total.standard {
        for line in &mut lines {
            let part = line.contribution.parse::<f64>().unwrap_or(f64::NAN) / whole;
            line.share = format!("{:.1}", 100.0 * part * part);
        }
    }
    lines
}

/// Mean consumption in kg/d with its standard uncertainty.
fn rate(course: &Course) -> Option<(f64, Option<f64>)> {
    let total = course.total.as_ref()?;
    Some((total.loss / total.days, total.standard.map(|u| u / total.days)))
}

fn judged(list: &List, course: &Course) -> Option<Judged> {
    let limit = list.rate_limit.as_ref()?;
    let (rate, u) = rate(course)?;
    let flow = MassFlow::from_kilograms_per_second(rate / SECONDS_IN_A_DAY);
    Some(limit.judge(flow, u.map(|u| u / SECONDS_IN_A_DAY)))
}

fn verdict(
    list: &List,
    course: &Course,
    raised: &Raised,
    judged: Option<&Judged>,
) -> (Verdict, String) {
    let mut sentences = Vec::new();
    let count = course.intervals.iter().filter(|interval| interval.counted).count();
    if let Some(median) = course.median {
        sentences.push(format!(
            "{} top-ups, median interval {} d of {count}.",
            list.top_ups.len(),
            significant(median, 3)
        ));
    }
    if let Some((rate, u)) = rate(course) {
        let doubt =
            u.map_or_else(String::new, |u| format!(" ± {}", significant(2.0 * GRAMS * u, 2)));
        sentences.push(format!("Mean consumption {}{doubt} g/d.", significant(GRAMS * rate, 3)));
    }
    let mut verdicts = Vec::new();
    if list.short.is_some() || list.many.is_some() || list.much.is_some() {
        // The first of those that stand: when somebody should have looked.
        let standing = raised.alerts.iter().find(|alert| raised.stands(alert));
        if let Some(alert) = standing {
            let when = list.top_ups.get(alert.place).map_or("", |one| one.text.as_str());
            sentences.push(format!("Alert on {when}: {} Search for the leak.", alert.sentence));
            verdicts.push(Verdict::Fail);
        } else if raised.silent.is_empty() {
            sentences.push("No alert stands.".to_owned());
            verdicts.push(Verdict::Pass);
        } else {
            sentences.push(format!("Not judged: {}.", raised.silent.join("; ")));
            verdicts.push(Verdict::NotJudged);
        }
    }
    if list.rate_limit.is_some() {
        match judged {
            Some(judged) => {
                sentences.push(format!("Mean consumption of {}.", judged.sentence));
                verdicts.push(judged.verdict);
            }
            None => {
                sentences.push("The consumption is not judged: no mass is known.".to_owned());
                verdicts.push(Verdict::NotJudged);
            }
        }
    }
    let whole = [Verdict::Fail, Verdict::NotJudged, Verdict::Pass]
        .into_iter()
        .find(|verdict| verdicts.contains(verdict))
        .unwrap_or(Verdict::Computed);
    (whole, sentences.join(" "))
}

fn results(list: &List, course: &Course, raised: &Raised) -> Vec<Outcome> {
    let mut out = vec![Outcome::new("top_ups", "top-ups", list.top_ups.len().to_string(), "1")];
    let mut add = |name: &str, meaning: &str, value: String, unit: &str, u: Option<f64>| {
        let outcome = Outcome::new(name, meaning, value, unit);
        out.push(match u {
            Some(u) => outcome.within(significant(u, 3)),
            None => outcome,
        });
    };
    let days = |days: f64| significant(days, 4);
    if let Some(median) = course.median {
        add("median_interval", "median of the counted intervals", days(median), "d", None);
    }
    if let Some(last) = course.intervals.last() {
        add("last_interval", "last interval", days(last.days), "d", None);
    }
    if let Some(total) = &course.total {
        let meaning = "loss over the intervals whose loss is known";
        add("loss_total", meaning, significant(total.loss, 5), "kg", total.standard);
    }
    if let Some((rate, u)) = rate(course) {
        let value = significant(GRAMS * rate, 5);
        add("rate", "mean consumption", value, "g/d", u.map(|u| GRAMS * u));
    }
    if let Some(trend) = course.trend {
        let grams = |value: f64| significant(GRAMS * value, 5);
        let meaning = "consumption by the median of all slopes of the summed loss";
        add("trend", meaning, grams(trend.slope), "g/d", None);
        add("trend_low", "bound below it, 95 % one-sided", grams(trend.low), "g/d", None);
        add("trend_high", "bound above it, 95 % one-sided", grams(trend.high), "g/d", None);
    }
    let last = course.intervals.iter().rev().find(|interval| interval.counted);
    if let Some((loss, days)) = last.and_then(|last| last.loss.map(|loss| (loss, last.days))) {
        let value = significant(GRAMS * loss / days, 5);
        add("last_rate", "consumption in the last counted interval", value, "g/d", None);
    }
    if list.short.is_some() || list.many.is_some() || list.much.is_some() {
        let standing = raised.alerts.iter().find(|alert| raised.stands(alert));
        let on = standing.and_then(|alert| list.top_ups.get(alert.place));
        let text = on.map_or_else(|| "none".to_owned(), |one| one.text.clone());
        add("alert_on", "first top-up at which a standing alert was raised", text, "", None);
    }
    out
}

fn working(list: &List, course: &Course) -> Vec<Line> {
    let mut lines = Vec::new();
    if let Some((gas, parts)) = &list.circuit {
        lines.extend(gas.equation().constants());
        lines.extend(circuit::volume_lines(parts));
        for (place, one) in list.top_ups.iter().enumerate() {
            for (state, side) in [(&one.before, "b"), (&one.after, "a")] {
                if let Some(state) = state {
                    let n = format!("_{}{side}", place + 1);
                    lines.extend(circuit::lines(*gas, parts, &n, state));
                }
            }
        }
    }
    for (place, added) in course.added.iter().enumerate() {
        let (Some(added), Some(one)) = (added, list.top_ups.get(place)) else { continue };
        let n = place + 1;
        let formula = if one.weighed.is_some() {
            "as weighed".to_owned()
        } else {
            format!("Δm_{n} = m_{n}a − m_{n}b")
        };
        let meaning = format!("mass added in top-up {n}");
        lines.push(Line::new(&format!("Δm_{n}"), &meaning, &formula, significant(*added, 7), "kg"));
    }
    for interval in &course.intervals {
        let (n, last) = (interval.end + 1, interval.end);
        let meaning = format!("interval before top-up {n}");
        let formula = format!("D_{n} = t_{n} − t_{last}");
        let value = significant(interval.days, 7);
        lines.push(Line::new(&format!("D_{n}"), &meaning, &formula, value, "d"));
        if let Some(loss) = interval.loss.filter(|_| interval.counted) {
            let formula = if interval.by_contents {
                format!("L_{n} = m_{last}a − m_{n}b")
            } else {
                format!("L_{n} = Δm_{n}")
            };
            let meaning = format!("loss before top-up {n}");
            lines.push(Line::new(
                &format!("L_{n}"),
                &meaning,
                &formula,
                significant(loss, 7),
                "kg",
            ));
        }
    }
    let mut add = |symbol: &str, meaning: &str, formula: &str, value: f64, unit: &str| {
        lines.push(Line::new(symbol, meaning, formula, significant(value, 7), unit));
    };
    if let Some(median) = course.median {
        add("D_med", "median of the counted intervals", "middle of the D in order", median, "d");
    }
    if let Some(total) = &course.total {
        add("L", "total loss", "L = ΣL_i of the counted intervals", total.loss, "kg");
        add("D", "their time", "D = ΣD_i of the same", total.days, "d");
        add("r", "mean consumption", "r = L/D", GRAMS * total.loss / total.days, "g/d");
    }
    if let Some(trend) = course.trend {
        let formula = "median of (S_j − S_i)/(t_j − t_i) over all pairs, S the sum of the losses";
        let value = significant(GRAMS * trend.slope, 7);
        let line = Line::new("r_s", "trend of the consumption", formula, value, "g/d");
        lines.push(line.sourced(SEN));
    }
    lines
}

fn rule(list: &List, judged: Option<Judged>) -> Option<RuleShown> {
    let mut texts = Vec::new();
    if let Some(short) = list.short {
        texts.push(format!(
            "{} intervals in a row of at most {} % of the median of those before{}, which needs {} of \
             them",
            short.in_a_row,
            significant(100.0 * short.share, 3),
            short.window.map_or_else(String::new, |d| format!(" in {} d", significant(d, 3))),
            short.earlier
        ));
    }
    if let Some(many) = list.many {
        texts.push(match many.within {
            Some(d) => format!("{} top-ups within {} d", many.top_ups, significant(d, 3)),
            None => format!("{} top-ups since the last service", many.top_ups),
        });
    }
    if let Some(much) = list.much {
        texts.push(format!(
            "a loss above {} kg{}",
            significant(much.mass, 4),
            much.within.map_or_else(String::new, |d| format!(" within {} d", significant(d, 3)))
        ));
    }
    let alerts = (!texts.is_empty()).then(|| texts.join("; or "));
    match (judged, alerts) {
        (Some(judged), Some(alerts)) => Some(RuleShown {
            text: format!("{} An alert is raised by {alerts}.", judged.rule.text),
            ..judged.rule
        }),
        (Some(judged), None) => Some(judged.rule),
        (None, Some(alerts)) => Some(RuleShown {
            name: "alert".to_owned(),
            text: "An alert is raised at a top-up when a rule holds with what was known then; it \
                   stands until a fill after a repair."
                .to_owned(),
            limit: alerts,
            limit_source: list.source.clone(),
            acceptance_limit: None,
            conformance_probability: None,
        }),
        (None, None) => None,
    }
}

fn validity(list: &List) -> String {
    let mut text = "A list without gaps: a top-up that is not in it makes an interval long and hides \
                    a leak. Bounds of the trend take the sums for independent, which neighbours are \
                    not: they are narrow."
        .to_owned();
    if let Some((gas, _)) = &list.circuit {
        let equation = gas.equation();
        text.push_str(&format!(
            " Rigid parts with one gas. {}: {}; {}.",
            gas.name(),
            equation.range(),
            equation.accuracy()
        ));
    }
    text
}

fn sources(list: &List) -> Vec<String> {
    let mut out = vec![SEN.to_owned()];
    out.extend(list.circuit.as_ref().map(|(gas, _)| gas.equation().source().to_owned()));
    out
}

fn figure(course: &Course, raised: &Raised) -> Figure {
    let point = |at: &(f64, f64)| Point::of(at.0, GRAMS * at.1);
    let mut steps = Vec::new();
    let mut before = None;
    for at in &course.sums {
        if let Some(height) = before {
            steps.push(Point::of(at.0, GRAMS * height));
        }
        steps.push(point(at));
        before = Some(at.1);
    }
    let known = course.total.is_some();
    let (title, y) = if known {
        ("Gas lost since the first top-up", "sum of the losses in g")
    } else {
        ("Top-ups; no mass is known", "number of top-ups")
    };
    let mut series = Vec::new();
    if known {
        series.push(Series::new("lost", "sum of the losses", Drawn::Thick, steps));
        if let (Some(total), Some(last)) = (&course.total, course.sums.last()) {
            let end = (last.0, total.loss / total.days * last.0);
            let line = vec![Point::of(0.0, 0.0), point(&end)];
            series.push(Series::new("mean", "mean consumption", Drawn::Dashed, line));
        }
        let points = course.sums.iter().map(point).collect();
        series.push(Series::new("top_ups", "top-ups", Drawn::Points, points));
    } else {
        let points = course
            .sums
            .iter()
            .enumerate()
            .map(|(place, at)| Point::of(at.0, crate::stats::count(place + 1)))
            .collect();
        series.push(Series::new("top_ups", "top-ups", Drawn::Points, points));
    }
    let alerted: Vec<Point> = raised
        .alerts
        .iter()
        .filter_map(|alert| course.sums.get(alert.place).map(|at| (alert.place, at)))
        .map(|(place, at)| {
            let height = if known { GRAMS * at.1 } else { crate::stats::count(place + 1) };
            Point::of(at.0, height)
        })
        .collect();
    if !alerted.is_empty() {
        series.push(Series::new("alerts", "top-ups that raised an alert", Drawn::Crosses, alerted));
    }
    Figure::lines(title, "time since the first top-up in d", y, series)
}

fn table(list: &List, course: &Course, raised: &Raised) -> Table {
    let text = |value: Option<f64>, digits: usize| {
        value.map_or_else(String::new, |value| significant(value, digits))
    };
    let rows = list
        .top_ups
        .iter()
        .enumerate()
        .map(|(place, one)| {
            let interval = place.checked_sub(1).and_then(|before| course.intervals.get(before));
            let loss = interval.filter(|interval| interval.counted).and_then(|i| i.loss);
            let rate = loss.zip(interval).map(|(loss, i)| GRAMS * loss / i.days);
            let alerts: Vec<&str> = raised
                .alerts
                .iter()
                .filter(|alert| alert.place == place)
                .map(|alert| alert.rule)
                .collect();
            vec![
                (place + 1).to_string(),
                one.text.clone(),
                text(interval.map(|interval| interval.days), 4),
                text(course.added.get(place).copied().flatten(), 4),
                text(course.added_doubt.get(place).copied().flatten(), 2),
                text(loss, 4),
                text(rate, 4),
                one.reason.map_or_else(String::new, |reason| reason.text().to_owned()),
                alerts.join(", "),
            ]
        })
        .collect();
    let columns = [
        "top-up",
        "when",
        "interval d",
        "added kg",
        "u(added) kg",
        "lost kg",
        "rate g/d",
        "reason",
        "alert",
    ];
    Table {
        name: "top_ups".to_owned(),
        title: "Top-ups".to_owned(),
        columns: columns.map(str::to_owned).to_vec(),
        rows,
    }
}

fn findings(list: &List, raised: &Raised) -> Vec<Finding> {
    raised
        .alerts
        .iter()
        .map(|alert| {
            let when = list.top_ups.get(alert.place).map_or("", |one| one.text.as_str());
            let end = if raised.stands(alert) { "" } else { " Repaired since." };
            Finding {
                code: alert.rule.to_owned(),
                place: format!("top-up of {when}"),
                sentence: format!("{}{end}", alert.sentence),
            }
        })
        .collect()
}
