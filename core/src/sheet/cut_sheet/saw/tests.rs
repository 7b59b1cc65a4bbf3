use super::*;
use crate::geom::Frame;
use crate::report::Report;
use crate::sheet::cut_sheet::tests::samples::eight_bends;
use crate::units::UnitSystem;
use approx::assert_relative_eq;
use glam::DVec3;

/// The words of a turn as degrees, clockwise positive.
fn said_deg(cell: &Cell) -> f64 {
    let Cell::Bold(words) = cell else { panic!("no turn is said") };
    match words.as_str() {
        "half turn" => 180.0,
        "no turn" => 0.0,
        _ => {
            let (deg, way) = words.split_once("° ").unwrap();
            let deg: f64 = deg.parse().unwrap();
            if way == "↻" { deg } else { -deg }
        }
    }
}

/// A tube on a saw whose blade leans one way only, turned as the sheet says, gets both heels where they belong.
#[test]
fn turning_the_tube_as_said_puts_the_second_heel_in_its_place() {
    let project = eight_bends(UnitSystem::Millimetre);
    let report = Report::quick(&project);
    // who faces the end of the stick looks along +X; the blade reaches furthest to the free end at the top
    let mut turned = 0;
    for cut in report.stock.iter().flat_map(|s| &s.sticks).flat_map(|s| &s.cuts) {
        let Some(piece) = report.runs[0].printed.iter().find(|p| p.mark == cut.mark) else { continue };
        let (Some(start), Some(end)) = (piece.start_heel_clock_deg, piece.end_heel_clock_deg) else {
            continue;
        };
        let travel = if cut.end_first { -DVec3::X } else { DVec3::X };
        let (first, second) = if cut.end_first { (end, start) } else { (start, end) };
        // the first heel is cut on top, where the blade reaches furthest; turn the tube there
        let tube = Frame::new(DVec3::ZERO, travel, DVec3::Z);
        let to_top = -first.to_radians();
        let index = tube.at_clock(to_top);
        let frame = Frame::new(DVec3::ZERO, travel, index);
        assert_relative_eq!(frame.at_clock(first.to_radians()), DVec3::Z, epsilon = 1e-9);
        // from the heel on top to the index line, the way of the arrow
        let arc = if to_index(cut) == "↻" { first } else { -first };
        let found = crate::geom::vector::turn(DVec3::Z, DVec3::X, arc.to_radians());
        assert_relative_eq!(found, index, epsilon = 1e-9);
        // clockwise to who looks along +X is right-handed about +X
        let said = said_deg(&turn(cut)).to_radians();
        let after = Frame::new(DVec3::ZERO, travel, crate::geom::vector::turn(index, DVec3::X, said));
        // the blade is nearest to the stock at the bottom: there the second face is long
        let heel = after.at_clock(second.to_radians());
        assert!(heel.dot(-DVec3::Z) > 1.0 - 1e-5, "{} {heel:?}", cut.mark);
        turned += u32::from(!cut.flip);
    }
    assert!(turned > 3, "only {turned} pieces with other turns");
}
