//! The one door for every front end that a person looks at: a command by name with JSON arguments,
//! answered in JSON or with a code, a sentence and a next step.
//!
//! The window and the page server both call [`Door::call`]. It holds what a session is: the open
//! logbook, the person who acts, and how long nobody has touched it.

mod answers;
mod args;
mod boards;
mod commands;
mod files;
mod papers;
mod records;
mod session;
mod state;

#[cfg(test)]
mod typescript;

use std::path::PathBuf;
use std::sync::{Mutex, PoisonError};

use serde_json::Value;

use self::state::State;
use crate::error::Result;

pub use commands::COMMANDS;

/// Which data folder a door opens, and how.
#[derive(Clone, Debug)]
pub struct DoorConfig {
    /// The data folder; of a demonstration, the folder that `dishwright demo` wrote.
    pub data: PathBuf,
    /// The folder with the installation's secret; none for the usual one.
    pub secrets: Option<PathBuf>,
    /// True for the folder of a demonstration, which goes on at the time of its story.
    pub demo: bool,
}

/// A session behind the screens. Calls are carried out one after the other.
pub struct Door {
    state: Mutex<State>,
}

impl Door {
    /// A door before a closed folder. Nothing is read until somebody unlocks it.
    ///
    /// # Errors
    /// A demonstration's folder that no demo wrote.
    pub fn new(config: DoorConfig) -> Result<Self> {
        Ok(Self { state: Mutex::new(State::new(config)?) })
    }

    /// Carries out one command; what it enters is durable when this returns. It blocks while it
    /// works: call it where that is allowed.
    ///
    /// # Errors
    /// A code, a sentence and a next step; then nothing was entered.
    pub fn call(&self, name: &str, args: Value) -> Result<Value> {
        // A call that broke off leaves no half-made state behind: the store rolls back by itself.
        let mut state = self.state.lock().unwrap_or_else(PoisonError::into_inner);
        state.call(name, args)
    }
}
