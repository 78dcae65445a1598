//! The doubt of the fraction left.

use quantity::{AbsolutePressure, Dimension, Reading};

use super::cycles::{Course, run};
use super::input::{Pressures, Purge};
use crate::doubt::{Budget, Part, Stated, first_order};

/// The budget of the judged fraction, in percent; none where nothing is stated that it follows from.
pub(super) fn budget(purge: &Purge, course: &Course) -> Option<Budget> {
    let stated = &purge.doubt;
    if let Some(measured) = purge.measured {
        let analyser = stated.analyser.as_ref()?;
        let shown = measured.fraction();
        let part = Part {
            source: "analyser".to_owned(),
            statement: analyser.text.clone(),
            value: 100.0 * shown,
            standard: 100.0 * analyser.of(shown),
            unit: "%",
        };
        return Some(first_order(&[part], "%", |values| values.first().copied().unwrap_or(0.0)));
    }
    if stated.gauge.is_none() && stated.barometer.is_none() {
        return None;
    }
    let relative = stated.gauge.as_ref().is_some_and(Stated::relative);
    let text = |stated: &Option<Stated>| {
        stated.as_ref().map_or_else(String::new, |stated| stated.text.clone())
    };
    let gauge = stated.gauge.as_ref();
    let parts = [
        Part {
            source: "gauge scale, common to all readings".to_owned(),
            statement: text(&stated.gauge),
            value: 0.0,
            standard: gauge.map_or(0.0, |gauge| {
                if relative { 100.0 * gauge.of(1.0) } else { gauge.of(0.0) / 1e5 }
            }),
            unit: if relative { "%" } else { "bar" },
        },
        Part {
            source: "barometer".to_owned(),
            statement: text(&stated.barometer),
            value: 0.0,
            standard: stated
                .barometer
                .as_ref()
                .map_or(0.0, |stated| stated.of(purge.barometer.pascals()) / 1e5),
            unit: "bar",
        },
    ];
    let moved = |pressure: AbsolutePressure, reading: &Reading, scale: f64, air: f64| {
        let shown = f64::try_from(reading.base()).unwrap_or(f64::NAN);
        let by_scale = if relative { scale / 100.0 * shown } else { 1e5 * scale };
        let by_air = if reading.dimension() == Dimension::GaugePressure { 1e5 * air } else { 0.0 };
        AbsolutePressure::from_pascals(pressure.pascals() + by_scale + by_air)
    };
    let mut budget = first_order(&parts, "%", |values| {
        let [scale, air] = *values else { return f64::NAN };
        let cycles = purge
            .cycles
            .iter()
            .zip(&purge.gauges)
            .map(|(cycle, [low, high])| Pressures {
                low: moved(cycle.low, low, scale, air),
                high: moved(cycle.high, high, scale, air),
            })
            .collect();
        let other = Purge { cycles, ..purge.clone() };
        // Out of the equation's range nothing is moved.
        run(&other).map_or(100.0 * course.computed().fraction(), |moved| {
            100.0 * moved.computed().fraction()
        })
    });
    budget.lines.retain(|line| line.standard_uncertainty != "0");
    Some(budget)
}
