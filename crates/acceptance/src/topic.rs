//! What a calculation is about, so that lists can be read by the part of the dish that is at hand.

use crate::{Calculation, calculations};

/// Calculations on one part of the work, in the order of their names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Topic {
    /// Its title for people.
    pub title: &'static str,
    names: &'static [&'static str],
}

impl Topic {
    /// Its calculations.
    pub fn calculations(&self) -> impl Iterator<Item = &'static Calculation> {
        let names = self.names;
        calculations().iter().filter(move |calculation| names.contains(&calculation.name()))
    }
}

/// Every topic, in the order of the work on a dish; each calculation is in one of them.
pub fn topics() -> &'static [Topic] {
    static ALL: &[Topic] = &[
        Topic {
            title: "Sun and focal zone",
            names: &[
                "focal-zone",
                "parking-window",
                "stow-directions",
                "sun-day",
                "sun-position",
                "walk-off",
            ],
        },
        Topic {
            title: "Gas",
            names: &[
                "decay-regression",
                "enclosure-ventilation",
                "gas-density",
                "gas-mass",
                "gas-release",
                "gas-top-up",
                "pressure-decay",
                "purge",
                "purge-sweep",
            ],
        },
        Topic {
            title: "Mirrors and light",
            names: &[
                "dish-geometry",
                "facet-alignment",
                "intercept",
                "ray-trace",
                "reflectance",
                "soiling-rate",
            ],
        },
        Topic { title: "Tracking", names: &["mount-model", "tracking-error"] },
        Topic { title: "Receiver", names: &["receiver-temperatures"] },
        Topic {
            title: "Power and energy",
            names: &[
                "annual-energy",
                "cluster-output",
                "parasitic-share",
                "performance-line",
                "performance-run",
                "power-at-reference",
                "steady-windows",
            ],
        },
        Topic {
            title: "Electrical",
            names: &[
                "earth-resistance",
                "generator-slip",
                "insulation-resistance",
                "protection-times",
                "voltage-unbalance",
            ],
        },
        Topic { title: "Wind", names: &["wind-at-height"] },
        Topic {
            title: "Upkeep and records",
            names: &["availability", "due-dates", "failure-rate", "reading-margin"],
        },
    ];
    ALL
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_calculation_is_in_one_topic() {
        for calculation in calculations() {
            let count =
                topics().iter().filter(|topic| topic.names.contains(&calculation.name())).count();
            assert_eq!(count, 1, "{} stands in {count} topics", calculation.name());
        }
    }
}
