//! Every calculation by name, with its schemas and examples.

use serde_json::Value;

use crate::{Refusal, Sheet};
use crate::{
    Refusal, Sheet, availability, due_dates, earth_resistance, facet_alignment, failure_rate,
    gas_density, gas_mass, generator_slip, insulation_resistance, parking_window, performance_run,
    pressure_decay, purge, reading_margin, sun_day, sun_position, voltage_unbalance,
    wind_at_height,
    Refusal, Sheet, decay_regression, enclosure_ventilation, facet_alignment, gas_density,
    gas_mass, gas_release, gas_top_up, parking_window, performance_run, pressure_decay, purge,
    sun_day, sun_position,
    Refusal, Sheet, facet_alignment, gas_density, gas_mass, parking_window, performance_run,
    pressure_decay, purge, stow_directions, sun_day, sun_position, walk_off,
    Refusal, Sheet, facet_alignment, gas_density, gas_mass, mount_model, parking_window,
    performance_run, pressure_decay, purge, reflectance, soiling_rate, sun_day, sun_position,
    tracking_error,
};

/// An example that is built into the program from its file.
macro_rules! example {
    ($calculation:literal, $name:literal) => {
        $crate::Example {
            name: $name,
            text: include_str!(concat!(
                env!("CARGO_MANIFEST_DIR"),
                "/examples-data/",
                $calculation,
                "/",
                $name,
                ".json"
            )),
        }
    };
}
pub(crate) use example;

/// A calculation that can be run on a JSON input.
#[derive(Debug)]
pub struct Calculation {
    pub(crate) name: &'static str,
    pub(crate) title: &'static str,
    pub(crate) purpose: &'static str,
    pub(crate) version: u32,
    pub(crate) input_schema: fn() -> Value,
    pub(crate) output_schema: fn() -> Value,
    pub(crate) run: fn(&Value) -> Result<Sheet, Refusal>,
    pub(crate) examples: &'static [Example],
}

/// An input that ships with the program.
///
/// The first word of its name says what becomes of it: `good`, the calculation takes it; `bad`, the
/// schema and the calculation both refuse it; `wrong`, it has the right form and only the
/// calculation can see what is wrong.
#[derive(Debug)]
pub struct Example {
    /// Name of the file, which also says what is good, bad or wrong about it.
    pub name: &'static str,
    /// The JSON text.
    pub text: &'static str,
}

impl Calculation {
    /// The name, as `pressure-decay`.
    pub const fn name(&self) -> &'static str {
        self.name
    }

    /// The title for people.
    pub const fn title(&self) -> &'static str {
        self.title
    }

    /// What it is for, in one sentence.
    pub const fn purpose(&self) -> &'static str {
        self.purpose
    }

    /// The version; a change of any result raises it.
    pub const fn version(&self) -> u32 {
        self.version
    }

    /// JSON Schema of the input.
    pub fn input_schema(&self) -> Value {
        (self.input_schema)()
    }

    /// JSON Schema of the sheet.
    pub fn output_schema(&self) -> Value {
        (self.output_schema)()
    }

    /// Example inputs, good and bad.
    pub const fn examples(&self) -> &'static [Example] {
        self.examples
    }

    /// Runs it.
    ///
    /// # Errors
    /// An input that can't be read, with the field and the next step. A missing reading is no error
    /// but a sheet that is not judged.
    pub fn run(&self, input: &Value) -> Result<Sheet, Refusal> {
        (self.run)(input)
    }

    /// Runs it on JSON text.
    ///
    /// # Errors
    /// As [`Calculation::run`], and on text that is not JSON.
    pub fn run_text(&self, input: &str) -> Result<Sheet, Refusal> {
        let value = serde_json::from_str(input).map_err(|error| {
            Refusal::new(
                "not_json",
                "",
                format!("The input is not JSON: {error}."),
                format!("Compare with `dishwright calc {} --schema`.", self.name),
            )
        })?;
        self.run(&value)
    }
}

/// Every calculation, in order of name.
pub fn calculations() -> &'static [Calculation] {
    static ALL: &[Calculation] = &[
        crate::annual_energy::CALCULATION,
        crate::cluster_output::CALCULATION,
        crate::decay_regression::CALCULATION,
        crate::dish_geometry::CALCULATION,
        crate::facet_alignment::CALCULATION,
        crate::failure_rate::CALCULATION,
        crate::gas_density::CALCULATION,
        crate::gas_mass::CALCULATION,
        crate::generator_slip::CALCULATION,
        crate::insulation_resistance::CALCULATION,
        crate::intercept::CALCULATION,
        crate::parasitic_share::CALCULATION,
        crate::parking_window::CALCULATION,
        crate::performance_line::CALCULATION,
        crate::performance_run::CALCULATION,
        crate::pressure_decay::CALCULATION,
        crate::purge::CALCULATION,
        crate::reading_margin::CALCULATION,
        crate::sun_day::CALCULATION,
        crate::sun_position::CALCULATION,
        crate::tracking_error::CALCULATION,
        crate::voltage_unbalance::CALCULATION,
        availability::CALCULATION,
        due_dates::CALCULATION,
        earth_resistance::CALCULATION,
        decay_regression::CALCULATION,
        enclosure_ventilation::CALCULATION,
        facet_alignment::CALCULATION,
        failure_rate::CALCULATION,
        gas_density::CALCULATION,
        gas_mass::CALCULATION,
        generator_slip::CALCULATION,
        insulation_resistance::CALCULATION,
        gas_release::CALCULATION,
        gas_top_up::CALCULATION,
        mount_model::CALCULATION,
        parking_window::CALCULATION,
        performance_run::CALCULATION,
        pressure_decay::CALCULATION,
        purge::CALCULATION,
        reading_margin::CALCULATION,
        reflectance::CALCULATION,
        soiling_rate::CALCULATION,
        sun_day::CALCULATION,
        sun_position::CALCULATION,
        voltage_unbalance::CALCULATION,
        wind_at_height::CALCULATION,
        stow_directions::CALCULATION,
        sun_day::CALCULATION,
        sun_position::CALCULATION,
        walk_off::CALCULATION,
    ];
    ALL
}

/// The calculation of a name.
pub fn calculation(name: &str) -> Option<&'static Calculation> {
    calculations().iter().find(|calculation| calculation.name == name)
}
