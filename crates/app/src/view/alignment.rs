//! The facets of a dish, where each sends its light.

use serde::Serialize;
use ts_rs::TS;

use super::verdict::{SheetFinding, SheetView};

/// A survey of facets.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct AlignmentView {
    pub(crate) position: String,
    pub(crate) label: String,
    /// The step's title, such as "As found".
    pub(crate) state: String,
    pub(crate) racks: Vec<RackView>,
    pub(crate) facets: Vec<Facet>,
    pub(crate) map_svg: String,
    pub(crate) counts: FacetCounts,
    pub(crate) limit: String,
    pub(crate) findings: Vec<SheetFinding>,
    pub(crate) sheet: Option<SheetView>,
}

/// A rack.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct RackView {
    pub(crate) id: String,
    pub(crate) moved: bool,
    pub(crate) sentence: String,
}

/// A facet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Facet {
    pub(crate) facet: String,
    pub(crate) rack: String,
    pub(crate) state: FacetState,
    /// Milliradian to the right; empty when not measured.
    pub(crate) x: String,
    /// Milliradian up; empty when not measured.
    pub(crate) y: String,
    pub(crate) out: bool,
}

/// What is known of a facet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "snake_case")]
pub(crate) enum FacetState {
    Measured,
    Within,
    NotMeasured,
    Masked,
}

/// How many facets are what.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct FacetCounts {
    pub(crate) measured: u32,
    pub(crate) of: u32,
    pub(crate) out: u32,
    pub(crate) unmeasured: u32,
}
