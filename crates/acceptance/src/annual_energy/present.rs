//! The sheet.

use quantity::{Energy, significant};

use super::CALCULATION;
use super::input::GapRule;
use super::read::Case;
use super::sum::{Stretch, Sum};
use crate::doubt::{Budget, Part, first_order};
use crate::form::Form;
use crate::steps::{flag, outcome, step};
use crate::{Bar, Drawn, Figure, Flag, Line, Point, Series, Sheet, Table, Verdict};

/// Joules in a kilowatt hour.
const KILOWATT_HOUR: f64 = 3.6e6;

/// Makes the sheet of a year.
pub(super) fn sheet(form: Form, case: &Case) -> Sheet {
    let plain = case.dish.sum(&case.time, 1.0, 1.0);
    let scale = match case.gaps {
        Some(GapRule::Scaled) if plain.hours > 0.0 => case.hours / plain.hours,
        _ => 1.0,
    };
    let sum = scaled(&plain, scale);
    let budget = budget(case, scale);
    let standard = budget.as_ref().map(|budget| budget.standard);
    let judged = case.limit.as_ref().map(|limit| {
        limit.judge(Energy::from_joules(sum.net() * KILOWATT_HOUR), standard.map(joules))
    });
    let whole = case.missing == 0 || case.gaps == Some(GapRule::Scaled);
    let verdict = match &judged {
        None => Verdict::Computed,
        Some(judged) if whole => judged.verdict,
        // With steps left out the energy of the year is not known, unless what is known suffices.
        Some(judged) if judged.verdict == Verdict::Pass => Verdict::Pass,
        Some(_) => Verdict::NotJudged,
    };
    let net = format!("{} kWh net", significant(sum.net(), 6));
    let reason = match (&judged, verdict) {
        (Some(judged), Verdict::NotJudged) if judged.verdict == Verdict::Fail => format!(
            "Not judged: {net} of the known steps alone is below the limit, and {} of {} values are \
             missing.",
            case.missing, case.steps
        ),
        (Some(judged), _) => format!("Net energy {}.", judged.sentence),
        (None, _) => format!("{net} in {} h, running {} h.", hours(sum.hours), hours(sum.on)),
    };
    let table = months(case, scale);
    Sheet {
        verdict,
        reason,
        results: results(case, &sum, standard),
        working: working(case, &sum, scale),
        doubt: budget.as_ref().map(|budget| budget.lines.clone()).unwrap_or_default(),
        combined: budget.as_ref().map(|budget| budget.combined("net")),
        rule: judged.map(|judged| judged.rule),
        validity: "The line of net power over irradiance as measured on this dish, the same all \
                   year; irradiance as the mean of each step. Start and stop losses, clouds shorter \
                   than a step, wind stops and the heat of the day are not in it."
            .to_owned(),
        sources: vec![
            "energy as the sum of power over steps; JCGM 100:2008 (GUM), 5.1.2, for the doubt"
                .to_owned(),
        ],
        flags: flags(case, &sum, standard),
        figure: figure(case, table.as_ref()),
        tables: table.map(|(table, _)| table).into_iter().collect(),
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn joules(kilowatt_hours: f64) -> f64 {
    kilowatt_hours * KILOWATT_HOUR
}

fn hours(value: f64) -> String {
    significant(value, 6)
}

fn scaled(sum: &Sum, by: f64) -> Sum {
    Sum {
        hours: by * sum.hours,
        on: by * sum.on,
        irradiation: by * sum.irradiation,
        irradiation_on: by * sum.irradiation_on,
        made: by * sum.made,
        drawn: by * sum.drawn,
        used: by * sum.used,
    }
}

/// The doubt of the net energy; none where nothing is stated.
fn budget(case: &Case, scale: f64) -> Option<Budget> {
    let stated = [
        ("irradiance of the year", &case.irradiance_doubt),
        ("power that the line gives", &case.line_doubt),
    ];
    if stated.iter().all(|(_, doubt)| doubt.is_none()) {
        return None;
    }
    let parts: Vec<Part> = stated
        .into_iter()
        .map(|(source, doubt)| Part {
            source: source.to_owned(),
            statement: doubt.as_ref().map_or("not stated", |doubt| &doubt.text).to_owned(),
            value: 1.0,
            standard: doubt.as_ref().map_or(0.0, |doubt| doubt.of(1.0)),
            unit: "1",
        })
        .collect();
    Some(first_order(&parts, "kWh", |factors| {
        let factor = |place: usize| factors.get(place).copied().unwrap_or(1.0);
        scale * case.dish.sum(&case.time, factor(0), factor(1)).net()
    }))
}

fn results(case: &Case, sum: &Sum, standard: Option<f64>) -> Vec<crate::Outcome> {
    let net = outcome("net", "net energy", sum.net(), "kWh");
    let mut results = vec![
        match standard {
            Some(u) => net.within(significant(u, 3)),
            None => net,
        },
        outcome("made", "net energy while running", sum.made, "kWh"),
        outcome("drawn", "energy drawn while not running", sum.drawn, "kWh"),
        outcome("on_hours", "hours with enough sun", sum.on, "h"),
        outcome("irradiation", "direct irradiation", sum.irradiation, "kWh/m²"),
        outcome("irradiation_on", "direct irradiation while running", sum.irradiation_on, "kWh/m²"),
    ];
    if let Some(share) = sum.own_share() {
        results.push(outcome("own_share", "own use over everything made", 100.0 * share, "%"));
    }
    if let Some(rated) = case.rated {
        let factor = 100.0 * sum.net() / (rated * sum.hours);
        results.push(outcome("capacity_factor", "capacity factor", factor, "%"));
    }
    if let Some(area) = case.area.filter(|_| sum.irradiation > 0.0) {
        let efficiency = 100.0 * sum.net() / (area * sum.irradiation);
        results.push(outcome(
            "efficiency",
            "net energy over all light on the mirrors",
            efficiency,
            "%",
        ));
    }
    results
}

fn working(case: &Case, sum: &Sum, scale: f64) -> Vec<Line> {
    let dish = &case.dish;
    let from = if case.threshold_from_line { "G₀ = −a/b" } else { "as typed" };
    let mut lines = vec![
        step("a", "net power of the line at no irradiance", "as typed", dish.at_zero, "kW"),
        step("b", "rise of the line", "as typed, for each W/m²", dish.rise, "kW/(W/m²)"),
        step("G₀", "irradiance from which it runs", from, dish.runs_from, "W/m²"),
        step("P_sb", "drawn while not running", "as typed", dish.standby, "kW"),
        step("χ", "cleanliness", "as typed, or 1", dish.cleanliness, "1"),
        step("A", "availability", "as typed, or 1", dish.availability, "1"),
    ];
    if let Some(largest) = dish.largest {
        lines.push(step("P_max", "largest net power", "as typed", largest, "kW"));
    }
    if dish.own_use > 0.0 {
        lines.push(step("P_run", "own use while running", "as typed", dish.own_use, "kW"));
    }
    if scale > 1.0 {
        lines.push(step("s", "known steps scaled to the whole time", "t/t_known", scale, "1"));
    }
    lines.extend([
        step("t", "time", "ΣΔt", sum.hours, "h"),
        step("t_on", "time with χ·G ≥ G₀", "ΣΔt there", sum.on, "h"),
        step("H", "direct irradiation", "ΣG·Δt, G above zero", sum.irradiation, "kWh/m²"),
        step(
            "E_on",
            "net energy while running",
            "E_on = A·Σclip(a + b·χ·G, 0, P_max)·Δt",
            sum.made,
            "kWh",
        ),
        step(
            "E_sb",
            "energy drawn while not running",
            "E_sb = P_sb·(t − t_on + (1 − A)·t_on)",
            sum.drawn,
            "kWh",
        ),
        step("E_net", "net energy", "E_net = E_on − E_sb", sum.net(), "kWh"),
    ]);
    lines
}

fn flags(case: &Case, sum: &Sum, standard: Option<f64>) -> Vec<Flag> {
    let mut flags = Vec::new();
    if case.missing > 0 {
        let rule = match case.gaps {
            Some(GapRule::Scaled) => "the known ones stand for them",
            _ => "they are left out, so that the energy is too small",
        };
        flags.push(flag(
            "missing_values",
            format!("{} of {} values are missing; {rule}.", case.missing, case.steps),
        ));
    }
    if !(8000.0..=8800.0).contains(&sum.hours) {
        flags.push(flag(
            "not_a_year",
            format!("The time is {} h, not a year of 8 760 h.", hours(sum.hours)),
        ));
    }
    if standard.is_none() {
        flags.push(flag(
            "doubt_not_stated",
            "No uncertainty of irradiance or line is stated; the result carries none. Years differ \
             from each other by more than instruments do.",
        ));
    }
    if case.dish.own_use <= 0.0 {
        flags.push(flag(
            "own_use_not_stated",
            "The own use while running is not stated: the share holds only what is drawn while the \
             dish does not run.",
        ));
    }
    flags
}

/// The months with their net energy in kWh.
fn months(case: &Case, scale: f64) -> Option<(Table, Vec<(String, f64)>)> {
    let mut groups: Vec<(String, Vec<Stretch>)> = Vec::new();
    for (month, stretch) in case.months.iter().zip(&case.time) {
        match groups.last_mut() {
            Some((last, group)) if last == month => group.push(*stretch),
            _ => groups.push((month.clone(), vec![*stretch])),
        }
    }
    if groups.is_empty() {
        return None;
    }
    let mut energies = Vec::new();
    let rows = groups
        .into_iter()
        .map(|(month, group)| {
            let sum = scaled(&case.dish.sum(&group, 1.0, 1.0), scale);
            energies.push((month.clone(), sum.net()));
            let cell = |value: f64| format!("{value:.1}");
            vec![
                month,
                cell(sum.hours),
                cell(sum.on),
                cell(sum.irradiation),
                cell(sum.made),
                cell(sum.drawn),
                cell(sum.net()),
            ]
        })
        .collect();
    let columns =
        ["month", "h", "h running", "irradiation kWh/m²", "made kWh", "drawn kWh", "net kWh"];
    let table = Table {
        name: "months".to_owned(),
        title: "Months".to_owned(),
        columns: columns.map(str::to_owned).into(),
        rows,
    };
    Some((table, energies))
}

/// Bars for the months where they are known; else how long the power is at least so high.
fn figure(case: &Case, months: Option<&(Table, Vec<(String, f64)>)>) -> Option<Figure> {
    if let Some((_, energies)) = months.filter(|(_, energies)| energies.len() > 1) {
        let bar = |(month, energy): &(String, f64)| Bar {
            name: month.clone(),
            meaning: month.clone(),
            value: format!("{energy:.1}"),
            unit: "kWh".to_owned(),
        };
        let mut figure = Figure::lines("Net energy of each month", "", "", Vec::new());
        figure.bars = energies.iter().map(bar).collect();
        return Some(figure);
    }
    let mut steps: Vec<(f64, f64)> = case
        .time
        .iter()
        .map(|stretch| {
            let power = case.dish.power(stretch.irradiance);
            (power.unwrap_or(-case.dish.standby), stretch.hours)
        })
        .collect();
    steps.sort_by(|one, other| other.0.total_cmp(&one.0));
    let whole: f64 = steps.iter().map(|(_, hours)| hours).sum();
    let mut points = Vec::new();
    let (mut at, mut shown) = (0.0, f64::NEG_INFINITY);
    for (power, hours) in steps {
        if at - shown >= whole / 200.0 || points.is_empty() {
            points.push(Point::of(at, power));
            shown = at;
        }
        at += hours;
        if at - shown >= whole / 200.0 {
            points.push(Point::of(at, power));
        }
    }
    (points.len() > 1).then(|| {
        Figure::lines(
            "How long the net power is at least so high",
            "time in h",
            "net power in kW",
            vec![Series::new("duration", "net power", Drawn::Thick, points)],
        )
    })
}
