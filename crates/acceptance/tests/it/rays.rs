//! `ray-trace` against tables, laws of conservation, symmetry, another trace, and itself on other
//! numbers of threads.

use acceptance::ray_trace::{Input, Prepared, Trace, prepare};
use acceptance::{Sheet, Verdict, calculation};
use serde_json::{Value, json};

use crate::dishes::value;
use crate::oracle::oracle;
use crate::table::{close, number, rows};

fn run(input: &Value) -> Sheet {
    calculation("ray-trace").unwrap().run(input).unwrap()
}

fn refused(input: &Value) -> (String, String) {
    let refusal = calculation("ray-trace").unwrap().run(input).unwrap_err();
    (refusal.code, refusal.field)
}

fn one(mrad: f64, of: &str) -> Value {
    json!({"value": format!("{mrad} mrad"), "basis": "one_axis", "of": of})
}

/// The dish of 11 m and 6.6 m with a receiver of 0.2 m.
fn whole(slope: f64, specularity: f64, rays: u32) -> Value {
    json!({
        "focal_length": "6.6 m", "dish": {"aperture_diameter": "11 m"},
        "errors": {"slope": one(slope, "normal"), "specularity": one(specularity, "ray")},
        "receiver_diameter": "200 mm", "rays": rays.to_string(), "seed": "5"
    })
}

/// A facet of 0.5 m × 0.4 m.
fn facet(name: &str, radius: f64, bearing: f64) -> Value {
    json!({"facet": name, "radius": format!("{radius} m"), "bearing": format!("{bearing} °"),
        "width": "0.5 m", "height": "0.4 m"})
}

fn with_facets(facets: &[Value], slope: f64, rays: u32) -> Value {
    let mut input = whole(slope, 0.0, rays);
    input.as_object_mut().unwrap().remove("dish");
    input["facets"] = facets.into();
    input
}

fn table<'a>(sheet: &'a Sheet, name: &str) -> &'a Vec<Vec<String>> {
    &sheet.tables.iter().find(|table| table.name == name).unwrap().rows
}

fn codes(sheet: &Sheet) -> Vec<&str> {
    sheet.flags.iter().map(|flag| flag.code.as_str()).collect()
}

fn map(sheet: &Sheet) -> Vec<Vec<f64>> {
    let grid = sheet.figure.as_ref().unwrap().grid.as_ref().unwrap();
    grid.rows.iter().map(|row| row.iter().map(|cell| number(cell)).collect()).collect()
}

fn line(sheet: &Sheet, symbol: &str) -> f64 {
    number(&sheet.working.iter().find(|line| line.symbol == symbol).unwrap().value)
}

/// Within four standard errors of a trace in NumPy.
#[test]
fn published_values() {
    for row in rows("ray_traces.csv") {
        let at = |place: usize| number(&row[place]);
        let mut input = whole(at(0), at(1), 30_000);
        // Up or to the right is all the same.
        let axis = if at(2) > 0.2 { "y" } else { "x" };
        input["pointing"][axis] = json!(format!("{} °", row[2]));
        let sheet = run(&input);
        let error = f64::hypot(value(&sheet, "intercept_error"), at(4));
        let off = (value(&sheet, "intercept") - at(3)).abs() / error;
        assert!(off < 4.0, "{row:?}: {off}");
        assert!(error < 2e-3);
    }
}

/// Errors of the light alone and nearly no sun: the elliptical rings, within four standard errors
/// and 0.05 points for their small angles.
#[test]
fn gaussian_light_gives_the_rings() {
    for row in rows("ray_trace_rings.csv") {
        let sigma = number(&row[0]);
        let mut input = whole(0.0, (sigma * sigma - 0.25).sqrt(), 20_000);
        input["sun"] = json!({"half_angle": "1 mrad"});
        input["receiver_diameter"] = json!(format!("{} mm", row[1]));
        let sheet = run(&input);
        let off = (value(&sheet, "intercept") - number(&row[2])).abs();
        assert!(off < 4.0 * value(&sheet, "intercept_error") + 5e-4, "{row:?}: off by {off}");
    }
}

/// The smallest flat receiver for the whole disc, 2p·sin θ/cos(φ_r + θ) (A. Rabl, 1985, from
/// memory; 102.786 mm here): all light of an ideal dish enters it and not all a smaller one; none
/// lies beyond.
#[test]
fn the_whole_disc_just_fits() {
    let mut input = whole(0.0, 0.0, 30_000);
    input["receiver_diameter"] = json!("102.787 mm");
    close(value(&run(&input), "intercept"), 1.0, 1e-9, "fits");
    input["receiver_diameter"] = json!("97 mm");
    let less = value(&run(&input), "intercept");
    assert!(less < 1.0 && less > 0.99, "{less}");
}

/// A spherical facet at 15° incidence by Coddington's equations (any textbook of optics):
/// f_t = (R/2)·cos i, f_s = (R/2)/cos i; a facet d wide spreads its light over d·cos i·|1 − p/f_t|
/// in the plane of incidence and d·|1 − p/f_s| across it. R 13.2 m: 6.375110 and 6.832823 m.
#[test]
fn astigmatism_of_a_spherical_facet() {
    let (p, incidence) = (6.6, 15_f64.to_radians());
    let phi = 2.0 * incidence;
    // Coddington's equations are of first order: near the focus coma is part of the spread.
    for (curvature, tangential, sagittal, tolerance) in [
        (13.2, 6.375110, 6.832823, 0.05),
        (12.0, 6.0 * incidence.cos(), 6.0 / incidence.cos(), 0.015),
        (15.0, 7.5 * incidence.cos(), 7.5 / incidence.cos(), 0.015),
    ] {
        let one = json!({"facet": "A", "radius": format!("{} m", p * phi.sin()), "bearing": "90 °",
            "area": "0.36 m²", "radius_of_curvature": format!("{curvature} m")});
        let mut input = with_facets(&[one], 0.0, 20_000);
        input["focal_length"] = json!(format!("{} m", p * (1.0 + phi.cos()) / 2.0));
        input["sun"] = json!({"half_angle": "1 mrad"});
        input["map_width"] = json!("250 mm");
        let sheet = run(&input);
        let cell = 250.0 / 41.0;
        let (mut along, mut across, mut all) = (0.0, 0.0, 0.0);
        let at = |place: usize| (f64::from(u16::try_from(place).unwrap()) - 20.0) * cell;
        for (row, cells) in map(&sheet).iter().enumerate() {
            for (column, light) in cells.iter().enumerate() {
                along += light * at(column).powi(2);
                across += light * at(row).powi(2);
                all += light;
            }
        }
        // An even spread has its width over √12; sun and cells add to it.
        let spread = |width: f64, slant: f64| {
            ((width * 1e3 / slant).powi(2) / 12.0 + (0.5 * p / slant).powi(2) + cell * cell / 12.0)
                .sqrt()
        };
        let width = 0.6 * incidence.cos() * (1.0 - p / tangential).abs();
        close(
            (along / all).sqrt(),
            spread(width, phi.cos()),
            tolerance,
            "in the plane of incidence",
        );
        let width = 0.6 * (1.0 - p / sagittal).abs();
        close((across / all).sqrt(), spread(width, 1.0), tolerance, "across");
        close(value(&sheet, "mapped"), 1.0, 1e-9, "all of it on the map");
    }
}

fn ready(input: &Value) -> Trace {
    let input: Input = serde_json::from_value(input.clone()).unwrap();
    match prepare(&input).unwrap() {
        Prepared::Ready(trace) => *trace,
        Prepared::Unready(sheet) => panic!("{}", sheet.reason),
    }
}

/// The same sheet, to the last digit, however the blocks are spread.
#[test]
fn any_number_of_threads_gives_the_same() {
    let facets: Vec<Value> = (0..9_u8)
        .map(|n| facet(&n.to_string(), 2.0 + f64::from(n) / 4.0, f64::from(n) * 40.0))
        .collect();
    let mut input = with_facets(&facets, 1.5, 60_000);
    input["errors"]["alignment"] = one(1.0, "normal");
    let serial = run(&input);
    for threads in [1_u32, 2, 7] {
        let trace = ready(&input);
        assert_eq!(trace.blocks(), 8);
        let mut tallies: Vec<_> = std::thread::scope(|scope| {
            let trace = &trace;
            let handles: Vec<_> = (0..threads)
                .map(|first| {
                    scope.spawn(move || {
                        let mut tally = trace.blank();
                        let step = usize::try_from(threads).unwrap();
                        (first..trace.blocks())
                            .step_by(step)
                            .for_each(|n| trace.run(n, &mut tally));
                        tally
                    })
                })
                .collect();
            handles.into_iter().map(|handle| handle.join().unwrap()).collect()
        });
        tallies.reverse();
        let mut whole = trace.blank();
        tallies.iter().for_each(|tally| whole.merge(tally));
        assert_eq!(trace.sheet(&whole), serial, "{threads} threads");
    }
    input["seed"] = json!("6");
    assert_ne!(run(&input).results, serial.results);
}

/// A block that is left out or counted twice is not passed over.
#[test]
fn a_tally_with_other_rays_is_not_judged() {
    let input = whole(1.0, 0.5, 20_000);
    for blocks in [vec![0, 1], vec![0, 1, 1, 2], vec![1, 1, 2], vec![]] {
        let trace = ready(&input);
        let mut tally = trace.blank();
        blocks.iter().for_each(|block| trace.run(*block, &mut tally));
        let sheet = trace.sheet(&tally);
        assert_eq!(sheet.verdict, Verdict::NotJudged, "{blocks:?}");
        assert!(sheet.results.is_empty());
    }
}

/// The cells of the map and the heat in them add up to all of the light; what goes through the
/// aperture is what the counts say.
#[test]
fn nothing_is_lost_or_won() {
    let mut input = whole(1.5, 1.0, 20_000);
    input["irradiance"] = json!("900 W/m²");
    input["reflectance"] = json!("0.9");
    input["map_width"] = json!("1.2 m");
    let sheet = run(&input);
    let cell = 1.2 / 41.0;
    let sum: f64 = map(&sheet).iter().flatten().sum::<f64>() * cell * cell;
    let all = 0.9 * 0.9 * std::f64::consts::PI * 5.5 * 5.5;
    close(value(&sheet, "mapped"), 1.0, 1e-3, "on the map");
    close(sum, all * value(&sheet, "mapped"), 1e-4, "power on the map");
    close(value(&sheet, "heat"), all * value(&sheet, "intercept"), 1e-5, "heat");
    close(line(&sheet, "n_h") / line(&sheet, "n"), value(&sheet, "intercept"), 1e-6, "counts");
    close(
        value(&sheet, "peak"),
        line(&sheet, "c_1") * line(&sheet, "n_p"),
        1e-5,
        "the fullest cell",
    );
    let rays: f64 = table(&sheet, "rings").iter().map(|row| number(&row[2])).sum();
    assert!((rays - 20_000.0).abs() < 0.5, "{rays}");
}

/// A whole dish looks the same from every side, and a pointing error moves the light to its side.
#[test]
fn symmetric_and_to_the_right_side() {
    let middle = |sheet: &Sheet| {
        let cells = map(sheet);
        let (mut x, mut y, mut all) = (0.0, 0.0, 0.0);
        for (row, cells) in cells.iter().enumerate() {
            for (column, cell) in cells.iter().enumerate() {
                x += cell * (f64::from(u16::try_from(column).unwrap()) - 20.0);
                y += cell * (f64::from(u16::try_from(row).unwrap()) - 20.0);
                all += cell;
            }
        }
        (x / all * 400.0 / 41.0, y / all * 400.0 / 41.0)
    };
    let mut input = whole(1.5, 1.0, 20_000);
    let (x, y) = middle(&run(&input));
    // Spread of about 30 mm on each axis, 20 000 rays: ±0.2 mm.
    assert!(x.abs() < 1.0 && y.abs() < 1.0, "{x} {y}");
    input["pointing"] = json!({"x": "2 mrad", "y": "-4 mrad"});
    let (x, y) = middle(&run(&input));
    // At least f·e, more from the rings farther out.
    assert!((13.2..17.0).contains(&x) && (-34.0..-26.4).contains(&y), "{x} {y}");
}

/// Without errors and with a sun as small as can be, all light of a paraboloid meets the focus; of a
/// facet that is tilted, the place that the alignment survey computes back.
#[test]
fn one_facet_goes_where_the_survey_says() {
    // 10° outward, 1 mrad: 2pδ/cos φ along the radius and 2pδ·cos(φ/2) across, p = 7.745833 m.
    let mut tilted = facet("A", 5.5, 90.0);
    tilted["tilt_x"] = json!("1 mrad");
    let sheet = run(&with_facets(&[tilted], 0.0, 4000));
    let row = &table(&sheet, "facets")[0];
    // Sun of 4.65 mrad over 4000 rays: ±0.8 mm.
    assert!((number(&row[6]) - 22.0).abs() < 2.5, "{row:?}");
    assert!(number(&row[7]).abs() < 2.5, "{row:?}");
    let mut across = facet("A", 5.5, 90.0);
    across["tilt_y"] = json!("1 mrad");
    let row = table(&run(&with_facets(&[across], 0.0, 4000)), "facets")[0].clone();
    assert!((number(&row[7]) - 14.3).abs() < 2.0 && number(&row[6]).abs() < 2.5, "{row:?}");
    // Aim points count from the axis, and the aperture may lie beside it.
    let mut aimed = facet("A", 3.0, 200.0);
    aimed["aim_x"] = json!("30 mm");
    aimed["aim_y"] = json!("-20 mm");
    let mut input = with_facets(&[aimed], 0.0, 4000);
    input["receiver_offset"] = json!({"x": "28 mm", "y": "-23 mm"});
    let row = table(&run(&input), "facets")[0].clone();
    assert!((number(&row[6]) - 2.0).abs() < 1.5 && (number(&row[7]) - 3.0).abs() < 1.5, "{row:?}");
}

/// Tiles of a paraboloid over a ring are the ring: the same intercept and area within the draws.
#[test]
fn facets_of_a_ring_are_the_ring() {
    let mut facets = Vec::new();
    for (radius, count) in [(4.0, 48_u8), (4.5, 54), (5.0, 60)] {
        for place in 0..count {
            let bearing = 360.0 * f64::from(place) / f64::from(count);
            let mut tile = facet(&format!("{radius}/{place}"), radius, bearing);
            // Along the radius the facet is longer by the slope of the surface.
            let height = 0.5 * f64::hypot(1.0, radius / 13.2);
            let width = std::f64::consts::TAU * radius / f64::from(count);
            tile["height"] = json!(format!("{height} m"));
            tile["width"] = json!(format!("{width} m"));
            tile["rack"] = json!(format!("{radius}"));
            facets.push(tile);
        }
    }
    let tiles = run(&with_facets(&facets, 2.0, 20_000));
    let mut input = whole(2.0, 0.0, 20_000);
    input["dish"] = json!({"aperture_diameter": "10.5 m", "inner_diameter": "7.5 m"});
    let ring = run(&input);
    close(value(&tiles, "area"), value(&ring, "area"), 2e-3, "area");
    let apart = (value(&tiles, "intercept") - value(&ring, "intercept")).abs();
    let error = f64::hypot(value(&tiles, "intercept_error"), value(&ring, "intercept_error"));
    assert!(apart < 4.0 * error && error < 5e-3, "{apart} {error}");
    assert_eq!(table(&tiles, "racks").len(), 3);
    let shares: f64 = table(&tiles, "racks").iter().map(|row| number(&row[2])).sum();
    assert!((shares - 100.0).abs() < 0.02);
    assert!(!codes(&tiles).contains(&"facets_overlap"));
}

/// A body of 1.1 m before a dish of 11 m takes a hundredth of its light; the intercept is that of the
/// rest.
#[test]
fn the_body_shades() {
    let mut input = whole(1.0, 0.5, 20_000);
    input["receiver_body"] = json!({"diameter": "1.1 m"});
    let sheet = run(&input);
    // 200 of 20 000 rays, even over the radius; the sun's size blurs the edge by 30 mm either way.
    assert!((value(&sheet, "shaded") - 0.01).abs() < 5e-4, "{}", value(&sheet, "shaded"));
    assert!(value(&sheet, "intercept") > 0.999);
}

/// Larger apertures catch more, larger errors less, with the same draws or not.
#[test]
fn monotone() {
    let at = |slope: f64, diameter: &str| {
        let mut input = whole(slope, 1.0, 10_000);
        input["receiver_diameter"] = json!(diameter);
        value(&run(&input), "intercept")
    };
    let sizes: Vec<f64> =
        ["100 mm", "120 mm", "150 mm", "200 mm"].map(|diameter| at(2.0, diameter)).into();
    assert!(sizes.windows(2).all(|pair| pair[0] < pair[1]), "{sizes:?}");
    let slopes: Vec<f64> = [1.0, 2.0, 3.0, 5.0].map(|slope| at(slope, "150 mm")).into();
    assert!(slopes.windows(2).all(|pair| pair[0] > pair[1]), "{slopes:?}");
}

/// The peak of the whole dish: sin²φ_r/(2σ²) for Gaussian errors far larger than the sun, here by
/// scatter of the light; the fullest cell lies above what is read without choosing.
#[test]
fn the_peak_and_its_bias() {
    let mut input = whole(0.0, 12.0, 40_000);
    input["sun"] = json!({"half_angle": "1 mrad"});
    input["map_width"] = json!("600 mm");
    let sheet = run(&input);
    let sine = 45.239_730_f64.to_radians().sin();
    let variance = 12e-3_f64.powi(2) + 0.25e-6;
    let expected = sine * sine / (2.0 * variance);
    let error = value(&sheet, "peak_error");
    assert!((value(&sheet, "peak_unbiased") - expected).abs() < 4.0 * error, "{expected} {error}");
    assert!(value(&sheet, "peak") > value(&sheet, "peak_unbiased"));
    assert!(error < 0.12 * expected);
}

#[test]
fn judged_against_its_limit() {
    let mut input = whole(1.5, 1.0, 20_000);
    assert!(codes(&run(&input)).contains(&"draws_only"));
    for (limit, verdict) in [("98 %", Verdict::Pass), ("99.9 %", Verdict::Fail)] {
        input["limit"] = json!({"value": limit});
        assert_eq!(run(&input).verdict, verdict);
    }
    input["limit"] = json!({"value": "99.3 %"});
    assert!(codes(&run(&input)).contains(&"limit_within_draws"));
    input["limit"] = json!({"value": "98 %", "rule": "guarded"});
    assert_eq!(run(&input).verdict, Verdict::NotJudged, "what is known of the mirrors is missing");
    input["uncertainty"] = json!({"intercept": {"value": "0.3 %", "distribution": "standard"}});
    assert_eq!(run(&input).verdict, Verdict::Pass);
    input["uncertainty"]["intercept"]["value"] = json!("0.8 %");
    let sheet = run(&input);
    assert_eq!(sheet.verdict, Verdict::Fail);
    let draws = value(&sheet, "intercept_error");
    let expected = f64::hypot(draws, 0.008 * value(&sheet, "intercept"));
    close(number(&sheet.combined.unwrap().standard), expected, 5e-3, "u");
}

#[test]
fn what_is_missing_is_named() {
    let named = |input: &Value| -> Vec<String> {
        let sheet = run(input);
        assert_eq!(sheet.verdict, Verdict::NotJudged);
        assert!(sheet.results.is_empty());
        sheet.missing.into_iter().map(|missing| missing.field).collect()
    };
    assert_eq!(
        named(&json!({})),
        ["focal_length", "errors.slope", "errors.specularity", "receiver_diameter", "facets"]
    );
    let mut input = whole(1.0, 0.5, 1000);
    input["dish"] = json!({});
    input["irradiance"] = json!("1 kW/m²");
    input["sun"] = json!({"circumsolar_share": "5 %"});
    assert_eq!(
        named(&input),
        ["sun.circumsolar_half_angle", "reflectance", "dish.aperture_diameter"]
    );
    let mut bare = facet("R1/F2", 3.0, 0.0);
    bare.as_object_mut().unwrap().remove("width");
    assert_eq!(named(&with_facets(&[bare], 1.0, 1000)), ["facets.R1/F2.width"]);
    // Facets that all state their own errors need none in common.
    let mut own = facet("A", 3.0, 0.0);
    own["slope"] = one(1.0, "normal");
    own["specularity"] = one(1.0, "ray");
    let mut input = with_facets(&[own], 1.0, 1000);
    input["errors"] = json!({});
    assert_eq!(run(&input).verdict, Verdict::Computed);
}

#[test]
fn what_can_t_be_is_refused() {
    let good = facet("A", 3.0, 0.0);
    let change = |field: &str, typed: Value| {
        let mut facet = good.clone();
        facet[field] = typed;
        with_facets(&[facet], 1.0, 1000)
    };
    let mut both = change("radius", json!("3 m"));
    both["dish"] = json!({"aperture_diameter": "11 m"});
    let mut many = whole(1.0, 0.5, 1000);
    many["rays"] = json!("20000001");
    let mut few = many.clone();
    few["rays"] = json!("999");
    let mut doubtful = many.clone();
    doubtful["errors"]["slope"]["doubt"] = json!({"value": "5 %", "distribution": "standard"});
    let mut turned = whole(1.0, 0.5, 1000);
    turned["errors"]["specularity"] = one(1.0, "normal");
    let mut low = whole(1.0, 0.5, 1000);
    low["plane_distance"] = json!("-5.46 m");
    let mut around = whole(1.0, 0.5, 1000);
    around["sun"] = json!({"circumsolar_share": "5 %", "circumsolar_half_angle": "4 mrad"});
    for (input, code, field) in [
        (both, "dish_and_facets", "dish"),
        (many, "too_many_rays", "rays"),
        (few, "out_of_range", "rays"),
        (doubtful, "doubt_not_traced", "errors.slope"),
        (turned, "not_of_the_normal", "errors.specularity"),
        (low, "inside_mirror", "plane_distance"),
        (around, "inside_disc", "sun.circumsolar_half_angle"),
        (change("radius", json!("13.3 m")), "out_of_validity", "facets.A.radius"),
        (
            change("radius_of_curvature", json!("60 cm")),
            "larger_than_sphere",
            "facets.A.radius_of_curvature",
        ),
        (change("area", json!("0.2 m²")), "two_sizes", "facets.A.area"),
        (change("state", json!("masked")), "no_light", "facets"),
        (with_facets(&[good.clone(), good.clone()], 1.0, 1000), "facet_twice", "facets"),
    ] {
        assert_eq!(refused(&input), (code.to_owned(), field.to_owned()));
    }
    let mut just_above = whole(1.0, 0.5, 1000);
    just_above["plane_distance"] = json!("-5.45 m");
    run(&just_above);
}

/// Masking a facet takes its light and leaves the drawn tilts of the others as they were.
#[test]
fn masking_takes_only_its_own_light() {
    let facets: Vec<Value> =
        (0..6_u8).map(|n| facet(&format!("F{n}"), 4.0, 60.0 * f64::from(n))).collect();
    let mut input = with_facets(&facets, 0.0, 6000);
    input["errors"]["alignment"] = one(5.0, "normal");
    let all = run(&input);
    assert!(codes(&all).contains(&"tilts_drawn"));
    input["facets"][2]["state"] = json!("masked");
    let fewer = run(&input);
    close(value(&fewer, "area"), value(&all, "area") * 5.0 / 6.0, 1e-3, "area");
    for (before, after) in table(&all, "facets").iter().zip(table(&fewer, "facets")) {
        if after[2] == "masked" {
            assert_eq!(after[3], "–");
        } else {
            // About 1000 rays, ±1 mm each; tilts of 5 mrad move the light by some 50 mm.
            assert!((number(&before[6]) - number(&after[6])).abs() < 5.0, "{before:?} {after:?}");
            assert!((number(&before[7]) - number(&after[7])).abs() < 5.0, "{before:?} {after:?}");
        }
    }
    input["errors"].as_object_mut().unwrap().remove("alignment");
    assert!(codes(&run(&input)).contains(&"taken_as_designed"));
}

/// Facets with tilts, aim points, spheres and a pointing error, against another way of tracing.
#[test]
fn by_another_trace() {
    let mut cases = Vec::new();
    for (pointing, plane) in [([0.0, 0.0], 0.0), ([3.0, -2.0], 0.12)] {
        let settings = [
            (1.3, 20.0, 12.4, [0.5, -0.3], [0.0, 0.0]),
            (3.0, 130.0, 13.0, [-1.0, 0.8], [10.0, -5.0]),
            (4.6, 250.0, 14.0, [2.5, 1.5], [0.0, 20.0]),
            (5.2, 310.0, 16.0, [-0.2, -2.0], [-15.0, 0.0]),
        ];
        let facets: Vec<Value> = settings
            .iter()
            .map(|(radius, bearing, sphere, tilt, aim)| {
                json!({"facet": bearing.to_string(), "radius": format!("{radius} m"),
                    "bearing": format!("{bearing} °"), "width": "0.9 m", "height": "0.6 m",
                    "radius_of_curvature": format!("{sphere} m"),
                    "tilt_x": format!("{} mrad", tilt[0]), "tilt_y": format!("{} mrad", tilt[1]),
                    "aim_x": format!("{} mm", aim[0]), "aim_y": format!("{} mm", aim[1])})
            })
            .collect();
        let mut input = with_facets(&facets, 1.5, 16_000);
        input["errors"]["specularity"] = one(1.0, "ray");
        input["focal_length"] = json!("6.0 m");
        input["receiver_diameter"] = json!("120 mm");
        input["pointing"] =
            json!({"x": format!("{} mrad", pointing[0]), "y": format!("{} mrad", pointing[1])});
        input["plane_distance"] = json!(format!("{plane} m"));
        let sheet = run(&input);
        let traced: Vec<Value> = table(&sheet, "facets")
            .iter()
            .zip(&settings)
            .map(|(row, (radius, bearing, sphere, tilt, aim))| {
                json!({"radius": radius, "bearing": f64::to_radians(*bearing), "sphere": sphere,
                    "width": 0.9, "height": 0.6, "slope": 1.5e-3, "scatter": 1e-3,
                    "tilt": tilt.map(|t| t / 1e3), "aim": aim.map(|a: f64| a / 1e3),
                    "rays": number(&row[3]), "middle": [number(&row[6]), number(&row[7])]})
            })
            .collect();
        cases.push(json!({"focal": 6.0, "plane": 6.0 + plane, "receiver": 0.06, "sun": 4.65e-3,
            "pointing": pointing.map(|p: f64| p / 1e3), "rays": 100_000, "facets": traced,
            "area": value(&sheet, "area"), "intercept": value(&sheet, "intercept"),
            "error": value(&sheet, "intercept_error")}));
    }
    let report = oracle("rays.py", &Value::from(cases).to_string());
    assert!(report.starts_with("2 cases agree"), "{report}");
}
