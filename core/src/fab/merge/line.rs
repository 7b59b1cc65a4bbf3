//! What is kept of each line along an arm: what ends it, and what smaller arms take beside that.

use super::super::limb::{Edge, Limb, Line};
use super::kept::{Gap, Kept, Merge, Other};
use super::meeting::Cut;
use crate::geom::search::largest;
use crate::geom::tolerance::COINCIDENT_MM;
use glam::DVec3;

/// Places in the wall at which the seat is looked for before closing in.
const IN_WALL: u32 = 8;
/// This part of the wall beside a skin it is looked whether the cut falls off from there.
const BESIDE: f64 = 1e-4;
/// Step of a clock where a slope is taken from two places, rad.
const SLOPE_STEP_RAD: f64 = 1e-6;

impl Merge {
    /// What is kept of the line of arm `arm` at clock `clock_rad`; `None` where there is no such arm.
    pub fn kept(&self, arm: usize, edge: Edge, clock_rad: f64) -> Option<Kept> {
        let (kept, cut) = self.line(arm, edge, clock_rad)?;
        let next = || self.line(arm, edge, clock_rad + SLOPE_STEP_RAD).map(|(k, _)| k.from_mm);
        Some(self.sloped(arm, clock_rad, (kept, cut), next))
    }

    /// Where that line begins, mm along the arm: [`Kept::from_mm`] alone.
    pub fn begins_mm(&self, arm: usize, edge: Edge, clock_rad: f64) -> Option<f64> {
        self.line(arm, edge, clock_rad).map(|(kept, _)| kept.from_mm)
    }

    /// What is kept of the line of an edge, without its slope; with what it is cut by.
    ///
    /// The seat is the furthest in the wall of what ends the arm. What a smaller arm takes beside that end is furthest at
    /// the outside: two round tubes make a corner that points inwards.
    pub(super) fn line(&self, arm: usize, edge: Edge, clock_rad: f64) -> Option<(Kept, Option<Cut>)> {
        let limb = self.arms.get(arm)?;
        match edge {
            Edge::Outside => Some(self.taken(arm, limb.radius_mm, clock_rad)),
            Edge::Inside => Some(self.taken(arm, limb.bore_mm(), clock_rad)),
            Edge::Seat => {
                let ended = self.ended(arm, self.seat_radius_mm(limb, arm, clock_rad), clock_rad);
                Some(joined_to(ended, self.bitten(arm, limb.radius_mm, clock_rad), limb.radius_mm))
            }
        }
    }

    /// Where an edge of an arm begins by what ends the arm alone, mm along it, and what that is.
    pub(super) fn end(&self, arm: usize, edge: Edge, clock_rad: f64) -> Option<(f64, Other)> {
        let limb = self.arms.get(arm)?;
        let radius_mm = match edge {
            Edge::Outside => limb.radius_mm,
            Edge::Inside => limb.bore_mm(),
            Edge::Seat => self.seat_radius_mm(limb, arm, clock_rad),
        };
        let (kept, _) = self.ended(arm, radius_mm, clock_rad);
        Some((kept.from_mm, kept.other))
    }

    /// Distance from an arm's axis at which its end reaches furthest up it at a clock, mm.
    fn seat_radius_mm(&self, limb: &Limb, arm: usize, clock_rad: f64) -> f64 {
        let from = |mm: f64| self.ended(arm, mm, clock_rad).0.from_mm;
        // nearly always it is one of the skins: that is so where it falls off right beside it
        let (bore_mm, skin_mm) = (limb.bore_mm(), limb.radius_mm);
        let at = |part: f64| from(bore_mm + (skin_mm - bore_mm) * part);
        let places = (0..=IN_WALL).map(|i| at(f64::from(i) / f64::from(IN_WALL)));
        let most = places.fold(f64::NEG_INFINITY, f64::max);
        if from(skin_mm) >= most && at(1.0 - BESIDE) <= from(skin_mm) {
            skin_mm
        } else if from(bore_mm) >= most && at(BESIDE) <= from(bore_mm) {
            bore_mm
        } else {
            largest(from, bore_mm, skin_mm, IN_WALL).0
        }
    }

    /// What is kept of a line `radius_mm` from an arm's axis.
    pub(super) fn kept_at(&self, arm: usize, radius_mm: f64, clock_rad: f64) -> Kept {
        let next = || Some(self.taken(arm, radius_mm, clock_rad + SLOPE_STEP_RAD).0.from_mm);
        self.sloped(arm, clock_rad, self.taken(arm, radius_mm, clock_rad), next)
    }

    /// With its slope: by the normal of what cuts it, else from the place `next` to it.
    fn sloped(
        &self,
        arm: usize,
        clock_rad: f64,
        (mut kept, cut): (Kept, Option<Cut>),
        next: impl Fn() -> Option<f64>,
    ) -> Kept {
        let limb = &self.arms[arm];
        let at = limb.generator(kept.radius_mm, clock_rad).point(kept.from_mm);
        let normal = cut.map(|cut| cut.normal(at).normalize_or_zero());
        let slope = normal.and_then(|normal| limb.slope(kept.radius_mm, clock_rad, normal));
        let stepped = || next().map_or(0.0, |mm| (mm - kept.from_mm) / SLOPE_STEP_RAD);
        kept.slope_mm = slope.unwrap_or_else(stepped);
        kept
    }

    /// Whether a smaller arm may take wall out of an arm.
    pub(super) fn is_bitten(&self, arm: usize, smaller: usize) -> bool {
        let by = |(against, cut): &(Other, Cut)| *against == Other::Arm(smaller) && cut.bites();
        self.cuts.get(arm).is_some_and(|cuts| cuts.iter().any(by))
    }

    pub(super) fn taken(&self, arm: usize, radius_mm: f64, clock_rad: f64) -> (Kept, Option<Cut>) {
        let ended = self.ended(arm, radius_mm, clock_rad);
        joined_to(ended, self.bitten(arm, radius_mm, clock_rad), radius_mm)
    }

    /// Where a line along an arm, `radius_mm` from its axis, begins by what ends the arm; with what that is.
    fn ended(&self, arm: usize, radius_mm: f64, clock_rad: f64) -> (Kept, Option<Cut>) {
        let limb = &self.arms[arm];
        let line = limb.generator(radius_mm, clock_rad);
        let depth_mm = limb.radius_mm - radius_mm;
        let cuts = self.cuts[arm].iter().filter(|(_, cut)| !cut.bites());
        let ends = cuts.filter_map(|(against, cut)| {
            Some((self.takes(*against, *cut, &line, depth_mm)?.1, *against, *cut))
        });
        let last = |a: &(f64, Other, Cut), b: &(f64, Other, Cut)| a.0.total_cmp(&b.0);
        // the skin of a larger tube ends a line only where that tube is left; else what it would have ended it at is gone
        let is_left =
            |(to, against, cut): &(f64, Other, Cut)| self.is_left(*against, *cut, line.point(*to), depth_mm);
        let furthest = ends.clone().max_by(last);
        let there = if furthest.as_ref().is_none_or(is_left) {
            furthest
        } else {
            ends.filter(is_left).max_by(last).or(furthest)
        };
        let (from_mm, other, by) = there
            .map_or((f64::NEG_INFINITY, Other::Outlet, None), |(to, against, cut)| (to, against, Some(cut)));
        (Kept { from_mm, slope_mm: 0.0, other, gaps: Vec::new(), radius_mm }, by)
    }

    /// Whether what cuts a line at a point is still there after its own cuts: a plane is always.
    fn is_left(&self, against: Other, cut: Cut, point: DVec3, depth_mm: f64) -> bool {
        let (Cut::OutOf { .. }, Other::Arm(of)) = (cut, against) else { return true };
        let Some(limb) = self.arms.get(of) else { return true };
        let from = point - limb.frame.origin;
        // only larger tubes cut it, so this comes to an end
        let (kept, _) = self.ended(of, limb.radius_mm - depth_mm, limb.frame.clock_of(from));
        from.dot(limb.away()) >= kept.from_mm - COINCIDENT_MM
    }

    /// The parts of such a line that smaller arms take, rising.
    fn bitten(&self, arm: usize, radius_mm: f64, clock_rad: f64) -> Vec<(f64, f64, Other, Cut)> {
        let limb = &self.arms[arm];
        let line = limb.generator(radius_mm, clock_rad);
        let bites = self.cuts[arm].iter().filter(|(_, cut)| cut.bites());
        let taken = bites.filter_map(|(against, cut)| {
            let (from, to) = self.takes(*against, *cut, &line, limb.radius_mm - radius_mm)?;
            Some((from, to, *against, *cut))
        });
        let mut out: Vec<(f64, f64, Other, Cut)> = taken.collect();
        out.sort_by(|a, b| a.0.total_cmp(&b.0));
        out
    }

    /// The part of a line that a cut takes, where what cuts is there to do so.
    fn takes(&self, against: Other, cut: Cut, line: &Line, depth_mm: f64) -> Option<(f64, f64)> {
        let taken = cut.takes(line, depth_mm)?;
        match (cut, against) {
            (Cut::Plane { .. }, _) | (_, Other::Outlet) => Some(taken),
            (Cut::OutOf { .. } | Cut::Bitten { .. }, Other::Arm(of)) => {
                Cut::where_it_is(line, taken, self.ends.get(of).map_or(&[][..], Vec::as_slice))
            }
        }
    }
}

/// A line with the parts that smaller arms take of it: what runs into its end is lost with that, the rest are gaps.
fn joined_to(
    (mut kept, mut by): (Kept, Option<Cut>),
    bites: Vec<(f64, f64, Other, Cut)>,
    bite_mm: f64,
) -> (Kept, Option<Cut>) {
    for (from, to, against, cut) in bites {
        let Other::Arm(smaller) = against else { continue };
        let lost_to = kept.gaps.last().map_or(kept.from_mm, |gap| gap.to_mm);
        if to <= lost_to {
            continue;
        }
        if from <= kept.from_mm {
            (kept.from_mm, kept.other, kept.radius_mm, by) = (to, against, bite_mm, Some(cut));
        } else {
            kept.gaps.push(Gap { from_mm: from.max(lost_to), to_mm: to, arm: smaller });
        }
    }
    (kept, by)
}
