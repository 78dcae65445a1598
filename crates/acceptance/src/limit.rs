//! A limit with its source and decision rule, and a value judged by it.
//!
//! Source: JCGM 106:2012, 8.2 (simple acceptance) and 8.3 (guard bands): a guarded limit is
//! tightened by the expanded uncertainty (k = 2), or by the factor that a stated conformance
//! probability asks for. Values are compared unrounded.

use quantity::{
    Decimal, Dimension, Limit, Measured, Reading, Si, StandardUncertainty, against_limit, decide,
    quantile, significant,
};
use rust_decimal::prelude::ToPrimitive;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::form::{Form, Place, exact, free};
use crate::pressure_decay::Rule;
use crate::{Refusal, RuleShown, Table, Verdict, schema};

/// A limit. Left out, the result is computed and not judged.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StatedLimit {
    /// The limit with its unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub value: Option<String>,
    /// The decision rule, chosen before the test; simple when it is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Rule")]
    pub rule: Option<Rule>,
    /// With the guarded rule: the conformance probability asked for. Left out, the guard band is
    /// the expanded uncertainty (k = 2).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub conformance: Option<String>,
    /// Where the limit comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// Which side of the limit conforms.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    /// The limit or less.
    AtMost,
    /// The limit or more.
    AtLeast,
}

/// A limit, read.
#[derive(Debug, Clone)]
pub(crate) struct ReadLimit<Q> {
    /// The limit itself.
    pub(crate) value: Q,
    reading: Reading,
    side: Side,
    rule: Rule,
    factor: f64,
    source: Option<String>,
}

/// A value judged by a limit.
#[derive(Debug, Clone)]
pub(crate) struct Judged {
    pub(crate) verdict: Verdict,
    /// The value to one digit finer than its limit, with the limit's unit.
    pub(crate) value: String,
    /// What the rule did, for the sheet.
    pub(crate) rule: RuleShown,
    /// "0.94 %, not above the limit of 1.0 %": value and limit in words.
    pub(crate) sentence: String,
}

/// Guard band over standard uncertainty: the expanded uncertainty for k = 2.
const GUARD: f64 = 2.0;
/// Guard band over standard uncertainty for a conformance probability of 95 % to one side: the
/// quantile of the normal distribution.
const ONE_SIDED_95: f64 = 1.644_853_626_951_472_2;

/// Share of a limit below which a difference is rounding of the arithmetic; no instrument shows as
/// many digits.
const ROUNDING: f64 = 1e-10;

/// Reads a limit that may be left out; `field` is its path, as `limit`.
pub(crate) fn read<Q: Si>(
    form: &mut Form,
    field: &'static str,
    meaning: &'static str,
    side: Side,
    limit: Option<&StatedLimit>,
) -> Result<Option<ReadLimit<Q>>, Refusal> {
    const { assert!(!matches!(Q::DIMENSION, Dimension::GaugePressure)) };
    let Some(limit) = limit else { return Ok(None) };
    let Some(text) = limit.value.as_deref() else {
        form.within(field, |form| form.miss("value", meaning));
        return Ok(None);
    };
    let place = Place { field: "value", ..free("value", meaning, dimensions::<Q>()) };
    let read = form.within(field, |form| {
        let reading = form.optional(&place, Some(text))?;
        let factor = factor(form, limit)?;
        Ok::<_, Refusal>((reading, factor))
    })?;
    let (Some(reading), factor) = read else { return Ok(None) };
    let value = exact::<Q>(&place, &reading)
        .map_err(|refusal| Refusal { field: format!("{field}.value"), ..refusal })?;
    let rule = limit.rule.unwrap_or(Rule::Simple);
    Ok(Some(ReadLimit { value, reading, side, rule, factor, source: limit.source.clone() }))
}

/// The dimension of a quantity, as a list that lives as long as the program.
const fn dimensions<Q: Si>() -> &'static [Dimension] {
    const { &[Q::DIMENSION] }
}

fn factor(form: &mut Form, limit: &StatedLimit) -> Result<f64, Refusal> {
    let Some(text) = limit.conformance.as_deref() else { return Ok(GUARD) };
    let place = free("conformance", "conformance probability", &[Dimension::Ratio]);
    let Some(reading) = form.optional(&place, Some(text))? else { return Ok(GUARD) };
    let probability = reading.base().to_f64().unwrap_or(f64::NAN);
    match quantile(probability) {
        Some(factor) if probability >= 0.5 && limit.rule == Some(Rule::Guarded) => Ok(factor),
        _ => Err(form.refuse(
            "conformance",
            "conformance",
            format!("A conformance probability of “{text}” can't be asked for."),
            "Give 50 % to below 100 %, and only with the guarded rule.",
        )),
    }
}

impl<Q: Si> ReadLimit<Q> {
    /// A value of this quantity in the limit's own unit.
    pub(crate) fn in_unit(&self, value: Q) -> f64 {
        let unit = self.reading.unit();
        Decimal::try_from(value.si())
            .ok()
            .and_then(|base| unit.from_base(base))
            .and_then(|number| number.to_f64())
            .unwrap_or(f64::NAN)
    }

    /// The same value, or the limit itself where only the binary arithmetic lies between them: the
    /// mean of 0.842, 0.861 and 0.856 is 0.853 and meets a limit of 0.853.
    pub(crate) fn settled(&self, value: Q) -> Q {
        let (value_si, limit) = (value.si(), self.value.si());
        if (value_si - limit).abs() <= ROUNDING * limit.abs() { self.value } else { value }
    }

    /// Symbol of the limit's unit.
    pub(crate) const fn unit(&self) -> &'static str {
        self.reading.unit().symbol()
    }

    /// The limit as typed.
    pub(crate) fn shown(&self) -> String {
        self.reading.to_string()
    }

    /// Judges a value with its standard uncertainty in the SI unit; none known is not judged by a
    /// guarded rule.
    pub(crate) fn judge(&self, value: Q, standard: Option<f64>) -> Judged {
        let u = StandardUncertainty::standard(standard.unwrap_or(0.0));
        let limit = match self.side {
            Side::AtMost => Limit::AtMost(self.value),
            Side::AtLeast => Limit::AtLeast(self.value),
        };
        let rule = match self.rule {
            Rule::Simple => quantity::Rule::Simple,
            Rule::Guarded => quantity::Rule::Guarded { factor: self.factor },
        };
        let decision = decide(&Measured::new(value, u), limit, rule);
        let blind = self.rule == Rule::Guarded && standard.is_none();
        let verdict = match decision.verdict {
            _ if blind => Verdict::NotJudged,
            quantity::Verdict::Pass => Verdict::Pass,
            quantity::Verdict::Fail => Verdict::Fail,
            quantity::Verdict::NotJudged => Verdict::NotJudged,
        };
        let acceptance = match decision.acceptance {
            Limit::AtMost(edge) | Limit::AtLeast(edge) | Limit::Between(edge, _) => edge,
        };
        let unit = self.reading.unit().symbol();
        let digits = self.reading.value();
        let number = against_limit(self.in_unit(value), &digits);
        let number = match number.parse::<f64>() {
            // With a guard band the side of the acceptance limit has to be seen too.
            Ok(rounded) if self.rule == Rule::Guarded => {
                let exact = self.in_unit(value);
                let edge = self.in_unit(acceptance);
                if (rounded <= edge) == (exact <= edge) { number } else { significant(exact, 7) }
            }
            _ => number,
        };
        let value = if unit == "1" { number } else { format!("{number} {unit}") };
        let guarded = (self.rule == Rule::Guarded && !blind)
            .then(|| significant(self.in_unit(acceptance), 5))
            .map(|edge| if unit == "1" { edge } else { format!("{edge} {unit}") });
        let sentence = self.sentence(&value, verdict, guarded.as_deref());
        Judged { verdict, value, rule: self.rule_shown(decision.conformance, guarded), sentence }
    }

    /// What each of the usual rules would say of a value; only the rule that was chosen before the
    /// test judges. Editions of ISO 14253-1 differ: those of 1998 and 2013 tighten by U (k = 2),
    /// that of 2017 by default for a conformance probability of 95 %, 1.65 u to one side.
    pub(crate) fn beside(&self, value: Q, standard: f64) -> Table {
        let sign = if self.side == Side::AtMost { -1.0 } else { 1.0 };
        let mut rules = vec![
            ("simple", 0.0),
            ("guarded, 95 % conformance probability", ONE_SIDED_95),
            ("guarded, U for k = 2", GUARD),
        ];
        let chosen = if self.rule == Rule::Simple { 0.0 } else { self.factor };
        let is_chosen = |factor: f64| (factor - chosen).abs() < 1e-3;
        if !rules.iter().any(|(_, factor)| is_chosen(*factor)) {
            rules.push(("guarded, as chosen", chosen));
        }
        let row = |(name, factor): &(&str, f64)| {
            let edge = self.value.si() + sign * factor * standard;
            let pass = sign * (value.si() - edge) >= 0.0;
            vec![
                (*name).to_owned(),
                significant(*factor, 5),
                significant(self.in_unit(Q::from_si(edge)), 6),
                if pass { "pass" } else { "fail" }.to_owned(),
                if is_chosen(*factor) { "judges" } else { "beside, judges nothing" }.to_owned(),
            ]
        };
        Table {
            name: "decision_rules".to_owned(),
            title: "The same value under the usual decision rules (JCGM 106:2012; ISO 14253-1: U \
                    for k = 2 in the editions of 1998 and 2013, 95 % conformance in that of 2017)"
                .to_owned(),
            columns: vec![
                "rule".to_owned(),
                "guard band over u".to_owned(),
                format!("acceptance limit {}", self.reading.unit().symbol()),
                "outcome".to_owned(),
                "part".to_owned(),
            ],
            rows: rules.iter().map(row).collect(),
        }
    }

    fn sentence(&self, value: &str, verdict: Verdict, guarded: Option<&str>) -> String {
        let against = match guarded {
            Some(edge) => format!("the acceptance limit of {edge} (limit {})", self.shown()),
            None => format!("the limit of {}", self.shown()),
        };
        match (verdict, self.side) {
            (Verdict::Pass, Side::AtMost) => format!("{value}, not above {against}"),
            (Verdict::Pass, Side::AtLeast) => format!("{value}, not below {against}"),
            (Verdict::Fail, Side::AtMost) => format!("{value}, above {against}"),
            (Verdict::Fail, Side::AtLeast) => format!("{value}, below {against}"),
            (Verdict::NotJudged | Verdict::Computed, _) => format!(
                "{value}, not judged by the guarded rule: no uncertainty is stated (limit {})",
                self.shown()
            ),
        }
    }

    fn rule_shown(&self, conformance: Option<f64>, guarded: Option<String>) -> RuleShown {
        let word = match self.side {
            Side::AtMost => "at most",
            Side::AtLeast => "at least",
        };
        let (name, text) = match self.rule {
            Rule::Simple => ("simple", format!("Accepted when the value is {word} the limit.")),
            Rule::Guarded => (
                "guarded",
                format!(
                    "Accepted when the value is {word} the limit tightened by {} standard \
                     uncertainties (JCGM 106:2012, 8.3).",
                    significant(self.factor, 4)
                ),
            ),
        };
        RuleShown {
            name: name.to_owned(),
            text,
            limit: self.shown(),
            limit_source: self.source.clone(),
            acceptance_limit: guarded,
            conformance_probability: conformance.map(|p| format!("{:.1}", 100.0 * p)),
        }
    }
}
