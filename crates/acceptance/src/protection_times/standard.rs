//! IEEE Std 1547-2018, Tables 11 to 13 and 18: defaults and ranges as data, read in a public
//! transcription, category III in a second one too.

use super::input::{Category, Kind};

pub(super) const SOURCE: &str =
    "IEEE Std 1547-2018, Tables 11 to 13 and 18, read in a public transcription";
pub(super) const TABLE_3: &str = "IEEE Std 1547-2018, Table 3, read in a public transcription; two \
                                  cycles below 5 s from memory";
pub(super) const ISLAND: &str = "IEEE Std 1547-2018, 8.1, from memory: 2 s";
pub(super) const ENTER: &str = "IEEE Std 1547-2018, Table 4, from memory: 300 s";

/// Accuracy of voltage, of the nominal.
pub(super) const VOLTAGE: f64 = 0.01;
/// Accuracy of frequency in Hz.
pub(super) const FREQUENCY: f64 = 0.01;
/// Accuracy of time from 5 s, as a share.
pub(super) const TIME_SHARE: f64 = 0.01;
/// Accuracy of time below 5 s, in cycles.
pub(super) const TIME_CYCLES: f64 = 2.0;
/// Voltage in pu and frequency in Hz within which a machine may enter service, from memory.
pub(super) const ENTER_VOLTAGE: (f64, f64) = (0.917, 1.05);
pub(super) const ENTER_FREQUENCY: (f64, f64) = (59.5, 60.1);

/// A row: name, kind, default threshold (pu or Hz) and clearing time (s), and their ranges.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    pub(super) name: &'static str,
    pub(super) kind: Kind,
    pub(super) threshold: f64,
    pub(super) time: f64,
    pub(super) thresholds: (f64, f64),
    pub(super) times: (f64, f64),
}

const fn row(
    name: &'static str,
    kind: Kind,
    (threshold, time): (f64, f64),
    thresholds: (f64, f64),
    times: (f64, f64),
) -> Row {
    Row { name, kind, threshold, time, thresholds, times }
}

const OV2: Row = row("OV2", Kind::OverVoltage, (1.2, 0.16), (1.2, 1.2), (0.16, 0.16));
const UV_LOW: Row = row("UV2", Kind::UnderVoltage, (0.45, 0.16), (0.0, 0.5), (0.16, 2.0));
const OV_SLOW: Row = row("OV1", Kind::OverVoltage, (1.1, 2.0), (1.1, 1.2), (1.0, 13.0));
const FREQUENCIES: [Row; 4] = [
    row("OF2", Kind::OverFrequency, (62.0, 0.16), (61.8, 66.0), (0.16, 1000.0)),
    row("OF1", Kind::OverFrequency, (61.2, 300.0), (61.0, 66.0), (180.0, 1000.0)),
    row("UF1", Kind::UnderFrequency, (58.5, 300.0), (50.0, 59.0), (180.0, 1000.0)),
    row("UF2", Kind::UnderFrequency, (56.5, 0.16), (50.0, 57.0), (0.16, 1000.0)),
];

/// The rows of a category.
pub(super) fn rows(category: Category) -> Vec<Row> {
    let under = |threshold, time, times| {
        row("UV1", Kind::UnderVoltage, (threshold, time), (0.0, 0.88), times)
    };
    let voltages = match category {
        Category::I => [OV2, OV_SLOW, under(0.70, 2.0, (2.0, 21.0)), UV_LOW],
        Category::Ii => [OV2, OV_SLOW, under(0.70, 10.0, (2.0, 21.0)), UV_LOW],
        Category::Iii => [
            OV2,
            Row { time: 13.0, ..OV_SLOW },
            under(0.88, 21.0, (21.0, 50.0)),
            Row { threshold: 0.5, time: 2.0, times: (2.0, 21.0), ..UV_LOW },
        ],
    };
    voltages.into_iter().chain(FREQUENCIES).collect()
}
