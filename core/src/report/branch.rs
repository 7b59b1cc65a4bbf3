//! Holes in a run for what is welded on, and what the run itself sits on, in the units of the report file.

use super::marked::Marking;
use super::names::{HoleForm, SeatForm};
use crate::fab::hole::{HoleCut, HoleShape};
use crate::fab::saddle::HoleSize;
use crate::geom::vector::full_turn;
use crate::model::{HardpointId, HoleKey, Project, RunId, Seat, Spot};
use serde::Serialize;

/// The edge of a hole is followed within this for its length and width, mm.
const CHORD_MM: f64 = 0.1;

/// A hole in a piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HoleReport {
    /// Mark: the run's letters, H, and its number along the run.
    pub mark: String,
    /// What it is known by.
    #[serde(skip)]
    pub key: HoleKey,
    /// Index of the piece that its middle lies on.
    #[serde(skip)]
    pub piece_index: usize,
    /// What it is for, by name.
    pub of: String,
    /// Mark of the piece that its middle lies on.
    pub piece: String,
    /// Its middle along that piece's centreline from the piece's start, mm: where the middle of what is welded on comes
    /// through the wall.
    pub along_mm: f64,
    /// Its middle from the edge of the exact piece's start, along the outside on the line at its clock, mm.
    pub from_edge_mm: f64,
    /// Whether that is from the piece's end instead: on the far leg of an elbow.
    pub from_end: bool,
    /// The same on the piece as it is sawn, with what is trimmed off and what is added for welds, on a step of the tape:
    /// where it is marked.
    pub printed_at_mm: f64,
    /// Clock angle of its middle, degrees.
    pub clock_deg: f64,
    /// The same as a length round the outside from the index line, clockwise seen along the travel, mm.
    pub arc_mm: f64,
    /// Outside diameter of the piece where its middle is, mm.
    pub od_mm: f64,
    /// What it is.
    pub kind: HoleForm,
    /// Bore of the branch, or diameter of the drill, mm.
    pub diameter_mm: f64,
    /// How far it goes along the run, mm: along the outside, each place of its edge at its own clock.
    pub length_mm: f64,
    /// How far it goes round the outside, as an arc, mm.
    pub width_mm: f64,
}

/// What an end of a run sits on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeatReport {
    /// Name of the run it sits on.
    pub run: String,
    /// What of it.
    pub on: SeatForm,
    /// Number of the leg, from 1; for a bend the one before it.
    pub leg: usize,
    /// From where the leg's straight begins, mm; none on a bend.
    pub station_mm: Option<f64>,
    /// How far round the bend, degrees; none on a leg.
    pub turn_deg: Option<f64>,
    /// Clock of that run that it leaves towards, degrees.
    pub clock_deg: f64,
    /// Angle from that run's travel, degrees.
    pub angle_deg: f64,
    /// How far its axis passes that run's, mm, positive towards growing clock.
    pub offset_mm: f64,
    /// Id of the run it sits on.
    #[serde(skip)]
    pub run_id: RunId,
}

/// The holes of a run in order.
pub(super) fn holes(marking: Marking<'_>) -> Vec<HoleReport> {
    marking.built.holes.iter().filter_map(|h| hole(marking, h)).collect()
}

fn hole(marking: Marking<'_>, hole: &HoleCut) -> Option<HoleReport> {
    let piece = marking.built.pieces.get(hole.piece)?;
    let marked = marking.of(hole.piece, hole.along_mm, hole.clock_rad)?;
    let (mark, od_mm) = (piece.mark.clone(), piece.od_at_mm(hole.along_mm));
    let (kind, diameter_mm, length_mm, width_mm) = match &hole.shape {
        HoleShape::Drilled { diameter_mm: d } => {
            // on the outside a drill covers the arc between the places where it enters
            let half = if od_mm > 0.0 { (d / od_mm).clamp(0.0, 1.0).asin() } else { 0.0 };
            (HoleForm::Drilled, *d, *d, od_mm * half)
        }
        HoleShape::Branch { saddle, size } => {
            let edge = saddle.hole(*size, CHORD_MM);
            let (low, high) = edge.clocks_rad();
            let radius_mm = match size {
                HoleSize::Bore => saddle.branch().bore_mm(),
                HoleSize::Outside => saddle.branch().radius_mm,
            };
            (HoleForm::Branch, 2.0 * radius_mm, edge.along_mm(), edge.header_radius_mm * (high - low))
        }
    };
    Some(HoleReport {
        mark: hole.mark.clone(),
        key: hole.key,
        piece_index: hole.piece,
        of: hole.of.clone(),
        piece: mark,
        along_mm: hole.along_mm,
        from_edge_mm: marked.exact_mm,
        from_end: marked.from_end,
        printed_at_mm: marked.printed_mm,
        clock_deg: full_turn(hole.clock_rad).to_degrees(),
        arc_mm: od_mm / 2.0 * full_turn(hole.clock_rad),
        od_mm,
        kind,
        diameter_mm,
        length_mm,
        width_mm,
    })
}

/// What the run sits on at a hardpoint; none where that sits on no run.
pub(super) fn sits_on(project: &Project, port: Option<HardpointId>) -> Option<SeatReport> {
    let Seat::Run { run, spot, clock_deg, angle_deg, offset_mm } = project.hardpoint(port?)?.seat? else {
        return None;
    };
    let (on, leg, station_mm, turn_deg) = match spot {
        Spot::Leg { leg, station_mm } => (SeatForm::Leg, leg, Some(station_mm), None),
        Spot::Bend { leg, turn_deg } => (SeatForm::Bend, leg, None, Some(turn_deg)),
    };
    let name = project.run(run).map_or_else(String::new, |r| r.name.clone());
    Some(SeatReport {
        run: name,
        run_id: run,
        on,
        leg: leg + 1,
        station_mm,
        turn_deg,
        clock_deg,
        angle_deg,
        offset_mm,
    })
}

#[cfg(test)]
mod tests {
    use super::super::Report;
    use crate::model::{Seat, Spot};
    use crate::testing::{branch, run_through, tube};
    use glam::DVec3;

    #[test]
    fn a_leaning_branch_is_told_on_both_runs_with_the_hole_as_worked_by_hand() {
        let (mut project, run) = run_through(&[DVec3::ZERO, DVec3::X * 600.0, DVec3::new(600.0, 700.0, 0.0)]);
        let spot = Spot::Leg { leg: 0, station_mm: 200.0 };
        let seat = Seat::Run { run: run.id, spot, clock_deg: 350.0, angle_deg: 60.0, offset_mm: 0.0 };
        let id = branch(&mut project, seat, 250.0);
        let tube = tube(&mut project, 38.1);
        project.runs[1].tube = tube;
        let report = Report::new(&project);
        let hole = &report.run(run.id).unwrap().holes[0];
        let (h, bore) = (63.5 / 2.0, 38.1 - 2.0 * 1.65);
        let cot = 1.0 / 60.0_f64.to_radians().tan();
        assert_eq!((hole.mark.as_str(), hole.piece.as_str(), hole.kind.name()), ("AH1", "A1", "branch"));
        assert!((hole.along_mm - (200.0 + h * cot)).abs() < 1e-9, "{}", hole.along_mm);
        // the bench fits its run last at a weld beside the second piece, and the first one begins square
        assert!((hole.from_edge_mm - hole.along_mm).abs() < 1e-9, "{}", hole.from_edge_mm);
        assert!((hole.clock_deg - 350.0).abs() < 1e-9, "{}", hole.clock_deg);
        assert!((hole.arc_mm - h * 350.0_f64.to_radians()).abs() < 1e-9);
        assert!((hole.diameter_mm - bore).abs() < 1e-12);
        // at the crown the bore leaves bore / sin β of the header; round it an arc whose chord is the bore
        assert!((hole.length_mm - bore / 60.0_f64.to_radians().sin()).abs() < 1e-6, "{}", hole.length_mm);
        assert!((hole.width_mm - 2.0 * h * (bore / 2.0 / h).asin()).abs() < 1e-6, "{}", hole.width_mm);
        let own = report.run(id).unwrap();
        let on = own.start_on.as_ref().unwrap();
        assert_eq!((on.on.name(), on.leg, on.station_mm, on.turn_deg), ("leg", 1, Some(200.0), None));
        assert_eq!((on.clock_deg, on.angle_deg, on.offset_mm), (350.0, 60.0, 0.0));
        assert_eq!(own.end_on, None);
        assert_eq!((own.pieces[0].kind.name(), own.printed[0].kind.name()), ("coped", "coped"));
        let json = report.to_json().unwrap();
        assert!(json.contains("\"holes\"") && json.contains("\"start_on\""));
        // what is sawn for it is as long as its longest side, to the step of the paper
        let cut = report.stock.iter().flat_map(|s| &s.sticks).flat_map(|s| &s.cuts).find(|c| c.mark == "B1");
        let cut = cut.unwrap();
        assert_eq!(own.printed[0].sawn_long_mm.to_bits(), own.printed[0].sawn_short_mm.to_bits());
        assert!((own.printed[0].sawn_long_mm - own.printed[0].long_mm).abs() < 1e-6);
        assert!((cut.to_mm - cut.at_mm - own.printed[0].long_mm).abs() < 1e-6, "{cut:?}");
        assert!((own.printed[0].long_mm * 2.0).fract().abs() < 1e-6, "{}", own.printed[0].long_mm);
    }
}
