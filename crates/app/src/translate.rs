//! Errors of the crates below, turned into the app's own: the code and the words are kept.

use crate::error::AppError;

impl From<logbook::Refusal> for AppError {
    fn from(refusal: logbook::Refusal) -> Self {
        let may_insist = refusal.may_insist;
        Self {
            may_insist,
            ..Self::new(&format!("logbook.{}", refusal.code), refusal.sentence, refusal.next_step)
        }
    }
}

impl From<logbook::rules::MayNot> for AppError {
    fn from(cause: logbook::rules::MayNot) -> Self {
        match cause {
            logbook::rules::MayNot::Refused(refusal) => refusal.into(),
            logbook::rules::MayNot::Shelf(fault) => fault.into(),
        }
    }
}

impl From<logbook::ShelfError> for AppError {
    fn from(fault: logbook::ShelfError) -> Self {
        Self::new(
            "store.document",
            format!("What is derived from the entries can't be read: {fault}."),
            "The entries are not touched. Run `dishwright check --deep` on the data folder.",
        )
    }
}

impl From<store::StoreError> for AppError {
    fn from(fault: store::StoreError) -> Self {
        Self::new(&format!("store.{}", fault.code()), fault.to_string(), fault.next_step())
    }
}

impl From<acceptance::Refusal> for AppError {
    fn from(refusal: acceptance::Refusal) -> Self {
        let sentence = match refusal.field.as_str() {
            "" => refusal.sentence,
            field => format!("{field}: {}", refusal.sentence),
        };
        Self::new(&format!("calc.{}", refusal.code), sentence, refusal.next_step)
    }
}

impl From<ledger::CanonicalError> for AppError {
    fn from(fault: ledger::CanonicalError) -> Self {
        Self::internal("Writing an entry", fault)
    }
}

impl From<ledger::SealError> for AppError {
    fn from(fault: ledger::SealError) -> Self {
        Self::internal("Sealing an entry", fault)
    }
}

impl From<report::RenderError> for AppError {
    fn from(fault: report::RenderError) -> Self {
        Self::new(
            "report.not_rendered",
            format!("The report can't be written: {fault}."),
            "Nothing was issued. Correct what the sentence names, then write the report again.",
        )
    }
}

impl From<report::SignError> for AppError {
    fn from(fault: report::SignError) -> Self {
        Self::new(
            "report.not_signed",
            format!("The report can't be signed: {fault}."),
            "The file is unchanged. Run `dishwright check` on it before anyone signs it.",
        )
    }
}
