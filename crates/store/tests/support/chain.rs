//! A chain to fill stores with: fixed keys, so that every run makes the same bytes.

use ledger::{
    AttachmentRef, ChainId, Draft, Entry, EntryId, Kind, PersonId, Place, SigningKey, SiteId,
    Subject, seal,
};

/// The writer of one chain of one site.
#[derive(Clone)]
pub struct Chain {
    key: SigningKey,
    site: SiteId,
    id: ChainId,
}

/// What an entry of the fixture says.
#[derive(Clone, Default)]
pub struct Says<'a> {
    pub kind: &'a str,
    pub subject: u64,
    pub payload: &'a str,
    pub attachments: Vec<AttachmentRef>,
}

impl Chain {
    /// The chain of installation `seed`; every installation is of the same site.
    pub fn new(seed: u8) -> Self {
        let key = SigningKey::from_bytes(&[seed; 32]).unwrap();
        let id = ChainId::of(&key.public().to_der());
        Self { key, site: SiteId::of(b"the site of the tests"), id }
    }

    pub fn id(&self) -> ChainId {
        self.id
    }

    /// The same chain, claimed to belong to another site.
    pub fn of_another_site(&self) -> Self {
        Self { site: SiteId::of(b"another site"), ..self.clone() }
    }

    /// The entry after `previous`; number 1 where there is none.
    pub fn after(&self, previous: Option<(u64, EntryId)>, says: &Says<'_>) -> Entry {
        let place = Place {
            site: self.site,
            chain: self.id,
            number: previous.map_or(1, |(number, _)| number + 1),
            previous: previous.map(|(_, id)| id),
            heads: Vec::new(),
        };
        let kind = if says.kind.is_empty() { "note" } else { says.kind };
        let payload =
            if says.payload.is_empty() { "{\"text\":\"torque read\"}" } else { says.payload };
        let draft = Draft {
            claimed: "2026-09-05T18:05:00-04:00".to_owned(),
            person: PersonId::new("").unwrap(),
            kind: Kind::new(kind).unwrap(),
            kind_version: 1,
            subject: Subject::new(format!("01920000-0000-7000-8000-{:012x}", says.subject))
                .unwrap(),
            payload: payload.as_bytes().to_vec(),
            attachments: says.attachments.clone(),
        };
        seal(&place, draft, &self.key, None).unwrap()
    }
}
