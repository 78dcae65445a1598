//! Corrections, late entries and transcriptions: a list of its own, not footnotes.

use logbook::document::{self, Flag, Given, HoldDoc, RecordDoc};
use logbook::events::Origin;
use logbook::source::{Checklist, Step};
use report::model;

use super::readings::answer_words;
use super::source::Source;
use super::taken::{At, series_words};
use crate::words;

impl Source<'_> {
    /// Corrections, late entries and transcriptions of a record, as a list and not a footnote.
    pub(super) fn corrections(
        &self,
        record: &RecordDoc,
        checklist: &Checklist,
        installation: &str,
    ) -> Vec<model::Correction> {
        let mut list = Vec::new();
        for attempt in &record.attempts {
            for step in &checklist.steps {
                let subject = format!("Attempt {}, {} {}", attempt.number, step.number, step.title);
                list.extend(
                    attempt.holds.get(&step.id).and_then(|hold| {
                        self.transcribed_hold(subject.clone(), hold, installation)
                    }),
                );
                let at = At { record, attempt, step, installation };
                list.extend(self.surveys_again(&subject, &at));
                list.extend(self.series_again(&subject, &at));
                let Some(answer) = attempt.answers.get(&step.id) else { continue };
                for (index, given) in answer.given.iter().enumerate() {
                    let before = index.checked_sub(1).and_then(|i| answer.given.get(i));
                    list.extend(self.correction(
                        subject.clone(),
                        step,
                        given,
                        before,
                        installation,
                    ));
                }
            }
        }
        list
    }

    /// A hold whose start or end was typed in from paper.
    fn transcribed_hold(
        &self,
        subject: String,
        hold: &HoldDoc,
        installation: &str,
    ) -> Option<model::Correction> {
        let (which, mark, form) = [("end", hold.end.as_ref()), ("start", Some(&hold.start))]
            .into_iter()
            .find_map(|(which, mark)| match mark.map(|mark| (&mark.origin, mark)) {
                Some((Origin::Transcribed { form, .. }, mark)) => Some((which, mark, form)),
                _ => None,
            })?;
        Some(model::Correction {
            kind: "transcribed".to_owned(),
            subject: format!("{subject}, {which}"),
            before: String::new(),
            after: words::when_short(&mark.worked_at),
            reason: format!("typed in from paper form {form}"),
            who: self.typed_by(&mark.stamp, mark.confirmed.as_ref()),
            entry: words::entry(installation, &mark.stamp),
        })
    }

    /// Tables taken again, typed in from paper, or late.
    fn surveys_again(&self, subject: &str, at: &At<'_>) -> Vec<model::Correction> {
        let Some(doc) = at.attempt.surveys.get(&at.step.id) else { return Vec::new() };
        let mut before = self.answer_before(at, doc.given.first().map(|given| &given.stamp));
        let mut list = Vec::new();
        for given in &doc.given {
            let after = self.survey_words(at, given);
            let why = why(given.reason.as_ref(), &given.origin, &given.flags);
            list.extend(why.map(|(kind, reason)| model::Correction {
                kind,
                subject: subject.to_owned(),
                before: before.clone(),
                after: after.clone(),
                reason,
                who: self.typed_by(&given.stamp, given.confirmed.as_ref()),
                entry: words::entry(at.installation, &given.stamp),
            }));
            before = after;
        }
        list
    }

    /// Files imported again, or late.
    fn series_again(&self, subject: &str, at: &At<'_>) -> Vec<model::Correction> {
        let Some(doc) = at.attempt.series.get(&at.step.id) else { return Vec::new() };
        let mut before = self.answer_before(at, doc.given.first().map(|given| &given.stamp));
        let mut list = Vec::new();
        for given in &doc.given {
            let after = series_words(given);
            let why = why(given.reason.as_ref(), &Origin::Direct {}, &given.flags);
            list.extend(why.map(|(kind, reason)| model::Correction {
                kind,
                subject: subject.to_owned(),
                before: before.clone(),
                after: after.clone(),
                reason,
                who: self.typed_by(&given.stamp, None),
                entry: words::entry(at.installation, &given.stamp),
            }));
            before = after;
        }
        list
    }

    /// What stood at the step before the first table or import: the answer that came before it.
    fn answer_before(&self, at: &At<'_>, first: Option<&document::Stamp>) -> String {
        let answers = at.attempt.answers.get(&at.step.id).map(|answer| answer.given.as_slice());
        let earlier = answers
            .unwrap_or_default()
            .iter()
            .rev()
            .find(|given| first.is_some_and(|first| given.stamp.number < first.number));
        earlier.map(|given| answer_words(at.step, &given.answer).0).unwrap_or_default()
    }

    fn typed_by(&self, stamp: &document::Stamp, confirmed: Option<&document::Stamp>) -> String {
        let typed = format!("{} {}", self.name(&stamp.person), words::when_short(&stamp.claimed));
        match confirmed {
            Some(by) => format!(
                "{typed}; confirmed by {} {}",
                self.name(&by.person),
                words::when_short(&by.claimed)
            ),
            None => typed,
        }
    }

    fn correction(
        &self,
        subject: String,
        step: &Step,
        given: &Given,
        before: Option<&Given>,
        installation: &str,
    ) -> Option<model::Correction> {
        let (kind, reason) = match &given.correction_reason {
            Some(reason) => ("correction".to_owned(), reason.clone()),
            None => why(None, &given.origin, &given.flags)?,
        };
        Some(model::Correction {
            kind,
            subject,
            before: before.map(|given| answer_words(step, &given.answer).0).unwrap_or_default(),
            after: answer_words(step, &given.answer).0,
            reason,
            who: self.typed_by(&given.stamp, given.confirmed.as_ref()),
            entry: words::entry(installation, &given.stamp),
        })
    }
}

/// Which kind of line an entry makes in the list, and the reason for it; none for a plain one.
fn why(again: Option<&String>, origin: &Origin, flags: &[Flag]) -> Option<(String, String)> {
    let late = flags.iter().find(|flag| flag.code.contains("late"));
    let (kind, reason) = match (again, origin, late) {
        (Some(reason), ..) => ("taken again", reason.clone()),
        (None, Origin::Transcribed { form, .. }, _) => {
            ("transcribed", format!("typed in from paper form {form}"))
        }
        (None, Origin::Direct {}, Some(late)) => ("late", late.text.clone()),
        (None, Origin::Direct {}, None) => return None,
    };
    Some((kind.to_owned(), reason))
}
