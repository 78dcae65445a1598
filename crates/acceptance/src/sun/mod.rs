//! Where the sun stands, seen from a place on the ground.
//!
//! Azimuth is counted clockwise from true north, elevation from a level horizon. The position is
//! NREL's solar position algorithm (I. Reda, A. Andreas, NREL/TP-560-34302, revised 2008; stated
//! uncertainty 0.0003° for the years −2000 to 6000) as the crate `solar-positioning` gives it.
//! *Geometric* is the direction without air; *apparent* is where the sun is seen and where its
//! light comes from, lifted by refraction.

mod fields;
mod nearest;
mod path;
mod place;
mod span;

use libm::{atan2, cos, sin, sqrt};
use quantity::{AbsolutePressure, Angle, Duration, Length, Temperature};
use solar_positioning::time::JulianDate;
use solar_positioning::{
    Error, Horizon, Location, PreparedPositions, RefractionCorrection, SolarPositions, delta_t,
};

use crate::{Flag, Refusal};

pub(crate) use fields::{Window, WindowTexts, above_zero, axis, axis_or_none, moment, sun_input};
pub(crate) use nearest::{
    Closest, Nearest, RATE, Stretch, bound, bound_of_step, of_chord, to_line,
};
pub use path::SunPath;
pub(crate) use path::{Vector, vector};
pub(crate) use place::{Observation, PlaceTexts, beyond, require_years, sources};
pub(crate) use span::{Span, first_rise, transits, up};

/// The source of the position.
pub(crate) const SPA: &str = "I. Reda, A. Andreas, Solar Position Algorithm for Solar Radiation \
                              Applications, NREL/TP-560-34302 (2008)";
/// The source of TT − UT1.
pub(crate) const DELTA_T: &str = "polynomials of F. Espenak and J. Meeus for TT − UT1, from 2015 on \
                                  fitted to IERS observations (crate solar-positioning 0.7)";
/// The source of the standard atmosphere.
pub(crate) const ATMOSPHERE: &str = "ISO 2533:1975 / ICAO standard atmosphere, below 11 km";

/// The years that the calculations take. Before and after, TT − UT1 and the offsets of clocks are
/// guesses.
pub(crate) const YEARS: (&str, &str) = ("1950-01-01T00:00:00+00:00", "2100-01-01T00:00:00+00:00");

/// A direction seen from a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Direction {
    /// Clockwise from true north.
    pub azimuth: Angle,
    /// Above the level horizon.
    pub elevation: Angle,
}

/// The angle between two directions, 0 to 180°.
///
/// By the arctangent of the cross and the dot product, which keeps its digits for directions that
/// are nearly the same or nearly opposite, where the arccosine loses half of them.
pub fn separation(one: Direction, other: Direction) -> Angle {
    let turn = other.azimuth.radians() - one.azimuth.radians();
    let (e1, e2) = (one.elevation.radians(), other.elevation.radians());
    let across = cos(e2) * sin(turn);
    let along = cos(e1) * sin(e2) - sin(e1) * cos(e2) * cos(turn);
    let dot = sin(e1) * sin(e2) + cos(e1) * cos(e2) * cos(turn);
    Angle::from_radians(atan2(sqrt(across * across + along * along), dot))
}

/// Who looks: a place on the ground and the air over it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observer {
    /// Positive north.
    pub latitude: Angle,
    /// Positive east.
    pub longitude: Angle,
    /// Above sea level.
    pub altitude: Length,
    /// Of the air at the place.
    pub pressure: AbsolutePressure,
    /// Of the air at the place.
    pub temperature: Temperature,
}

/// The sun as seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sun {
    /// Direction without air.
    pub geometric: Direction,
    /// Direction in which the sun is seen.
    pub apparent: Direction,
}

/// The formula of the angle between two directions, in the symbols of the workings.
pub(crate) const SEPARATION: &str = "σ = atan2(√((cos e·sin(A − A_m))² + (cos e_m·sin e − sin e_m·cos e·cos(A − A_m))²), \
                                     sin e_m·sin e + cos e_m·cos e·cos(A − A_m))";

/// Says what azimuth counts from.
pub(crate) fn true_north() -> Flag {
    Flag {
        code: "true_north".to_owned(),
        sentence: "Azimuth is counted clockwise from true north; a compass shows magnetic north."
            .to_owned(),
    }
}

pub(crate) fn degrees(angle: Angle) -> f64 {
    angle.radians().to_degrees()
}

pub(crate) fn from_degrees(degrees: f64) -> Angle {
    Angle::from_radians(degrees.to_radians())
}

/// TT − UT1 in seconds at a Unix time, estimated.
pub(crate) fn estimated_delta_t(unix: f64) -> Result<f64, Error> {
    // Days of a Gregorian year on average.
    delta_t::estimate(1970.0 + unix / (365.2425 * 86_400.0))
}

/// The Julian date of a Unix time: 1970-01-01T00:00:00Z is 2440587.5.
pub(crate) fn julian(unix: f64) -> f64 {
    2_440_587.5 + unix / 86_400.0
}

/// The Unix time of a Julian date.
pub(crate) fn unix(julian: f64) -> f64 {
    (julian - 2_440_587.5) * 86_400.0
}

/// The geometric elevation of the sun's middle at which its upper edge is on the level horizon:
/// 34′ of refraction and 16′ of radius.
pub(crate) fn rim() -> f64 {
    Horizon::SunriseSunset.elevation_angle()
}

impl Observer {
    fn location(&self) -> Location {
        Location { latitude: degrees(self.latitude), longitude: degrees(self.longitude) }
    }

    /// Where the sun stands at a time since 1970-01-01T00:00:00Z, with TT − UT1.
    ///
    /// # Errors
    /// A time that the algorithm does not take.
    pub fn sun_at(&self, since_1970: Duration, delta_t: Duration) -> Result<Sun, Refusal> {
        self.sun(since_1970.seconds(), delta_t.seconds()).map_err(|error| beyond("at", &error))
    }

    fn prepared(unix: f64, delta_t: f64) -> Result<PreparedPositions, Error> {
        SolarPositions::new().for_time_from_julian(JulianDate::new(julian(unix), delta_t)?)
    }

    /// Where the sun stands at a Unix time.
    pub(crate) fn sun(&self, unix: f64, delta_t: f64) -> Result<Sun, Error> {
        let prepared = Self::prepared(unix, delta_t)?;
        let (location, height) = (self.location(), self.altitude.metres());
        let air = RefractionCorrection::new(
            self.pressure.pascals() / 100.0,
            self.temperature.kelvins() - 273.15,
        )?;
        let direction = |air| {
            let position = prepared.at(location, height, air)?;
            Ok::<_, Error>(Direction {
                azimuth: from_degrees(position.azimuth()),
                elevation: from_degrees(position.elevation_angle()),
            })
        };
        Ok(Sun { geometric: direction(None)?, apparent: direction(Some(air))? })
    }

    /// Where the sun stands without air at a Unix time.
    pub(crate) fn geometric(&self, unix: f64, delta_t: f64) -> Result<Direction, Error> {
        let position =
            Self::prepared(unix, delta_t)?.at(self.location(), self.altitude.metres(), None)?;
        Ok(Direction {
            azimuth: from_degrees(position.azimuth()),
            elevation: from_degrees(position.elevation_angle()),
        })
    }

    /// Where the sun stands above the equator at a Unix time: its declination.
    pub(crate) fn declination(unix: f64, delta_t: f64) -> Result<Angle, Error> {
        Ok(from_degrees(Self::prepared(unix, delta_t)?.declination()))
    }
}
