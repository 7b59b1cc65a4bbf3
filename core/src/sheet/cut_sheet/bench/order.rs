//! The pipe straightened out: every piece by its name in order, every weld between them.

use crate::fab::PieceKind;
use crate::report::RunReport;
use crate::sheet::fonts::{CAP_HEIGHT, text_width_mm};
use crate::sheet::page::{Anchor, Grey, Page, Pen, PointMm, Text};

/// Font sizes of pieces and welds, mm.
const PIECE: f64 = 3.8;
const WELD: f64 = 3.3;
/// Height of a box, of its row, and of the words over all, mm.
const BOX_MM: f64 = 6.2;
const ROW_MM: f64 = 12.2;
const TITLE_MM: f64 = 4.6;

/// A box and the weld before it, where one is.
#[derive(Debug, Clone)]
struct Cell {
    piece: usize,
    weld: Option<String>,
    width: f64,
}

/// Rows of boxes.
#[derive(Debug, Clone)]
pub(super) struct Strip {
    rows: Vec<Vec<Cell>>,
    last_weld: Option<String>,
    width: f64,
}

impl Strip {
    pub(super) fn new(run: &RunReport, width: f64) -> Self {
        let weld_at = |i: usize| run.welds.iter().find(|w| w.before == i).map(|w| w.mark.clone());
        let room = width - 2.0 * END_MM;
        let mut rows: Vec<Vec<Cell>> = vec![Vec::new()];
        let mut used = 0.0;
        for (i, piece) in run.printed.iter().enumerate() {
            let weld = weld_at(i);
            let weld_mm = weld.as_ref().map_or(0.0, |w| text_width_mm(w, WELD, false) + 1.4);
            let own = (text_width_mm(&piece.mark, PIECE, true) + 2.4).max(weld_mm);
            if used + own > room && !rows.last().is_none_or(Vec::is_empty) {
                rows.push(Vec::new());
                used = 0.0;
            }
            used += own;
            if let Some(row) = rows.last_mut() {
                row.push(Cell { piece: i, weld, width: own });
            }
        }
        Self { rows, last_weld: weld_at(run.printed.len()), width }
    }

    pub(super) fn height_mm(&self) -> f64 {
        TITLE_MM + self.rows.len() as f64 * ROW_MM
    }

    pub(super) fn draw(&self, page: &mut Page, corner: PointMm, run: &RunReport) {
        let words = "In order, straightened out: pieces in their boxes, each weld under the line where it is";
        let words = crate::sheet::fonts::fit_text(words, WELD, false, self.width);
        page.text(Text::new((corner.0, corner.1 + WELD), WELD, words));
        let count = self.rows.len();
        for (r, row) in self.rows.iter().enumerate() {
            let top = corner.1 + TITLE_MM + r as f64 * ROW_MM;
            let base = top + BOX_MM / 2.0 + CAP_HEIGHT * PIECE / 2.0;
            let mut x = corner.0 + END_MM;
            if r == 0 {
                page.text(Text::new((corner.0, base), WELD, "START").bold());
            }
            for cell in row {
                let piece = &run.printed[cell.piece];
                let is_joint =
                    run.built.pieces.get(cell.piece).is_some_and(|p| matches!(p.kind, PieceKind::Joint(_)));
                let fill = if is_joint { Grey::LIGHT } else { Grey::WHITE };
                page.rect((x, top), (cell.width, BOX_MM), Some(Pen::solid(0.4)), Some(fill));
                let at = (x + cell.width / 2.0, base);
                page.text(Text::new(at, PIECE, piece.mark.clone()).bold().anchored(Anchor::Middle));
                if let Some(weld) = &cell.weld {
                    seam(page, x, top, weld);
                }
                x += cell.width;
            }
            if r + 1 == count {
                if let Some(weld) = &self.last_weld {
                    seam(page, x, top, weld);
                }
                page.text(Text::new((x + 1.6, base), WELD, "END").bold());
            }
        }
    }
}

/// Room at both ends for the words START and END, mm.
const END_MM: f64 = 11.0;

/// The line of a weld with its name under it.
fn seam(page: &mut Page, x: f64, top: f64, weld: &str) {
    page.line((x, top - 0.8), (x, top + BOX_MM + 1.4), Pen::solid(0.9));
    let at = (x, top + BOX_MM + 1.8 + CAP_HEIGHT * WELD);
    page.text(Text::new(at, WELD, weld).anchored(Anchor::Middle));
}
