//! People: their PIN, key and certificate on this installation, and who acts.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use der::Decode as _;
use ledger::EntryId;
use logbook::Key;
use logbook::document::PersonDoc;
use logbook::events::{PersonCertified, Role};
use serde::{Deserialize, Serialize};
use x509_cert::Certificate;

use crate::certificate;
use crate::error::{AppError, Result};
use crate::logbook::{
    Acting, Logbook, get_local, key_bytes, new_key, p256_key, put_local, signing_key,
};
use crate::vault::{self, Sealed};
use crate::write::Content;

/// Wrong PINs that cost nothing but the typing.
const FREE_TRIES: u32 = 5;
/// The wait after the next wrong one; it doubles with each, up to an hour.
const FIRST_WAIT_SECONDS: u64 = 60;
const LONGEST_WAIT_SECONDS: u64 = 3600;

/// How often a PIN was typed wrong, and when that was last, on the clock that nobody sets.
#[derive(Debug, Default, Serialize, Deserialize)]
struct Tries {
    wrong: u32,
    boot: String,
    at_seconds: u64,
}

impl Logbook {
    /// The document of a person on the site's list.
    pub(crate) fn person(&self, id: &str) -> Result<PersonDoc> {
        self.document(&Key::person(id))?.ok_or_else(|| {
            AppError::new(
                "people.unknown",
                format!("\"{id}\" is not on the site's list of people."),
                "Enrol the person first, or check the id.",
            )
        })
    }

    /// Makes a key for the person, sealed under their PIN, and certifies it.
    pub(crate) fn give_pin(&mut self, person: &str, pin: &str) -> Result<EntryId> {
        let document = self.person(person)?;
        let scalar = new_key()?;
        let sealed = vault::seal_with_pin(
            scalar.as_slice(),
            pin,
            &self.keys()?.machine,
            person,
            self.pin_cost,
        )?;
        let own = self.own_certificate()?;
        let issuer_key = p256_key(&*self.intermediate_key()?)?;
        let founded = self.site_document()?.founded.claimed.at();
        let issued = certificate::person(
            &document.name,
            person,
            &p256_key(&scalar)?,
            (&own.tbs_certificate.subject, &issuer_key),
            founded,
        )?;
        let certified = PersonCertified {
            person: person.to_owned(),
            key: signing_key(&scalar)?.public(),
            certificate: BASE64.encode(issued.der),
        };
        let subject = self.subject_of(&document.enrolled.entry)?;
        // Certified first: if this is cut short, the old key and PIN go on working.
        let entry = self.append(&subject, Content::of(&certified)?, &[])?;
        put_local(&mut self.store, &sealed_under(person), &sealed)?;
        Ok(entry)
    }

    /// Makes a person the one who acts.
    pub(crate) fn act_as(&mut self, person: &str, role: Role, pin: &str) -> Result<()> {
        let document = self.person(person)?;
        let day = self.now()?.day();
        if !document.holds(role, day) {
            let held: Vec<&str> = document.roles.iter().map(|held| held.role.title()).collect();
            return Err(AppError::new(
                "people.role_not_held",
                format!("{} does not hold the role of {} on {day}.", document.name, role.title()),
                format!("Act in a role held ({}).", held.join(", ")),
            ));
        }
        let Some(sealed) = get_local::<Sealed>(&self.store, &sealed_under(person))? else {
            return Err(AppError::new(
                "people.no_pin",
                format!("{} has no PIN on this installation.", document.name),
                "Let someone who admits people here give them one.",
            ));
        };
        self.keys()?;
        self.wait_over(person, &document.name)?;
        // Counted before the PIN is tried: a program that is killed in between has used the try.
        let counted = self.count_try(person)?;
        let machine = &self.keys()?.machine;
        let Some(opened) = vault::open_with_pin(&sealed, pin, machine, person)? else {
            return Err(wrong_pin(&counted, &document.name));
        };
        put_local(&mut self.store, &tries_of(person), &Tries::default())?;
        let key = signing_key(&*key_bytes(&opened)?)?;
        if !document.certified.iter().any(|certified| certified.key == key.public()) {
            return Err(AppError::new(
                "people.not_certified",
                format!("The key that this PIN opens was never certified for {}.", document.name),
                "Let someone who admits people here give them a PIN once more.",
            ));
        }
        self.acting = Some(Acting { person: document, role, key });
        Ok(())
    }

    /// Refuses while the wait after too many wrong PINs lasts.
    fn wait_over(&self, person: &str, name: &str) -> Result<()> {
        let tries: Tries = get_local(&self.store, &tries_of(person))?.unwrap_or_default();
        let Some(over) = tries.wrong.checked_sub(FREE_TRIES) else { return Ok(()) };
        let wait = FIRST_WAIT_SECONDS.saturating_mul(1 << over.min(10)).min(LONGEST_WAIT_SECONDS);
        let now = self.clock.read();
        // After a restart the clock begins anew, and so does the wait.
        let since = if now.boot == tries.boot { tries.at_seconds } else { 0 };
        let left = (since + wait).saturating_sub(now.elapsed.as_secs());
        if left == 0 {
            return Ok(());
        }
        Err(AppError::new(
            "people.pin_wait",
            format!("The PIN of {name} was typed wrong {} times.", tries.wrong),
            format!("Wait {left} s, then try again. Nothing typed in the form is lost."),
        ))
    }

    fn count_try(&mut self, person: &str) -> Result<Tries> {
        let mut tries: Tries = get_local(&self.store, &tries_of(person))?.unwrap_or_default();
        let now = self.clock.read();
        tries.wrong += 1;
        tries.at_seconds = now.elapsed.as_secs();
        tries.boot = now.boot;
        put_local(&mut self.store, &tries_of(person), &tries)?;
        Ok(tries)
    }

    /// This installation's own certificate, from the founding entry.
    pub(crate) fn own_certificate(&self) -> Result<Certificate> {
        let der = self.founding()?.1;
        Certificate::from_der(&der)
            .map_err(|cause| AppError::internal("Reading this installation's certificate", cause))
    }

    /// The authority's and this installation's certificates, DER.
    pub(crate) fn founding(&self) -> Result<(Vec<u8>, Vec<u8>)> {
        let failed =
            |cause: &dyn std::fmt::Display| AppError::internal("Reading the founding", cause);
        let id = self.site_document()?.founded.entry;
        let entry = self.store.entry(&id)?.ok_or_else(|| failed(&"the entry is not stored"))?;
        let payload = entry.payload().ok_or_else(|| failed(&"its payload is absent"))?;
        let found: ledger::kinds::Found =
            ledger::canonical::from_bytes(payload).map_err(|e| failed(&e))?;
        let decode = |text: &str| BASE64.decode(text).map_err(|e| failed(&e));
        Ok((decode(&found.authority_certificate)?, decode(&found.intermediate_certificate)?))
    }
}

impl Logbook {
    /// The subject of a stored entry.
    pub(crate) fn subject_of(&self, entry: &EntryId) -> Result<ledger::Subject> {
        let stored = self.store.entry(entry)?.ok_or_else(|| {
            AppError::internal("Reading an entry", format!("{entry} is not stored"))
        })?;
        Ok(stored.header().subject().clone())
    }
}

fn wrong_pin(tries: &Tries, name: &str) -> AppError {
    AppError::new(
        "people.wrong_pin",
        format!("This is not the PIN of {name}. Nothing was entered."),
        match FREE_TRIES.saturating_sub(tries.wrong) {
            0 => "From now on every wrong PIN makes the next try wait longer.".to_owned(),
            1 => "One more wrong try, then the next one must wait.".to_owned(),
            more => format!("Try again; {more} more wrong tries, then the next one must wait."),
        },
    )
}

pub(crate) fn sealed_under(person: &str) -> String {
    format!("key/person/{person}")
}

fn tries_of(person: &str) -> String {
    format!("tries/{person}")
}
