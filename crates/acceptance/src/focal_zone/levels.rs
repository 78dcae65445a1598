//! Levels of irradiance that are spoken of, each with how it is known, and what light does to skin
//! and eye.
//!
//! None of these is a limit of the program: limits come from the site, with their source.

use libm::pow;

/// The sun's angular radius where it is smallest, at aphelion, in radians: 959.63″ at the mean
/// distance (IAU; from memory), over 1.0167, rounded down. The smallest disc is the brightest.
pub(super) const SUN: f64 = 4.57e-3;

/// Brightness of the middle of the sun's disc over its mean: 1/(1 − u/3) with the linear limb
/// darkening u = 0.6 of all its light (C. W. Allen, Astrophysical Quantities; from memory).
pub(super) const CENTRE: f64 = 1.25;

/// How a level is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Status {
    /// Read in a text that quotes its source.
    Quoted,
    /// Written down from memory, not read again.
    Memory,
    /// The site's own.
    Own,
}

impl Status {
    pub(super) const fn text(self) -> &'static str {
        match self {
            Self::Quoted => "read in a text that quotes it",
            Self::Memory => "from memory, not read again",
            Self::Own => "the site's own",
        }
    }
}

/// A level of irradiance.
#[derive(Debug, Clone)]
pub(super) struct Level {
    /// What it is.
    pub(super) name: String,
    /// In W/m².
    pub(super) irradiance: f64,
    pub(super) status: Status,
    pub(super) source: String,
}

const API: &str = "API 521, as a public hydrogen-safety text of 2024 quotes it";
const FIRE: &str = "fire codes, as a public hydrogen-safety text of 2024 quotes them";
const LATER: &str = "API 521 / ISO 23251, later editions";
const PROCESS: &str = "common process-safety figure, no source";
const HEALTH: &str = "a note on works health that gives times to pain";

/// Name, W/m², status, source.
const BUILT_IN: [(&str, f64, Status, &str); 9] = [
    ("damage to equipment", 37_500.0, Status::Memory, PROCESS),
    ("noncombustible equipment, most that fire codes allow", 25_237.0, Status::Quoted, FIRE),
    ("wood takes fire by itself", 20_000.0, Status::Quoted, FIRE),
    ("wood takes fire from a spark", 12_500.0, Status::Memory, PROCESS),
    ("seconds only, older editions", 9_460.0, Status::Memory, "API 521, older editions"),
    ("up to 30 s, to get away", 6_310.0, Status::Memory, LATER),
    ("emergency work of minutes, clothed, no shield", 4_732.0, Status::Quoted, API),
    ("pain after about 2 min", 1_800.0, Status::Quoted, HEALTH),
    ("continuous presence, suitably clothed", 1_577.0, Status::Quoted, API),
];

/// Seconds for which the limits of skin and eye are listed.
const TIMES: [f64; 3] = [0.25, 1.0, 10.0];

impl Level {
    pub(super) fn own(name: &str, irradiance: f64, source: Option<&str>) -> Self {
        Self {
            name: name.to_owned(),
            irradiance,
            status: Status::Own,
            source: source.unwrap_or("no source stated").to_owned(),
        }
    }
}

/// The built-in levels, and those of skin and eye for some times and a given one.
pub(super) fn all(exposure: Option<f64>) -> Vec<Level> {
    let mut levels: Vec<Level> = BUILT_IN
        .iter()
        .map(|(name, irradiance, status, source)| Level {
            name: (*name).to_owned(),
            irradiance: *irradiance,
            status: *status,
            source: (*source).to_owned(),
        })
        .collect();
    let given = exposure.filter(|time| TIMES.iter().all(|known| (known - time).abs() > 1e-9));
    for time in TIMES.into_iter().chain(given) {
        let of = |what: &str, irradiance: f64| Level {
            name: format!("{what}, {time} s"),
            irradiance,
            status: Status::Memory,
            source: "ICNIRP, Health Phys. 105 (2013) 74".to_owned(),
        };
        levels.push(of("cornea and lens, infrared", cornea(time)));
        // The limit of the skin is given below 10 s; at 10 s it is that of the edge.
        if time <= 10.0 {
            levels.push(of("skin, heat", skin(time)));
        }
    }
    levels
}

/// Infrared on cornea and lens, in W/m²: 18 000·t^−0.75 up to 1000 s, 100 beyond.
pub(super) fn cornea(seconds: f64) -> f64 {
    if seconds <= 1000.0 { 18_000.0 * pow(seconds, -0.75) } else { 100.0 }
}

/// Heat on skin, in W/m²: 20 000·t^−0.75 up to 10 s.
pub(super) fn skin(seconds: f64) -> f64 {
    20_000.0 * pow(seconds, -0.75)
}

/// Dose of thermal radiation, in (kW/m²)^(4/3)·s.
pub(super) fn dose(irradiance: f64, seconds: f64) -> f64 {
    pow(irradiance / 1e3, 4.0 / 3.0) * seconds
}

/// Irradiance of the retina in W/cm², from that at the cornea in W/cm² and the angle that the
/// source is seen under, in rad: pupil 2 mm in daylight, eye 17 mm long, half of the light absorbed
/// on its way.
pub(super) fn retina(cornea: f64, angle: f64) -> f64 {
    const PUPIL: f64 = 0.002;
    const EYE: f64 = 0.017;
    const THROUGH: f64 = 0.5;
    let image = EYE * angle;
    cornea * PUPIL * PUPIL / (image * image) * THROUGH
}

/// Irradiance of the retina that burns it within a blink (0.15 s), in W/cm².
pub(super) fn burn(angle: f64) -> f64 {
    if angle < 0.118 { 0.118 / angle } else { 1.0 }
}

/// Irradiance of the retina that leaves an after-image, in W/cm².
pub(super) fn after_image(angle: f64) -> f64 {
    3.59e-5 / pow(angle, 1.77)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rows of the eye's table, recomputed with numpy 2.4.6 from the remembered formulas of
    /// C. K. Ho, C. M. Ghanbari, R. B. Diver, J. Sol. Energy Eng. 133 (2011) 031021.
    #[test]
    fn eyes() {
        for (cornea, angle, seen, burns, flashes) in [
            (0.1, 0.0093, 8.001_41, 12.688_17, 0.141_540),
            (1.0, 0.05, 2.768_17, 2.360_00, 0.007_210),
            (2.0, 0.118, 0.994_03, 1.0, 0.001_577),
            (5.0, 0.2, 0.865_05, 1.0, 0.000_620),
        ] {
            assert!((retina(cornea, angle) - seen).abs() < 1e-5, "{angle}");
            assert!((burn(angle) - burns).abs() < 1e-5, "{angle}");
            assert!((after_image(angle) - flashes).abs() < 1e-6, "{angle}");
        }
    }

    /// Limits of skin and cornea, recomputed with numpy 2.4.6 from the remembered forms (ICNIRP
    /// 2013, the same as IEC 62471:2006); doses by q^(4/3)·t.
    #[test]
    fn skin_cornea_dose() {
        for (time, infrared, heat) in [
            (0.25, 50_911.7, 56_568.5),
            (1.0, 18_000.0, 20_000.0),
            (5.0, 5_383.3, 5_981.4),
            (10.0, 3_200.9, 3_556.6),
        ] {
            assert!((cornea(time) - infrared).abs() < 0.06, "{time}");
            assert!((skin(time) - heat).abs() < 0.06, "{time}");
        }
        assert!((cornea(1000.1) - 100.0).abs() < 1e-9);
        assert!((dose(4_730.0, 120.0) - 952.79).abs() < 0.01);
        assert!((dose(6_310.0, 30.0) - 349.81).abs() < 0.01);
    }
}
