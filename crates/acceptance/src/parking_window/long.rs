//! A window of more than a week: first day by day on the sun's path, then, where the nearest
//! approach or the first passage of the margin may lie, by the algorithm itself.

use quantity::Angle;
use solar_positioning::Error;

use super::track::{AFTER, Arc, Found, Look, Point, nearest};
use crate::sun::{Closest, Nearest, Stretch, SunPath, bound, first_rise, vector};
use crate::time::Moment;

const DAY: f64 = 86_400.0;
/// Seconds about a moment of the path within which the algorithm's smallest angle is looked for.
const AROUND: f64 = 150.0;
/// The most days that are looked at closely, where many have the same angle within the bound.
const CLOSELY: usize = 64;

/// The days of a window.
#[derive(Debug, Clone)]
pub(crate) struct Long {
    /// In order.
    pub(crate) days: Vec<Day>,
    /// By how much the true smallest angle could be below the one found.
    pub(crate) bound: Angle,
}

/// A day by a clock with the offset of the start, as far as it lies in the window.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Day {
    /// Its midnight, in Unix seconds.
    pub(crate) midnight: f64,
    pub(crate) stretch: Stretch,
}

/// Fills in what a long window holds.
pub(super) fn find(look: &Look<'_>, found: &mut Found) -> Result<(), Error> {
    let job = look.job;
    let path = SunPath::between(&job.place.observer, found.from, found.to, job.delta_t)?;
    let axis = vector(job.axis);
    let near = Nearest { path: &path, axis, margin: job.margin.angle.radians() };
    let mut days = days(&near, job.window.start.offset, found);
    let lowest = |day: &Day| day.stretch.lowest.map_or(f64::INFINITY, |lowest| lowest.angle);
    let best = days.iter().map(lowest).fold(f64::INFINITY, f64::min);
    let bound = bound(best.min(core::f64::consts::PI));
    let mut close: Vec<&Day> =
        days.iter().filter(|day| lowest(day) <= best + 2.0 * bound && best.is_finite()).collect();
    close.sort_by(|a, b| lowest(a).total_cmp(&lowest(b)));
    let within = |from: f64, to: f64| (from.max(found.from), to.min(found.to));
    let mut nearer: Option<(f64, Point)> = None;
    for day in close.into_iter().take(CLOSELY) {
        let Some(lowest) = day.stretch.lowest else { continue };
        let (from, to) = within(lowest.at - AROUND, lowest.at + AROUND);
        let Some(point) = nearest(&look.arcs(from, to)?) else { continue };
        if nearer.is_none_or(|(_, best)| point.angle().radians() < best.angle().radians()) {
            nearer = Some((day.midnight, point));
        }
    }
    if let Some((midnight, point)) = nearer {
        let (from, to) = within(midnight, midnight + DAY);
        let mut arcs = look.arcs(from, to)?;
        insert(&mut arcs, point);
        found.nearest = nearest(&arcs);
        found.arcs = arcs;
        let same = days.iter_mut().find(|day| (day.midnight - midnight).abs() < 1.0);
        if let Some((day, point)) = same.zip(found.nearest) {
            day.stretch.lowest = Some(Closest { at: point.at, angle: point.angle().radians() });
        }
    }
    for day in &days {
        if lowest(day) >= near.margin + bound {
            continue;
        }
        let (from, to) = within(day.midnight, day.midnight + DAY);
        if let Some(first) = look.broken(&look.arcs(from, to)?)?.first() {
            found.broken = vec![*first];
            break;
        }
    }
    found.rise = first_rise(&job.place.observer, found.from, found.to + AFTER, job.delta_t)?;
    found.long = Some(Long { days, bound: Angle::from_radians(bound) });
    Ok(())
}

fn days(near: &Nearest<'_>, offset: i64, found: &Found) -> Vec<Day> {
    // The midnight before a time in whole seconds, as the start of a window is.
    #[expect(clippy::cast_possible_truncation, reason = "a number of seconds, far below 2^53")]
    let first = Moment { seconds: found.from.floor() as i64, offset }.midnight().unix();
    let mut days = Vec::new();
    let mut midnight = first;
    while midnight < found.to {
        let stretch = near.stretch(midnight.max(found.from), (midnight + DAY).min(found.to));
        days.push(Day { midnight, stretch });
        midnight += DAY;
    }
    days
}

/// Puts a point into the arc that it belongs to.
fn insert(arcs: &mut [Arc], point: Point) {
    let arc = arcs.iter_mut().find(|arc| (arc.span.from..=arc.span.to).contains(&point.at));
    if let Some(arc) = arc {
        arc.points.push(point);
        arc.points.sort_by(|a, b| a.at.total_cmp(&b.at));
    }
}
