//! What is left on either side of a joint once it is opened.

use crate::fab::{Built, Piece, PieceKind};
use crate::geom::{Drum, Frame, Solid};
use crate::model::{JointKind, JointStyle, Project};
use crate::space::way_out::{Mate, MateKind, SKIN_MM};
use crate::space::{PlacedShape, gap_to_shape};

/// Tube ends further apart than this are free of each other, mm.
const FREE_MM: f64 = 2.0 * SKIN_MM;

/// Hoses slid back may not come nearer to obstacles than this, mm.
const TOUCH_MM: f64 = 0.2;

/// An opened joint.
pub(super) struct Opened {
    /// The face the section comes away from.
    pub mate: Mate,
    /// What comes off with the section.
    pub moving: Vec<Solid>,
    /// What stays.
    pub staying: Vec<Solid>,
    /// What has to be done first.
    pub first: String,
    /// How much straight tube is lacking to slide a hose back, mm; the pipe has to be drawn out of it instead.
    pub lacks_mm: Option<f64>,
}

/// A joint with the axis it is opened along.
struct Axis<'a> {
    kind: &'a JointKind,
    mark: &'a str,
    /// Middle of the joint; the section lies along its travel times `into`.
    middle: Frame,
    into: f64,
    /// Half the distance from tube end to tube end, mm; below zero where they overlap.
    half_mm: f64,
}

impl Axis<'_> {
    /// A round body from `from_mm` to `to_mm` into the section from the middle.
    fn drum(&self, from_mm: f64, to_mm: f64, radius_mm: f64) -> Option<Solid> {
        let (a, b) = (from_mm * self.into, to_mm * self.into);
        let start = self.middle.forward(a.min(b));
        let length_mm = (b - a).abs();
        (length_mm > 0.0 && radius_mm > 0.0).then_some(Solid::Drum(Drum { start, length_mm, radius_mm }))
    }

    /// A flat face `at_mm` into the section.
    fn flat(&self, at_mm: f64) -> Mate {
        let face = self.middle.forward(at_mm * self.into);
        Mate::flat(face.origin, self.middle.travel * self.into, self.body_radius_mm())
    }

    fn body_radius_mm(&self) -> f64 {
        self.kind.body_od_mm.max(self.kind.od_mm) / 2.0
    }

    /// The half on the section's side (`side` +1) or on the other (−1): what the tube carries up to the middle.
    ///
    /// Rings under a clamp have no sizes of their own in the project: they count as thick as the clamp, never as
    /// less than they are. What of the clamp lies over the tubes comes off.
    fn half(&self, side: f64, body_mm: f64) -> Vec<Solid> {
        let neck = self.drum(0.0, side * self.half_mm, self.kind.od_mm / 2.0);
        let body = self.drum(0.0, side * body_mm, self.body_radius_mm());
        neck.filter(|_| self.half_mm > body_mm).into_iter().chain(body).collect()
    }
}

/// Opens the joint that is piece `piece`; the section lies from it along the travel times `into`. `has_tube`: on the
/// other side a tube of the same run goes on, not a part. `shapes`: a hose is slid back to where it is clear of them.
pub(super) fn open_joint(
    project: &Project,
    built: &Built,
    piece: usize,
    into: f64,
    has_tube: bool,
    shapes: &[PlacedShape],
) -> Result<Opened, String> {
    let gone = || "That joint is not there any more. Choose another place.".to_owned();
    let part = built.pieces.get(piece).ok_or_else(gone)?;
    let PieceKind::Joint(id) = part.kind else { return Err(gone()) };
    let kind = project.joint(id).ok_or_else(gone)?;
    let begin = built.frames.get(piece).ok_or_else(gone)?.0;
    let half_mm = part.centre_mm / 2.0;
    let axis = Axis { kind, mark: &part.mark, middle: begin.forward(half_mm), into, half_mm };
    match kind.style {
        JointStyle::Flange => Ok(halves(&axis, kind.body_width_mm / 2.0, format!("Unbolt {}.", axis.mark))),
        JointStyle::VBand | JointStyle::ClampCoupler => {
            let body_mm = half_mm.min(kind.body_width_mm / 2.0).max(0.0);
            Ok(halves(&axis, body_mm, format!("Take the clamp off {} first.", axis.mark)))
        }
        JointStyle::SlipJoint => Ok(slip(&axis)),
        JointStyle::HoseAndClamps => {
            let straight = |side: f64| straight_mm(&built.pieces, piece, side * into > 0.0);
            let other_mm = if has_tube { Some(straight(-1.0)) } else { None };
            Ok(hose(&axis, straight(1.0), other_mm, shapes))
        }
        JointStyle::Flexible => {
            Err(format!("{} is a flexible section: it cannot be opened. Choose another place.", part.mark))
        }
    }
}

/// Faces that meet in the middle, and what the tubes carry there.
fn halves(axis: &Axis<'_>, body_mm: f64, first: String) -> Opened {
    let bare = !axis.kind.welded && axis.kind.style != JointStyle::Flange;
    if bare {
        // a sleeve that comes off whole leaves the tube ends apart
        let apart = 2.0 * axis.half_mm > FREE_MM;
        let kind = if apart { MateKind::Hose { slide_mm: 0.0, straight_mm: 0.0 } } else { MateKind::Flat };
        let mate = Mate { kind, ..axis.flat(0.0) };
        return Opened { mate, moving: Vec::new(), staying: Vec::new(), first, lacks_mm: None };
    }
    let (moving, staying) = (axis.half(1.0, body_mm), axis.half(-1.0, body_mm));
    Opened { mate: axis.flat(0.0), moving, staying, first, lacks_mm: None }
}

/// One tube in the other. Which is inside makes no difference to how they come apart; the socket is taken to be on
/// the side that stays, and what of it lies past the tube's mouth to be its clamp.
fn slip(axis: &Axis<'_>) -> Opened {
    let depth_mm = (-2.0 * axis.half_mm).max(0.0);
    let mouth_mm = depth_mm / 2.0;
    let kind = if depth_mm > 0.0 { MateKind::Spigot { depth_mm } } else { MateKind::Flat };
    let socket = axis.drum(-axis.kind.body_width_mm / 2.0, mouth_mm, axis.body_radius_mm());
    let mate = Mate { kind, ..axis.flat(mouth_mm) };
    let first = format!("Loosen the clamp of {}.", axis.mark);
    Opened { mate, moving: Vec::new(), staying: socket.into_iter().collect(), first, lacks_mm: None }
}

/// A hose slid back wholly onto one of its tubes: onto what stays where there is straight and room for it, else onto
/// the section. Where neither has the straight for it, the hose stays and the section has to be drawn out of it.
fn hose(axis: &Axis<'_>, own_mm: f64, other_mm: Option<f64>, shapes: &[PlacedShape]) -> Opened {
    let gap_mm = (2.0 * axis.half_mm).max(0.0);
    let hose_mm = axis.kind.hose_mm().unwrap_or(axis.kind.body_width_mm).max(gap_mm);
    let in_mm = (hose_mm - gap_mm) / 2.0;
    let slide_mm = in_mm + gap_mm;
    // from its tube's end on, away from the middle
    let slid =
        |side: f64| axis.drum(side * gap_mm / 2.0, side * (gap_mm / 2.0 + hose_mm), axis.body_radius_mm());
    let free_mm = |side: f64| if side > 0.0 { Some(own_mm - in_mm) } else { other_mm.map(|mm| mm - in_mm) };
    let fits = |side: &f64| free_mm(*side).is_some_and(|mm| mm >= slide_mm);
    let is_clear = |side: &f64| {
        slid(*side).is_some_and(|s| !shapes.iter().any(|o| gap_to_shape(&s, o, TOUCH_MM).is_some()))
    };
    let sides = [-1.0, 1.0];
    let best = sides.into_iter().find(|s| fits(s) && is_clear(s)).or_else(|| sides.into_iter().find(fits));
    let Some(side) = best else {
        let most_mm = sides.into_iter().filter_map(free_mm).fold(0.0, f64::max);
        return drawn_from_hose(axis, gap_mm / 2.0 + in_mm, in_mm, slide_mm - most_mm);
    };
    // tubes that butt in the hose still meet face to face
    let kind = if gap_mm <= FREE_MM {
        MateKind::Flat
    } else {
        MateKind::Hose { slide_mm, straight_mm: free_mm(side).unwrap_or(0.0) }
    };
    let mate = Mate { kind, ..axis.flat(0.0) };
    let drum: Vec<Solid> = slid(side).into_iter().collect();
    let onto = if side > 0.0 { "the pipe that comes off" } else { "the pipe that stays" };
    let first = format!("Loosen the clamps of {} and slide the hose back onto {onto}.", axis.mark);
    let (moving, staying) = if side > 0.0 { (drum, Vec::new()) } else { (Vec::new(), drum) };
    Opened { mate, moving, staying, first, lacks_mm: None }
}

/// A hose that reaches `mouth_mm` to either side stays; the section lies `in_mm` in it.
fn drawn_from_hose(axis: &Axis<'_>, mouth_mm: f64, in_mm: f64, lacks_mm: f64) -> Opened {
    let kind = if in_mm > 0.0 { MateKind::Spigot { depth_mm: in_mm } } else { MateKind::Flat };
    let mate = Mate { kind, ..axis.flat(mouth_mm) };
    let staying = axis.drum(-mouth_mm, mouth_mm, axis.body_radius_mm()).into_iter().collect();
    let first = format!(
        "Loosen the clamps of {}. Its hose cannot be slid back, so draw the pipe out of the hose.",
        axis.mark
    );
    Opened { mate, moving: Vec::new(), staying, first, lacks_mm: Some(lacks_mm) }
}

/// Straight tube beside the joint that is piece `joint`, after it (or before it), up to where its outside begins to
/// bend, mm.
fn straight_mm(pieces: &[Piece], joint: usize, after: bool) -> f64 {
    let mut sum_mm = 0.0;
    let mut at = joint;
    loop {
        let next = if after { Some(at + 1) } else { at.checked_sub(1) };
        let Some((i, piece)) = next.and_then(|i| Some((i, pieces.get(i)?))) else { return sum_mm };
        let far = if after { piece.end } else { piece.start };
        match piece.kind {
            PieceKind::Joint(_) | PieceKind::Taper(_) => return sum_mm,
            PieceKind::Elbow(e) => return sum_mm + if after { e.lead_mm } else { e.tail_mm },
            PieceKind::Straight | PieceKind::Slice if far.tilt_rad > 0.0 => {
                return sum_mm + piece.long_short_mm().1.max(0.0);
            }
            PieceKind::Straight | PieceKind::Slice => sum_mm += piece.centre_mm,
        }
        at = i;
    }
}
