//! Decisions of conformity: a value, its uncertainty, a limit and a rule give a verdict.
//!
//! Source: JCGM 106:2012, clauses 7.2 to 7.4 (conformance probability) and 8.2, 8.3 (simple
//! acceptance, guard bands). Values are compared unrounded.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{Measured, Si, cumulative};

/// What a decision says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Accepted under the rule.
    Pass,
    /// Not accepted under the rule.
    Fail,
    /// Nothing can be said: a value or its uncertainty is missing or not a number.
    NotJudged,
}

/// The tolerance: the values that conform.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit<Q> {
    /// The limit or less.
    AtMost(Q),
    /// The limit or more.
    AtLeast(Q),
    /// From the first to the second, both included.
    Between(Q, Q),
}

/// How the uncertainty is taken into account.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rule {
    /// The value against the limit itself (shared risk).
    Simple,
    /// The value against the limit tightened by `factor` standard uncertainties.
    ///
    /// 2 tightens by the expanded uncertainty for k = 2; 1.6449 asks for a conformance probability
    /// of 95 % at a one-sided limit. A negative factor would loosen the limit and is not judged.
    Guarded {
        /// Guard band over standard uncertainty.
        factor: f64,
    },
}

/// A verdict with what it was reached by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Decision<Q> {
    /// What it says.
    pub verdict: Verdict,
    /// The limits of acceptance: the tolerance less the guard band.
    pub acceptance: Limit<Q>,
    /// The probability that the true value conforms, for a normal distribution; none without an
    /// uncertainty.
    pub conformance: Option<f64>,
}

/// Judges a measured value.
///
/// A guard band wider than the tolerance leaves nothing to accept, and the value fails.
pub fn decide<Q: Si>(measured: &Measured<Q>, limit: Limit<Q>, rule: Rule) -> Decision<Q> {
    let (value, u) = (measured.value.si(), measured.uncertainty.value());
    let guard = match rule {
        Rule::Simple => 0.0,
        Rule::Guarded { factor } => factor * u,
    };
    let acceptance = tighten(limit, guard);
    let (low, high) = ends(acceptance);
    let judgeable =
        value.is_finite() && u.is_finite() && guard >= 0.0 && !low.is_nan() && !high.is_nan();
    let verdict = match judgeable {
        false => Verdict::NotJudged,
        true if low <= value && value <= high => Verdict::Pass,
        true => Verdict::Fail,
    };
    Decision { verdict, acceptance, conformance: conformance(value, u, limit) }
}

fn tighten<Q: Si>(limit: Limit<Q>, guard: f64) -> Limit<Q> {
    let shift = |q: Q, by: f64| Q::from_si(q.si() + by);
    match limit {
        Limit::AtMost(high) => Limit::AtMost(shift(high, -guard)),
        Limit::AtLeast(low) => Limit::AtLeast(shift(low, guard)),
        Limit::Between(low, high) => Limit::Between(shift(low, guard), shift(high, -guard)),
    }
}

fn ends<Q: Si>(limit: Limit<Q>) -> (f64, f64) {
    match limit {
        Limit::AtMost(high) => (f64::NEG_INFINITY, high.si()),
        Limit::AtLeast(low) => (low.si(), f64::INFINITY),
        Limit::Between(low, high) => (low.si(), high.si()),
    }
}

fn conformance<Q: Si>(value: f64, u: f64, limit: Limit<Q>) -> Option<f64> {
    if !(u > 0.0 && u.is_finite() && value.is_finite()) {
        return None;
    }
    let (low, high) = ends(limit);
    Some(cumulative((high - value) / u) - cumulative((low - value) / u))
}
