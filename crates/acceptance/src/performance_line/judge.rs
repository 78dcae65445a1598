//! The lines, their doubt, the threshold and the power at the reference irradiance.

use quantity::{Power, quantile};

use super::input::Method;
use super::read::Case;
use crate::doubt::{Budget, Part, effective_freedom, first_order};
use crate::limit::Judged;
use crate::line::{Datum, Fit, ols, york};
use crate::stats::{chi_square_quantile, mean, student_t_quantile};
use crate::{Refusal, Table};

/// A line with the scale of its doubt.
#[derive(Debug, Clone)]
pub(super) struct Laid {
    pub(super) method: Method,
    pub(super) fit: Fit,
    /// Scale of all doubts of the line.
    pub(super) scale: f64,
    /// Degrees of freedom; infinite where the doubts stated are taken as they are.
    pub(super) freedom: f64,
    /// Half-width of an interval over its standard uncertainty.
    pub(super) factor: f64,
}

impl Laid {
    fn new(case: &Case, method: Method, fit: Fit) -> Self {
        let found = fit.scale();
        let stated = method == Method::York && found <= 1.0;
        let freedom = if stated { f64::INFINITY } else { fit.freedom };
        let scale = if stated { 1.0 } else { found };
        Self { method, scale, freedom, factor: factor(case.level, freedom), fit }
    }

    /// Standard uncertainty of the line at an irradiance.
    pub(super) fn doubt(&self, x: f64) -> f64 {
        self.scale * libm::sqrt(self.fit.variance(x))
    }

    /// Threshold, where the line reaches zero.
    pub(super) fn threshold(&self) -> f64 {
        -self.fit.a / self.fit.b
    }

    /// Standard uncertainty of the threshold, first order.
    pub(super) fn threshold_doubt(&self) -> f64 {
        self.doubt(self.threshold()) / self.fit.b.abs()
    }

    /// Fieller's interval of the threshold; none when the slope may be zero.
    pub(super) fn threshold_interval(&self) -> Option<(f64, f64)> {
        let square = self.factor * self.factor * self.scale * self.scale;
        let (b, middle) = (self.fit.b, self.fit.at(self.fit.x_mean));
        let steep = b * b - square * self.fit.u_b * self.fit.u_b;
        let level = middle * middle - square / self.fit.weight;
        let root = libm::sqrt(middle * middle * b * b - steep * level);
        let at = |sign: f64| self.fit.x_mean + (-middle * b + sign * root) / steep;
        (steep > 0.0 && root.is_finite()).then(|| (at(-1.0), at(1.0)))
    }

    /// Standard uncertainty of a further point at an irradiance.
    pub(super) fn further(&self, case: &Case, x: f64) -> f64 {
        let own = self.scale * self.scale * self.own_variance(case, x);
        let line = self.doubt(x);
        libm::sqrt(line * line + own)
    }

    fn own_variance(&self, case: &Case, x: f64) -> f64 {
        if let (Method::York, Some(of_x), Some(of_y)) =
            (self.method, &case.irradiance_doubt, &case.power_doubt)
        {
            let (b, u_x, u_y) = (self.fit.b, of_x.of(x), of_y.of(1e3 * self.fit.at(x)) / 1e3);
            return u_y * u_y + b * b * u_x * u_x - 2.0 * b * case.correlation * u_x * u_y;
        }
        let inverse: Vec<f64> = self.fit.weights.iter().map(|weight| 1.0 / weight).collect();
        mean(&inverse)
    }
}

/// The power at the reference irradiance.
#[derive(Debug)]
pub(super) struct AtReference {
    pub(super) x: f64,
    pub(super) power: f64,
    pub(super) budget: Budget,
    pub(super) freedom: f64,
    /// Half-width of the confidence interval.
    pub(super) confidence: f64,
    /// Half-width of the interval for a further point.
    pub(super) prediction: f64,
    pub(super) judged: Option<Judged>,
    pub(super) rules: Option<Table>,
}

/// Everything found.
#[derive(Debug)]
pub(super) struct Found {
    pub(super) laid: Laid,
    /// The other lines, and this one with the points that were left out.
    pub(super) others: Vec<(String, Laid)>,
    pub(super) r_squared: f64,
    pub(super) studentised: Vec<Option<f64>>,
    /// A studentised residual beyond this is flagged.
    pub(super) bound: Option<f64>,
    /// The band within which S/(n − 2) lies for doubts rightly stated.
    pub(super) chi: Option<(f64, f64)>,
    pub(super) threshold_doubt: f64,
    pub(super) reference: Option<AtReference>,
}

/// Half-width of an interval at a level over its standard uncertainty.
fn factor(level: f64, freedom: f64) -> f64 {
    let p = 0.5 * (1.0 + level);
    let found = if freedom < 1e5 { student_t_quantile(p, freedom) } else { quantile(p) };
    found.unwrap_or(f64::NAN)
}

fn lay(case: &Case, method: Method, data: &[Datum]) -> Option<Laid> {
    let fit = match method {
        Method::Ols => ols(data),
        Method::Deming => {
            let ratio = case.ratio?;
            let equal = |p: &Datum| Datum { u_x: 1.0, u_y: ratio, r: case.correlation, ..*p };
            york(&data.iter().map(equal).collect::<Vec<_>>())
        }
        Method::York => {
            let known = data.iter().all(|p| p.u_x > 0.0 || p.u_y > 0.0);
            (case.doubts && known).then(|| york(data)).flatten()
        }
    }?;
    Some(Laid::new(case, method, fit))
}

/// Lays the lines and judges the one that was named.
pub(super) fn judge(case: &Case) -> Result<Found, Refusal> {
    let data: Vec<Datum> = case.used().map(|point| point.datum).collect();
    let laid = lay(case, case.method, &data).ok_or_else(|| {
        Refusal::new(
            "no_line",
            "points",
            "The line does not settle: the points don't lie along one.",
            "Look at the points in a figure; check which column is irradiance and which is power.",
        )
    })?;
    let mut others: Vec<(String, Laid)> = [Method::Ols, Method::Deming, Method::York]
        .into_iter()
        .filter(|method| *method != case.method)
        .filter_map(|method| lay(case, method, &data))
        .map(|laid| (name(laid.method).to_owned(), laid))
        .collect();
    if data.len() < case.points.len() {
        let all: Vec<Datum> = case.points.iter().map(|point| point.datum).collect();
        let with_all = lay(case, case.method, &all);
        others.extend(
            with_all.map(|laid| (format!("{}, with the points left out", name(case.method)), laid)),
        );
    }
    let n = data.len();
    let tests = crate::stats::count(n);
    let bound = student_t_quantile(1.0 - 0.025 / tests, laid.fit.freedom - 1.0);
    let chi = (case.method == Method::York).then(|| {
        let edge = |p| chi_square_quantile(p, laid.fit.freedom).map(|x| x / laid.fit.freedom);
        edge(0.025).zip(edge(0.975))
    });
    let shared = [
        case.irradiance_common.as_ref().map_or(0.0, |stated| stated.of(laid.threshold())),
        case.power_common.as_ref().map_or(0.0, |stated| stated.of(0.0) / 1e3 / laid.fit.b),
        laid.threshold_doubt(),
    ];
    Ok(Found {
        r_squared: r_squared(&data),
        studentised: laid.fit.studentised(),
        bound,
        chi: chi.flatten(),
        threshold_doubt: libm::sqrt(shared.iter().map(|part| part * part).sum()),
        reference: case.reference.map(|x| at_reference(case, &laid, x)),
        others,
        laid,
    })
}

/// Name of a method for people.
pub(super) const fn name(method: Method) -> &'static str {
    match method {
        Method::Ols => "ordinary least squares",
        Method::Deming => "Deming",
        Method::York => "York",
    }
}

fn r_squared(data: &[Datum]) -> f64 {
    let x = mean(&data.iter().map(|p| p.x).collect::<Vec<_>>());
    let y = mean(&data.iter().map(|p| p.y).collect::<Vec<_>>());
    let sum = |of: &dyn Fn(&Datum) -> f64| data.iter().map(of).sum::<f64>();
    let products = sum(&|p| (p.x - x) * (p.y - y));
    products * products / (sum(&|p| (p.x - x) * (p.x - x)) * sum(&|p| (p.y - y) * (p.y - y)))
}

fn at_reference(case: &Case, laid: &Laid, x: f64) -> AtReference {
    let power = laid.fit.at(x);
    let slope = laid.fit.b;
    let part = |source: &str, statement: String, value: f64, standard: f64, unit| Part {
        source: source.to_owned(),
        statement,
        value,
        standard,
        unit,
    };
    let how = if laid.freedom.is_finite() {
        format!("from the scatter of {} points", case.used().count())
    } else {
        "from the doubts stated for the points".to_owned()
    };
    let mut parts = vec![part("line at the reference irradiance", how, power, laid.doubt(x), "kW")];
    if let Some(stated) = &case.irradiance_common {
        let text = stated.text.clone();
        parts.push(part("irradiance, shared by all points", text, 0.0, stated.of(x), "W/m²"));
    }
    let irradiance_shared = case.irradiance_common.is_some();
    if let Some(stated) = &case.power_common {
        let text = stated.text.clone();
        let size = stated.of(1e3 * power) / 1e3;
        parts.push(part("power, shared by all points", text, 0.0, size, "kW"));
    }
    // A scale that reads too high by ε moves the line's value at the true irradiance by −b·ε.
    let budget = first_order(&parts, "kW", |values| match values {
        [line, irradiance, power] => line - slope * irradiance + power,
        [line, irradiance] if irradiance_shared => line - slope * irradiance,
        [line, power] => line + power,
        _ => values.iter().sum(),
    });
    let contributions: Vec<f64> =
        parts.iter().zip(&budget.sensitivities).map(|(part, c)| part.standard * c).collect();
    let freedoms: Vec<f64> = core::iter::once(laid.freedom)
        .chain(core::iter::repeat(f64::INFINITY))
        .take(parts.len())
        .collect();
    let freedom = effective_freedom(&contributions, &freedoms);
    let value = Power::from_watts(1e3 * power);
    let standard = 1e3 * budget.standard;
    AtReference {
        x,
        power,
        freedom,
        confidence: factor(case.level, freedom) * budget.standard,
        prediction: laid.factor * laid.further(case, x),
        judged: case.limit.as_ref().map(|limit| limit.judge(value, Some(standard))),
        rules: case.limit.as_ref().map(|limit| limit.beside(value, standard)),
        budget,
    }
}
