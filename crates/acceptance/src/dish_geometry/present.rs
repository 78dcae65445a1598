//! The sheet of a dish.

use libm::{cos, pow, sin, sqrt, tan};
use quantity::significant;

use super::CALCULATION;
use super::input::{Dish, Known, Measure, paraboloid};
use crate::doubt::{Budget, Part, first_order};
use crate::form::Form;
use crate::optics::SUN_SOURCE;
use crate::{Axes, Drawn, Figure, Flag, Line, Outcome, Point, Series, Sheet, Verdict};

const GEYER: &str = "W. B. Stine, M. Geyer, Power From The Sun (2001), chapters 8 and 9, from \
                     memory; derived again";
const RABL: &str = "A. Rabl, Active Solar Collectors (1985), from memory; derived again";
const BOLTZMANN_SOURCE: &str = "SI, exact (CODATA 2018)";
/// Stefan–Boltzmann constant, W/(m²·K⁴): SI, exact (CODATA 2018).
const BOLTZMANN: f64 = 5.670_374_419e-8;
/// Points of the drawn section.
const POINTS: u32 = 60;

/// What follows from the shape.
struct Derived {
    rim_angle: f64,
    gross: f64,
    /// Concentration by the gross and by the net area, and the area of the receiver.
    concentration: Option<(f64, Option<f64>, f64)>,
    image: f64,
    /// Smallest flat receiver for the whole disc, where there is one.
    flat: Option<f64>,
    sphere: f64,
    limit: f64,
    limit_rim: f64,
}

impl Derived {
    fn of(dish: &Dish) -> Self {
        let shape = &dish.paraboloid;
        let rim_angle = shape.angle(shape.rim);
        let (p, sine) = (shape.focal_distance(shape.rim), sin(dish.sun));
        let slant = cos(rim_angle + dish.sun);
        Self {
            rim_angle,
            gross: shape.opening(),
            concentration: dish.receiver.as_ref().map(|receiver| {
                let area = disc(receiver.value);
                (shape.opening() / area, dish.net_area.as_ref().map(|net| net.value / area), area)
            }),
            image: 2.0 * shape.focal_length * tan(dish.sun),
            flat: (slant > 0.0).then(|| 2.0 * p * sine / slant),
            sphere: 2.0 * p * sine,
            limit: 1.0 / (sine * sine),
            limit_rim: sin(rim_angle) * sin(rim_angle) / (sine * sine),
        }
    }

    /// By the net area, or the gross where no other is known.
    fn best(&self) -> Option<f64> {
        self.concentration.map(|(gross, net, _)| net.unwrap_or(gross))
    }
}

fn disc(diameter: f64) -> f64 {
    0.25 * core::f64::consts::PI * diameter * diameter
}

fn black(concentration: f64, irradiance: f64) -> f64 {
    sqrt(sqrt(concentration * irradiance / BOLTZMANN))
}

fn digits(value: f64) -> String {
    significant(value, 8)
}

fn degrees(angle: f64) -> String {
    digits(angle.to_degrees())
}

/// The sheet of a whole dish.
pub(super) fn sheet(form: Form, dish: &Dish) -> Sheet {
    let derived = Derived::of(dish);
    let budget = budget(dish);
    let shape = &dish.paraboloid;
    let mut reason = format!(
        "Rim angle {}°, f/D {}, depth {} m, opening {} m².",
        significant(derived.rim_angle.to_degrees(), 5),
        significant(shape.focal_length / (2.0 * shape.rim), 4),
        significant(shape.height(shape.rim), 4),
        significant(derived.gross, 5)
    );
    match derived.concentration {
        Some((gross, Some(net), _)) => reason.push_str(&format!(
            " Geometric concentration {} by the net area, {} by the gross.",
            significant(net, 5),
            significant(gross, 5)
        )),
        Some((gross, None, _)) => reason.push_str(&format!(
            " Geometric concentration {} by the gross area.",
            significant(gross, 5)
        )),
        None => reason.push_str(" No receiver is given, so that no concentration follows."),
    }
    Sheet {
        verdict: Verdict::Computed,
        reason,
        results: results(dish, &derived, budget.as_ref()),
        working: working(dish, &derived),
        combined: budget.as_ref().map(|budget| {
            budget.combined(match &dish.net_area {
                Some(_) => "concentration_net",
                None => "concentration_gross",
            })
        }),
        doubt: budget.map(|budget| budget.lines).unwrap_or_default(),
        validity:
            "An ideal paraboloid without errors, aimed at the middle of the sun. Real mirrors \
                   spread the light: see the calculation intercept. Temperatures are those of a \
                   plate that loses heat by radiation alone; they bound, and predict nothing."
                .to_owned(),
        sources: vec![GEYER.to_owned(), RABL.to_owned()],
        flags: flags(dish, &derived),
        figure: Some(figure(dish)),
        ..Sheet::blank(&CALCULATION, form)
    }
}

/// The doubt of the concentration, where measures have one.
fn budget(dish: &Dish) -> Option<Budget> {
    let receiver = dish.receiver.as_ref()?;
    let part = |source: &str, known: &Known, unit| Part {
        source: source.to_owned(),
        statement: known
            .doubt
            .as_ref()
            .map_or_else(|| "taken as exact".to_owned(), |doubt| doubt.text.clone()),
        value: known.value,
        standard: known.doubt.as_ref().map_or(0.0, |doubt| doubt.of(known.value)),
        unit,
    };
    let mut parts = vec![part("diameter of the receiver's aperture", receiver, "m")];
    match &dish.net_area {
        Some(net) => parts.push(part("net area", net, "m²")),
        None => parts.extend(dish.shape.iter().map(|(measure, known)| {
            let unit = if *measure == Measure::Rim { "rad" } else { "m" };
            part(name(*measure), known, unit)
        })),
    }
    if parts.iter().all(|part| part.standard <= 0.0) {
        return None;
    }
    let [(first, _), (second, _)] = &dish.shape;
    Some(first_order(&parts, "1", |values| match values {
        [receiver, net] => net / disc(*receiver),
        [receiver, one, two] => {
            paraboloid((*first, *one), (*second, *two)).opening() / disc(*receiver)
        }
        _ => f64::NAN,
    }))
}

const fn name(measure: Measure) -> &'static str {
    match measure {
        Measure::Diameter => "aperture diameter",
        Measure::Focal => "focal length",
        Measure::Rim => "rim angle",
        Measure::Depth => "depth",
    }
}

fn results(dish: &Dish, derived: &Derived, budget: Option<&Budget>) -> Vec<Outcome> {
    let shape = &dish.paraboloid;
    let mut out = Vec::new();
    let mut add = |name: &str, meaning: &str, value: String, unit: &str| {
        out.push(Outcome::new(name, meaning, value, unit));
    };
    let diameter = 2.0 * shape.rim;
    add("aperture_diameter", "aperture diameter", digits(diameter), "m");
    add("focal_length", "focal length", digits(shape.focal_length), "m");
    add("f_over_d", "focal length over diameter", digits(shape.focal_length / diameter), "1");
    add("rim_angle", "rim angle", degrees(derived.rim_angle), "°");
    add("depth", "depth", digits(shape.height(shape.rim)), "m");
    add("opening", "area of the opening", digits(derived.gross), "m²");
    add("surface", "area of the surface", digits(shape.surface()), "m²");
    add("rim_to_focus", "from the rim to the focus", digits(shape.focal_distance(shape.rim)), "m");
    if let Some((gross, net, _)) = derived.concentration {
        let meaning = "geometric concentration by the area of the opening";
        add("concentration_gross", meaning, digits(gross), "1");
        if let Some(net) = net {
            let meaning = "geometric concentration by the net area";
            add("concentration_net", meaning, digits(net), "1");
        }
    }
    add("sun_image", "paraxial image of the sun", digits(1e3 * derived.image), "mm");
    if let Some(flat) = derived.flat {
        let meaning = "smallest flat receiver that catches the whole disc";
        add("smallest_flat", meaning, digits(1e3 * flat), "mm");
        let meaning = "concentration on that receiver, by the opening";
        add("concentration_flat", meaning, digits((diameter / flat) * (diameter / flat)), "1");
    }
    let meaning = "smallest sphere that catches the whole disc";
    add("smallest_sphere", meaning, digits(1e3 * derived.sphere), "mm");
    add("limit_rim", "highest concentration for this rim", digits(derived.limit_rim), "1");
    add("limit", "highest concentration of sunlight", digits(derived.limit), "1");
    if let Some(radius) = dish.radius {
        let at = |text: &str| format!("{text}, at the radius asked for");
        let (height, p) = (shape.height(radius), shape.focal_distance(radius));
        add("radius_height", &at("height above the vertex"), digits(height), "m");
        add("radius_to_focus", &at("distance to the focus"), digits(p), "m");
        add(
            "radius_angle",
            &at("angle of its light to the axis"),
            degrees(shape.angle(radius)),
            "°",
        );
        let slope = 0.5 * shape.angle(radius);
        add("radius_slope", &at("slope of the surface"), degrees(slope), "°");
        let along = shape.meridional_radius(radius);
        add("radius_meridional", &at("radius of curvature along the radius"), digits(along), "m");
        let across = shape.sagittal_radius(radius);
        add("radius_sagittal", &at("radius of curvature across"), digits(across), "m");
    }
    if let Some(irradiance) = dish.irradiance {
        let highest = black(derived.limit, irradiance);
        add("stagnation_limit", "black plate at the highest concentration", digits(highest), "K");
        if let Some(best) = derived.best() {
            let value = digits(black(best, irradiance));
            add("stagnation_black", "black plate at the geometric concentration", value, "K");
        }
    }
    if let Some(value) = real_plate(dish, derived) {
        add("stagnation", "plate as described", digits(value), "K");
    }
    for outcome in &mut out {
        let judged = match &dish.net_area {
            Some(_) => "concentration_net",
            None => "concentration_gross",
        };
        if outcome.name == judged {
            outcome.standard_uncertainty = budget.map(|budget| significant(budget.standard, 3));
        }
    }
    out
}

fn real_plate(dish: &Dish, derived: &Derived) -> Option<f64> {
    let (plate, irradiance, best) = (dish.plate?, dish.irradiance?, derived.best()?);
    let gained = plate.efficiency * plate.absorptance * best * irradiance;
    Some(sqrt(sqrt(gained / (plate.emittance * BOLTZMANN) + pow(plate.ambient, 4.0))))
}

fn working(dish: &Dish, derived: &Derived) -> Vec<Line> {
    let shape = &dish.paraboloid;
    let (f, rim) = (shape.focal_length, shape.rim);
    let typed = |measure| dish.shape.iter().any(|(given, _)| *given == measure);
    let from = |measure, formula: &str| {
        if typed(measure) { "as typed".to_owned() } else { formula.to_owned() }
    };
    let diameter = match (typed(Measure::Focal), typed(Measure::Rim)) {
        (true, true) => "D = 4f·tan(φ_r/2)",
        (true, false) => "D = 4·√(f·h)",
        _ => "D = 4h/tan(φ_r/2)",
    };
    let focal = match (typed(Measure::Diameter), typed(Measure::Rim)) {
        (true, true) => "f = D/(4·tan(φ_r/2))",
        (true, false) => "f = D²/(16h)",
        _ => "f = h/tan²(φ_r/2)",
    };
    let line = |symbol: &str, meaning: &str, formula: &str, value: String, unit: &str| {
        Line::new(symbol, meaning, formula, value, unit)
    };
    let mut lines = vec![
        line("D", "aperture diameter", &from(Measure::Diameter, diameter), digits(2.0 * rim), "m"),
        line("f", "focal length", &from(Measure::Focal, focal), digits(f), "m"),
        line(
            "φ_r",
            "rim angle",
            &from(Measure::Rim, "φ_r = 2·arctan(D/(4f))"),
            degrees(derived.rim_angle),
            "°",
        )
        .sourced(GEYER),
        line("h", "depth", &from(Measure::Depth, "h = D²/(16f)"), digits(shape.height(rim)), "m"),
        line("A", "area of the opening", "A = π·D²/4", digits(derived.gross), "m²"),
        line(
            "A_s",
            "area of the surface",
            "A_s = (8π·f²/3)·[(1 + (D/4f)²)^(3/2) − 1]",
            digits(shape.surface()),
            "m²",
        )
        .sourced(GEYER),
        line("p", "from the rim to the focus", "p = f + h", digits(shape.focal_distance(rim)), "m"),
    ];
    lines.extend(light_lines(dish, derived));
    if let Some(radius) = dish.radius {
        lines.extend(radius_lines(dish, radius));
    }
    lines.extend(heat_lines(dish, derived));
    lines
}

fn light_lines(dish: &Dish, derived: &Derived) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut line = |symbol: &str, meaning: &str, formula: &str, value: String, unit: &str| {
        lines.push(Line::new(symbol, meaning, formula, value, unit));
    };
    if let (Some((gross, net, area)), Some(receiver)) = (derived.concentration, &dish.receiver) {
        let diameter = digits(receiver.value);
        line("d_r", "diameter of the receiver's aperture", "as typed", diameter, "m");
        line("A_r", "area of the receiver's aperture", "A_r = π·d_r²/4", digits(area), "m²");
        line("C_g", "concentration by the opening", "C_g = A/A_r", digits(gross), "1");
        if let (Some(net), Some(known)) = (net, &dish.net_area) {
            line("A_n", "net area", "as typed", digits(known.value), "m²");
            line("C_n", "concentration by the net area", "C_n = A_n/A_r", digits(net), "1");
        }
    }
    let formula = if dish.sun_typed { "as typed" } else { "mean, as nothing is typed" };
    line("θ", "half-angle of the sun", formula, digits(1e3 * dish.sun), "mrad");
    let image = digits(1e3 * derived.image);
    line("d_i", "paraxial image of the sun", "d_i = 2f·tan θ", image, "mm");
    match derived.flat {
        Some(flat) => line(
            "d_min",
            "smallest flat receiver for the whole disc",
            "d_min = 2p·sin θ/cos(φ_r + θ)",
            digits(1e3 * flat),
            "mm",
        ),
        None => line(
            "d_min",
            "smallest flat receiver for the whole disc",
            "φ_r + θ reaches 90°: light of the rim meets no flat receiver",
            "none".to_owned(),
            "mm",
        ),
    }
    let sphere = digits(1e3 * derived.sphere);
    line("d_s", "smallest sphere for the whole disc", "d_s = 2p·sin θ", sphere, "mm");
    let formula = "C_r = sin²φ_r/sin²θ";
    line("C_r", "highest concentration for this rim", formula, digits(derived.limit_rim), "1");
    let limit = digits(derived.limit);
    line("C_max", "highest concentration of sunlight", "C_max = 1/sin²θ", limit, "1");
    let mut lines: Vec<Line> = lines;
    for line in &mut lines {
        line.source = match line.symbol.as_str() {
            "θ" if !dish.sun_typed => Some(SUN_SOURCE.to_owned()),
            "d_min" | "d_s" | "C_r" | "C_max" => Some(RABL.to_owned()),
            _ => None,
        };
    }
    lines
}

fn radius_lines(dish: &Dish, radius: f64) -> Vec<Line> {
    let shape = &dish.paraboloid;
    let line = |symbol: &str, meaning: &str, formula: &str, value: f64, unit: &str| {
        Line::new(symbol, meaning, formula, digits(value), unit)
    };
    let angle = shape.angle(radius).to_degrees();
    vec![
        line("r", "radius asked for", "as typed", radius, "m"),
        line("z", "height above the vertex", "z = r²/(4f)", shape.height(radius), "m"),
        line("p(r)", "distance to the focus", "p(r) = f + z", shape.focal_distance(radius), "m"),
        line("φ", "angle of its light to the axis", "φ = 2·arctan(r/(2f))", angle, "°"),
        line("β", "slope of the surface", "β = φ/2", 0.5 * angle, "°"),
        line(
            "R_m",
            "radius of curvature along the radius",
            "R_m = 2f/cos³(φ/2)",
            shape.meridional_radius(radius),
            "m",
        ),
        line(
            "R_s",
            "radius of curvature across",
            "R_s = 2f/cos(φ/2)",
            shape.sagittal_radius(radius),
            "m",
        ),
    ]
}

fn heat_lines(dish: &Dish, derived: &Derived) -> Vec<Line> {
    let Some(irradiance) = dish.irradiance else { return Vec::new() };
    let line = |symbol: &str, meaning: &str, formula: &str, value: f64, unit: &str| {
        Line::new(symbol, meaning, formula, digits(value), unit)
    };
    let mut lines = vec![
        line("G", "direct normal irradiance", "as typed", irradiance, "W/m²"),
        Line::new(
            "σ",
            "Stefan–Boltzmann constant",
            "constant",
            "5.670374419e-8".to_owned(),
            "W/(m²·K⁴)",
        )
        .sourced(BOLTZMANN_SOURCE),
        line(
            "T_max",
            "black plate at the highest concentration",
            "T_max = (C_max·G/σ)^(1/4)",
            black(derived.limit, irradiance),
            "K",
        ),
    ];
    let Some(best) = derived.best() else { return lines };
    let c = if dish.net_area.is_some() { "C_n" } else { "C_g" };
    lines.push(line(
        "T_b",
        "black plate at the geometric concentration",
        &format!("T_b = ({c}·G/σ)^(1/4)"),
        black(best, irradiance),
        "K",
    ));
    if let (Some(plate), Some(value)) = (dish.plate, real_plate(dish, derived)) {
        lines.extend([
            line("η", "optical efficiency", "as typed", plate.efficiency, "1"),
            line("α", "absorptance", "as typed", plate.absorptance, "1"),
            line("ε", "emittance", "as typed", plate.emittance, "1"),
            line("T_a", "temperature of the surroundings", "as typed", plate.ambient, "K"),
            line(
                "T",
                "plate as described",
                &format!("T = (η·α·{c}·G/(ε·σ) + T_a⁴)^(1/4)"),
                value,
                "K",
            ),
        ]);
    }
    lines
}

fn flags(dish: &Dish, derived: &Derived) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag = |code: &str, sentence: String| {
        flags.push(Flag { code: code.to_owned(), sentence });
    };
    let diameter = dish.receiver.as_ref().map(|receiver| receiver.value);
    match (diameter, derived.flat) {
        (Some(diameter), Some(flat)) if diameter < flat => flag(
            "receiver_below_image",
            format!(
                "The receiver of {} mm is smaller than the {} mm that catch the whole disc of the \
                 sun from the rim: light is lost even with mirrors without error.",
                significant(1e3 * diameter, 5),
                significant(1e3 * flat, 5)
            ),
        ),
        (_, None) => flag(
            "rim_beyond_flat",
            "The light of the rim comes from the side or from behind, so that no flat receiver \
             catches all of it."
                .to_owned(),
        ),
        _ => {}
    }
    if derived.best().is_some_and(|best| best > derived.limit_rim) {
        flag(
            "above_limit",
            "The geometric concentration is above the limit for this rim: the receiver can't be \
             filled with light of that concentration, and the temperature of a black plate is not \
             reached."
                .to_owned(),
        );
    }
    flags
}

/// The section through the axis: surface, rim and the light of the rim to the focus.
fn figure(dish: &Dish) -> Figure {
    let shape = &dish.paraboloid;
    let (f, rim, depth) = (shape.focal_length, shape.rim, shape.height(shape.rim));
    let surface = (0..=POINTS)
        .map(|step| {
            let radius = rim * (2.0 * f64::from(step) / f64::from(POINTS) - 1.0);
            Point::of(radius, shape.height(radius))
        })
        .collect();
    let light = [Point::of(-rim, depth), Point::of(0.0, f), Point::of(rim, depth)];
    let mut series = vec![
        Series::new("surface", "surface of the mirror", Drawn::Thick, surface),
        Series::new("light", "light of the rim", Drawn::Thin, light.to_vec()),
        Series::new(
            "axis",
            "axis",
            Drawn::Dashed,
            vec![Point::of(0.0, 0.0), Point::of(0.0, f.max(depth))],
        ),
        Series::new("focus", "focus", Drawn::Points, vec![Point::of(0.0, f)]),
    ];
    if let Some(receiver) = &dish.receiver {
        let half = 0.5 * receiver.value;
        series.push(Series::new(
            "receiver",
            "aperture of the receiver",
            Drawn::Thick,
            vec![Point::of(-half, f), Point::of(half, f)],
        ));
    }
    Figure {
        axes: Some(Axes::Equal),
        ..Figure::lines(
            "Section through the axis",
            "distance from the axis in m",
            "height above the vertex in m",
            series,
        )
    }
}
