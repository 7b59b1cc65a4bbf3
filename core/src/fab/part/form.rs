//! What a small part is made of in space: solids, the room to take out what is screwed in, its weld and its hole.

use super::super::foot::Foot;
use super::super::limb::{Goes, Limb};
use super::super::saddle::{Header, LEAST_ANGLE_RAD, Placement, Saddle, SaddleError};
use crate::finding::{PartFault, Width};
use crate::geom::{Block, Drum, Frame, Solid};
use crate::model::{Bead, Bracket, Bung, PartKind, Screwed, Shield, Stub};
use glam::DVec3;
use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::sync::Arc;

/// A shield that does not go all round is made of flats no wider than this, rad (15°): they stand out past its true
/// outside by 0.9 % of its radius at their edges.
const FLAT_RAD: f64 = 15.0 * PI / 180.0;
/// Shortest solid that counts, mm.
const LEAST_MM: f64 = 1e-6;

/// How far a part reaches from its middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reach {
    /// Along the pipe to each side, mm.
    pub(super) along_mm: f64,
    /// Round the pipe to each side, rad; π for what goes all round.
    pub(super) round_rad: f64,
}

/// A part in space.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Form {
    /// What is welded or wrapped on.
    pub(super) solids: Vec<Solid>,
    /// What is screwed or bolted in.
    pub(super) screwed: Option<Solid>,
    /// Room beyond that to take it out.
    pub(super) removal: Option<Solid>,
    /// Which way it stands.
    pub(super) out: DVec3,
    /// Length of its weld, mm.
    pub(super) weld_mm: f64,
    /// Hole for it.
    pub(super) hole: Option<HoleWanted>,
    /// Where it stands on the skin.
    pub(super) foot: Option<Foot>,
}

/// The hole a part needs.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum HoleWanted {
    /// Drilled, its diameter, mm.
    Drilled(f64),
    /// What a stub's bore opens.
    Bore(Arc<Saddle>),
}

/// How far a part on a tube of `radius_mm` reaches.
pub(super) fn reach(kind: &PartKind, radius_mm: f64) -> Reach {
    let round = |half_mm: f64| (half_mm / radius_mm).clamp(0.0, 1.0).asin();
    match kind {
        PartKind::Bung(b) => Reach { along_mm: b.boss_mm / 2.0, round_rad: round(b.boss_mm / 2.0) },
        PartKind::Stub(s) => {
            let half_mm = s.od_mm / 2.0;
            let (sin, cos) = s.angle_deg.to_radians().sin_cos();
            // in the middle b/sin β from where its axis leaves the skin; lower down at its sides it leaves further back
            let drop_mm = radius_mm - ((radius_mm - half_mm) * (radius_mm + half_mm)).max(0.0).sqrt();
            let along_mm = half_mm / sin.abs() + drop_mm * (cos / sin).abs();
            Reach { along_mm, round_rad: round(half_mm) }
        }
        PartKind::Bracket(b) => Reach { along_mm: b.along_mm / 2.0, round_rad: round(b.thick_mm / 2.0) },
        PartKind::Shield(s) => {
            Reach { along_mm: s.length_mm / 2.0, round_rad: (s.around_deg.to_radians() / 2.0).min(PI) }
        }
        PartKind::Bead(b) => Reach { along_mm: b.width_mm / 2.0, round_rad: PI },
    }
}

/// Builds a part at `at`, a place of the centre line of a tube of `radius_mm`, at a clock.
pub(super) fn form(kind: &PartKind, at: &Frame, radius_mm: f64, clock_rad: f64) -> Result<Form, PartFault> {
    let made = match kind {
        PartKind::Bung(b) => bung(b, at, radius_mm, clock_rad)?,
        PartKind::Stub(s) => stub(s, at, radius_mm, clock_rad)?,
        PartKind::Bracket(b) => bracket(b, at, radius_mm, clock_rad)?,
        PartKind::Shield(s) => plain(shield(s, at, radius_mm, clock_rad), at, clock_rad),
        PartKind::Bead(b) => Form {
            foot: Some(Foot::of_wrapped(at, (clock_rad, PI), radius_mm, b.width_mm / 2.0)),
            ..plain(bead(b, at, radius_mm), at, clock_rad)
        },
    };
    Ok(made)
}

/// What is neither welded nor drilled for.
fn plain(solids: Vec<Solid>, at: &Frame, clock_rad: f64) -> Form {
    let out = at.at_clock(clock_rad);
    Form { solids, screwed: None, removal: None, out, weld_mm: 0.0, hole: None, foot: None }
}

/// A round body along `axis` between two places of it, mm.
pub(super) fn drum(axis: &Frame, from_mm: f64, to_mm: f64, diameter_mm: f64) -> Option<Solid> {
    let (length_mm, radius_mm) = (to_mm - from_mm, diameter_mm / 2.0);
    let is_there = length_mm > LEAST_MM && radius_mm > LEAST_MM;
    is_there.then(|| Solid::Drum(Drum { start: axis.forward(from_mm), length_mm, radius_mm }))
}

/// What is screwed in from a face on, and the room beyond it.
pub(super) fn screwed_in(
    screwed: Option<Screwed>,
    axis: &Frame,
    face_mm: f64,
) -> (Option<Solid>, Option<Solid>) {
    let Some(s) = screwed else { return (None, None) };
    let tip_mm = face_mm + s.length_mm;
    (drum(axis, face_mm, tip_mm, s.diameter_mm), drum(axis, tip_mm, tip_mm + s.removal_mm, s.diameter_mm))
}

/// How a round part sits on the tube.
fn seat(
    at: &Frame,
    radius_mm: f64,
    (clock_rad, angle_rad): (f64, f64),
    (part_mm, wall_mm): (f64, f64),
    what: Width,
) -> Result<Saddle, PartFault> {
    // the station is where the axis leaves the skin, so that is where it is marked
    let back_mm = radius_mm * angle_rad.cos() / angle_rad.sin();
    let place = Placement { station_mm: -back_mm, clock_rad, angle_rad, offset_mm: 0.0 };
    let limb = Limb { frame: place.frame(at), goes: Goes::OnAlongTravel, radius_mm: part_mm / 2.0, wall_mm };
    let fitted = Header::straight(*at, radius_mm).and_then(|header| Saddle::new(limb, header));
    fitted.map_err(|error| match error {
        SaddleError::BranchTooLarge { .. } | SaddleError::OffSide { .. } => {
            PartFault::TooWide { what, width_mm: part_mm, tube_mm: 2.0 * radius_mm }
        }
        SaddleError::TooFlat { least_rad, .. } => PartFault::TooFlat { angle_rad, least_rad },
        SaddleError::Branch(_)
        | SaddleError::NoHeader
        | SaddleError::Misses { .. }
        | SaddleError::OffEnd { .. } => PartFault::Unfit { why: error },
    })
}

fn bung(b: &Bung, at: &Frame, radius_mm: f64, clock_rad: f64) -> Result<Form, PartFault> {
    if b.hole_mm >= b.boss_mm {
        return Err(PartFault::HoleTooWide { hole_mm: b.hole_mm, boss_mm: b.boss_mm });
    }
    let wall_mm = (b.boss_mm - b.hole_mm) / 2.0;
    let saddle = seat(at, radius_mm, (clock_rad, FRAC_PI_2), (b.boss_mm, wall_mm), Width::Boss)?;
    let axis = saddle.branch().frame;
    let half_mm = b.boss_mm / 2.0;
    // its sides reach down to where the tube is as wide as the boss
    let foot_mm = ((radius_mm - half_mm) * (radius_mm + half_mm)).max(0.0).sqrt();
    let face_mm = radius_mm + b.height_mm;
    let (screwed, removal) = screwed_in(b.screwed, &axis, face_mm);
    Ok(Form {
        solids: drum(&axis, foot_mm, face_mm, b.boss_mm).into_iter().collect(),
        screwed,
        removal,
        out: axis.travel,
        weld_mm: saddle.weld().value,
        hole: Some(HoleWanted::Drilled(b.hole_mm)),
        foot: Some(Foot::of_saddle(&saddle)),
    })
}

fn stub(s: &Stub, at: &Frame, radius_mm: f64, clock_rad: f64) -> Result<Form, PartFault> {
    let angle_rad = s.angle_deg.to_radians();
    if angle_rad.min(PI - angle_rad) < LEAST_ANGLE_RAD - 1e-9 {
        return Err(PartFault::TooFlat { angle_rad, least_rad: LEAST_ANGLE_RAD });
    }
    let saddle = seat(at, radius_mm, (clock_rad, angle_rad), (s.od_mm, s.wall_mm), Width::Stub)?;
    let (sin, cos) = angle_rad.sin_cos();
    let flat = (cos / sin).abs();
    // the flange's lower edge in the plane of the two axes stands on the skin
    let least_mm = s.flange_thick_mm + s.flange_mm.max(s.od_mm) / 2.0 * flat;
    if s.length_mm < least_mm - 1e-9 {
        return Err(PartFault::FlangeLow { length_mm: s.length_mm, least_mm });
    }
    let axis = saddle.branch().frame;
    let half_mm = s.od_mm / 2.0;
    let skin_mm = radius_mm / sin;
    // from inside the tube: the disc there lies wholly in it
    let deep_mm = ((radius_mm - half_mm) * (radius_mm + half_mm)).max(0.0).sqrt() - half_mm * cos.abs();
    let face_mm = skin_mm + s.length_mm;
    let under_mm = face_mm - s.flange_thick_mm;
    let (screwed, removal) = screwed_in(s.screwed, &axis, face_mm);
    let tube = drum(&axis, deep_mm.max(0.0) / sin, under_mm, s.od_mm);
    let flange = drum(&axis, under_mm, face_mm, s.flange_mm);
    Ok(Form {
        solids: tube.into_iter().chain(flange).collect(),
        screwed,
        removal,
        out: axis.travel,
        weld_mm: saddle.weld().value,
        foot: Some(Foot::of_saddle(&saddle)),
        hole: Some(HoleWanted::Bore(Arc::new(saddle))),
    })
}

fn bracket(b: &Bracket, at: &Frame, radius_mm: f64, clock_rad: f64) -> Result<Form, PartFault> {
    let half_mm = b.thick_mm / 2.0;
    if half_mm > radius_mm {
        return Err(PartFault::TooWide {
            what: Width::Thickness,
            width_mm: b.thick_mm,
            tube_mm: 2.0 * radius_mm,
        });
    }
    let out = at.at_clock(clock_rad);
    // its edges reach down to the skin
    let foot_mm = ((radius_mm - half_mm) * (radius_mm + half_mm)).max(0.0).sqrt();
    let tip_mm = radius_mm + b.height_mm;
    let block = Block {
        centre: at.origin + out * foot_mm.midpoint(tip_mm),
        axes: [at.travel, out, at.travel.cross(out)],
        half_mm: DVec3::new(b.along_mm, tip_mm - foot_mm, b.thick_mm) / 2.0,
    };
    Ok(Form {
        // both sides and both ends, as if it stood on a flat: common practice
        weld_mm: 2.0 * (b.along_mm + b.thick_mm),
        foot: Some(Foot::of_flat(at, clock_rad, radius_mm, (b.along_mm, b.thick_mm))),
        ..plain(vec![Solid::Block(block)], at, clock_rad)
    })
}

/// All round a drum; else flats one beside the other, each outside the shield it stands for.
fn shield(s: &Shield, at: &Frame, radius_mm: f64, clock_rad: f64) -> Vec<Solid> {
    let inner_mm = radius_mm + s.gap_mm;
    let outer_mm = inner_mm + s.thick_mm;
    let around_rad = s.around_deg.to_radians();
    let start = at.forward(-s.length_mm / 2.0);
    if around_rad >= TAU - 1e-9 {
        return vec![Solid::Drum(Drum { start, length_mm: s.length_mm, radius_mm: outer_mm })];
    }
    let count = (around_rad / FLAT_RAD).ceil().max(1.0);
    let step_rad = around_rad / count;
    let half_rad = step_rad / 2.0;
    // a flat touches the outside in its middle and reaches in to the inside at its edges
    let low_mm = inner_mm * half_rad.cos();
    let flat = |i: usize| {
        let out = at.at_clock(clock_rad - around_rad / 2.0 + step_rad * (i as f64 + 0.5));
        Solid::Block(Block {
            centre: at.origin + out * low_mm.midpoint(outer_mm),
            axes: [at.travel, out, at.travel.cross(out)],
            half_mm: DVec3::new(s.length_mm / 2.0, (outer_mm - low_mm) / 2.0, outer_mm * half_rad.tan()),
        })
    };
    (0..count as usize).map(flat).collect()
}

fn bead(b: &Bead, at: &Frame, radius_mm: f64) -> Vec<Solid> {
    let start = at.forward(-b.width_mm / 2.0);
    vec![Solid::Drum(Drum { start, length_mm: b.width_mm, radius_mm: radius_mm + b.height_mm })]
}
