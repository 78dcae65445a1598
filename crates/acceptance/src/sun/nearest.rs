//! The smallest angle between a fixed axis and the sun over a long time, so that none is missed.
//!
//! From hour to hour, then halved to under two minutes where it may matter. Nothing is passed over
//! that could hold a smaller angle: the sun moves by at most [`RATE`], so between two moments a time
//! h apart the angle is at least the mean of its two values less `RATE·h/2`. In the last piece the
//! angle is taken to the straight line between the two directions. The path lies within `c·h²/8` of
//! that line, where c bounds its second derivative: `RATE²` for the sun without air, six times that
//! for the sun as seen, since the refraction's second derivative by elevation is at most 4.3 per
//! radian (1100 hPa, −60 °C, at the horizon).

use libm::{asin, cos, sqrt};

use super::path::{Sight, SunPath, Vector};
use super::rim;

/// The most that a direction to the sun turns, in rad/s: 15.1° an hour. The hour angle advances by
/// 15° ± 0.005° an hour and the declination changes by less than 0.02°; refraction slows the sun's
/// rise, since it lessens with height.
pub(crate) const RATE: f64 = 15.1 * core::f64::consts::PI / 180.0 / 3600.0;
/// Seconds of the longest first piece, and of the longest last piece.
const PIECES: (f64, f64) = (3600.0, 112.5);
/// What bounds the second derivative of the direction in which the sun is seen, over `RATE²`.
pub(super) const BEND: f64 = 6.0;

/// A moment with its angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Closest {
    /// Unix seconds.
    pub(crate) at: f64,
    /// In radians.
    pub(crate) angle: f64,
}

/// What a stretch of time holds.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Stretch {
    /// The smallest angle; none while the sun is down all the time.
    pub(crate) lowest: Option<Closest>,
    /// Seconds for which the sun is nearer than the margin.
    pub(crate) near: f64,
    /// First and last moment at which it is nearer.
    pub(crate) spell: Option<(f64, f64)>,
}

/// The most, in radians, by which an angle found here may differ from the true smallest: the bend
/// of the path within a last piece, as a difference of angle, and 0.0003° for the path itself.
pub(crate) fn bound(angle: f64) -> f64 {
    bound_of_step(PIECES.1, angle)
}

/// The same for last pieces of another length in seconds.
pub(crate) fn bound_of_step(step: f64, angle: f64) -> f64 {
    let turn = RATE * step;
    BEND * turn * turn / 8.0 / cos(angle / 2.0).max(1e-3) + 0.0003_f64.to_radians()
}

/// The angle of two vectors of length one from the length of their difference.
pub(crate) fn of_chord(chord: f64) -> f64 {
    2.0 * asin((chord / 2.0).min(1.0))
}

/// How far a vector is from the line between two others, and at what share of the line.
pub(crate) fn to_line(axis: Vector, one: Vector, other: Vector) -> (f64, f64) {
    let dot = |a: Vector, b: Vector| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    let less = |a: Vector, b: Vector| [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
    let (line, from) = (less(other, one), less(axis, one));
    let square = dot(line, line);
    let share = if square > 0.0 { (dot(from, line) / square).clamp(0.0, 1.0) } else { 0.0 };
    let foot = [one[0] + share * line[0], one[1] + share * line[1], one[2] + share * line[2]];
    let apart = less(axis, foot);
    (sqrt(dot(apart, apart)), share)
}

/// A sun at a moment, with its angle to the axis.
#[derive(Debug, Clone, Copy)]
struct Mark {
    at: f64,
    sight: Sight,
    /// The smaller of the angles with air and without; while the sun is down, not above what it
    /// may be as it rises.
    angle: f64,
}

/// Follows the sun past an axis.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Nearest<'a> {
    pub(crate) path: &'a SunPath,
    pub(crate) axis: Vector,
    /// In radians; times nearer than this are added up.
    pub(crate) margin: f64,
}

impl Nearest<'_> {
    /// What the time between two moments holds.
    pub(crate) fn stretch(&self, from: f64, to: f64) -> Stretch {
        let mut found = Stretch::default();
        let mut marks = vec![self.mark(from)];
        let mut at = from;
        while at < to {
            at = (at + PIECES.0).min(to);
            marks.push(self.mark(at));
        }
        for mark in marks.iter().filter(|mark| mark.sight.up()) {
            found.offer(Closest { at: mark.at, angle: mark.angle });
        }
        for (one, other) in marks.iter().zip(marks.iter().skip(1)) {
            self.piece(one, other, &mut found);
        }
        found
    }

    fn mark(&self, at: f64) -> Mark {
        let sight = self.path.sight(at);
        let geometric = of_chord(to_line(self.axis, sight.geometric, sight.geometric).0);
        let angle = if sight.up() {
            geometric.min(of_chord(to_line(self.axis, sight.apparent, sight.apparent).0))
        } else {
            geometric - self.path.most_lift()
        };
        Mark { at, sight, angle }
    }

    fn piece(&self, one: &Mark, other: &Mark, found: &mut Stretch) {
        let length = other.at - one.at;
        let half = RATE * length / 2.0;
        let highest = f64::midpoint(one.sight.elevation, other.sight.elevation) + half;
        let least = f64::midpoint(one.angle, other.angle) - half;
        let best = found.lowest.map_or(f64::INFINITY, |lowest| lowest.angle);
        if highest < rim().to_radians() || (least > best && least > self.margin) {
            return;
        }
        if length <= PIECES.1 {
            self.last(one, other, found);
            return;
        }
        let middle = self.mark(f64::midpoint(one.at, other.at));
        self.piece(one, &middle, found);
        self.piece(&middle, other, found);
    }

    fn last(&self, one: &Mark, other: &Mark, found: &mut Stretch) {
        let (one, other) = match (one.sight.up(), other.sight.up()) {
            (true, true) => (*one, *other),
            (false, false) => return,
            (true, false) => (*one, self.mark(self.path.edge(one.at, other.at))),
            (false, true) => (self.mark(self.path.edge(other.at, one.at)), *other),
        };
        let lines = [
            to_line(self.axis, one.sight.geometric, other.sight.geometric),
            to_line(self.axis, one.sight.apparent, other.sight.apparent),
        ];
        let mut lowest = Closest { at: one.at, angle: f64::INFINITY };
        for (chord, share) in lines {
            let angle = of_chord(chord);
            if angle < lowest.angle {
                lowest = Closest { at: one.at + share * (other.at - one.at), angle };
            }
        }
        found.offer(lowest);
        // Where the angle crosses the margin, between the lowest and each end by straight lines.
        if lowest.angle < self.margin {
            let crossing = |end: &Mark| {
                if end.angle < self.margin {
                    return end.at;
                }
                let share = (self.margin - lowest.angle) / (end.angle - lowest.angle);
                lowest.at + share * (end.at - lowest.at)
            };
            let (first, last) = (crossing(&one), crossing(&other));
            found.near += last - first;
            found.spell = Some((found.spell.map_or(first, |(begin, _)| begin), last));
        }
    }
}

impl Stretch {
    fn offer(&mut self, one: Closest) {
        if self.lowest.is_none_or(|lowest| one.angle < lowest.angle) {
            self.lowest = Some(one);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::path::vector;
    use super::super::{Direction, Observer, from_degrees};
    use super::*;
    use quantity::{AbsolutePressure, Length, Temperature};

    /// The search of a day against every ten seconds of it: never above, and below by no more than
    /// the bound and what ten seconds hide.
    #[test]
    fn a_day_against_all_its_moments() {
        for latitude in [-90.0, -23.1, 0.0, 35.1, 78.2] {
            let observer = Observer {
                latitude: from_degrees(latitude),
                longitude: from_degrees(15.0),
                altitude: Length::from_metres(1350.0),
                pressure: AbsolutePressure::from_pascals(86_200.0),
                temperature: Temperature::from_kelvins(280.0),
            };
            let (from, to) = (1_788_400_000.0, 1_788_486_400.0);
            let path = SunPath::between(&observer, from, to, 69.2).unwrap();
            for (azimuth, elevation) in
                [(180.0, 3.0), (300.0, 30.0), (0.0, 90.0), (90.0, -1.0), (0.0, 23.0), (180.0, 23.1)]
            {
                let axis = vector(Direction {
                    azimuth: from_degrees(azimuth),
                    elevation: from_degrees(elevation),
                });
                let search = Nearest { path: &path, axis, margin: 60.0_f64.to_radians() };
                let found = search.stretch(from, to);
                let (mut lowest, mut near) = (f64::INFINITY, 0.0);
                for number in 0..8_640_u32 {
                    let mark = search.mark(from + 10.0 * f64::from(number));
                    if mark.sight.up() {
                        lowest = lowest.min(mark.angle);
                        near += if mark.angle < search.margin { 10.0 } else { 0.0 };
                    }
                }
                let what = format!("latitude {latitude}, axis {azimuth}/{elevation}");
                let Some(best) = found.lowest else {
                    assert!(lowest.is_infinite(), "{what}: missed");
                    continue;
                };
                let bound = bound(best.angle);
                assert!(best.angle <= lowest + bound, "{what}: {} {lowest}", best.angle);
                assert!(best.angle >= lowest - bound - RATE * 5.0, "{what}: {}", best.angle);
                // A crossing at each end of at most a few spells.
                assert!((found.near - near).abs() < 120.0, "{what}: {} {near}", found.near);
            }
        }
    }
}
