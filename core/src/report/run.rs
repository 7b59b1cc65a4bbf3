//! The result of one run, in the units of the report file.

use crate::fab::lay::{along, lay};
use crate::fab::lra::{LraRow, lra_from_xyz};
use crate::fab::route::Make;
use crate::fab::{Built, Cut, Piece, PieceKind, Route};
use crate::geom::Frame;
use crate::geom::vector::angle_between;
use crate::model::{Ends, Project, Run, RunEnd, RunId, Vertex};
use crate::units::rounded_for_paper_mm;
use glam::DVec3;
use serde::Serialize;
use std::f64::consts::PI;

/// Steps that angles are printed in, degrees.
const SAW_STEP_DEG: f64 = 0.01;
/// Steps that clock angles and elbow angles are printed in, degrees.
const CLOCK_STEP_DEG: f64 = 0.1;

/// The tube of a run.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "the names say it")]
pub struct TubeReport {
    pub material: String,
    pub od_mm: f64,
    pub wall_mm: f64,
}

/// Where a run starts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[expect(missing_docs, reason = "the names say it")]
pub struct StartReport {
    pub position_mm: DVec3,
    pub direction: DVec3,
    pub clock: DVec3,
}

/// Where the pieces end when laid end to end.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[expect(missing_docs, reason = "the names say it")]
pub struct EndReport {
    pub position_mm: DVec3,
    pub direction: DVec3,
}

/// A leg.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LegReport {
    /// Straight between tangent points, mm.
    pub straight_mm: f64,
    /// Vertex to vertex, mm.
    pub length_mm: f64,
}

/// A bend.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BendReport {
    /// Deflection, degrees.
    pub angle_deg: f64,
    /// Centreline radius, mm.
    pub clr_mm: f64,
    /// Roll against the bend before, degrees; none for the first.
    pub roll_deg: Option<f64>,
    /// `elbow` or `mitred`.
    pub make: &'static str,
    /// `half` or `full`; none for an elbow, as all that follows.
    pub ends: Option<&'static str>,
    /// Whole slices.
    pub slices: Option<u32>,
    /// Welds.
    pub welds: Option<u32>,
    /// Saw angle from square, degrees.
    pub saw_angle_deg: Option<f64>,
    /// Centreline length of a whole slice, mm.
    pub centre_mm: Option<f64>,
    /// Long side of a whole slice, mm.
    pub heel_mm: Option<f64>,
    /// Short side of a whole slice, mm.
    pub throat_mm: Option<f64>,
    /// Step at the outer welds of full ends, mm.
    pub step_mm: Option<f64>,
    /// Clock angle of its inside, degrees.
    pub throat_clock_deg: f64,
    /// Which vertex of the run it is.
    #[serde(skip)]
    pub vertex: Vertex,
    /// Where its vertex is, mm.
    #[serde(skip)]
    pub point: DVec3,
}

/// What an elbow piece is, as cut.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ElbowReport {
    /// Bend angle used, degrees.
    pub angle_deg: f64,
    /// Centreline radius, mm.
    pub clr_mm: f64,
    /// Clock angle of the bend centre, degrees.
    pub throat_clock_deg: f64,
    /// Own straight leg at the start as cut, mm.
    pub lead_mm: f64,
    /// Own straight leg at the end as cut, mm.
    pub tail_mm: f64,
    /// Angle cut away, degrees.
    pub removed_deg: f64,
    /// Which end it is cut at: `start`, `end`, or none.
    pub cut_at: Option<&'static str>,
    /// Arc on the outside from the cut-away end to the cut, mm; 0 where used whole.
    pub removed_heel_mm: f64,
    /// Arc on the inside from the cut-away end to the cut, mm.
    pub removed_throat_mm: f64,
}

/// A piece, in order along the run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PieceReport {
    /// Mark.
    pub mark: String,
    /// `straight`, `slice`, `elbow` or `joint`.
    pub kind: &'static str,
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Centreline length, mm.
    pub centre_mm: f64,
    /// Tilt of the start face from square, degrees.
    pub start_cut_deg: f64,
    /// Clock angle of that face's long side, degrees; none for a square face.
    pub start_heel_clock_deg: Option<f64>,
    /// Tilt of the end face from square, degrees.
    pub end_cut_deg: f64,
    /// Clock angle of that face's long side, degrees; none for a square face.
    pub end_heel_clock_deg: Option<f64>,
    /// End heel clock minus start heel clock, degrees; none unless both ends are mitred.
    pub twist_deg: Option<f64>,
    /// Long side, mm.
    pub long_mm: f64,
    /// Short side, mm.
    pub short_mm: f64,
    /// Lengths along the generators at 0°, 90°, 180° and 270° of clock, mm; none for an elbow.
    pub quarters_mm: Option<[f64; 4]>,
    /// The elbow it is; none for others.
    pub bend: Option<ElbowReport>,
    /// Name of the joint it is; none for others.
    pub joint: Option<String>,
    /// Clock angle of its lobe, degrees; none for others.
    pub lobe_clock_deg: Option<f64>,
}

/// A weld.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WeldReport {
    /// Mark.
    pub mark: String,
    /// What meets.
    pub kind: &'static str,
    /// What it joins.
    pub between: [String; 2],
    /// Length round the outside, mm.
    pub length_mm: f64,
    /// Clock angle of the heel mark to line up, degrees; none where nothing has to be lined up.
    pub heel_clock_deg: Option<f64>,
    /// The same as a length round the outside from the index line, clockwise seen along the travel, mm.
    pub arc_mm: Option<f64>,
    /// Where it is, mm.
    #[serde(skip)]
    pub spot: DVec3,
    /// Index of the piece it comes before.
    #[serde(skip)]
    pub before: usize,
}

/// One row of LRA data.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[expect(missing_docs, reason = "the trade's own letters: straight feed, roll, bend angle")]
pub struct LraReport {
    pub feed_mm: f64,
    pub roll_deg: f64,
    pub angle_deg: f64,
}

/// How far the rounded numbers on paper miss the end.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Default)]
pub struct MissReport {
    /// Distance of the end, mm.
    pub offset_mm: f64,
    /// Angle of the end, degrees.
    pub angle_deg: f64,
}

/// A run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RunReport {
    /// Name.
    pub name: String,
    /// Letters its marks begin with.
    pub letters: String,
    /// What it carries.
    pub service: &'static str,
    /// The tube it is made of.
    pub tube: TubeReport,
    /// Name of the hardpoint it starts from.
    pub from: String,
    /// Name of the hardpoint it ends at, or `open`.
    pub to: String,
    /// Where it starts.
    pub start: StartReport,
    /// P0 to Pn, mm.
    pub vertices_mm: Vec<DVec3>,
    /// Length of the pipe as built along its centreline, joints included, mm.
    pub centreline_mm: f64,
    /// Legs in order.
    pub legs: Vec<LegReport>,
    /// Bends in order.
    pub bends: Vec<BendReport>,
    /// LRA data, one row a bend.
    pub lra: Vec<LraReport>,
    /// Pieces in order; empty where the run cannot be built as drawn.
    pub pieces: Vec<PieceReport>,
    /// Welds in order.
    pub welds: Vec<WeldReport>,
    /// All welds together, mm.
    pub weld_length_mm: f64,
    /// Tube in the pieces cut from sticks, mm.
    pub tube_length_mm: f64,
    /// Mass of tube and elbows, kg.
    pub mass_kg: f64,
    /// Where the pieces end when laid end to end.
    pub end: EndReport,
    /// How far the printed numbers miss that.
    pub miss: MissReport,
    /// Id of the run.
    #[serde(skip)]
    pub id: RunId,
    /// What it was taken from, with solids and frames.
    #[serde(skip)]
    pub built: Built,
}

impl RunReport {
    /// The report of a built run.
    pub(super) fn new(project: &Project, run: &Run, built: Built) -> Self {
        let name_of = |id| project.hardpoint(id).map_or_else(String::new, |h| h.name.clone());
        let to = match run.end {
            RunEnd::Hardpoint { hardpoint, .. } => name_of(hardpoint),
            RunEnd::Open { .. } => "open".to_owned(),
        };
        let letters = project.runs.iter().position(|r| r.id == run.id).map(super::run_letters);
        let route = built.route.as_ref();
        let start = route.map_or(Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z), |r| r.start);
        let tube = project.tube(run.tube);
        let (density, wall_mm) = tube.map_or((0.0, 0.0), |t| (t.material.density_kg_m3(), t.wall_mm));
        let end = built.end().or_else(|| route.and_then(last_face)).unwrap_or(start);
        let welds: Vec<WeldReport> = built.welds.iter().map(|w| weld(&built, w, start)).collect();
        let sum = |sawn_only: bool| -> f64 {
            built.pieces.iter().filter(|p| p.is_sawn() || !sawn_only).map(|p| p.centre_mm).sum()
        };
        Self {
            name: run.name.clone(),
            letters: letters.unwrap_or_default(),
            service: run.service.name(),
            tube: TubeReport {
                material: tube.map_or_else(String::new, |t| t.material.name().to_owned()),
                od_mm: tube.map_or(0.0, |t| t.od_mm),
                wall_mm,
            },
            from: name_of(run.start),
            to,
            start: StartReport { position_mm: start.origin, direction: start.travel, clock: start.index },
            vertices_mm: route.map_or_else(Vec::new, |r| r.points.clone()),
            centreline_mm: sum(false),
            legs: route.map_or_else(Vec::new, |r| {
                let leg =
                    |l: &crate::fab::Leg| LegReport { straight_mm: l.straight_mm(), length_mm: l.length_mm };
                r.legs.iter().map(leg).collect()
            }),
            bends: route.map_or_else(Vec::new, |r| r.bends.iter().map(bend).collect()),
            lra: route.map_or_else(Vec::new, lra),
            pieces: built.pieces.iter().map(|p| piece(project, &built, p)).collect(),
            weld_length_mm: welds.iter().map(|w| w.length_mm).sum(),
            welds,
            tube_length_mm: sum(true),
            mass_kg: built
                .pieces
                .iter()
                .map(|p| match p.kind {
                    PieceKind::Joint(_) => 0.0,
                    PieceKind::Elbow(_) => elbow_mass(p, &built),
                    PieceKind::Straight | PieceKind::Slice => p.mass_kg(wall_mm, density),
                })
                .sum(),
            end: EndReport { position_mm: end.origin, direction: end.travel },
            miss: miss(project, &built, start),
            id: run.id,
            built,
        }
    }
}

fn last_face(route: &Route) -> Option<Frame> {
    let leg = route.legs.last()?;
    Some(leg.frame.forward(leg.length_mm))
}

fn bend(bend: &crate::fab::Bend) -> BendReport {
    let mitre = match &bend.make {
        Make::Mitred(m) => Some(m),
        Make::Elbow(_) => None,
    };
    BendReport {
        angle_deg: bend.angle_rad.to_degrees(),
        clr_mm: bend.clr_mm,
        roll_deg: bend.roll_rad.map(f64::to_degrees),
        make: if mitre.is_some() { "mitred" } else { "elbow" },
        ends: mitre.map(|m| match m.ends {
            Ends::Half => "half",
            Ends::Full => "full",
        }),
        slices: mitre.map(crate::fab::Mitre::slices),
        welds: mitre.map(|m| m.welds),
        saw_angle_deg: mitre.map(|m| m.saw_rad().to_degrees()),
        centre_mm: mitre.map(crate::fab::Mitre::centre_mm),
        heel_mm: mitre.map(crate::fab::Mitre::heel_mm),
        throat_mm: mitre.map(crate::fab::Mitre::throat_mm),
        step_mm: mitre.map(crate::fab::Mitre::step_mm),
        throat_clock_deg: bend.throat_clock_rad.to_degrees(),
        vertex: bend.vertex,
        point: bend.point,
    }
}

fn lra(route: &Route) -> Vec<LraReport> {
    let clr: Vec<f64> = route.bends.iter().map(|b| b.clr_mm).collect();
    let row = |r: LraRow| LraReport {
        feed_mm: r.feed_mm,
        roll_deg: r.roll_rad.to_degrees(),
        angle_deg: r.angle_rad.to_degrees(),
    };
    lra_from_xyz(&route.points, &clr).map_or_else(Vec::new, |l| l.rows.into_iter().map(row).collect())
}

fn elbow_mass(piece: &Piece, built: &Built) -> f64 {
    let stock = piece.bend.and_then(|b| match &built.route.as_ref()?.bends.get(b)?.make {
        Make::Elbow(stock) => Some(stock),
        Make::Mitred(_) => None,
    });
    stock.map_or(0.0, |s| piece.mass_kg(s.wall_mm, s.material.density_kg_m3()))
}

fn piece(project: &Project, built: &Built, p: &Piece) -> PieceReport {
    let (long_mm, short_mm) = p.long_short_mm();
    let kind = match p.kind {
        PieceKind::Straight => "straight",
        PieceKind::Slice => "slice",
        PieceKind::Elbow(_) => "elbow",
        PieceKind::Joint(_) => "joint",
    };
    let bend = match p.kind {
        PieceKind::Elbow(e) => {
            let clr =
                p.bend.and_then(|b| Some(built.route.as_ref()?.bends.get(b)?.clr_mm)).unwrap_or(e.clr_mm);
            let r = p.od_mm / 2.0;
            Some(ElbowReport {
                angle_deg: e.angle_rad.to_degrees(),
                clr_mm: clr,
                throat_clock_deg: e.throat_clock_rad.to_degrees(),
                lead_mm: e.lead_mm,
                tail_mm: e.tail_mm,
                removed_deg: e.removed_rad.to_degrees(),
                cut_at: (e.removed_rad > 0.0).then_some(if e.removed_at_start { "start" } else { "end" }),
                removed_heel_mm: (clr + r) * e.removed_rad,
                removed_throat_mm: (clr - r) * e.removed_rad,
            })
        }
        PieceKind::Straight | PieceKind::Slice | PieceKind::Joint(_) => None,
    };
    let joint = match p.kind {
        PieceKind::Joint(id) => project.joint(id).map(|j| j.name.clone()),
        PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) => None,
    };
    let deg = |clock: Option<f64>| clock.map(f64::to_degrees);
    PieceReport {
        mark: p.mark.clone(),
        kind,
        od_mm: p.od_mm,
        centre_mm: p.centre_mm,
        start_cut_deg: p.start.tilt_rad.to_degrees(),
        start_heel_clock_deg: deg(p.start.heel_clock_rad),
        end_cut_deg: p.end.tilt_rad.to_degrees(),
        end_heel_clock_deg: deg(p.end.heel_clock_rad),
        twist_deg: deg(p.twist_rad()),
        long_mm,
        short_mm,
        quarters_mm: p
            .is_sawn()
            .then(|| [0.0, 0.5, 1.0, 1.5].map(|quarter: f64| p.generator_mm(quarter * PI))),
        bend,
        joint,
        lobe_clock_deg: deg(p.lobe_clock_rad),
    }
}

fn weld(built: &Built, w: &crate::fab::Weld, start: Frame) -> WeldReport {
    let od_mm = built.pieces.get(w.before).or(built.pieces.last()).map_or(0.0, |p| p.od_mm);
    let spot = match built.frames.get(w.before) {
        Some(frames) => frames.0.origin,
        None => built.end().unwrap_or(start).origin,
    };
    WeldReport {
        mark: w.mark.clone(),
        kind: w.kind.name(),
        between: w.between.clone(),
        length_mm: w.length_mm,
        heel_clock_deg: w.heel_clock_rad.map(f64::to_degrees),
        arc_mm: w.heel_clock_rad.map(|c| od_mm / 2.0 * crate::geom::vector::full_turn(c)),
        spot,
        before: w.before,
    }
}

/// The pieces with every number rounded as it is printed: lengths as paper shows them, saw angles to 0.01°, clock
/// and elbow angles to 0.1°. Sizes of bought parts stay as entered.
pub fn printed_pieces(project: &Project, pieces: &[Piece]) -> Vec<Piece> {
    let units = project.settings.units;
    let len = |mm: f64| rounded_for_paper_mm(mm, units);
    let step = |rad: f64, deg: f64| ((rad.to_degrees() / deg).round() * deg).to_radians();
    let cut = |c: &Cut| Cut {
        tilt_rad: step(c.tilt_rad, SAW_STEP_DEG),
        heel_clock_rad: c.heel_clock_rad.map(|clock| step(clock, CLOCK_STEP_DEG)),
    };
    pieces
        .iter()
        .map(|p| {
            let mut q = p.clone();
            q.start = cut(&p.start);
            q.end = cut(&p.end);
            match &mut q.kind {
                PieceKind::Elbow(e) => {
                    e.angle_rad = step(e.angle_rad, CLOCK_STEP_DEG);
                    e.throat_clock_rad = step(e.throat_clock_rad, CLOCK_STEP_DEG);
                    e.lead_mm = len(e.lead_mm);
                    e.tail_mm = len(e.tail_mm);
                    q.centre_mm = e.lead_mm + e.clr_mm * e.angle_rad + e.tail_mm;
                }
                PieceKind::Straight | PieceKind::Slice => q.centre_mm = len(p.centre_mm),
                PieceKind::Joint(_) => {}
            }
            q
        })
        .collect()
}

fn miss(project: &Project, built: &Built, start: Frame) -> MissReport {
    let Some(end) = built.end() else { return MissReport::default() };
    let pieces = printed_pieces(project, &built.pieces);
    let Some((last, piece)) = lay(start, &pieces).last().map(|f| f.0).zip(pieces.last()) else {
        return MissReport::default();
    };
    let reached = along(&last, piece);
    MissReport {
        offset_mm: reached.origin.distance(end.origin),
        angle_deg: angle_between(reached.travel, end.travel).to_degrees(),
    }
}
