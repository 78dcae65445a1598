//! Instruments, dish positions, serials.

use std::collections::BTreeMap;

use super::{Fault, Fold, misplaced};
use crate::document::{Calibration, Fitted, InstrumentDoc, PositionDoc};
use crate::events::{InstrumentCalibrated, InstrumentRegistered, PositionRegistered, SerialFitted};
use crate::shelf::{Key, read, write};

impl Fold<'_> {
    pub(super) fn instrument_registered(
        &mut self,
        event: InstrumentRegistered,
    ) -> Result<(), Fault> {
        let key = Key::instrument(&event.instrument);
        if read::<InstrumentDoc>(self.shelf, &key)?.is_some() {
            return misplaced(format!(
                "instrument `{}` was registered before it",
                event.instrument
            ));
        }
        let document = InstrumentDoc {
            instrument: event.instrument,
            subject: self.header.subject().clone(),
            kind: event.kind,
            description: event.description,
            maker_serial: event.maker_serial,
            range_low: event.range_low,
            range_high: event.range_high,
            resolution: event.resolution,
            unit: event.unit,
            owner: event.owner,
            calibrations: Vec::new(),
            registered: self.stamp.clone(),
        };
        Ok(write(self.shelf, &key, &document)?)
    }

    pub(super) fn instrument_calibrated(
        &mut self,
        event: InstrumentCalibrated,
    ) -> Result<(), Fault> {
        let key = Key::instrument(&event.instrument);
        let Some(mut document) = read::<InstrumentDoc>(self.shelf, &key)? else {
            return misplaced(format!(
                "instrument `{}` was not registered before it",
                event.instrument
            ));
        };
        if event.due < event.calibrated {
            return misplaced("the calibration is due before it was made");
        }
        document.calibrations.push(Calibration {
            calibrated: event.calibrated,
            due: event.due,
            laboratory: event.laboratory,
            accreditation: event.accreditation,
            certificate: event.certificate,
            file: event.file,
            as_found: event.as_found,
            as_left: event.as_left,
            components: event.components,
            by: self.stamp.clone(),
        });
        Ok(write(self.shelf, &key, &document)?)
    }

    pub(super) fn position_registered(&mut self, event: PositionRegistered) -> Result<(), Fault> {
        let key = Key::position(&event.position);
        if read::<PositionDoc>(self.shelf, &key)?.is_some() {
            return misplaced(format!("position `{}` was registered before it", event.position));
        }
        write(self.shelf, &Key::position_of(self.header.subject()), &event.position)?;
        let document = PositionDoc {
            position: event.position,
            subject: self.header.subject().clone(),
            check_letter: event.check_letter,
            cluster: event.cluster,
            dish_type: event.dish_type,
            lists: event.lists,
            fitted: Vec::new(),
            records: Vec::new(),
            proofs: BTreeMap::new(),
            registered: self.stamp.clone(),
        };
        Ok(write(self.shelf, &key, &document)?)
    }

    pub(super) fn serial_fitted(&mut self, event: SerialFitted) -> Result<(), Fault> {
        let key = Key::position(&event.position);
        let Some(mut document) = read::<PositionDoc>(self.shelf, &key)? else {
            return misplaced(format!(
                "position `{}` was not registered before it",
                event.position
            ));
        };
        let elsewhere = Key::serial(&event.serial);
        let now_at = read::<Option<String>>(self.shelf, &elsewhere)?.flatten();
        if let Some(now_at) = now_at {
            return misplaced(format!("serial `{}` is fitted at {now_at}", event.serial));
        }
        let slot = &event.slot;
        for fitted in &mut document.fitted {
            if fitted.slot == *slot && fitted.to.is_none() {
                fitted.to = Some(event.worked_at.clone());
                fitted.removed_because.clone_from(&event.reason);
                write(self.shelf, &Key::serial(&fitted.serial), &None::<String>)?;
            }
        }
        let place = format!("{}, {}", event.position, event.slot);
        write(self.shelf, &elsewhere, &Some(place))?;
        document.fitted.push(Fitted {
            slot: event.slot,
            serial: event.serial,
            from: event.worked_at,
            to: None,
            removed_because: None,
            by: self.stamp.clone(),
        });
        write(self.shelf, &key, &document)?;
        for requirement in document.proofs.keys() {
            self.refresh_proof(&document.position, requirement)?;
        }
        Ok(())
    }
}
