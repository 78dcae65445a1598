//! The concentration over time.

use libm::{exp, log};

/// An enclosure with a release into it; SI units, fractions by volume.
#[derive(Debug, Clone, Copy)]
pub(super) struct Course {
    pub(super) volume: f64,
    /// Fresh air let in.
    pub(super) air: f64,
    pub(super) release: f64,
    /// f.
    pub(super) mixing: f64,
    /// Fraction at the beginning.
    pub(super) start: f64,
    /// When the release stops.
    pub(super) stops: Option<f64>,
}

impl Course {
    /// X_b.
    pub(super) fn background(&self) -> f64 {
        self.mixing * self.release / (self.release + self.air)
    }

    /// C while gas comes in, in 1/s.
    pub(super) fn changes(&self) -> f64 {
        (self.release + self.air) / self.volume
    }

    /// C₁ of the fresh air alone, in 1/s.
    pub(super) fn fresh_changes(&self) -> f64 {
        self.air / self.volume
    }

    /// While the release goes on.
    fn rising(&self, time: f64) -> f64 {
        let background = self.background();
        background - (background - self.start) * exp(-self.changes() * time)
    }

    /// X at a time after the beginning.
    pub(super) fn at(&self, time: f64) -> f64 {
        match self.stops {
            Some(stops) if time > stops => {
                self.rising(stops) * exp(-self.fresh_changes() * (time - stops) / self.mixing)
            }
            _ => self.rising(time),
        }
    }

    /// X when the release stops, or in the long run.
    pub(super) fn last(&self) -> f64 {
        self.stops.map_or_else(|| self.background(), |stops| self.rising(stops))
    }

    /// The highest X.
    pub(super) fn peak(&self) -> f64 {
        self.last().max(self.start)
    }

    /// When X first reaches a level from below; none where it never does.
    pub(super) fn reaches(&self, level: f64) -> Option<f64> {
        let background = self.background();
        if self.start >= level {
            return Some(0.0);
        }
        if background <= level {
            return None;
        }
        let time = -log((background - level) / (background - self.start)) / self.changes();
        (self.stops.is_none_or(|stops| time <= stops)).then_some(time)
    }

    /// When the mean, X/f, first reaches a level.
    pub(super) fn mean_reaches(&self, level: f64) -> Option<f64> {
        self.reaches(level * self.mixing)
    }

    /// How long after the stop X has fallen to a level; none where no air comes in.
    pub(super) fn clears(&self, level: f64) -> Option<f64> {
        let last = self.last();
        if last <= level {
            return Some(0.0);
        }
        (self.air > 0.0).then(|| self.mixing / self.fresh_changes() * log(last / level))
    }

    /// Fresh air with which X_b is a level.
    pub(super) fn needed(&self, level: f64) -> f64 {
        (self.mixing * self.release / level - self.release).max(0.0)
    }
}
