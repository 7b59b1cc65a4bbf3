//! The faces a section of pipe comes away from, and what they allow.

use crate::geom::{Barrel, Drum, Elbow, Solid};
use glam::{DMat3, DVec3};

/// What is cut off a section at its mating faces, mm: so much less of it counts, so that faces that touch do not
/// block each other.
pub const SKIN_MM: f64 = 0.6;

/// A spigot has to be pulled within this of its axis, rad (3°; common practice, no source).
pub(super) const SPIGOT_RAD: f64 = 3.0 * std::f64::consts::PI / 180.0;

/// A solid whose axis is within this of a mate's is one with it (cosine of 1°).
const SAME_AXIS_COSINE: f64 = 0.999_847_7;

/// A direction may go into a face by this much (sine) before it is not allowed: rounding noise.
const INTO_FACE: f64 = 1e-9;

/// How a section is held at a face once the joint there is opened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MateKind {
    /// Flat faces: a V-band, a flange, a clamp coupler.
    Flat,
    /// One tube lies in the other, and has to be pulled out along the axis first.
    Spigot {
        /// How far it lies in, mm.
        depth_mm: f64,
    },
    /// A hose that has to be slid back first; the tubes' ends are then free of each other. Where it lies when it
    /// is slid back it belongs among the solids, on whichever side that is.
    Hose {
        /// How far it has to be slid, mm.
        slide_mm: f64,
        /// Straight tube there is for it, mm.
        straight_mm: f64,
    },
}

/// A face the section comes away from.
#[derive(Debug, Clone, PartialEq)]
pub struct Mate {
    /// Centre of the face; of a spigot, where the section leaves the fixed part.
    pub centre: DVec3,
    /// Unit direction out of the fixed part into the section.
    pub out: DVec3,
    /// Radius of the face, mm.
    pub radius_mm: f64,
    /// How the section is held there.
    pub kind: MateKind,
    /// Which of the shapes belong to the fixed part here: the stub of pipe next to the face does not count
    /// against them.
    pub part_shapes: Vec<usize>,
}

impl Mate {
    /// A flat face of no part in particular.
    pub fn flat(centre: DVec3, out: DVec3, radius_mm: f64) -> Self {
        Self { centre, out, radius_mm, kind: MateKind::Flat, part_shapes: Vec::new() }
    }

    /// How far the section lies in the fixed part, mm.
    pub(super) fn depth_mm(&self) -> f64 {
        match self.kind {
            MateKind::Spigot { depth_mm } => depth_mm.max(0.0),
            MateKind::Flat | MateKind::Hose { .. } => 0.0,
        }
    }

    /// What does not count of the section at the face, mm: nothing where a hose leaves the tubes apart.
    pub(super) fn skin_mm(&self) -> f64 {
        match self.kind {
            MateKind::Flat | MateKind::Spigot { .. } => SKIN_MM,
            MateKind::Hose { .. } => 0.0,
        }
    }

    /// Whether the numbers can be used.
    pub(super) fn is_sound(&self) -> bool {
        let held = match self.kind {
            MateKind::Flat => true,
            MateKind::Spigot { depth_mm } => depth_mm.is_finite() && depth_mm >= 0.0,
            MateKind::Hose { slide_mm, straight_mm } => slide_mm.is_finite() && straight_mm.is_finite(),
        };
        let near_one = (self.out.length() - 1.0).abs() < 1e-6;
        held && near_one && self.centre.is_finite() && self.radius_mm.is_finite() && self.radius_mm >= 0.0
    }

    /// The part of `solid` that is at least `from_mm` into the section from the face; `None` where nothing is left.
    /// Only solids about the axis of the face are cut.
    pub(super) fn cut(&self, solid: &Solid, from_mm: f64) -> Option<Solid> {
        let height = |p: DVec3| (p - self.centre).dot(self.out);
        let about = |p: DVec3, travel: DVec3| {
            let off = p - self.centre - self.out * height(p);
            off.length() <= self.radius_mm.max(1.0) && travel.dot(self.out) > SAME_AXIS_COSINE
        };
        match solid {
            Solid::Barrel(b) => {
                let (start, end) = b.axis();
                if about(start, b.start.travel) {
                    let lead = from_mm - height(start);
                    let cut = Barrel {
                        start: b.start.forward(lead),
                        length_mm: b.length_mm - lead,
                        start_normal: b.start.travel,
                        ..*b
                    };
                    if lead <= 0.0 {
                        Some(*solid)
                    } else {
                        (cut.length_mm > 0.0).then_some(Solid::Barrel(cut))
                    }
                } else if about(end, -b.start.travel) {
                    let tail = from_mm - height(end);
                    let cut = Barrel { length_mm: b.length_mm - tail, end_normal: b.start.travel, ..*b };
                    if tail <= 0.0 {
                        Some(*solid)
                    } else {
                        (cut.length_mm > 0.0).then_some(Solid::Barrel(cut))
                    }
                } else {
                    Some(*solid)
                }
            }
            Solid::Drum(d) => {
                let end = d.start.forward(d.length_mm).origin;
                let (lead, tail) = if about(d.start.origin, d.start.travel) {
                    ((from_mm - height(d.start.origin)).max(0.0), 0.0)
                } else if about(end, -d.start.travel) {
                    (0.0, (from_mm - height(end)).max(0.0))
                } else {
                    (0.0, 0.0)
                };
                let length_mm = d.length_mm - lead - tail;
                let cut = Drum { start: d.start.forward(lead), length_mm, ..*d };
                (length_mm > 0.0).then_some(Solid::Drum(cut))
            }
            Solid::Elbow(e) => {
                let end = e.frame_at(e.angle_rad);
                let (lead, tail) = if about(e.start.origin, e.start.travel) {
                    (from_mm - height(e.start.origin), 0.0)
                } else if about(end.origin, -end.travel) {
                    (0.0, from_mm - height(end.origin))
                } else {
                    (0.0, 0.0)
                };
                cut_elbow(e, lead.max(0.0), tail.max(0.0))
            }
            Solid::Frustum(f) => {
                let end = f.frame_at(f.length_mm);
                let (lead, tail) = if about(f.start.origin, f.start.travel) {
                    ((from_mm - height(f.start.origin)).max(0.0), 0.0)
                } else if about(end.origin, -end.travel) {
                    (0.0, (from_mm - height(end.origin)).max(0.0))
                } else {
                    (0.0, 0.0)
                };
                (lead + tail < f.length_mm).then(|| Solid::Frustum(f.part(lead, f.length_mm - tail)))
            }
            // a lobe wholly inside the cut goes with it
            Solid::Block(b) => {
                let reach = (0..3).map(|i| (b.axes[i].dot(self.out) * b.half_mm[i]).abs()).sum::<f64>();
                let off = b.centre - self.centre - self.out * height(b.centre);
                let own = off.length() <= 2.0 * self.radius_mm;
                (!own || height(b.centre) + reach > from_mm).then_some(*solid)
            }
        }
    }
}

/// An elbow without what is within `lead` and `tail` of its ends, measured square to them.
fn cut_elbow(e: &Elbow, lead: f64, tail: f64) -> Option<Solid> {
    // the inside of the turn is what is nearest the face
    let inside_mm = (e.clr_mm - e.radius_mm).max(e.clr_mm * 0.2);
    let angle = |mm: f64| (mm / inside_mm).clamp(0.0, 1.0).asin();
    let (first, last) = (angle(lead), angle(tail));
    let angle_rad = e.angle_rad - first - last;
    if first <= 0.0 && last <= 0.0 {
        return Some(Solid::Elbow(*e));
    }
    let start = e.frame_at(first);
    let toward = start.at_clock(e.start.clock_of(e.toward));
    (angle_rad > 0.0).then_some(Solid::Elbow(Elbow { start, toward, angle_rad, ..*e }))
}

/// Whether no face is in the way of a start along `direction`.
pub(super) fn allowed<'a>(mates: impl IntoIterator<Item = &'a Mate>, direction: DVec3) -> bool {
    mates.into_iter().all(|mate| direction.dot(mate.out) >= -INTO_FACE)
}

/// Whether the section can start in no direction at all: the half-spaces of the faces have only zero in common.
///
/// If the normals do not span space, some direction lies along all faces. If they do, what the half-spaces have
/// in common is a cone with an apex, and unless that is all of it, it has an edge, which lies along two of the
/// faces: it is enough to try the directions across each pair of normals, both ways.
pub(super) fn closed(mates: &[Mate]) -> bool {
    let spans = triples(mates).any(|[a, b, c]| a.out.cross(b.out).dot(c.out).abs() > 1e-6);
    let pairs = || mates.iter().enumerate().flat_map(|(i, a)| mates[..i].iter().map(move |b| (a, b)));
    spans
        && pairs().filter_map(|(a, b)| a.out.cross(b.out).try_normalize()).all(|edge| {
            // an edge counts as open generously: only what is surely closed is called so
            let open = |edge: DVec3| mates.iter().all(|m| edge.dot(m.out) >= -1e-6);
            !open(edge) && !open(-edge)
        })
}

fn triples(mates: &[Mate]) -> impl Iterator<Item = [&Mate; 3]> {
    let n = mates.len();
    (0..n).flat_map(move |i| (0..i).flat_map(move |j| (0..j).map(move |k| [&mates[i], &mates[j], &mates[k]])))
}

/// Whether four of the faces hold the section against turning too, to the first order: then it can not come off.
///
/// A motion that begins with velocity v and turn ω keeps a round face of radius r from going into its counterpart
/// only if (v + ω×c)·n ≥ r·|ω×n|. With λ > 0 and Σλn = 0 the sum over the faces is ω·τ ≥ Σλr·|ω×n| with
/// τ = Σλ c×n. The right side is at least √(ωᵀMω), M = Σ(λr)²(1 − nnᵀ); so if |τ|² is below the least eigenvalue
/// of M, ω is zero, and then v is.
pub(super) fn held_fast(mates: &[Mate]) -> bool {
    triples(mates).any(|[a, b, c]| mates.iter().any(|d| four_hold([a, b, c, d])))
}

fn four_hold(four: [&Mate; 4]) -> bool {
    let [a, b, c, d] = four.map(|m| m.out);
    let base = DMat3::from_cols(a, b, c);
    if base.determinant().abs() < 1e-6 {
        return false;
    }
    // a·x + b·y + c·z = −d
    let share = base.inverse() * -d;
    if share.min_element() <= 1e-6 {
        return false;
    }
    let weights = [share.x, share.y, share.z, 1.0];
    let middle = four.iter().map(|m| m.centre).sum::<DVec3>() / 4.0;
    let (mut torque, mut hold) = (DVec3::ZERO, DMat3::ZERO);
    for (mate, weight) in four.iter().zip(weights) {
        torque += (mate.centre - middle).cross(mate.out) * weight;
        let n = mate.out;
        let along = DMat3::from_cols(n * n.x, n * n.y, n * n.z);
        hold += (DMat3::IDENTITY - along) * (weight * mate.radius_mm).powi(2);
    }
    torque.length_squared() < least_eigenvalue(hold) * 0.999
}

/// The least eigenvalue of a symmetric matrix, by the trigonometric solution of its cubic (O. K. Smith,
/// *Eigenvalues of a symmetric 3 × 3 matrix*, Communications of the ACM 4 (1961) 168, from memory).
fn least_eigenvalue(m: DMat3) -> f64 {
    let trace = |m: &DMat3| m.x_axis.x + m.y_axis.y + m.z_axis.z;
    let mean = trace(&m) / 3.0;
    let off = m - DMat3::IDENTITY * mean;
    let p = (trace(&(off * off)) / 6.0).sqrt();
    if p <= 1e-12 * mean.abs() {
        return mean;
    }
    let half_det = ((off * (1.0 / p)).determinant() / 2.0).clamp(-1.0, 1.0);
    let angle = half_det.acos() / 3.0 + std::f64::consts::TAU / 3.0;
    mean + 2.0 * p * angle.cos()
}
