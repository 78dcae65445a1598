//! What the channels say: quadrants and spread, channels that don't count, the warming test, and
//! where the heat lies.

use libm::{atan2, cos, sin, sqrt};

use super::exchange::{NoSearch, Search, search};
use super::input::Pattern;
use super::read::{Channel, Survey};
use crate::stats::{count, least_squares, mean, median};

/// What is wrong with a channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fault {
    /// No contact.
    Open,
    /// The same number in every scan while the others moved.
    Stuck,
}

/// A quadrant by the channels that count.
#[derive(Debug, Clone)]
pub(super) struct Quadrant {
    pub(super) name: String,
    /// Numbers of its channels that count.
    pub(super) counted: Vec<usize>,
    /// In K; not a number without a channel that counts.
    pub(super) mean: f64,
    pub(super) lowest: f64,
    pub(super) highest: f64,
}

/// What a warmed place was answered by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Answer {
    /// Its own channel and no other.
    Own,
    /// Another channel, by number.
    Other(usize),
    /// No channel.
    None,
    /// Several.
    Several(Vec<usize>),
}

/// Where the heat lies.
#[derive(Debug, Clone, Copy)]
pub(super) struct Heat {
    /// How much hotter than the mean that side is, in K.
    pub(super) amplitude: f64,
    pub(super) doubt: f64,
    /// In rad, clockwise from up.
    pub(super) bearing: f64,
    /// Probability that chance alone makes it as large.
    pub(super) chance: f64,
    pub(super) freedom: f64,
}

/// Everything that was found.
#[derive(Debug)]
pub(super) struct Found {
    /// Channel by channel: what is wrong.
    pub(super) faults: Vec<Option<Fault>>,
    /// Channel by channel: the reading that counts, in K.
    pub(super) counted: Vec<Option<f64>>,
    pub(super) quadrants: Vec<Quadrant>,
    /// Hottest and coolest mean of a quadrant, by number, and their difference.
    pub(super) of_means: Option<(usize, usize, f64)>,
    /// Hottest and coolest channel.
    pub(super) of_channels: Option<(usize, usize, f64)>,
    /// The channel that lies highest above the others of its quadrant, and by how much.
    pub(super) hot: Option<(usize, f64)>,
    pub(super) search: Option<Result<Search, NoSearch>>,
    /// Place by place as warmed.
    pub(super) answers: Vec<(usize, Answer)>,
    /// Pairs that answer for each other.
    pub(super) exchanged: Vec<(usize, usize)>,
    pub(super) heat: Option<Heat>,
    /// The pair that was put right for the heat and the corrected quadrants.
    pub(super) put_right: Vec<(usize, usize)>,
    /// Spread of the means with those pairs put right.
    pub(super) corrected: Option<f64>,
}

/// A channel counts as stuck when the others moved by this much, in K. Common practice, no source.
const MOVED: f64 = 5.0;

/// Looks at everything.
pub(super) fn measure(survey: &Survey) -> Found {
    let faults = faults(survey);
    let last = survey.scans.last();
    let counted: Vec<Option<f64>> = faults
        .iter()
        .enumerate()
        .map(|(place, fault)| {
            let shown = last.and_then(|scan| scan.get(place)).copied().flatten();
            shown.filter(|_| fault.is_none())
        })
        .collect();
    let quadrants = quadrants(&survey.channels, &counted);
    let (answers, exchanged) = answers(survey);
    let search = match (survey.pattern, last) {
        (Some(pattern), Some(_)) => Some(search(survey, pattern, &counted)),
        _ => None,
    };
    let suspected = search.as_ref().and_then(|found| found.as_ref().ok()).and_then(|found| {
        let best = found.pairs.first()?;
        suspected(survey, found).then_some((best.one, best.other))
    });
    let put_right: Vec<(usize, usize)> = match exchanged.is_empty() {
        true => suspected.into_iter().collect(),
        false => exchanged.clone(),
    };
    let mut corrected = counted.clone();
    for (one, other) in &put_right {
        corrected.swap(*one, *other);
    }
    let right = self::quadrants(&survey.channels, &corrected);
    Found {
        of_means: spread(&quadrants.iter().map(|q| Some(q.mean)).collect::<Vec<_>>()),
        of_channels: spread(&counted),
        hot: hot(&quadrants, &counted),
        heat: heat(survey, &corrected),
        corrected: (!put_right.is_empty() && last.is_some())
            .then(|| spread(&right.iter().map(|q| Some(q.mean)).collect::<Vec<_>>()))
            .flatten()
            .map(|(_, _, spread)| spread),
        faults,
        counted,
        quadrants,
        search,
        answers,
        exchanged,
        put_right,
    }
}

/// Whether the best pair is more than chance.
pub(super) fn suspected(survey: &Survey, found: &Search) -> bool {
    found.chance <= survey.false_alarm && found.share > 0.0
}

fn faults(survey: &Survey) -> Vec<Option<Fault>> {
    let range = |place: usize| -> Option<f64> {
        let shown: Vec<f64> =
            survey.scans.iter().filter_map(|scan| scan.get(place).copied().flatten()).collect();
        let low = shown.iter().copied().reduce(f64::min)?;
        let high = shown.iter().copied().reduce(f64::max)?;
        (shown.len() == survey.scans.len()).then_some(high - low)
    };
    let ranges: Vec<Option<f64>> = (0..survey.channels.len()).map(range).collect();
    let known: Vec<f64> = ranges.iter().copied().flatten().collect();
    let others_moved = survey.scans.len() > 1 && median(&known) >= MOVED;
    ranges
        .iter()
        .enumerate()
        .map(|(place, range)| {
            let open = survey
                .scans
                .last()
                .is_some_and(|scan| scan.get(place).is_some_and(Option::is_none));
            if open {
                Some(Fault::Open)
            } else if others_moved && range.is_some_and(|range| range <= 0.0) {
                Some(Fault::Stuck)
            } else {
                None
            }
        })
        .collect()
}

fn quadrants(channels: &[Channel], counted: &[Option<f64>]) -> Vec<Quadrant> {
    let mut names: Vec<&str> = Vec::new();
    for channel in channels {
        if !names.contains(&channel.quadrant.as_str()) {
            names.push(&channel.quadrant);
        }
    }
    names
        .into_iter()
        .map(|name| {
            let members: Vec<(usize, f64)> = channels
                .iter()
                .zip(counted)
                .enumerate()
                .filter(|(_, (channel, _))| channel.quadrant == name)
                .filter_map(|(place, (_, value))| value.map(|value| (place, value)))
                .collect();
            let values: Vec<f64> = members.iter().map(|(_, value)| *value).collect();
            Quadrant {
                name: name.to_owned(),
                counted: members.iter().map(|(place, _)| *place).collect(),
                mean: mean(&values),
                lowest: values.iter().copied().fold(f64::INFINITY, f64::min),
                highest: values.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            }
        })
        .collect()
}

/// Highest and lowest of a list, by number, and their difference; none below two numbers or with
/// one that is not known.
fn spread(values: &[Option<f64>]) -> Option<(usize, usize, f64)> {
    let known: Vec<(usize, f64)> = values
        .iter()
        .enumerate()
        .filter_map(|(place, value)| value.map(|value| (place, value)))
        .collect();
    if known.len() < 2 || known.iter().any(|(_, value)| value.is_nan()) {
        return None;
    }
    let high = known.iter().max_by(|one, other| one.1.total_cmp(&other.1))?;
    let low = known.iter().min_by(|one, other| one.1.total_cmp(&other.1))?;
    Some((high.0, low.0, high.1 - low.1))
}

/// The channel that is hottest against the mean of the others of its quadrant.
fn hot(quadrants: &[Quadrant], counted: &[Option<f64>]) -> Option<(usize, f64)> {
    let mut best: Option<(usize, f64)> = None;
    for quadrant in quadrants.iter().filter(|quadrant| quadrant.counted.len() > 1) {
        let n = count(quadrant.counted.len());
        for place in &quadrant.counted {
            let Some(value) = counted.get(*place).copied().flatten() else { continue };
            let others = (n * quadrant.mean - value) / (n - 1.0);
            let above = value - others;
            if best.is_none_or(|(_, most)| above > most) {
                best = Some((*place, above));
            }
        }
    }
    best
}

type Warmings = (Vec<(usize, Answer)>, Vec<(usize, usize)>);

fn answers(survey: &Survey) -> Warmings {
    let answers: Vec<(usize, Answer)> = survey
        .warming
        .iter()
        .map(|warmed| {
            let risen: Vec<usize> = warmed
                .rises
                .iter()
                .enumerate()
                .filter(|(_, rise)| **rise >= survey.answer)
                .map(|(place, _)| place)
                .collect();
            let answer = match risen.as_slice() {
                [] => Answer::None,
                [one] if *one == warmed.place => Answer::Own,
                [one] => Answer::Other(*one),
                _ => Answer::Several(risen),
            };
            (warmed.place, answer)
        })
        .collect();
    let of = |place: usize| answers.iter().find(|(warmed, _)| *warmed == place).map(|(_, a)| a);
    let exchanged = answers
        .iter()
        .filter_map(|(place, answer)| match answer {
            Answer::Other(other) if place < other && of(*other) == Some(&Answer::Other(*place)) => {
                Some((*place, *other))
            }
            _ => None,
        })
        .collect();
    (answers, exchanged)
}

/// What the readings would follow without heat to one side: a step for each place of a symmetrical
/// pattern, level and scale of known temperatures, else one level.
fn base(survey: &Survey, place: usize) -> Option<Vec<f64>> {
    let channel = survey.channels.get(place)?;
    match survey.pattern {
        Some(Pattern::Symmetrical) => {
            let mut places: Vec<&str> =
                survey.channels.iter().filter_map(|channel| channel.place.as_deref()).collect();
            places.sort_unstable();
            places.dedup();
            let own = channel.place.as_deref();
            Some(places.iter().map(|name| if own == Some(*name) { 1.0 } else { 0.0 }).collect())
        }
        Some(Pattern::Expected) => Some(vec![1.0, *survey.expected.get(place)?]),
        Some(Pattern::FirstScan) => {
            Some(vec![1.0, survey.scans.first()?.get(place).copied().flatten()?])
        }
        None => Some(vec![1.0]),
    }
}

/// Fits the pattern and x·sin β + y·cos β over the bearings of the channels that count; none where
/// they are too few or all on one side.
fn heat(survey: &Survey, counted: &[Option<f64>]) -> Option<Heat> {
    let (mut plain, mut rows, mut values) = (Vec::new(), Vec::new(), Vec::new());
    for (place, (channel, value)) in survey.channels.iter().zip(counted).enumerate() {
        let (Some(bearing), Some(value)) = (channel.bearing, value) else { continue };
        let base = base(survey, place)?;
        plain.push(base.clone());
        rows.push(base.into_iter().chain([sin(bearing), cos(bearing)]).collect::<Vec<f64>>());
        values.push(*value);
    }
    // A place without a channel that counts would leave an empty column.
    let used =
        |column: usize| plain.iter().any(|row| row.get(column).is_some_and(|x| x.abs() > 0.0));
    let keep: Vec<bool> = (0..rows.first()?.len())
        .map(|column| column >= plain.first().map_or(0, Vec::len) || used(column))
        .collect();
    let kept = |row: &Vec<f64>| -> Vec<f64> {
        row.iter().zip(&keep).filter(|(_, keep)| **keep).map(|(x, _)| *x).collect()
    };
    let rows: Vec<Vec<f64>> = rows.iter().map(kept).collect();
    let plain: Vec<Vec<f64>> = plain.iter().map(kept).collect();
    let fit = least_squares(&rows, &values).ok()?;
    let level = least_squares(&plain, &values).ok()?.left();
    let freedom = count(rows.len()) - count(fit.coefficients.len());
    let [.., x, y] = fit.coefficients.as_slice() else { return None };
    let amplitude = sqrt(x * x + y * y);
    if freedom < 1.0 || amplitude <= 0.0 {
        return None;
    }
    let variance = fit.variance(rows.len());
    let f = (level - fit.left()) / 2.0 / variance;
    // The distribution of F with 2 and ν degrees of freedom has a closed form.
    let chance = libm::pow(1.0 + 2.0 * f / freedom, -0.5 * freedom);
    let mut along = vec![0.0; fit.coefficients.len() - 2];
    along.extend([x / amplitude, y / amplitude]);
    Some(Heat {
        amplitude,
        doubt: sqrt(variance * fit.spread_at(&along)),
        bearing: atan2(*x, *y),
        chance,
        freedom,
    })
}

impl Found {
    /// Whether every channel is known to be on its own place by the warming test.
    pub(super) fn identified(&self) -> usize {
        self.answers.iter().filter(|(_, answer)| *answer == Answer::Own).count()
    }

    /// Whether the means of the quadrants are over as many channels each.
    pub(super) fn even(&self) -> bool {
        let mut counts = self.quadrants.iter().map(|quadrant| quadrant.counted.len());
        let first = counts.next();
        counts.all(|count| Some(count) == first)
    }

    /// Standard uncertainty of the spread of the quadrants' means or of the channels, in K.
    pub(super) fn spread_doubt(&self, standard: &[Option<f64>], of_means: bool) -> Option<f64> {
        let of = |place: &usize| standard.get(*place).copied().flatten();
        if !of_means {
            let (high, low, _) = self.of_channels?;
            let (one, other) = (of(&high)?, of(&low)?);
            return Some(sqrt(one * one + other * other));
        }
        let (high, low, _) = self.of_means?;
        let variance = |number: usize| -> Option<f64> {
            let places = &self.quadrants.get(number)?.counted;
            let squares: f64 =
                places.iter().map(|place| of(place).map(|u| u * u)).sum::<Option<f64>>()?;
            Some(squares / count(places.len()) / count(places.len()))
        };
        Some(sqrt(variance(high)? + variance(low)?))
    }
}
