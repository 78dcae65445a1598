//! Every calculation by name, with its schemas and examples.

use serde_json::Value;

use crate::{Refusal, Sheet};

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
        crate::availability::CALCULATION,
        crate::cluster_output::CALCULATION,
        crate::decay_regression::CALCULATION,
        crate::dish_geometry::CALCULATION,
        crate::due_dates::CALCULATION,
        crate::earth_resistance::CALCULATION,
        crate::enclosure_ventilation::CALCULATION,
        crate::facet_alignment::CALCULATION,
        crate::failure_rate::CALCULATION,
        crate::focal_zone::CALCULATION,
        crate::gas_density::CALCULATION,
        crate::gas_mass::CALCULATION,
        crate::gas_release::CALCULATION,
        crate::gas_top_up::CALCULATION,
        crate::generator_slip::CALCULATION,
        crate::insulation_resistance::CALCULATION,
        crate::intercept::CALCULATION,
        crate::mount_model::CALCULATION,
        crate::parasitic_share::CALCULATION,
        crate::parking_window::CALCULATION,
        crate::performance_line::CALCULATION,
        crate::performance_run::CALCULATION,
        crate::power_at_reference::CALCULATION,
        crate::pressure_decay::CALCULATION,
        crate::protection_times::CALCULATION,
        crate::purge::CALCULATION,
        crate::purge_sweep::CALCULATION,
        crate::ray_trace::CALCULATION,
        crate::reading_margin::CALCULATION,
        crate::receiver_temperatures::CALCULATION,
        crate::reflectance::CALCULATION,
        crate::soiling_rate::CALCULATION,
        crate::steady_windows::CALCULATION,
        crate::stow_directions::CALCULATION,
        crate::sun_day::CALCULATION,
        crate::sun_position::CALCULATION,
        crate::tracking_error::CALCULATION,
        crate::voltage_unbalance::CALCULATION,
        crate::walk_off::CALCULATION,
        crate::wind_at_height::CALCULATION,
    ];
    ALL
}

/// The calculation of a name.
pub fn calculation(name: &str) -> Option<&'static Calculation> {
    calculations().iter().find(|calculation| calculation.name == name)
}
