//! Which steps make a window, and why the others don't.

use super::grid::{Step, Steps};
use super::read::{Case, Limits};
use crate::performance_run::intervals::Stats;

/// Why a step is in no window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Why {
    IrradianceMissing,
    PowerMissing,
    WindMissing,
    AirMissing,
    Dim,
    NotOnSun,
    Settling,
    Changing,
    Air,
    Wind,
    TooMuchMissing,
    TooShort,
}

/// A window: from a step to before another.
#[derive(Debug, Clone)]
pub(super) struct Window {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) means: Means,
}

/// A stretch of steps that were left out for one reason.
#[derive(Debug, Clone)]
pub(super) struct Stretch {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) why: Why,
    /// The worst value of it, where the reason has one.
    pub(super) worst: Option<f64>,
}

/// What was chosen and what was left out.
#[derive(Debug)]
pub(super) struct Selection {
    pub(super) windows: Vec<Window>,
    pub(super) rejected: Vec<Stretch>,
}

/// What a window shows.
#[derive(Debug, Clone, Default)]
pub(super) struct Means {
    pub(super) irradiance: Stats,
    /// Irradiance and power over the steps that have both, so that their means belong together.
    pub(super) both: [Stats; 2],
    pub(super) wind: Stats,
    pub(super) ambient: Stats,
    /// Steps where irradiance or power is missing.
    pub(super) missing: usize,
    pub(super) steps: usize,
}

impl Means {
    fn take(&mut self, step: &Step) {
        self.irradiance.take(step.irradiance);
        let both = step.irradiance.zip(step.power);
        let [irradiance, power] = &mut self.both;
        irradiance.take(both.map(|(irradiance, _)| irradiance));
        power.take(both.map(|(_, power)| power));
        self.wind.take(step.wind);
        self.ambient.take(step.ambient);
        self.missing += usize::from(both.is_none());
        self.steps += 1;
    }

    /// Whether it is steady, or why not, with the value that is beyond its limit.
    fn steady(&self, limits: &Limits) -> Result<(), (Why, f64)> {
        let share = crate::stats::count(self.missing) / crate::stats::count(self.steps.max(1));
        if share > limits.missing + f64::EPSILON {
            return Err((Why::TooMuchMissing, 100.0 * share));
        }
        let distance = |stats: &Stats| {
            stats.mean().map(|mean| (mean, (stats.high - mean).max(mean - stats.low)))
        };
        let Some((mean, change)) = distance(&self.irradiance) else {
            return Err((Why::IrradianceMissing, f64::NAN));
        };
        if !limits.change.allows(change, mean) {
            return Err((Why::Changing, change));
        }
        if let (Some(most), Some((_, change))) = (limits.ambient, distance(&self.ambient))
            && change > most
        {
            return Err((Why::Air, change));
        }
        if let (Some(most), Some(wind)) = (limits.wind, self.wind.mean())
            && wind > most
        {
            return Err((Why::Wind, wind));
        }
        Ok(())
    }
}

/// Why a step is broken by itself; none when it is not.
fn broken(step: &Step, limits: &Limits) -> Option<(Why, Option<f64>)> {
    let Some(irradiance) = step.irradiance else { return Some((Why::IrradianceMissing, None)) };
    if irradiance < limits.minimum {
        return Some((Why::Dim, Some(irradiance)));
    }
    if step.on_sun.is_some_and(|on| on < 1.0) {
        return Some((Why::NotOnSun, None));
    }
    if step.power.is_none() {
        return Some((Why::PowerMissing, None));
    }
    if limits.wind.is_some() && step.wind.is_none() {
        return Some((Why::WindMissing, None));
    }
    (limits.ambient.is_some() && step.ambient.is_none()).then_some((Why::AirMissing, None))
}

const fn a_gap(why: Why) -> bool {
    matches!(why, Why::IrradianceMissing | Why::PowerMissing | Why::WindMissing | Why::AirMissing)
}

/// A note for each step: why it is left out.
struct Notes {
    list: Vec<Option<(Why, Option<f64>)>>,
}

impl Notes {
    fn set(&mut self, at: usize, why: Why, value: Option<f64>) {
        if let Some(note) = self.list.get_mut(at) {
            *note = Some((why, value));
        }
    }
}

/// Steps that a length of time needs, rounded up.
fn steps_of(seconds: i64, grid: i64) -> usize {
    usize::try_from((seconds + grid - 1) / grid).unwrap_or(0)
}

/// Chooses the windows.
pub(super) fn select(case: &Case, steps: &Steps) -> Selection {
    let limits = &case.limits;
    let list = &steps.list;
    let mut notes = Notes { list: list.iter().map(|step| broken(step, limits)).collect() };
    let bridge = usize::try_from(limits.gap / case.grid).unwrap_or(0);
    let bridged = bridged(&notes, bridge);
    let mut windows = Vec::new();
    let mut at = 0;
    while at < list.len() {
        let open = |place: usize| {
            notes.list.get(place).is_some_and(Option::is_none)
                || bridged.get(place).copied().unwrap_or(false)
        };
        if !open(at) {
            at += 1;
            continue;
        }
        let end = (at..list.len()).find(|place| !open(*place)).unwrap_or(list.len());
        let settled = (at + steps_of(limits.settle, case.grid)).min(end);
        for place in at..settled {
            notes.set(place, Why::Settling, None);
        }
        let run = Run { case, list, bridged: &bridged, end };
        run.windows(settled, &mut notes, &mut windows);
        at = end;
    }
    let rejected = stretches(&notes, &windows);
    Selection { windows, rejected }
}

/// Which missing steps lie within a gap that is bridged: short, and between steps that are whole.
fn bridged(notes: &Notes, most: usize) -> Vec<bool> {
    let mut out = vec![false; notes.list.len()];
    let mut at = 0;
    while at < notes.list.len() {
        let gap = |place: usize| {
            notes.list.get(place).copied().flatten().is_some_and(|(why, _)| a_gap(why))
        };
        if !gap(at) {
            at += 1;
            continue;
        }
        let end = (at..notes.list.len()).find(|place| !gap(*place)).unwrap_or(notes.list.len());
        let whole = |place: Option<usize>| {
            place.and_then(|place| notes.list.get(place)).is_some_and(Option::is_none)
        };
        if end - at <= most && whole(at.checked_sub(1)) && whole(Some(end)) {
            out.iter_mut().take(end).skip(at).for_each(|bridged| *bridged = true);
        }
        at = end;
    }
    out
}

/// Steps between two breaks.
struct Run<'a> {
    case: &'a Case,
    list: &'a [Step],
    bridged: &'a [bool],
    end: usize,
}

impl Run<'_> {
    fn whole(&self, place: usize) -> bool {
        !self.bridged.get(place).copied().unwrap_or(false)
    }

    /// Windows from a step on; notes what lies between them.
    fn windows(&self, from: usize, notes: &mut Notes, windows: &mut Vec<Window>) {
        let limits = &self.case.limits;
        let shortest = steps_of(limits.shortest, self.case.grid).max(1);
        let mut at = from;
        while at < self.end {
            if at + shortest > self.end {
                for place in at..self.end {
                    notes.set(place, Why::TooShort, None);
                }
                return;
            }
            if !self.whole(at) {
                at += 1;
                continue;
            }
            let mut means = Means::default();
            self.list.iter().take(at + shortest).skip(at).for_each(|step| means.take(step));
            match means.steady(limits) {
                Err((why, value)) => {
                    notes.set(at, why, Some(value));
                    at += 1;
                }
                Ok(()) => {
                    let (to, means) = self.lengthened(at + shortest, means);
                    for place in at..to {
                        if let Some(note) = notes.list.get_mut(place) {
                            *note = None;
                        }
                    }
                    windows.push(Window { from: at, to, means });
                    at = to;
                }
            }
        }
    }

    /// The window as long as it stays steady; it is not lengthened by a gap at its end.
    fn lengthened(&self, from: usize, means: Means) -> (usize, Means) {
        let limits = &self.case.limits;
        let longest = limits.longest.map_or(usize::MAX, |longest| {
            usize::try_from(longest / self.case.grid).unwrap_or(usize::MAX)
        });
        let mut trial = means.clone();
        let mut best = (from, means);
        for (place, step) in self.list.iter().enumerate().take(self.end).skip(from) {
            trial.take(step);
            if trial.steps > longest {
                break;
            }
            if !self.whole(place) {
                continue;
            }
            if trial.steady(limits).is_err() {
                break;
            }
            best = (place + 1, trial.clone());
        }
        best
    }
}

/// Steps in no window, joined where they have one reason.
fn stretches(notes: &Notes, windows: &[Window]) -> Vec<Stretch> {
    let mut inside = vec![false; notes.list.len()];
    for window in windows {
        inside.iter_mut().take(window.to).skip(window.from).for_each(|inside| *inside = true);
    }
    let mut out: Vec<Stretch> = Vec::new();
    for (place, (note, inside)) in notes.list.iter().zip(inside).enumerate() {
        let Some((why, value)) = note.filter(|_| !inside) else { continue };
        match out.last_mut() {
            Some(last) if last.why == why && last.to == place => {
                last.to = place + 1;
                last.worst = match (last.worst, value) {
                    (Some(one), Some(other)) if why == Why::Dim => Some(one.min(other)),
                    (Some(one), Some(other)) => Some(one.max(other)),
                    (one, other) => one.or(other),
                };
            }
            _ => out.push(Stretch { from: place, to: place + 1, why, worst: value }),
        }
    }
    out
}
