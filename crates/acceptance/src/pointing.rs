//! Where a dish pointed and where the sun was, from the readings of its axes.
//!
//! **Signs.** An error is what the dish does: *across* is positive where it points to a greater
//! azimuth than the sun, *up* where it points higher. Both are parts of the true angle σ between
//! the two directions, so that across² + up² = σ²:
//!
//! - a = cos e_m·sin(A_m − A),  b = cos e·sin e_m − sin e·cos e_m·cos(A_m − A)
//! - σ = atan2(√(a² + b²), sin e·sin e_m + cos e·cos e_m·cos(A_m − A))
//! - across = σ·a/√(a² + b²),  up = σ·b/√(a² + b²)
//!
//! for small angles across ≈ cos e·(A_m − A) and up ≈ e_m − e. The sines take the turn through north
//! as it is; nothing has to be wrapped.

use libm::{atan2, cos, sin, sqrt, tan};
use quantity::{AbsolutePressure, Angle, Dimension, Duration, Temperature};

use crate::Refusal;
use crate::form::{Form, Place, between};
use crate::state::AIR_PRESSURE;
use crate::sun::{
    Direction, Observation, PlaceTexts, beyond, degrees, from_degrees, require_years,
};
use crate::time::Moment;

/// Encoders count a turn through north on, and their zero may be off.
const AZIMUTH: Place =
    between("azimuth", "azimuth that the axis showed", &[Dimension::Angle], (-360, 720, "°"));
const ELEVATION: Place =
    between("elevation", "elevation that the axis showed", &[Dimension::Angle], (-10, 100, "°"));
const SUN_AZIMUTH: Place =
    between("sun_azimuth", "azimuth of the sun", &[Dimension::Angle], (-360, 720, "°"));
const SUN_ELEVATION: Place =
    between("sun_elevation", "elevation of the sun", &[Dimension::Angle], (-1, 90, "°"));
const BAROMETER: Place = between(
    "barometer",
    "barometer reading",
    &[Dimension::AbsolutePressure],
    (AIR_PRESSURE.0, AIR_PRESSURE.1, AIR_PRESSURE.2),
);
const TEMPERATURE: Place =
    between("temperature", "air temperature", &[Dimension::Temperature], (-60, 60, "°C"));
const CLOCK: Place = between(
    "clock_ahead",
    "how far the clock of the readings is ahead of true time",
    &[Dimension::Duration],
    (-86_400, 86_400, "s"),
);

/// Air that lifts the sun, as read.
#[derive(Debug, Clone, Copy)]
pub(crate) struct AirRead {
    pressure: AbsolutePressure,
    temperature: Temperature,
}

/// Where the direction of the sun comes from.
#[derive(Debug, Clone)]
pub(crate) enum SunFrom {
    /// It stands beside the reading, as the sun is seen.
    Given,
    /// It stands beside the reading, without air; refraction is added.
    Geometric(AirRead),
    /// It is computed from the place, the moment, and the seconds by which the clock is ahead.
    Computed {
        /// The place.
        place: Box<Observation>,
        /// Seconds that the clock of the readings is ahead.
        ahead: f64,
    },
}

/// The sun of a place at the moments of the readings, whose clock may be ahead.
#[derive(Debug, Clone)]
pub(crate) struct Computed {
    pub(crate) place: Observation,
    /// Seconds that the clock of the readings is ahead.
    pub(crate) ahead: f64,
}

impl Computed {
    /// Reads the place and the clock; none when something is missing, which the form then names.
    pub(crate) fn read(
        form: &mut Form,
        place: &PlaceTexts<'_>,
        clock_ahead: Option<&str>,
    ) -> Result<Option<Self>, Refusal> {
        let place = Observation::read(form, place)?;
        let ahead = ahead(form, clock_ahead)?;
        Ok(place.map(|place| Self { place, ahead }))
    }

    /// Where the sun comes from.
    pub(crate) fn sun(&self) -> SunFrom {
        SunFrom::Computed { place: Box::new(self.place.clone()), ahead: self.ahead }
    }
}

/// Reads the air, for refraction.
pub(crate) fn air(
    form: &mut Form,
    barometer: Option<&str>,
    temperature: Option<&str>,
) -> Result<Option<AirRead>, Refusal> {
    let pressure = form.take(&BAROMETER, barometer)?;
    let temperature = form.take(&TEMPERATURE, temperature)?;
    Ok(pressure.zip(temperature).map(|(pressure, temperature)| AirRead { pressure, temperature }))
}

/// Reads by how many seconds a clock is ahead; zero when nothing is stated.
fn ahead(form: &mut Form, text: Option<&str>) -> Result<f64, Refusal> {
    Ok(form.may::<Duration>(&CLOCK, text)?.map_or(0.0, Duration::seconds))
}

/// Texts of one reading.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Texts<'a> {
    pub(crate) azimuth: Option<&'a str>,
    pub(crate) elevation: Option<&'a str>,
    pub(crate) sun_azimuth: Option<&'a str>,
    pub(crate) sun_elevation: Option<&'a str>,
}

/// A moment of a reading, with its fraction of a second.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stamp {
    pub(crate) moment: Moment,
    /// Seconds since 1970-01-01T00:00:00Z.
    pub(crate) unix: f64,
}

/// How fast the sun goes across and up, in rad/s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rate {
    pub(crate) across: f64,
    pub(crate) up: f64,
}

/// The sun at a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SunAt {
    pub(crate) direction: Direction,
    /// Known where the sun was computed.
    pub(crate) rate: Option<Rate>,
}

/// Reads the moment of a reading.
pub(crate) fn stamp(form: &mut Form, text: Option<&str>) -> Result<Option<Stamp>, Refusal> {
    let Some(moment) = Moment::read(form, "at", "moment of the reading", text)
        .map_err(|refusal| Refusal { field: form.path("at"), ..refusal })?
    else {
        return Ok(None);
    };
    let digits = text.and_then(|text| text.get(19..)?.strip_prefix('.')).map(|rest| {
        let end = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
        format!("0.{}", rest.split_at(end).0)
    });
    let fraction = digits.and_then(|digits| digits.parse::<f64>().ok()).unwrap_or(0.0);
    Ok(Some(Stamp { moment, unix: moment.unix() + fraction }))
}

/// Reads the direction of the axis.
pub(crate) fn axis(form: &mut Form, texts: &Texts<'_>) -> Result<Option<Direction>, Refusal> {
    let azimuth = form.take::<Angle>(&AZIMUTH, texts.azimuth)?;
    let elevation = form.take::<Angle>(&ELEVATION, texts.elevation)?;
    Ok(azimuth.zip(elevation).map(|(azimuth, elevation)| Direction { azimuth, elevation }))
}

/// Reads or computes the sun of a reading.
pub(crate) fn sun(
    form: &mut Form,
    from: &SunFrom,
    texts: &Texts<'_>,
    stamp: Option<Stamp>,
) -> Result<Option<SunAt>, Refusal> {
    if let SunFrom::Computed { place, ahead } = from {
        let Some(stamp) = stamp else {
            form.miss("at", "moment of the reading");
            return Ok(None);
        };
        let path = form.path("at");
        if texts.sun_azimuth.is_some() || texts.sun_elevation.is_some() {
            return Err(form.refuse(
                "two_suns",
                "sun_azimuth",
                "The sun is to be computed, and a direction of the sun is given beside.",
                "Give the direction of the sun with every reading, or place and moments alone.",
            ));
        }
        require_years(&path, stamp.moment)?;
        let delta_t = place.delta_t(stamp.moment)?;
        let look = |later: f64| {
            place
                .observer
                .sun(stamp.unix - ahead + later, delta_t)
                .map(|sun| sun.apparent)
                .map_err(|error| beyond(&path, &error))
        };
        let direction = look(0.0)?;
        let moved = error(look(0.5)?, look(-0.5)?);
        let rate = Some(Rate { across: moved.across, up: moved.up });
        return Ok(Some(SunAt { direction, rate }));
    }
    let azimuth = form.take::<Angle>(&SUN_AZIMUTH, texts.sun_azimuth)?;
    let elevation = form.take::<Angle>(&SUN_ELEVATION, texts.sun_elevation)?;
    let (Some(azimuth), Some(elevation)) = (azimuth, elevation) else { return Ok(None) };
    let elevation = match from {
        SunFrom::Geometric(air) => lifted(elevation, *air),
        _ => elevation,
    };
    Ok(Some(SunAt { direction: Direction { azimuth, elevation }, rate: None }))
}

/// Elevation at which the sun is seen, from that without air: NREL/TP-560-34302 (2008), eq. 42.
fn lifted(elevation: Angle, air: AirRead) -> Angle {
    let e = degrees(elevation);
    let celsius = air.temperature.kelvins() - 273.15;
    let lift = air.pressure.pascals() / 101_000.0 * 283.0 / (273.0 + celsius) * 1.02
        / (60.0 * tan((e + 10.3 / (e + 5.11)).to_radians()));
    from_degrees(e + lift)
}

/// The angle between axis and sun, and its parts, in rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Error {
    /// Positive towards greater azimuth.
    pub(crate) across: f64,
    /// Positive upward.
    pub(crate) up: f64,
}

impl Error {
    /// The angle itself.
    pub(crate) fn size(self) -> f64 {
        sqrt(self.across * self.across + self.up * self.up)
    }
}

/// How far an axis is off the sun; see the head of this file.
pub(crate) fn error(axis: Direction, sun: Direction) -> Error {
    let turn = axis.azimuth.radians() - sun.azimuth.radians();
    let (e, e_m) = (sun.elevation.radians(), axis.elevation.radians());
    let a = cos(e_m) * sin(turn);
    let b = cos(e) * sin(e_m) - sin(e) * cos(e_m) * cos(turn);
    let dot = sin(e) * sin(e_m) + cos(e) * cos(e_m) * cos(turn);
    let length = sqrt(a * a + b * b);
    let angle = atan2(length, dot);
    if length > 0.0 {
        Error { across: angle * a / length, up: angle * b / length }
    } else {
        Error { across: angle, up: 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sun::separation;

    /// NREL/TP-560-34302, Table A5.1: e₀ 39.872046°, Δe 0.016332° at 820 hPa and 11 °C.
    #[test]
    fn refraction_of_the_worked_example() {
        let air = AirRead {
            pressure: AbsolutePressure::from_pascals(82_000.0),
            temperature: Temperature::from_kelvins(284.15),
        };
        let seen = lifted(from_degrees(39.872_046), air);
        assert!((degrees(seen) - 39.888_378).abs() < 1e-6);
    }

    #[test]
    fn parts_make_up_the_separation() {
        for (a, e, a_m, e_m) in [
            (180.0, 45.0, 180.03, 45.0),
            (359.99, 20.0, 0.02, 20.01),
            (10.0, 89.9, 190.0, 89.95),
            (75.0, 12.0, 75.3, 11.7),
            (0.0, 30.0, 180.0, 30.0),
        ] {
            let at = |a, e| Direction { azimuth: from_degrees(a), elevation: from_degrees(e) };
            let found = error(at(a_m, e_m), at(a, e));
            let whole = separation(at(a, e), at(a_m, e_m)).radians();
            assert!((found.size() - whole).abs() < 1e-14, "{a} {e}: {found:?} {whole}");
        }
        let east = error(
            Direction { azimuth: from_degrees(0.02), elevation: from_degrees(20.0) },
            Direction { azimuth: from_degrees(359.99), elevation: from_degrees(20.0) },
        );
        assert!(east.across > 0.0, "through north to greater azimuth: {east:?}");
    }
}
