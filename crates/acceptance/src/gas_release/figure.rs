//! Figures of a release, and the table of openings.

use quantity::significant;

use super::blow_down::{Emptying, Moment};
use super::flow::{Opening, allowance};
use super::present::{LITRES_PER_MINUTE, MILLIGRAMS, per_kilogram};
use super::read::Release;
use crate::{Axes, Drawn, Figure, Point, Series, Table};

/// Openings that IEC 60079-10-1 takes by kind of joint and of failure, in mm² (from memory).
const SIZES: [f64; 5] = [0.025, 0.1, 0.25, 1.0, 2.5];

/// The flow through the openings that a hazard study takes, at the same state.
pub(super) fn sizes(release: &Release) -> Table {
    let rows = SIZES
        .into_iter()
        .map(|size| {
            let opening = Opening { area: size * 1e-6, ..release.opening };
            let mass = opening.mass_flow(release.pressure, release.kelvins);
            let high = mass
                * per_kilogram(release)
                * (1.0 + allowance(release.gas, release.pressure, release.kelvins));
            vec![
                size.to_string(),
                significant(mass * MILLIGRAMS, 4),
                significant(high * LITRES_PER_MINUTE, 4),
            ]
        })
        .collect();
    Table {
        name: "sizes".to_owned(),
        title: "Openings that IEC 60079-10-1 takes by kind of joint and of failure, at this state \
                (sizes from memory: read the standard)"
            .to_owned(),
        columns: ["area mm²", "mass flow mg/s", "volume flow with allowance L/min"]
            .map(str::to_owned)
            .to_vec(),
        rows,
    }
}

/// The pressure on the way down.
pub(super) fn emptying_figure(release: &Release, emptying: &Emptying) -> Figure {
    let bar = |pressure: f64| (pressure - release.opening.air) / 1e5;
    let points = |time: fn(&Moment) -> f64| {
        emptying.course.iter().map(|at| Point::of(time(at), bar(at.pressure))).collect()
    };
    let last = emptying.end().map_or(0.0, |end| end.isothermal.max(end.adiabatic));
    let edge = bar(release.opening.critical() * release.opening.air);
    let series = vec![
        Series::new("isothermal", "gas always as warm", Drawn::Thick, points(|at| at.isothermal)),
        Series::new("adiabatic", "no heat from the walls", Drawn::Thin, points(|at| at.adiabatic)),
        Series::new(
            "choked",
            "choked above",
            Drawn::Dashed,
            vec![Point::of(0.0, edge), Point::of(last, edge)],
        ),
    ];
    Figure::lines("Pressure while the volume empties", "time in s", "gauge pressure in bar", series)
}

/// The flow over the pressure inside.
pub(super) fn pressure_figure(release: &Release) -> Figure {
    let opening = &release.opening;
    let points: Vec<Point> = (1..=60)
        .map(|step| {
            // Evenly by the root, so that the beginning is drawn as finely as it bends.
            let share = f64::from(step) / 60.0;
            let pressure = opening.air + (release.pressure - opening.air) * share * share;
            let flow = opening.mass_flow(pressure, release.kelvins) * MILLIGRAMS;
            Point::of((pressure - opening.air) / 1e5, flow)
        })
        .collect();
    let here = Point::of(
        (release.pressure - opening.air) / 1e5,
        opening.mass_flow(release.pressure, release.kelvins) * MILLIGRAMS,
    );
    let series = vec![
        Series::new("flow", "mass flow", Drawn::Thick, points),
        Series::new("here", "this release", Drawn::Points, vec![here]),
    ];
    Figure {
        axes: Some(Axes::LogBoth),
        ..Figure::lines(
            "Flow over the pressure inside",
            "gauge pressure in bar",
            "mass flow in mg/s",
            series,
        )
    }
}
