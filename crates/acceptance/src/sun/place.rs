//! The place and the air as typed, and as steps of a working.

use libm::pow;
use quantity::{
    AbsolutePressure, Angle, Dimension, Duration, Length, Reading, Temperature, significant,
};

use super::{ATMOSPHERE, DELTA_T, Observer, SPA, YEARS, degrees, estimated_delta_t, from_degrees};
use crate::form::{Form, Place, exact};
use crate::state::{AIR_PRESSURE, place};
use crate::time::Moment;
use crate::{Flag, Line, Refusal};

const LATITUDE: Place =
    place("latitude", "latitude, positive north", &[Dimension::Angle], (-90, 90, "°"));
const LONGITUDE: Place =
    place("longitude", "longitude, positive east", &[Dimension::Angle], (-180, 180, "°"));
/// From below the lowest shore to above the highest works. Common practice, no source.
const ALTITUDE: Place =
    place("altitude", "altitude above sea level", &[Dimension::Length], (-500, 6000, "m"));
const BAROMETER: Place =
    place("barometer", "barometer reading", &[Dimension::AbsolutePressure], AIR_PRESSURE);
const TEMPERATURE: Place =
    place("temperature", "air temperature", &[Dimension::Temperature], (-60, 60, "°C"));
const DELTA: Place = place("delta_t", "TT − UT1", &[Dimension::Duration], (-10, 300, "s"));

/// The texts of a place, where given.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct PlaceTexts<'a> {
    pub(crate) latitude: Option<&'a str>,
    pub(crate) longitude: Option<&'a str>,
    pub(crate) altitude: Option<&'a str>,
    pub(crate) barometer: Option<&'a str>,
    pub(crate) temperature: Option<&'a str>,
    pub(crate) delta_t: Option<&'a str>,
}

/// Where the pressure or temperature of the air comes from.
#[derive(Debug, Clone)]
pub(crate) enum Air {
    /// Read at the place.
    Typed(Reading),
    /// The standard atmosphere at the altitude.
    Standard,
}

/// Place and air, read.
#[derive(Debug, Clone)]
pub(crate) struct Observation {
    pub(crate) observer: Observer,
    pub(crate) pressure: Air,
    pub(crate) temperature: Air,
    delta_t: Option<Reading>,
}

/// Pressure and temperature of the standard atmosphere at an altitude below 11 km: 15 °C and
/// 1013.25 hPa at sea level, 6.5 K less each kilometre, g·M/(R·L) = 5.255 88.
fn standard_air(altitude: Length) -> (AbsolutePressure, Temperature) {
    let kelvins = 288.15 - 0.0065 * altitude.metres();
    let pascals = 101_325.0 * pow(kelvins / 288.15, 5.255_88);
    (AbsolutePressure::from_pascals(pascals), Temperature::from_kelvins(kelvins))
}

impl Observation {
    /// Reads a place; none when something is missing, which the form then names.
    pub(crate) fn read(form: &mut Form, texts: &PlaceTexts<'_>) -> Result<Option<Self>, Refusal> {
        no_letter(&LATITUDE, texts.latitude, ["N", "S"])?;
        no_letter(&LONGITUDE, texts.longitude, ["E", "W"])?;
        let latitude = form.needed(&LATITUDE, texts.latitude)?;
        let longitude = form.needed(&LONGITUDE, texts.longitude)?;
        let altitude = form.needed(&ALTITUDE, texts.altitude)?;
        let barometer = form.optional(&BAROMETER, texts.barometer)?;
        let temperature = form.optional(&TEMPERATURE, texts.temperature)?;
        let delta_t = form.optional(&DELTA, texts.delta_t)?;
        let (Some(latitude), Some(longitude), Some(altitude)) = (latitude, longitude, altitude)
        else {
            return Ok(None);
        };
        let altitude: Length = exact(&ALTITUDE, &altitude)?;
        let (mut pressure, mut kelvins) = standard_air(altitude);
        if let Some(reading) = &barometer {
            pressure = exact(&BAROMETER, reading)?;
        }
        if let Some(reading) = &temperature {
            kelvins = exact(&TEMPERATURE, reading)?;
        }
        // A degree in decimal radians may end a digit beyond the quarter or half turn.
        let within = |angle: Angle, most: f64| from_degrees(degrees(angle).clamp(-most, most));
        Ok(Some(Self {
            observer: Observer {
                latitude: within(exact(&LATITUDE, &latitude)?, 90.0),
                longitude: within(exact(&LONGITUDE, &longitude)?, 180.0),
                altitude,
                pressure,
                temperature: kelvins,
            },
            pressure: barometer.map_or(Air::Standard, Air::Typed),
            temperature: temperature.map_or(Air::Standard, Air::Typed),
            delta_t,
        }))
    }

    /// TT − UT1 in seconds at a moment: as typed, or estimated.
    pub(crate) fn delta_t(&self, moment: Moment) -> Result<f64, Refusal> {
        match &self.delta_t {
            Some(reading) => Ok(exact::<Duration>(&DELTA, reading)?.seconds()),
            None => estimated_delta_t(moment.unix()).map_err(|error| beyond("delta_t", &error)),
        }
    }

    /// The steps from place to observer.
    pub(crate) fn working(&self, delta_t: f64) -> Vec<Line> {
        let observer = &self.observer;
        let angle = |angle: Angle| significant(degrees(angle), 9);
        let typed = |air: &Air| match air {
            Air::Typed(reading) => Some(format!("as typed, {reading}")),
            Air::Standard => None,
        };
        let mut lines = vec![
            Line::new("φ", "latitude, positive north", "as typed", angle(observer.latitude), "°"),
            Line::new("λ", "longitude, positive east", "as typed", angle(observer.longitude), "°"),
            Line::new(
                "h",
                "altitude above sea level",
                "as typed",
                significant(observer.altitude.metres(), 6),
                "m",
            ),
        ];
        let kelvins = observer.temperature.kelvins();
        let mut line = Line::new(
            "T_a",
            "air temperature, for refraction",
            &typed(&self.temperature).unwrap_or_else(|| "T_a = 288.15 K − 6.5 K/km·h".to_owned()),
            significant(kelvins - 273.15, 4),
            "°C",
        );
        if matches!(self.temperature, Air::Standard) {
            line = line.sourced(ATMOSPHERE);
        }
        lines.push(line);
        let mut line = Line::new(
            "p_a",
            "air pressure, for refraction",
            &typed(&self.pressure).unwrap_or_else(|| {
                "p_a = 1013.25 hPa·((288.15 K − 6.5 K/km·h)/288.15 K)^5.25588".to_owned()
            }),
            significant(observer.pressure.pascals() / 100.0, 6),
            "hPa",
        );
        if matches!(self.pressure, Air::Standard) {
            line = line.sourced(ATMOSPHERE);
        }
        lines.push(line);
        let mut line = Line::new(
            "ΔT",
            "terrestrial time less universal time",
            if self.delta_t.is_some() { "as typed" } else { "estimated for the date" },
            significant(delta_t, 4),
            "s",
        );
        if self.delta_t.is_none() {
            line = line.sourced(DELTA_T);
        }
        lines.push(line);
        lines
    }

    /// Warns of a longitude that does not go with the clock: a forgotten minus sign puts the sun
    /// on the other side of the sky. A clock in UTC says nothing.
    pub(crate) fn clock_flag(&self, moment: Moment) -> Option<Flag> {
        let by_sun = degrees(self.observer.longitude) / 15.0;
        let by_clock = f64::from(moment.offset_minutes()) / 60.0;
        let apart = (by_sun - by_clock + 12.0).rem_euclid(24.0) - 12.0;
        (moment.offset != 0 && apart.abs() > FARTHEST_CLOCK).then(|| Flag {
            code: "longitude_and_clock".to_owned(),
            sentence: format!(
                "At longitude {}° the sun is {} h away from a clock with this offset from UTC; no \
                 civil time differs by more than {FARTHEST_CLOCK} h. Check the sign of the \
                 longitude (positive east) and the offset.",
                significant(degrees(self.observer.longitude), 6),
                significant(apart.abs(), 2)
            ),
        })
    }
}

/// Refuses a letter for the side of the equator or of Greenwich, and says the sign to type. The
/// second of the two letters is the negative one.
fn no_letter(place: &Place, text: Option<&str>, letters: [&str; 2]) -> Result<(), Refusal> {
    let typed = text.unwrap_or_default().trim();
    let Some(letter) = letters.into_iter().find(|letter| typed.ends_with(letter)) else {
        return Ok(());
    };
    let number = typed.trim_end_matches(letter).trim_end();
    let sign = if letters.last() == Some(&letter) { "−" } else { "" };
    Err(Refusal::new(
        "hemisphere_letter",
        place.field,
        format!("The {} is typed with a letter, “{typed}”.", place.meaning),
        format!("Type the sign instead: {sign}{number}."),
    ))
}

/// Civil time is nowhere farther than this from the sun, in hours: the west of China keeps the
/// time of its east, some 3 h away, and no summer time. Common practice, no source.
const FARTHEST_CLOCK: f64 = 3.5;

/// Refuses a moment outside the years of the calculations.
pub(crate) fn require_years(field: &str, moment: Moment) -> Result<(), Refusal> {
    let (first, last) = YEARS;
    let within = |edge: &str| Moment::parse(edge).map(|edge| edge.seconds);
    if within(first) <= Some(moment.seconds) && Some(moment.seconds) < within(last) {
        return Ok(());
    }
    Err(Refusal::new(
        "outside_validity",
        field,
        format!("{} lies outside the years 1950 to 2099.", moment.text()),
        "Check the date; outside these years the program does not calculate.",
    ))
}

/// A refusal for what the algorithm itself refuses.
pub(crate) fn beyond(field: &str, error: &solar_positioning::Error) -> Refusal {
    Refusal::new(
        "outside_validity",
        field,
        format!("The position of the sun can't be calculated: {error}."),
        "Check date, place and air; outside the range the program does not calculate.",
    )
}

/// The sources that every calculation of the sun names.
pub(crate) fn sources() -> Vec<String> {
    vec![SPA.to_owned(), DELTA_T.to_owned()]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values of the ICAO standard atmosphere (from memory, as tables print them): 1 km 898.75 hPa,
    /// 8.5 °C; 2 km 794.95 hPa; 5 km 540.20 hPa.
    #[test]
    fn standard_atmosphere() {
        for (metres, hectopascals, celsius) in [
            (0.0, 1013.25, 15.0),
            (1000.0, 898.75, 8.5),
            (2000.0, 794.95, 2.0),
            (5000.0, 540.20, -17.5),
        ] {
            let (pressure, temperature) = standard_air(Length::from_metres(metres));
            assert!((pressure.pascals() / 100.0 - hectopascals).abs() < 0.02, "{metres} m");
            assert!((temperature.kelvins() - 273.15 - celsius).abs() < 0.02, "{metres} m");
        }
    }
}
