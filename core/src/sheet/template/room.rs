//! Free room on a strip, for words that must not be lost when it is cut out.

use super::unroll::Template;
use crate::sheet::area::Area;
use crate::sheet::page::PointMm;

/// Distance of words from the outline, mm.
const EDGE_MM: f64 = 0.7;
/// Distance of words from the outline as a part of the tube's diameter, where that is less.
const EDGE_PART: f64 = 0.02;
/// Distance of words from each other and from lines, mm.
const APART_MM: f64 = 0.5;
/// Places tried across and along a strip, at most.
const TRIES: (f64, f64) = (100.0, 40.0);
/// Places that are tried lie no nearer to each other than this, mm.
const STEP_MM: f64 = 1.0;

/// The inside of an outline and what has been put there, in the coordinates of the drawing (y down).
#[derive(Debug)]
pub(super) struct Room<'a> {
    template: &'a Template,
    origin: PointMm,
    words: Vec<Area>,
    spared: Vec<Area>,
}

impl<'a> Room<'a> {
    /// The empty inside of a strip whose centreline start at clock 0 is drawn at `origin`.
    pub(super) fn new(template: &'a Template, origin: PointMm) -> Self {
        Self { template, origin, words: Vec::new(), spared: Vec::new() }
    }

    /// Keeps words off a place.
    pub(super) fn take(&mut self, area: Area) {
        self.words.push(area.grown(APART_MM));
    }

    /// Keeps words off a place where there is room enough elsewhere.
    pub(super) fn spare(&mut self, area: Area) {
        self.spared.push(area);
    }

    /// Keeps words off an upright line where there is room enough elsewhere.
    pub(super) fn spare_line(&mut self, from: PointMm, to: PointMm) {
        let area = Area::new(from.0, from.1.min(to.1), 0.0, (from.1 - to.1).abs());
        self.spare(area.grown(APART_MM));
    }

    /// What is left of the upright line at `x` from `top` to `bottom` beside the words on it, from the top.
    pub(super) fn uncovered(&self, x: f64, (top, bottom): (f64, f64)) -> Vec<(f64, f64)> {
        let on_line = self.words.iter().filter(|w| w.left < x && x < w.right());
        let mut covered: Vec<(f64, f64)> = on_line.map(|w| (w.top, w.bottom())).collect();
        covered.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut out = Vec::with_capacity(covered.len() + 1);
        let mut at = top;
        for (from, to) in covered {
            if from.min(bottom) > at {
                out.push((at, from.min(bottom)));
            }
            at = at.max(to);
        }
        if bottom > at {
            out.push((at, bottom));
        }
        out
    }

    /// Whether a place lies inside the outline.
    pub(super) fn is_inside(&self, area: &Area) -> bool {
        let t = self.template;
        let edge = EDGE_MM.min(EDGE_PART * t.od_mm);
        let (left, right) = (area.left - self.origin.0 - edge, area.right() - self.origin.0 + edge);
        if left < 0.0 || right > t.width_mm() {
            return false;
        }
        let (from, to) = (t.clock_rad(left), t.clock_rad(right));
        let (low, high) = (self.origin.1 - area.bottom() - edge, self.origin.1 - area.top + edge);
        t.lower.range_mm(from, to).1 <= low && high <= t.upper.range_mm(from, to).0
    }

    /// Whether words can be put at a place; `anywhere` also over what is better kept clear.
    pub(super) fn is_free(&self, area: &Area, anywhere: bool) -> bool {
        // the cheap questions first
        let clear = |taken: &[Area]| !taken.iter().any(|t| t.meets(area));
        clear(&self.words) && (anywhere || clear(&self.spared)) && self.is_inside(area)
    }

    /// The free place of `size_mm` (width and height) whose middle is nearest to `near`.
    pub(super) fn find(&self, size_mm: (f64, f64), near: PointMm, anywhere: bool) -> Option<Area> {
        let (low, high) = self.template.extent_mm();
        let spare = (self.template.width_mm() - size_mm.0, high - low - size_mm.1);
        if spare.0 < 0.0 || spare.1 < 0.0 {
            return None;
        }
        let steps = |spare: f64, most: f64| (spare / STEP_MM).ceil().clamp(1.0, most) as u32;
        let (across, along) = (steps(spare.0, TRIES.0), steps(spare.1, TRIES.1));
        let corner = (self.origin.0, self.origin.1 - high);
        let mut best: Option<(f64, Area)> = None;
        for i in 0..=across {
            for j in 0..=along {
                let left = corner.0 + spare.0 * f64::from(i) / f64::from(across);
                let top = corner.1 + spare.1 * f64::from(j) / f64::from(along);
                let area = Area::new(left, top, size_mm.0, size_mm.1);
                let middle = area.centre();
                let far = (middle.0 - near.0).hypot(middle.1 - near.1);
                if best.is_none_or(|(least, _)| far < least) && self.is_free(&area, anywhere) {
                    best = Some((far, area));
                }
            }
        }
        best.map(|(_, area)| area)
    }
}
