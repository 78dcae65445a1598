//! The list of people to choose from when somebody takes the tablet.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use logbook::document::PersonDoc;
use logbook::events::RoleHeld;
use serde::Serialize;
use ts_rs::TS;

/// A paper that runs out within so many days is mentioned.
const SOON_DAYS: i64 = 30;

/// Everyone on the site's list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct PeopleView {
    pub(crate) people: Vec<PersonView>,
}

/// A person to choose.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct PersonView {
    pub(crate) person: String,
    pub(crate) name: String,
    pub(crate) employer: String,
    /// Roles held today.
    pub(crate) roles: Vec<RoleChoice>,
    pub(crate) has_pin: bool,
    /// "hydrogen ticket ran out 5 Sep 2026" and the like.
    pub(crate) notes: Vec<String>,
}

/// A role to choose.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct RoleChoice {
    pub(crate) role: String,
    pub(crate) title: String,
}

/// A person as a choice, on a day.
pub(crate) fn choice(person: &PersonDoc, today: NaiveDate, has_pin: bool) -> PersonView {
    let held = |held: &&RoleHeld| person.holds(held.role, today);
    let roles: Vec<RoleChoice> = person
        .roles
        .iter()
        .filter(held)
        .map(|held| RoleChoice {
            role: held.role.name().to_owned(),
            title: held.role.title().to_owned(),
        })
        .collect();
    let mut notes: Vec<String> = Vec::new();
    let kinds: BTreeSet<&str> = person.papers.iter().map(|paper| paper.kind.as_str()).collect();
    for kind in kinds {
        // The paper of a kind that runs longest decides: an older one was renewed.
        let Some(expires) = person.latest_paper(kind).and_then(|paper| paper.expires) else {
            continue;
        };
        let words = kind.replace('-', " ");
        let day = expires.format("%-d %b %Y");
        let left = (expires - today).num_days();
        if left < 0 {
            notes.push(format!("{words} ran out {day}"));
        } else if left <= SOON_DAYS {
            notes.push(format!("{words} runs out {day}"));
        }
    }
    if roles.is_empty() {
        notes.push("holds no role today".to_owned());
    }
    if !has_pin {
        notes.push("has no PIN on this tablet".to_owned());
    }
    PersonView {
        person: person.person.clone(),
        name: person.name.clone(),
        employer: person.employer.clone(),
        roles,
        has_pin,
        notes,
    }
}
