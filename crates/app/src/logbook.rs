//! An open logbook: a store, a clock, a chain key, and the person who acts.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use ::logbook::document::{PersonDoc, SiteDoc};
use ::logbook::events::{PersonEnrolled, Role};
use ::logbook::{Key, Moment, read};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use ledger::kinds::{self, Found};
use ledger::{ChainId, SigningKey, SiteId, Subject};
use serde::de::DeserializeOwned;
use store::{Store, StoreConfig};
use zeroize::Zeroizing;

use crate::certificate;
use crate::clock::{Clock, MachineClock};
use crate::error::{AppError, Result};
use crate::progress::{Progress, Sink};
use crate::vault::{self, Cost, MachineSecret};
use crate::write::Content;

/// Where the sealed chain key stands among the local values.
const CHAIN_KEY: &str = "key/chain";
/// Where the sealed key of this installation's own certificate stands.
const INTERMEDIATE_KEY: &str = "key/intermediate";
/// Where the sealed key of the site's authority stands, on the founding installation.
const AUTHORITY_KEY: &str = "key/authority";
/// What a PIN costs to guess here.
const PIN_COST: &str = "pin-cost";

/// The person who acts now.
pub(crate) struct Acting {
    pub(crate) person: PersonDoc,
    pub(crate) role: Role,
    pub(crate) key: SigningKey,
}

/// What writing takes, on the machine that the data folder belongs to.
pub(crate) struct Keys {
    pub(crate) machine: MachineSecret,
    pub(crate) chain: SigningKey,
}

/// An open logbook.
pub struct Logbook {
    pub(crate) store: Store,
    pub(crate) clock: Arc<dyn Clock>,
    pub(crate) site: SiteId,
    pub(crate) chain: ChainId,
    keys: Option<Keys>,
    pub(crate) acting: Option<Acting>,
    pub(crate) pin_cost: Cost,
}

/// What it takes to found a site.
pub struct Founding<'a> {
    /// The data folder; it is made, and must not hold a logbook yet.
    pub folder: &'a Path,
    /// The folder for the secret outside the data folder.
    pub secrets: &'a Path,
    /// The passphrase of the data folder.
    pub passphrase: &'a str,
    /// The site's name.
    pub site: &'a str,
    /// This installation's name, e.g. "T1".
    pub installation: &'a str,
    /// The first person, who may enrol others.
    pub founder: PersonEnrolled,
    /// Their PIN.
    pub pin: &'a str,
    /// The clock.
    pub clock: Arc<dyn Clock>,
    /// What a guess at a PIN costs.
    pub pin_cost: Cost,
    /// What a guess at the passphrase costs.
    pub passphrase_cost: store::KdfCost,
}

impl Logbook {
    /// Founds a site: keys, certificates, the first entry, and the first person.
    pub fn found(founding: &Founding<'_>) -> Result<Self> {
        vault::check_pin(founding.pin)?;
        let config = StoreConfig::new(founding.folder, founding.secrets, founding.passphrase)
            .with_cost(founding.passphrase_cost);
        let mut store = Store::create(&config)?;
        let machine = machine_secret(&store)?;
        let (authority, intermediate, chain_key) = (new_key()?, new_key()?, new_key()?);
        let found = founding_payload(founding, &authority, &intermediate, &chain_key)?;
        let keys = [
            (AUTHORITY_KEY, &authority),
            (INTERMEDIATE_KEY, &intermediate),
            (CHAIN_KEY, &chain_key),
        ];
        for (name, key) in keys {
            let sealed = vault::seal_to_machine(key.as_slice(), &machine, name)?;
            put_local(&mut store, name, &sealed)?;
        }
        put_local(&mut store, PIN_COST, &founding.pin_cost)?;
        let chain_key = signing_key(&chain_key)?;
        let mut logbook = Self {
            site: SiteId::of(&found.authority_key.to_der()),
            chain: ChainId::of(&chain_key.public().to_der()),
            store,
            clock: Arc::clone(&founding.clock),
            keys: Some(Keys { machine, chain: chain_key }),
            acting: None,
            pin_cost: founding.pin_cost,
        };
        let content = Content {
            kind: kinds::FOUND,
            version: 1,
            payload: ledger::canonical::to_bytes(&found)?,
            binds: false,
        };
        let subject = logbook.new_subject()?;
        logbook.append(&subject, content, &[])?;
        let subject = logbook.new_subject()?;
        logbook.append(&subject, Content::of(&founding.founder)?, &[])?;
        logbook.give_pin(&founding.founder.person, founding.pin)?;
        Ok(logbook)
    }

    /// Opens a data folder with the clock of this machine.
    pub fn open(
        folder: &Path,
        secrets: Option<&Path>,
        passphrase: &str,
        progress: &mut Sink<'_>,
    ) -> Result<Self> {
        Self::open_with(folder, secrets, passphrase, Arc::new(MachineClock), progress)
    }

    /// Opens a data folder with a given clock.
    pub fn open_with(
        folder: &Path,
        secrets: Option<&Path>,
        passphrase: &str,
        clock: Arc<dyn Clock>,
        progress: &mut Sink<'_>,
    ) -> Result<Self> {
        let secrets = match secrets {
            Some(folder) => folder.to_owned(),
            None => default_secrets()?,
        };
        let config = StoreConfig::new(folder, &secrets, passphrase);
        let store = Store::open_with(&config, &mut |at: store::Progress| {
            progress(Progress::counted(at.doing, at.done, at.of));
        })?;
        let machine = machine_secret(&store)?;
        let site = store.site()?.ok_or_else(|| unfounded(folder))?;
        let chain = store.chain()?.ok_or_else(|| unfounded(folder))?;
        let chain_key = signing_key(&*sealed_key(&store, &machine, CHAIN_KEY)?)?;
        let pin_cost = get_local(&store, PIN_COST)?.unwrap_or(Cost::FLOOR);
        let keys = Some(Keys { machine, chain: chain_key });
        Ok(Self { store, clock, keys, site, chain, acting: None, pin_cost })
    }

    /// Opens a data folder for reading: the original, a backup or any copy.
    pub fn open_to_read(folder: &Path, secrets: Option<&Path>, passphrase: &str) -> Result<Self> {
        let secrets = match secrets {
            Some(folder) => folder.to_owned(),
            None => default_secrets()?,
        };
        let store = Store::open_read_only(&StoreConfig::new(folder, &secrets, passphrase))?;
        let (site, chain) = (store.site()?, store.chain()?);
        let (Some(site), Some(chain)) = (site, chain) else { return Err(unfounded(folder)) };
        let clock = Arc::new(MachineClock);
        Ok(Self { store, clock, keys: None, site, chain, acting: None, pin_cost: Cost::FLOOR })
    }

    /// The keys that writing takes.
    pub(crate) fn keys(&self) -> Result<&Keys> {
        self.keys.as_ref().ok_or_else(|| {
            AppError::new(
                "logbook.only_read",
                "This logbook is open for reading.",
                "Write on the installation that the data folder belongs to.",
            )
        })
    }

    /// A document, by key.
    pub(crate) fn document<T: DeserializeOwned>(&self, key: &Key) -> Result<Option<T>> {
        Ok(read(&self.store.documents(), key)?)
    }

    /// The site's document.
    pub(crate) fn site_document(&self) -> Result<SiteDoc> {
        self.document(&Key::site())?.ok_or_else(|| {
            AppError::internal("Reading the site", "its founding is not among the documents")
        })
    }

    /// The key of this installation's own certificate.
    pub(crate) fn intermediate_key(&self) -> Result<Zeroizing<[u8; 32]>> {
        sealed_key(&self.store, &self.keys()?.machine, INTERMEDIATE_KEY)
    }

    /// The claimed time now.
    pub(crate) fn now(&self) -> Result<Moment> {
        Moment::parse(&self.clock.read().claimed())
            .map_err(|cause| AppError::internal("Reading the clock", cause))
    }

    /// A fresh subject: a version 7 UUID from the app's clock and the system's random bytes.
    pub(crate) fn new_subject(&self) -> Result<Subject> {
        let milliseconds = self.clock.read().wall.timestamp_millis().unsigned_abs();
        let bytes = vault::random::<10>()?;
        let uuid = uuid::Builder::from_unix_timestamp_millis(milliseconds, &bytes).into_uuid();
        Subject::new(uuid.to_string()).map_err(|cause| AppError::internal("Making an id", cause))
    }
}

fn unfounded(folder: &Path) -> AppError {
    AppError::new(
        "logbook.not_founded",
        format!("{} holds a store in which no site was founded.", folder.display()),
        "Founding was cut short. Move the folder away and found the site again.",
    )
}

fn founding_payload(
    founding: &Founding<'_>,
    authority: &Zeroizing<[u8; 32]>,
    intermediate: &Zeroizing<[u8; 32]>,
    chain: &Zeroizing<[u8; 32]>,
) -> Result<Found> {
    let founded = founding.clock.read().wall;
    let (root_key, own_key) = (p256_key(authority)?, p256_key(intermediate)?);
    let root = certificate::authority(founding.site, &root_key, founded)?;
    let issuer = (&root.subject, &root_key);
    let own = certificate::intermediate(founding.installation, &own_key, issuer, founded)?;
    let (authority, chain) = (signing_key(authority)?, signing_key(chain)?);
    Ok(Found {
        site_name: founding.site.to_owned(),
        installation_name: founding.installation.to_owned(),
        authority_key: authority.public(),
        authority_certificate: BASE64.encode(root.der),
        intermediate_certificate: BASE64.encode(own.der),
        authority_signature: kinds::sign_founding(&authority, &chain.public())?,
    })
}

/// The folder for secrets when none is named: beside this user's other program state.
pub(crate) fn default_secrets() -> Result<PathBuf> {
    let state = std::env::var_os("XDG_STATE_HOME").map(PathBuf::from);
    let home = || std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".local/state"));
    state.or_else(home).map(|folder| folder.join("dishwright")).ok_or_else(|| {
        AppError::new(
            "vault.no_home",
            "There is no home folder to keep the installation's secret in.",
            "Name a folder with `--secrets DIR`.",
        )
    })
}

fn machine_secret(store: &Store) -> Result<MachineSecret> {
    Ok(MachineSecret::new(store.machine_secret()?))
}

/// A new private key as its 32 bytes.
pub(crate) fn new_key() -> Result<Zeroizing<[u8; 32]>> {
    loop {
        let scalar = Zeroizing::new(vault::random::<32>()?);
        // All but one in 2^32 draws are below the order of the curve.
        if SigningKey::from_bytes(&scalar).is_ok() {
            return Ok(scalar);
        }
    }
}

pub(crate) fn signing_key(scalar: &[u8; 32]) -> Result<SigningKey> {
    SigningKey::from_bytes(scalar).map_err(|cause| AppError::internal("Opening a key", cause))
}

pub(crate) fn p256_key(scalar: &[u8; 32]) -> Result<p256::ecdsa::SigningKey> {
    p256::ecdsa::SigningKey::from_slice(scalar)
        .map_err(|cause| AppError::internal("Opening a key", cause))
}

fn sealed_key(store: &Store, machine: &MachineSecret, name: &str) -> Result<Zeroizing<[u8; 32]>> {
    let missing = || {
        AppError::new(
            "vault.key_missing",
            format!("This installation has no {name}."),
            "Restore the latest backup; if there is none, this folder can only be read.",
        )
    };
    let sealed = get_local(store, name)?.ok_or_else(missing)?;
    let opened = vault::open_on_machine(&sealed, machine, name)?.ok_or_else(|| {
        AppError::new(
            "vault.copy",
            "This is a copy: its keys were sealed on another machine or another folder.",
            "Read it with `dishwright check`; to write, let this installation join the site anew.",
        )
    })?;
    key_bytes(&opened)
}

pub(crate) fn key_bytes(opened: &[u8]) -> Result<Zeroizing<[u8; 32]>> {
    let mut bytes = Zeroizing::new([0; 32]);
    if opened.len() != bytes.len() {
        return Err(AppError::internal("Opening a key", "it has another length"));
    }
    bytes.copy_from_slice(opened);
    Ok(bytes)
}

pub(crate) fn put_local<T: serde::Serialize>(
    store: &mut Store,
    name: &str,
    value: &T,
) -> Result<()> {
    let bytes =
        serde_json::to_vec(value).map_err(|cause| AppError::internal("Keeping a value", cause))?;
    Ok(store.put_local(name, &bytes)?)
}

pub(crate) fn get_local<T: DeserializeOwned>(store: &Store, name: &str) -> Result<Option<T>> {
    let Some(bytes) = store.local(name)? else { return Ok(None) };
    serde_json::from_slice(&bytes)
        .map(Some)
        .map_err(|cause| AppError::internal(&format!("Reading the local value {name}"), cause))
}
