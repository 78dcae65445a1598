//! The locks board. It is never blank, and it never says that a place may be entered.

use logbook::Key;
use logbook::document::{AdoptedDoc, PositionDoc};
use logbook::source::Checklist;
use serde::Serialize;
use ts_rs::TS;

use super::common::{Knowledge, Moment};
use super::eye::{Eye, label};
use super::lockouts::{Lockout, NO_LOCKS_KEPT, SUN_WINDOW};
use super::verdict::SheetView;
use crate::error::Result;
use crate::words;

/// The board.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct LocksView {
    pub(crate) title: String,
    pub(crate) caption: String,
    /// What this version does not keep.
    pub(crate) notice: String,
    pub(crate) people: Vec<LockLine>,
    pub(crate) records: Vec<LockRecord>,
    /// Adopted checklists that record a lockout; a record of one can be opened on any dish.
    pub(crate) checklists: Vec<LockChecklist>,
    pub(crate) dishes: Vec<LockDish>,
    pub(crate) cautions: Vec<String>,
    pub(crate) emergency: String,
    pub(crate) rescue: String,
    pub(crate) knowledge: Knowledge,
}

/// A person with a lock.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct LockLine {
    pub(crate) position: String,
    pub(crate) person: String,
    pub(crate) lock: String,
    pub(crate) since: Option<Moment>,
    pub(crate) text: String,
}

/// A lockout record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct LockRecord {
    pub(crate) position: String,
    pub(crate) record: String,
    pub(crate) title: String,
    pub(crate) state_word: String,
    pub(crate) at: Moment,
    pub(crate) sky_svg: Option<String>,
    /// What the sun does over the job, in a sentence; may be empty.
    pub(crate) window: String,
}

/// An adopted checklist that records a lockout.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct LockChecklist {
    pub(crate) checklist: String,
    pub(crate) criteria: String,
    pub(crate) title: String,
}

/// A dish that can be locked out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct LockDish {
    pub(crate) position: String,
    pub(crate) label: String,
}

/// What holds wherever somebody goes near a focus.
const CAUTIONS: [&str; 3] = [
    "Concentrated sunlight can't be padlocked. Before anyone enters the focal zone the dish stands \
     where the sun does not come to it for the whole job, and it cannot move.",
    "The battery-backed defocus supply stays alive when the main isolator is open.",
    "Hydrogen burns with a flame that is hard to see. At a hiss or an alarm: leave, count heads, \
     call.",
];

impl Eye<'_> {
    /// The board. It is never blank: what is not known is said to be not known.
    pub(crate) fn locks(&self) -> Result<LocksView> {
        let mut records = Vec::new();
        let mut open = 0;
        let dishes = self.dishes()?;
        for dish in &dishes {
            let known = self.records(dish)?;
            for lockout in self.lockouts(&known, dish)?.iter().filter(|one| one.is_open()) {
                open += 1;
                records.extend(self.lock_record(dish, lockout)?);
            }
        }
        records.sort_by(|a, b| b.at.iso.cmp(&a.at.iso));
        let now = self.moment(&self.source.now);
        let emergency = self.site.described.as_ref().map(|described| &described.site.emergency);
        let knowledge = self.knowledge()?;
        Ok(LocksView {
            title: match open {
                0 => "No open lockout record".to_owned(),
                some => super::eye::capital(&words::count(
                    some,
                    "open lockout record",
                    "open lockout records",
                )),
            },
            caption: format!(
                "Known to this tablet as of {} {}; {}.",
                now.day, now.clock, knowledge.oldest
            ),
            notice: NO_LOCKS_KEPT.to_owned(),
            // Single locks are not kept yet, so none may look as if it were known to be off.
            people: Vec::new(),
            records,
            checklists: self.lock_checklists()?,
            dishes: dishes
                .iter()
                .map(|dish| LockDish { position: dish.position.clone(), label: label(dish) })
                .collect(),
            cautions: CAUTIONS.map(str::to_owned).to_vec(),
            emergency: emergency.map(|one| one.number.clone()).unwrap_or_default(),
            rescue: emergency.map(|one| one.rescue_plan.clone()).unwrap_or_default(),
            knowledge,
        })
    }

    /// Checklists of a lockout, the newest adopted revision of each.
    fn lock_checklists(&self) -> Result<Vec<LockChecklist>> {
        let mut list = Vec::new();
        for (id, adopted) in &self.site.checklists {
            let key = Key::checklist(id, &adopted.revision);
            let read: Option<AdoptedDoc<Checklist>> = self.source.document(&key)?;
            let Some(checklist) = read.map(|adopted| adopted.read) else { continue };
            if window_step(&checklist).is_some() {
                list.push(LockChecklist {
                    checklist: id.clone(),
                    criteria: checklist.criteria,
                    title: checklist.title,
                });
            }
        }
        Ok(list)
    }

    fn lock_record(&self, dish: &PositionDoc, lockout: &Lockout) -> Result<Option<LockRecord>> {
        let Some(attempt) = lockout.record.latest() else { return Ok(None) };
        let sheet = self.sun_window(lockout)?;
        Ok(Some(LockRecord {
            position: label(dish),
            record: lockout.record.record.to_string(),
            title: lockout.record.title.clone(),
            state_word: attempt.state.words().to_owned(),
            at: self.moment(&attempt.worked_at),
            window: sheet.as_ref().map(|sheet| sheet.reason.clone()).unwrap_or_default(),
            sky_svg: sheet.and_then(|sheet| sheet.first_svg()),
        }))
    }

    /// The sun over the job, as it comes out of what is entered so far.
    fn sun_window(&self, lockout: &Lockout) -> Result<Option<SheetView>> {
        let step = window_step(&lockout.checklist);
        let steps = self.record(&lockout.record.record.to_string())?.steps;
        Ok(steps.into_iter().find(|one| Some(&one.id) == step.as_ref()).and_then(|one| one.sheet))
    }
}

fn window_step(checklist: &Checklist) -> Option<String> {
    checklist
        .calculations()
        .find(|(_, calculated)| calculated.name == SUN_WINDOW)
        .map(|(step, _)| step.id.clone())
}
