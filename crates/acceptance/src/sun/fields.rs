//! What the inputs about the sun share: a place with its air, a window of time, a mirror axis.
//!
//! The fields are written once, by a macro, since serde can't both flatten a part and refuse fields
//! that it does not know.

use quantity::{Angle, Decimal, Dimension, Duration, Reading};

use super::{Direction, require_years};
use crate::Refusal;
use crate::form::{Form, Place, exact};
use crate::state::place;
use crate::time::Moment;

/// Declares an input with a place on the ground and the air over it, and, where it is asked for, a
/// window of time at a parked dish. Its methods `place` and `window` give the texts.
macro_rules! sun_input {
    ($(#[$doc:meta])* pub struct $name:ident over a window { $($more:tt)* }) => {
        $crate::sun::sun_input! {
            $(#[$doc])*
            pub struct $name {
                /// When people go to the dish.
                #[serde(default, skip_serializing_if = "Option::is_none")]
                #[schemars(schema_with = "crate::schema::moment")]
                pub start: Option<String>,
                /// How long the job is planned to last: hours, days, up to 10 958 d.
                #[serde(default, skip_serializing_if = "Option::is_none")]
                #[schemars(schema_with = "crate::schema::duration")]
                pub length: Option<String>,
                /// Time added before the start and after the end, for a clock that is not confirmed.
                #[serde(default, skip_serializing_if = "Option::is_none")]
                #[schemars(schema_with = "crate::schema::duration")]
                pub padding: Option<String>,
                $($more)*
            }
        }

        impl $name {
            /// The texts of the window.
            fn window(&self) -> $crate::sun::WindowTexts<'_> {
                $crate::sun::WindowTexts {
                    start: self.start.as_deref(),
                    length: self.length.as_deref(),
                    padding: self.padding.as_deref(),
                }
            }
        }
    };
    ($(#[$doc:meta])* pub struct $name:ident { $($more:tt)* }) => {
        $(#[$doc])*
        #[derive(
            Debug, Clone, Default, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
        )]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            /// Latitude of the place, positive north.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(schema_with = "crate::schema::angle")]
            pub latitude: Option<String>,
            /// Longitude of the place, positive east.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(schema_with = "crate::schema::angle")]
            pub longitude: Option<String>,
            /// Altitude above sea level.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(schema_with = "crate::schema::altitude")]
            pub altitude: Option<String>,
            /// Air pressure, for refraction. Left out, that of the standard atmosphere at the
            /// altitude.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(schema_with = "crate::schema::absolute_pressure")]
            pub barometer: Option<String>,
            /// Air temperature, for refraction. Left out, that of the standard atmosphere at the
            /// altitude.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(schema_with = "crate::schema::temperature")]
            pub temperature: Option<String>,
            /// Terrestrial time less universal time. Left out, estimated for the date.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(schema_with = "crate::schema::duration")]
            pub delta_t: Option<String>,
            $($more)*
        }

        impl $name {
            /// The texts of the place.
            fn place(&self) -> $crate::sun::PlaceTexts<'_> {
                $crate::sun::PlaceTexts {
                    latitude: self.latitude.as_deref(),
                    longitude: self.longitude.as_deref(),
                    altitude: self.altitude.as_deref(),
                    barometer: self.barometer.as_deref(),
                    temperature: self.temperature.as_deref(),
                    delta_t: self.delta_t.as_deref(),
                }
            }
        }
    };
}
pub(crate) use sun_input;

/// The texts of a window, where given.
#[derive(Debug, Clone, Copy)]
pub(crate) struct WindowTexts<'a> {
    pub(crate) start: Option<&'a str>,
    pub(crate) length: Option<&'a str>,
    pub(crate) padding: Option<&'a str>,
}

/// A window of time, read.
#[derive(Debug, Clone)]
pub(crate) struct Window {
    pub(crate) start: Moment,
    /// Planned length in seconds.
    pub(crate) length: f64,
    pub(crate) length_text: String,
    /// Seconds added before and after.
    pub(crate) padding: f64,
    pub(crate) padding_text: Option<String>,
}

/// Thirty years: as long as a works stands.
const LENGTH: Place =
    place("length", "planned length of the job", &[Dimension::Duration], (0, 10_958, "d"));
const PADDING: Place = place(
    "padding",
    "padding for a clock that is not confirmed",
    &[Dimension::Duration],
    (0, 24, "h"),
);

impl Window {
    /// Reads a window; none when something is missing, which the form then names.
    pub(crate) fn read(form: &mut Form, texts: &WindowTexts<'_>) -> Result<Option<Self>, Refusal> {
        let start = moment(form, "start", "planned start of the job", texts.start)?;
        let length = above_zero(form.needed(&LENGTH, texts.length)?, &LENGTH)?;
        let padding = form.optional(&PADDING, texts.padding)?;
        let (Some(start), Some(length)) = (start, length) else { return Ok(None) };
        let seconds = match &padding {
            Some(reading) => exact::<Duration>(&PADDING, reading)?.seconds(),
            None => 0.0,
        };
        let window = Self {
            start,
            length: exact::<Duration>(&LENGTH, &length)?.seconds(),
            length_text: length.to_string(),
            padding: seconds,
            padding_text: padding.filter(|_| seconds > 0.0).map(|reading| reading.to_string()),
        };
        // The day after the end is looked at too.
        require_years(LENGTH.field, start.after(window.length))?;
        Ok(Some(window))
    }

    /// The planned end, in Unix seconds.
    pub(crate) fn planned_end(&self) -> f64 {
        self.start.unix() + self.length
    }

    /// Beginning and end with the padding, in Unix seconds.
    pub(crate) fn padded(&self) -> (f64, f64) {
        (self.start.unix() - self.padding, self.planned_end() + self.padding)
    }
}

/// Reads a moment that is needed, within the years of the calculations.
pub(crate) fn moment(
    form: &mut Form,
    field: &str,
    meaning: &str,
    text: Option<&str>,
) -> Result<Option<Moment>, Refusal> {
    let moment = Moment::read(form, field, meaning, text)?;
    match moment {
        Some(moment) => require_years(field, moment)?,
        None => form.miss(field, meaning),
    }
    Ok(moment)
}

/// Refuses zero: a job without length and a margin of nothing would accept anything.
pub(crate) fn above_zero(
    reading: Option<Reading>,
    place: &Place,
) -> Result<Option<Reading>, Refusal> {
    match reading {
        Some(reading) if reading.base() <= Decimal::ZERO => Err(Refusal::new(
            "not_positive",
            place.field,
            format!("The {} is {reading}, and has to be above zero.", place.meaning),
            "Read it again, and type number and unit.",
        )),
        other => Ok(other),
    }
}

const AZIMUTH: Place = place(
    "axis_azimuth",
    "azimuth of the mirror axis, from true north",
    &[Dimension::Angle],
    (-180, 360, "°"),
);
const ELEVATION: Place =
    place("axis_elevation", "elevation of the mirror axis", &[Dimension::Angle], (-90, 90, "°"));

/// Reads a mirror axis that is needed; none when a half is missing, which the form then names.
pub(crate) fn axis(
    form: &mut Form,
    azimuth: Option<&str>,
    elevation: Option<&str>,
) -> Result<Option<Direction>, Refusal> {
    let azimuth = form.take::<Angle>(&AZIMUTH, azimuth)?;
    let elevation = form.take::<Angle>(&ELEVATION, elevation)?;
    Ok(azimuth.zip(elevation).map(|(azimuth, elevation)| Direction { azimuth, elevation }))
}

/// Reads a mirror axis that may be left out, but not by halves.
pub(crate) fn axis_or_none(
    form: &mut Form,
    azimuth: Option<&str>,
    elevation: Option<&str>,
) -> Result<Option<Direction>, Refusal> {
    match (azimuth, elevation) {
        (None, None) => Ok(None),
        (Some(_), Some(_)) => axis(form, azimuth, elevation),
        (one, _) => Err(form.refuse(
            "half_an_axis",
            if one.is_some() { ELEVATION.field } else { AZIMUTH.field },
            "Of the mirror axis only one of azimuth and elevation is given.",
            "Give both, as the dish's own display shows them, or neither.",
        )),
    }
}
