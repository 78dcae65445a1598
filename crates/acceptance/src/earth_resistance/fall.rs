//! Fall of potential: readings along the line, the rule of 61.8 %, and the slope method.

/// (√5 − 1)/2.
pub(super) const GOLDEN: f64 = 0.618_033_988_749_894_8;
/// The slopes of Tagg's printed table.
pub(super) const SLOPES: (f64, f64) = (0.40, 1.59);

/// Readings of R in Ω against the share of the distance to the current probe, rising.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub(super) points: Vec<(f64, f64)>,
}

impl Line {
    /// R between the neighbours of a share, by line, and how far apart they are; none outside.
    pub(super) fn at(&self, share: f64) -> Option<(f64, f64)> {
        const NEAR: f64 = 1e-6;
        if let Some((_, r)) = self.points.iter().find(|(x, _)| (x - share).abs() < NEAR) {
            return Some((*r, 0.0));
        }
        self.points.windows(2).find_map(|pair| match pair {
            [(x1, r1), (x2, r2)] if (*x1..=*x2).contains(&share) => {
                Some((r1 + (r2 - r1) * (share - x1) / (x2 - x1), x2 - x1))
            }
            _ => None,
        })
    }

    /// Whether every reading is at least the one before.
    pub(super) fn rises(&self) -> bool {
        self.points.windows(2).all(|pair| match pair {
            [(_, before), (_, after)] => after >= before,
            _ => true,
        })
    }
}

/// The slope method.
#[derive(Debug, Clone, Copy)]
pub(super) struct Slope {
    /// R at 20, 40 and 60 %.
    pub(super) readings: [f64; 3],
    pub(super) mu: f64,
    /// How far the electrode's middle lies behind the tape's beginning, as a share of c; none outside
    /// of Tagg's table.
    pub(super) behind: Option<f64>,
}

impl Slope {
    /// The share of c at which the true resistance is read.
    pub(super) fn place(&self) -> Option<f64> {
        self.behind.map(|d| GOLDEN * (1.0 + d) - d)
    }
}

/// Slope of the model for a middle that lies `d` behind.
fn model(d: f64) -> f64 {
    let r = |x: f64| -1.0 / (x + d) + 1.0 / (1.0 - x);
    (r(0.6) - r(0.4)) / (r(0.4) - r(0.2))
}

/// How far apart, as a share of c, two readings may lie that give one of the slope's three between
/// them: a straight line over a wide gap would make the slope by itself. Common practice, no source.
const GAP: f64 = 0.12;

/// The slope of a line of readings; none without readings at or near 20, 40 and 60 %.
pub(super) fn slope(line: &Line) -> Option<Slope> {
    let near = |share: f64| line.at(share).filter(|(_, gap)| *gap <= GAP).map(|(r, _)| r);
    let (r20, r40, r60) = (near(0.2)?, near(0.4)?, near(0.6)?);
    let mu = (r60 - r40) / (r40 - r20);
    let (low, high) = SLOPES;
    let behind = (low..=high).contains(&mu).then(|| {
        // The model rises steadily from μ below the table to μ above it.
        let (mut near, mut far) = (-0.15, 1.5);
        for _ in 0..80 {
            let middle = 0.5 * (near + far);
            if model(middle) < mu { near = middle } else { far = middle }
        }
        0.5 * (near + far)
    });
    Some(Slope { readings: [r20, r40, r60], mu, behind })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Tagg's table in a public handbook of earth testing, read in transcription; 1.37 is printed
    /// 0.441 where the model gives 0.442.
    #[test]
    fn table_of_tagg() {
        for (mu, place) in [
            (0.40, 0.643),
            (0.50, 0.629),
            (0.57, 0.618),
            (0.60, 0.614),
            (0.80, 0.580),
            (0.90, 0.562),
            (0.99, 0.544),
            (1.20, 0.494),
            (1.30, 0.465),
            (1.37, 0.441),
            (1.39, 0.434),
        ] {
            let line = Line { points: vec![(0.2, 10.0), (0.4, 11.0), (0.6, 11.0 + mu)] };
            let found = slope(&line).unwrap().place().unwrap();
            assert!((found - place).abs() < 1.1e-3, "{mu}: {found} for {place}");
        }
        for mu in [0.39, 1.60, -0.5] {
            let line = Line { points: vec![(0.2, 10.0), (0.4, 11.0), (0.6, 11.0 + mu)] };
            assert!(slope(&line).unwrap().place().is_none(), "{mu}");
        }
    }
}
