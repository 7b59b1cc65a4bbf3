//! Tables that are drawn as many rows at a time as fit on a page.

use super::fonts::{CAP_HEIGHT, fit_text, text_width_mm};
use super::page::{Anchor, Grey, Page, Pen, PointMm, Text};

/// Line above and below the table and under its header.
const FRAME: Pen = Pen::solid(0.5);
/// Line between rows.
const RULE: Pen = Pen::solid(0.15).in_grey(Grey::DARK);
/// Outline of a tick box.
const TICK: Pen = Pen::solid(0.35);
/// Height of a row as a part of the font size.
const ROW: f64 = 1.75;
/// Distance of the lines of a header as a part of its font size.
const LEADING: f64 = 1.2;
/// Free space left and right in a cell as a part of the font size.
const PAD: f64 = 0.4;
/// Font size of the header as a part of that of the rows.
const HEADER: f64 = 0.8;
/// Side of a tick box as a part of the font size.
const TICK_SIDE: f64 = 0.95;
/// Font size of what stands beside a key figure as a part of that of the rows.
const BESIDE: f64 = 0.72;
/// But never less than this, mm: what can just be read at arm's length (common practice, no source).
const LEAST_SIZE_MM: f64 = 3.6;
/// Distance of it from the key figure as a part of the font size.
const BESIDE_GAP: f64 = 0.3;

/// Room that is short of a row by this part of one is short by rounding only.
const ROUNDING: f64 = 1e-9;

/// A column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// What stands at its head; a line break starts a second line.
    pub title: String,
    /// Width, mm.
    pub width_mm: f64,
    /// Which side its cells keep to.
    pub align: Anchor,
}

impl Column {
    /// A column.
    pub fn new(title: impl Into<String>, width_mm: f64, align: Anchor) -> Self {
        Self { title: title.into(), width_mm, align }
    }
}

/// What stands in a cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell {
    /// Nothing.
    Empty,
    /// A text, cut short where the column is too narrow.
    Text(String),
    /// The same in bold.
    Bold(String),
    /// A figure to work to, in bold, and something smaller beside it.
    Key {
        /// The figure.
        main: String,
        /// What stands beside it; may be empty.
        beside: String,
    },
    /// A text in the smaller letters of what stands beside a key figure.
    Small(String),
    /// A box to tick.
    TickBox,
}

/// Font size of headers over rows in letters of `size_mm`, mm.
fn header_size_mm(size_mm: f64) -> f64 {
    (HEADER * size_mm).max(LEAST_SIZE_MM.min(size_mm))
}

/// Font size of what stands beside key figures in letters of `size_mm`, mm.
fn beside_size_mm(size_mm: f64) -> f64 {
    (BESIDE * size_mm).max(LEAST_SIZE_MM.min(size_mm))
}

impl Cell {
    /// Width it needs in letters of `size_mm`, without the free space left and right, mm.
    fn width_mm(&self, size_mm: f64) -> f64 {
        match self {
            Self::Empty => 0.0,
            Self::Text(words) => text_width_mm(words, size_mm, false),
            Self::Bold(words) => text_width_mm(words, size_mm, true),
            Self::Key { main, beside } if beside.is_empty() => text_width_mm(main, size_mm, true),
            Self::Key { main, beside } => {
                text_width_mm(main, size_mm, true)
                    + BESIDE_GAP * size_mm
                    + text_width_mm(beside, beside_size_mm(size_mm), false)
            }
            Self::Small(words) => text_width_mm(words, beside_size_mm(size_mm), false),
            Self::TickBox => TICK_SIDE * size_mm,
        }
    }
}

/// A row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Row {
    /// A cell for each column; missing ones are empty, further ones are not drawn.
    Cells(Vec<Cell>),
    /// A bold line over all columns that heads the rows after it, and goes to the next page with them.
    Heading(String),
}

/// A table.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Its columns from left to right.
    pub columns: Vec<Column>,
    /// Its rows from top to bottom.
    pub rows: Vec<Row>,
    /// Font size, mm.
    pub size_mm: f64,
}

/// How much of a table was drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn {
    /// Number of rows.
    pub rows: usize,
    /// Height from the top of the header to the bottom line, mm.
    pub height_mm: f64,
}

impl Table {
    /// A table without rows, in letters of `size_mm`.
    pub fn new(columns: Vec<Column>, size_mm: f64) -> Self {
        Self { columns, rows: Vec::new(), size_mm }
    }

    /// Width of all columns, mm.
    pub fn width_mm(&self) -> f64 {
        self.columns.iter().map(|c| c.width_mm).sum()
    }

    /// The same table with its columns widened or narrowed alike so that it is `width_mm` wide.
    #[must_use]
    pub fn spread_to(mut self, width_mm: f64) -> Self {
        let old = self.width_mm();
        if old > 0.0 {
            for column in &mut self.columns {
                column.width_mm *= width_mm / old;
            }
        }
        self
    }

    /// The width column `index` needs so that nothing in it is cut short, mm.
    pub fn needs_mm(&self, index: usize) -> f64 {
        let title = self.columns.get(index).map_or("", |c| c.title.as_str());
        let titles = title.split('\n').map(|line| text_width_mm(line, header_size_mm(self.size_mm), true));
        let cells = self.rows.iter().filter_map(|row| match row {
            Row::Cells(cells) => Some(cells.get(index)?.width_mm(self.size_mm)),
            Row::Heading(_) => None,
        });
        // a little more, so that rounding does not cut the widest one short
        titles.chain(cells).fold(0.0, f64::max) + 2.0 * self.pad_mm() + 0.01
    }

    /// Height of one row, mm.
    pub fn row_mm(&self) -> f64 {
        self.size_mm * ROW
    }

    /// Height of the header, mm.
    pub fn header_mm(&self) -> f64 {
        let lines = self.columns.iter().map(|c| c.title.split('\n').count()).max().unwrap_or(1);
        header_size_mm(self.size_mm) * (LEADING * (lines as f64 - 1.0) + ROW)
    }

    /// Height of the header and all rows, mm.
    pub fn height_mm(&self) -> f64 {
        self.header_mm() + self.row_mm() * self.rows.len() as f64
    }

    /// How many rows from `first` fit under a header in `height_mm`. A heading is not left without a row.
    pub fn rows_that_fit(&self, first: usize, height_mm: f64) -> usize {
        let left = self.rows.get(first..).unwrap_or_default();
        let room = ((height_mm - self.header_mm()) / self.row_mm() + ROUNDING).floor().max(0.0) as usize;
        if room >= left.len() {
            return left.len();
        }
        let ends_in_headings =
            left[..room].iter().rev().take_while(|row| matches!(row, Row::Heading(_))).count();
        room - ends_in_headings
    }

    /// Draws the header and as many rows from row `first` as fit in `height_mm` below `corner`, the left top.
    ///
    /// The caller goes on with row `first + rows` on the next page. When rows are left and none fits, nothing
    /// is drawn; that it would not fit on an empty page either is for the caller to see.
    pub fn draw(&self, page: &mut Page, corner: PointMm, height_mm: f64, first: usize) -> Drawn {
        let count = self.rows_that_fit(first, height_mm);
        let rows = self.rows.get(first..first + count).unwrap_or_default();
        if rows.is_empty() && (first < self.rows.len() || self.header_mm() > height_mm) {
            return Drawn { rows: 0, height_mm: 0.0 };
        }
        let (left, top) = corner;
        let right = left + self.width_mm();
        self.draw_header(page, corner);
        let under_header = top + self.header_mm();
        let mut y = under_header;
        for (index, row) in rows.iter().enumerate() {
            self.draw_row(page, (left, y), row);
            y += self.row_mm();
            if index + 1 < rows.len() {
                page.line((left, y), (right, y), RULE);
            }
        }
        // Last, so that shaded rows do not cover half their width.
        for y in [top, under_header, y] {
            page.line((left, y), (right, y), FRAME);
        }
        Drawn { rows: rows.len(), height_mm: y - top }
    }

    fn draw_header(&self, page: &mut Page, corner: PointMm) {
        let size = header_size_mm(self.size_mm);
        let bottom = corner.1 + self.header_mm() - (ROW - CAP_HEIGHT) / 2.0 * size;
        let mut left = corner.0;
        for column in &self.columns {
            let lines: Vec<&str> = column.title.split('\n').collect();
            for (above, line) in lines.iter().rev().enumerate() {
                let baseline = bottom - above as f64 * LEADING * size;
                self.draw_text(page, (left, baseline), column, &Text::new(corner, size, *line).bold());
            }
            left += column.width_mm;
        }
    }

    fn draw_row(&self, page: &mut Page, corner: PointMm, row: &Row) {
        let baseline = corner.1 + f64::midpoint(self.row_mm(), CAP_HEIGHT * self.size_mm);
        let text = |words: &str| Text::new(corner, self.size_mm, words);
        let cells = match row {
            Row::Cells(cells) => cells,
            Row::Heading(words) => {
                let whole = Column::new("", self.width_mm(), Anchor::Start);
                page.rect(corner, (self.width_mm(), self.row_mm()), None, Some(Grey::LIGHT));
                self.draw_text(page, (corner.0, baseline), &whole, &text(words).bold());
                return;
            }
        };
        let mut left = corner.0;
        for (column, cell) in self.columns.iter().zip(cells) {
            let at = (left, baseline);
            match cell {
                Cell::Empty => {}
                Cell::Text(words) => self.draw_text(page, at, column, &text(words)),
                Cell::Bold(words) => self.draw_text(page, at, column, &text(words).bold()),
                Cell::Key { main, beside } => self.draw_key(page, at, column, (main, beside)),
                Cell::Small(words) => {
                    let small = Text::new(corner, beside_size_mm(self.size_mm), words);
                    self.draw_text(page, at, column, &small);
                }
                Cell::TickBox => {
                    let side = self.size_mm * TICK_SIDE;
                    let x = match column.align {
                        Anchor::Start => left + self.pad_mm(),
                        Anchor::Middle => left + (column.width_mm - side) / 2.0,
                        Anchor::End => left + column.width_mm - self.pad_mm() - side,
                    };
                    let y = corner.1 + (self.row_mm() - side) / 2.0;
                    page.rect((x, y), (side, side), Some(TICK), None);
                }
            }
            left += column.width_mm;
        }
    }

    /// Puts a text into the column that starts at `at`, cut to its width.
    fn draw_text(&self, page: &mut Page, at: PointMm, column: &Column, text: &Text) {
        let pad = self.pad_mm();
        let words = fit_text(&text.words, text.size_mm, text.bold, column.width_mm - 2.0 * pad);
        let x = match column.align {
            Anchor::Start => at.0 + pad,
            Anchor::Middle => at.0 + column.width_mm / 2.0,
            Anchor::End => at.0 + column.width_mm - pad,
        };
        page.text(Text { at: (x, at.1), words, anchor: column.align, ..text.clone() });
    }

    /// Puts a key figure and what stands beside it into the column that starts at `at`.
    fn draw_key(&self, page: &mut Page, at: PointMm, column: &Column, (main, beside): (&str, &str)) {
        let (size, small) = (self.size_mm, beside_size_mm(self.size_mm));
        let room = column.width_mm - 2.0 * self.pad_mm();
        let main = fit_text(main, size, true, room);
        let main_mm = text_width_mm(&main, size, true);
        let gap = if beside.is_empty() { 0.0 } else { BESIDE_GAP * size };
        let beside = fit_text(beside, small, false, room - main_mm - gap);
        let width = main_mm + gap + text_width_mm(&beside, small, false);
        let left = at.0
            + self.pad_mm()
            + match column.align {
                Anchor::Start => 0.0,
                Anchor::Middle => (room - width) / 2.0,
                Anchor::End => room - width,
            };
        page.text(Text::new((left, at.1), size, main).bold());
        if !beside.is_empty() {
            page.text(Text::new((left + main_mm + gap, at.1), small, beside));
        }
    }

    fn pad_mm(&self) -> f64 {
        self.size_mm * PAD
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::page::{Mark, PaperSize};
    use crate::sheet::text_width_mm;
    use approx::assert_relative_eq;

    fn table(rows: usize) -> Table {
        let columns =
            vec![Column::new("Mark", 20.0, Anchor::Start), Column::new("Long\npoint", 40.0, Anchor::End)];
        let mut table = Table::new(columns, 5.0);
        for n in 0..rows {
            table.rows.push(Row::Cells(vec![Cell::Bold(format!("A{n}")), Cell::TickBox]));
        }
        table
    }

    fn words(page: &Page) -> Vec<&str> {
        page.marks
            .iter()
            .filter_map(|mark| if let Mark::Text(t) = mark { Some(t.words.as_str()) } else { None })
            .collect()
    }

    #[test]
    fn rows_go_over_to_the_next_page_under_a_new_header() {
        let table = table(10);
        let room = table.header_mm() + 4.0 * table.row_mm();
        let (mut first, mut pages) = (0, Vec::new());
        while first < table.rows.len() {
            let mut page = Page::new(PaperSize::A4);
            let drawn = table.draw(&mut page, (10.0, 10.0), room, first);
            assert!(drawn.height_mm <= room + 1e-9 && drawn.rows > 0);
            first += drawn.rows;
            pages.push((drawn.rows, page));
        }
        assert_eq!(pages.iter().map(|p| p.0).collect::<Vec<_>>(), [4, 4, 2]);
        for (_, page) in &pages {
            assert_eq!(words(page)[..3], ["Mark", "point", "Long"]);
        }
        assert_eq!(words(&pages[2].1)[3..], ["A8", "A9"]);
    }

    #[test]
    fn a_heading_goes_with_the_rows_it_heads() {
        let mut table = table(6);
        table.rows.insert(3, Row::Heading("Stick 2".to_owned()));
        let room = |rows: f64| table.header_mm() + rows * table.row_mm();
        assert_eq!(table.rows_that_fit(0, room(4.0)), 3);
        assert_eq!(table.rows_that_fit(0, room(5.0)), 5);
        assert_eq!(table.rows_that_fit(3, room(1.0)), 0);
        assert_eq!(table.rows_that_fit(0, room(99.0)), 7);
        assert_eq!(table.rows_that_fit(99, room(1.0)), 0);
    }

    #[test]
    fn nothing_is_drawn_where_no_row_fits() {
        let mut page = Page::new(PaperSize::A4);
        assert_eq!(table(3).draw(&mut page, (0.0, 0.0), 5.0, 0), Drawn { rows: 0, height_mm: 0.0 });
        assert!(page.marks.is_empty());
        let drawn = table(0).draw(&mut page, (0.0, 0.0), 50.0, 0);
        assert_eq!(drawn.rows, 0);
        assert_relative_eq!(drawn.height_mm, table(0).height_mm());
    }

    #[test]
    fn texts_stay_in_their_columns() {
        let mut table = table(0).spread_to(30.0);
        assert_relative_eq!(table.width_mm(), 30.0);
        table.rows.push(Row::Cells(vec![Cell::Text("much too long for it".to_owned()), Cell::Empty]));
        let mut page = Page::new(PaperSize::A4);
        table.draw(&mut page, (0.0, 0.0), 100.0, 0);
        for mark in &page.marks {
            if let Mark::Text(t) = mark
                && t.anchor == Anchor::Start
            {
                assert!(t.at.0 + text_width_mm(&t.words, t.size_mm, t.bold) <= 10.0, "{}", t.words);
            }
        }
    }

    #[test]
    fn a_key_figure_is_larger_than_what_stands_beside_it_and_both_fit_the_width_it_asks_for() {
        let mut table = table(0);
        let key = Cell::Key { main: "13 17/32\"".to_owned(), beside: "(13.531)".to_owned() };
        table.rows.push(Row::Cells(vec![key.clone(), key]));
        for index in 0..2 {
            table.columns[index].width_mm = table.needs_mm(index);
        }
        let mut page = Page::new(PaperSize::A4);
        table.draw(&mut page, (10.0, 10.0), 100.0, 0);
        assert_eq!(words(&page)[3..], ["13 17/32\"", "(13.531)", "13 17/32\"", "(13.531)"]);
        table.columns[0].width_mm = 9.0;
        let mut narrow = Page::new(PaperSize::A4);
        table.draw(&mut narrow, (10.0, 10.0), 100.0, 0);
        assert_ne!(words(&narrow)[3], "13 17/32\"");
    }
}
