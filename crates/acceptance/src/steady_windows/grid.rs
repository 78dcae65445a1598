//! The series on one grid of steps.

use std::collections::BTreeMap;

use super::read::Case;
use crate::Refusal;
use crate::performance_run::intervals::by_interval;
use crate::performance_run::samples::Channel;

/// A step of the grid; none where nothing, or too little, was measured.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Step {
    pub(super) irradiance: Option<f64>,
    pub(super) power: Option<f64>,
    pub(super) wind: Option<f64>,
    pub(super) ambient: Option<f64>,
    pub(super) on_sun: Option<f64>,
}

/// All steps from the first to the last of irradiance and power.
#[derive(Debug)]
pub(super) struct Steps {
    /// Number of the first step since the epoch.
    pub(super) first: i64,
    pub(super) list: Vec<Step>,
}

/// The most steps of a grid: sixty days of minutes, a day of seconds.
const MOST: i64 = 90_000;

/// Puts the series on the grid.
pub(super) fn steps(case: &Case) -> Result<Steps, Refusal> {
    let on = |channel: &Channel| on_grid(channel, case);
    let (irradiance, power) = (on(&case.irradiance), on(&case.power));
    let [wind, ambient, on_sun] = [&case.wind, &case.ambient, &case.on_sun]
        .map(|channel| channel.as_ref().map(on).unwrap_or_default());
    let first = irradiance.keys().next().min(power.keys().next()).copied().unwrap_or(0);
    let last = irradiance.keys().next_back().max(power.keys().next_back()).copied().unwrap_or(-1);
    if last - first >= MOST {
        return Err(Refusal::new(
            "too_long",
            "irradiance.times",
            format!("The series reach over more than {MOST} steps of {} s.", case.grid),
            "Check the dates; give a stretch of some days, or coarser steps.",
        ));
    }
    let at = |series: &BTreeMap<i64, Option<f64>>, slot| series.get(&slot).copied().flatten();
    let list = (first..=last)
        .map(|slot| Step {
            irradiance: at(&irradiance, slot),
            power: at(&power, slot),
            wind: at(&wind, slot),
            ambient: at(&ambient, slot),
            on_sun: at(&on_sun, slot),
        })
        .collect();
    Ok(Steps { first, list })
}

/// Means of a channel on the grid; a coarser channel holds for all steps that it covers.
fn on_grid(channel: &Channel, case: &Case) -> BTreeMap<i64, Option<f64>> {
    if channel.step <= case.grid {
        let enough = |missing: f64| missing <= case.limits.missing + f64::EPSILON;
        return by_interval(channel, case.grid)
            .into_iter()
            .map(|(slot, stats)| (slot, stats.mean().filter(|_| enough(stats.missing_share()))))
            .collect();
    }
    let covered = channel.step / case.grid;
    let mut all = BTreeMap::new();
    for sample in &channel.samples {
        let begins = (2 * sample.start + case.grid).div_euclid(2 * case.grid);
        for slot in begins..begins + covered {
            all.insert(slot, sample.value);
        }
    }
    all
}
