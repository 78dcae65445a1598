//! `parasitic-share`: what a dish uses for itself, as a share of what its generator gives.
//!
//! `share = (E_gross − E_net)/E_gross`, with gross at the generator and net at the point of
//! delivery; or from the consumers: `share = ΣE_i/E_gross`, `E_i = P_i·t_i`. All powers are means of
//! the same time, or all energies of the same time. Where both ways are given, the meters judge and
//! the consumers are compared with them: a difference beyond twice its standard uncertainty, or
//! beyond 1 % of the gross where none is stated, is flagged, for something is not on the list.
//!
//! Doubt: JCGM 100:2008, 5.1.2, the two meters independent. Their difference is small beside each,
//! so that 0.5 % of a meter is several percent of the share: meters that share their error (one
//! standard, one current transformer) may be stated so, and then only a difference remains.

use quantity::{Dimension, Duration, Power, Ratio, significant};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::doubt::{Budget, Part, Stated, first_order, stated};
use crate::form::{self, Form, Place, between};
use crate::limit::{self, ReadLimit, Side};
use crate::registry::example;
use crate::steps::{flag, outcome, step};
use crate::{
    Bar, Calculation, Figure, Flag, Line, Refusal, Sheet, StatedLimit, Statement, Table, Verdict,
    schema,
};

const NAME: &str = "parasitic-share";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: "Own use of a dish",
    purpose: "Share of the gross output that a dish uses for itself, from meters or from its \
              consumers, judged against a limit.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("parasitic-share", "good-consumers"),
        example!("parasitic-share", "good-meters"),
        example!("parasitic-share", "good-something-not-on-the-list"),
        example!("parasitic-share", "bad-consumer-without-unit"),
        example!("parasitic-share", "bad-gross-in-kilowatt-hours"),
        example!("parasitic-share", "bad-net-null"),
        example!("parasitic-share", "bad-power-as-number"),
        example!("parasitic-share", "bad-unknown-field"),
        example!("parasitic-share", "wrong-net-above-gross"),
        example!("parasitic-share", "wrong-runs-longer-than-the-time"),
    ],
};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Mean power at the generator over the time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub gross: Option<String>,
    /// Mean power at the point of delivery over the same time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub net: Option<String>,
    /// Length of the time; needed where a consumer runs a part of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub time: Option<String>,
    /// What the dish's own consumers draw; instead of net, or beside it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub consumers: Vec<Consumer>,
    /// Share at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// What is stated about the meters.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// Something that the dish uses power for.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Consumer {
    /// What it is, as "cooling pump".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub name: Option<String>,
    /// Power that it draws while it runs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub power: Option<String>,
    /// How long it ran within the time. Left out, all of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub runs: Option<String>,
}

/// What is stated about the meters, in percent of the reading or in kW.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Of the gross power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub gross: Option<Statement>,
    /// Of the net power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub net: Option<Statement>,
    /// Of each consumer's power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub consumers: Option<Statement>,
}

const POWER: &[Dimension] = &[Dimension::Power];
const GROSS: Place = between("gross", "gross power", POWER, (0, 2000, "kW"));
const NET: Place = between("net", "net power", POWER, (-100, 2000, "kW"));
const DRAWS: Place = between("power", "power of the consumer", POWER, (0, 500, "kW"));
const TIME: Place = between("time", "length of the time", &[Dimension::Duration], (1, 9000, "h"));
const RUNS: Place = between("runs", "running time", &[Dimension::Duration], (0, 9000, "h"));
/// Share of the gross beyond which meters and list are said to differ where no doubt is stated.
/// Common practice, no source.
const DIFFERS: f64 = 0.01;

/// A consumer with its mean power in kW.
#[derive(Debug, Clone)]
struct Drawn {
    name: String,
    mean: f64,
}

/// The case, in kW.
#[derive(Debug)]
struct Case {
    gross: f64,
    net: Option<f64>,
    drawn: Vec<Drawn>,
    limit: Option<ReadLimit<Ratio>>,
    doubts: [Option<Stated>; 3],
}

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, a net power above the gross, a consumer that
/// runs longer than the time.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = Form::default();
    let Some(case) = read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    Ok(sheet(form, &case))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}

fn read(form: &mut Form, input: &Input) -> Result<Option<Case>, Refusal> {
    let gross = form.take::<Power>(&GROSS, input.gross.as_deref())?;
    let net = form.may::<Power>(&NET, input.net.as_deref())?;
    let time = form.may::<Duration>(&TIME, input.time.as_deref())?;
    if net.is_none() && input.consumers.is_empty() {
        form.miss("net", "net power, or the consumers");
    }
    let mut drawn = Vec::new();
    for (place, consumer) in input.consumers.iter().enumerate() {
        let read =
            form.within(&format!("consumers[{place}]"), |form| consumer_of(form, consumer, time))?;
        drawn.extend(read);
    }
    let limit =
        limit::read::<Ratio>(form, "limit", "share at most", Side::AtMost, input.limit.as_ref())?;
    let stated_of = &input.uncertainty;
    let doubts = [
        stated(
            form,
            "uncertainty.gross",
            "uncertainty of the gross power",
            POWER,
            stated_of.gross.as_ref(),
        )?,
        stated(
            form,
            "uncertainty.net",
            "uncertainty of the net power",
            POWER,
            stated_of.net.as_ref(),
        )?,
        stated(
            form,
            "uncertainty.consumers",
            "uncertainty of each consumer's power",
            POWER,
            stated_of.consumers.as_ref(),
        )?,
    ];
    let Some(gross) = gross else { return Ok(None) };
    if !form.missing.is_empty() {
        return Ok(None);
    }
    let gross = gross.watts() / 1000.0;
    let net = net.map(|net| net.watts() / 1000.0);
    if gross <= 0.0 {
        return Err(form.refuse(
            "not_above_zero",
            "gross",
            "The gross power is not above zero: there is nothing to take a share of.",
            "Take the means over a time in which the dish runs.",
        ));
    }
    if net.is_some_and(|net| net > gross) {
        return Err(form.refuse(
            "net_above_gross",
            "net",
            "The net power is above the gross power.",
            "Look whether the two meters were exchanged, or read at different times.",
        ));
    }
    Ok(Some(Case { gross, net, drawn, limit, doubts }))
}

fn consumer_of(
    form: &mut Form,
    consumer: &Consumer,
    time: Option<Duration>,
) -> Result<Option<Drawn>, Refusal> {
    match &consumer.name {
        Some(name) => form.show("name", "consumer", name),
        None => form.miss("name", "name of the consumer"),
    }
    let power = form.take::<Power>(&DRAWS, consumer.power.as_deref())?;
    let runs = form.may::<Duration>(&RUNS, consumer.runs.as_deref())?;
    let share = match (runs, time) {
        (None, _) => 1.0,
        (Some(_), None) => {
            form.miss("runs", "length of the whole time (time), beside the running time");
            return Ok(None);
        }
        (Some(runs), Some(time)) if runs > time => {
            return Err(form.refuse(
                "runs_longer",
                "runs",
                "The consumer runs longer than the whole time.",
                "Give the part of the time in which it ran.",
            ));
        }
        (Some(runs), Some(time)) => runs.seconds() / time.seconds(),
    };
    Ok(consumer
        .name
        .clone()
        .zip(power)
        .map(|(name, power)| Drawn { name, mean: share * power.watts() / 1000.0 }))
}

fn sheet(form: Form, case: &Case) -> Sheet {
    let listed: f64 = case.drawn.iter().map(|one| one.mean).sum();
    let share = match case.net {
        Some(net) => (case.gross - net) / case.gross,
        None => listed / case.gross,
    };
    let budget = budget(case);
    let standard = budget.as_ref().map(|budget| budget.standard / 100.0);
    let judged =
        case.limit.as_ref().map(|limit| limit.judge(Ratio::from_fraction(share), standard));
    let shown = format!("{} %", significant(100.0 * share, 4));
    let reason = match &judged {
        Some(judged) => format!("Own use over gross output: {}.", judged.sentence),
        None => format!("Own use is {shown} of the gross output."),
    };
    let result = outcome("share", "own use over gross output", 100.0 * share, "%");
    let mut results = vec![match standard {
        Some(u) => result.within(significant(100.0 * u, 3)),
        None => result,
    }];
    results.push(outcome("own_use", "own use, mean", share * case.gross, "kW"));
    let mut flags = Vec::new();
    if let Some(net) = case.net.filter(|_| !case.drawn.is_empty()) {
        let left = case.gross - net - listed;
        results.push(outcome("not_listed", "own use that no listed consumer explains", left, "kW"));
        flags.extend(differs(case, left));
    }
    if budget.is_none() {
        flags.push(flag(
            "doubt_not_stated",
            "No uncertainty of the meters is stated. The share is a small difference of two large \
             readings: half a percent of each meter is about 0.7 percentage points of it.",
        ));
    }
    Sheet {
        verdict: judged.as_ref().map_or(Verdict::Computed, |judged| judged.verdict),
        reason,
        results,
        working: working(case, listed, share),
        doubt: budget.as_ref().map(|budget| budget.lines.clone()).unwrap_or_default(),
        combined: budget.as_ref().map(|budget| budget.combined("share")),
        rule: judged.map(|judged| judged.rule),
        validity: "Means over one and the same time in which the dish runs; a year's share, with \
                   the supply of the nights in it, is that of annual-energy. Losses between \
                   generator and point of delivery count as own use."
            .to_owned(),
        sources: vec!["definition; JCGM 100:2008 (GUM), 5.1.2, for the doubt".to_owned()],
        flags,
        figure: figure(case),
        tables: table(case).into_iter().collect(),
        ..Sheet::blank(&CALCULATION, form)
    }
}

/// Something draws power that is not on the list, or the list draws what no meter sees.
fn differs(case: &Case, left: f64) -> Option<Flag> {
    let of = |place: usize, value: f64| {
        case.doubts.get(place).and_then(Option::as_ref).map(|doubt| doubt.of(value))
    };
    let meters = of(0, case.gross).zip(of(1, case.net.unwrap_or(0.0)));
    let allowed = match meters {
        Some((gross, net)) => {
            let list: f64 =
                case.drawn.iter().map(|one| of(2, one.mean).unwrap_or(0.0)).map(|u| u * u).sum();
            2.0 * libm::sqrt(gross * gross + net * net + list)
        }
        None => DIFFERS * case.gross,
    };
    (left.abs() > allowed).then(|| {
        let what = if left > 0.0 {
            "of own use is not on the list: look for a consumer or a loss"
        } else {
            "more stands on the list than the meters see: look at the list"
        };
        flag("list_differs", format!("{} kW {what}.", significant(left.abs(), 3)))
    })
}

fn budget(case: &Case) -> Option<Budget> {
    let [gross, net, consumers] = &case.doubts;
    let part = |source: &str, doubt: Option<&Stated>, value: f64| Part {
        source: source.to_owned(),
        statement: doubt.map_or("not stated", |doubt| &doubt.text).to_owned(),
        value,
        standard: doubt.map_or(0.0, |doubt| doubt.of(value)),
        unit: "kW",
    };
    let mut parts = vec![part("gross power", gross.as_ref(), case.gross)];
    match case.net {
        Some(value) => {
            gross.as_ref().or(net.as_ref())?;
            parts.push(part("net power", net.as_ref(), value));
            Some(first_order(&parts, "%", |v| match v {
                [gross, net, ..] => 100.0 * (gross - net) / gross,
                _ => f64::NAN,
            }))
        }
        None => {
            gross.as_ref().or(consumers.as_ref())?;
            parts
                .extend(case.drawn.iter().map(|one| part(&one.name, consumers.as_ref(), one.mean)));
            Some(first_order(&parts, "%", |v| match v {
                [gross, drawn @ ..] => 100.0 * drawn.iter().sum::<f64>() / gross,
                [] => f64::NAN,
            }))
        }
    }
}

fn working(case: &Case, listed: f64, share: f64) -> Vec<Line> {
    let mut lines = vec![step("P_gross", "gross power", "as typed", case.gross, "kW")];
    for (place, one) in case.drawn.iter().enumerate() {
        let symbol = format!("P_{}", place + 1);
        lines.push(step(&symbol, &one.name, "as typed, mean over the time", one.mean, "kW"));
    }
    if !case.drawn.is_empty() {
        lines.push(step("ΣP", "consumers together", "ΣP_i", listed, "kW"));
    }
    match case.net {
        Some(net) => {
            lines.push(step("P_net", "net power", "as typed", net, "kW"));
            let formula = "(P_gross − P_net)/P_gross";
            lines.push(step("s", "share", formula, share, "1"));
        }
        None => lines.push(step("s", "share", "ΣP/P_gross", share, "1")),
    }
    lines
}

fn table(case: &Case) -> Option<Table> {
    (!case.drawn.is_empty()).then(|| Table {
        name: "consumers".to_owned(),
        title: "Consumers".to_owned(),
        columns: ["consumer", "mean kW", "share of gross %"].map(str::to_owned).into(),
        rows: case
            .drawn
            .iter()
            .map(|one| {
                let share = 100.0 * one.mean / case.gross;
                vec![one.name.clone(), significant(one.mean, 4), significant(share, 3)]
            })
            .collect(),
    })
}

fn figure(case: &Case) -> Option<Figure> {
    (case.drawn.len() > 1).then(|| {
        let mut figure = Figure::lines("What the dish uses for itself", "", "", Vec::new());
        figure.bars = case
            .drawn
            .iter()
            .enumerate()
            .map(|(place, one)| Bar {
                name: format!("consumer_{}", place + 1),
                meaning: one.name.clone(),
                value: significant(one.mean, 4),
                unit: "kW".to_owned(),
            })
            .collect();
        figure
    })
}
