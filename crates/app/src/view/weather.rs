//! The limits on the weather of a record, with what was seen of each during its latest attempt.

use logbook::document::{AttemptDoc, RecordDoc};
use logbook::events::{Role, WeatherNoted};
use logbook::rules::Act;
use logbook::source::{Checklist, Criteria};
use serde::Serialize;
use ts_rs::TS;

use super::asks::limit_value;
use super::common::Moment;
use super::eye::Eye;
use crate::error::Result;

/// A limit on the weather.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct WeatherLimit {
    /// What is observed, by its id in the checklist.
    pub(crate) quantity: String,
    pub(crate) title: String,
    pub(crate) limit: String,
    pub(crate) action: String,
    /// Everything noted of it during the latest attempt, the last one newest.
    pub(crate) observed: Vec<Observed>,
}

/// The weather as somebody saw it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Observed {
    /// As typed: "7.3 m/s".
    pub(crate) text: String,
    /// May be empty.
    pub(crate) instrument: String,
    pub(crate) by: String,
    pub(crate) at: Moment,
}

impl Eye<'_> {
    /// The checklist's limits on the weather, each with what was seen of it.
    pub(super) fn weather(
        &self,
        checklist: &Checklist,
        criteria: &Criteria,
        attempt: Option<&AttemptDoc>,
    ) -> Vec<WeatherLimit> {
        checklist
            .weather
            .iter()
            .map(|limit| {
                let value = limit_value(criteria, &limit.limit);
                WeatherLimit {
                    quantity: limit.quantity.clone(),
                    title: limit.title.clone(),
                    limit: match &limit.averaging {
                        Some(over) => format!("{value}, averaged over {over}"),
                        None => value,
                    },
                    action: limit.action.clone(),
                    observed: attempt
                        .map(|attempt| self.observed(attempt, &limit.quantity))
                        .unwrap_or_default(),
                }
            })
            .collect()
    }

    fn observed(&self, attempt: &AttemptDoc, quantity: &str) -> Vec<Observed> {
        let mut list = Vec::new();
        for noted in &attempt.weather {
            for seen in noted.observations.iter().filter(|seen| seen.quantity == quantity) {
                list.push(Observed {
                    text: seen.typed.clone(),
                    instrument: seen.instrument.clone().unwrap_or_default(),
                    by: self.source.who(&noted.stamp.person, noted.stamp.role),
                    at: self.moment(&noted.worked_at),
                });
            }
        }
        list
    }

    /// Why the weather can't be noted in this attempt; none when it can.
    pub(super) fn why_not_weather(
        &self,
        record: &RecordDoc,
        attempt: &AttemptDoc,
        role: Role,
    ) -> Result<Option<String>> {
        let noted = WeatherNoted {
            attempt: attempt.number,
            observations: Vec::new(),
            role,
            worked_at: self.source.now.clone(),
        };
        self.why_not(&Act::NoteWeather(&record.record, &noted))
    }
}
