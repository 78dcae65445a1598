//! Reads the input: typed texts become numbers, and every row of the survey finds its facet.

use std::collections::{BTreeMap, BTreeSet};

use quantity::{Angle, Decimal, Dimension, Field, Length, Ratio, Si, Window};

use super::geometry::{Bench, Pair, Spot};
use super::input::{
    AngleLimit, FacetPlace, FacetReading, FacetState, Input, Method, ReadingDoubt, SurveyState,
};
use super::light::{self, Beam};
use super::studs::{self, Studs};
use crate::Refusal;
use crate::doubt::meant;
use crate::form::{Form, Place, exact};
use crate::pressure_decay::Rule;

/// A survey, read.
#[derive(Debug)]
pub(super) struct Survey {
    pub(super) state: Option<SurveyState>,
    pub(super) method: Method,
    pub(super) bench: Bench,
    /// Every facet of the design, in order of name.
    pub(super) rows: Vec<Row>,
    pub(super) quick_distance: Option<f64>,
    pub(super) axis: Option<Edge>,
    pub(super) rms: Option<Edge>,
    /// Share that a rack's turn has to explain, 0 to 1.
    pub(super) rack_share: Option<f64>,
    pub(super) rack_source: Option<String>,
    pub(super) doubt: Option<Doubt>,
    pub(super) studs: Option<Studs>,
    /// Smallest error on an axis that is worth turning for, rad.
    pub(super) worth_turning: Option<f64>,
    pub(super) light: Option<light::Read>,
}

impl Survey {
    /// The light, where all of it is known.
    pub(super) const fn beam(&self) -> Option<&Beam> {
        match &self.light {
            Some(light::Read::Known(beam)) => Some(beam),
            _ => None,
        }
    }

    /// Whether anything was asked beyond the errors.
    pub(super) const fn plans_work(&self) -> bool {
        self.studs.is_some() || self.worth_turning.is_some() || self.beam().is_some()
    }
}

/// A facet of the design with what was found.
#[derive(Debug)]
pub(super) struct Row {
    pub(super) facet: String,
    pub(super) rack: String,
    pub(super) spot: Spot,
    /// Aim point on the focal plane, m.
    pub(super) aim: Pair,
    /// Turn of its studs against the design's, rad.
    pub(super) turned: f64,
    pub(super) state: FacetState,
    pub(super) reading: Option<Reading>,
}

/// The two shifts of a facet.
#[derive(Debug, Clone)]
pub(super) struct Reading {
    pub(super) dx: String,
    pub(super) dy: String,
    /// In m.
    pub(super) shift: Pair,
}

/// A limit of an angle, with its rule.
#[derive(Debug)]
pub(super) struct Edge {
    /// In rad.
    pub(super) edge: f64,
    /// In mrad, with the digits typed.
    pub(super) mrad: Decimal,
    pub(super) rule: Rule,
    /// Guard band over standard uncertainty.
    pub(super) guard: f64,
    pub(super) source: Option<String>,
}

/// The doubt of one shift.
#[derive(Debug)]
pub(super) struct Doubt {
    /// In m.
    pub(super) standard: f64,
    pub(super) statement: String,
}

const LENGTH: &[Dimension] = &[Dimension::Length];
const ANGLE: &[Dimension] = &[Dimension::Angle];

/// Plausible shifts on the board: beyond a metre either way a unit was mistyped.
const SHIFT: (i64, i64, &str) = (-1000, 1000, "mm");
/// The guarded rule tightens a limit by the expanded uncertainty for k = 2 (JCGM 106:2012, 8.3).
const GUARD: f64 = 2.0;

const fn place(
    field: &'static str,
    meaning: &'static str,
    dimensions: &'static [Dimension],
    plausible: (i64, i64, &'static str),
) -> Place {
    Place { field, meaning, dimensions, plausible: Some(plausible) }
}

const FOCAL: Place = place("focal_length", "focal length of the dish", LENGTH, (200, 60_000, "mm"));
const LAMP: Place =
    place("lamp_distance", "distance of the lamp from the vertex", LENGTH, (0, 20_000, "m"));
const BOARD: Place =
    place("board_distance", "distance of the board from the vertex", LENGTH, (0, 200, "m"));
const QUICK: Place = place("quick_distance", "distance of the quick rule", LENGTH, (0, 200, "m"));
const AXIS: Place = place("limits.axis.value", "limit for each axis", ANGLE, (0, 50, "mrad"));
const RMS: Place = place("limits.rms.value", "limit of the RMS", ANGLE, (0, 50, "mrad"));
const RACK: Place = place(
    "limits.rack.explained",
    "share that a rack's turn has to explain",
    &[Dimension::Ratio],
    (0, 100, "%"),
);
const WORTH: Place =
    place("worth_turning", "smallest error worth turning for", ANGLE, (0, 50, "mrad"));
const DOUBT: Place =
    place("uncertainty.reading", "uncertainty of a reading on the board", LENGTH, (0, 1000, "mm"));

/// Reads everything; none when something without which no error can be worked out is missing.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Survey>, Refusal> {
    if let Some(state) = input.state {
        let words = if state == SurveyState::AsFound { "as found" } else { "as left" };
        form.show("state", "when the survey was taken", words);
    }
    let focal_length =
        positive::<Length>(form.needed(&FOCAL, input.focal_length.as_deref())?, &FOCAL)?;
    let method = method(form, input);
    let lamp = positive::<Length>(form.optional(&LAMP, input.lamp_distance.as_deref())?, &LAMP)?;
    if lamp.is_none() && method == Some(Method::DistantLight) {
        form.miss(LAMP.field, LAMP.meaning);
    }
    let board =
        positive::<Length>(form.optional(&BOARD, input.board_distance.as_deref())?, &BOARD)?;
    let quick = form.optional(&QUICK, input.quick_distance.as_deref())?;
    let quick_distance = positive::<Length>(quick, &QUICK)?;
    let doubt = doubt(form, input.uncertainty.reading.as_ref())?;
    let axis = edge(form, &AXIS, &input.limits.axis, doubt.as_ref())?;
    let rms = edge(form, &RMS, &input.limits.rms, doubt.as_ref())?;
    let rack = form.needed(&RACK, input.limits.rack.explained.as_deref())?;
    let rack_share = positive::<Ratio>(rack, &RACK)?;
    let rack_source = input.limits.rack.source.clone();
    let studs = input.adjusters.as_ref().map(|studs| studs::read(form, studs)).transpose()?;
    let worth = form.optional(&WORTH, input.worth_turning.as_deref())?;
    let worth_turning = positive::<Angle>(worth, &WORTH)?;
    let light = input.light.as_ref().map(|light| light::read(form, light)).transpose()?;
    let rows = rows(form, input.facets.as_ref(), input.survey.as_ref())?;
    let (Some(focal_length), Some(method), Some(rows)) = (focal_length, method, rows) else {
        return Ok(None);
    };
    if lamp.is_none() && method == Method::DistantLight {
        return Ok(None);
    }
    let bench = bench(focal_length, method, lamp, board)?;
    within_sight(&bench, &rows)?;
    let state = input.state;
    Ok(Some(Survey {
        state,
        method,
        bench,
        rows,
        quick_distance,
        axis,
        rms,
        rack_share,
        rack_source,
        doubt,
        studs,
        worth_turning,
        light,
    }))
}

fn method(form: &mut Form, input: &Input) -> Option<Method> {
    match input.method {
        Some(method) => form.show("method", "method", method.words()),
        None => {
            form.miss("method", "method: target board, distant light, or image of moon or star");
        }
    }
    input.method
}

fn bench(
    focal_length: f64,
    method: Method,
    lamp: Option<f64>,
    board: Option<f64>,
) -> Result<Bench, Refusal> {
    if lamp.is_some() && method == Method::StarImage {
        return Err(Refusal::new(
            "lamp_with_star",
            LAMP.field,
            "Moon and stars need no lamp, and a distance of one is given.",
            "Leave the distance out, or choose the distant light.",
        ));
    }
    if lamp.is_some_and(|lamp| lamp <= focal_length) {
        return Err(Refusal::new(
            "out_of_range",
            LAMP.field,
            "The lamp is not farther from the vertex than the focus, so that its light meets nowhere.",
            "Measure the distance from the vertex to the lamp along the axis.",
        ));
    }
    Ok(Bench { focal_length, lamp, board: board.unwrap_or(focal_length) })
}

/// Refuses a facet whose light does not come to the front of the board.
fn within_sight(bench: &Bench, rows: &[Row]) -> Result<(), Refusal> {
    let focal_plane = Bench::focal_plane(bench.focal_length);
    for row in rows {
        if focal_plane.ray(row.spot).cos_axis <= 0.0 || bench.ray(row.spot).cos_axis <= 0.0 {
            return Err(Refusal::new(
                "out_of_range",
                &format!("facets.{}.radius", row.facet),
                format!(
                    "Facet {} lies so far out that its light does not meet the front of the board.",
                    row.facet
                ),
                "Compare radius, focal length and the board's distance with the drawing.",
            ));
        }
    }
    Ok(())
}

/// The value of a reading that must be more than zero, in the SI unit.
fn positive<Q: Si>(
    reading: Option<quantity::Reading>,
    place: &Place,
) -> Result<Option<f64>, Refusal> {
    let Some(reading) = reading else { return Ok(None) };
    let value = exact::<Q>(place, &reading)?.si();
    if value > 0.0 {
        return Ok(Some(value));
    }
    Err(Refusal::new(
        "out_of_range",
        place.field,
        format!("The {} is not more than zero.", place.meaning),
        "Type a value above zero.",
    ))
}

/// A limit with its rule; a part that is missing is noted.
fn edge(
    form: &mut Form,
    place: &Place,
    limit: &AngleLimit,
    doubt: Option<&Doubt>,
) -> Result<Option<Edge>, Refusal> {
    let reading = form.needed(place, limit.value.as_deref())?;
    if let Some(source) = &limit.source {
        form.show(&place.field.replace(".value", ".source"), "source of that limit", source);
    }
    let Some(reading) = reading else { return Ok(None) };
    let Some(edge) = positive::<Angle>(Some(reading.clone()), place)? else { return Ok(None) };
    let rule_field = place.field.replace(".value", ".rule");
    let Some(rule) = limit.rule else {
        form.miss(&rule_field, "decision rule, simple or guarded");
        return Ok(None);
    };
    form.show(&rule_field, "decision rule", rule_name(rule));
    if rule == Rule::Guarded && doubt.is_none() {
        if !form.missing.iter().any(|missing| missing.field == DOUBT.field) {
            form.miss(DOUBT.field, DOUBT.meaning);
        }
        return Ok(None);
    }
    let typed_in_mrad = reading.unit().symbol() == "mrad";
    let mrad = if typed_in_mrad {
        reading.value()
    } else {
        (reading.base() * Decimal::ONE_THOUSAND).normalize()
    };
    Ok(Some(Edge {
        edge,
        mrad,
        rule,
        guard: if rule == Rule::Guarded { GUARD } else { 0.0 },
        source: limit.source.clone(),
    }))
}

/// Name of a rule, as criteria write it.
pub(super) const fn rule_name(rule: Rule) -> &'static str {
    match rule {
        Rule::Simple => "simple",
        Rule::Guarded => "guarded",
    }
}

fn doubt(form: &mut Form, stated: Option<&ReadingDoubt>) -> Result<Option<Doubt>, Refusal> {
    let Some(stated) = stated else { return Ok(None) };
    let Some(reading) = form.optional(&DOUBT, Some(&stated.value))? else { return Ok(None) };
    let size = exact::<Length>(&DOUBT, &reading)?.si();
    let factor = stated.coverage_factor.as_deref();
    let (standard, statement) =
        meant(DOUBT.field, DOUBT.meaning, (size, &reading), stated.distribution, factor)?;
    Ok(Some(Doubt { standard: standard.value(), statement }))
}

/// The facets of the design with what was found at each, in order of name.
fn rows(
    form: &mut Form,
    facets: Option<&Vec<FacetPlace>>,
    survey: Option<&Vec<FacetReading>>,
) -> Result<Option<Vec<Row>>, Refusal> {
    let mut found: BTreeMap<&str, &FacetReading> = BTreeMap::new();
    for reading in survey.into_iter().flatten() {
        if found.insert(&reading.facet, reading).is_some() {
            return Err(twice("survey", &reading.facet));
        }
    }
    let Some(facets) = facets.filter(|facets| !facets.is_empty()) else {
        form.miss("facets", "facets of the design");
        if survey.is_none() {
            form.miss("survey", "survey of the facets");
        }
        return Ok(None);
    };
    let racks: BTreeSet<_> = facets.iter().map(|facet| facet.rack.as_str()).collect();
    let words = format!("{} facets on {} racks", facets.len(), racks.len());
    form.show("facets", "facets of the design", &words);
    let mut rows: BTreeMap<&str, Row> = BTreeMap::new();
    for facet in facets {
        let row = row(form, facet, found.remove(facet.facet.as_str()))?;
        if rows.insert(&facet.facet, row).is_some() {
            return Err(twice("facets", &facet.facet));
        }
    }
    if let Some(unknown) = found.keys().next() {
        return Err(Refusal::new(
            "unknown_facet",
            &format!("survey.{unknown}"),
            format!("The survey names facet {unknown}, and the design has none of that name."),
            "Compare the name with the drawing, and the design with the dish.",
        ));
    }
    if survey.is_none() {
        form.miss("survey", "survey of the facets");
        return Ok(None);
    }
    let rows: Vec<_> = rows.into_values().collect();
    form.show("survey", "survey of the facets", &survey_words(&rows));
    Ok(Some(rows))
}

fn twice(list: &str, facet: &str) -> Refusal {
    Refusal::new(
        "facet_twice",
        &format!("{list}.{facet}"),
        format!("Facet {facet} stands twice."),
        "Keep the row that is right and take the other out.",
    )
}

fn survey_words(rows: &[Row]) -> String {
    use FacetState::{Masked, Measured, NotMeasured, Within};
    let parts = [Measured, Within, NotMeasured, Masked].map(|state| {
        let count = rows.iter().filter(|row| row.state == state).count();
        (count > 0).then(|| format!("{count} {}", state.words()))
    });
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn row(form: &mut Form, place: &FacetPlace, found: Option<&FacetReading>) -> Result<Row, Refusal> {
    let cell = |part: &str| format!("facets.{}.{part}", place.facet);
    let length = |part: &str, text: &str, window| number::<Length>(&cell(part), text, window);
    let mut row = Row {
        facet: place.facet.clone(),
        rack: place.rack.clone(),
        spot: Spot {
            radius: length("radius", &place.radius, (0, 60_000, "mm"))?,
            bearing: number::<Angle>(&cell("bearing"), &place.bearing, (0, 360, "°"))?,
        },
        aim: Pair {
            x: length("aim_x", &place.aim_x, SHIFT)?,
            y: length("aim_y", &place.aim_y, SHIFT)?,
        },
        turned: match &place.turned {
            Some(turned) => number::<Angle>(&cell("turned"), turned, (-360, 360, "°"))?,
            None => 0.0,
        },
        state: found.map_or(FacetState::NotMeasured, |found| found.state),
        reading: None,
    };
    let Some(found) = found else { return Ok(row) };
    let field = |part: &str| format!("survey.{}.{part}", found.facet);
    if found.state != FacetState::Measured {
        if found.dx.is_some() || found.dy.is_some() {
            return Err(Refusal::new(
                "number_without_measurement",
                &format!("survey.{}", found.facet),
                format!(
                    "Facet {} is “{}” and has a number beside it.",
                    found.facet,
                    found.state.words()
                ),
                "Say that it was measured, or leave the number out.",
            ));
        }
        return Ok(row);
    }
    let (Some(dx), Some(dy)) = (&found.dx, &found.dy) else {
        // One shift alone gives no error: the facet counts as not measured, by name.
        for (part, text) in [("dx", &found.dx), ("dy", &found.dy)] {
            if text.is_none() {
                form.miss(&field(part), &format!("{part} of facet {}", found.facet));
            }
        }
        row.state = FacetState::NotMeasured;
        return Ok(row);
    };
    let shift = Pair {
        x: number::<Length>(&field("dx"), dx, SHIFT)?,
        y: number::<Length>(&field("dy"), dy, SHIFT)?,
    };
    row.reading = Some(Reading { dx: dx.trim().to_owned(), dy: dy.trim().to_owned(), shift });
    Ok(row)
}

/// A text of a list as a number in the SI unit.
fn number<Q: Si>(field: &str, text: &str, window: (i64, i64, &str)) -> Result<f64, Refusal> {
    let reading = quantity::parse(text, &Field::of(Q::DIMENSION)).map_err(|error| {
        Refusal::new(
            error.code(),
            field,
            format!("“{text}” can't be read: {error}."),
            "Nothing was calculated; the other readings are kept.",
        )
    })?;
    let (low, high, unit) = window;
    if let Some(window) = Window::new(Q::DIMENSION, Decimal::from(low), Decimal::from(high), unit) {
        window.check(&reading).map_err(|implausible| {
            Refusal::new(
                "implausible",
                field,
                format!("“{text}” is implausible: {implausible}."),
                match &implausible.meant {
                    Some(meant) => format!("Read again: is its unit {}?", meant.unit),
                    None => "Read again, and check digits and unit.".to_owned(),
                },
            )
        })?;
    }
    let value = Q::from_reading(&reading).map_err(|unusable| {
        Refusal::new(
            "not_a_value",
            field,
            format!("“{text}” can't be used: {unusable}."),
            "Give the reading itself, in a unit of that kind.",
        )
    })?;
    Ok(value.si())
}
