//! The window of plausible values, wider than any acceptance: outside it, a unit or a digit is
//! probably wrong.

use rust_decimal::Decimal;

use crate::{Reading, Unit, find_unit, units_of};

/// A range of values that can occur at all in a place, in one unit.
#[derive(Debug, Clone, Copy)]
pub struct Window {
    unit: &'static Unit,
    low: Decimal,
    high: Decimal,
}

/// The same number in another unit, which would be plausible.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OtherUnit {
    /// Symbol of the unit.
    pub unit: &'static str,
    /// The value in the unit of the window, three significant digits or so.
    pub would_be: String,
}

/// A reading outside its window.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("“{text}” is outside {range}, the plausible range for this reading{hint}")]
pub struct Implausible {
    /// The reading as typed.
    pub text: String,
    /// The window, with its unit.
    pub range: String,
    /// The unit that was probably meant, if one fits.
    pub meant: Option<OtherUnit>,
    hint: Box<str>,
}

impl Window {
    /// A window in `symbol`, a unit of the dimension; none if there is no such unit or the ends
    /// are in the wrong order.
    pub fn new(
        dimension: crate::Dimension,
        low: Decimal,
        high: Decimal,
        symbol: &str,
    ) -> Option<Self> {
        let unit = find_unit(dimension, symbol)?;
        (low < high).then_some(Self { unit, low, high })
    }

    /// Whether a base value lies inside.
    fn holds(&self, base: Decimal) -> bool {
        let end = |number| self.unit.to_base(number);
        end(self.low).is_some_and(|low| low <= base)
            && end(self.high).is_some_and(|high| base <= high)
    }

    /// Lets a plausible reading pass.
    ///
    /// # Errors
    /// An implausible one, with the unit in which the same number would be plausible: of several,
    /// the one whose value is nearest to what was typed.
    pub fn check(&self, reading: &Reading) -> Result<(), Implausible> {
        if self.holds(reading.base()) {
            return Ok(());
        }
        let meant = self.other_unit(reading);
        let hint = meant.as_ref().map_or_else(String::new, |other| {
            format!(
                "; {} {} would be {} {}",
                reading.value(),
                other.unit,
                other.would_be,
                self.unit.symbol()
            )
        });
        Err(Implausible {
            hint: hint.into(),
            text: reading.text().to_owned(),
            range: format!("{} to {} {}", self.low, self.high, self.unit.symbol()),
            meant,
        })
    }

    fn other_unit(&self, reading: &Reading) -> Option<OtherUnit> {
        let distance = |base: Decimal| (base - reading.base()).abs();
        let (unit, base) = units_of(self.unit.dimension())
            .filter_map(|unit| Some((unit, unit.to_base(reading.value())?)))
            .filter(|(_, base)| self.holds(*base))
            .min_by_key(|(_, base)| distance(*base))?;
        let value = self.unit.from_base(base)?;
        let would_be = value.round_sf(5)?.normalize().to_string();
        Some(OtherUnit { unit: unit.symbol(), would_be })
    }
}
