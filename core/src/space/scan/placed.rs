//! A scan somewhere in the vehicle.

use super::ScanTree;
use super::tree::Node;
use crate::geom::{Barrel, Block, Drum, Elbow, Frame, Frustum, Solid};
use crate::model::obstacle::Pose;
use crate::space::brick::Brick;
use glam::{DQuat, DVec3};
use std::ops::Range;
use std::sync::Arc;

/// What a box of a scan's tree holds.
#[derive(Debug, Clone)]
pub(in crate::space) enum Held {
    /// Two boxes.
    Boxes([u32; 2]),
    /// Triangles.
    Triangles(Range<u32>),
}

/// A scan at a pose and a scale. Making one costs nothing: the tree is shared and never built again.
///
/// Questions are asked in the vehicle's axes and millimetres. Inside they are answered on the *bench*: the scan's own
/// axes about its own origin, in millimetres.
#[derive(Debug, Clone)]
pub struct PlacedScan {
    tree: Arc<ScanTree>,
    mm_per_unit: f64,
    /// Where the bench's origin is in the vehicle.
    origin_mm: DVec3,
    /// From the bench's axes to the vehicle's.
    turn: DQuat,
}

impl PartialEq for PlacedScan {
    /// Whether both are the same tree in memory at the same place; triangles are not compared.
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.tree, &other.tree)
            && self.mm_per_unit.to_bits() == other.mm_per_unit.to_bits()
            && self.origin_mm == other.origin_mm
            && self.turn == other.turn
    }
}

impl PlacedScan {
    /// The scan with the origin of its file at `pose`, its numbers taken times `mm_per_unit`; `None` where that is
    /// not above zero or a number is not finite.
    pub fn new(tree: Arc<ScanTree>, pose: &Pose, mm_per_unit: f64) -> Option<Self> {
        let turn = pose.rotation();
        let origin_mm = pose.position_mm + turn * (tree.scan().origin() * mm_per_unit);
        let (low, high) = tree.scan().bounds();
        let reach_mm = ((high - low) * mm_per_unit).length();
        let usable = mm_per_unit > 0.0 && turn.is_finite() && origin_mm.is_finite() && reach_mm.is_finite();
        usable.then_some(Self { tree, mm_per_unit, origin_mm, turn })
    }

    /// The tree it is of.
    pub fn tree(&self) -> &Arc<ScanTree> {
        &self.tree
    }

    /// Millimetres to one unit of the scan.
    pub fn mm_per_unit(&self) -> f64 {
        self.mm_per_unit
    }

    /// Where the origin of the scan's points ([`Scan::origin`](super::Scan::origin)) is in the vehicle, mm.
    pub fn origin_mm(&self) -> DVec3 {
        self.origin_mm
    }

    /// From the scan's own axes to the vehicle's.
    pub fn turn(&self) -> DQuat {
        self.turn
    }

    /// Lowest and highest coordinates of a box that holds the scan, mm: exact where it is turned by quarters, else
    /// of its turned box.
    pub fn bounds(&self) -> (DVec3, DVec3) {
        let (middle, half) =
            self.tree.nodes().first().map_or((DVec3::ZERO, DVec3::ZERO), |root| self.node_box(root));
        let axes = DVec3::AXES.map(|axis| (self.turn * axis).abs());
        let half = axes[0] * half.x + axes[1] * half.y + axes[2] * half.z;
        let middle = self.in_vehicle(middle);
        (middle - half, middle + half)
    }

    /// The corners of a triangle of the tree's scan, mm; `None` where there is no such triangle.
    pub fn corners(&self, triangle: u32) -> Option<[DVec3; 3]> {
        self.tree.scan().triangles().get(triangle as usize)?;
        Some(self.bench_corners(triangle).map(|corner| self.in_vehicle(corner)))
    }

    /// What box `node` of the tree holds; box 0 holds all. `None` where there is no such box.
    pub(in crate::space) fn held(&self, node: u32) -> Option<Held> {
        let node = self.tree.nodes().get(node as usize)?;
        Some(if node.count == 0 {
            Held::Boxes([node.first, node.first + 1])
        } else {
            Held::Triangles(node.first..node.first + node.count)
        })
    }

    /// Box `node` of the tree where it stands in the vehicle.
    pub(in crate::space) fn brick(&self, node: u32) -> Option<Brick> {
        let (middle, half) = self.node_box(self.tree.nodes().get(node as usize)?);
        Some(Brick::new(self.in_vehicle(middle), DVec3::AXES.map(|axis| self.turn * axis), half))
    }

    /// The corners of a triangle on the bench. There has to be such a triangle.
    pub(super) fn bench_corners(&self, triangle: u32) -> [DVec3; 3] {
        let scan = self.tree.scan();
        let corners = scan.triangles()[triangle as usize];
        corners.map(|corner| scan.points()[corner as usize].as_dvec3() * self.mm_per_unit)
    }

    /// Middle and half edges of a node's box on the bench.
    pub(super) fn node_box(&self, node: &Node) -> (DVec3, DVec3) {
        let (low, high) = (node.low.as_dvec3(), node.high.as_dvec3());
        ((low + high) * (self.mm_per_unit / 2.0), (high - low) * (self.mm_per_unit / 2.0))
    }

    pub(super) fn on_bench(&self, point: DVec3) -> DVec3 {
        self.direction_on_bench(point - self.origin_mm)
    }

    pub(super) fn direction_on_bench(&self, direction: DVec3) -> DVec3 {
        self.turn.inverse() * direction
    }

    pub(super) fn in_vehicle(&self, point: DVec3) -> DVec3 {
        self.origin_mm + self.turn * point
    }

    pub(super) fn direction_in_vehicle(&self, direction: DVec3) -> DVec3 {
        self.turn * direction
    }

    /// A solid of the vehicle on the bench.
    pub(super) fn solid_on_bench(&self, solid: &Solid) -> Solid {
        let turned = |direction: DVec3| self.direction_on_bench(direction);
        let frame = |frame: &Frame| Frame {
            origin: self.on_bench(frame.origin),
            travel: turned(frame.travel),
            index: turned(frame.index),
        };
        match solid {
            Solid::Barrel(b) => Solid::Barrel(Barrel {
                start: frame(&b.start),
                start_normal: turned(b.start_normal),
                end_normal: turned(b.end_normal),
                ..*b
            }),
            Solid::Elbow(e) => Solid::Elbow(Elbow { start: frame(&e.start), toward: turned(e.toward), ..*e }),
            Solid::Drum(d) => Solid::Drum(Drum { start: frame(&d.start), ..*d }),
            Solid::Block(b) => {
                Solid::Block(Block { centre: self.on_bench(b.centre), axes: b.axes.map(turned), ..*b })
            }
            Solid::Frustum(f) => {
                Solid::Frustum(Frustum { start: frame(&f.start), shift: turned(f.shift), ..*f })
            }
        }
    }
}
