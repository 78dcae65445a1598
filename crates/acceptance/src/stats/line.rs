//! A straight line through points by least squares.

use super::count;

/// A line by least squares.
#[derive(Debug, Clone)]
pub(crate) struct Line {
    pub(crate) slope: f64,
    /// The line's value at the mean of x, which is the mean of y.
    pub(crate) mean_y: f64,
    pub(crate) mean_x: f64,
    /// Σ(x − x̄)².
    pub(crate) spread: f64,
    /// y less the line, in the order of the points.
    pub(crate) residuals: Vec<f64>,
    /// n − 2.
    pub(crate) freedom: f64,
    /// √(Σ residual²/(n − 2)); none below three points.
    pub(crate) scatter: Option<f64>,
}

impl Line {
    /// The line at a place.
    pub(crate) fn at(&self, x: f64) -> f64 {
        self.mean_y + self.slope * (x - self.mean_x)
    }

    /// How much a point at `x` pulls the line towards itself, 0 to 1.
    pub(crate) fn leverage(&self, x: f64) -> f64 {
        1.0 / (self.freedom + 2.0) + (x - self.mean_x) * (x - self.mean_x) / self.spread
    }
}

/// The line of least squares; none below two points or where all lie at one x.
pub(crate) fn line_through(points: &[(f64, f64)]) -> Option<Line> {
    let n = count(points.len());
    let mean = |take: fn(&(f64, f64)) -> f64| points.iter().map(take).sum::<f64>() / n;
    let (mean_x, mean_y) = (mean(|point| point.0), mean(|point| point.1));
    let spread: f64 = points.iter().map(|(x, _)| (x - mean_x) * (x - mean_x)).sum();
    if points.len() < 2 || spread.is_nan() || spread <= 0.0 {
        return None;
    }
    let both: f64 = points.iter().map(|(x, y)| (x - mean_x) * (y - mean_y)).sum();
    let slope = both / spread;
    let residuals: Vec<f64> =
        points.iter().map(|(x, y)| y - mean_y - slope * (x - mean_x)).collect();
    let squares: f64 = residuals.iter().map(|residual| residual * residual).sum();
    let freedom = n - 2.0;
    let scatter = (points.len() > 2).then(|| libm::sqrt(squares / freedom));
    Some(Line { slope, mean_y, mean_x, spread, residuals, freedom, scatter })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// SciPy 1.17.1: `stats.linregress` and `stats.theilslopes(y, x, 0.9)`.
    #[test]
    fn lines_of_scipy() {
        let x = [0.0, 1.0, 2.5, 4.0, 5.0, 7.0, 8.5, 10.0];
        let y = [10.2, 9.1, 7.9, 6.6, 5.2, 3.9, 1.2, 0.9];
        let points: Vec<(f64, f64)> = x.into_iter().zip(y).collect();
        let fit = line_through(&points).unwrap();
        assert!((fit.slope - SLOPE).abs() < 1e-12, "{}", fit.slope);
        assert!((fit.at(0.0) - INTERCEPT).abs() < 1e-12, "{}", fit.at(0.0));
        let error = fit.scatter.unwrap() / fit.spread.sqrt();
        assert!((error - ERROR).abs() < 1e-12, "{error}");
        let leverages: f64 = x.into_iter().map(|x| fit.leverage(x)).sum();
        assert!((leverages - 2.0).abs() < 1e-12);
    }

    const SLOPE: f64 = -0.9662921348314607;
    const INTERCEPT: f64 = 10.214887640449438;
    const ERROR: f64 = 0.045259890480634786;

    /// JCGM 100:2008 (GUM) H.3: correction of a thermometer at eleven temperatures, less 20 °C;
    /// −0.1712(29) °C and 0.00218(67) (data and results from memory, consistent with each other).
    #[test]
    fn the_thermometer_of_the_guide() {
        let t = [
            21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511,
        ];
        let b =
            [171, 169, 166, 159, 164, 165, 156, 157, 159, 161, 160].map(|b| -f64::from(b) / 1e3);
        let points: Vec<(f64, f64)> = t.into_iter().map(|t| t - 20.0).zip(b).collect();
        let fit = line_through(&points).unwrap();
        assert_eq!(format!("{:.5} {:.4}", fit.slope, fit.at(0.0)), "0.00218 -0.1712");
        let error = fit.scatter.unwrap() / fit.spread.sqrt();
        assert_eq!(format!("{error:.5} {:.4}", fit.scatter.unwrap()), "0.00067 0.0035");
    }

    #[test]
    fn no_line_without_two_places() {
        assert!(line_through(&[(1.0, 2.0)]).is_none() && line_through(&[]).is_none());
        assert!(line_through(&[(1.0, 2.0), (1.0, 3.0)]).is_none());
        assert!(line_through(&[(0.0, 2.0), (1.0, 3.0)]).unwrap().scatter.is_none());
    }
}
