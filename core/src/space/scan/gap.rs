//! Gaps between solids and a scan.

use super::super::gap::Gap;
use super::leaf::Part;
use super::placed::PlacedScan;
use crate::geom::Solid;
use crate::geom::tolerance::SEARCH_MM;
use glam::DVec3;
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// The search stops when nothing can be tighter by more than this, mm. A bend against one triangle may be off by
/// [`SEARCH_MM`] and a little more already; together they stay within [`GAP_MM`](crate::geom::tolerance::GAP_MM).
const SLACK_MM: f64 = SEARCH_MM / 2.0;

/// Where a scan was tightest the last time: a triangle to begin with, which saves most of the search while things
/// move little. A wrong one does no harm.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hint {
    /// The triangle, counted in the tree's scan.
    pub triangle: u32,
}

/// The tightest place between solids and a scan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScanGap {
    /// Which solid.
    pub solid: usize,
    /// The gap; its first point is of the solid, its second of the scan.
    pub gap: Gap,
    /// Which triangle, counted in the tree's scan.
    pub triangle: u32,
}

impl ScanGap {
    /// To begin the next search with.
    pub fn hint(&self) -> Hint {
        Hint { triangle: self.triangle }
    }
}

impl PlacedScan {
    /// The tightest gap from any of `solids` to the scan; `None` if none is less than `closer_than_mm`.
    ///
    /// Apart from the scan, the gap is exact to [`GAP_MM`](crate::geom::tolerance::GAP_MM); a solid all round which
    /// a closed scan lies without touching it is apart from it too. Zero or below, a triangle touches or cuts the
    /// solid; how far below says how deep, never more than the solid's radius, as an estimate. Solids with numbers
    /// that are not finite take no part.
    pub fn tightest(&self, solids: &[Solid], closer_than_mm: f64, hint: Option<Hint>) -> Option<ScanGap> {
        let parts: Vec<(usize, Part)> = solids
            .iter()
            .enumerate()
            .filter_map(|(i, solid)| Some((i, Part::of_solid(&self.solid_on_bench(solid))?)))
            .collect();
        self.search(&parts, closer_than_mm, hint)
    }

    /// The point of the scan nearest to `point`, and how far it is, as a gap; `None` if that is not less than
    /// `closer_than_mm`. Which side of the scan it is on is not told.
    pub fn nearest(&self, point: DVec3, closer_than_mm: f64) -> Option<ScanGap> {
        let part = Part::of_point(self.on_bench(point))?;
        self.search(&[(0, part)], closer_than_mm, None)
    }

    fn search(&self, parts: &[(usize, Part)], closer_than_mm: f64, hint: Option<Hint>) -> Option<ScanGap> {
        let mut search =
            TreeSearch { placed: self, parts, closer_than_mm, best: None, queue: BinaryHeap::new() };
        search.run(hint);
        let ScanGap { solid, gap, triangle } = search.best?;
        let gap =
            Gap { on_first: self.in_vehicle(gap.on_first), on_second: self.in_vehicle(gap.on_second), ..gap };
        Some(ScanGap { solid, gap, triangle })
    }
}

/// A part and a node still to be looked at.
#[derive(Debug, Clone, Copy)]
struct Pair {
    /// The gap can not be less than this, mm.
    at_least_mm: f64,
    part: u32,
    node: u32,
}

impl Ord for Pair {
    fn cmp(&self, other: &Self) -> Ordering {
        // the heap hands out the greatest: the least bound; equals by place, so that the same question has one answer
        let places = (other.part, other.node).cmp(&(self.part, self.node));
        other.at_least_mm.total_cmp(&self.at_least_mm).then(places)
    }
}

impl PartialOrd for Pair {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Pair {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Pair {}

struct TreeSearch<'a> {
    placed: &'a PlacedScan,
    parts: &'a [(usize, Part)],
    closer_than_mm: f64,
    best: Option<ScanGap>,
    queue: BinaryHeap<Pair>,
}

impl TreeSearch<'_> {
    fn run(&mut self, hint: Option<Hint>) {
        if let Some(Hint { triangle }) =
            hint.filter(|h| (h.triangle as usize) < self.placed.tree().scan().len())
        {
            (0..self.parts.len()).for_each(|part| self.look(part, triangle));
        }
        for part in 0..self.parts.len() {
            self.push(part as u32, 0);
        }
        while let Some(pair) = self.queue.pop() {
            if pair.at_least_mm >= self.limit_mm() {
                break;
            }
            self.go_down(pair);
        }
    }

    /// Gaps that are no less are of no interest.
    fn limit_mm(&self) -> f64 {
        self.best.map_or(self.closer_than_mm, |best| best.gap.gap_mm - SLACK_MM)
    }

    /// From a node to the triangles of its nearer half, that one's nearer half, and so on; the others are put by.
    fn go_down(&mut self, mut pair: Pair) {
        let nodes = self.placed.tree().nodes();
        while let Some(node) = nodes.get(pair.node as usize) {
            if node.count > 0 {
                for triangle in node.first..node.first + node.count {
                    self.look(pair.part as usize, triangle);
                }
                return;
            }
            let [one, other] = [node.first, node.first + 1].map(|child| self.pair(pair.part, child));
            let (near, far) = if one.at_least_mm <= other.at_least_mm { (one, other) } else { (other, one) };
            let limit_mm = self.limit_mm();
            if far.at_least_mm < limit_mm {
                self.queue.push(far);
            }
            if near.at_least_mm >= limit_mm {
                return;
            }
            pair = near;
        }
    }

    fn pair(&self, part: u32, node: u32) -> Pair {
        let bounds = self.placed.tree().nodes().get(node as usize).map(|node| self.placed.node_box(node));
        let part_of = self.parts.get(part as usize).map(|(_, part)| part);
        let at_least_mm =
            part_of.zip(bounds).map_or(f64::INFINITY, |(p, (middle, half))| p.at_least_mm(middle, half));
        Pair { at_least_mm, part, node }
    }

    fn push(&mut self, part: u32, node: u32) {
        let pair = self.pair(part, node);
        if pair.at_least_mm < self.limit_mm() {
            self.queue.push(pair);
        }
    }

    /// Measures one part to one triangle.
    fn look(&mut self, part: usize, triangle: u32) {
        let (solid, body) = &self.parts[part];
        let limit_mm = self.limit_mm();
        let Some(gap) = body.gap_to(self.placed.bench_corners(triangle), limit_mm) else { return };
        self.best = Some(ScanGap { solid: *solid, gap, triangle });
    }
}
