//! Adding up a year.

/// A time at one irradiance.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch {
    /// In W/m².
    pub(super) irradiance: f64,
    /// In h.
    pub(super) hours: f64,
}

/// The dish, in kW and W/m².
#[derive(Debug, Clone, Copy)]
pub(super) struct Dish {
    pub(super) at_zero: f64,
    /// In kW for each W/m².
    pub(super) rise: f64,
    pub(super) largest: Option<f64>,
    pub(super) runs_from: f64,
    pub(super) standby: f64,
    pub(super) own_use: f64,
    pub(super) cleanliness: f64,
    pub(super) availability: f64,
}

/// What came of a time, in h, kWh and kWh/m².
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Sum {
    pub(super) hours: f64,
    /// With enough sun.
    pub(super) on: f64,
    pub(super) irradiation: f64,
    pub(super) irradiation_on: f64,
    /// Net energy while it runs.
    pub(super) made: f64,
    /// Drawn while it does not.
    pub(super) drawn: f64,
    /// Used by the dish itself while it runs.
    pub(super) used: f64,
}

impl Sum {
    /// Net energy, in kWh.
    pub(super) fn net(&self) -> f64 {
        self.made - self.drawn
    }

    /// Share of everything made that the dish uses itself, running and waiting.
    pub(super) fn own_share(&self) -> Option<f64> {
        let gross = self.made + self.used;
        (gross > 0.0).then(|| (self.drawn + self.used) / gross)
    }
}

impl Dish {
    /// Net power at an irradiance, in kW; none while it does not run.
    pub(super) fn power(&self, irradiance: f64) -> Option<f64> {
        let effective = self.cleanliness * irradiance;
        if effective < self.runs_from {
            return None;
        }
        let power = (self.at_zero + self.rise * effective).max(0.0);
        Some(self.largest.map_or(power, |largest| power.min(largest)))
    }

    /// Adds up a time; `irradiance` and `line` are factors on what is read and on what the line gives.
    pub(super) fn sum<'s>(
        &self,
        time: impl IntoIterator<Item = &'s Stretch>,
        irradiance: f64,
        line: f64,
    ) -> Sum {
        let mut sum = Sum::default();
        for stretch in time {
            let here = irradiance * stretch.irradiance;
            let light = here.max(0.0) * stretch.hours / 1000.0;
            sum.hours += stretch.hours;
            sum.irradiation += light;
            match self.power(here) {
                Some(power) => {
                    sum.on += stretch.hours;
                    sum.irradiation_on += light;
                    sum.made += self.availability * line * power * stretch.hours;
                    sum.used += self.availability * self.own_use * stretch.hours;
                    sum.drawn += (1.0 - self.availability) * self.standby * stretch.hours;
                }
                None => sum.drawn += self.standby * stretch.hours,
            }
        }
        sum
    }
}
