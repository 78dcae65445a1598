//! Corrections, late entries and transcriptions: a list of its own, not footnotes.

use logbook::document::{self, Given, HoldDoc, RecordDoc};
use logbook::events::Origin;
use logbook::source::{Checklist, Step};
use report::model;

use super::readings::answer_words;
use super::source::Source;
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
        let late = given.flags.iter().find(|flag| flag.code.contains("late"));
        let (kind, reason) = match (&given.origin, &given.correction_reason, late) {
            (_, Some(reason), _) => ("correction", reason.clone()),
            (Origin::Transcribed { form, .. }, None, _) => {
                ("transcribed", format!("typed in from paper form {form}"))
            }
            (Origin::Direct {}, None, Some(late)) => ("late", late.text.clone()),
            (Origin::Direct {}, None, None) => return None,
        };
        Some(model::Correction {
            kind: kind.to_owned(),
            subject,
            before: before.map(|given| answer_words(step, &given.answer).0).unwrap_or_default(),
            after: answer_words(step, &given.answer).0,
            reason,
            who: self.typed_by(&given.stamp, given.confirmed.as_ref()),
            entry: words::entry(installation, &given.stamp),
        })
    }
}
