//! The locks, the sun, the ledger, the chains, pictures, and calculations run by hand.

use std::io::Read as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use ledger::Digest;

use super::answers::PhotoBytes;
use super::args::{CalculateArgs, CalculationArgs, LedgerArgs, Nothing, PhotoArgs, SunDayArgs};
use super::state::State;
use crate::calc;
use crate::error::{AppError, Result};
use crate::view::calculations::{Calculated, CalculationsView};
use crate::view::exchange::ExchangeView;
use crate::view::form::CalculationForm;
use crate::view::ledger::LedgerView;
use crate::view::locks::LocksView;
use crate::view::sun::SunDay;
use crate::view::verdict::SheetView;

/// The largest picture that a screen is given, in bytes.
const MOST_PICTURE: u64 = 32 << 20;

impl State {
    pub(super) fn locks(&mut self, _: Nothing) -> Result<LocksView> {
        self.look(|eye| eye.locks())
    }

    pub(super) fn sun_day(&mut self, args: SunDayArgs) -> Result<SunDay> {
        self.look(|eye| eye.sun_day(args.at.as_deref()))
    }

    pub(super) fn ledger(&mut self, args: LedgerArgs) -> Result<LedgerView> {
        self.look(|eye| eye.ledger(args.before))
    }

    pub(super) fn exchange(&mut self, _: Nothing) -> Result<ExchangeView> {
        self.look(|eye| eye.exchange())
    }

    pub(super) fn calculations(&mut self, _: Nothing) -> Result<CalculationsView> {
        Ok(CalculationsView::all())
    }

    pub(super) fn calculation(&mut self, args: CalculationArgs) -> Result<CalculationForm> {
        Ok(CalculationForm::of(calc::find(&args.name)?))
    }

    pub(super) fn calculate(&mut self, args: CalculateArgs) -> Result<Calculated> {
        Ok(match calc::find(&args.name)?.run(&args.input) {
            Ok(sheet) => Calculated::Sheet { sheet: Box::new(SheetView::of("", &sheet, None)) },
            Err(refusal) => Calculated::Refused {
                field: refusal.field,
                sentence: refusal.sentence,
                next_step: refusal.next_step,
            },
        })
    }

    /// A picture attached to an entry. It is given out only as what it is.
    pub(super) fn photo(&mut self, args: PhotoArgs) -> Result<PhotoBytes> {
        let missing = || {
            AppError::new(
                "photo.missing",
                "This picture is not in the logbook of this tablet.",
                "Its hash stands in the entry; another tablet may hold the picture.",
            )
        };
        let hash: Digest = args.hash.parse().map_err(|_| missing())?;
        let logbook = self.open()?;
        let reader = logbook.store.attachment(&hash)?.ok_or_else(missing)?;
        let mut bytes = Vec::new();
        reader
            .take(MOST_PICTURE)
            .read_to_end(&mut bytes)
            .map_err(|cause| AppError::internal("Reading a picture", cause))?;
        let media = match bytes.as_slice() {
            [0xff, 0xd8, 0xff, ..] => "image/jpeg",
            [0x89, b'P', b'N', b'G', ..] => "image/png",
            _ => {
                return Err(AppError::new(
                    "photo.no_picture",
                    "This attachment is no picture that the screens can show.",
                    "It stays with its entry; an archive of the entries holds it.",
                ));
            }
        };
        Ok(PhotoBytes { base64: BASE64.encode(&bytes), media })
    }
}
