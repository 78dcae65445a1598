//! The correction of a reading and its comparison with a limit, in exact decimals of the base unit.

use quantity::Decimal;

use crate::Verdict;

/// What is known of the error.
#[derive(Debug, Clone)]
pub(super) enum Correction {
    /// The same for every reading.
    Same(Decimal),
    /// Reference over shown.
    Proportion(Decimal),
    /// Shown values with the correction there, rising.
    Points(Vec<(Decimal, Decimal)>),
}

impl Correction {
    /// The correction of a reading; none outside of the points or the range of decimals.
    pub(super) fn of(&self, reading: Decimal) -> Option<Decimal> {
        match self {
            Self::Same(correction) => Some(*correction),
            Self::Proportion(factor) => reading.checked_mul(*factor)?.checked_sub(reading),
            Self::Points(points) => points.windows(2).find_map(|pair| match pair {
                [(low, at_low), (high, at_high)] if *low <= reading && reading <= *high => {
                    let share = (reading - low).checked_div(high - low)?;
                    Some(at_low + share.checked_mul(at_high - at_low)?)
                }
                _ => None,
            }),
        }
    }
}

/// A limit on one side or both, in the base unit.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Band {
    pub(super) at_least: Option<Decimal>,
    pub(super) at_most: Option<Decimal>,
}

impl Band {
    /// The distance to the nearer limit, negative beyond it; none without a limit.
    pub(super) fn margin(&self, value: Decimal) -> Option<Decimal> {
        let above = self.at_least.map(|low| value - low);
        let below = self.at_most.map(|high| high - value);
        [above, below].into_iter().flatten().min()
    }

    /// The verdict for a margin less a guard band. Twenty digits are compared: units such as psi
    /// and degrees have no end in decimals, and the last digits of 28 are rounding.
    pub(super) fn verdict(&self, value: Decimal, guard: Decimal) -> Verdict {
        let size = [self.at_least, self.at_most, Some(value)]
            .into_iter()
            .flatten()
            .map(|number| number.abs())
            .max()
            .unwrap_or(Decimal::ONE);
        let rounding = size.checked_mul(Decimal::new(1, 20)).unwrap_or(Decimal::ZERO);
        match self.margin(value) {
            None => Verdict::Computed,
            Some(margin) if margin - guard >= -rounding => Verdict::Pass,
            Some(_) => Verdict::Fail,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    #[test]
    fn corrections() {
        let same = Correction::Same(number("1.9"));
        assert_eq!(same.of(number("133.2")), Some(number("1.9")));
        let twice = Correction::Proportion(number("1.02"));
        assert_eq!(twice.of(number("50")), Some(number("1")));
        let points = Correction::Points(vec![
            (number("0"), number("0")),
            (number("100"), number("1")),
            (number("200"), number("4")),
        ]);
        for (at, expected) in [("50", Some("0.5")), ("100", Some("1")), ("150", Some("2.5"))] {
            assert_eq!(points.of(number(at)), expected.map(number), "{at}");
        }
        assert_eq!(points.of(number("200.1")), None);
        assert_eq!(points.of(number("-1")), None);
    }

    #[test]
    fn a_value_on_its_limit_is_on_it() {
        let band = Band { at_least: Some(number("5")), at_most: Some(number("135")) };
        for (value, guard, expected) in [
            ("135", "0", Verdict::Pass),
            ("135.0000001", "0", Verdict::Fail),
            ("135", "0.1", Verdict::Fail),
            ("5", "0", Verdict::Pass),
            ("4.9", "0", Verdict::Fail),
        ] {
            assert_eq!(band.verdict(number(value), number(guard)), expected, "{value}");
        }
        assert_eq!(Band::default().verdict(number("1"), number("0")), Verdict::Computed);
    }
}
