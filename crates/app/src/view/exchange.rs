//! Who has what: every chain that this tablet knows.

use logbook::Key;
use logbook::document::StatusDoc;
use serde::Serialize;
use ts_rs::TS;

use super::common::{Knowledge, Moment};
use super::eye::Eye;
use crate::error::Result;

/// The chains known here.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct ExchangeView {
    pub(crate) chains: Vec<ChainView>,
    pub(crate) sentence: String,
    pub(crate) knowledge: Knowledge,
}

/// A chain.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct ChainView {
    pub(crate) chain: String,
    pub(crate) installation: String,
    pub(crate) entries: u32,
    pub(crate) last: Moment,
    /// True for the chain that this installation writes.
    pub(crate) this: bool,
}

impl Eye<'_> {
    /// Every chain known here.
    pub(crate) fn exchange(&self) -> Result<ExchangeView> {
        let status: StatusDoc = self.source.document(&Key::status())?.unwrap_or_default();
        let chains: Vec<ChainView> = status
            .chains
            .iter()
            .map(|(chain, heard)| {
                let this = *chain == self.source.chain;
                ChainView {
                    chain: chain.short().to_string(),
                    installation: if this {
                        self.site.installation.clone()
                    } else {
                        "another installation".to_owned()
                    },
                    entries: u32::try_from(heard.number).unwrap_or(u32::MAX),
                    last: self.moment(&heard.claimed),
                    this,
                }
            })
            .collect();
        let sentence = match chains.iter().filter(|chain| !chain.this).count() {
            0 => "Everything here was entered on this tablet. This version hands nothing to other \
                  tablets yet: what they hold is not known here."
                .to_owned(),
            _ => "What other tablets entered later is not known here.".to_owned(),
        };
        Ok(ExchangeView { chains, sentence, knowledge: self.knowledge()? })
    }
}
