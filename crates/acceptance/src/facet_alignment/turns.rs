//! From a facet's tilt to turns of its studs, rounded to what can be called out.
//!
//! The studs stand along the design's normal of the facet. A tilt (ε_r, ε_t) is taken back when the
//! stud at distance d and bearing ψ is raised towards the focus by w = d·(ε_r·cos ψ + ε_t·sin ψ)
//! more than the middle: light that goes outward comes back when the outer edge is raised.

use rust_decimal::prelude::ToPrimitive;

use super::geometry::{Bench, Pair, Polar};
use super::read::{Row, Survey};
use super::studs::{Hand, Stays, Studs};

/// What to turn at a facet, and what comes of it.
#[derive(Debug, Clone)]
pub(super) struct Turns {
    /// The tilt as it is and the one of the aim point.
    pub(super) now: Polar,
    pub(super) wanted: Polar,
    /// How far each stud would be raised without rounding, m, about what stays.
    pub(super) exact: [f64; 3],
    /// Steps by which each stud is raised; less than zero is lowered.
    pub(super) raised: [i64; 3],
    /// What is left of the error, rad.
    pub(super) left: Pair,
    /// Where the spot will lie in sunlight, in the focal plane, m.
    pub(super) in_sun: Polar,
    /// How far the spot moves on the board that it is read from, m.
    pub(super) moves: Pair,
    /// The farthest that a stud is moved, m.
    pub(super) farthest: f64,
}

/// The tilt of a facet as its spot shows it.
pub(super) fn tilt_now(survey: &Survey, row: &Row, shift: Pair) -> Polar {
    survey.bench.tilt_to(row.spot, row.spot.to_polar(shift))
}

/// Works out the turns of a facet whose spot was read at `shift`.
pub(super) fn turns(survey: &Survey, studs: &Studs, row: &Row, shift: Pair) -> Turns {
    let spot = row.spot;
    let sun = Bench::focal_plane(survey.bench.focal_length);
    let now = tilt_now(survey, row, shift);
    let wanted = sun.tilt_to(spot, spot.to_polar(row.aim));
    let error = Polar { r: now.r - wanted.r, t: now.t - wanted.t };
    let at = studs.places.map(|(d, bearing)| {
        (d * libm::cos(bearing + row.turned), d * libm::sin(bearing + row.turned))
    });
    let step = studs.pitch / f64::from(studs.steps);
    let exact = at.map(|(r, t)| error.r * r + error.t * t);
    let raised = rounded(at, exact, step, studs.stays);
    let back = slope(at, raised.map(|steps| step * steps));
    let after = Polar { r: now.r - back.r, t: now.t - back.t };
    let stays = match studs.stays {
        Stays::Stud(fixed) => exact.get(fixed).copied().unwrap_or(0.0),
        Stays::Centre => 0.0,
        Stays::LeastTurning => middle(exact),
    };
    let lands = survey.bench.lands(spot, after);
    Turns {
        now,
        wanted,
        exact: exact.map(|lift| lift - stays),
        raised: raised.map(|steps| steps.to_i64().unwrap_or(0)),
        left: spot.to_pair(Polar { r: after.r - wanted.r, t: after.t - wanted.t }),
        in_sun: sun.lands(spot, after),
        moves: spot.to_pair(lands).minus(shift),
        farthest: raised.iter().fold(0.0, |most, steps| (step * steps.abs()).max(most)),
    }
}

/// Whole steps, such that the tilt left over is smallest; of two that leave the same, the one with
/// less turning.
fn rounded(at: [(f64, f64); 3], exact: [f64; 3], step: f64, stays: Stays) -> [f64; 3] {
    // Only differences tilt: the two against the first are rounded, then all three are moved alike.
    let wanted = [exact[1] - exact[0], exact[2] - exact[0]].map(|lift| lift / step);
    let floor = wanted.map(libm::floor);
    let mut best: Option<(f64, f64, [f64; 3])> = None;
    for first in NEAR {
        for second in NEAR {
            let whole = [0.0, floor[0] + first, floor[1] + second];
            let off = [0.0, whole[1] - wanted[0], whole[2] - wanted[1]];
            let slope = slope(at, off);
            let left = slope.r * slope.r + slope.t * slope.t;
            let steps = settled(at, whole, stays);
            let turning = steps.iter().map(|steps| steps.abs()).sum::<f64>();
            let better = best.is_none_or(|(least, most, _)| {
                left < least * (1.0 - ALIKE) || (left <= least * (1.0 + ALIKE) && turning < most)
            });
            if better {
                best = Some((left, turning, steps));
            }
        }
    }
    best.map_or([0.0; 3], |(_, _, steps)| steps)
}

/// Whole steps tried about the exact ones: a thin triangle has its nearest pair askew.
const NEAR: [f64; 6] = [-2.0, -1.0, 0.0, 1.0, 2.0, 3.0];
/// Two tilts that differ by less than this part are alike.
const ALIKE: f64 = 1e-9;

/// The same differences, moved so that what stays does so.
fn settled(at: [(f64, f64); 3], steps: [f64; 3], stays: Stays) -> [f64; 3] {
    let by = match stays {
        Stays::Stud(fixed) => steps.get(fixed).copied().unwrap_or(0.0),
        Stays::LeastTurning => middle(steps),
        Stays::Centre => {
            let slope = slope(at, steps);
            libm::rint(steps[0] - slope.r * at[0].0 - slope.t * at[0].1)
        }
    };
    steps.map(|one| one - by)
}

/// The slope of the plane over the studs that has these heights at them.
fn slope(at: [(f64, f64); 3], heights: [f64; 3]) -> Polar {
    let [a, b, c] = at;
    let (first, second) = ((b.0 - a.0, b.1 - a.1), (c.0 - a.0, c.1 - a.1));
    let (up, over) = (heights[1] - heights[0], heights[2] - heights[0]);
    let area = first.0 * second.1 - first.1 * second.0;
    Polar { r: (up * second.1 - over * first.1) / area, t: (first.0 * over - second.0 * up) / area }
}

/// The middle one of three by size.
fn middle(three: [f64; 3]) -> f64 {
    let [a, b, c] = three;
    a.min(b).max(a.max(b).min(c))
}

impl Studs {
    /// How far so many steps raise a stud, m.
    #[expect(clippy::cast_precision_loss, reason = "steps are few; a float holds them exactly")]
    pub(super) fn lift(&self, raised: i64) -> f64 {
        self.pitch * (raised as f64) / f64::from(self.steps)
    }

    /// Steps clockwise, seen from behind the mirror, that raise by so many steps.
    pub(super) const fn clockwise(&self, raised: i64) -> i64 {
        match self.raises {
            Hand::Clockwise => raised,
            Hand::CounterClockwise => -raised,
        }
    }

    /// What is called out: `A 1/4 in, B 1/2 out`; in is clockwise, seen from behind the mirror.
    pub(super) fn call(&self, raised: [i64; 3]) -> String {
        let one = |(name, raised): (&String, i64)| {
            let way = if self.clockwise(raised) > 0 { "in" } else { "out" };
            (raised != 0)
                .then(|| format!("{name} {} {way}", fraction(raised.unsigned_abs(), self.steps)))
        };
        let calls: Vec<_> = self.names.iter().zip(raised).filter_map(one).collect();
        if calls.is_empty() { "less than half a step".to_owned() } else { calls.join(", ") }
    }

    /// Turns with their sign: clockwise, seen from behind the mirror, is more than zero.
    pub(super) fn signed(&self, raised: i64) -> String {
        let size = fraction(raised.unsigned_abs(), self.steps);
        match self.clockwise(raised).signum() {
            1 => format!("+{size}"),
            -1 => format!("-{size}"),
            _ => "0".to_owned(),
        }
    }
}

/// Steps as turns: `1 1/4`, in lowest terms.
fn fraction(steps: u64, per_turn: u32) -> String {
    let per_turn = u64::from(per_turn.max(1));
    let (whole, rest) = (steps / per_turn, steps % per_turn);
    let by = common(rest, per_turn);
    match (whole, rest) {
        (_, 0) => whole.to_string(),
        (0, _) => format!("{}/{}", rest / by, per_turn / by),
        _ => format!("{whole} {}/{}", rest / by, per_turn / by),
    }
}

/// The greatest common divisor.
fn common(a: u64, b: u64) -> u64 {
    if b == 0 { a.max(1) } else { common(b, a % b) }
}
