//! Decisions of conformity against JCGM 106 and the normal distribution.

use quantity::{
    Limit, Measured, Power, Rule, StandardUncertainty, Verdict, Volume, decide, quantile,
    root_sum_square,
};

use crate::table::{number, rows};

fn power(value: f64, u: f64) -> Measured<Power> {
    Measured::new(Power::from_watts(value), StandardUncertainty::standard(u))
}

#[test]
fn conformance_probabilities() {
    for row in rows("decisions.csv") {
        let cells: Vec<_> = row[..6].iter().map(|cell| number(cell)).collect();
        let [Some(value), Some(u), low, high, Some(expected), Some(printed)] = cells[..] else {
            panic!("{row:?}")
        };
        let limit = match (low.map(Power::from_watts), high.map(Power::from_watts)) {
            (Some(low), None) => Limit::AtLeast(low),
            (None, Some(high)) => Limit::AtMost(high),
            (Some(low), Some(high)) => Limit::Between(low, high),
            (None, None) => panic!("{row:?}"),
        };
        let got = decide(&power(value, u), limit, Rule::Simple).conformance.unwrap();
        assert!((got - expected).abs() <= printed, "{row:?}: got {got}");
    }
}

#[test]
fn guard_factors() {
    for row in rows("guard_factors.csv") {
        let (p, expected) = (number(&row[0]).unwrap(), number(&row[1]).unwrap());
        let got = quantile(p).unwrap();
        assert!((got - expected).abs() <= 5e-5, "{row:?}: got {got}");
    }
    for outside in [0.0, 1.0, -0.1, 1.1, f64::NAN] {
        assert_eq!(quantile(outside), None);
    }
}

/// Net power 24.6 kW with u 0.35, 24.0 or more required: the rule decides. Recomputed with scipy
/// 1.17.1: the guarded limits are 24.5757 (95 %) and 24.7 (2 u).
#[test]
fn the_rule_decides() {
    let measured = power(24.6, 0.35);
    let limit = Limit::AtLeast(Power::from_watts(24.0));
    let verdict = |rule| decide(&measured, limit, rule).verdict;
    assert_eq!(verdict(Rule::Simple), Verdict::Pass);
    let ninety_five = Rule::Guarded { factor: quantile(0.95).unwrap() };
    assert_eq!(verdict(ninety_five), Verdict::Pass);
    let Limit::AtLeast(edge) = decide(&measured, limit, ninety_five).acceptance else {
        panic!("the kind of limit stays")
    };
    assert!((edge.watts() - 24.5757).abs() < 5e-5);
    assert_eq!(verdict(Rule::Guarded { factor: 2.0 }), Verdict::Fail);
}

/// A leak below its limit and not accepted at 95 %: the guarded limit is 9.244e-3 Pa·m³/s.
#[test]
fn below_the_limit_and_not_accepted() {
    let measured = power(9.669_428e-3, 4.596e-4);
    let limit = Limit::AtMost(Power::from_watts(1.0e-2));
    let decision = decide(&measured, limit, Rule::Guarded { factor: quantile(0.95).unwrap() });
    assert_eq!(decision.verdict, Verdict::Fail);
    let Limit::AtMost(edge) = decision.acceptance else { panic!("the kind of limit stays") };
    assert!((edge.watts() - 9.244e-3).abs() < 5e-7);
    assert_eq!(decide(&measured, limit, Rule::Simple).verdict, Verdict::Pass);
}

#[test]
fn two_sided_and_edges() {
    let between = Limit::Between(Power::from_watts(-0.2), Power::from_watts(0.2));
    let verdict = |value, u, rule| decide(&power(value, u), between, rule).verdict;
    assert_eq!(verdict(0.2, 0.04, Rule::Simple), Verdict::Pass, "the limit itself conforms");
    assert_eq!(verdict(-0.21, 0.04, Rule::Simple), Verdict::Fail);
    assert_eq!(verdict(0.13, 0.04, Rule::Guarded { factor: 2.0 }), Verdict::Fail);
    assert_eq!(verdict(-0.11, 0.04, Rule::Guarded { factor: 2.0 }), Verdict::Pass);
    let wide = Rule::Guarded { factor: 6.0 };
    assert_eq!(verdict(0.0, 0.04, wide), Verdict::Fail, "nothing is left to accept");
}

#[test]
fn what_can_not_be_judged() {
    let limit = Limit::AtMost(Power::from_watts(1.0));
    for (value, u, rule) in [
        (f64::NAN, 0.1, Rule::Simple),
        (f64::INFINITY, 0.1, Rule::Simple),
        (0.5, f64::NAN, Rule::Simple),
        (0.5, 0.1, Rule::Guarded { factor: -1.0 }),
        (0.5, 0.1, Rule::Guarded { factor: f64::NAN }),
    ] {
        assert_eq!(
            decide(&power(value, u), limit, rule).verdict,
            Verdict::NotJudged,
            "{value} {u}"
        );
    }
    let nowhere = Limit::AtMost(Power::from_watts(f64::NAN));
    assert_eq!(decide(&power(0.5, 0.1), nowhere, Rule::Simple).verdict, Verdict::NotJudged);
}

/// GUM 4.3.7, 4.3.9, F.2.2.1: 1/√3, 1/√6 and 1/√12 of the number stated.
#[test]
fn standard_uncertainties() {
    let close = |u: StandardUncertainty, expected: f64| (u.value() - expected).abs() < 5e-7;
    assert!(close(StandardUncertainty::rectangular(1.0), 0.577_350_3));
    assert!(close(StandardUncertainty::triangular(1.0), 0.408_248_3));
    assert!(close(StandardUncertainty::resolution(1.0), 0.288_675_1));
    assert!(close(StandardUncertainty::expanded(1.0, 2.0), 0.5));
    let two = [3.0, 4.0].map(StandardUncertainty::standard);
    assert!(close(root_sum_square(two), 5.0));
    assert!(close(StandardUncertainty::standard(0.1).through(-3.0), 0.3));
    let volume =
        Measured::new(Volume::from_cubic_metres(0.01), StandardUncertainty::standard(2e-4));
    assert!((volume.expanded(2.0) - 4e-4).abs() < 1e-18);
}
