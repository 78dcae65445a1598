//! From a payload to a durable entry: sealed with the chain's key and, where it binds, the
//! person's; kept by the store before anyone is told.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use ledger::{AttachmentRef, Bond, Draft, EntryId, Kind, PersonId, Place, Subject};
use logbook::Moment;
use logbook::events::{Payload, Role};
use logbook::rules::{self, Act, Actor, MayNot};
use store::Attachment;

use crate::error::{AppError, Result};
use crate::logbook::{Acting, Logbook};
use crate::request::Upload;

/// Attachments larger than this are refused before they are read into memory twice.
const LARGEST_UPLOAD: usize = 64 * 1024 * 1024;

/// What an entry says, and how it counts.
pub(crate) struct Content {
    pub(crate) kind: &'static str,
    pub(crate) version: u32,
    pub(crate) payload: Vec<u8>,
    /// Whether the acting person signs it too.
    pub(crate) binds: bool,
}

impl Content {
    /// A payload of the logbook.
    pub(crate) fn of<P: Payload>(payload: &P) -> Result<Self> {
        Ok(Self {
            kind: P::KIND,
            version: P::VERSION,
            payload: payload.to_bytes()?,
            binds: P::BINDS,
        })
    }
}

impl Logbook {
    /// The acting person, or an error that asks for one.
    pub(crate) fn acting(&self) -> Result<&Acting> {
        self.acting.as_ref().ok_or_else(|| {
            AppError::new(
                "people.nobody_acts",
                "Nobody acts on this installation just now.",
                "Choose who acts, in which role, and let that person type their PIN.",
            )
        })
    }

    /// The role of the acting person.
    pub(crate) fn role(&self) -> Result<Role> {
        Ok(self.acting()?.role)
    }

    /// Asks the rules of the logbook whether the acting person may do this.
    pub(crate) fn may(&self, act: &Act<'_>) -> Result<()> {
        Ok(self.ask_rules(act)??)
    }

    /// The same, with the rules' own answer: a refusal may be one that a reason overrules.
    pub(crate) fn ask_rules(&self, act: &Act<'_>) -> Result<std::result::Result<(), MayNot>> {
        let at = self.now()?;
        let actor = Actor { person: &self.acting()?.person.person, at: &at };
        Ok(rules::may(&self.store.documents(), &actor, act))
    }

    /// Enters a payload by the acting person.
    pub(crate) fn enter<P: Payload>(
        &mut self,
        subject: &Subject,
        payload: &P,
        files: &[Vec<u8>],
    ) -> Result<EntryId> {
        self.acting()?;
        self.append(subject, Content::of(payload)?, files)
    }

    /// Seals and stores an entry on this installation's chain.
    pub(crate) fn append(
        &mut self,
        subject: &Subject,
        content: Content,
        files: &[Vec<u8>],
    ) -> Result<EntryId> {
        let unusable = |cause: ledger::NotAText| AppError::internal("Writing an entry", cause);
        let head = self.store.head()?;
        let place = Place {
            site: self.site,
            chain: self.chain,
            number: head.map_or(1, |head| head.number + 1),
            previous: head.map(|head| head.id),
            // This installation has received no other chain: exchange is not part of it yet.
            heads: Vec::new(),
        };
        let attachments: Vec<Attachment> =
            files.iter().map(|bytes| Attachment::from_bytes(bytes.clone())).collect();
        let draft = Draft {
            claimed: self.clock.read().claimed(),
            person: PersonId::new(self.acting.as_ref().map_or("", |a| a.person.person.as_str()))
                .map_err(unusable)?,
            kind: Kind::new(content.kind).map_err(unusable)?,
            kind_version: content.version,
            subject: subject.clone(),
            payload: content.payload,
            attachments: files.iter().map(|bytes| reference(bytes)).collect(),
        };
        let bond = match (&self.acting, content.binds) {
            (Some(acting), true) => {
                let role = Kind::new(acting.role.name()).map_err(unusable)?;
                Some(Bond { key: &acting.key, role })
            }
            _ => None,
        };
        let entry = ledger::seal(&place, draft, &self.keys()?.chain, bond.as_ref())?;
        let kept = self.store.append(&entry, &attachments)?;
        Ok(*kept.id())
    }

    /// The time of work: as claimed, or now.
    pub(crate) fn worked_at(&self, claimed: Option<&Moment>) -> Result<Moment> {
        match claimed {
            Some(moment) => Ok(moment.clone()),
            None => self.now(),
        }
    }
}

fn reference(bytes: &[u8]) -> AttachmentRef {
    AttachmentRef { hash: ledger::Digest::of(bytes), length: bytes.len() as u64 }
}

/// The bytes of an upload.
pub(crate) fn uploaded(upload: &Upload) -> Result<Vec<u8>> {
    if upload.base64.len() > LARGEST_UPLOAD / 3 * 4 {
        return Err(AppError::new(
            "upload.too_large",
            "The file has more than 64 MiB.",
            "Take the picture at a smaller size, or hand the file over in parts.",
        ));
    }
    let bytes = BASE64.decode(&upload.base64).map_err(|_| {
        AppError::new(
            "upload.unreadable",
            "The file did not arrive whole.",
            "Choose the file again.",
        )
    })?;
    if bytes.is_empty() {
        return Err(AppError::new("upload.empty", "The file is empty.", "Choose another file."));
    }
    Ok(bytes)
}
