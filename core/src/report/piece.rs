//! One piece of a run, in the units of the report file.

use super::laid::{ShapedEndReport, shaped_ends};
use super::names::{PieceEnd, PieceForm, PieceSource};
use super::run::taper_mass;
use crate::fab::route::Make;
use crate::fab::taper::cone_of;
use crate::fab::{Built, Piece, PieceKind};
use crate::model::{PieceKey, Project};
use serde::Serialize;
use std::f64::consts::PI;

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
    /// Which end it is cut at, if at all.
    pub cut_at: Option<PieceEnd>,
    /// Arc on the outside from the cut-away end to the cut, mm; 0 where used whole.
    pub removed_heel_mm: f64,
    /// Arc on the inside from the cut-away end to the cut, mm.
    pub removed_throat_mm: f64,
    /// Straight legs at the ends of the elbow as it is bought, mm; none where it is no elbow from stock.
    pub own_leg_mm: Option<f64>,
    /// Its wall, mm; none where it is no elbow from stock.
    pub wall_mm: Option<f64>,
    /// Its material; none where it is no elbow from stock.
    pub material: Option<&'static str>,
}

/// What a taper piece is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TaperReport {
    /// Which leg as entered it is on, from 1; none where the run has no such taper.
    pub leg: Option<usize>,
    /// Its middle from where that leg's straight begins, mm.
    pub station_mm: Option<f64>,
    /// Length along the run, mm.
    pub length_mm: f64,
    /// Wall of the tube before it, mm.
    pub wall_before_mm: Option<f64>,
    /// Wall of the tube after it, mm.
    pub wall_after_mm: Option<f64>,
    /// Material of the tube before it.
    pub material_before: Option<&'static str>,
    /// Material of the tube after it.
    pub material_after: Option<&'static str>,
    /// Outside diameter at its end, mm; at its start it is the piece's own.
    pub end_od_mm: f64,
    /// Wall, mm.
    pub wall_mm: f64,
    /// How far its end is set off across the travel, mm.
    pub offset_mm: f64,
    /// Clock angle it is set off towards, degrees; none for a concentric one.
    pub offset_clock_deg: Option<f64>,
    /// Clock angle of its seam, degrees; none for one that is bought.
    pub seam_clock_deg: Option<f64>,
    /// Length of its seam weld, mm, which is not among the run's welds; none for one that is bought.
    pub seam_mm: Option<f64>,
    /// Lap at the seam, mm.
    pub lap_mm: f64,
    /// Mass without the lap, kg.
    pub mass_kg: f64,
}

/// A piece, in order along the run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PieceReport {
    /// Mark.
    pub mark: String,
    /// What it is known by.
    #[serde(skip)]
    pub key: Option<PieceKey>,
    /// What it is.
    pub kind: PieceForm,
    /// Number of the bend it belongs to, from 1; none for what lies on a leg.
    pub of_bend: Option<usize>,
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Wall of the tube it is cut from, mm; none for what is not cut from tube.
    pub wall_mm: Option<f64>,
    /// Material of that tube; none for what is not cut from tube.
    pub material: Option<&'static str>,
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
    /// Long side of the tube as it is sawn, before its ends are shaped to another part, mm; the same where none is.
    pub sawn_long_mm: f64,
    /// Short side of that, mm.
    pub sawn_short_mm: f64,
    /// Lengths along the generators at 0°, 90°, 180° and 270° of clock, mm; none for an elbow.
    pub quarters_mm: Option<[f64; 4]>,
    /// Its ends that are shaped to another pipe.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub shaped: Vec<ShapedEndReport>,
    /// The elbow it is; none for others.
    pub bend: Option<ElbowReport>,
    /// The taper it is; none for others.
    pub taper: Option<TaperReport>,
    /// Name of the joint it is; none for others.
    pub joint: Option<String>,
    /// Clock angle of its lobe, degrees; none for others.
    pub lobe_clock_deg: Option<f64>,
    /// Clock angle where its long side lies, degrees; none where all sides are alike, and for elbows and joints.
    pub long_clock_deg: Option<f64>,
    /// What of its lengths is trimmed off when it is fitted, mm; 0 in the list of exact pieces.
    pub trim_mm: f64,
    /// At which end, if any is.
    pub trim_at: Option<PieceEnd>,
    /// Where it comes from.
    pub source: PieceSource,
    /// The mark written on a piece that is done, where it has got another since.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub written: Option<String>,
}

/// The report of a piece of no run: one that could be made to close a gap.
pub fn loose_piece(project: &Project, p: &Piece, source: PieceSource) -> PieceReport {
    piece(project, &Built::default(), p, source)
}

/// The report of one piece. `source` is where it comes from.
pub(super) fn piece(project: &Project, built: &Built, p: &Piece, source: PieceSource) -> PieceReport {
    let (long_mm, short_mm) = p.long_short_mm();
    let (sawn_long_mm, sawn_short_mm) = if p.is_shaped() { p.sawn_sides_mm() } else { (long_mm, short_mm) };
    let kind = match p.kind {
        PieceKind::Straight | PieceKind::Slice if p.is_shaped() => PieceForm::Coped,
        PieceKind::Straight => PieceForm::Straight,
        PieceKind::Slice => PieceForm::Slice,
        PieceKind::Elbow(_) => PieceForm::Elbow,
        PieceKind::Joint(_) => PieceForm::Joint,
        PieceKind::Taper(_) => PieceForm::Taper,
    };
    let bend = match p.kind {
        PieceKind::Elbow(e) => {
            let of = p.bend.and_then(|b| built.route.as_ref()?.bends.get(b));
            let clr = of.map_or(e.clr_mm, |bend| bend.clr_mm);
            let bought = of.and_then(|bend| match &bend.make {
                Make::Elbow(stock) => Some(stock),
                Make::Mitred(_) => None,
            });
            let r = p.od_mm / 2.0;
            Some(ElbowReport {
                angle_deg: e.angle_rad.to_degrees(),
                clr_mm: clr,
                throat_clock_deg: e.throat_clock_rad.to_degrees(),
                lead_mm: e.lead_mm,
                tail_mm: e.tail_mm,
                removed_deg: e.removed_rad.to_degrees(),
                cut_at: (e.removed_rad > 0.0).then_some(PieceEnd::of(!e.removed_at_start)),
                removed_heel_mm: (clr + r) * e.removed_rad,
                removed_throat_mm: (clr - r) * e.removed_rad,
                own_leg_mm: bought.map(|stock| stock.leg_mm),
                wall_mm: bought.map(|stock| stock.wall_mm),
                material: bought.map(|stock| stock.material.name()),
            })
        }
        PieceKind::Straight | PieceKind::Slice | PieceKind::Joint(_) | PieceKind::Taper(_) => None,
    };
    let joint = match p.kind {
        PieceKind::Joint(id) => project.joint(id).map(|j| j.name.clone()),
        PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Taper(_) => None,
    };
    let laid = match p.kind {
        PieceKind::Taper(t) => {
            built.route.as_ref().and_then(|route| route.tapers.iter().find(|on| on.taper.id == t.taper))
        }
        PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Joint(_) => None,
    };
    let taper = match p.kind {
        PieceKind::Taper(t) => Some(TaperReport {
            leg: laid.map(|on| on.taper.leg + 1),
            station_mm: laid.map(|on| on.taper.station_mm),
            length_mm: p.centre_mm,
            wall_before_mm: laid.map(|on| on.before.wall_mm),
            wall_after_mm: laid.map(|on| on.after.wall_mm),
            material_before: laid.map(|on| on.before.material.name()),
            material_after: laid.map(|on| on.after.material.name()),
            end_od_mm: t.end_od_mm,
            wall_mm: t.wall_mm,
            offset_mm: t.offset_mm,
            offset_clock_deg: (t.offset_mm > 0.0).then(|| t.offset_clock_rad.to_degrees()),
            seam_clock_deg: t.rolled.map(|(clock, _)| clock.to_degrees()),
            seam_mm: t.rolled.and_then(|_| Some(cone_of(p)?.ok()?.seam_mm())),
            lap_mm: t.rolled.map_or(0.0, |(_, lap)| lap),
            mass_kg: taper_mass(project, p),
        }),
        PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Joint(_) => None,
    };
    let deg = |clock: Option<f64>| clock.map(f64::to_degrees);
    let stock = project.tube(p.tube).filter(|_| p.is_sawn());
    PieceReport {
        mark: p.mark.clone(),
        key: p.key,
        kind,
        of_bend: p.bend.map(|bend| bend + 1),
        od_mm: p.od_mm,
        wall_mm: stock.map(|t| t.wall_mm),
        material: stock.map(|t| t.material.name()),
        centre_mm: p.centre_mm,
        start_cut_deg: p.start.tilt_rad.to_degrees(),
        start_heel_clock_deg: deg(p.start.heel_clock_rad),
        end_cut_deg: p.end.tilt_rad.to_degrees(),
        end_heel_clock_deg: deg(p.end.heel_clock_rad),
        twist_deg: deg(p.twist_rad()),
        long_mm,
        short_mm,
        sawn_long_mm,
        sawn_short_mm,
        quarters_mm: p
            .is_sawn()
            .then(|| [0.0, 0.5, 1.0, 1.5].map(|quarter: f64| p.generator_mm(quarter * PI))),
        shaped: shaped_ends(p),
        bend,
        taper,
        joint,
        lobe_clock_deg: deg(p.lobe_clock_rad),
        long_clock_deg: deg(p.long_clock_rad()),
        trim_mm: 0.0,
        trim_at: None,
        source,
        written: None,
    }
}
