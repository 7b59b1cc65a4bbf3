//! What is selected.

use pipeloft_core::model::{Item, PieceKey, Vertex};
use pipeloft_core::report::{Report, RunReport};

/// What is selected or under the pointer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Selection {
    /// The item.
    pub item: Option<Item>,
    /// A bend of a run.
    pub vertex: Option<Vertex>,
    /// A piece of a run.
    pub piece: Option<PieceKey>,
    /// What the selected run or bar has its gap to shown to as a dimension, other than the tightest.
    pub against: Option<Item>,
}

impl Selection {
    /// Just an item.
    pub fn of(item: Item) -> Self {
        Self { item: Some(item), ..Self::default() }
    }

    /// The piece of a run at `index`.
    pub fn piece(run: &RunReport, index: usize) -> Self {
        let piece = run.built.pieces.get(index).and_then(|p| p.key);
        Self { item: Some(Item::Run(run.id)), piece, ..Self::default() }
    }

    /// The index of its piece, where it has one.
    pub fn piece_index(&self, report: &Report) -> Option<usize> {
        let key = self.piece?;
        report.run(key.run).filter(|run| self.item == Some(Item::Run(run.id)))?.piece_index(key)
    }

    /// A bend of a run.
    pub fn vertex(item: Item, vertex: Vertex) -> Self {
        Self { item: Some(item), vertex: Some(vertex), ..Self::default() }
    }
}
