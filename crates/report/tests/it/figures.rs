//! Figures as SVG.

use report::figure::{Cut, FacetMap, MapFacet, MapRack, MapState, dish_face, facet_map, lines};
use report::model::{Face, Figure, Lines, ProofState};

use crate::fixture;

#[test]
fn the_face_names_itself_and_draws_each_state_differently() {
    let handover = fixture::handover();
    let svg = dish_face("PC-04", &handover.proofs, &handover.face, Cut::Large).to_svg();
    assert!(
        svg.contains("aria-label=\"PC-04: 2 of 13 proofs stand, no lock known here\""),
        "{svg}"
    );
    let mut drawn = Vec::new();
    for state in [
        ProofState::Stands,
        ProofState::UnderReview,
        ProofState::Voided,
        ProofState::Lapsed,
        ProofState::Undecided,
        ProofState::Owed,
        ProofState::OwedWaiting,
        ProofState::NotRequired,
    ] {
        let mut proofs = handover.proofs.clone();
        proofs.truncate(3);
        for proof in &mut proofs {
            proof.state = state;
        }
        let svg = dish_face("x", &proofs, &Face::default(), Cut::Medium).to_svg();
        let (_, shapes) = svg.split_once('>').unwrap();
        assert!(!drawn.contains(&shapes.to_owned()), "{state:?} looks like another state");
        drawn.push(shapes.to_owned());
    }
}

#[test]
fn locks_are_counted_at_the_focus() {
    let handover = fixture::handover();
    let face = Face { locks: 4, ..handover.face };
    for cut in [Cut::Small, Cut::Medium, Cut::Large] {
        let svg = dish_face("PC-09", &handover.proofs, &face, cut).to_svg();
        assert!(svg.contains(">4</text>") && svg.contains("class=\"stop\""), "{svg}");
    }
}

/// The decay figure of the fixture.
fn decay() -> Lines {
    match &fixture::handover().sheets[2].figures[0] {
        Figure::Lines(lines) => lines.clone(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn the_decay_figure_has_labels_at_its_lines_and_text_is_escaped() {
    let mut figure = decay();
    let svg = lines(&figure).unwrap().to_svg();
    for part in [
        "gas left 99.24 %",
        "gauge alone",
        "down 4.8 %",
        "limit 1.00 %",
        ">12 h<",
        "stroke-dasharray",
    ] {
        assert!(svg.contains(part), "{part}: {svg}");
    }
    figure.title = "a < b & \"c\"".to_owned();
    assert!(
        lines(&figure).unwrap().to_svg().contains("aria-label=\"a &lt; b &amp; &quot;c&quot;\"")
    );
}

#[test]
fn a_figure_of_one_point_or_none_still_draws() {
    let mut figure = decay();
    for series in &mut figure.series {
        series.points.truncate(1);
    }
    lines(&figure).unwrap();
    figure.series.clear();
    lines(&figure).unwrap();
}

/// Twelve racks of 21 facets in rows of 1 1 2 2 3 3 4 5, all in.
fn mirror() -> FacetMap {
    let (mut racks, mut facets) = (Vec::new(), Vec::new());
    for rack in 0..12_u8 {
        let (id, from) = (format!("R{:02}", rack + 1), 30.0 * f32::from(rack));
        let mut number = 0;
        for (row, cells) in [1_u8, 1, 2, 2, 3, 3, 4, 5].into_iter().enumerate() {
            for cell in 0..cells {
                number += 1;
                facets.push(MapFacet {
                    id: format!("{id}/F{number:02}"),
                    rack: id.clone(),
                    radius: 1.0 + 0.56 * f32::from(u8::try_from(row).unwrap()),
                    bearing: from + 30.0 * (f32::from(cell) + 0.5) / f32::from(cells),
                    state: MapState::In,
                    error: Some([0.2, -0.3]),
                });
            }
        }
        racks.push(MapRack { id, from, to: from + 30.0, moved: false });
    }
    FacetMap { name: "PC-07".to_owned(), racks, facets, chosen: None }
}

/// The part of the text that belongs to a target.
fn target<'s>(svg: &'s str, id: &str) -> &'s str {
    let (_, rest) = svg.split_once(&format!("<g class=\"target\" data-id=\"{id}\"")).unwrap();
    rest.split("<g class=\"target\"").next().unwrap()
}

#[test]
fn the_large_face_can_be_touched_and_the_small_ones_cannot() {
    let mut handover = fixture::handover();
    handover.proofs[4].requirement = "leak".to_owned();
    handover.proofs[4].state = ProofState::Voided;
    let svg = dish_face("PC-04", &handover.proofs, &handover.face, Cut::Large).to_svg();
    assert!(svg.contains("role=\"group\""), "{svg}");
    assert!(
        target(&svg, "leak")
            .starts_with(" role=\"button\" tabindex=\"0\" aria-label=\"leak, voided\"")
    );
    assert!(target(&svg, "locks").contains("aria-label=\"no lock known here\""));
    assert_eq!(
        svg.matches("class=\"target\"").count(),
        handover.proofs.len() + handover.face.holds.len() + 1
    );
    for cut in [Cut::Small, Cut::Medium] {
        let svg = dish_face("PC-04", &handover.proofs, &handover.face, cut).to_svg();
        assert!(svg.contains("role=\"img\"") && !svg.contains("target"), "{svg}");
    }
}

#[test]
fn the_map_has_every_facet_by_name_with_its_error() {
    let mut map = mirror();
    let facet = map.facets.iter_mut().find(|facet| facet.id == "R09/F14").unwrap();
    (facet.state, facet.error) = (MapState::Out, Some([2.14, -2.16]));
    map.racks[8].moved = true;
    let svg = facet_map(&map).to_svg();
    assert_eq!(svg.matches("class=\"target\"").count(), 252);
    assert!(
        svg.contains("aria-label=\"PC-07: 252 of 252 facets measured, 1 out, rack R09 moved\"")
    );
    let out = target(&svg, "R09/F14");
    assert!(out.contains("aria-label=\"R09/F14, out, x +2.1 y \u{2212}2.2 mrad\""), "{out}");
    assert!(
        out.contains("class=\"bg line\""),
        "a pin on a filled cell is drawn in the ground's tone"
    );
    // Each state has a drawing of its own, and a moved rack one more stroke.
    let mut drawn = Vec::new();
    for state in
        [MapState::In, MapState::Out, MapState::Within, MapState::NotMeasured, MapState::Masked]
    {
        map.facets[0].state = state;
        map.facets[0].error = None;
        let svg = facet_map(&map).to_svg();
        let (_, shapes) = target(&svg, "R01/F01").split_once('>').unwrap();
        assert!(!drawn.contains(&shapes.to_owned()), "{state:?} looks like another state");
        drawn.push(shapes.to_owned());
    }
    let moved = facet_map(&map).to_svg().matches("<path").count();
    map.racks[8].moved = false;
    assert_eq!(facet_map(&map).to_svg().matches("<path").count(), moved - 1);
}

/// Head and tail of a pin, read from the drawing: the head is where the light goes, up is up.
#[test]
fn pins_point_where_the_light_goes() {
    for (error, right, down) in [
        ([1.0, 0.0], 1.0, 0.0),
        ([-1.0, 0.0], -1.0, 0.0),
        ([0.0, 1.0], 0.0, -1.0),
        ([0.0, -1.0], 0.0, 1.0),
    ] {
        let mut map = mirror();
        let facet = map.facets.iter_mut().find(|facet| facet.id == "R05/F10").unwrap();
        facet.error = Some(error);
        let svg = facet_map(&map).to_svg();
        let part = target(&svg, "R05/F10");
        let (_, line) = part.rsplit_once("stroke-width=\"1.5\" d=\"M").unwrap();
        let points: Vec<f32> = line
            .split('"')
            .next()
            .unwrap()
            .split(['L', ' '])
            .map(|number| number.parse().unwrap())
            .collect();
        let [x0, y0, x1, y1] = points[..] else { panic!("{points:?}") };
        assert!((x1 - x0 - 11.0 * right).abs() < 0.01, "{error:?}: {points:?}");
        assert!((y1 - y0 - 11.0 * down).abs() < 0.01, "{error:?}: {points:?}");
    }
}
