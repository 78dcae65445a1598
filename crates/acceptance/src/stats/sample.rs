//! What a list of numbers says: mean, standard deviation, median.

/// How many, as a number to compute with.
#[expect(clippy::cast_precision_loss, reason = "lists are far shorter than 2^53")]
pub(crate) const fn count(length: usize) -> f64 {
    length as f64
}

/// The mean; not a number for an empty list.
pub(crate) fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / count(values.len())
}

/// The standard deviation of a sample, with n − 1; not a number below two values.
pub(crate) fn standard_deviation(values: &[f64]) -> f64 {
    let mean = mean(values);
    let squares: f64 = values.iter().map(|value| (value - mean) * (value - mean)).sum();
    if values.len() < 2 { f64::NAN } else { libm::sqrt(squares / (count(values.len()) - 1.0)) }
}

/// The median; not a number for an empty list.
pub(crate) fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let half = sorted.len() / 2;
    let at = |place: usize| sorted.get(place).copied().unwrap_or(f64::NAN);
    if sorted.len() % 2 == 1 { at(half) } else { 0.5 * (at(half.wrapping_sub(1)) + at(half)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The data of JCGM 100:2008 (GUM) 4.4.3: twenty temperatures, mean 100.14 and deviation 1.49.
    #[test]
    fn the_temperatures_of_the_guide() {
        let t = [
            96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42,
            100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
        ];
        assert!((mean(&t) - 100.145).abs() < 1e-9);
        assert!((standard_deviation(&t) - 1.489).abs() < 5e-4);
        assert!((median(&t) - 100.2).abs() < 1e-9);
        assert!(mean(&[]).is_nan() && median(&[]).is_nan() && standard_deviation(&[1.0]).is_nan());
    }
}
