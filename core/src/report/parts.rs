//! The small parts of a run, in the units of the report file: where each is marked, drilled and welded.

use super::laid::CopeReport;
use super::marked::Marking;
use super::names::PartForm;
use crate::fab::Built;
use crate::fab::hole::HoleShape;
use crate::fab::limb::Edge;
use crate::fab::part::{BuiltPart, arc_mm};
use crate::model::{PartId, PartKind, Project, Run};
use glam::DVec3;
use serde::Serialize;

/// The hole for a part.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PartHoleReport {
    /// Its mark.
    pub mark: String,
    /// Its diameter, mm; for a stub that of its bore, square across it.
    pub diameter_mm: f64,
}

/// The stub that a flange stands on, sawn and cut to the pipe.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StubReport {
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Wall, mm.
    pub wall_mm: f64,
    /// Angle between the run's travel and the stub as it leaves, degrees.
    pub angle_deg: f64,
    /// Its longest side, mm: what is sawn, square at both ends. The flange sits on its far end.
    pub long_mm: f64,
    /// Its shortest side once it is cut to the pipe, mm.
    pub short_mm: f64,
    /// From the pipe's skin along its middle to the flange's face, mm.
    pub length_mm: f64,
    /// Diameter of the flange, mm.
    pub flange_mm: f64,
    /// Its thickness, mm.
    pub flange_thick_mm: f64,
    /// Middle of the flange's face, mm.
    pub face_mm: DVec3,
    /// How it is cut to the pipe.
    pub cut: CopeReport,
    /// From the pipe's middle along the stub's to the flange, mm.
    #[serde(skip)]
    pub under_flange_mm: f64,
}

/// A small part, in order along the run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PartReport {
    /// Mark.
    pub mark: String,
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: PartForm,
    /// What it is in words: thread, sizes.
    pub what: String,
    /// Mark of the piece it sits on.
    pub piece: String,
    /// The piece's centre line from its start to the part's middle, mm.
    pub along_piece_mm: f64,
    /// Whether it is measured from the piece's end on paper: on the far leg of an elbow.
    pub from_end: bool,
    /// From that end of the exact piece to the part's middle along the line at its clock, mm.
    pub mark_at_mm: f64,
    /// The same on the piece as it is sawn, with what is trimmed off and what is added for welds, on a step of the tape.
    pub printed_at_mm: f64,
    /// Which leg as entered, from 1.
    pub leg: usize,
    /// Its middle from where that leg's straight begins, mm; on a bend not used.
    pub station_mm: f64,
    /// How far round the bend after that leg it stands, degrees; none on the leg itself.
    pub turn_deg: Option<f64>,
    /// Clock angle it stands at, degrees.
    pub clock_deg: f64,
    /// The same as a length round the outside from the index line, clockwise seen along the travel, mm.
    pub arc_mm: f64,
    /// Length of its weld, mm; 0 for what is not welded. Not in the run's `welds`.
    pub weld_length_mm: f64,
    /// The hole for it.
    pub hole: Option<PartHoleReport>,
    /// The stub of a flange.
    pub stub: Option<StubReport>,
    /// Room it needs beyond what stands out so that what is screwed in comes out, mm; none where nothing is.
    pub removal_mm: Option<f64>,
    /// Outside diameter of the tube there, mm.
    #[serde(skip)]
    pub od_mm: f64,
    /// Index of the piece.
    #[serde(skip)]
    pub piece_index: usize,
    /// Where it stands on the skin, mm.
    #[serde(rename = "at_mm")]
    pub spot: DVec3,
    /// Which part of the run it is.
    #[serde(skip)]
    pub id: PartId,
}

/// The stub of a part.
fn stub(kind: &PartKind, part: &BuiltPart, built: &Built) -> Option<StubReport> {
    let PartKind::Stub(s) = kind else { return None };
    let HoleShape::Branch { saddle, .. } = &part.hole(&built.holes)?.shape else { return None };
    let axis = saddle.branch().axis();
    // a stub's length counts from where its axis comes out of the pipe
    let skin_mm = saddle.header().left_at_mm(&axis, saddle.foot_mm())?;
    let under_flange_mm = skin_mm + s.length_mm - s.flange_thick_mm;
    let cut = saddle.extremes(Edge::Seat);
    Some(StubReport {
        length_mm: s.length_mm,
        flange_mm: s.flange_mm,
        flange_thick_mm: s.flange_thick_mm,
        face_mm: axis.point(under_flange_mm + s.flange_thick_mm),
        cut: CopeReport::new(saddle, true),
        od_mm: s.od_mm,
        wall_mm: s.wall_mm,
        angle_deg: s.angle_deg,
        long_mm: under_flange_mm - cut.longest.at_mm,
        short_mm: under_flange_mm - cut.shortest.at_mm,
        under_flange_mm,
    })
}

/// The parts of a built run.
pub(super) fn parts(project: &Project, run: &Run, marking: Marking<'_>) -> Vec<PartReport> {
    let built = marking.built;
    let one = |part: &BuiltPart| {
        let entered = run.parts.iter().find(|p| p.id == part.id)?;
        let piece = built.pieces.get(part.piece)?;
        let marked = marking.of(part.piece, part.along_mm, part.clock_rad)?;
        let hole = part.hole(&built.holes).map(|hole| PartHoleReport {
            mark: hole.mark.clone(),
            diameter_mm: match &hole.shape {
                HoleShape::Drilled { diameter_mm } => *diameter_mm,
                HoleShape::Branch { saddle, .. } => 2.0 * saddle.branch().bore_mm(),
            },
        });
        let screwed = match &entered.kind {
            PartKind::Bung(b) => b.screwed,
            PartKind::Stub(s) => s.screwed,
            PartKind::Bracket(_) | PartKind::Shield(_) | PartKind::Bead(_) => None,
        };
        Some(PartReport {
            mark: part.mark.clone(),
            name: part.name.clone(),
            kind: kind(&entered.kind),
            what: what(project, &entered.kind),
            piece: piece.mark.clone(),
            along_piece_mm: part.along_mm,
            from_end: marked.from_end,
            mark_at_mm: marked.exact_mm,
            printed_at_mm: marked.printed_mm,
            leg: entered.leg + 1,
            station_mm: entered.station_mm,
            turn_deg: entered.turn_deg,
            clock_deg: part.clock_rad.to_degrees().rem_euclid(360.0),
            arc_mm: arc_mm(part, piece),
            weld_length_mm: part.weld_mm,
            hole,
            stub: stub(&entered.kind, part, built),
            removal_mm: screwed.map(|s| s.removal_mm),
            od_mm: piece.od_mm,
            piece_index: part.piece,
            spot: part.frame.origin + part.frame.at_clock(part.clock_rad) * (piece.od_mm / 2.0),
            id: part.id,
        })
    };
    built.parts.iter().filter_map(one).collect()
}

fn kind(kind: &PartKind) -> PartForm {
    match kind {
        PartKind::Bung(_) => PartForm::Bung,
        PartKind::Stub(_) => PartForm::Stub,
        PartKind::Bracket(_) => PartForm::Bracket,
        PartKind::Shield(_) => PartForm::Shield,
        PartKind::Bead(_) => PartForm::Bead,
    }
}

fn what(project: &Project, kind: &PartKind) -> String {
    let len = |mm: f64| crate::units::length(mm, project.settings.units);
    match kind {
        PartKind::Bung(b) => {
            let thread = b.thread.trim();
            let thread = if thread.is_empty() { String::new() } else { format!(" {thread}") };
            format!("{}{thread}, boss {}", b.purpose.words(), len(b.boss_mm))
        }
        PartKind::Stub(s) => {
            let lean = if (s.angle_deg - 90.0).abs() < 1e-9 {
                String::new()
            } else {
                format!(" at {}°", crate::units::plain_number(s.angle_deg, 1))
            };
            format!("stub {}, {} long{lean}, flange {}", len(s.od_mm), len(s.length_mm), len(s.flange_mm))
        }
        PartKind::Bracket(b) => {
            format!("plate {} × {} × {}", len(b.along_mm), len(b.height_mm), len(b.thick_mm))
        }
        PartKind::Shield(s) => {
            let around = crate::units::plain_number(s.around_deg, 0);
            format!("shield {} long, {around}° round, {} off the tube", len(s.length_mm), len(s.gap_mm))
        }
        PartKind::Bead(b) => format!("bead {} high, {} wide", len(b.height_mm), len(b.width_mm)),
    }
}
