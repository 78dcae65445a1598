//! What the calculation takes, and reading it.

use quantity::Ratio;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::form::Form;
use crate::limit::{ReadLimit, Side, StatedLimit};
use crate::time::Moment;
use crate::{Refusal, limit, schema};

/// Why a dish did not run.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Class {
    /// Somebody worked on it.
    Working,
    /// It waited for a part.
    WaitingPart,
    /// It waited for people.
    WaitingPeople,
    /// The work waited for weather.
    WaitingWeather,
    /// It waited for a signature or a decision.
    WaitingSignature,
    /// There was not sun enough.
    NoSun,
    /// The wind was above its limit.
    Wind,
    /// The network or something else outside was not there.
    Outside,
    /// Another reason.
    Other,
    /// It is not known whether it was up.
    Unknown,
}

impl Class {
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Working => "working",
            Self::WaitingPart => "waiting for a part",
            Self::WaitingPeople => "waiting for people",
            Self::WaitingWeather => "waiting for weather",
            Self::WaitingSignature => "waiting for a signature",
            Self::NoSun => "not sun enough",
            Self::Wind => "wind above its limit",
            Self::Outside => "network or outside",
            Self::Other => "other",
            Self::Unknown => "not known",
        }
    }

    /// Whether it must be said if the downtime was planned or forced.
    const fn of_the_machine(self) -> bool {
        !matches!(self, Self::NoSun | Self::Wind | Self::Outside | Self::Unknown)
    }
}

/// Whether a downtime was planned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Planned work.
    Planned,
    /// Forced by a fault.
    Forced,
}

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Beginning of the period.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub from: Option<String>,
    /// End of the period.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub to: Option<String>,
    /// Records of downtime; an empty list says that there was none, left out that nobody knows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Vec<Downtime>", extend("minItems" = 0))]
    pub records: Option<Vec<Downtime>>,
    /// Classes taken out of the period, as nights.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub excluded: Vec<Class>,
    /// Classes that count as down in the technical availability; left out, it is not computed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Vec<Class>")]
    pub technical_down: Option<Vec<Class>>,
    /// Where the definition comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub definition_source: Option<String>,
    /// Least technical availability.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// Least operational availability.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub operational_limit: Option<StatedLimit>,
}

/// A record of downtime.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Downtime {
    /// What it was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub name: Option<String>,
    /// When it began.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub from: Option<String>,
    /// When it ended; left out while it goes on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub to: Option<String>,
    /// Why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Class")]
    pub class: Option<Class>,
    /// Planned or forced; not needed for sun, wind, outside and unknown.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Kind")]
    pub kind: Option<Kind>,
}

/// A record, read; seconds since 1970.
#[derive(Debug, Clone)]
pub(super) struct Span {
    pub(super) name: String,
    pub(super) from: i64,
    /// The end of the period while it goes on.
    pub(super) to: i64,
    pub(super) open: bool,
    pub(super) class: Class,
    pub(super) kind: Option<Kind>,
}

/// What was read.
#[derive(Debug)]
pub(super) struct Log {
    pub(super) from: Moment,
    pub(super) to: Moment,
    pub(super) spans: Vec<Span>,
    pub(super) excluded: Vec<Class>,
    pub(super) technical_down: Option<Vec<Class>>,
    pub(super) definition_source: Option<String>,
    pub(super) limit: Option<ReadLimit<Ratio>>,
    pub(super) operational_limit: Option<ReadLimit<Ratio>>,
}

fn moment(
    form: &mut Form,
    field: &str,
    meaning: &str,
    text: Option<&str>,
) -> Result<Option<Moment>, Refusal> {
    let path = form.path(field);
    Moment::read(form, field, meaning, text).map_err(|refusal| Refusal { field: path, ..refusal })
}

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Log>, Refusal> {
    let from = moment(form, "from", "beginning of the period", input.from.as_deref())?;
    let to = moment(form, "to", "end of the period", input.to.as_deref())?;
    for (given, field, meaning) in
        [(from, "from", "beginning of the period"), (to, "to", "end of the period")]
    {
        if given.is_none() {
            form.miss(field, meaning);
        }
    }
    if let Some((from, to)) = from.zip(to)
        && to.seconds <= from.seconds
    {
        return Err(form.refuse(
            "no_period",
            "to",
            "The period ends before it begins.",
            "Check both moments and their offsets from UTC.",
        ));
    }
    if input.records.is_none() {
        form.miss("records", "records of downtime");
    }
    let mut spans = Vec::new();
    for (number, record) in input.records.iter().flatten().enumerate() {
        let span = form.within(&format!("records[{number}]"), |form| span(form, record, to))?;
        let name = record.name.clone().unwrap_or_else(|| format!("record {}", number + 1));
        spans.extend(span.map(|span| Span { name, ..span }));
    }
    let words = |classes: &[Class]| {
        let words: Vec<_> = classes.iter().map(|class| class.word()).collect();
        if words.is_empty() { "none".to_owned() } else { words.join(", ") }
    };
    if !input.excluded.is_empty() {
        form.show("excluded", "classes taken out of the period", &words(&input.excluded));
    }
    if let Some(down) = &input.technical_down {
        form.show("technical_down", "classes down in the technical availability", &words(down));
    }
    contradictions(form, input)?;
    let limit = limit::read(
        form,
        "limit",
        "least technical availability",
        Side::AtLeast,
        input.limit.as_ref(),
    )?;
    let operational_limit = limit::read(
        form,
        "operational_limit",
        "least operational availability",
        Side::AtLeast,
        input.operational_limit.as_ref(),
    )?;
    if input.limit.is_some() && input.technical_down.is_none() {
        form.miss("technical_down", "classes that count as down in the technical availability");
    }
    let (Some(from), Some(to), true) = (from, to, form.missing.is_empty()) else {
        return Ok(None);
    };
    Ok(Some(Log {
        from,
        to,
        spans,
        excluded: input.excluded.clone(),
        technical_down: input.technical_down.clone(),
        definition_source: input.definition_source.clone(),
        limit,
        operational_limit,
    }))
}

fn contradictions(form: &Form, input: &Input) -> Result<(), Refusal> {
    let down = input.technical_down.as_deref().unwrap_or_default();
    if let Some(both) = down.iter().find(|class| input.excluded.contains(class)) {
        return Err(form.refuse(
            "excluded_and_down",
            "excluded",
            format!("“{}” is excluded and counts as down too.", both.word()),
            "Name it in one of the two lists.",
        ));
    }
    if down.contains(&Class::Unknown) || input.excluded.contains(&Class::Unknown) {
        return Err(form.refuse(
            "unknown_is_unknown",
            "excluded",
            "Hours that are not known can't be excluded or counted as down: they may have been up.",
            "Leave “unknown” out of both lists; its hours are shown and never count as up.",
        ));
    }
    Ok(())
}

fn span(form: &mut Form, record: &Downtime, end: Option<Moment>) -> Result<Option<Span>, Refusal> {
    let from = moment(form, "from", "beginning of a downtime", record.from.as_deref())?;
    let to = moment(form, "to", "end of a downtime", record.to.as_deref())?;
    if from.is_none() {
        form.miss("from", "beginning of a downtime");
    }
    match record.class {
        Some(class) => form.show("class", "class of a downtime", class.word()),
        None => form.miss("class", "class of a downtime"),
    }
    match record.kind {
        Some(Kind::Planned) => form.show("kind", "planned or forced", "planned"),
        Some(Kind::Forced) => form.show("kind", "planned or forced", "forced"),
        None if record.class.is_some_and(Class::of_the_machine) => {
            form.miss("kind", "planned or forced");
        }
        None => {}
    }
    if let Some((from, to)) = from.zip(to)
        && to.seconds < from.seconds
    {
        return Err(form.refuse(
            "end_before_start",
            "to",
            "The downtime ends before it begins.",
            "Check both moments and their offsets from UTC.",
        ));
    }
    let Some((from, class)) = from.zip(record.class) else { return Ok(None) };
    let Some(stop) = to.or(end) else { return Ok(None) };
    Ok(Some(Span {
        name: String::new(),
        from: from.seconds,
        to: stop.seconds,
        open: to.is_none(),
        class,
        kind: record.kind,
    }))
}
