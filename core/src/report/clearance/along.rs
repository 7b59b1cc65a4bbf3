//! Stretches of a run by where they lie along its centreline, so that what is near along the pipe can be told from what
//! comes back to it.
//!
//! The place of a point of a piece is that of the section across its middle line that it lies in. Next to a mitred face a
//! section would cut out of the piece more than there is, on the short side of the face. There a stretch is what two
//! solids have in common: one cut across, and one that goes on to the face. Neither is further from anything than the
//! stretch itself, so that the greater of their gaps may be told of it.

use crate::fab::build::PlacedSolid;
use crate::fab::part::BuiltPart;
use crate::geom::tolerance::{MIN_FACE_COSINE, NO_LENGTH_MM};
use crate::geom::{Barrel, Block, Drum, Elbow, Solid};
use crate::space::{Gap, gap_between};
use glam::DVec3;
use std::f64::consts::{FRAC_PI_2, SQRT_2};

/// How far along the pipe two places may be apart and still be neighbours, not obstacles to each other, mm: a quarter
/// turn of the tightest bend, and the gap that is asked for; or what both legs of a right angle without a bend have to
/// be together for their ends to keep that gap, where it is more. Else every pipe that asks for much would be too near
/// itself at its corners, which nobody could mend.
pub(in crate::report) fn near_mm(widest_radius_mm: f64, asked_mm: f64) -> f64 {
    let diameter_mm = 2.0 * widest_radius_mm;
    (FRAC_PI_2 * diameter_mm + asked_mm).max(SQRT_2 * (diameter_mm + asked_mm))
}

/// A stretch of a run.
#[derive(Debug, Clone, Copy)]
pub(in crate::report) struct Along<'a> {
    /// What it is a stretch of.
    pub(in crate::report) of: &'a PlacedSolid,
    /// Its own solid.
    pub(in crate::report) solid: Solid,
    /// The same as far as a leaning face, where the cut across runs into that.
    pub(in crate::report) to_face: Option<Solid>,
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
        Self { of: placed, solid: placed.solid, to_face: None, span_mm, reach_mm }
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
        let mut to_face = None;
        let solid = match self.solid {
            Solid::Barrel(_) => {
                let (solid, other) = self.tube_between(first, last);
                to_face = other;
                solid
            }
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
        Some(Self { solid, to_face, span_mm: (first, last), ..*self })
    }

    /// A tube cut across at two places, and where a cut runs into a leaning face, the same as far as that.
    ///
    /// No solid has faces that cross each other: those would not be the hull of their edges.
    fn tube_between(&self, first_mm: f64, last_mm: f64) -> (Solid, Option<Solid>) {
        let Solid::Barrel(whole) = self.of.solid else { return (self.solid, None) };
        let (begin_mm, end_mm) = self.of.span_mm;
        let axis = whole.start.travel;
        let tube = |from: (f64, DVec3), to: (f64, DVec3)| {
            let (start, length_mm) = (whole.start.forward(from.0 - begin_mm), to.0 - from.0);
            Solid::Barrel(Barrel { start, length_mm, start_normal: from.1, end_normal: to.1, ..whole })
        };
        let faces = [(begin_mm, whole.start_normal), (end_mm, whole.end_normal)];
        // how far each face reaches along the tube, to either side of where it meets the axis
        let reach_mm = faces.map(|(_, normal)| whole.radius_mm * lean(axis, normal));
        let at_face = [first_mm - begin_mm <= NO_LENGTH_MM, end_mm - last_mm <= NO_LENGTH_MM];
        let clear_mm = [begin_mm + reach_mm[0], end_mm - reach_mm[1]];
        // whether the one face or the other is run into by a cut
        let is_met = [
            (!at_face[1] && last_mm < clear_mm[0]) || (!at_face[0] && first_mm < clear_mm[0]),
            (!at_face[0] && first_mm > clear_mm[1]) || (!at_face[1] && last_mm > clear_mm[1]),
        ];
        let across = [
            match (at_face[0], is_met[0]) {
                (true, true) => (begin_mm - reach_mm[0], axis),
                (true, false) => faces[0],
                (false, _) => (first_mm, axis),
            },
            match (at_face[1], is_met[1]) {
                (true, true) => (end_mm + reach_mm[1], axis),
                (true, false) => faces[1],
                (false, _) => (last_mm, axis),
            },
        ];
        if is_met == [false; 2] {
            return (tube(across[0], across[1]), None);
        }
        let from =
            if first_mm < clear_mm[0] || at_face[0] { faces[0] } else { (first_mm.min(clear_mm[1]), axis) };
        let to =
            if last_mm > clear_mm[1] || at_face[1] { faces[1] } else { (last_mm.max(clear_mm[0]), axis) };
        (tube(across[0], across[1]), Some(tube(from, to)))
    }

    /// The gap to another stretch, mm, if it is less than `limit_mm`.
    pub(in crate::report) fn gap_to(&self, other: &Self, limit_mm: f64) -> Option<Gap> {
        let mut most = gap_between(&self.solid, &other.solid, limit_mm)?;
        if self.to_face.is_none() && other.to_face.is_none() {
            return Some(most);
        }
        let forms = |s: &Self| [Some(s.solid), s.to_face];
        for (mine, theirs) in forms(self)
            .into_iter()
            .flatten()
            .flat_map(|mine| forms(other).into_iter().flatten().map(move |theirs| (mine, theirs)))
        {
            let gap = gap_between(&mine, &theirs, limit_mm)?;
            if gap.gap_mm > most.gap_mm {
                most = gap;
            }
        }
        Some(most)
    }
}

/// The tangent of the tilt of a face against square.
fn lean(axis: DVec3, normal: DVec3) -> f64 {
    let along = axis.dot(normal).max(MIN_FACE_COSINE);
    (1.0 - along * along).max(0.0).sqrt() / along
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Frame;

    /// Points of a tube cut at both ends are in a stretch exactly where their place is within it: in both of its forms.
    #[test]
    fn a_stretch_is_what_its_forms_have_in_common() {
        let start = Frame::new(DVec3::new(3.0, 4.0, 5.0), DVec3::X, DVec3::Z);
        let normal = |tilt_deg: f64, clock_rad: f64| {
            let (sin, cos) = f64::to_radians(tilt_deg).sin_cos();
            start.travel * cos + start.at_clock(clock_rad) * sin
        };
        let barrel = Barrel {
            start,
            length_mm: 60.0,
            radius_mm: 25.0,
            start_normal: normal(30.0, 0.3),
            end_normal: normal(-35.0, 1.1),
        };
        let holds = |b: &Barrel, p: DVec3| {
            let end = b.start.forward(b.length_mm).origin;
            (p - b.start.origin).dot(b.start_normal) >= 0.0 && (p - end).dot(b.end_normal) <= 0.0
        };
        let solid = Solid::Barrel(barrel);
        let placed = PlacedSolid { solid, piece: 0, lobe: false, part: None, span_mm: (100.0, 160.0) };
        let whole = Along::whole(&placed, &[]);
        let (mut inside, mut two) = (0, 0);
        let spans = [
            (100.0, 105.0),
            (100.0, 120.0),
            (103.0, 110.0),
            (103.0, 150.0),
            (118.0, 140.0),
            (130.0, 155.0),
            (145.0, 150.0),
            (152.0, 160.0),
        ];
        for (from, to) in spans {
            let stretch = whole.between(100.0, 158.0).unwrap().between(from, to);
            let stretch = if to > 158.0 { whole.between(from, to) } else { stretch }.unwrap();
            two += usize::from(stretch.to_face.is_some());
            for form in [Some(stretch.solid), stretch.to_face].into_iter().flatten() {
                let Solid::Barrel(b) = form else { panic!("a tube") };
                let generator = |clock: f64| (b.edge(true, clock) - b.edge(false, clock)).dot(start.travel);
                assert!((0..24).all(|i| generator(f64::from(i) * 0.27) > -1e-9), "{from} to {to} cross");
            }
            for i in 0..6_000 {
                let (along, clock, off) =
                    (f64::from(i % 100), f64::from(i / 100 % 10), f64::from(i / 1000) * 4.9);
                let p = start.forward(along - 20.0 + 0.37).origin + start.at_clock(clock * 0.63) * off;
                let place = (100.0 + along - 20.0 + 0.37).clamp(100.0, 160.0);
                let belongs = holds(&barrel, p) && place >= from && place <= to;
                let forms = [Some(stretch.solid), stretch.to_face].into_iter().flatten();
                let held = forms
                    .map(|s| if let Solid::Barrel(b) = s { b } else { panic!("a tube") })
                    .all(|b| holds(&b, p));
                assert_eq!(held, belongs, "{p} at {place} in {from} to {to}");
                inside += usize::from(held);
            }
        }
        assert!(inside > 500 && two >= 4, "{inside} {two}");
    }

    #[test]
    fn a_stretch_of_a_bend_begins_and_ends_where_the_bend_does_there() {
        let start = Frame::new(DVec3::new(3.0, 4.0, 5.0), DVec3::X, DVec3::Z);
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
