//! The verdict: first whether the test can be judged at all, then the decision rule.
//!
//! Sources: ASTM E2930-13(2021) 5.1 for the ratio of 10 between display and limit and for the
//! pressure change of 10 %; JCGM 106:2012 for the decision. The rule that an expanded uncertainty
//! of more than a third of the limit is not judged is the procedure's own.

use quantity::{
    Duration, Measured, PressureDifference, Ratio, Si, StandardUncertainty, against_limit, decide,
    significant,
};

use super::decay::Decay;
use super::doubt::Budget;
use super::input::{Rule, Test};
use crate::{Flag, Verdict};

/// Steps of the display that the limit must move the gauge by (ASTM E2930-13(2021) 5.1).
const STEPS: f64 = 10.0;
/// The limit is to be this many times the expanded uncertainty (ASTM E2930-13(2021) 5.1).
const ACCURACY: f64 = 4.0;
/// The expanded uncertainty may be this part of the limit (the procedure's own rule).
const PART: f64 = 3.0;
/// Largest change of absolute pressure without a warning (ASTM E2930-13(2021) 5.1).
const LARGEST_CHANGE: f64 = 0.10;

/// What was decided, and on what.
#[derive(Debug)]
pub(super) struct Judgement {
    pub(super) verdict: Verdict,
    pub(super) reason: String,
    pub(super) flags: Vec<Flag>,
    pub(super) loss: Measured<Ratio>,
    /// The limit less the guard band.
    pub(super) acceptance: Ratio,
    pub(super) conformance: Option<Ratio>,
    /// The shortest hold by the gauge's display.
    pub(super) by_display: Duration,
    /// The shortest hold by the uncertainty, if that stays what it is.
    pub(super) by_doubt: Duration,
    /// The hold in which the limit moves four times the expanded uncertainty of the mass lost.
    pub(super) by_accuracy: Duration,
}

/// Judges a test.
pub(super) fn judge(test: &Test, decay: &Decay, budget: &Budget) -> Judgement {
    let scaling = test.limit_per.seconds() / decay.elapsed().seconds();
    let u = StandardUncertainty::standard(budget.loss.value() * scaling);
    let loss = Measured::new(decay.loss_per(test.limit_per), u);
    let rule = match &test.guard {
        Some((factor, _)) => quantity::Rule::Guarded { factor: factor.fraction() },
        None => quantity::Rule::Simple,
    };
    let decision = decide(&loss, quantity::Limit::AtMost(test.limit), rule);
    let acceptance = match decision.acceptance {
        quantity::Limit::AtMost(high) => high,
        quantity::Limit::AtLeast(_) | quantity::Limit::Between(..) => test.limit,
    };
    let limit_flow = quantity::MassFlow::from_kilograms_per_second(
        test.limit.fraction() * decay.mass_before().kilograms() / test.limit_per.seconds(),
    );
    let by_display =
        decay.shortest_time(test.gauge_step(), limit_flow, Ratio::from_fraction(STEPS));
    let by_doubt = Duration::from_seconds(
        PART * budget.expanded_loss().fraction() * test.limit_per.seconds() / test.limit.fraction(),
    );
    let by_accuracy = Duration::from_seconds(
        ACCURACY * 2.0 * budget.mass_lost().kilograms() / limit_flow.kilograms_per_second(),
    );
    let mut judgement = Judgement {
        verdict: Verdict::NotJudged,
        reason: String::new(),
        flags: Vec::new(),
        loss,
        acceptance,
        conformance: decision.conformance.map(Ratio::from_fraction),
        by_display,
        by_doubt,
        by_accuracy,
    };
    judgement.flags = flags(test, decay);
    let obstacles = obstacles(test, decay, &judgement);
    if obstacles.is_empty() {
        judgement.verdict = match decision.verdict {
            quantity::Verdict::Pass => Verdict::Pass,
            quantity::Verdict::Fail => Verdict::Fail,
            quantity::Verdict::NotJudged => Verdict::NotJudged,
        };
        judgement.reason = decided(test, &judgement);
    } else {
        judgement.reason = format!(
            "Not judged: {}. The loss computed is {} % of the contents per {}, against a limit of \
             {} %.",
            obstacles.join("; "),
            percent(judgement.loss.value, test),
            test.limit_per_text,
            test.limit_percent
        );
    }
    judgement
}

/// A ratio in percent, to one digit finer than the limit or as many as the verdict needs.
pub(super) fn percent(value: Ratio, test: &Test) -> String {
    against_limit(100.0 * value.fraction(), &test.limit_percent)
}

/// A time in hours, for sentences.
pub(super) fn hours(time: Duration) -> String {
    significant(time.seconds() / 3600.0, 4)
}

/// Why the test can't be judged; empty if it can.
fn obstacles(test: &Test, decay: &Decay, judgement: &Judgement) -> Vec<String> {
    let mut obstacles = Vec::new();
    let elapsed = decay.elapsed();
    let gain = -judgement.loss.value.fraction();
    if gain > judgement.loss.expanded(2.0) {
        obstacles.push(format!(
            "the circuit seems to have gained {} % of its contents, more than the doubt explains, \
             and a closed circuit can't; check that the right gas is named, that the source is \
             isolated and its hose off, and where the temperature was taken",
            significant(100.0 * gain, 2)
        ));
    }
    if let Some(apart) = test.moments_differ {
        obstacles.push(format!(
            "the two claimed moments differ by {} min from the elapsed time; find out which is \
             right, clock change and date included",
            significant(apart.seconds() / 60.0, 3)
        ));
    }
    if elapsed < test.required_hold {
        let (mut lasted, asked) = (hours(elapsed), hours(test.required_hold));
        if lasted == asked {
            lasted = significant(elapsed.seconds() / 3600.0, 7);
        }
        obstacles.push(format!(
            "the hold lasted {lasted} h, and the procedure asks for {asked} h; repeat the hold from \
             the start"
        ));
    }
    if elapsed < judgement.by_display {
        obstacles.push(format!(
            "a gauge that steps by {} bar needs at least {} h to show the limit in ten steps, and \
             the hold lasted {} h; extend the hold or use a finer gauge",
            significant(test.gauge_step().pascals() / 1e5, 3),
            hours(judgement.by_display),
            hours(elapsed)
        ));
    }
    let expanded = judgement.loss.expanded(2.0);
    if PART * expanded > test.limit.si() {
        obstacles.push(format!(
            "the expanded uncertainty (k = 2) is {} %, more than a third of the limit, {} %; extend \
             the hold to {} h or use better instruments",
            significant(100.0 * expanded, 3),
            significant(100.0 * test.limit.si() / PART, 3),
            hours(judgement.by_doubt)
        ));
    }
    obstacles
}

fn decided(test: &Test, judgement: &Judgement) -> String {
    let within = judgement.verdict == Verdict::Pass;
    let against = match test.rule {
        Rule::Simple => format!("the limit of {} %", test.limit_percent),
        Rule::Guarded => format!(
            "the acceptance limit of {} % (limit {} % less guard band)",
            significant(100.0 * judgement.acceptance.fraction(), 4),
            test.limit_percent
        ),
    };
    format!(
        "Loss of {} % of the contents per {}, {} {against}. Expanded uncertainty (k = 2) {} %.",
        shown_loss(test, judgement),
        test.limit_per_text,
        if within { "within" } else { "above" },
        significant(100.0 * judgement.loss.expanded(2.0), 2)
    )
}

/// The loss with enough digits to see on which side of limit and acceptance limit it lies.
pub(super) fn shown_loss(test: &Test, judgement: &Judgement) -> String {
    let value = 100.0 * judgement.loss.value.fraction();
    let edge = 100.0 * judgement.acceptance.fraction();
    let text = percent(judgement.loss.value, test);
    let same_side = text.parse::<f64>().is_ok_and(|rounded| (rounded > edge) == (value > edge));
    if same_side { text } else { significant(value, 6) }
}

fn flags(test: &Test, decay: &Decay) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag = |code: &str, sentence: String| {
        flags.push(Flag { code: code.to_owned(), sentence });
    };
    let change = relative_change(decay.drop(), decay);
    if change.abs() > LARGEST_CHANGE {
        flag(
            "pressure_change",
            format!(
                "The absolute pressure changed by {} % of the starting pressure, more than 10 %; \
                 the method is meant for smaller changes.",
                significant(100.0 * change, 3)
            ),
        );
    }
    if test.repeatability().is_none() {
        flag(
            "repeatability_not_stated",
            "No repeatability of the gauge is stated; none is in the budget beyond its display \
             step."
                .to_owned(),
        );
    }
    if test.elapsed_from_moments {
        flag(
            "elapsed_from_moments",
            "The elapsed time is the difference of two claimed moments, not of a clock that ran \
             through the hold."
                .to_owned(),
        );
    }
    flag(
        "block_for_gas",
        "The gas is taken to have the temperature that the probe read. No allowance is in the \
         budget for a difference; 0.5 K at each end would add about 0.24 % of contents."
            .to_owned(),
    );
    flags
}

/// A pressure difference as a part of the starting pressure.
fn relative_change(drop: PressureDifference, decay: &Decay) -> f64 {
    drop.pascals() / decay.start().pressure.pascals()
}
