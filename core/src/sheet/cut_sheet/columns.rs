//! Tables whose columns are as wide as what stands in them.

use crate::sheet::page::Anchor;
use crate::sheet::table::{Cell, Column, Row, Table};

/// Most space that is added to a column so that a narrow table looks even, mm.
const SLACK_MM: f64 = 7.0;
/// A column is never made narrower than this, mm.
const LEAST_MM: f64 = 8.0;

/// A column before it is known how wide it has to be.
#[derive(Debug, Clone)]
pub(super) struct Plan {
    title: &'static str,
    align: Anchor,
    /// Left out where the table would be too wide, the highest first; 0 for one that always stays.
    spare: u8,
    /// Whether its texts may be cut short.
    gives: bool,
}

impl Plan {
    /// A column of figures.
    pub(super) fn figures(title: &'static str) -> Self {
        Self { title, align: Anchor::End, spare: 0, gives: false }
    }

    /// A column of words.
    pub(super) fn words(title: &'static str) -> Self {
        Self { title, align: Anchor::Start, spare: 0, gives: false }
    }

    /// A column of tick boxes.
    pub(super) fn ticks() -> Self {
        Self { title: "", align: Anchor::Middle, spare: 0, gives: false }
    }

    /// The same column under another title.
    pub(super) fn titled(self, title: &'static str) -> Self {
        Self { title, ..self }
    }

    /// The same column, left out before others where there is no room; the highest goes first.
    pub(super) fn spare(self, spare: u8) -> Self {
        Self { spare, ..self }
    }

    /// The same column, whose texts may be cut short.
    pub(super) fn gives(self) -> Self {
        Self { gives: true, ..self }
    }
}

/// The table that fits `width_mm` in letters of `size_mm`.
///
/// Spare columns go first, then columns that may give are narrowed, then all.
pub(super) fn table(mut plans: Vec<Plan>, mut rows: Vec<Row>, size_mm: f64, width_mm: f64) -> Table {
    loop {
        let columns = plans.iter().map(|p| Column::new(p.title, 0.0, p.align)).collect();
        let mut table = Table::new(columns, size_mm);
        table.rows = rows;
        let needs: Vec<f64> = (0..plans.len()).map(|i| table.needs_mm(i)).collect();
        let sum: f64 = needs.iter().sum();
        if sum > width_mm
            && let Some(out) =
                (0..plans.len()).filter(|i| plans[*i].spare > 0).max_by_key(|i| plans[*i].spare)
        {
            plans.remove(out);
            rows = table.rows.into_iter().map(|row| without(row, out)).collect();
            continue;
        }
        for (column, width) in table.columns.iter_mut().zip(widths(&plans, &needs, width_mm)) {
            column.width_mm = width;
        }
        return table;
    }
}

fn without(row: Row, column: usize) -> Row {
    match row {
        Row::Cells(cells) => {
            let kept = cells.into_iter().enumerate().filter(|(i, _)| *i != column);
            Row::Cells(kept.map(|(_, cell)| cell).collect::<Vec<Cell>>())
        }
        Row::Heading(words) => Row::Heading(words),
    }
}

fn widths(plans: &[Plan], needs: &[f64], width_mm: f64) -> Vec<f64> {
    let sum: f64 = needs.iter().sum();
    if sum <= width_mm {
        let slack = ((width_mm - sum) / needs.len().max(1) as f64).min(SLACK_MM);
        return needs.iter().map(|n| n + slack).collect();
    }
    let giving: f64 = needs.iter().zip(plans).filter(|(_, p)| p.gives).map(|(n, _)| n).sum();
    if giving > 0.0 && sum - giving < width_mm - LEAST_MM {
        let part = (width_mm - (sum - giving)) / giving;
        return needs.iter().zip(plans).map(|(n, p)| if p.gives { n * part } else { *n }).collect();
    }
    needs.iter().map(|n| n * width_mm / sum).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(words: &[&str]) -> Row {
        Row::Cells(words.iter().map(|w| Cell::Text((*w).to_owned())).collect())
    }

    #[test]
    fn spare_columns_go_before_anything_is_cut_short() {
        let plans =
            || vec![Plan::words("Name").gives(), Plan::figures("Long"), Plan::figures("Centre").spare(1)];
        let rows = || vec![row(&["a name", "123.5 mm", "120.0 mm"])];
        let wide = table(plans(), rows(), 5.0, 200.0);
        assert_eq!(wide.columns.len(), 3);
        let narrow = table(plans(), rows(), 5.0, 60.0);
        assert_eq!(narrow.columns.len(), 2);
        assert!(narrow.columns[0].width_mm >= narrow.needs_mm(0));
        let tight = table(plans(), rows(), 5.0, 45.0);
        assert!(tight.columns[1].width_mm >= tight.needs_mm(1));
        assert!(tight.width_mm() <= 45.0 + 1e-9);
        assert!(table(plans(), rows(), 5.0, 10.0).width_mm() <= 10.0 + 1e-9);
    }
}
