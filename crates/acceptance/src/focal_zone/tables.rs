//! The lists of the sheet: levels, distances, places, the eye.

use libm::pow;
use quantity::significant;

use super::levels::{SUN, after_image, burn, dose, retina};
use super::optics::Dish;
use super::present::{Answer, Shown, kilowatts, metres, metres_down};
use crate::Table;

/// Distances that are listed, in metres, beside f and 2·f.
const DISTANCES: [f64; 8] = [0.1, 0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0];

/// Distances along a facet's beam that are listed, over that of its focus.
const ALONG: [f64; 10] = [0.25, 0.5, 0.75, 0.9, 1.0, 1.1, 1.25, 1.5, 2.0, 3.0];

/// The angle under which an eye in the cone sees the sun in the mirror, in rad: `ω = 2·θ·p_r/R`, and
/// not more than the mirror itself.
fn seen_angle(dish: &Dish, distance: f64) -> f64 {
    (2.0 * SUN * dish.rim_distance() / distance).min(2.0 * dish.rim_angle())
}

fn texts(texts: &[&str]) -> Vec<String> {
    texts.iter().map(|text| (*text).to_owned()).collect()
}

impl Shown<'_> {
    pub(super) fn tables(&self) -> Vec<Table> {
        let mut tables = vec![self.levels(), self.distances(), self.facet(), self.eye()];
        if !self.zone.places.is_empty() {
            tables.push(self.places());
        }
        tables
    }

    fn levels(&self) -> Table {
        let distance =
            |distance: Option<f64>| distance.map_or_else(|| "not reached".to_owned(), metres);
        let row = |answer: &Answer<'_>| {
            let level = answer.level;
            vec![
                level.name.clone(),
                kilowatts(level.irradiance),
                distance(answer.cone),
                distance(answer.axis),
                answer
                    .facet
                    .map_or_else(|| "not reached".to_owned(), |reach| metres_down(reach.from)),
                distance(answer.facet.map(|reach| reach.to)),
                level.status.text().to_owned(),
                level.source.clone(),
            ]
        };
        Table {
            name: "levels".to_owned(),
            title: "Where the computed irradiance falls below each level".to_owned(),
            columns: texts(&[
                "level",
                "kW/m²",
                "in the cone, from the focus m",
                "on the axis, from the focus m",
                "one stray facet, from m off it",
                "to m off it",
                "known",
                "source",
            ]),
            rows: self.answers.iter().map(row).collect(),
        }
    }

    fn distances(&self) -> Table {
        let dish = &self.zone.dish;
        let mut all: Vec<f64> = DISTANCES.to_vec();
        all.extend([dish.focal, 2.0 * dish.focal]);
        all.sort_by(f64::total_cmp);
        all.dedup_by(|one, other| (*one - *other).abs() < 1e-6);
        let row = |distance: f64| {
            vec![
                significant(distance, 4),
                significant(dish.anywhere(distance) / 1e3, 4),
                significant(dish.on_axis(distance) / 1e3, 4),
                significant(dish.plain(distance).min(dish.most()) / 1e3, 4),
                dish.plane_mean(distance)
                    .map_or_else(String::new, |mean| significant(mean / 1e3, 4)),
                dish.beam_radius(distance)
                    .map_or_else(|| "open".to_owned(), |radius| format!("{radius:.3}")),
            ]
        };
        Table {
            name: "distances".to_owned(),
            title: "Irradiance of the whole dish by distance from the focal point".to_owned(),
            columns: texts(&[
                "distance m",
                "most in the cone kW/m²",
                "on the axis kW/m²",
                "plain rule kW/m²",
                "mean over the plane kW/m²",
                "radius of the cone m",
            ]),
            rows: all.into_iter().map(row).collect(),
        }
    }

    /// The outermost facet's beam, the longest.
    fn facet(&self) -> Table {
        let beam = self.outer();
        let row = |share: f64| {
            let distance = share * beam.focus;
            let most = beam.at(distance).min(self.zone.dish.most());
            let spot = beam.spot(distance);
            vec![
                format!("{distance:.2}"),
                significant(most / 1e3, 4),
                spot.map_or_else(String::new, |(mean, _)| significant(mean / 1e3, 4)),
                spot.map_or_else(String::new, |(_, side)| format!("{side:.3}")),
            ]
        };
        Table {
            name: "facet".to_owned(),
            title: format!(
                "The beam of one facet whose focus is {} m from it, wherever it points",
                significant(beam.focus, 4)
            ),
            columns: texts(&[
                "from the facet m",
                "most kW/m²",
                "mean over its spot kW/m²",
                "side of its spot m",
            ]),
            rows: ALONG.into_iter().map(row).collect(),
        }
    }

    /// Retina in W/cm² of an eye in the cone: the same at every distance, since what the mirror
    /// shows is as bright.
    fn retina(&self) -> f64 {
        let dish = &self.zone.dish;
        // At a distance far enough that the sun is seen small in the mirror.
        let distance = 100.0 * dish.rim_distance();
        let ratio = dish.rim_distance() / distance;
        retina(dish.reflected() * ratio * ratio / 1e4, seen_angle(dish, distance))
    }

    fn eye(&self) -> Table {
        let dish = &self.zone.dish;
        let seen = self.retina();
        let size = 2.0 * SUN * dish.rim_distance();
        let burns = if seen >= 1.0 { Some(size * seen / 0.118) } else { None };
        let flashes = size / pow(3.59e-5 / seen, 1.0 / 1.77);
        let row = |what: &str, distance: Option<f64>| {
            vec![
                what.to_owned(),
                significant(seen, 4),
                distance.map_or_else(|| "not reached".to_owned(), metres),
                "from memory, not read again".to_owned(),
            ]
        };
        Table {
            name: "eye".to_owned(),
            title: "An eye in the cone that looks to the mirror, pupil 2 mm, for a blink of 0.15 s"
                .to_owned(),
            columns: texts(&[
                "what",
                "on the retina W/cm²",
                "computed exposure falls below it at, from the focus m",
                "known",
            ]),
            rows: vec![
                row("burn of the retina", burns),
                row("after-image, blinded for a while", Some(flashes)),
            ],
        }
    }

    fn places(&self) -> Table {
        let dish = &self.zone.dish;
        let row = |(name, distance): &(String, f64)| {
            let irradiance = dish.anywhere(*distance);
            let angle = seen_angle(dish, *distance);
            let seen = retina(irradiance / 1e4, angle);
            let eye = match seen {
                seen if seen >= burn(angle) => "burn",
                seen if seen >= after_image(angle) => "after-image",
                _ => "below both",
            };
            vec![
                name.clone(),
                significant(*distance, 4),
                significant(irradiance / 1e3, 4),
                significant(dish.on_axis(*distance) / 1e3, 4),
                significant(angle * 1e3, 4),
                significant(seen, 4),
                eye.to_owned(),
                self.zone
                    .exposure
                    .map_or_else(String::new, |time| significant(dose(irradiance, time), 4)),
            ]
        };
        Table {
            name: "places".to_owned(),
            title: "The places, if they lie in the cone".to_owned(),
            columns: texts(&[
                "place",
                "from the focus m",
                "most kW/m²",
                "on the axis kW/m²",
                "sun in the mirror mrad",
                "on the retina W/cm² (from memory)",
                "eye (from memory)",
                "dose (kW/m²)^(4/3)·s",
            ]),
            rows: self.zone.places.iter().map(row).collect(),
        }
    }
}
