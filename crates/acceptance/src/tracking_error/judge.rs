//! The limits, and what a reader is warned of.

use quantity::{Angle, Ratio, significant};

use super::doubt::Doubt;
use super::input::{Method, SunElevation};
use super::measure::Found;
use super::present::percent;
use super::read::Survey;
use crate::Flag;
use crate::limit::Judged;
use crate::several::{Together, together};
use crate::sun::true_north;

/// Judges every stated limit; none without a limit.
pub(super) fn judge(survey: &Survey, found: &Found<'_>, doubt: Option<&Doubt>) -> Option<Together> {
    let limits = &survey.limits;
    let all = found.all.as_ref()?;
    let values = all.judged();
    let of = |place: usize| {
        let value = values.get(place).copied().unwrap_or(f64::NAN);
        (value, doubt.and_then(|doubt| doubt.all.get(place)).copied())
    };
    let percentile = format!("{} % of the samples", percent(survey.share));
    let angles = [
        ("RMS of the worse axis", &limits.rms_each_axis, 0),
        ("RMS of both axes", &limits.rms, 1),
        (percentile.as_str(), &limits.percentile, 2),
        ("largest error", &limits.largest, 3),
        ("mean error", &limits.mean, 4),
    ];
    let mut judged: Vec<(&str, Judged)> = angles
        .into_iter()
        .filter_map(|(name, limit, place)| {
            let (value, u) = of(place);
            let limit = limit.as_ref()?;
            Some((name, limit.judge(limit.settled(Angle::from_radians(value)), u)))
        })
        .collect();
    if let Some(limit) = &limits.share_within {
        let (value, u) = of(5);
        judged.push((
            "samples within the stated error",
            limit.judge(limit.settled(Ratio::from_fraction(value)), u),
        ));
    }
    together(&judged)
}

/// Fewer independent samples than this share of all are worth a word.
const ALIKE: f64 = 0.5;
/// A mean error beyond this is no tracking but another zero or direction of counting.
const FAR: f64 = 5.0;
/// Share of the mean square from which a clock is worth a look.
const CLOCK: f64 = 0.5;

/// What a reader is warned of.
pub(super) fn flags(survey: &Survey, found: &Found<'_>) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag = |code: &str, sentence: String| {
        flags.push(Flag { code: code.to_owned(), sentence });
    };
    let all = found.all.as_ref();
    if let Some(all) = all
        && all.median.to_degrees() > FAR
    {
        flag(
            "far_off",
            format!(
                "Half of the errors are beyond {}°. Check where azimuth counts from and which way, \
                 and whether the sun stood in the file of another hour.",
                significant(all.median.to_degrees(), 3)
            ),
        );
    }
    if !found.windy.is_empty() {
        flag(
            "wind",
            format!(
                "{} of {} samples were taken at more wind than stated and are not judged.",
                found.windy.len(),
                survey.samples.len()
            ),
        );
    }
    if let Some(all) = all
        && found.effective < ALIKE * crate::stats::count(all.samples)
    {
        flag(
            "samples_alike",
            format!(
                "Each sample resembles the one before (correlation {}): the {} samples say as much \
                 as about {} independent ones. A mean over more time says more; more samples in \
                 the same time do not.",
                significant(found.first, 2),
                all.samples,
                significant(found.effective.max(1.0), 2)
            ),
        );
    }
    if survey.method == Method::SunGiven && survey.sun_elevation_is.is_none() {
        flag("refraction_not_stated", REFRACTION.to_owned());
    }
    if survey.method == Method::SunGiven && survey.sun_elevation_is == Some(SunElevation::Geometric)
    {
        flag(
            "refraction_added",
            "The elevations of the sun are without air; refraction was added from air pressure and \
             temperature."
                .to_owned(),
        );
    }
    if survey.method == Method::Camera {
        flag(
            "camera",
            "A spot shows the dish, its mirrors and the zero of the target together; the mean error \
             holds all three."
                .to_owned(),
        );
    }
    clock_flags(survey, found, &mut flag);
    if survey.method == Method::SunComputed {
        flags.push(true_north());
        let first = survey.samples.first().and_then(|sample| sample.at);
        flags.extend(
            survey.place.as_ref().zip(first).and_then(|(place, at)| place.clock_flag(at.moment)),
        );
    }
    flags
}

const REFRACTION: &str = "It is not stated whether the elevations of the sun are as seen or without \
                          air; they are taken as seen. Refraction is 0.03° and more below about 27° \
                          of elevation and 0.1° at 9°.";

fn clock_flags(survey: &Survey, found: &Found<'_>, flag: &mut impl FnMut(&str, String)) {
    let Some(clock) = found.clock else { return };
    if survey.doubts.clock.is_none() {
        flag(
            "clock",
            format!(
                "A second of clock error is {} mrad ({}°) here, and no uncertainty of the clock is \
                 stated. Where the moments come from the controller's own clock, its error does not \
                 show in these numbers unless it is typed as clock_ahead.",
                significant(1e3 * clock.each_second, 3),
                significant(clock.each_second.to_degrees(), 3)
            ),
        );
    }
    if clock.explained > CLOCK {
        flag(
            "looks_like_clock",
            format!(
                "The dish {} the sun by {} s, as a controller's clock that is {} makes it: that would \
                 explain {} % of the mean square; so would a longitude or an azimuth zero that is \
                 off. Check the clock first, then the coordinates.",
                if clock.seconds > 0.0 { "leads" } else { "follows" },
                significant(clock.seconds.abs(), 3),
                if clock.seconds > 0.0 { "ahead" } else { "behind" },
                significant(100.0 * clock.explained, 3)
            ),
        );
    }
}
