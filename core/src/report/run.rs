//! The result of one run, in the units of the report file.

use super::branch::{HoleReport, SeatReport, holes, sits_on};
use super::forecast::{ForecastReport, expect};
use super::laid::{LaidReport, laid};
use super::marked::Marking;
use super::names::{BendForm, PieceEnd, PieceSource, write_ends, write_weld_kind};
use super::open_end::OpenEndReport;
use super::paper::{FitReport, Prepared, prepare};
use super::parts::{PartReport, parts};
use super::piece::{PieceReport, piece};
use super::support::SupportReport;
use crate::fab::done::{Done, Sawn};
use crate::fab::lra::{LraRow, lra_from_xyz};
use crate::fab::paper::{Miss, Paper};
use crate::fab::route::Make;
use crate::fab::taper::cone_of;
use crate::fab::{Built, Piece, PieceKind, Route, WeldKind};
use crate::geom::Frame;
use crate::geom::vector::full_turn;
use crate::model::{Ends, PieceKey, Project, Run, RunEnd, RunId, Vertex, WeldKey};
use glam::DVec3;
use serde::Serialize;
use std::sync::Arc;

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
    /// How it is made; of a batch what follows is of the whole slices.
    pub make: BendForm,
    /// How its ends are made; none for an elbow, as all that follows.
    #[serde(serialize_with = "write_ends")]
    pub ends: Option<Ends>,
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

/// A weld.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WeldReport {
    /// Mark.
    pub mark: String,
    /// What it is known by.
    #[serde(skip)]
    pub key: Option<WeldKey>,
    /// What meets.
    #[serde(serialize_with = "write_weld_kind")]
    pub kind: WeldKind,
    /// What it joins.
    pub between: [String; 2],
    /// Length round the outside, mm.
    pub length_mm: f64,
    /// Clock angle of the heel mark to line up, degrees; none where nothing has to be lined up.
    pub heel_clock_deg: Option<f64>,
    /// The same as a length round the outside from the index line, clockwise seen along the travel, mm.
    pub arc_mm: Option<f64>,
    /// The clock angle as it stands on paper, degrees.
    pub printed_clock_deg: Option<f64>,
    /// When it is tacked, from 1.
    pub tack: usize,
    /// Whether it is the one that is fitted last.
    pub fit: bool,
    /// Where it is, mm.
    #[serde(skip)]
    pub spot: DVec3,
    /// Index of the piece it comes before.
    #[serde(skip)]
    pub before: usize,
    /// Outside diameter of the tube there, mm.
    #[serde(skip)]
    pub od_mm: f64,
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

impl From<Miss> for MissReport {
    fn from(miss: Miss) -> Self {
        Self { offset_mm: miss.offset_mm, angle_deg: miss.angle_rad.to_degrees() }
    }
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
    /// Whether it ends open, at no hardpoint: one could be called `open`.
    #[serde(skip)]
    pub ends_open: bool,
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
    /// Pieces in order, exact; empty where the run cannot be built as drawn.
    pub pieces: Vec<PieceReport>,
    /// Where the exact pieces lie, in order.
    pub laid: Vec<LaidReport>,
    /// The same pieces with the numbers that stand on paper: additions for welds and fitting included, rounded
    /// together.
    pub printed: Vec<PieceReport>,
    /// Welds in order.
    pub welds: Vec<WeldReport>,
    /// Holes in its pieces for what is welded on, in order.
    pub holes: Vec<HoleReport>,
    /// The run it starts on; none where it starts on no run.
    pub start_on: Option<SeatReport>,
    /// The run it ends on; none where it ends on no run.
    pub end_on: Option<SeatReport>,
    /// All welds together, mm, without those of small parts.
    pub weld_length_mm: f64,
    /// Small parts in order along the run.
    pub parts: Vec<PartReport>,
    /// The welds of small parts together, mm.
    pub parts_weld_mm: f64,
    /// Tube in the pieces cut from sticks, mm.
    pub tube_length_mm: f64,
    /// Mass of tube and elbows, kg.
    pub mass_kg: f64,
    /// What holds it; none where it cannot be built.
    pub support: Option<SupportReport>,
    /// Its open end; none where it ends at a hardpoint.
    pub open_end: Option<OpenEndReport>,
    /// Where the pieces end when laid end to end.
    pub end: EndReport,
    /// How far the printed numbers miss that.
    pub miss: MissReport,
    /// The part of it that comes from the saw's angle steps alone.
    pub saw_miss: MissReport,
    /// How far it is likely to miss its end before anything is fitted; none where it cannot be built.
    pub forecast: Option<ForecastReport>,
    /// The weld that is fitted last; none where no piece beside a weld can be trimmed.
    pub fit: Option<FitReport>,
    /// Filler wire, mm (an estimate from the size of bead entered).
    pub filler_mm: f64,
    /// Volume inside, litres.
    pub purge_l: f64,
    /// Time to purge it before welding, minutes (common practice).
    pub purge_min: f64,
    /// Id of the run.
    #[serde(skip)]
    pub id: RunId,
    /// What it was taken from, with solids and frames.
    #[serde(skip)]
    pub built: Arc<Built>,
    /// The pieces as they are to be sawn.
    #[serde(skip)]
    pub paper: Paper,
    /// Which pieces are taken from the shelf.
    #[serde(skip)]
    pub ready: Vec<bool>,
    /// For each piece whether it has been sawn.
    #[serde(skip)]
    pub sawn: Vec<Sawn>,
}

impl RunReport {
    /// The index of the piece that is known by `key`; none where it has no such piece.
    pub fn piece_index(&self, key: PieceKey) -> Option<usize> {
        self.built.pieces.iter().position(|p| p.key == Some(key))
    }

    /// The report of a built run; `ready` are its pieces that come from the shelf, `done` what has been sawn.
    pub(super) fn new(
        project: &Project,
        run: &Run,
        built: Arc<Built>,
        (ready, done): (&[bool], &Done<'_>),
    ) -> Self {
        let name_of = |id| project.hardpoint(id).map_or_else(String::new, |h| h.name.clone());
        let to = match run.end {
            RunEnd::Hardpoint { hardpoint, .. } => name_of(hardpoint),
            RunEnd::Open { .. } => "open".to_owned(),
        };
        let route = built.route.as_ref();
        let start = route.map_or(Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z), |r| r.start);
        let tube = project.tube(run.tube);
        let wall_mm = tube.map_or(0.0, |t| t.wall_mm);
        let end = built.end().or_else(|| route.and_then(Route::end)).unwrap_or(start);
        let Prepared { plan, paper, sawn, fit, consumables } = prepare(project, run, &built, ready, done);
        let mut welds: Vec<WeldReport> = built.welds.iter().map(|w| weld(&built, w, start)).collect();
        for (i, weld) in welds.iter_mut().enumerate() {
            weld.printed_clock_deg = built.welds[i].heel_on(&paper.pieces).map(f64::to_degrees);
            weld.tack = plan.tack_order.get(i).copied().unwrap_or(i + 1);
            weld.fit = plan.fit.is_some_and(|f| f.weld == i);
        }
        let sources = super::paper::sources(ready, &sawn, &paper.pieces);
        let each = |pieces: &[Piece]| piece_reports(project, &built, (pieces, &sources), done);
        let mut printed = each(&paper.pieces);
        if let (Some(f), Some(p)) = (plan.fit, plan.fit.and_then(|f| printed.get_mut(f.piece))) {
            p.trim_mm = paper.trim_mm[f.piece];
            p.trim_at = (p.trim_mm > 0.0).then_some(PieceEnd::of(f.at_end));
        }
        let pieces = each(&built.pieces);
        let at_start = plan.fit.filter(|f| !f.at_end).map(|f| f.piece);
        let units = project.settings.units;
        let marking = Marking { built: &built, paper: &paper, trimmed_at_start: at_start, units };
        let parts = parts(project, run, marking);
        let sum = |sawn_only: bool| -> f64 {
            built.pieces.iter().filter(|p| p.is_sawn() || !sawn_only).map(|p| p.centre_mm).sum()
        };
        Self {
            name: run.name.clone(),
            letters: run.letters.clone(),
            service: run.service.name(),
            tube: TubeReport {
                material: tube.map_or_else(String::new, |t| t.material.name().to_owned()),
                od_mm: tube.map_or(0.0, |t| t.od_mm),
                wall_mm,
            },
            from: name_of(run.start),
            to,
            ends_open: matches!(run.end, RunEnd::Open { .. }),
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
            pieces,
            laid: laid(&built),
            printed,
            weld_length_mm: welds.iter().map(|w| w.length_mm).sum(),
            welds,
            holes: holes(marking),
            start_on: sits_on(project, Some(run.start)),
            end_on: match run.end {
                RunEnd::Hardpoint { hardpoint, .. } => sits_on(project, Some(hardpoint)),
                RunEnd::Open { .. } => None,
            },
            parts_weld_mm: parts.iter().map(|p| p.weld_length_mm).sum(),
            parts,
            tube_length_mm: sum(true),
            mass_kg: built.pieces.iter().map(|p| piece_mass(project, p, &built)).sum(),
            support: None,
            open_end: None,
            end: EndReport { position_mm: end.origin, direction: end.travel },
            miss: paper.miss.into(),
            saw_miss: paper.saw_miss.into(),
            forecast: expect(project, run, &built, plan.fit.map(|f| f.weld)),
            fit,
            filler_mm: consumables.filler_mm,
            purge_l: consumables.purge_l,
            purge_min: consumables.purge_min,
            id: run.id,
            built,
            paper,
            ready: ready.to_vec(),
            sawn,
        }
    }
}

/// Mass of a piece, kg; joints have none.
fn piece_mass(project: &Project, piece: &Piece, built: &Built) -> f64 {
    match piece.kind {
        PieceKind::Joint(_) => 0.0,
        PieceKind::Taper(_) => taper_mass(project, piece),
        PieceKind::Elbow(_) => elbow_mass(piece, built),
        PieceKind::Straight | PieceKind::Slice => {
            project.tube(piece.tube).map_or(0.0, |t| piece.mass_kg(t.wall_mm, t.material.density_kg_m3()))
        }
    }
}

/// The reports of pieces with where each comes from; of those that are done also what is written on them.
fn piece_reports(
    project: &Project,
    built: &Built,
    (pieces, sources): (&[Piece], &[PieceSource]),
    done: &Done<'_>,
) -> Vec<PieceReport> {
    let one = |(p, source): (&Piece, &PieceSource)| {
        let written = done.get(p).filter(|_| *source == PieceSource::Sawn).map(|d| d.mark.clone());
        PieceReport { written: written.filter(|old| *old != p.mark), ..piece(project, built, p, *source) }
    };
    pieces.iter().zip(sources).map(one).collect()
}

/// Mass of a taper of the metal of the tube before it, kg; without a lap.
pub(super) fn taper_mass(project: &Project, piece: &Piece) -> f64 {
    let cone = cone_of(piece).and_then(Result::ok).zip(project.tube(piece.tube));
    cone.map_or(0.0, |(cone, tube)| cone.mass_kg(tube.material.density_kg_m3()))
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
        make: match mitre {
            Some(m) if m.odd_rad.is_some() => BendForm::Batch,
            Some(_) => BendForm::Mitred,
            None => BendForm::Elbow,
        },
        ends: mitre.map(|m| m.ends),
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
    lra_from_xyz(&route.plain, &clr).map_or_else(Vec::new, |l| l.rows.into_iter().map(row).collect())
}

fn elbow_mass(piece: &Piece, built: &Built) -> f64 {
    let stock = piece.bend.and_then(|b| match &built.route.as_ref()?.bends.get(b)?.make {
        Make::Elbow(stock) => Some(stock),
        Make::Mitred(_) => None,
    });
    stock.map_or(0.0, |s| piece.mass_kg(s.wall_mm, s.material.density_kg_m3()))
}

fn weld(built: &Built, w: &crate::fab::Weld, start: Frame) -> WeldReport {
    let last = || built.pieces.last().map_or(0.0, Piece::end_od_mm);
    let od_mm = built.pieces.get(w.before).map_or_else(last, |p| p.od_mm);
    let spot = match built.frames.get(w.before) {
        Some(frames) => frames.0.origin,
        None => built.end().unwrap_or(start).origin,
    };
    WeldReport {
        mark: w.mark.clone(),
        key: w.key,
        kind: w.kind,
        between: w.between.clone(),
        length_mm: w.length_mm,
        heel_clock_deg: w.heel_clock_rad.map(f64::to_degrees),
        arc_mm: w.heel_clock_rad.map(|c| od_mm / 2.0 * full_turn(c)),
        printed_clock_deg: None,
        tack: 0,
        fit: false,
        spot,
        before: w.before,
        od_mm,
    }
}
