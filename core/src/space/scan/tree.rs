//! Boxes round the triangles of a scan, round those boxes, and so on: built once for a mesh.

use super::Scan;
use super::watch::{Cancelled, Steps};
use crate::watch::Watch;
use glam::Vec3;
use std::fmt;
use std::mem::size_of;

/// Triangles in the last boxes, at most.
const LEAF: usize = 4;

/// Places where a box is tried to be divided.
const BINS: usize = 16;

/// Deeper than this, boxes are divided in the middle of their list, which ends.
const DEEP: u32 = 48;

/// Triangles gone over between two looks at the watch: a few milliseconds of work.
const CHUNK: usize = 65_536;

/// A box with what it holds, in the scan's own unit about its origin.
#[derive(Debug, Clone, Copy)]
pub(super) struct Node {
    /// Lowest coordinates.
    pub(super) low: Vec3,
    /// First triangle, or the first of two nodes that follow each other.
    pub(super) first: u32,
    /// Highest coordinates.
    pub(super) high: Vec3,
    /// How many triangles; 0 for a box of two nodes.
    pub(super) count: u32,
}

/// A scan made ready for questions.
///
/// Its triangles stand in an order of its own, in which neighbours are near each other.
#[derive(Clone)]
pub struct ScanTree {
    scan: Scan,
    nodes: Vec<Node>,
}

impl fmt::Debug for ScanTree {
    /// Counts only: a scan may have millions of triangles.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("ScanTree").field("triangles", &self.scan.len()).finish_non_exhaustive()
    }
}

/// A triangle on its way into the tree.
#[derive(Clone, Copy)]
struct Leaflet {
    low: Vec3,
    high: Vec3,
    corners: [u32; 3],
}

/// A node whose triangles still have to be divided.
struct Waiting {
    node: usize,
    from: usize,
    to: usize,
    depth: u32,
}

impl ScanTree {
    /// Prepares a scan: about half a second for a million triangles.
    ///
    /// Boxes are divided where the sum of surface times triangles of the two halves is least, out of sixteen
    /// places along the longest edge (I. Wald, *On fast construction of SAH-based bounding volume hierarchies*,
    /// IEEE Symposium on Interactive Ray Tracing 2007).
    pub fn new(mut scan: Scan, watch: &dyn Watch) -> Result<Self, Cancelled> {
        let steps = Steps::new(watch);
        let mut leaflets = leaflets(&scan, &steps)?;
        steps.stage(0.1, 0.95);
        let nodes = divided(&mut leaflets, &steps)?;
        for (triangle, leaflet) in scan.mesh.triangles.iter_mut().zip(&leaflets) {
            *triangle = leaflet.corners;
        }
        steps.finish();
        Ok(Self { scan, nodes })
    }

    /// The scan, its triangles in the order of the tree.
    pub fn scan(&self) -> &Scan {
        &self.scan
    }

    /// The nodes; the first is round all.
    pub(super) fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    /// Memory it takes, the scan included, bytes.
    pub fn bytes(&self) -> usize {
        self.scan.bytes() + self.nodes.capacity() * size_of::<Node>()
    }
}

fn leaflets(scan: &Scan, steps: &Steps<'_>) -> Result<Vec<Leaflet>, Cancelled> {
    steps.stage(0.0, 0.1);
    let mesh = &scan.mesh;
    let mut all = Vec::with_capacity(mesh.triangles.len());
    for chunk in mesh.triangles.chunks(CHUNK) {
        steps.at(all.len() as f64 / mesh.triangles.len() as f64)?;
        all.extend(chunk.iter().map(|&corners| {
            let [a, b, c] = corners.map(|corner| mesh.points[corner as usize]);
            Leaflet { low: a.min(b).min(c), high: a.max(b).max(c), corners }
        }));
    }
    Ok(all)
}

/// The tree over the leaflets, which come into its order.
fn divided(leaflets: &mut [Leaflet], steps: &Steps<'_>) -> Result<Vec<Node>, Cancelled> {
    let all = leaflets.len();
    let mut nodes = Vec::with_capacity(all);
    nodes.push(Node { low: Vec3::ZERO, high: Vec3::ZERO, first: 0, count: 0 });
    let mut waiting = vec![Waiting { node: 0, from: 0, to: all, depth: 0 }];
    let (mut done, mut gone_over) = (0, 0);
    while let Some(Waiting { node, from, to, depth }) = waiting.pop() {
        let part = &mut leaflets[from..to];
        gone_over += part.len();
        if gone_over >= CHUNK {
            gone_over = 0;
            steps.at(done as f64 / all as f64)?;
        }
        let (low, high) = part.iter().fold(EMPTY, |box_so_far, l| joined(box_so_far, (l.low, l.high)));
        let split = if part.len() <= LEAF { None } else { Some(split(part, depth)) };
        let Some(split) = split else {
            nodes[node] = Node { low, high, first: from as u32, count: part.len() as u32 };
            done += part.len();
            continue;
        };
        let first = nodes.len();
        nodes[node] = Node { low, high, first: first as u32, count: 0 };
        nodes.extend([nodes[node]; 2]);
        waiting.push(Waiting { node: first + 1, from: from + split, to, depth: depth + 1 });
        waiting.push(Waiting { node: first, from, to: from + split, depth: depth + 1 });
    }
    nodes.shrink_to_fit();
    Ok(nodes)
}

const EMPTY: (Vec3, Vec3) = (Vec3::INFINITY, Vec3::NEG_INFINITY);

fn joined(a: (Vec3, Vec3), b: (Vec3, Vec3)) -> (Vec3, Vec3) {
    (a.0.min(b.0), a.1.max(b.1))
}

/// Half the surface of a box.
fn surface(bounds: (Vec3, Vec3)) -> f32 {
    let edge = (bounds.1 - bounds.0).max(Vec3::ZERO);
    edge.x * edge.y + edge.y * edge.z + edge.z * edge.x
}

/// Brings the leaflets into two groups, neither empty; how many are in the first.
fn split(part: &mut [Leaflet], depth: u32) -> usize {
    let half = part.len() / 2;
    let middle = |l: &Leaflet| l.low + l.high; // twice the middle is as good
    let (low, high) = part.iter().fold(EMPTY, |all, l| joined(all, (middle(l), middle(l))));
    let spread = high - low;
    let axis = spread.max_position();
    if spread[axis] > 0.0 && depth < DEEP {
        let scale = BINS as f32 / spread[axis];
        let bin = |l: &Leaflet| (((middle(l)[axis] - low[axis]) * scale) as usize).min(BINS - 1);
        if let Some(best) = best_bin(part, bin) {
            return partition(part, |l| bin(l) < best);
        }
    }
    part.select_nth_unstable_by(half, |a, b| middle(a)[axis].total_cmp(&middle(b)[axis]));
    half
}

/// The first bin of the second group, where the two cost least; `None` where all are in one.
fn best_bin(part: &[Leaflet], bin: impl Fn(&Leaflet) -> usize) -> Option<usize> {
    let mut bins = [(EMPTY, 0_usize); BINS];
    for leaflet in part {
        let (bounds, count) = &mut bins[bin(leaflet)];
        *bounds = joined(*bounds, (leaflet.low, leaflet.high));
        *count += 1;
    }
    let cost = |(bounds, count): ((Vec3, Vec3), usize)| surface(bounds) * count as f32;
    let gather = |(so_far, count): ((Vec3, Vec3), usize), (bounds, more): ((Vec3, Vec3), usize)| {
        (joined(so_far, bounds), count + more)
    };
    let mut after = [(EMPTY, 0); BINS + 1];
    for i in (0..BINS).rev() {
        after[i] = gather(after[i + 1], bins[i]);
    }
    let mut before = (EMPTY, 0);
    let mut best = None;
    for i in 1..BINS {
        before = gather(before, bins[i - 1]);
        if before.1 == 0 || after[i].1 == 0 {
            continue;
        }
        let both = cost(before) + cost(after[i]);
        if best.is_none_or(|(least, _)| both < least) {
            best = Some((both, i));
        }
    }
    best.map(|(_, i)| i)
}

/// Brings those that are `first` before the others; how many they are.
fn partition(part: &mut [Leaflet], first: impl Fn(&Leaflet) -> bool) -> usize {
    let mut count = 0;
    for i in 0..part.len() {
        if first(&part[i]) {
            part.swap(i, count);
            count += 1;
        }
    }
    count
}
