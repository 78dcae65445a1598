//! Figures as SVG.

use report::figure::{Cut, dish_face, lines};
use report::model::{Face, ProofState};

use crate::fixture;

#[test]
fn the_face_names_itself_and_draws_each_state_differently() {
    let handover = fixture::handover();
    let svg = dish_face("PC-04", &handover.proofs, &handover.face, Cut::Large).to_svg();
    assert!(svg.contains("aria-label=\"PC-04: 2 of 13 proofs stand, 0 locks known\""), "{svg}");
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

#[test]
fn the_decay_figure_has_labels_at_its_lines_and_text_is_escaped() {
    let mut figure = fixture::handover().sheets[2].figures[0].clone();
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
    let mut figure = fixture::handover().sheets[2].figures[0].clone();
    for series in &mut figure.series {
        series.points.truncate(1);
    }
    lines(&figure).unwrap();
    figure.series.clear();
    lines(&figure).unwrap();
}
