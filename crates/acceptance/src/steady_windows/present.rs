//! The sheet: windows, points for a line, stretches left out, figure.

use quantity::significant;

use super::CALCULATION;
use super::grid::Steps;
use super::read::{Case, Change};
use super::select::{Means, Selection, Stretch, Why, Window};
use crate::form::Form;
use crate::performance_run::intervals::Stats;
use crate::stats::count;
use crate::steps::{flag, step};
use crate::time::Moment;
use crate::{Drawn, Figure, Flag, Line, Outcome, Point, Series, Sheet, Table, Verdict};

/// The most points of a curve.
const MOST_POINTS: usize = 480;

/// The whole sheet.
pub(super) fn sheet(form: Form, case: &Case, steps: &Steps, selection: &Selection) -> Sheet {
    let asked = case.limits.windows;
    let found = selection.windows.len();
    let enough = asked.is_none_or(|asked| usize::try_from(asked).is_ok_and(|asked| found >= asked));
    let counts = format!(
        "{found} steady windows, {} of {} in all",
        length(inside(selection), case.grid),
        length(steps.list.len(), case.grid)
    );
    let reason = match asked {
        Some(asked) if !enough => {
            format!("Not judged: {counts}, and {asked} windows are asked for; measure on.")
        }
        _ => format!("{counts}."),
    };
    Sheet {
        verdict: if enough { Verdict::Computed } else { Verdict::NotJudged },
        reason,
        results: results(case, steps, selection),
        working: working(case, steps, selection),
        validity: "Series of equal steps, each value a mean over its step; windows on a common \
                   grid. Steady means within the limits of the input and nothing else: that the \
                   machine itself was in equilibrium has to be covered by the settling time."
            .to_owned(),
        sources: vec![
            "limits: as the input says".to_owned(),
            "grid of means and counts: as performance-run".to_owned(),
        ],
        flags: flags(case, selection),
        figure: Some(figure(case, steps, selection)),
        tables: vec![
            windows(case, steps, selection),
            points(case, steps, selection),
            rejected(case, steps, selection),
        ],
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn inside(selection: &Selection) -> usize {
    selection.windows.iter().map(|window| window.to - window.from).sum()
}

/// A number of steps as a length of time.
fn length(steps: usize, grid: i64) -> String {
    let seconds = count(steps) * Moment { seconds: grid, offset: 0 }.unix();
    if seconds < 60.0 {
        format!("{} s", significant(seconds, 3))
    } else {
        let minutes = seconds / 60.0;
        let text = format!("{minutes:.1}");
        format!("{} min", text.trim_end_matches(".0"))
    }
}

fn moment(case: &Case, steps: &Steps, place: usize) -> String {
    let slot = steps.first + i64::try_from(place).unwrap_or(0);
    Moment { seconds: slot * case.grid, offset: case.irradiance.offset }.text()
}

/// The mean over all windows, each by its length.
fn mean(selection: &Selection, of: impl Fn(&Means) -> &Stats) -> Option<f64> {
    let (mut sum, mut steps) = (0.0, 0.0);
    for window in &selection.windows {
        let value = of(&window.means).mean()?;
        let n = count(window.to - window.from);
        sum += n * value;
        steps += n;
    }
    (steps > 0.0).then(|| sum / steps)
}

fn results(case: &Case, steps: &Steps, selection: &Selection) -> Vec<Outcome> {
    let minutes =
        |steps: usize| count(steps) * Moment { seconds: case.grid, offset: 0 }.unix() / 60.0;
    let whole =
        |name: &str, meaning: &str, n: usize| Outcome::new(name, meaning, n.to_string(), "1");
    let result = |name: &str, meaning: &str, value: f64, unit: &str| {
        Outcome::new(name, meaning, significant(value, 6), unit)
    };
    let mut out = vec![
        whole("windows", "steady windows", selection.windows.len()),
        result("steady_time", "time within them", minutes(inside(selection)), "min"),
        result("whole_time", "time of the series", minutes(steps.list.len()), "min"),
        whole("rejected", "stretches left out", selection.rejected.len()),
    ];
    let missing = selection.windows.iter().map(|window| window.means.missing).sum();
    out.push(whole("missing_steps", "steps within windows without a value", missing));
    let irradiance = mean(selection, |means| &means.both[0]);
    let power = mean(selection, |means| &means.both[1]);
    if let (Some(irradiance), Some(power)) = (irradiance, power) {
        let meaning = "mean irradiance of the windows, by their length";
        out.push(result("mean_irradiance", meaning, irradiance, "W/m²"));
        let meaning = "mean power of the windows, by their length";
        out.push(result("mean_power", meaning, power / 1e3, "kW"));
    }
    out
}

fn working(case: &Case, steps: &Steps, selection: &Selection) -> Vec<Line> {
    let typed = &case.typed;
    let source = typed.source.as_deref().unwrap_or("no source was given");
    let given = |symbol: &str, meaning: &str, value: &Option<String>| {
        let value = value.clone().unwrap_or_else(|| "none".to_owned());
        Line::new(symbol, meaning, "limit as typed", value, "").sourced(source)
    };
    let seconds = Moment { seconds: case.grid, offset: 0 }.unix();
    let formula = "the longer of the steps of irradiance and power";
    let mut out = vec![
        step("Δt", "step of the grid", formula, seconds, "s"),
        step("n", "steps of the grid", "", count(steps.list.len()), "1"),
        given("G_min", "irradiance of every step, at least", &typed.minimum_irradiance),
        given("ΔG", "distance of irradiance from the window's mean", &typed.irradiance_change),
        given("t_s", "settling time before a window", &typed.settle),
        given("t_min", "shortest window", &typed.minimum_length),
        given("t_max", "longest window", &typed.maximum_length),
        given("ΔT", "distance of air temperature from its mean", &typed.ambient_change),
        given("v", "mean wind of a window, at most", &typed.wind),
        given("t_gap", "longest gap bridged", &typed.longest_gap),
        given("m", "share of a window that may be missing", &typed.missing),
    ];
    let inside = count(inside(selection));
    out.push(step("N", "windows", "see the table", count(selection.windows.len()), "1"));
    let formula = "sum of the lengths, see the table";
    out.push(step("Σn", "steps within windows", formula, inside, "1"));
    let formula = "n − Σn, see the table of what was left out";
    out.push(step("", "steps left out", formula, count(steps.list.len()) - inside, "1"));
    out
}

fn flags(case: &Case, selection: &Selection) -> Vec<Flag> {
    let mut flags = Vec::new();
    if !case.clocks_known {
        flags.push(flag(
            "clocks_not_compared",
            "The offsets of the clocks are not both stated; a lag between irradiance and power \
             spoils short windows.",
        ));
    }
    if case.on_sun.is_none() {
        flags.push(flag(
            "tracking_not_known",
            "No series says whether the dish was on the sun; windows may hold defocused stretches.",
        ));
    }
    if case.typed.source.is_none() {
        flags.push(flag("limits_without_source", "It is not said where the limits come from."));
    }
    if selection.windows.is_empty() {
        flags.push(flag("no_window", "No window is steady within the limits."));
    }
    flags
}

fn cell(value: Option<f64>, digits: usize) -> String {
    value.map_or_else(String::new, |value| significant(value, digits))
}

fn windows(case: &Case, steps: &Steps, selection: &Selection) -> Table {
    let columns = [
        "beginning",
        "end",
        "length",
        "steps",
        "missing",
        "irradiance W/m²",
        "lowest W/m²",
        "highest W/m²",
        "power kW",
        "air °C",
        "wind m/s",
    ];
    let row = |window: &Window| {
        let means = &window.means;
        vec![
            moment(case, steps, window.from),
            moment(case, steps, window.to),
            length(window.to - window.from, case.grid),
            (window.to - window.from).to_string(),
            means.missing.to_string(),
            cell(means.both[0].mean(), 6),
            significant(means.irradiance.low, 5),
            significant(means.irradiance.high, 5),
            cell(means.both[1].mean().map(|watts| watts / 1e3), 6),
            cell(means.ambient.mean().map(|kelvins| kelvins - 273.15), 4),
            cell(means.wind.mean(), 4),
        ]
    };
    Table {
        name: "windows".to_owned(),
        title: "Steady windows".to_owned(),
        columns: columns.map(str::to_owned).to_vec(),
        rows: selection.windows.iter().map(row).collect(),
    }
}

/// Columns are the fields of a point of `performance-line`, cells their texts.
fn points(case: &Case, steps: &Steps, selection: &Selection) -> Table {
    let row = |window: &Window| {
        let [irradiance, power] = &window.means.both;
        let (irradiance, power) = (irradiance.mean()?, power.mean()?);
        Some(vec![
            moment(case, steps, window.from),
            format!("{} W/m²", significant(irradiance, 7)),
            format!("{} kW", significant(power / 1e3, 7)),
        ])
    };
    Table {
        name: "points".to_owned(),
        title: "The windows as points of a line of power over irradiance".to_owned(),
        columns: ["name", "irradiance", "power"].map(str::to_owned).to_vec(),
        rows: selection.windows.iter().filter_map(row).collect(),
    }
}

fn rejected(case: &Case, steps: &Steps, selection: &Selection) -> Table {
    let row = |stretch: &Stretch| {
        vec![
            moment(case, steps, stretch.from),
            length(stretch.to - stretch.from, case.grid),
            (stretch.to - stretch.from).to_string(),
            because(case, stretch),
        ]
    };
    Table {
        name: "rejected".to_owned(),
        title: "Stretches left out, with the reason".to_owned(),
        columns: ["beginning", "length", "steps", "reason"].map(str::to_owned).to_vec(),
        rows: selection.rejected.iter().map(row).collect(),
    }
}

/// The reason of a stretch in words.
fn because(case: &Case, stretch: &Stretch) -> String {
    let typed = &case.typed;
    let limit = |text: &Option<String>| text.clone().unwrap_or_else(|| "none".to_owned());
    let worst = cell(stretch.worst, 4);
    match stretch.why {
        Why::IrradianceMissing => "irradiance is missing".to_owned(),
        Why::PowerMissing => "power is missing".to_owned(),
        Why::WindMissing => "wind is missing".to_owned(),
        Why::AirMissing => "air temperature is missing".to_owned(),
        Why::Dim => format!(
            "irradiance down to {worst} W/m², {} asked for",
            limit(&typed.minimum_irradiance)
        ),
        Why::NotOnSun => "the dish is not on the sun".to_owned(),
        Why::Settling => format!("settling, {} asked for", limit(&typed.settle)),
        Why::Changing => {
            let how = match case.limits.change {
                Change::Share(_) => "of the mean",
                Change::Size(_) => "from the mean",
            };
            format!(
                "a window from here has irradiance up to {worst} W/m² from its mean, {} {how} \
                 allowed",
                limit(&typed.irradiance_change)
            )
        }
        Why::Air => format!(
            "a window from here has air up to {worst} K from its mean, {} allowed",
            limit(&typed.ambient_change)
        ),
        Why::Wind => format!(
            "a window from here has a mean wind of up to {worst} m/s, {} allowed",
            limit(&typed.wind)
        ),
        Why::TooMuchMissing => {
            format!("up to {worst} % of a window from here is missing, {} allowed", {
                limit(&typed.missing)
            })
        }
        Why::TooShort => {
            format!(
                "too short for a window before the next break, {}",
                limit(&typed.minimum_length)
            )
        }
    }
}

fn figure(case: &Case, steps: &Steps, selection: &Selection) -> Figure {
    let hours = |place: usize| {
        (count(place) + 0.5) * Moment { seconds: case.grid, offset: 0 }.unix() / 3600.0
    };
    let every = steps.list.len().div_ceil(MOST_POINTS).max(1);
    let known = |place: usize| {
        let value = steps.list.get(place).and_then(|step| step.irradiance)?;
        Some(Point::of(hours(place), value))
    };
    let whole = (0..steps.list.len()).step_by(every).filter_map(known).collect();
    let marked = selection
        .windows
        .iter()
        .flat_map(|window| (window.from..window.to).step_by(every))
        .filter_map(known)
        .collect();
    let begin = Moment { seconds: steps.first * case.grid, offset: case.irradiance.offset };
    let last = hours(steps.list.len().saturating_sub(1));
    let edge = case.limits.minimum;
    Figure::lines(
        "Irradiance with the steady windows",
        &format!("hours from {}", begin.shown()),
        "direct irradiance in W/m²",
        vec![
            Series::new("irradiance", "direct irradiance", Drawn::Thin, whole),
            Series::new("windows", "steps within a window", Drawn::Points, marked),
            Series::new(
                "minimum",
                "irradiance asked for",
                Drawn::Dashed,
                vec![Point::of(0.0, edge), Point::of(last, edge)],
            ),
        ],
    )
}
