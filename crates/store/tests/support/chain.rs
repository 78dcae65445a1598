//! A chain to fill stores with: fixed keys, so that every run makes the same bytes.

use ledger::{
    AttachmentRef, ChainId, Draft, Entry, EntryId, Kind, PersonId, Place, SigningKey, SiteId,
    Subject, seal,
};

/// The writer of one chain of one site.
#[derive(Clone)]
pub(crate) struct Chain {
    key: SigningKey,
    site: SiteId,
    id: ChainId,
}

/// What an entry of the fixture says.
#[derive(Clone, Default)]
pub(crate) struct Says<'a> {
    pub(crate) kind: &'a str,
    pub(crate) subject: u64,
    pub(crate) payload: &'a str,
    pub(crate) attachments: Vec<AttachmentRef>,
}

impl Chain {
    /// The chain of installation `seed`; every installation is of the same site.
    pub(crate) fn new(seed: u8) -> Self {
        Self::of_site(seed, b"the site of the tests")
    }

    /// The same chain, claimed to belong to another site.
    pub(crate) fn of_site(seed: u8, site: &[u8]) -> Self {
        let key = SigningKey::from_bytes(&[seed; 32]).unwrap();
        let id = ChainId::of(&key.public().to_der());
        Self { key, site: SiteId::of(site), id }
    }

    pub(crate) fn id(&self) -> ChainId {
        self.id
    }

    /// The entry after `previous`; number 1 where there is none.
    pub(crate) fn after(&self, previous: Option<(u64, EntryId)>, says: &Says<'_>) -> Entry {
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
