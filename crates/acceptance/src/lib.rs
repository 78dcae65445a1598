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

mod doubt;
mod draw;
pub mod facet_alignment;
mod form;
mod gas;
pub mod gas_density;
pub mod gas_mass;
mod limit;
pub mod mount_model;
pub mod parking_window;
pub mod performance_run;
mod pointing;
pub mod pressure_decay;
pub mod purge;
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
mod sun;
pub mod sun_day;
pub mod sun_position;
mod time;
pub mod tracking_error;

pub use doubt::Statement;
pub use gas::{Equation, Gas, State};
pub use limit::StatedLimit;
pub use refusal::Refusal;
pub use registry::{Calculation, Example, calculation, calculations};
pub use sheet::{
    Axes, Bar, Combined, DoubtLine, Drawn, Figure, Finding, Flag, Grid, InputShown, Line, Missing,
    Outcome, Point, RuleShown, Series, Sheet, Table, Verdict,
};
pub use sun::{Direction, Observer, Sun, separation};
