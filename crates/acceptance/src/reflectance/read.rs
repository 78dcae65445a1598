//! From texts to readings.

use quantity::{Angle, Dimension, Ratio};

use super::input::{Input, Kind, MirrorReading, SOLAR};
use crate::Refusal;
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between};
use crate::limit::{self, ReadLimit, Side};

/// A reading of a mirror.
#[derive(Debug, Clone)]
pub(super) struct Mirror {
    pub(super) facet: Option<String>,
    pub(super) spot: Option<String>,
    pub(super) group: Option<String>,
    pub(super) value: f64,
}

/// The reflectance of the clean mirror.
#[derive(Debug, Clone)]
pub(super) enum Clean {
    /// A number with what is stated of it.
    Reference(f64, Option<Stated>),
    /// Readings by the same instrument.
    Readings(Vec<Mirror>),
}

/// The check on a tile: certificate, read, allowed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tile {
    pub(super) certificate: f64,
    pub(super) read: f64,
    pub(super) allowed: f64,
}

/// Everything, read.
#[derive(Debug)]
pub(super) struct Survey {
    pub(super) kind: Option<Kind>,
    pub(super) wavelength: Option<String>,
    /// In rad.
    pub(super) incidence: Option<f64>,
    /// In rad.
    pub(super) acceptance: Option<f64>,
    pub(super) readings: Vec<Mirror>,
    pub(super) before: Vec<Mirror>,
    pub(super) clean: Option<Clean>,
    pub(super) tile: Option<Tile>,
    pub(super) confidence: f64,
    pub(super) wanted: Option<f64>,
    pub(super) mean_limit: Option<ReadLimit<Ratio>>,
    pub(super) cleanliness_limit: Option<ReadLimit<Ratio>>,
    pub(super) gain_limit: Option<ReadLimit<Ratio>>,
    pub(super) instrument: Option<Stated>,
}

const RATIO: &[Dimension] = &[Dimension::Ratio];

const fn reflectance(field: &'static str, meaning: &'static str) -> Place {
    between(field, meaning, RATIO, (0, 100, "%"))
}

const INCIDENCE: Place =
    between("incidence", "angle of incidence", &[Dimension::Angle], (0, 90, "°"));
const ACCEPTANCE: Place =
    between("acceptance", "half-angle taken in", &[Dimension::Angle], (0, 90, "°"));
/// Confidence of the intervals where none is asked for. Common practice, no source.
const USUAL: f64 = 0.95;
/// Gaps that are named before the reading of a long list stops.
const GAPS: usize = 20;
/// Most readings of a list.
const MOST: usize = 20_000;

/// Reads the input; none when something needed is missing.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Survey>, Refusal> {
    let (kind, wavelength) = conditions(form, input)?;
    let incidence = form.may::<Angle>(&INCIDENCE, input.incidence.as_deref())?.map(Angle::radians);
    let acceptance =
        form.may::<Angle>(&ACCEPTANCE, input.acceptance.as_deref())?.map(Angle::radians);
    let confidence = confidence(form, input)?;
    let wanted = form.may_above_zero::<Ratio>(
        &reflectance("wanted_half_width", "half-width wanted"),
        input.wanted_half_width.as_deref(),
    )?;
    let (mean_limit, cleanliness_limit, gain_limit) = limits(form, input)?;
    let (instrument, of_clean) = doubts(form, input)?;
    let tile = tile(form, input)?;
    if input.readings.is_empty() {
        form.miss("readings", "readings of the mirrors");
    }
    let readings = list(form, "readings", &input.readings)?;
    let before = list(form, "before", &input.before)?;
    let clean = clean(form, input, of_clean)?;
    if cleanliness_limit.is_some() && clean.is_none() {
        form.miss("clean_reference", "reflectance of the clean mirror");
    }
    if gain_limit.is_some() && input.before.is_empty() {
        form.miss("before", "readings before the wash");
    }
    if !form.missing.is_empty() {
        return Ok(None);
    }
    Ok(Some(Survey {
        kind,
        wavelength,
        incidence,
        acceptance,
        readings,
        before,
        clean,
        tile,
        confidence,
        wanted,
        mean_limit,
        cleanliness_limit,
        gain_limit,
        instrument,
    }))
}

fn conditions(form: &mut Form, input: &Input) -> Result<(Option<Kind>, Option<String>), Refusal> {
    if let Some(kind) = input.kind {
        form.show("kind", "what the instrument measures", kind.words());
    }
    let Some(text) = &input.wavelength else { return Ok((input.kind, None)) };
    form.show("wavelength", "wavelength", text);
    let unit = ["nm", "µm", "um"].iter().find_map(|unit| text.trim().strip_suffix(unit));
    let numbers = unit.is_some_and(|numbers| {
        numbers.split(['-', '–']).count() <= 2
            && numbers
                .split(['-', '–'])
                .all(|number| number.trim().replace(',', ".").parse::<f64>().is_ok_and(|n| n > 0.0))
    });
    if numbers || text == SOLAR {
        return Ok((input.kind, Some(text.trim().to_owned())));
    }
    Err(form.refuse(
        "wavelength",
        "wavelength",
        format!("“{text}” is no wavelength."),
        "Type it as 660 nm, a band as 400-700 nm, or the word solar-weighted.",
    ))
}

impl Kind {
    /// In words.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Specular => "specular reflectance",
            Self::Hemispherical => "hemispherical reflectance",
        }
    }
}

fn confidence(form: &mut Form, input: &Input) -> Result<f64, Refusal> {
    let place = reflectance("confidence", "confidence");
    let Some(read) = form.may::<Ratio>(&place, input.confidence.as_deref())? else {
        return Ok(USUAL);
    };
    let confidence = read.fraction();
    if (0.5..1.0).contains(&confidence) {
        return Ok(confidence);
    }
    Err(form.refuse(
        "out_of_range",
        "confidence",
        "That is no confidence of an interval.",
        "Give 50 % to below 100 %; 95 % is usual.",
    ))
}

type Edges = (Option<ReadLimit<Ratio>>, Option<ReadLimit<Ratio>>, Option<ReadLimit<Ratio>>);

fn limits(form: &mut Form, input: &Input) -> Result<Edges, Refusal> {
    let given = &input.limits;
    form.within("limits", |form| {
        let mut read = |field, meaning, limit: &Option<crate::StatedLimit>| {
            limit::read::<Ratio>(form, field, meaning, Side::AtLeast, limit.as_ref())
        };
        Ok((
            read("mean", "limit of the mean", &given.mean)?,
            read("cleanliness", "limit of the cleanliness", &given.cleanliness)?,
            read("gain", "limit of the gain", &given.gain)?,
        ))
    })
}

fn doubts(form: &mut Form, input: &Input) -> Result<(Option<Stated>, Option<Stated>), Refusal> {
    let given = &input.uncertainty;
    form.within("uncertainty", |form| {
        let mut read = |field, meaning, statement: &Option<_>| {
            stated(form, field, meaning, RATIO, statement.as_ref())
        };
        Ok((
            read("instrument", "uncertainty of the instrument", &given.instrument)?,
            read("clean_reference", "uncertainty of the reference", &given.clean_reference)?,
        ))
    })
}

fn tile(form: &mut Form, input: &Input) -> Result<Option<Tile>, Refusal> {
    let Some(given) = &input.tile else { return Ok(None) };
    form.within("tile", |form| {
        let mut take = |field, meaning, text: &Option<String>| {
            form.take::<Ratio>(&reflectance(field, meaning), text.as_deref())
        };
        let certificate = take("certificate", "reflectance of the tile", &given.certificate)?;
        let read = take("read", "reading of the tile", &given.read)?;
        let allowed = take("allowed", "difference allowed on the tile", &given.allowed)?;
        let (Some(certificate), Some(read), Some(allowed)) = (certificate, read, allowed) else {
            return Ok(None);
        };
        Ok(Some(Tile {
            certificate: certificate.fraction(),
            read: read.fraction(),
            allowed: allowed.fraction(),
        }))
    })
}

fn list(
    form: &mut Form,
    field: &'static str,
    given: &[MirrorReading],
) -> Result<Vec<Mirror>, Refusal> {
    if given.len() > MOST {
        return Err(form.refuse(
            "too_many",
            field,
            format!("There are more than {MOST} readings."),
            "Give the readings of one survey.",
        ));
    }
    let shown = form.inputs.len();
    let mut out = Vec::new();
    for (row, reading) in given.iter().enumerate() {
        let value = form.within(&format!("{field}[{row}]"), |form| {
            let name = [&reading.facet, &reading.spot, &reading.group];
            let name: Vec<_> = name.into_iter().flatten().map(String::as_str).collect();
            let value =
                form.take::<Ratio>(&reflectance("value", "reflectance"), reading.value.as_deref())?;
            if let (Some(line), false) = (form.inputs.last_mut(), name.is_empty())
                && value.is_some()
            {
                line.meaning = format!("reflectance, {}", name.join(" "));
            }
            Ok::<_, Refusal>(value)
        })?;
        out.extend(value.map(|value| Mirror {
            facet: reading.facet.clone(),
            spot: reading.spot.clone(),
            group: reading.group.clone(),
            value: value.fraction(),
        }));
        if form.missing.len() > GAPS {
            break;
        }
    }
    form.fold(shown, field, "readings of the mirrors", given.len());
    Ok(out)
}

fn clean(
    form: &mut Form,
    input: &Input,
    of_clean: Option<Stated>,
) -> Result<Option<Clean>, Refusal> {
    let place = reflectance("clean_reference", "reflectance of the clean mirror");
    let reference = form.may_above_zero::<Ratio>(&place, input.clean_reference.as_deref())?;
    let readings = list(form, "clean", &input.clean)?;
    if reference.is_some() && !input.clean.is_empty() {
        return Err(form.refuse(
            "two_references",
            "clean",
            "Both a clean reference and readings of clean spots are given.",
            "Give the one that the cleanliness is to be counted from.",
        ));
    }
    if of_clean.is_some() && reference.is_none() {
        return Err(form.refuse(
            "does_not_belong",
            "uncertainty.clean_reference",
            "An uncertainty of the clean reference is stated, and there is no reference.",
            "Give clean_reference, or take the statement out.",
        ));
    }
    Ok(match reference {
        Some(value) => Some(Clean::Reference(value, of_clean)),
        None if readings.is_empty() => None,
        None => Some(Clean::Readings(readings)),
    })
}
