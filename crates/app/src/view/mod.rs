//! What the screens show: one file a screen, built from documents. No screen computes a verdict,
//! and none says that anything is without danger.

pub(crate) mod alignment;
mod asks;
pub(crate) mod calculations;
pub(crate) mod common;
pub(crate) mod dish;
pub(crate) mod exchange;
pub(crate) mod eye;
pub(crate) mod files;
pub(crate) mod form;
mod hold;
pub(crate) mod ledger;
mod lockouts;
pub(crate) mod locks;
mod may;
mod morning;
pub(crate) mod origin;
pub(crate) mod people;
mod proofs;
pub(crate) mod record;
pub(crate) mod report;
pub(crate) mod session;
pub(crate) mod steps;
pub(crate) mod sun;
mod told;
pub(crate) mod verdict;
pub(crate) mod weather;
pub(crate) mod weigh;
pub(crate) mod yard;
pub(crate) mod zone;
