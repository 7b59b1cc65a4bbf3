//! Tables whose columns are as wide as what stands in them.

use super::flow::{ROWS, TIGHT};
use crate::sheet::page::Anchor;
use crate::sheet::table::{Column, Row, Table};

/// Most space that is added to a column so that a narrow table looks even, mm.
const SLACK_MM: f64 = 7.0;
/// A column is never made narrower than this, mm.
const LEAST_MM: f64 = 8.0;

/// A column before it is known how wide it has to be.
#[derive(Debug, Clone)]
pub(super) struct Plan {
    title: &'static str,
    align: Anchor,
    /// Whether its texts may be cut short.
    shrinks: bool,
}

impl Plan {
    /// A column of figures.
    pub(super) fn figures(title: &'static str) -> Self {
        Self { title, align: Anchor::End, shrinks: false }
    }

    /// A column of words.
    pub(super) fn words(title: &'static str) -> Self {
        Self { title, align: Anchor::Start, shrinks: false }
    }

    /// A column of tick boxes.
    pub(super) fn ticks() -> Self {
        Self { title: "", align: Anchor::Middle, shrinks: false }
    }

    /// The same column, whose texts may be cut short.
    pub(super) fn shrinks(self) -> Self {
        Self { shrinks: true, ..self }
    }
}

/// The table in the largest letters in which it fits `width_mm` whole, but no smaller than [`TIGHT`].
pub(super) fn fitted(plans: &[Plan], rows: &[Row], width_mm: f64) -> Table {
    let sizes = [ROWS, f64::midpoint(ROWS, TIGHT), TIGHT];
    let made = |size: f64| table(plans, rows.to_vec(), size, width_mm);
    let whole = |t: &Table| (0..plans.len()).all(|i| t.columns[i].width_mm >= t.needs_mm(i) - 1e-9);
    sizes.into_iter().map(made).find(whole).unwrap_or_else(|| made(TIGHT))
}

/// The table that fits `width_mm` in letters of `size_mm`; where it is too wide, columns that may give are narrowed,
/// else all.
pub(super) fn table(plans: &[Plan], rows: Vec<Row>, size_mm: f64, width_mm: f64) -> Table {
    let columns = plans.iter().map(|p| Column::new(p.title, 0.0, p.align)).collect();
    let mut table = Table::new(columns, size_mm);
    table.rows = rows;
    let needs: Vec<f64> = (0..plans.len()).map(|i| table.needs_mm(i)).collect();
    for (column, width) in table.columns.iter_mut().zip(widths(plans, &needs, width_mm)) {
        column.width_mm = width;
    }
    table
}

fn widths(plans: &[Plan], needs: &[f64], width_mm: f64) -> Vec<f64> {
    let sum: f64 = needs.iter().sum();
    if sum <= width_mm {
        let slack = ((width_mm - sum) / needs.len().max(1) as f64).min(SLACK_MM);
        return needs.iter().map(|n| n + slack).collect();
    }
    let giving: f64 = needs.iter().zip(plans).filter(|(_, p)| p.shrinks).map(|(n, _)| n).sum();
    if giving > 0.0 && sum - giving < width_mm - LEAST_MM {
        let part = (width_mm - (sum - giving)) / giving;
        return needs.iter().zip(plans).map(|(n, p)| if p.shrinks { n * part } else { *n }).collect();
    }
    needs.iter().map(|n| n * width_mm / sum).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::table::Cell;

    fn row(words: &[&str]) -> Row {
        Row::Cells(words.iter().map(|w| Cell::Text((*w).to_owned())).collect())
    }

    #[test]
    fn letters_get_smaller_before_anything_is_cut_short() {
        let plans = [Plan::words("Name").shrinks(), Plan::figures("Long"), Plan::figures("Centre")];
        let rows = [row(&["a name", "a length", "in the middle"])];
        let whole = |t: &Table| (0..3).all(|i| t.columns[i].width_mm >= t.needs_mm(i));
        let wide = fitted(&plans, &rows, 200.0);
        assert!(whole(&wide) && (wide.size_mm - ROWS).abs() < 1e-9);
        let needed: f64 = (0..3).map(|i| wide.needs_mm(i)).sum();
        let narrow = fitted(&plans, &rows, needed - 1.0);
        assert!(whole(&narrow) && narrow.size_mm < ROWS && narrow.size_mm >= TIGHT);
        let tight = fitted(&plans, &rows, 0.7 * needed);
        assert!(tight.columns[1].width_mm >= tight.needs_mm(1));
        assert!(tight.width_mm() <= 0.7 * needed + 1e-9);
        assert!(fitted(&plans, &rows, 10.0).width_mm() <= 10.0 + 1e-9);
    }
}
