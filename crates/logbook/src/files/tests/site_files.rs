//! The files of the invented site: logger, meter and their counts, worked out by `grep -c`.

use super::*;

const LOGGERS: [&[u8]; 3] = [
    include_bytes!("../../../../../demo-site/files/pc-02-run-1-logger.csv"),
    include_bytes!("../../../../../demo-site/files/pc-02-run-2-logger.csv"),
    include_bytes!("../../../../../demo-site/files/pc-02-run-3-logger.csv"),
];
const METERS: [&[u8]; 3] = [
    include_bytes!("../../../../../demo-site/files/pc-02-run-1-meter.csv"),
    include_bytes!("../../../../../demo-site/files/pc-02-run-2-meter.csv"),
    include_bytes!("../../../../../demo-site/files/pc-02-run-3-meter.csv"),
];

fn missing(file: &SeriesFile, id: &str) -> usize {
    file.channels.iter().find(|channel| channel.id == id).unwrap().missing
}

#[test]
fn loggers() {
    for (bytes, irradiance, wind) in [(LOGGERS[0], 2, 0), (LOGGERS[1], 1, 1), (LOGGERS[2], 1, 0)] {
        let file = read(bytes);
        assert_eq!(file.form, Some(Form::Logger));
        assert_eq!((file.lines.preamble, file.lines.header, file.lines.used), (1, 3, 150));
        assert_eq!((missing(&file, "irradiance"), missing(&file, "wind")), (irradiance, wind));
        assert_eq!(missing(&file, "ambient"), 0);
        assert_eq!(file.interval.as_deref(), Some("1 min"));
        assert!(file.warnings.is_empty() && file.lines.rejected.is_empty());
    }
}

#[test]
fn meters() {
    for (bytes, power) in [(METERS[0], 1), (METERS[1], 2), (METERS[2], 1)] {
        let local = SeriesForm { label: Some(Label::Start), ..form() };
        let file = read_as(bytes, &local);
        assert_eq!(file.form, Some(Form::Meter));
        assert_eq!((file.lines.preamble, file.lines.header, file.lines.used), (1, 1, 150));
        assert_eq!(missing(&file, "power"), power);
        assert_eq!(file.channels.len(), 1);
        assert!(file.decisions.iter().any(|decision| decision.contains("Decimal comma")));
    }
}
