//! The image's path from the stop on, and the times at which it passes distances from the axis.

use libm::{atan, cos, sin, tan};
use quantity::Angle;
use solar_positioning::Error;

use super::input::Stop;
use crate::sun::{Direction, Observer, Sun, Vector, degrees, rim, separation, vector};

/// The sun's mean motion about the pole, in rad/s: a turn in 24 h.
pub(super) const SPEED: f64 = core::f64::consts::TAU / 86_400.0;
/// Seconds to which a passage is found.
const FINE: f64 = 0.001;
/// Seconds of a step towards a passage.
const STEP: f64 = 120.0;
/// Seconds of the longest way that is followed: in it the sun gets a quarter of a turn off the axis
/// at every place, or sets.
const LONGEST: f64 = 8.0 * 3600.0;
/// Steps of the path that is drawn.
const DRAWN: u32 = 36;

/// The image at a moment.
#[derive(Debug, Clone, Copy)]
pub(super) struct Image {
    /// Seconds since the stop.
    pub(super) after: f64,
    pub(super) sun: Sun,
    /// Angle between axis and sun.
    pub(super) angle: Angle,
    /// To the right of one who looks from the mirror to the sun, and upwards, in metres.
    pub(super) across: f64,
    pub(super) up: f64,
}

/// When the spot passes a rim.
#[derive(Debug, Clone)]
pub(super) struct Passage {
    pub(super) name: String,
    pub(super) radius: f64,
    /// The spot's edge reaches the rim: distance of its middle, and seconds after the stop; none
    /// where the sun sets before.
    pub(super) reached: (f64, Option<f64>),
    /// All of the spot is past the rim.
    pub(super) cleared: (f64, Option<f64>),
    /// The same, with the pointing error against it: earliest and latest.
    pub(super) earliest: (f64, Option<f64>),
    pub(super) latest: (f64, Option<f64>),
}

impl Passage {
    /// The angle off the sun at which all of a spot is past the rim, wherever it stood.
    pub(super) fn clear_angle(&self, focal: f64) -> Angle {
        Angle::from_radians(atan(self.latest.0 / focal))
    }
}

/// Everything about a walk.
#[derive(Debug)]
pub(super) struct Walk {
    pub(super) axis: Direction,
    pub(super) declination: Angle,
    /// Where a pointing error puts the spot, in metres.
    pub(super) shift: f64,
    /// The image a minute after the stop.
    pub(super) minute: Image,
    pub(super) passages: Vec<Passage>,
    pub(super) path: Vec<Image>,
    /// Seconds after the stop at which the sun sets, where that ends the walk.
    pub(super) sets: Option<f64>,
}

/// Follows the image; none when the sun is down.
pub(super) fn follow(stop: &Stop) -> Result<Option<Walk>, Error> {
    let unix = stop.at.unix();
    let observer = &stop.place.observer;
    let sun = observer.sun(unix, stop.delta_t)?;
    if !up(&sun) {
        return Ok(None);
    }
    let axis = sun.apparent;
    let seen = Seen { stop, axis };
    let shift = stop.pointing.map_or(0.0, |error| stop.focal * tan(error.radians()));
    let mut passages = Vec::new();
    for (name, radius) in &stop.rims {
        let pass = |distance: f64| Ok::<_, Error>((distance, seen.passes(distance)?));
        passages.push(Passage {
            name: name.clone(),
            radius: *radius,
            reached: pass(radius - stop.spot)?,
            cleared: pass(radius + stop.spot)?,
            earliest: pass(radius - stop.spot - shift)?,
            latest: pass(radius + stop.spot + shift)?,
        });
    }
    let sets = seen.sets()?;
    let last = passages.last().and_then(|passage| passage.latest.1);
    let end = last.or(sets).unwrap_or(LONGEST);
    let mut path = Vec::new();
    for number in 0..=DRAWN {
        path.push(seen.at(end * f64::from(number) / f64::from(DRAWN))?);
    }
    Ok(Some(Walk {
        axis,
        declination: Observer::declination(unix, stop.delta_t)?,
        shift,
        minute: seen.at(60.0)?,
        sets: sets.filter(|_| last.is_none()),
        passages,
        path,
    }))
}

fn up(sun: &Sun) -> bool {
    degrees(sun.geometric.elevation) >= rim()
}

fn dot(one: Vector, other: Vector) -> f64 {
    one[0] * other[0] + one[1] * other[1] + one[2] * other[2]
}

struct Seen<'a> {
    stop: &'a Stop,
    axis: Direction,
}

impl Seen<'_> {
    fn at(&self, after: f64) -> Result<Image, Error> {
        let stop = self.stop;
        let sun = stop.place.observer.sun(stop.at.unix() + after, stop.delta_t)?;
        let (azimuth, elevation) = (self.axis.azimuth.radians(), self.axis.elevation.radians());
        let right = [cos(azimuth), -sin(azimuth), 0.0];
        let upwards =
            [-sin(elevation) * sin(azimuth), -sin(elevation) * cos(azimuth), cos(elevation)];
        let to_sun = vector(sun.apparent);
        let along = dot(to_sun, vector(self.axis));
        Ok(Image {
            after,
            sun,
            angle: separation(self.axis, sun.apparent),
            across: -stop.focal * dot(to_sun, right) / along,
            up: -stop.focal * dot(to_sun, upwards) / along,
        })
    }

    /// Seconds after the stop at which the image's middle is a distance from the axis; at once for
    /// a distance that is not above zero, none where the sun sets before.
    fn passes(&self, distance: f64) -> Result<Option<f64>, Error> {
        if distance <= 0.0 {
            return Ok(Some(0.0));
        }
        let wanted = atan(distance / self.stop.focal);
        let (mut low, mut high) = (0.0, 0.0);
        loop {
            high += STEP;
            let image = self.at(high)?;
            if !up(&image.sun) || high > LONGEST {
                return Ok(None);
            }
            if image.angle.radians() >= wanted {
                break;
            }
            low = high;
        }
        while high - low > FINE {
            let middle = f64::midpoint(low, high);
            if self.at(middle)?.angle.radians() < wanted {
                low = middle;
            } else {
                high = middle;
            }
        }
        Ok(Some(f64::midpoint(low, high)))
    }

    /// Seconds after the stop at which the sun sets, within the longest way.
    fn sets(&self) -> Result<Option<f64>, Error> {
        let (mut low, mut high) = (0.0, 0.0);
        while high < LONGEST {
            high += STEP;
            if !up(&self.at(high)?.sun) {
                while high - low > 1.0 {
                    let middle = f64::midpoint(low, high);
                    if up(&self.at(middle)?.sun) { low = middle } else { high = middle }
                }
                return Ok(Some(low));
            }
            low = high;
        }
        Ok(None)
    }
}
