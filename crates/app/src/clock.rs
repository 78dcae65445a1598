//! Time as the app reads it: the wall clock (a claim) and the elapsed clock (a measurement).
//!
//! Nothing below the app reads a clock, so a simulated one makes a whole story repeatable.

use std::sync::Mutex;
use std::time::Duration;

use chrono::{DateTime, FixedOffset, SubsecRound};

/// One reading of both clocks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// What the installation believes the time to be, with its offset from UTC; whole seconds.
    pub wall: DateTime<FixedOffset>,
    /// Time since the machine was started; it runs on through suspend and is never set.
    pub elapsed: Duration,
    /// Identifies the run of the elapsed clock; another value means that the machine restarted.
    pub boot: String,
}

impl Reading {
    /// The wall time as RFC 3339 with offset, the form that entries carry.
    pub fn claimed(&self) -> String {
        self.wall.to_rfc3339_opts(chrono::SecondsFormat::Secs, false)
    }
}

/// A source of both times.
pub trait Clock: Send + Sync {
    /// Reads both clocks at once.
    fn read(&self) -> Reading;
}

/// The clocks of this machine.
#[derive(Debug, Default)]
pub struct MachineClock;

impl Clock for MachineClock {
    #[expect(clippy::disallowed_methods, reason = "this is the one place that reads the clock")]
    fn read(&self) -> Reading {
        let wall = chrono::Local::now().fixed_offset().trunc_subsecs(0);
        let time = rustix::time::clock_gettime(rustix::time::ClockId::Boottime);
        let seconds = u64::try_from(time.tv_sec).unwrap_or(0);
        let nanos = u32::try_from(time.tv_nsec).unwrap_or(0);
        let boot = std::fs::read_to_string("/proc/sys/kernel/random/boot_id")
            .map_or_else(|_| "unknown".to_owned(), |text| text.trim().to_owned());
        Reading { wall, elapsed: Duration::new(seconds, nanos), boot }
    }
}

/// The machine's clocks with the wall clock set off by a constant, for whoever goes on in the
/// demo's site at the time of its story. What elapses is measured by the machine as ever.
#[derive(Debug, Clone)]
pub struct OffsetClock {
    ahead: chrono::TimeDelta,
    offset: FixedOffset,
}

impl OffsetClock {
    /// A clock that is `ahead` of the machine's and shows its times at `offset` from UTC.
    pub fn new(ahead: chrono::TimeDelta, offset: FixedOffset) -> Self {
        Self { ahead, offset }
    }
}

impl Clock for OffsetClock {
    fn read(&self) -> Reading {
        let now = MachineClock.read();
        Reading { wall: (now.wall + self.ahead).with_timezone(&self.offset), ..now }
    }
}

/// A clock that stands still until it is told to move; for the demo and for tests.
#[derive(Debug)]
pub struct StoryClock {
    now: Mutex<Reading>,
}

impl StoryClock {
    /// Starts at `wall`, with the elapsed clock at one hour.
    pub fn new(wall: DateTime<FixedOffset>) -> Self {
        let reading =
            Reading { wall, elapsed: Duration::from_secs(3600), boot: "boot-1".to_owned() };
        Self { now: Mutex::new(reading) }
    }

    /// Moves both clocks on to `wall`. A time before now moves the wall clock alone.
    pub fn move_to(&self, wall: DateTime<FixedOffset>) {
        let mut now = self.lock();
        if let Ok(step) = (wall - now.wall).to_std() {
            now.elapsed += step;
        }
        now.wall = wall;
    }

    /// Restarts the machine: the elapsed clock begins anew under another identity.
    pub fn restart(&self) {
        let mut now = self.lock();
        let run: u32 = now.boot.trim_start_matches("boot-").parse().unwrap_or(0);
        now.boot = format!("boot-{}", run + 1);
        now.elapsed = Duration::ZERO;
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Reading> {
        self.now.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }
}

impl Clock for StoryClock {
    fn read(&self) -> Reading {
        self.lock().clone()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339(text).unwrap()
    }

    #[test]
    fn elapsed_ignores_the_change_to_summer_time() {
        let clock = StoryClock::new(at("2026-09-05T18:05:00-04:00"));
        let start = clock.read();
        clock.move_to(at("2026-09-06T06:05:00-03:00"));
        let end = clock.read();
        assert_eq!(end.elapsed - start.elapsed, Duration::from_secs(11 * 3600));
        assert_eq!(end.boot, start.boot);
    }

    #[test]
    fn a_restart_is_visible_and_a_backward_step_moves_the_wall_alone() {
        let clock = StoryClock::new(at("2026-09-05T18:05:00-04:00"));
        let before = clock.read();
        clock.move_to(at("2026-09-05T17:00:00-04:00"));
        assert_eq!(clock.read().elapsed, before.elapsed);
        clock.restart();
        assert_ne!(clock.read().boot, before.boot);
    }

    #[test]
    fn the_machine_clock_moves_and_carries_an_offset() {
        let first = MachineClock.read();
        let second = MachineClock.read();
        assert!(second.elapsed >= first.elapsed);
        assert!(DateTime::parse_from_rfc3339(&first.claimed()).is_ok());
    }
}
