//! A founded site whose keys come from small numbers.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use ledger::kinds::{self, Found};
use ledger::{
    AttachmentRef, Bond, ChainId, Digest, Draft, Entry, HeadSeen, Kind, PersonId, Place, PublicKey,
    SigningKey, SiteId, Subject, canonical, seal,
};

/// A test key: the private number is `seed` repeated. Never use one outside tests.
///
/// # Panics
/// For seed 0.
#[must_use]
pub fn key(seed: u8) -> SigningKey {
    SigningKey::from_bytes(&[seed; 32]).expect("a repeated byte from 1 to 254 is a valid key")
}

/// The `number`th subject of the fixtures: a version 7 UUID.
///
/// # Panics
/// Never: the text always has the form of a UUID.
#[must_use]
pub fn subject(number: u64) -> Subject {
    Subject::new(format!("01990000-0000-7000-8000-{number:012x}")).expect("the form of a UUID")
}

/// Writes one chain of the fixture site.
pub struct ChainWriter {
    site: SiteId,
    chain: ChainId,
    key: SigningKey,
    number: u64,
    previous: Option<ledger::EntryId>,
    claimed: String,
    seen: Vec<HeadSeen>,
}

impl ChainWriter {
    /// The founding chain: authority key 1, chain key 2. The first entry is `found`.
    ///
    /// # Panics
    /// Never: the fixture's own payload is valid.
    #[must_use]
    pub fn founding() -> (Self, Entry) {
        let authority = key(1);
        let mut writer = Self::new(SiteId::of(&authority.public().to_der()), 2);
        let found = Found {
            site_name: "Fixture site".to_owned(),
            installation_name: "T1".to_owned(),
            authority_key: authority.public(),
            authority_certificate: BASE64.encode("no certificate in this fixture"),
            intermediate_certificate: BASE64.encode("no certificate in this fixture"),
            authority_signature: kinds::sign_founding(&authority, &writer.key.public())
                .expect("the founding statement has a canonical form"),
        };
        let entry = writer.write(kinds::FOUND, &subject(0), &found, None, Vec::new());
        (writer, entry)
    }

    /// A further chain of the site, not admitted yet.
    #[must_use]
    pub fn new(site: SiteId, seed: u8) -> Self {
        let key = key(seed);
        let chain = ChainId::of(&key.public().to_der());
        Self {
            site,
            chain,
            key,
            number: 0,
            previous: None,
            claimed: "2026-08-24T07:00:00-04:00".to_owned(),
            seen: Vec::new(),
        }
    }

    /// Notes an entry of another chain as seen: the next entry names it among its heads.
    pub fn see(&mut self, entry: &Entry) {
        let header = entry.header();
        let seen = HeadSeen { chain: *header.chain(), number: header.number(), id: *entry.id() };
        self.seen.retain(|head| head.chain != seen.chain);
        self.seen.push(seen);
    }

    /// The chain's public key.
    #[must_use]
    pub fn public_key(&self) -> PublicKey {
        self.key.public()
    }

    /// Sets what the next entries claim as their time.
    pub fn claim(&mut self, claimed: &str) {
        claimed.clone_into(&mut self.claimed);
    }

    /// The chain.
    #[must_use]
    pub fn chain(&self) -> &ChainId {
        &self.chain
    }

    /// The site.
    #[must_use]
    pub fn site(&self) -> &SiteId {
        &self.site
    }

    /// Goes back so that the next entry stands on the place of one that exists: a fork.
    pub fn go_back_to(&mut self, entry: &Entry) {
        self.number = entry.header().number();
        self.previous = Some(*entry.id());
    }

    /// Seals the next entry. `person` is id, role and key of one who binds themselves.
    ///
    /// # Panics
    /// When the payload has no canonical form or a text is not usable: the test is wrong.
    pub fn write<T: serde::Serialize>(
        &mut self,
        kind: &str,
        about: &Subject,
        payload: &T,
        person: Option<(&str, &str, &SigningKey)>,
        attachments: Vec<AttachmentRef>,
    ) -> Entry {
        let place = Place {
            site: self.site,
            chain: self.chain,
            number: self.number + 1,
            previous: self.previous,
            heads: std::mem::take(&mut self.seen),
        };
        let draft = Draft {
            claimed: self.claimed.clone(),
            person: PersonId::new(person.map_or("", |(id, _, _)| id)).expect("a person's id"),
            kind: Kind::new(kind).expect("a kind"),
            kind_version: 1,
            subject: about.clone(),
            payload: canonical::to_bytes(payload).expect("a canonical payload"),
            attachments,
        };
        let bond =
            person.map(|(_, role, key)| Bond { key, role: Kind::new(role).expect("a role") });
        let entry = seal(&place, draft, &self.key, bond.as_ref()).expect("a sealed entry");
        self.number += 1;
        self.previous = Some(*entry.id());
        entry
    }

    /// Names a file as an attachment.
    #[must_use]
    pub fn attach(bytes: &[u8]) -> AttachmentRef {
        AttachmentRef { hash: Digest::of(bytes), length: bytes.len() as u64 }
    }
}
