//! The morning list of a dish: what needs deciding first, what can be signed last.

use std::collections::BTreeMap;

use ledger::Subject;
use logbook::Verdict;
use logbook::document::{AttemptDoc, AttemptState, PositionDoc, RecordDoc, ReportDoc};
use logbook::events::PunchCategory;
use logbook::source::{Asks, Checklist, Criteria};

use super::asks::limit_seconds;
use super::common::{Screen, Target};
use super::eye::Eye;
use super::report::field_title;
use crate::error::Result;

/// How pressing a line is, the most pressing first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Rank {
    /// An open finding of category A stops work.
    Finding,
    /// An entry that bears on a record can't be taken into account.
    Withheld,
    /// A verdict says no.
    Failed,
    /// Nothing could be said.
    NotJudged,
    /// Somebody stopped or rejected it.
    Stopped,
    /// A wait whose time is over, or nearly.
    HoldOver,
    /// A wait that runs.
    HoldRuns,
    /// Finished, and nobody had it judged.
    Unjudged,
    /// Begun.
    AtWork,
    /// A pass that another person reviews.
    Review,
    /// A report whose next signature is due.
    Sign,
}

/// A line before its face is drawn.
pub(crate) struct Line {
    pub(crate) rank: Rank,
    pub(crate) subject: String,
    pub(crate) reason: String,
    pub(crate) verb: &'static str,
    /// The same in a few words, for the plan.
    pub(crate) phrase: String,
    pub(crate) target: Target,
}

impl Eye<'_> {
    /// The lines of one dish.
    pub(crate) fn morning(
        &self,
        dish: &PositionDoc,
        records: &BTreeMap<Subject, RecordDoc>,
    ) -> Result<Vec<Line>> {
        let mut lines = Vec::new();
        let open = self.source.findings_of(&dish.position)?;
        let open = open.iter().filter(|one| one.closed.is_none());
        for finding in open.filter(|one| one.category == PunchCategory::A) {
            let place =
                finding.place.as_ref().map(|place| format!("{place}: ")).unwrap_or_default();
            lines.push(Line {
                rank: Rank::Finding,
                subject: format!("{}, finding A", dish.position),
                reason: format!("{place}{}", finding.text),
                verb: "Look",
                phrase: "finding A is open".to_owned(),
                target: Target::dish(&dish.position),
            });
        }
        // Of several records for one requirement only the latest is work in hand.
        let mut latest: BTreeMap<&str, &RecordDoc> = BTreeMap::new();
        for short in &dish.records {
            if let Some(record) = records.get(&short.record) {
                latest.insert(&short.requirement, record);
            }
        }
        for short in &dish.records {
            let in_hand = latest.get(short.requirement.as_str());
            if let Some(record) = in_hand.filter(|record| record.record == short.record) {
                lines.extend(self.of_record(dish, record)?);
            }
        }
        lines.extend(self.of_reports(dish)?);
        Ok(lines)
    }

    fn of_record(&self, dish: &PositionDoc, record: &RecordDoc) -> Result<Option<Line>> {
        // A record that proves nothing in the ring, such as a lockout's, has no short name.
        let proves = self.ring.iter().any(|one| one.id == record.requirement);
        let short = if proves { self.short(&record.requirement) } else { "record" }.to_owned();
        let id = record.record.to_string();
        let line = |rank, screen, verb, reason: String, phrase: &str| Line {
            rank,
            subject: format!("{}, {}", dish.position, record.title),
            reason,
            verb,
            phrase: format!("{short} {phrase}"),
            target: Target::record(screen, &dish.position, &id),
        };
        if let Some(unread) = record.unread.first() {
            let reason = format!("Withheld: {}", unread.what);
            return Ok(Some(line(Rank::Withheld, Screen::Record, "Look", reason, "is withheld")));
        }
        let Some(attempt) = record.latest() else { return Ok(None) };
        let number = attempt.number;
        let because = attempt.verdict().map(|verdict| verdict.reason.clone()).unwrap_or_default();
        let go_on = |rank, reason: String, phrase: &str| {
            Some(line(rank, Screen::Record, "Go on", reason, phrase))
        };
        Ok(match attempt.state {
            AttemptState::Accepted | AttemptState::EnteredInError => None,
            AttemptState::InProgress => match self.running(record, attempt)? {
                Some((rank, reason, phrase)) => go_on(rank, reason, &phrase),
                None => {
                    let at = self.when(&attempt.worked_at);
                    let reason = format!("Attempt {number} is in progress since {at}.");
                    go_on(Rank::AtWork, reason, "in progress")
                }
            },
            AttemptState::Interrupted => {
                let why = attempt.interruptions.last().map(|stop| stop.reason.as_str());
                let reason = format!(
                    "Attempt {number} was interrupted: {}",
                    why.unwrap_or("no reason kept")
                );
                go_on(Rank::Stopped, reason, "interrupted")
            }
            AttemptState::Rejected => {
                let why = attempt.review().and_then(|review| review.reason.as_deref());
                let reason =
                    format!("Attempt {number} was rejected: {}", why.unwrap_or("no reason kept"));
                go_on(Rank::Stopped, reason, "rejected")
            }
            AttemptState::AwaitingVerdict => {
                let reason = format!("Attempt {number} is done and awaits the verdict.");
                go_on(Rank::Unjudged, reason, "awaits the verdict")
            }
            AttemptState::NotJudged => go_on(
                Rank::NotJudged,
                format!("Attempt {number} is not judged: {because}"),
                "not judged",
            ),
            AttemptState::AwaitingReview => match attempt.verdict().map(|one| one.verdict) {
                Some(Verdict::Pass) => Some(line(
                    Rank::Review,
                    Screen::Review,
                    "Review",
                    format!("Attempt {number} is within the limits and awaits review."),
                    "awaits review",
                )),
                _ => Some(line(
                    Rank::Failed,
                    Screen::Review,
                    "Review",
                    format!("Attempt {number} failed: {because}"),
                    "failed",
                )),
            },
        })
    }

    /// A hold that runs in an attempt, in words.
    fn running(
        &self,
        record: &RecordDoc,
        attempt: &AttemptDoc,
    ) -> Result<Option<(Rank, String, String)>> {
        let Some(hold) = attempt.holds.values().find(|hold| hold.end.is_none()) else {
            return Ok(None);
        };
        let checklist = self.source.checklist_of(record)?;
        let criteria = self.source.criteria_of(record)?;
        let required = required(&checklist, &criteria, &hold.step);
        let view = self.hold(hold, &checklist, required);
        let at = format!("{} {}", view.opens.day, view.opens.clock);
        Ok(Some(if view.elapsed_seconds >= required {
            let reason = format!("The hold is over; its end reading is open since {at}.");
            (Rank::HoldOver, reason, "hold is over".to_owned())
        } else {
            let reason = format!("The hold runs since {}; its end reading opens {at}.", {
                let began = &view.started;
                format!("{} {}", began.day, began.clock)
            });
            (Rank::HoldRuns, reason, format!("holds until {}", view.opens.clock))
        }))
    }

    /// Reports whose signatures have begun or can begin: the latest of the dish.
    fn of_reports(&self, dish: &PositionDoc) -> Result<Vec<Line>> {
        let mut lines = Vec::new();
        if let Some(report) = self.reports_of(&dish.position)?.first()
            && let Some(field) = report.next_field()
        {
            let title = field_title(field);
            lines.push(Line {
                rank: Rank::Sign,
                subject: format!("{}, handover report", dish.position),
                reason: format!(
                    "Issued {}; {} signs next.",
                    self.when(&report.issued.claimed),
                    title.to_lowercase()
                ),
                verb: "Sign",
                phrase: "report can be signed".to_owned(),
                target: Target::signoff(&dish.position),
            });
        }
        Ok(lines)
    }

    /// The issued reports of a dish, the latest first.
    pub(crate) fn reports_of(&self, position: &str) -> Result<Vec<ReportDoc>> {
        let mut list: Vec<ReportDoc> = Vec::new();
        for key in self.source.shelf.keys("report/")? {
            let report: Option<ReportDoc> = self.source.document(&key)?;
            list.extend(report.filter(|report| report.position == position));
        }
        list.sort_by_key(|report| std::cmp::Reverse(report.issued.number));
        Ok(list)
    }
}

fn required(checklist: &Checklist, criteria: &Criteria, step: &str) -> u32 {
    match checklist.step(step).map(|step| &step.asks) {
        Some(Asks::Hold(asked)) => limit_seconds(criteria, &asked.at_least),
        _ => 0,
    }
}
