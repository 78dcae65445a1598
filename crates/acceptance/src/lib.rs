//! The acceptance calculations: each takes readings as people type them and gives a [`Sheet`] with
//! verdict, working, doubt, rule, validity and sources, so that anyone can redo it by hand.
//!
//! **This crate may not take or return a bare float across its border, hold a constant without a
//! source, do input or output, read a clock, randomness or the environment, or be async.**
//!
//! A missing reading gives a sheet that is not judged and names what is missing. A reading that
//! can't be read, is in a wrong unit or out of range gives a [`Refusal`].
//!
//! ```
//! let input = serde_json::json!({
//!     "gas": "hydrogen", "absolute_pressure": "150 bar(a)", "temperature": "20 °C"
//! });
//! let sheet = acceptance::calculation("gas-density").expect("it is registered").run(&input)?;
//! assert_eq!(sheet.result("density").map(|d| d.value.as_str()), Some("11.35594"));
//! # Ok::<(), acceptance::Refusal>(())
//! ```

pub mod annual_energy;
pub mod availability;
mod calendar;
mod circuit;
pub mod cluster_output;
pub mod decay_regression;
pub mod dish_geometry;
mod doubt;
mod draw;
pub mod due_dates;
pub mod earth_resistance;
pub mod enclosure_ventilation;
pub mod facet_alignment;
pub mod failure_rate;
pub mod focal_zone;
mod form;
mod gas;
pub mod gas_density;
pub mod gas_mass;
pub mod gas_release;
pub mod gas_top_up;
pub mod generator_slip;
pub mod insulation_resistance;
pub mod intercept;
mod limit;
mod line;
pub mod mount_model;
mod optics;
pub mod parasitic_share;
pub mod parking_window;
pub mod performance_line;
pub mod performance_run;
mod pointing;
pub mod power_at_reference;
pub mod pressure_decay;
pub mod protection_times;
pub mod purge;
pub mod purge_sweep;
pub mod ray_trace;
pub mod reading_margin;
pub mod receiver_temperatures;
pub mod reflectance;
mod refusal;
mod registry;
mod schema;
mod several;
mod sheet;
pub mod soiling_rate;
mod state;
mod stats;
pub mod steady_windows;
mod steps;
pub mod stow_directions;
mod sun;
pub mod sun_day;
pub mod sun_position;
mod time;
mod topic;
pub mod tracking_error;
pub mod voltage_unbalance;
pub mod walk_off;
pub mod wind_at_height;

pub use circuit::{CircuitPart, InstrumentDoubt};
pub use doubt::Statement;
pub use gas::{Equation, Gas, State};
pub use limit::StatedLimit;
pub use optics::{AngularError, Basis, Turned};
pub use refusal::Refusal;
pub use registry::{Calculation, Example, calculation, calculations};
pub use sheet::{
    Axes, Bar, Combined, DoubtLine, Drawn, Figure, Finding, Flag, Grid, InputShown, Line, Missing,
    Outcome, Point, RuleShown, Series, Sheet, Table, Verdict,
};
pub use state::StateRead;
pub use sun::{Direction, Observer, Sun, SunPath, separation};
pub use topic::{Topic, topics};
