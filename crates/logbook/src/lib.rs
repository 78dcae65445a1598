//! logbook
