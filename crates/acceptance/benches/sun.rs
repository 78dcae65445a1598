//! Ten million positions of the sun over a year, as the long windows compute them, against the
//! algorithm itself, the crate beneath it called plainly, and a bare formula of low precision.
//!
//! `cargo bench -p acceptance --bench sun`. Compare the rates in elements a second; the algorithm is
//! run on fewer positions, each of which costs the same.
#![expect(clippy::unwrap_used, reason = "a bench fails by panicking")]

use std::hint::black_box;

use acceptance::{Observer, SunPath, calculation};
use criterion::{Criterion, Throughput};
use libm::{asin, atan2, cos, sin};
use quantity::{AbsolutePressure, Angle, Duration, Length, Temperature};
use solar_positioning::time::JulianDate;
use solar_positioning::{Location, RefractionCorrection, SolarPositions};

/// 2026-09-03T12:00:00Z, in seconds.
const FROM: f64 = 1_788_436_800.0;
const YEAR: f64 = 365.0 * 86_400.0;
const DELTA_T: f64 = 69.2;
const MANY: u32 = 10_000_000;
const FEW: u32 = 20_000;
const LATITUDE: f64 = -23.10;
const LONGITUDE: f64 = -69.60;

fn observer() -> Observer {
    Observer {
        latitude: Angle::from_radians(LATITUDE.to_radians()),
        longitude: Angle::from_radians(LONGITUDE.to_radians()),
        altitude: Length::from_metres(1350.0),
        pressure: AbsolutePressure::from_pascals(86_200.0),
        temperature: Temperature::from_kelvins(285.15),
    }
}

/// The times of a number of positions, spread over the year.
fn times(number: u32) -> impl Iterator<Item = f64> {
    (0..number).map(move |place| FROM + YEAR * f64::from(place) / f64::from(number))
}

/// Azimuth and elevation in radians by the series of J. W. Spencer, Search 2 (1971) 172, good to
/// some hundredths of a degree; no refraction.
fn spencer(unix: f64) -> (f64, f64) {
    let days = unix / 86_400.0;
    // Days since the beginning of 1970 to a part of a year; the year's own length is neglected.
    let turn = core::f64::consts::TAU * (days / 365.2425).fract();
    let declination = 0.006_918 - 0.399_912 * cos(turn) + 0.070_257 * sin(turn)
        - 0.006_758 * cos(2.0 * turn)
        + 0.000_907 * sin(2.0 * turn)
        - 0.002_697 * cos(3.0 * turn)
        + 0.001_48 * sin(3.0 * turn);
    let late = 0.000_075 + 0.001_868 * cos(turn)
        - 0.032_077 * sin(turn)
        - 0.014_615 * cos(2.0 * turn)
        - 0.040_849 * sin(2.0 * turn);
    let hour = core::f64::consts::TAU * (days.fract() - 0.5) + LONGITUDE.to_radians() + late;
    let latitude = LATITUDE.to_radians();
    let (sine, cosine) = (sin(declination), cos(declination));
    let up = sin(latitude) * sine + cos(latitude) * cosine * cos(hour);
    let east = -cosine * sin(hour);
    let north = cos(latitude) * sine - sin(latitude) * cosine * cos(hour);
    (atan2(east, north), asin(up.clamp(-1.0, 1.0)))
}

fn positions(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("sun_positions");
    group.sample_size(10);
    let observer = observer();
    let seconds = Duration::from_seconds;

    group.throughput(Throughput::Elements(u64::from(MANY)));
    group.bench_function("path_ten_million", |bencher| {
        bencher.iter(|| {
            let (from, to) = (seconds(FROM), seconds(FROM + YEAR));
            let path = SunPath::over(&observer, from, to, seconds(DELTA_T)).unwrap();
            let sun = |at: f64| black_box(path.at(seconds(at)));
            times(MANY).map(|at| sun(at).apparent.elevation.radians()).sum::<f64>()
        });
    });
    group.bench_function("bare_formula_ten_million", |bencher| {
        bencher.iter(|| times(MANY).map(|at| black_box(spencer(at)).1).sum::<f64>());
    });

    group.throughput(Throughput::Elements(u64::from(FEW)));
    group.bench_function("algorithm_by_observer", |bencher| {
        bencher.iter(|| {
            let sun = |at: f64| black_box(observer.sun_at(seconds(at), seconds(DELTA_T)).unwrap());
            times(FEW).map(|at| sun(at).apparent.elevation.radians()).sum::<f64>()
        });
    });
    group.bench_function("crate_called_plainly", |bencher| {
        let place = Location { latitude: LATITUDE, longitude: LONGITUDE };
        let air = RefractionCorrection::new(862.0, 12.0).unwrap();
        let model = SolarPositions::new();
        bencher.iter(|| {
            let elevation = |at: f64| {
                let julian = JulianDate::new(2_440_587.5 + at / 86_400.0, DELTA_T).unwrap();
                let prepared = model.for_time_from_julian(julian).unwrap();
                prepared.at(place, 1350.0, Some(air)).unwrap().elevation_angle()
            };
            times(FEW).map(elevation).sum::<f64>()
        });
    });
    group.finish();
}

/// Whole windows, as the program answers them.
fn windows(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("parking_windows");
    group.sample_size(10);
    let calculation = calculation("parking-window").unwrap();
    for (name, length, azimuth, elevation) in [
        ("day", "9.5 h", 180, 3),
        ("year", "365 d", 180, 3),
        ("thirty_years", "10957 d", 180, 3),
        // The sun is as far from the pole of the sky all day: nothing can be passed over.
        ("ten_years_to_the_pole", "3652 d", 180, 23),
    ] {
        let input = serde_json::json!({
            "latitude": "-23.10 °", "longitude": "-69.60 °", "altitude": "1350 m",
            "start": "2026-09-03T08:00:00-04:00", "length": length,
            "axis_azimuth": format!("{azimuth} °"), "axis_elevation": format!("{elevation} °"),
            "limit": {"margin": "30 °"},
        });
        group.bench_function(name, |bencher| {
            bencher.iter(|| calculation.run(black_box(&input)).unwrap());
        });
    }
    group.finish();
}

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    positions(&mut criterion);
    windows(&mut criterion);
    criterion.final_summary();
}
