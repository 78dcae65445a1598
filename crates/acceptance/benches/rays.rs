//! Rays a second on one core: the trace as it is, and the bare arithmetic of a reflection.
//!
//! The bare loop reflects directions that lie ready at normals that lie ready, meets the plane and
//! counts what enters: no draws, no shape, no map. What the trace costs above it is drawing (sun,
//! place, slope, scatter) and counting.

use std::hint::black_box;

use acceptance::ray_trace::{Input, Prepared, Trace, prepare};
use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use serde_json::{Value, json};

/// Rays of a block of the trace.
const RAYS: u32 = 8192;

fn errors() -> Value {
    let error = |of: &str| json!({"value": "1.2 mrad", "basis": "one_axis", "of": of});
    json!({"slope": error("normal"), "specularity": error("ray")})
}

fn whole() -> Value {
    json!({"focal_length": "6.0 m", "dish": {"aperture_diameter": "10.4 m"}, "errors": errors(),
        "receiver_diameter": "190 mm", "rays": RAYS.to_string()})
}

/// 252 spherical facets.
fn facets() -> Value {
    let facets: Vec<Value> = (0..252_u16)
        .map(|number| {
            let (ring, place) = (number / 36, number % 36);
            json!({"facet": number.to_string(), "radius": format!("{} m", 1.4 + 0.58 * f64::from(ring)),
                "bearing": format!("{} °", 10.0 * f64::from(place)), "width": "0.56 m",
                "height": "0.58 m", "focal_length": "6.6 m", "tilt_x": "0.4 mrad"})
        })
        .collect();
    json!({"focal_length": "6.0 m", "facets": facets, "errors": errors(),
        "receiver_diameter": "190 mm", "rays": RAYS.to_string()})
}

fn ready(input: Value) -> Trace {
    let input: Input = serde_json::from_value(input).expect("the input has its form");
    let ready = match prepare(&input).expect("the input can be read") {
        Prepared::Ready(trace) => Some(*trace),
        Prepared::Unready(_) => None,
    };
    ready.expect("nothing is missing")
}

type Vector = [f64; 3];

fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// Places on the paraboloid with their normals and the light that falls there.
fn beam() -> Vec<(Vector, Vector, Vector)> {
    (0..RAYS)
        .map(|number| {
            let share = (f64::from(number) + 0.5) / f64::from(RAYS);
            let (radius, bearing) = (5.2 * share.sqrt(), 2.399_963 * f64::from(number));
            let (x, y) = (radius * bearing.cos(), radius * bearing.sin());
            let normal = [-x / 12.0, -y / 12.0, 1.0];
            let length = dot(normal, normal).sqrt();
            let off = 4e-3 * (0.7 * f64::from(number)).sin();
            (
                [x, y, radius * radius / 24.0],
                normal.map(|part| part / length),
                [off, 0.0, -(1.0 - off * off).sqrt()],
            )
        })
        .collect()
}

/// Those of a beam that enter an aperture of 0.095 m in the plane at 6 m.
fn bare(beam: &[(Vector, Vector, Vector)]) -> u32 {
    let mut hits = 0;
    for (at, normal, light) in beam {
        let twice = 2.0 * dot(*light, *normal);
        let ray = [0, 1, 2].map(|axis| light[axis] - twice * normal[axis]);
        let way = (6.0 - at[2]) / ray[2];
        let (x, y) = (at[0] + ray[0] * way, at[1] + ray[1] * way);
        hits += u32::from(x * x + y * y <= 0.095 * 0.095);
    }
    hits
}

fn rays(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("rays");
    group.throughput(Throughput::Elements(u64::from(RAYS)));
    let beam = beam();
    assert!(bare(&beam) > RAYS / 2, "the bare loop does real work");
    group.bench_function("bare reflection", |bencher| bencher.iter(|| bare(black_box(&beam))));
    for (name, input) in [("whole dish", whole()), ("252 facets", facets())] {
        let trace = ready(input);
        assert_eq!(trace.blocks(), 1);
        group.bench_with_input(BenchmarkId::new("trace", name), &trace, |bencher, trace| {
            let mut tally = trace.blank();
            bencher.iter(|| trace.run(black_box(0), &mut tally));
        });
    }
    group.finish();
}

criterion_group!(benches, rays);
criterion_main!(benches);
