//! A small checklist that asks for measured tables and time series, and entries that answer it.

use std::sync::LazyLock;

use ledger::{AttachmentRef, Digest, EntryId};
use logbook::Moment;
use logbook::events::{
    DishDesignAdopted, IntervalLabel, LinesRead, OtherRows, Payload, Role, RowState, SeriesChannel,
    SeriesFile, SeriesImported, SurveyColumn, SurveyRow, SurveySource, SurveyTaken,
};
use logbook::source::{Asks, Checklist, SeriesAsked, SurveyAsked, content_hash};
use quantity::Dimension;

use crate::site::{CRITERIA, GAS, SUPERVISOR, Site, at, direct, record, subject};

pub(crate) const NOON: &str = "2026-08-25T16:05:00-04:00";

/// `gaps` goes through the joints of the position, `shape` through the facets of the design.
pub(crate) const MEASURES: &str = r#"
format = 1
id = "p91-measures"
revision = "1"
title = "Measured tables and series, for tests"
proves = "alignment"
criteria = "dish-acceptance"
purpose = "Tries tables and series."
cautions = ["For tests alone."]
prerequisite = []
weather = []
performer = { roles = ["gas_technician"], papers = ["hydrogen-ticket"] }
reviewer = { roles = ["supervisor"] }
on_failure = { text = "Again.", restart_from = "prerequisites" }
recurrence = { text = "Never." }
interruption = { text = "Again.", restart_from = "prerequisites" }

[recording]
late_after_hours = 24
calibration_warning_days = 14
clustered_steps = 15
clustered_seconds = 40
clock_difference_seconds = 60
source = "For tests."

[[instrument]]
role = "gauge"
kind = "gauge"
text = "A gauge."

[[instrument]]
role = "thermometer"
kind = "thermometer"
text = "A thermometer."

[[step]]
id = "prerequisites"
number = "0.1"
title = "Beforehand"
text = "All stands."
asks.confirm = {}

[[step]]
id = "gaps"
number = "1.1"
title = "Gaps"
text = "Of every joint."
asks.survey = { list = "joints", instrument = "gauge", columns = [
  { id = "dx", title = "Right", quantity = "length", unit = "mm" },
  { id = "dy", title = "Up", quantity = "length", unit = "mm" },
] }

[[step]]
id = "shape"
number = "1.2"
title = "Shape"
text = "Of every facet."
optional = true
asks.survey = { list = "design.facets", columns = [
  { id = "dx", title = "Right", quantity = "length", unit = "mm" },
  { id = "dy", title = "Up", quantity = "length", unit = "mm" },
] }

[[step]]
id = "run"
number = "2.1"
title = "Run"
text = "From the logger."
asks.series = { channels = [
  { id = "pressure", title = "Pressure", quantity = "gauge_pressure", unit = "bar(g)", instrument = "gauge" },
  { id = "air", title = "Air temperature", quantity = "temperature", unit = "°C", instrument = "thermometer" },
  { id = "wind", title = "Wind", quantity = "speed", unit = "m/s", optional = true },
] }

[[step]]
id = "signature"
number = "3.1"
title = "Signature"
text = "Sign."
asks.signature = {}

[[acceptance]]
limit = "performance-unchanged"
by = { confirmed = "prerequisites" }
"#;

pub(crate) const DESIGN: &str = r#"
format = 1
id = "LV-3"
revision = "1"
title = "Three facets, for tests"
notes = []
focal_length = "6.0 m"
aperture_across = "10.4 m"
facet_count = 3
axes = "x to the right, y up."
rack = [{ id = "R01", from_bearing = "0 °", to_bearing = "30 °" }]
facet = [
  { id = "R01/F01", rack = "R01", radius = "1.00 m", bearing = "15 °", aim_x = "0 mm", aim_y = "0 mm" },
  { id = "R01/F02", rack = "R01", radius = "1.56 m", bearing = "15 °", aim_x = "0 mm", aim_y = "0 mm" },
  { id = "R01/F03", rack = "R01", radius = "2.12 m", bearing = "8 °", aim_x = "0 mm", aim_y = "0 mm" },
]
"#;

/// A record of that checklist, without a dish design, its first attempt begun.
pub(crate) fn without_design() -> Site {
    static READY: LazyLock<Site> = LazyLock::new(|| {
        let mut site = Site::ready_with(MEASURES, CRITERIA);
        site.start(1, "prerequisites", "2026-08-25T15:50:00-04:00");
        site
    });
    READY.clone()
}

/// The same with a design that was adopted before the attempt.
pub(crate) fn started() -> Site {
    static READY: LazyLock<Site> = LazyLock::new(|| {
        let mut site = Site::ready_with(MEASURES, CRITERIA);
        adopt_design(&mut site);
        site.start(1, "prerequisites", "2026-08-25T15:50:00-04:00");
        site
    });
    READY.clone()
}

pub(crate) fn adopt_design(site: &mut Site) {
    let adopted = DishDesignAdopted {
        id: "LV-3".into(),
        revision: "1".into(),
        hash: content_hash(DESIGN),
        content: DESIGN.into(),
    };
    site.write("2026-08-25T15:40:00-04:00", SUPERVISOR, &subject(303), &adopted);
}

fn asked(step: &str) -> Asks {
    Checklist::parse("measures.toml", MEASURES).unwrap().step(step).unwrap().asks.clone()
}

pub(crate) fn survey_asked() -> SurveyAsked {
    let Asks::Survey(asked) = asked("gaps") else { panic!("a survey") };
    asked
}

pub(crate) fn series_asked() -> SeriesAsked {
    let Asks::Series(asked) = asked("run") else { panic!("series") };
    asked
}

pub(crate) fn column(id: &str) -> SurveyColumn {
    SurveyColumn { id: id.into(), dimension: Dimension::Length, unit: "mm".into() }
}

/// A row measured to tenths of a millimetre; the base unit is the metre.
pub(crate) fn measured(row: &str, tenths: [i32; 2]) -> SurveyRow {
    let text = |n: i32, places: usize| {
        let (sign, digits) = (if n < 0 { "-" } else { "" }, n.unsigned_abs());
        let digits = format!("{digits:0>width$}", width = places + 1);
        let (whole, part) = digits.split_at(digits.len() - places);
        format!("{sign}{whole}.{part}")
    };
    SurveyRow {
        row: row.into(),
        state: RowState::Measured,
        typed: tenths.iter().map(|n| text(*n, 1)).collect(),
        base: tenths.iter().map(|n| text(*n, 4)).collect(),
        note: None,
    }
}

/// A row of which nothing was measured.
pub(crate) fn bare(row: &str, state: RowState) -> SurveyRow {
    SurveyRow { row: row.into(), state, typed: Vec::new(), base: Vec::new(), note: None }
}

/// Two joints measured, the others not.
pub(crate) fn gaps() -> SurveyTaken {
    SurveyTaken {
        attempt: 1,
        step: "gaps".into(),
        role: Role::GasTechnician,
        origin: direct(),
        worked_at: at(NOON),
        instrument: Some("PG-03".into()),
        replaces: None,
        reason: None,
        insisted: Vec::new(),
        source: SurveySource::Typed {},
        columns: vec![column("dx"), column("dy")],
        others: OtherRows::NotMeasured { reason: Some("covered by the hood".into()) },
        rows: vec![measured("G02", [15, -3]), measured("G01", [0, 127])],
    }
}

pub(crate) fn lines() -> LinesRead {
    LinesRead { read: 5, used: 3, rejected: Vec::new(), blank: 1, header: 1 }
}

pub(crate) fn minutes(count: u32) -> Vec<Moment> {
    (0..count).map(|minute| at(&format!("2026-08-25T15:{:02}:00-04:00", minute % 60))).collect()
}

pub(crate) fn logger(bytes: &[u8]) -> SeriesFile {
    SeriesFile {
        file: Digest::of(bytes),
        name: "logger.csv".into(),
        form: "logger".into(),
        instrument: "PG-03".into(),
        zone: "-04:00".into(),
        label: IntervalLabel::End,
        interval: "1 min".into(),
        decisions: Vec::new(),
        lines: lines(),
    }
}

/// Three minutes of pressure and air temperature.
pub(crate) fn run() -> SeriesImported {
    let channel = |id: &str, unit: &str, dimension, typed: [&str; 3]| SeriesChannel {
        id: id.into(),
        unit: unit.into(),
        dimension,
        file: 0,
        instrument: None,
        times: minutes(3),
        typed: typed.map(str::to_owned).into(),
    };
    let pressure = channel("pressure", "bar(g)", Dimension::GaugePressure, ["110.2", "", "110.1"]);
    let mut air = channel("air", "°C", Dimension::Temperature, ["19.4", "19.4", "19.5"]);
    air.instrument = Some("TH-01".into());
    SeriesImported {
        attempt: 1,
        step: "run".into(),
        role: Role::GasTechnician,
        worked_at: at(NOON),
        replaces: None,
        reason: None,
        insisted: Vec::new(),
        files: vec![logger(b"logger")],
        channels: vec![pressure, air],
    }
}

/// Seals an entry with the bytes attached, whatever it says.
pub(crate) fn put<P: Payload>(
    site: &mut Site,
    when: &str,
    event: &P,
    attached: &[&[u8]],
) -> EntryId {
    let kind = (P::KIND, P::VERSION);
    let mut draft = site.draft(when, GAS, kind, &record(), event.to_bytes().unwrap());
    for bytes in attached {
        let (hash, length) = (Digest::of(bytes), bytes.len() as u64);
        draft.attachments.push(AttachmentRef { hash, length });
    }
    site.seal(draft, None)
}
