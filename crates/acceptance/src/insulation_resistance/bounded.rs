//! A resistance or ratio that may be only a bound, and what follows from bounds.

use quantity::{Bound, Reading, significant};
use rust_decimal::prelude::ToPrimitive;

/// A number that is the value itself or a bound of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bounded {
    pub(super) number: f64,
    pub(super) bound: Bound,
}

impl Bounded {
    /// A reading in its base unit.
    pub(super) fn of(reading: &Reading) -> Self {
        Self { number: reading.base().to_f64().unwrap_or(f64::NAN), bound: reading.bound() }
    }

    /// Times a positive factor: the bound stays what it is.
    pub(super) fn times(self, factor: f64) -> Self {
        Self { number: self.number * factor, ..self }
    }

    /// One over the other; none when both are bounds that pull the same way.
    pub(super) fn over(self, below: Self) -> Option<Self> {
        let number = self.number / below.number;
        let turned = match below.bound {
            Bound::Exact => return Some(Self { number, bound: self.bound }),
            Bound::Above => Bound::Below,
            Bound::AtLeast => Bound::AtMost,
            Bound::Below => Bound::Above,
            Bound::AtMost => Bound::AtLeast,
        };
        let bound = match (self.bound, turned) {
            (Bound::Exact, turned) => turned,
            (Bound::Above | Bound::AtLeast, Bound::Above | Bound::AtLeast) => Bound::Above,
            (Bound::Below | Bound::AtMost, Bound::Below | Bound::AtMost) => Bound::Below,
            _ => return None,
        };
        Some(Self { number, bound })
    }

    /// The number with the sign of its bound.
    pub(super) fn text(self, scale: f64, digits: usize) -> String {
        format!("{}{}", self.bound.sign(), significant(self.number / scale, digits))
    }

    pub(super) const fn is_lower(self) -> bool {
        matches!(self.bound, Bound::Above | Bound::AtLeast)
    }

    pub(super) const fn is_upper(self) -> bool {
        matches!(self.bound, Bound::Below | Bound::AtMost)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a quotient of bounds can and can't say.
    #[test]
    fn quotients_of_bounds() {
        let number = |number, bound| Bounded { number, bound };
        let (ten, five) = (number(10.0, Bound::Exact), number(5.0, Bound::Exact));
        let over = |a: Bounded, b: Bounded| a.over(b).map(|q| q.text(1.0, 2));
        assert_eq!(over(ten, five).as_deref(), Some("2.0"));
        assert_eq!(over(number(10.0, Bound::Above), five).as_deref(), Some(">2.0"));
        assert_eq!(over(ten, number(5.0, Bound::AtLeast)).as_deref(), Some("≤2.0"));
        assert_eq!(over(number(10.0, Bound::Above), number(5.0, Bound::Above)), None);
        let upper = number(5.0, Bound::Below);
        assert_eq!(over(number(10.0, Bound::Above), upper).as_deref(), Some(">2.0"));
    }
}
