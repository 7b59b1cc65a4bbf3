//! What is in the way of a pipe, with how far its middle line has to keep from each thing.

use super::field::Field;
use glam::DVec3;
use pipeloft_core::geom::vector::unit;
use pipeloft_core::space::PlacedShape;
use std::sync::Arc;

/// One thing in the way.
#[derive(Debug, Clone)]
pub(super) struct Thing {
    /// Its shape where it stands.
    pub(super) shape: PlacedShape,
    /// How far the middle line has to keep from it, mm: tube radius and gap.
    pub(super) need_mm: f64,
    /// How far any pipe has to keep from it for certain, mm: what a proof may count on.
    pub(super) sure_mm: f64,
    /// How much of the pipe next to its start and its end does not count against it, mm along the middle line.
    pub(super) stubs_mm: (f64, f64),
    /// Which of the things asked about it belongs to.
    pub(super) asked: usize,
    bounds: Option<(DVec3, DVec3)>,
    is_scan: bool,
}

impl Thing {
    /// A thing that counts everywhere but in the stubs.
    pub(super) fn new(shape: PlacedShape, need_mm: f64, stubs_mm: (f64, f64), asked: usize) -> Self {
        let (bounds, is_scan) = (shape.bounds(), shape.as_scan().is_some());
        Self { shape, need_mm, sure_mm: need_mm, stubs_mm, asked, bounds, is_scan }
    }

    /// Whether it is a scan: a surface without an inside.
    pub(super) fn is_scan(&self) -> bool {
        self.is_scan
    }

    /// A number its distance from `point` is never under, mm.
    fn at_least_mm(&self, point: DVec3) -> f64 {
        self.bounds.map_or(f64::NEG_INFINITY, |(low, high)| {
            (low - point).max(point - high).max(DVec3::ZERO).length()
        })
    }

    /// A number its distance from all of a ball is never under, mm.
    pub(super) fn at_least_from_ball_mm(&self, middle: DVec3, radius_mm: f64) -> f64 {
        self.at_least_mm(middle) - radius_mm
    }

    /// Distance from `point`, mm, below zero inside, and the nearest point of its surface; `None` where that is no less
    /// than `closer_than_mm`.
    pub(super) fn distance(&self, point: DVec3, closer_than_mm: f64) -> Option<(f64, DVec3)> {
        if self.at_least_mm(point) >= closer_than_mm {
            return None;
        }
        if let Some(scan) = self.shape.as_scan() {
            return scan.nearest(point, closer_than_mm).map(|found| (found.gap.gap_mm, found.gap.on_second));
        }
        Some(self.shape.nearest(point)).filter(|(mm, _)| *mm < closer_than_mm)
    }

    /// Whether it counts at a place so far from the start and from the end, mm.
    pub(super) fn counts(&self, (from_start_mm, from_end_mm): (f64, f64)) -> bool {
        from_start_mm >= self.stubs_mm.0 && from_end_mm >= self.stubs_mm.1
    }
}

/// What is nearest to a place, by how much nearer than it may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Nearest {
    /// Distance beyond what is needed, mm; below zero where it is too near.
    pub(super) spare_mm: f64,
    /// Unit direction away from it; zero where it has none.
    pub(super) away: DVec3,
    /// Which thing.
    pub(super) thing: usize,
}

/// All that is in the way, and the box that the middle line has to stay in.
#[derive(Debug, Clone)]
pub(super) struct Room {
    /// The things.
    pub(super) things: Vec<Thing>,
    /// Lowest and highest corner that the middle line may reach, mm.
    pub(super) bounds: (DVec3, DVec3),
    /// Room at the middles of cells, where that has been worked out: what it shows to be clear need not be measured.
    known: Option<Arc<Field>>,
    /// Balls about the ends within which it shows nothing: there some things do not count.
    unsure: Vec<(DVec3, f64)>,
}

impl Room {
    /// The room with these things in it.
    pub(super) fn new(things: Vec<Thing>, bounds: (DVec3, DVec3)) -> Self {
        Self { things, bounds, known: None, unsure: Vec::new() }
    }

    /// The same room with its own field known; `ends` are the two ends of the pipe.
    pub(super) fn knowing(&self, field: Arc<Field>, ends: [DVec3; 2]) -> Self {
        let stub_mm = |of: &dyn Fn(&Thing) -> f64| self.things.iter().map(of).fold(0.0, f64::max);
        let stubs_mm = [stub_mm(&|t| t.stubs_mm.0), stub_mm(&|t| t.stubs_mm.1)];
        let unsure = ends.into_iter().zip(stubs_mm).filter(|(_, mm)| *mm > 0.0).collect();
        Self { known: Some(field), unsure, ..self.clone() }
    }

    /// Whether it is known that everything within `radius_mm` of a point leaves `spare_mm` or more.
    pub(super) fn is_surely_clear(&self, point: DVec3, radius_mm: f64, spare_mm: f64) -> bool {
        self.known.as_ref().is_some_and(|field| {
            let sure =
                self.unsure.iter().all(|(end, mm)| end.distance(point) > mm + radius_mm + field.cell_mm);
            sure && field.at_least_mm(point).is_some_and(|mm| mm - radius_mm >= spare_mm)
        })
    }

    /// What leaves least beyond what it needs at `point`, so far from start and end; `None` where everything leaves
    /// `closer_than_mm` or more.
    pub(super) fn nearest(&self, point: DVec3, ends_mm: (f64, f64), closer_than_mm: f64) -> Option<Nearest> {
        if self.is_surely_clear(point, 0.0, closer_than_mm) {
            return None;
        }
        let mut best: Option<Nearest> = None;
        let mut limit_mm = closer_than_mm;
        for (index, thing) in self.things.iter().enumerate() {
            if !thing.counts(ends_mm) {
                continue;
            }
            let Some((mm, on)) = thing.distance(point, thing.need_mm + limit_mm) else { continue };
            limit_mm = mm - thing.need_mm;
            let out = unit(point - on).unwrap_or_default();
            let away = if mm < 0.0 { -out } else { out };
            best = Some(Nearest { spare_mm: limit_mm, away, thing: index });
        }
        best
    }

    /// How far `point` lies outside the box, mm, and the unit direction back into it.
    pub(super) fn outside(&self, point: DVec3) -> (f64, DVec3) {
        let back = (self.bounds.0 - point).max(DVec3::ZERO) - (point - self.bounds.1).max(DVec3::ZERO);
        let mm = back.length();
        (mm, unit(back).unwrap_or_default())
    }

    /// Whether there are scans among the things.
    pub(super) fn has_scans(&self) -> bool {
        self.things.iter().any(Thing::is_scan)
    }
}
