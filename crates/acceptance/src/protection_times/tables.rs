//! The tables of the sheet, and its figure.

use quantity::{Duration, significant};

use super::input::Capacitors;
use super::judge::{self, Judgement};
use super::lines::Line;
use super::read::{Came, Relay, capacitors};
use super::standard;
use crate::limit::ReadLimit;
use crate::steps::{gravest, word};
use crate::{Axes, Drawn, Figure, Point, Series, Table, Verdict};

/// What was found for a line of the sheet.
pub(super) struct Tested<'a> {
    pub(super) line: &'a Line,
    pub(super) setting: Judgement,
    pub(super) points: usize,
    /// Whether a trip of the function itself was seen.
    pub(super) shown: bool,
    pub(super) verdict: Verdict,
}

pub(super) fn tested(relay: &Relay) -> Vec<Tested<'_>> {
    relay
        .lines
        .iter()
        .enumerate()
        .map(|(place, line)| {
            let of = || relay.points.iter().filter(|point| point.line == place);
            let setting = judge::setting(relay, place, line);
            let shown = of().any(|point| judge::shows_own(relay, point));
            let verdicts = of().flat_map(|point| {
                [judge::pickup(relay, point, line), judge::point(relay, point)]
                    .into_iter()
                    .flatten()
                    .map(|judged| judged.verdict)
            });
            let missing = (!shown).then_some(Verdict::NotJudged);
            let verdict = gravest(verdicts.chain([setting.verdict]).chain(missing));
            Tested { line, setting, points: of().count(), shown, verdict }
        })
        .collect()
}

/// The judgement of a loss of the grid.
pub(super) fn island(limit: Option<&ReadLimit<Duration>>, came: Came) -> Judgement {
    let judged = |time: f64| limit.map(|limit| limit.judge(Duration::from_seconds(time), None));
    match came {
        Came::Trip(time) => match judged(time) {
            Some(judged) => Judgement { verdict: judged.verdict, words: judged.sentence },
            None => {
                Judgement { verdict: Verdict::NotJudged, words: "no limit is given".to_owned() }
            }
        },
        Came::NoTrip(time) => {
            let late = limit.is_none_or(|limit| time >= limit.value.seconds());
            let verdict = if late { Verdict::Fail } else { Verdict::NotJudged };
            let words = format!("still connected after {} s", significant(time, 4));
            Judgement { verdict, words }
        }
    }
}

/// The states of the capacitor bank that were not tried.
pub(super) fn states_missing(relay: &Relay) -> Vec<&'static str> {
    let tried = |state| relay.islands.iter().any(|(other, _)| *other == state);
    if relay.islands.is_empty() || tried(Capacitors::NoneFitted) {
        return Vec::new();
    }
    [Capacitors::In, Capacitors::Out]
        .into_iter()
        .filter(|state| !tried(*state))
        .map(capacitors)
        .collect()
}

/// The judgements of a re-connection, each with what it is about.
pub(super) fn entered(relay: &Relay) -> Vec<(&'static str, Judgement)> {
    let Some(entered) = &relay.entered else { return Vec::new() };
    let mut out = Vec::new();
    if let (Some(delay), Some(limit)) = (entered.delay, &relay.enter_limit) {
        let judged = limit.judge(Duration::from_seconds(delay), None);
        out.push(("wait", Judgement { verdict: judged.verdict, words: judged.sentence }));
    } else {
        let words = "wait or its limit is missing".to_owned();
        out.push(("wait", Judgement { verdict: Verdict::NotJudged, words }));
    }
    let windows = [
        ("voltage", entered.voltage, standard::ENTER_VOLTAGE, "pu"),
        ("frequency", entered.frequency, standard::ENTER_FREQUENCY, "Hz"),
    ];
    for (name, value, (low, high), unit) in windows {
        let Some(value) = value.filter(|_| relay.category.is_some()) else { continue };
        let inside = (low..=high).contains(&value);
        out.push((
            name,
            Judgement {
                verdict: if inside { Verdict::Pass } else { Verdict::Fail },
                words: format!("{} {unit}, {low} to {high} {unit} allowed", significant(value, 5)),
            },
        ));
    }
    out
}

fn table(name: &str, title: &str, columns: &[&str], rows: Vec<Vec<String>>) -> Table {
    Table {
        name: name.to_owned(),
        title: title.to_owned(),
        columns: columns.iter().map(|column| (*column).to_owned()).collect(),
        rows,
    }
}

fn or_dash(text: Option<String>) -> String {
    text.unwrap_or_else(|| "–".to_owned())
}

pub(super) fn tables(relay: &Relay, tested: &[Tested<'_>]) -> Vec<Table> {
    let mut tables = Vec::new();
    let time = |seconds: f64| format!("{} s", significant(seconds, 5));
    if !relay.points.is_empty() {
        let rows = tested
            .iter()
            .map(|t| {
                let threshold =
                    format!("{} {}", significant(t.line.threshold, 5), t.line.kind.unit());
                vec![
                    t.line.name.clone(),
                    t.line.kind.word().to_owned(),
                    threshold,
                    time(relay.latest(t.line)),
                    t.setting.words.clone(),
                    word(t.setting.verdict).to_owned(),
                    t.points.to_string(),
                    if t.shown { "seen" } else { "not seen" }.to_owned(),
                    word(t.verdict).to_owned(),
                ]
            })
            .collect();
        let columns = [
            "function",
            "watches",
            "threshold",
            "cleared by",
            "setting",
            "setting verdict",
            "points",
            "trip",
            "verdict",
        ];
        tables.push(table("functions", "Functions on the sheet", &columns, rows));
        tables.push(points(relay));
    }
    if !relay.islands.is_empty() {
        let rows = relay
            .islands
            .iter()
            .map(|(state, came)| {
                let judged = island(relay.island_limit.as_ref(), *came);
                let (Came::Trip(seconds) | Came::NoTrip(seconds)) = *came;
                vec![
                    capacitors(*state).to_owned(),
                    time(seconds),
                    judged.words,
                    word(judged.verdict).to_owned(),
                ]
            })
            .collect();
        tables.push(table(
            "islands",
            "Loss of the grid",
            &["capacitors", "time", "found", "verdict"],
            rows,
        ));
    }
    let rows: Vec<_> = entered(relay)
        .into_iter()
        .map(|(name, judged)| vec![name.to_owned(), judged.words, word(judged.verdict).to_owned()])
        .collect();
    if !rows.is_empty() {
        let columns = ["what", "found", "verdict"];
        tables.push(table("enter_service", "Re-connection", &columns, rows));
    }
    tables
}

fn points(relay: &Relay) -> Table {
    let rows = relay
        .points
        .iter()
        .filter_map(|point| {
            let line = relay.lines.get(point.line)?;
            let unit = line.kind.unit();
            let value =
                |x: Option<f64>| or_dash(x.map(|x| format!("{} {unit}", significant(x, 5))));
            let judged = judge::point(relay, point);
            let pickup = judge::pickup(relay, point, line);
            let words: Vec<_> =
                [&pickup, &judged].into_iter().flatten().map(|j| j.words.clone()).collect();
            let verdict = gravest([&pickup, &judged].into_iter().flatten().map(|j| j.verdict));
            Some(vec![
                line.name.clone(),
                value(point.set_value.map(|typed| typed.value)),
                or_dash(point.set_time.map(|t| format!("{} s", significant(t.value, 5)))),
                value(point.pickup),
                value(point.injected),
                match point.came {
                    Some(Came::Trip(t)) => format!("trip after {} s", significant(t, 5)),
                    Some(Came::NoTrip(t)) => format!("no trip in {} s", significant(t, 5)),
                    None => "–".to_owned(),
                },
                words.join("; "),
                word(verdict).to_owned(),
            ])
        })
        .collect();
    let columns =
        ["function", "set to", "set time", "pick-up", "injected", "came", "judged", "verdict"];
    table("points", "Injection tests", &columns, rows)
}

/// Thresholds from the time on by which the machine has to be disconnected, and the points; voltage
/// where there is any, else frequency.
pub(super) fn figure(relay: &Relay) -> Option<Figure> {
    let kind = |point: &super::read::Point| relay.lines.get(point.line).map(|line| line.kind);
    let any = relay.points.iter().any(|point| {
        point.injected.is_some() && kind(point).is_some_and(super::input::Kind::of_voltage)
    });
    let of = |trip: bool| -> Vec<Point> {
        relay
            .points
            .iter()
            .filter(|point| kind(point).is_some_and(|kind| kind.of_voltage() == any))
            .filter_map(|point| {
                let value = point.injected?;
                match (point.came?, trip) {
                    (Came::Trip(t), true) | (Came::NoTrip(t), false) if t > 0.0 => {
                        Some(Point::of(t, value))
                    }
                    _ => None,
                }
            })
            .collect()
    };
    let (trips, none) = (of(true), of(false));
    if trips.is_empty() && none.is_empty() {
        return None;
    }
    let last = relay
        .points
        .iter()
        .filter_map(|point| match point.came? {
            Came::Trip(t) | Came::NoTrip(t) => Some(t),
        })
        .chain(relay.lines.iter().map(|line| relay.latest(line)))
        .filter(|time| time.is_finite())
        .fold(1.0, f64::max);
    let mut series: Vec<_> = relay
        .lines
        .iter()
        .filter(|line| line.kind.of_voltage() == any)
        .map(|line| {
            let from = relay.latest(line).max(1e-3);
            let at = vec![Point::of(from, line.threshold), Point::of(1.5 * last, line.threshold)];
            let meaning = format!("{}: disconnected beyond, from here on", line.name);
            Series::new(&line.name, &meaning, Drawn::Dashed, at)
        })
        .collect();
    if !trips.is_empty() {
        series.push(Series::new("trips", "trip", Drawn::Points, trips));
    }
    if !none.is_empty() {
        series.push(Series::new("no_trips", "no trip until then", Drawn::Crosses, none));
    }
    let y = if any { "injected voltage in pu" } else { "injected frequency in Hz" };
    let mut figure = Figure::lines("Injection tests", "time in s", y, series);
    figure.axes = Some(Axes::LogX);
    Some(figure)
}
