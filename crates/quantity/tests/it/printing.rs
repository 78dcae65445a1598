//! Numbers on paper.

use quantity::{Decimal, against_limit, scientific, significant};

#[track_caller]
fn check(value: f64, limit: &str, expected: &str) {
    let limit: Decimal = limit.parse().unwrap();
    assert_eq!(against_limit(value, &limit), expected);
}

#[test]
fn one_digit_finer_than_the_limit() {
    check(0.758_709, "1.0", "0.76");
    check(3.981_2, "1.0", "3.98");
    check(0.758_709, "1", "0.8");
    check(-0.256, "1.0", "-0.26");
    check(2.6, "25", "2.6");
    check(1.0, "1.0", "1.00");
    check(-0.001, "1.0", "0.00");
}

#[test]
fn rounding_never_hides_the_verdict() {
    check(0.9499, "0.95", "0.9499");
    check(0.949_999_9, "0.95", "0.9499999");
    check(1.004, "1.0", "1.004");
    check(0.996, "1.0", "0.996");
    check(1.000_000_1, "1.0", "1.0000001");
    check(0.95, "0.95", "0.950");
    check(135.04, "135.0", "135.04");
    check(135.000_4, "135.0", "135.0004");
}

#[test]
fn significant_digits() {
    assert_eq!(significant(11.355_940_62, 7), "11.35594");
    assert_eq!(significant(0.001_234_56, 3), "0.00123");
    assert_eq!(significant(9.999_9, 3), "10.0");
    assert_eq!(significant(293.15, 7), "293.1500");
    assert_eq!(significant(0.0, 3), "0");
    assert_eq!(significant(-48.09, 3), "-48.1");
    assert_eq!(significant(f64::NAN, 3), "NaN");
    assert_eq!(scientific(9.669_428e-3, 7), "9.669428e-3");
}
