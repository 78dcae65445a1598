//! `cluster-output`: what the dishes of a cluster give together at the point of delivery.
//!
//! `P = (1 − l_c)·(1 − l_t)·ΣA_i·P_i − P_h`: net power `P_i` of each dish at its own meter, its
//! availability `A_i`, losses in cables and transformer as shares, and what the cluster itself uses.
//!
//! Doubt (JCGM 100:2008, 5.2.2, note 1): an error that all dishes share (one standard behind all
//! meters, one irradiance) adds up in full, `u = u_c·P`; an error of each dish's own adds by squares,
//! `u² = Σu_i²`, and so grows with the root of their number. Taking the first for the second makes
//! the doubt of 32 dishes 5.7 times too small.

use quantity::{Dimension, Power, Ratio, significant};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::doubt::{Stated, stated};
use crate::form::{self, Form, Place, between};
use crate::limit::{self, ReadLimit, Side};
use crate::registry::example;
use crate::stats::{count, mean, standard_deviation};
use crate::steps::{flag, outcome, step};
use crate::{
    Bar, Calculation, Combined, DoubtLine, Figure, Flag, Line, Outcome, Refusal, Sheet,
    StatedLimit, Statement, Table, Verdict, schema,
};

const NAME: &str = "cluster-output";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: "Output of a cluster",
    purpose: "Net output of the dishes of a cluster together, with losses and with common and own \
              doubts told apart, judged against a limit.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("cluster-output", "good-eight-dishes"),
        example!("cluster-output", "good-one-not-read"),
        example!("cluster-output", "bad-dishes-as-object"),
        example!("cluster-output", "bad-loss-in-kilowatts"),
        example!("cluster-output", "bad-power-in-kilowatt-hours"),
        example!("cluster-output", "bad-power-without-unit"),
        example!("cluster-output", "bad-unknown-field"),
        example!("cluster-output", "wrong-dish-twice"),
        example!("cluster-output", "wrong-loss-above-one"),
    ],
};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// The dishes, all at the same time and the same irradiance.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dishes: Vec<Dish>,
    /// Share lost in the cables to the transformer. Left out, none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub cable_loss: Option<String>,
    /// Share lost in the transformer. Left out, none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub transformer_loss: Option<String>,
    /// What the cluster uses beside the dishes, as for its control room.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub house_load: Option<String>,
    /// Output of the cluster, at least.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// What is stated about the meters.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// A dish.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Dish {
    /// Its name, as PC-02.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub name: Option<String>,
    /// Net power at its meter; 0 kW when it stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub power: Option<String>,
    /// Share of the time in which it gives that power. Left out, all of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub availability: Option<String>,
}

/// What is stated about the meters, in percent of the reading or in kW.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// An error that all dishes share, in percent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub common: Option<Statement>,
    /// An error that each dish has for itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub own: Option<Statement>,
}

const POWER: Place =
    between("power", "net power of the dish", &[Dimension::Power], (-50, 500, "kW"));
const SHARE: &[Dimension] = &[Dimension::Ratio];
const AVAILABILITY: Place = between("availability", "availability", SHARE, (0, 1, "1"));
const CABLE: Place = between("cable_loss", "loss in the cables", SHARE, (0, 1, "1"));
const TRANSFORMER: Place =
    between("transformer_loss", "loss in the transformer", SHARE, (0, 1, "1"));
const HOUSE: Place = between("house_load", "house load", &[Dimension::Power], (0, 5000, "kW"));
/// Standard deviations from the mean of the others beyond which a dish is named. Common practice,
/// no source; it judges nothing.
const FAR: f64 = 3.0;

/// A dish, in kW.
#[derive(Debug)]
struct Read {
    name: String,
    power: f64,
    availability: f64,
}

impl Read {
    fn gives(&self) -> f64 {
        self.availability * self.power
    }
}

#[derive(Debug)]
struct Case {
    dishes: Vec<Read>,
    /// Share that reaches the point of delivery.
    passes: f64,
    cable: f64,
    transformer: f64,
    house: f64,
    limit: Option<ReadLimit<Power>>,
    common: Option<Stated>,
    own: Option<Stated>,
}

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, a dish that is named twice.
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
    if input.dishes.is_empty() {
        form.miss("dishes", "dishes of the cluster");
    }
    let mut dishes: Vec<Read> = Vec::new();
    for (place, dish) in input.dishes.iter().enumerate() {
        let read = form.within(&format!("dishes[{place}]"), |form| {
            match &dish.name {
                Some(name) => form.show("name", "dish", name),
                None => form.miss("name", "name of the dish"),
            }
            if let Some(twice) =
                dish.name.as_ref().filter(|name| dishes.iter().any(|d| d.name == **name))
            {
                return Err(form.refuse(
                    "twice",
                    "name",
                    format!("{twice} stands in the list twice."),
                    "Leave one of the two rows.",
                ));
            }
            let power = form.take::<Power>(&POWER, dish.power.as_deref())?;
            let availability = form.may::<Ratio>(&AVAILABILITY, dish.availability.as_deref())?;
            Ok(dish.name.clone().zip(power).map(|(name, power)| Read {
                name,
                power: power.watts() / 1000.0,
                availability: availability.map_or(1.0, Ratio::fraction),
            }))
        })?;
        dishes.extend(read);
    }
    let cable = form.may::<Ratio>(&CABLE, input.cable_loss.as_deref())?;
    let transformer = form.may::<Ratio>(&TRANSFORMER, input.transformer_loss.as_deref())?;
    let house = form.may::<Power>(&HOUSE, input.house_load.as_deref())?;
    let limit = limit::read::<Power>(
        form,
        "limit",
        "output of the cluster",
        Side::AtLeast,
        input.limit.as_ref(),
    )?;
    let doubts = &input.uncertainty;
    let common = stated(
        form,
        "uncertainty.common",
        "uncertainty that all dishes share",
        SHARE,
        doubts.common.as_ref(),
    )?;
    let own = stated(
        form,
        "uncertainty.own",
        "uncertainty of each dish for itself",
        &[Dimension::Power],
        doubts.own.as_ref(),
    )?;
    if !form.missing.is_empty() {
        return Ok(None);
    }
    let (cable, transformer) =
        (cable.map_or(0.0, Ratio::fraction), transformer.map_or(0.0, Ratio::fraction));
    Ok(Some(Case {
        dishes,
        passes: (1.0 - cable) * (1.0 - transformer),
        cable,
        transformer,
        house: house.map_or(0.0, |house| house.watts() / 1000.0),
        limit,
        common,
        own,
    }))
}

/// The parts of the doubt at the point of delivery, in kW: common and own.
fn doubts(case: &Case) -> (Option<f64>, Option<f64>) {
    let sum: f64 = case.dishes.iter().map(Read::gives).sum();
    let common = case.common.as_ref().map(|doubt| case.passes * doubt.of(sum));
    let own = case.own.as_ref().map(|doubt| {
        let squares = case.dishes.iter().map(|dish| dish.availability * doubt.of(dish.power));
        case.passes * libm::sqrt(squares.map(|u| u * u).sum())
    });
    (common, own)
}

fn sheet(form: Form, case: &Case) -> Sheet {
    let sum: f64 = case.dishes.iter().map(Read::gives).sum();
    let output = case.passes * sum - case.house;
    let (common, own) = doubts(case);
    let standard = (common.is_some() || own.is_some()).then(|| {
        let (common, own) = (common.unwrap_or(0.0), own.unwrap_or(0.0));
        libm::sqrt(common * common + own * own)
    });
    let judged = case
        .limit
        .as_ref()
        .map(|limit| limit.judge(Power::from_watts(1000.0 * output), standard.map(|u| 1000.0 * u)));
    let reason = match &judged {
        Some(judged) => format!("Output of {} dishes: {}.", case.dishes.len(), judged.sentence),
        None => format!("{} dishes give {} kW.", case.dishes.len(), significant(output, 5)),
    };
    Sheet {
        verdict: judged.as_ref().map_or(Verdict::Computed, |judged| judged.verdict),
        reason,
        results: results(case, sum, output, standard),
        working: working(case, sum, output),
        doubt: budget(case, common, own),
        combined: standard.map(|u| Combined {
            of: "output".to_owned(),
            standard: significant(u, 3),
            coverage_factor: "2".to_owned(),
            expanded: significant(2.0 * u, 3),
            unit: "kW".to_owned(),
        }),
        rule: judged.map(|judged| judged.rule),
        validity:
            "All dishes read at the same time and irradiance. A dish that shades another is in \
                   its reading; losses as shares hold near the load at which they were found."
                .to_owned(),
        sources: vec!["sum; JCGM 100:2008 (GUM), 5.1.2 and 5.2.2, for the doubt".to_owned()],
        flags: flags(case, standard),
        figure: figure(case),
        tables: vec![table(case, sum)],
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn results(case: &Case, sum: f64, output: f64, standard: Option<f64>) -> Vec<Outcome> {
    let at_delivery = outcome("output", "output at the point of delivery", output, "kW");
    let powers: Vec<f64> = case.dishes.iter().map(Read::gives).collect();
    let mut results = vec![
        match standard {
            Some(u) => at_delivery.within(significant(u, 3)),
            None => at_delivery,
        },
        outcome("sum", "sum of the dishes", sum, "kW"),
        outcome("losses", "lost on the way and used in the house", sum - output, "kW"),
        outcome("mean", "mean of a dish", mean(&powers), "kW"),
    ];
    if powers.len() > 1 {
        let spread = standard_deviation(&powers);
        results.push(outcome("spread", "standard deviation between dishes", spread, "kW"));
    }
    results
}

fn working(case: &Case, sum: f64, output: f64) -> Vec<Line> {
    let n = count(case.dishes.len());
    vec![
        step("n", "dishes", "as listed", n, "1"),
        step("ΣA·P", "sum of the dishes", "ΣA_i·P_i of the list", sum, "kW"),
        step("l_c", "loss in the cables", "as typed, or 0", case.cable, "1"),
        step("l_t", "loss in the transformer", "as typed, or 0", case.transformer, "1"),
        step("P_h", "house load", "as typed, or 0", case.house, "kW"),
        step("P", "output", "P = (1 − l_c)·(1 − l_t)·ΣA·P − P_h", output, "kW"),
    ]
}

fn budget(case: &Case, common: Option<f64>, own: Option<f64>) -> Vec<DoubtLine> {
    let all: f64 = [common, own].into_iter().flatten().map(|u| u * u).sum();
    let line = |source: &str, doubt: Option<&Stated>, part: Option<f64>| {
        let part = part?;
        Some(DoubtLine {
            source: source.to_owned(),
            statement: doubt?.text.clone(),
            standard_uncertainty: significant(part, 4),
            unit: "kW".to_owned(),
            contribution: significant(part, 4),
            contribution_unit: "kW".to_owned(),
            share: format!("{:.1}", if all > 0.0 { 100.0 * part * part / all } else { 0.0 }),
            share_of_mass: None,
        })
    };
    [
        line("shared by all dishes, added in full", case.common.as_ref(), common),
        line("of each dish for itself, added by squares", case.own.as_ref(), own),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn flags(case: &Case, standard: Option<f64>) -> Vec<Flag> {
    let mut flags = Vec::new();
    if standard.is_none() {
        flags.push(flag(
            "doubt_not_stated",
            "No uncertainty of the meters is stated; the result carries none.",
        ));
    }
    for dish in &case.dishes {
        let others: Vec<f64> =
            case.dishes.iter().filter(|one| one.name != dish.name).map(Read::gives).collect();
        let (middle, spread) = (mean(&others), standard_deviation(&others));
        if others.len() >= 3 && (dish.gives() - middle).abs() > FAR * spread {
            flags.push(flag(
                "far_from_the_others",
                format!(
                    "{} gives {} kW, and the others {} kW on average: look at it.",
                    dish.name,
                    significant(dish.gives(), 4),
                    significant(middle, 4)
                ),
            ));
        }
    }
    flags
}

fn table(case: &Case, sum: f64) -> Table {
    Table {
        name: "dishes".to_owned(),
        title: "Dishes".to_owned(),
        columns: ["dish", "net kW", "availability %", "gives kW", "share %"]
            .map(str::to_owned)
            .into(),
        rows: case
            .dishes
            .iter()
            .map(|dish| {
                let share = if sum > 0.0 { 100.0 * dish.gives() / sum } else { 0.0 };
                vec![
                    dish.name.clone(),
                    significant(dish.power, 5),
                    significant(100.0 * dish.availability, 4),
                    significant(dish.gives(), 5),
                    significant(share, 3),
                ]
            })
            .collect(),
    }
}

fn figure(case: &Case) -> Option<Figure> {
    (case.dishes.len() > 1).then(|| {
        let mut figure = Figure::lines("What each dish gives", "", "", Vec::new());
        figure.bars = case
            .dishes
            .iter()
            .map(|dish| Bar {
                name: dish.name.clone(),
                meaning: dish.name.clone(),
                value: significant(dish.gives(), 4),
                unit: "kW".to_owned(),
            })
            .collect();
        figure
    })
}
