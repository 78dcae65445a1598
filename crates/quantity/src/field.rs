//! What a place on a form expects: one or more dimensions, and the unit meant when none is typed.

use crate::{Dimension, Unit, find_unit};

/// Says what a typed text may be.
#[derive(Debug, Clone)]
pub struct Field {
    accepts: Vec<Dimension>,
    default_unit: Option<&'static Unit>,
}

impl Field {
    /// A field for one dimension; a unit must be typed.
    pub fn of(dimension: Dimension) -> Self {
        Self { accepts: vec![dimension], default_unit: None }
    }

    /// A field for several dimensions, where a unit must tell which one is meant.
    ///
    /// With gauge and absolute pressure both allowed, plain `bar` is refused.
    pub fn any_of(dimensions: &[Dimension]) -> Self {
        Self { accepts: dimensions.to_vec(), default_unit: None }
    }

    /// The same field, where a number without a unit is in `symbol`; none if that is not a unit of
    /// the field.
    ///
    /// An instrument that shows `1,2G` for gigohm is read through a default unit such as `MΩ`: a
    /// lone prefix replaces the prefix of the default unit.
    pub fn with_default_unit(mut self, symbol: &str) -> Option<Self> {
        let unit = self.accepts.iter().find_map(|dimension| find_unit(*dimension, symbol))?;
        self.default_unit = Some(unit);
        Some(self)
    }

    /// The dimensions that the field accepts.
    pub fn accepts(&self) -> &[Dimension] {
        &self.accepts
    }

    /// The unit meant when none is typed.
    pub fn default_unit(&self) -> Option<&'static Unit> {
        self.default_unit
    }
}
