//! Stretches of a run by where they lie along its centreline, so that what is near along the pipe can be told from what
//! comes back to it.
//!
//! The place of a point of a piece is that of the section across the pipe that it lies in. Next to a mitred face the
//! sections fan out from square to the face, so that cut anywhere the stretches make up the piece and no more.

use crate::fab::build::PlacedSolid;
use crate::fab::part::BuiltPart;
use crate::geom::tolerance::{MIN_FACE_COSINE, NO_LENGTH_MM};
use crate::geom::{Barrel, Block, Drum, Elbow, Solid};
use glam::DVec3;
use std::f64::consts::FRAC_PI_2;

/// How far along the pipe two places may be apart and still be neighbours, not obstacles to each other, mm: a quarter
/// turn of the tightest bend, and the gap that is asked for.
pub(in crate::report) fn near_mm(widest_radius_mm: f64, asked_mm: f64) -> f64 {
    FRAC_PI_2 * 2.0 * widest_radius_mm + asked_mm
}

/// A stretch of a run.
#[derive(Debug, Clone, Copy)]
pub(in crate::report) struct Along<'a> {
    /// What it is a stretch of.
    pub(in crate::report) of: &'a PlacedSolid,
    /// Its own solid.
    pub(in crate::report) solid: Solid,
    /// Where it begins and ends on the centreline, mm. The same for what stands out of the pipe: that cannot be cut.
    pub(in crate::report) span_mm: (f64, f64),
    /// How far along the pipe what cannot be cut reaches to either side, mm; 0 for all else.
    pub(in crate::report) reach_mm: f64,
}

impl<'a> Along<'a> {
    /// All of `placed`; `parts` are the small parts of its run.
    pub(in crate::report) fn whole(placed: &'a PlacedSolid, parts: &[BuiltPart]) -> Self {
        let (from_mm, to_mm) = placed.span_mm;
        let middle_mm = f64::midpoint(from_mm, to_mm);
        let about_middle = |length_mm: f64| (middle_mm - length_mm / 2.0, middle_mm + length_mm / 2.0);
        let stands_out = placed.part.and_then(|i| parts.get(i)).is_some_and(BuiltPart::stands_out);
        let (span_mm, reach_mm) = match (&placed.solid, placed.part) {
            (_, Some(_)) if stands_out => (about_middle(0.0), (to_mm - from_mm) / 2.0),
            (Solid::Block(_), Some(_)) => (about_middle(0.0), (to_mm - from_mm) / 2.0),
            // the body of a joint is longer or shorter than what it takes out of the pipe
            (Solid::Drum(drum), None) => (about_middle(drum.length_mm), 0.0),
            (Solid::Block(block), None) => (about_middle(2.0 * block.half_mm.x), 0.0),
            (Solid::Barrel(_) | Solid::Elbow(_) | Solid::Drum(_) | Solid::Frustum(_), _) => {
                (placed.span_mm, 0.0)
            }
        };
        Self { of: placed, solid: placed.solid, span_mm, reach_mm }
    }

    /// Its length along the centreline, mm.
    pub(in crate::report) fn length_mm(&self) -> f64 {
        self.span_mm.1 - self.span_mm.0
    }

    /// What of it lies between two places of the centreline, mm; `None` where nothing does.
    pub(in crate::report) fn between(&self, from_mm: f64, to_mm: f64) -> Option<Self> {
        let (begin, end) = self.span_mm;
        let (first, last) = (begin.max(from_mm), end.min(to_mm));
        if first <= begin && last >= end {
            return Some(*self);
        }
        if last - first <= NO_LENGTH_MM {
            return None;
        }
        let (lead, length_mm) = (first - begin, last - first);
        let solid = match self.solid {
            Solid::Barrel(b) => Solid::Barrel(Barrel {
                start: b.start.forward(lead),
                length_mm,
                start_normal: section_normal(&b, lead),
                end_normal: section_normal(&b, lead + length_mm),
                ..b
            }),
            Solid::Elbow(e) => {
                let start = e.frame_at(lead / e.clr_mm);
                let toward = start.at_clock(e.start.clock_of(e.toward));
                Solid::Elbow(Elbow { start, toward, angle_rad: length_mm / e.clr_mm, ..e })
            }
            Solid::Frustum(f) => Solid::Frustum(f.part(lead, lead + length_mm)),
            Solid::Drum(d) => Solid::Drum(Drum { start: d.start.forward(lead), length_mm, ..d }),
            // the lobe of a joint: its first edge runs along the pipe
            Solid::Block(b) => Solid::Block(Block {
                centre: b.centre + b.axes[0] * (lead + length_mm / 2.0 - b.half_mm.x),
                half_mm: b.half_mm.with_x(length_mm / 2.0),
                ..b
            }),
        };
        Some(Self { solid, span_mm: (first, last), ..*self })
    }
}

/// The unit normal of the section of a tube at `at_mm` along its axis.
///
/// As far from a leaning face as that reaches along the tube, sections fan out from square to the face. Where two such
/// stretches would overlap they fan from the one face to the other all along.
fn section_normal(b: &Barrel, at_mm: f64) -> DVec3 {
    let axis = b.start.travel;
    let lean = |normal: DVec3| {
        let along = axis.dot(normal);
        if along > MIN_FACE_COSINE { normal / along - axis } else { DVec3::ZERO }
    };
    let (first, last) = (lean(b.start_normal), lean(b.end_normal));
    let (fan_first, fan_last) = (b.radius_mm * first.length(), b.radius_mm * last.length());
    let left_mm = b.length_mm - at_mm;
    let own = if fan_first + fan_last > b.length_mm {
        first.lerp(last, (at_mm / b.length_mm).clamp(0.0, 1.0))
    } else if at_mm < fan_first {
        first * (1.0 - at_mm.max(0.0) / fan_first)
    } else if left_mm < fan_last {
        last * (1.0 - left_mm.max(0.0) / fan_last)
    } else {
        return axis;
    };
    (axis + own).try_normalize().unwrap_or(axis)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Frame;

    /// The length of the generator at a clock, mm.
    fn generator_mm(b: &Barrel, clock_rad: f64) -> f64 {
        (b.edge(true, clock_rad) - b.edge(false, clock_rad)).dot(b.start.travel)
    }

    #[test]
    fn stretches_of_a_mitred_tube_make_up_its_generators_and_none_is_turned_inside_out() {
        let start = Frame::new(DVec3::new(3.0, 4.0, 5.0), DVec3::X, DVec3::Z);
        let normal = |tilt_deg: f64, clock_rad: f64| {
            let (sin, cos) = f64::to_radians(tilt_deg).sin_cos();
            start.travel * cos + start.at_clock(clock_rad) * sin
        };
        for (length_mm, first, last) in [(90.0, (20.0, 0.3), (-20.0, 0.3)), (30.0, (22.0, 0.0), (22.0, 2.0))]
        {
            let barrel = Barrel {
                start,
                length_mm,
                radius_mm: 25.0,
                start_normal: normal(first.0, first.1),
                end_normal: normal(last.0, last.1),
            };
            let span_mm = (100.0, 100.0 + length_mm);
            let placed =
                PlacedSolid { solid: Solid::Barrel(barrel), piece: 0, lobe: false, part: None, span_mm };
            let whole = Along::whole(&placed, &[]);
            let cuts = [0.0, 0.05, 0.2, 0.45, 0.8, 0.97, 1.0].map(|share| 100.0 + length_mm * share);
            for clock in [0.0, 1.0, 2.0, 3.0, 4.0, 5.0] {
                let parts = cuts.windows(2).map(|w| {
                    let Solid::Barrel(b) = whole.between(w[0], w[1]).unwrap().solid else { panic!("a tube") };
                    generator_mm(&b, clock)
                });
                let parts: Vec<f64> = parts.collect();
                assert!(parts.iter().all(|mm| *mm > -1e-9), "{parts:?}");
                assert!((parts.iter().sum::<f64>() - generator_mm(&barrel, clock)).abs() < 1e-9);
            }
        }
        let bend = Elbow { start, toward: DVec3::Y, clr_mm: 80.0, angle_rad: 2.0, radius_mm: 25.0 };
        let placed = PlacedSolid {
            solid: Solid::Elbow(bend),
            piece: 0,
            lobe: false,
            part: None,
            span_mm: (10.0, 170.0),
        };
        let Solid::Elbow(cut) = Along::whole(&placed, &[]).between(50.0, 90.0).unwrap().solid else {
            panic!("a bend")
        };
        assert!((cut.start.origin - bend.frame_at(0.5).origin).length() < 1e-9);
        assert!((cut.frame_at(cut.angle_rad).origin - bend.frame_at(1.0).origin).length() < 1e-9);
    }
}
