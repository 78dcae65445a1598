//! The physics: contents before and after, and the leak that the difference means.
//!
//! Sources: 40 CFR 1065.644 (loss from p/(Z·T) before and after); ASTM E2930 (mass from pressure,
//! temperature and time in a rigid vessel).

use quantity::{
    AbsolutePressure, Amount, Duration, Leak, Mass, MassFlow, MolarFlow, PressureDifference, Ratio,
    Temperature, Volume,
};

use crate::gas::{MOLAR_GAS_CONSTANT, Slopes};
use crate::{Gas, Refusal, State};

/// Standard pressure in Pa: 1 atm, exact (NIST SP 811 App. B).
pub(crate) const STANDARD_PRESSURE: f64 = 101_325.0;

/// Two states of the same circuit and what lies between them.
#[derive(Debug, Clone, Copy)]
pub struct Decay {
    gas: Gas,
    start: State,
    end: State,
    pub(crate) before: Slopes,
    pub(crate) after: Slopes,
    volume: Volume,
    elapsed: Duration,
}

/// Compares the contents of a rigid circuit at two moments.
///
/// # Errors
/// States outside the range of the gas's equation; a volume or an elapsed time that is not
/// positive.
pub fn decay(
    gas: Gas,
    start: State,
    end: State,
    volume: Volume,
    elapsed: Duration,
) -> Result<Decay, Refusal> {
    let equation = gas.equation();
    equation.require(gas, start, "start")?;
    equation.require(gas, end, "end")?;
    if volume.cubic_metres().is_nan() || volume.cubic_metres() <= 0.0 {
        let sentence = "The volume of the circuit is not more than zero.";
        return Err(Refusal::new("out_of_range", "volume", sentence, "Give the circuit's volume."));
    }
    if elapsed.seconds().is_nan() || elapsed.seconds() <= 0.0 {
        return Err(Refusal::new(
            "end_before_start",
            "elapsed",
            "The end of the hold is not after its start.",
            "Check the two moments, with date and offset, or type the elapsed time.",
        ));
    }
    let (before, after) = (equation.slopes(start), equation.slopes(end));
    Ok(Decay { gas, start, end, before, after, volume, elapsed })
}

impl Decay {
    /// The state at the start.
    pub const fn start(&self) -> State {
        self.start
    }

    /// The state at the end.
    pub const fn end(&self) -> State {
        self.end
    }

    /// Elapsed time.
    pub const fn elapsed(&self) -> Duration {
        self.elapsed
    }

    /// The volume of the circuit.
    pub const fn volume(&self) -> Volume {
        self.volume
    }

    /// Contents at the start.
    pub fn mass_before(&self) -> Mass {
        Mass::from_kilograms(self.before.density * self.volume.cubic_metres())
    }

    /// Contents at the end.
    pub fn mass_after(&self) -> Mass {
        Mass::from_kilograms(self.after.density * self.volume.cubic_metres())
    }

    /// What is left of the contents; the volume cancels.
    pub fn remaining(&self) -> Ratio {
        Ratio::from_fraction(self.after.density / self.before.density)
    }

    /// What is gone of the contents, positive for a loss.
    pub fn loss(&self) -> Ratio {
        Ratio::from_fraction(1.0 - self.remaining().fraction())
    }

    /// The loss that an ideal gas would show, for comparison only.
    pub fn ideal_loss(&self) -> Ratio {
        let contents = |state: State| state.pressure.pascals() / state.temperature.kelvins();
        Ratio::from_fraction(1.0 - contents(self.end) / contents(self.start))
    }

    /// The loss scaled to a time base.
    pub fn loss_per(&self, base: Duration) -> Ratio {
        Ratio::from_fraction(self.loss().fraction() * base.seconds() / self.elapsed.seconds())
    }

    /// Mass lost.
    pub fn mass_lost(&self) -> Mass {
        let difference = self.before.density - self.after.density;
        Mass::from_kilograms(self.volume.cubic_metres() * difference)
    }

    /// Amount lost.
    pub fn amount_lost(&self) -> Amount {
        Amount::from_moles(self.mass_lost().kilograms() / self.gas.equation().molar_mass())
    }

    /// Mean mass flow of the leak.
    pub fn mass_flow(&self) -> MassFlow {
        MassFlow::from_kilograms_per_second(self.mass_lost().kilograms() / self.elapsed.seconds())
    }

    /// Mean molar flow of the leak, from which every standard flow follows.
    pub fn molar_flow(&self) -> MolarFlow {
        MolarFlow::from_moles_per_second(self.amount_lost().moles() / self.elapsed.seconds())
    }

    /// The leak as pressure times volume of a unit of time at a stated temperature.
    pub fn leak(&self, at: Temperature) -> Leak {
        Leak::from_pascal_cubic_metres_per_second(
            self.molar_flow().moles_per_second() * MOLAR_GAS_CONSTANT * at.kelvins(),
        )
    }

    /// The drop as read: absolute pressure before less after.
    pub fn drop(&self) -> PressureDifference {
        self.start.pressure - self.end.pressure
    }

    /// The absolute pressure that the circuit would show at the end, had it lost nothing.
    pub fn tight_pressure(&self) -> Option<AbsolutePressure> {
        self.pressure_with(Ratio::from_fraction(1.0))
    }

    /// The absolute pressure at the end with a fraction of the contents left.
    pub fn pressure_with(&self, left: Ratio) -> Option<AbsolutePressure> {
        let density = self.before.density * left.fraction();
        self.gas.equation().pressure_at(
            quantity::MassDensity::from_kilograms_per_cubic_metre(density),
            self.end.temperature,
        )
    }

    /// The shortest time in which a leak of `limit` moves the gauge by `ratio` steps of its
    /// display: `t = r·V·(∂ρ/∂p)_T·δ/ṁ`, with the slope at the start.
    pub fn shortest_time(
        &self,
        step: PressureDifference,
        limit: MassFlow,
        ratio: Ratio,
    ) -> Duration {
        let moved = self.volume.cubic_metres() * self.before.by_pressure * step.pascals();
        Duration::from_seconds(ratio.fraction() * moved / limit.kilograms_per_second())
    }
}
