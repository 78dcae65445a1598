//! The sun's path over a long time, from the algorithm's positions every two hours.
//!
//! Turned back about the pole by 15° an hour, the direction of the sun stands nearly still: within
//! two hours it leaves the straight line between its ends by less than 0.0001° (largest second
//! difference over a year 0.00017°, by pvlib 0.16.1 at latitudes −90° to 78°; nearly all of it the
//! daily parallax of 8.8″). So a position costs a rotation and a refraction, not a whole evaluation
//! of the algorithm.

use libm::{asin, atan2, cos, sin, sqrt, tan};
use quantity::{Angle, Duration};
use solar_positioning::Error;

use super::{Direction, Observer, Sun, beyond, degrees, rim};
use crate::Refusal;

/// Seconds between two positions by the algorithm.
const STEP: f64 = 7200.0;
/// Half a turn in half a day: the mean speed of the sun about the pole, in rad/s.
const SPEED: f64 = core::f64::consts::PI / 43_200.0;
/// The algorithm refracts above this geometric elevation, in degrees.
const REFRACTED: f64 = -0.833_37;

/// A direction as a vector of length one: east, north, up.
pub(crate) type Vector = [f64; 3];

/// The sun of a moment, as vectors.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sight {
    /// Without air.
    pub(crate) geometric: Vector,
    /// As seen.
    pub(crate) apparent: Vector,
    /// Elevation without air, in radians.
    pub(crate) elevation: f64,
}

impl Sight {
    /// The upper edge of the sun is above the level horizon.
    pub(crate) fn up(&self) -> bool {
        self.elevation >= rim().to_radians()
    }
}

/// The sun seen from a place over a time.
#[derive(Debug, Clone)]
pub struct SunPath {
    from: f64,
    /// Sine and cosine of the latitude.
    pole: (f64, f64),
    /// Refraction over that of 1010 hPa and 10 °C, which the formula is written for.
    air: f64,
    /// Every two hours, turned back to the beginning: towards the meridian, to the west, to the
    /// pole.
    still: Vec<Vector>,
}

/// The vector of a direction.
pub(crate) fn vector(direction: Direction) -> Vector {
    let (azimuth, elevation) = (direction.azimuth.radians(), direction.elevation.radians());
    [cos(elevation) * sin(azimuth), cos(elevation) * cos(azimuth), sin(elevation)]
}

/// The direction of a vector of any length.
pub(crate) fn direction([east, north, up]: Vector) -> Direction {
    let azimuth = degrees(Angle::from_radians(atan2(east, north))).rem_euclid(360.0);
    Direction {
        azimuth: super::from_degrees(azimuth),
        elevation: Angle::from_radians(atan2(up, sqrt(east * east + north * north))),
    }
}

impl SunPath {
    /// The path between two times, given as the time since 1970-01-01T00:00:00Z, with TT − UT1.
    ///
    /// # Errors
    /// A time that the algorithm does not take.
    pub fn over(
        observer: &Observer,
        from: Duration,
        to: Duration,
        delta_t: Duration,
    ) -> Result<Self, Refusal> {
        Self::between(observer, from.seconds(), to.seconds(), delta_t.seconds())
            .map_err(|error| beyond("from", &error))
    }

    /// Where the sun stands at a time since 1970-01-01T00:00:00Z within the path.
    pub fn at(&self, since_1970: Duration) -> Sun {
        let sight = self.sight(since_1970.seconds());
        Sun { geometric: direction(sight.geometric), apparent: direction(sight.apparent) }
    }

    pub(crate) fn between(
        observer: &Observer,
        from: f64,
        to: f64,
        delta_t: f64,
    ) -> Result<Self, Error> {
        let latitude = observer.latitude.radians();
        let mut path = Self {
            from,
            pole: (sin(latitude), cos(latitude)),
            air: observer.pressure.pascals() / 101_000.0 * 283.0
                / (273.0 + (observer.temperature.kelvins() - 273.15)),
            still: Vec::new(),
        };
        let mut at = from;
        loop {
            let [east, north, up] = vector(observer.geometric(at, delta_t)?);
            let (sine, cosine) = path.pole;
            let (meridian, west, pole) =
                (cosine * up - sine * north, -east, cosine * north + sine * up);
            let turn = SPEED * (at - from);
            let (s, c) = (sin(turn), cos(turn));
            path.still.push([meridian * c + west * s, west * c - meridian * s, pole]);
            if at >= to {
                return Ok(path);
            }
            at += STEP;
        }
    }

    /// The sun at a Unix time within the path; before it and after it, the ends' lines go on.
    pub(crate) fn sight(&self, unix: f64) -> Sight {
        let part = (unix - self.from) / STEP;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a float becomes the nearest whole number that there is"
        )]
        let place = (part.max(0.0) as usize).min(self.still.len().saturating_sub(2));
        let still = |place: usize| self.still.get(place).copied().unwrap_or([0.0, 0.0, 1.0]);
        let (one, other) = (still(place), still(place + 1));
        #[expect(clippy::cast_precision_loss, reason = "a number of hours, far below 2^53")]
        let share = part - place as f64;
        let between = |one: f64, other: f64| one + share * (other - one);
        let turn = SPEED * (unix - self.from);
        let (s, c) = (sin(turn), cos(turn));
        let (a, b) = (between(one[0], other[0]), between(one[1], other[1]));
        let (meridian, west, pole) = (a * c - b * s, a * s + b * c, between(one[2], other[2]));
        let (sine, cosine) = self.pole;
        let (east, north, up) =
            (-west, cosine * pole - sine * meridian, sine * pole + cosine * meridian);
        let length = sqrt(east * east + north * north + up * up);
        self.refracted([east / length, north / length, up / length])
    }

    /// When the sun's upper edge is on the horizon between a time with the sun up and one with it
    /// down, within 0.01 s; still up.
    pub(crate) fn edge(&self, mut up: f64, mut down: f64) -> f64 {
        while (up - down).abs() > 0.01 {
            let middle = f64::midpoint(up, down);
            if self.sight(middle).up() { up = middle } else { down = middle }
        }
        up
    }

    /// The algorithm's refraction, in radians, at a geometric elevation in degrees.
    fn lift(&self, degrees: f64) -> f64 {
        let bent = (degrees + 10.3 / (degrees + 5.11)).to_radians();
        (self.air * 1.02 / (60.0 * tan(bent))).to_radians()
    }

    /// The largest refraction, in radians: that of the sun's middle as its upper edge rises.
    pub(crate) fn most_lift(&self) -> f64 {
        self.lift(REFRACTED)
    }

    /// Lifts a direction by the algorithm's refraction.
    fn refracted(&self, geometric: Vector) -> Sight {
        let [east, north, up] = geometric;
        let elevation = asin(up.clamp(-1.0, 1.0));
        let degrees = elevation.to_degrees();
        let level = sqrt(east * east + north * north);
        if degrees <= REFRACTED || level < 1e-9 {
            return Sight { geometric, apparent: geometric, elevation };
        }
        let seen = elevation + self.lift(degrees);
        let (s, c) = (sin(seen), cos(seen));
        let apparent = [east * c / level, north * c / level, s];
        Sight { geometric, apparent, elevation }
    }
}

#[cfg(test)]
mod tests {
    use quantity::{AbsolutePressure, Length, Temperature};

    use super::super::{from_degrees, nearest, separation};
    use super::*;

    /// Pole, polar circle, tropics, equator; the densest air that the inputs take.
    fn observers() -> impl Iterator<Item = Observer> {
        [-90.0, -66.0, -23.1, 0.0, 35.1, 78.2].into_iter().map(|latitude| Observer {
            latitude: from_degrees(latitude),
            longitude: from_degrees(-69.6),
            altitude: Length::from_metres(0.0),
            pressure: AbsolutePressure::from_pascals(110_000.0),
            temperature: Temperature::from_kelvins(213.15),
        })
    }

    /// Between its nodes the path is where the algorithm is, with air and without, within 0.0003°.
    #[test]
    fn the_path_is_the_algorithms() {
        let (from, days) = (1_782_000_000.0, 40.0);
        for observer in observers() {
            let path = SunPath::between(&observer, from, from + days * 86_400.0, 69.2).unwrap();
            let mut at = from;
            while at < from + days * 86_400.0 {
                let exact = observer.sun(at, 69.2).unwrap();
                let sun = path.at(Duration::from_seconds(at));
                let off = degrees(separation(sun.geometric, exact.geometric));
                assert!(off < 3e-4, "{off} at {at}, latitude {}", degrees(observer.latitude));
                let low = (degrees(exact.geometric.elevation) - REFRACTED).abs() < 3e-4;
                let off = degrees(separation(sun.apparent, exact.apparent));
                assert!(low || off < 3e-4, "{off} at {at}, as seen");
                at += 1_237.0;
            }
        }
    }

    /// The speed and the bend that the search rests on, from second differences of the algorithm's
    /// own directions while the sun is up, in the densest air.
    #[test]
    fn no_sun_is_faster_than_the_bound() {
        let step = 30.0;
        for observer in observers() {
            for start in [1_774_000_000.0, 1_782_000_000.0, 1_798_000_000.0] {
                for number in 0..700_u32 {
                    let at = start + f64::from(number) * 123.0;
                    let sights: Vec<_> = [at, at + step, at + 2.0 * step]
                        .iter()
                        .map(|at| observer.sun(*at, 69.2).unwrap())
                        .collect();
                    if sights.iter().any(|sun| degrees(sun.geometric.elevation) < rim()) {
                        continue;
                    }
                    let seen: Vec<_> = sights.iter().map(|sun| vector(sun.apparent)).collect();
                    let speed = separation(sights[0].geometric, sights[2].geometric).radians()
                        / (2.0 * step);
                    assert!(speed < nearest::RATE, "{speed}");
                    let of = |i: usize| seen[0][i] - 2.0 * seen[1][i] + seen[2][i];
                    let bend = sqrt(of(0) * of(0) + of(1) * of(1) + of(2) * of(2)) / step / step;
                    assert!(bend < nearest::BEND * nearest::RATE * nearest::RATE, "{bend}");
                }
            }
        }
    }
}
