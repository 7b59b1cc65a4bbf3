//! The boxes of a scan's tree, one by one, for searches that go down it themselves.

use super::super::brick::Brick;
use super::super::piece::Piece;
use super::placed::PlacedScan;

/// What is in a box of a scan's tree.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::space) enum ScanPart {
    /// A box, by its place in the tree; 0 is round all.
    Node(u32),
    /// A triangle, counted in the tree's scan.
    Triangle(u32),
}

impl PlacedScan {
    /// The part in the vehicle's axes; `None` where there is no such part.
    pub(in crate::space) fn piece(&self, part: ScanPart) -> Option<Piece> {
        match part {
            ScanPart::Node(node) => {
                let (middle, half_mm) = self.node_box(self.tree().nodes().get(node as usize)?);
                let axes = glam::DVec3::AXES.map(|axis| self.direction_in_vehicle(axis));
                Some(Piece::Brick(Brick::new(self.in_vehicle(middle), axes, half_mm)))
            }
            ScanPart::Triangle(triangle) => self.corners(triangle).map(Piece::Triangle),
        }
    }

    /// What a part holds; nothing for a triangle.
    pub(in crate::space) fn parts_of(&self, part: ScanPart) -> Vec<ScanPart> {
        let ScanPart::Node(node) = part else { return Vec::new() };
        match self.tree().nodes().get(node as usize) {
            Some(node) if node.count > 0 => {
                (node.first..node.first + node.count).map(ScanPart::Triangle).collect()
            }
            Some(node) => [node.first, node.first + 1].map(ScanPart::Node).to_vec(),
            None => Vec::new(),
        }
    }
}
