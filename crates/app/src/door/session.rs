//! Opening and closing the folder, choosing who acts, drafts and acts.

use logbook::document::PersonDoc;

use super::answers::{Done, DraftText};
use super::args::{ActAsArgs, DraftArgs, DraftKeepArgs, Nothing, UnlockArgs};
use super::state::{IDLE_MINUTES, State};
use crate::error::Result;
use crate::logbook::Logbook;
use crate::view::people::{self, PeopleView};
use crate::view::session::{Acting, Session, SessionState};

impl State {
    pub(super) fn session(&mut self, _: Nothing) -> Result<Session> {
        self.seen()
    }

    fn seen(&self) -> Result<Session> {
        let zone = self.zone()?;
        let mut session = Session {
            state: SessionState::Closed,
            site: String::new(),
            installation: String::new(),
            folder: self.data.display().to_string(),
            demo: self.demo,
            acting: None,
            now: zone.moment(&self.clock.read().wall),
            idle_minutes: IDLE_MINUTES,
        };
        if let Some(logbook) = &self.logbook {
            let site = logbook.site_document()?;
            session.state = SessionState::Open;
            session.site = site.name;
            session.installation = site.installation;
            session.acting = logbook.acting.as_ref().map(|acting| Acting {
                person: acting.person.person.clone(),
                name: acting.person.name.clone(),
                role: acting.role.name().to_owned(),
                role_title: acting.role.title().to_owned(),
            });
        }
        Ok(session)
    }

    pub(super) fn unlock(&mut self, args: UnlockArgs) -> Result<Session> {
        let passphrase = zeroize::Zeroizing::new(args.passphrase);
        if self.logbook.is_none() {
            let clock = std::sync::Arc::clone(&self.clock);
            self.logbook = Some(Logbook::open_with(
                &self.data,
                self.secrets.as_deref(),
                &passphrase,
                clock,
                &mut |_| {},
            )?);
        }
        self.seen()
    }

    pub(super) fn close(&mut self, _: Nothing) -> Result<Session> {
        self.logbook = None;
        self.seen()
    }

    pub(super) fn people(&mut self, _: Nothing) -> Result<PeopleView> {
        let logbook = self.open()?;
        let today = logbook.now()?.day();
        let shelf = logbook.store.documents();
        let mut list = Vec::new();
        for key in logbook::Shelf::keys(&shelf, "person/")? {
            let Some(person) = logbook::read::<PersonDoc>(&shelf, &key)? else { continue };
            let sealed = crate::people::sealed_under(&person.person);
            let has_pin = logbook.store.local(&sealed)?.is_some();
            list.push(people::choice(&person, today, has_pin));
        }
        Ok(PeopleView { people: list })
    }

    pub(super) fn act_as(&mut self, args: ActAsArgs) -> Result<Session> {
        let pin = zeroize::Zeroizing::new(args.pin);
        self.open_mut()?.act_as(&args.person, args.role, &pin)?;
        self.touch();
        self.seen()
    }

    pub(super) fn change_person(&mut self, _: Nothing) -> Result<Session> {
        self.open_mut()?.acting = None;
        self.seen()
    }

    pub(super) fn draft_keep(&mut self, args: DraftKeepArgs) -> Result<Done> {
        self.open_mut()?.store.put_draft(&args.name, args.text.as_bytes())?;
        Ok(Done {})
    }

    pub(super) fn draft(&mut self, args: DraftArgs) -> Result<DraftText> {
        let kept = self.open()?.store.draft(&args.name)?;
        Ok(DraftText { text: kept.map(|bytes| String::from_utf8_lossy(&bytes).into_owned()) })
    }
}
