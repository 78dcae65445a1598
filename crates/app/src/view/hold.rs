//! A timed wait: held so far, by which clock, when its end may be read, and what the wall clock
//! did meanwhile.

use chrono::TimeDelta;
use logbook::document::HoldDoc;
use logbook::source::Checklist;

use super::eye::Eye;
use super::record::{HoldCut, HoldView};
use crate::words;

impl Eye<'_> {
    /// A hold as the screens show it.
    pub(crate) fn hold(&self, hold: &HoldDoc, checklist: &Checklist, required: u32) -> HoldView {
        let now = self.logbook.clock.read();
        let start = &hold.start;
        let running = start.clock.as_ref().filter(|clock| clock.boot == now.boot).map(|clock| {
            let now = u64::try_from(now.elapsed.as_millis()).unwrap_or(u64::MAX);
            now.saturating_sub(clock.milliseconds) / 1000
        });
        let by_wall = (now.wall - start.worked_at.at()).num_seconds();
        let (elapsed, by_clock, claimed) = match (&hold.elapsed, running) {
            (Some(ended), _) => {
                (ended.counted().unwrap_or(0), ended.by_clock.is_some(), ended.by_claims)
            }
            (None, Some(running)) => (running, true, by_wall),
            (None, None) => (u64::try_from(by_wall).unwrap_or(0), false, by_wall),
        };
        let end = hold.end.as_ref().map_or(now.wall, |end| end.worked_at.at());
        // What is left is counted from now, so that a wall clock that was set shifts nothing.
        let opens = match (&hold.end, running) {
            (None, Some(running)) => {
                let left = i64::from(required) - i64::try_from(running).unwrap_or(i64::MAX);
                now.wall + TimeDelta::seconds(left)
            }
            _ => start.worked_at.at() + TimeDelta::seconds(i64::from(required)),
        };
        let moved = (self.zone.local(&end).offset().local_minus_utc()
            - self.zone.local(&start.worked_at.at()).offset().local_minus_utc())
            / 60;
        let mut jumps = Vec::new();
        if moved != 0 {
            let way = if moved > 0 { "forward" } else { "back" };
            let by = words::span(u64::from(moved.unsigned_abs()) * 60);
            jumps.push(format!("The clocks went {way} by {by} meanwhile."));
        }
        let set = claimed - i64::try_from(elapsed).unwrap_or(i64::MAX);
        if by_clock && set.unsigned_abs() > u64::from(checklist.recording.clock_difference_seconds)
        {
            let way = if set > 0 { "forward" } else { "back" };
            jumps.push(format!(
                "The wall clock was set {way} by {} meanwhile.",
                words::span(set.unsigned_abs())
            ));
        }
        HoldView {
            started: self.moment(&start.worked_at),
            by: self.source.name(start.performer().0),
            ended: hold.end.as_ref().map(|end| self.moment(&end.worked_at)),
            elapsed_seconds: u32::try_from(elapsed).unwrap_or(u32::MAX),
            required_seconds: required,
            opens: self.zone.moment(&opens),
            by_clock,
            jumps: jumps.join(" "),
            cut: self.cut(&start.worked_at.at(), &opens),
        }
    }

    /// Where the wall clock jumps between the start and the time when the end may be read.
    fn cut(
        &self,
        start: &chrono::DateTime<chrono::FixedOffset>,
        opens: &chrono::DateTime<chrono::FixedOffset>,
    ) -> Option<HoldCut> {
        let (after, from, to) = self.zone.jump(start, opens)?;
        let after_seconds = u32::try_from(after).ok()?;
        Some(HoldCut { after_seconds, label: format!("clocks jump {from} to {to}") })
    }
}
