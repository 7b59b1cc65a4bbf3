//! Puts one thing below the other and goes on to the next page where a page is full.

use super::frame::{FOOT_MM, MARGIN_MM, foot};
use super::words::wrapped;
use crate::sheet::area::Area;
use crate::sheet::fonts::{CAP_HEIGHT, fit_text};
use crate::sheet::page::{Page, PaperSize, Text};
use crate::sheet::table::Table;

/// Font size of sentences, mm.
pub(super) const BODY: f64 = 4.2;
/// Font size of rows of tables, mm.
pub(super) const ROWS: f64 = 5.0;
/// Font size of rows of tables that would be too wide else, mm.
pub(super) const TIGHT: f64 = 4.0;
/// Font size of headings, mm.
const HEADING: f64 = 6.0;
/// Font size of a title that fills a page, mm.
const TITLE: f64 = 11.0;
/// Distance of lines as a part of the font size.
const LEADING: f64 = 1.4;
/// Space above a heading, mm.
const ABOVE_MM: f64 = 6.0;
/// Rows that are kept under a heading.
const KEPT_ROWS: f64 = 2.0;

/// A page that is filled.
#[derive(Debug)]
struct Done {
    page: Page,
    running: String,
    /// Where its free part begins.
    y: f64,
}

/// Pages being filled from the top.
#[derive(Debug)]
pub(super) struct Flow {
    paper: PaperSize,
    project: String,
    stamp: String,
    running: String,
    done: Vec<Done>,
    page: Page,
    y: f64,
}

impl Flow {
    pub(super) fn new(paper: PaperSize, project: &str, stamp: &str) -> Self {
        Self {
            paper,
            project: project.to_owned(),
            stamp: stamp.to_owned(),
            running: String::new(),
            done: Vec::new(),
            page: Page::landscape(paper),
            y: MARGIN_MM,
        }
    }

    /// Goes to an empty page; its foot and those of the pages after it say `running`.
    pub(super) fn start(&mut self, running: &str) {
        self.next_page();
        running.clone_into(&mut self.running);
    }

    /// Goes to an empty page, if this one is not.
    pub(super) fn next_page(&mut self) {
        if self.page.marks.is_empty() {
            return;
        }
        let full = std::mem::replace(&mut self.page, Page::landscape(self.paper));
        self.done.push(Done { page: full, running: self.running.clone(), y: self.y });
        self.y = MARGIN_MM;
    }

    /// The finished pages with their feet.
    pub(super) fn finish(mut self) -> Vec<Page> {
        self.next_page();
        let count = self.done.len();
        let feet = self.done.into_iter().enumerate().map(|(i, Done { mut page, running, .. })| {
            foot(&mut page, &self.project, &running, &self.stamp, (i + 1, count));
            page
        });
        feet.collect()
    }

    /// How many pages are full; what is put on pages from here on comes after them.
    pub(super) fn full(&self) -> usize {
        self.done.len()
    }

    /// Draws something of height `mm` where there is room for it: on this page, else at the foot of the last full
    /// page that has it, counted from page `from`; on a fresh page only if there is none.
    pub(super) fn put(&mut self, mm: f64, from: usize, draw: impl FnOnce(&mut Self)) {
        let bottom = self.page.size_mm.1 - MARGIN_MM - FOOT_MM;
        let has_room = |y: f64| bottom - y >= mm;
        let earlier = (from..self.done.len()).rev().find(|i| has_room(self.done[*i].y));
        let Some(i) = earlier.filter(|_| !has_room(self.y)) else {
            draw(self);
            return;
        };
        let mut y = std::mem::replace(&mut self.y, self.done[i].y);
        std::mem::swap(&mut self.page, &mut self.done[i].page);
        draw(self);
        std::mem::swap(&mut self.page, &mut self.done[i].page);
        std::mem::swap(&mut self.y, &mut y);
        self.done[i].y = y;
    }

    pub(super) fn page(&mut self) -> &mut Page {
        &mut self.page
    }

    pub(super) fn width(&self) -> f64 {
        self.page.size_mm.0 - 2.0 * MARGIN_MM
    }

    /// What is left of the page.
    pub(super) fn rest(&self) -> Area {
        let height = self.page.size_mm.1 - MARGIN_MM - FOOT_MM - self.y;
        Area::new(MARGIN_MM, self.y, self.width(), height.max(0.0))
    }

    /// Goes to the next page where less than `mm` is left of this one.
    pub(super) fn need(&mut self, mm: f64) {
        if self.rest().height < mm {
            self.next_page();
        }
    }

    /// Leaves `mm` free, but not at the top of a page.
    pub(super) fn skip(&mut self, mm: f64) {
        if !self.page.marks.is_empty() {
            self.y += mm;
        }
    }

    /// Takes a strip of height `mm`; what is drawn in it is for the caller.
    pub(super) fn take(&mut self, mm: f64) -> Area {
        let strip = Area { height: mm, ..self.rest() };
        self.y += mm;
        strip
    }

    /// One line, cut short where it is too long.
    pub(super) fn line(&mut self, words: &str, size: f64, bold: bool) {
        let words = fit_text(words, size, bold, self.width());
        let strip = self.take(size * LEADING);
        let text = Text::new((strip.left, strip.top + size), size, words);
        self.page.text(if bold { text.bold() } else { text });
    }

    /// Height of a heading, mm.
    pub(super) fn heading_mm() -> f64 {
        ABOVE_MM + HEADING * LEADING + 1.0
    }

    /// A heading, kept with `keep_mm` of what follows.
    pub(super) fn heading(&mut self, words: &str, keep_mm: f64) {
        self.need(Self::heading_mm() + keep_mm);
        self.skip(ABOVE_MM);
        self.line(words, HEADING, true);
        self.y += 1.0;
    }

    /// A title that leads a page of its own.
    pub(super) fn title(&mut self, words: &str) {
        self.y += 10.0;
        self.line(words, TITLE, true);
        self.y += 4.0;
    }

    /// Sentences over as many lines as they need.
    pub(super) fn paragraph(&mut self, words: &str, size: f64) {
        self.led_paragraph("", words, size);
    }

    /// Sentences with a bold lead before them.
    pub(super) fn led_paragraph(&mut self, lead: &str, words: &str, size: f64) {
        let bottom = size * (1.0 - CAP_HEIGHT);
        for (i, line) in wrapped(lead, words, size, self.width()).into_iter().enumerate() {
            self.need(size + bottom);
            let strip = self.take(size * LEADING);
            let base = strip.top + size;
            if i == 0 && !lead.is_empty() {
                let lead = fit_text(lead, size, true, strip.width);
                self.page.text(Text::new((strip.left, base), size, lead).bold());
            }
            self.page.text(Text::new((strip.left + line.indent_mm, base), size, line.words));
        }
        self.y += size * 0.35;
    }

    /// Height of paragraphs, each a bold lead and sentences, mm.
    pub(super) fn block_mm<'a>(&self, paragraphs: impl Iterator<Item = (&'a str, &'a str)>) -> f64 {
        let height = |(lead, words): (&str, &str)| {
            let lines = wrapped(lead, words, BODY, self.width()).len() as f64;
            BODY * (lines * LEADING + 0.35)
        };
        paragraphs.map(height).sum()
    }

    /// A table under a heading, over as many pages as it needs; nothing where it has no rows.
    pub(super) fn table(&mut self, heading: &str, table: &Table) {
        if table.rows.is_empty() {
            return;
        }
        self.heading(heading, table.header_mm() + KEPT_ROWS * table.row_mm());
        self.rows(heading, table);
    }

    /// The rows of a table whose heading has been set; `heading` is repeated where it goes on.
    pub(super) fn rows(&mut self, heading: &str, table: &Table) {
        let mut first = 0;
        while first < table.rows.len() {
            let rest = self.rest();
            let fit = table.rows_that_fit(first, rest.height);
            // two rows go over rather than one alone
            let alone = fit > 2 && first + fit + 1 == table.rows.len();
            let height = if alone { rest.height - table.row_mm() } else { rest.height };
            let drawn = table.draw(&mut self.page, (rest.left, rest.top), height, first);
            self.y += drawn.height_mm;
            first += drawn.rows;
            if first < table.rows.len() {
                // a fresh page with its heading that takes no row never will
                if drawn.rows == 0 && self.y < MARGIN_MM + 2.0 * HEADING * LEADING && !self.done.is_empty() {
                    return;
                }
                self.next_page();
                self.line(&format!("{heading} (continued)"), HEADING, true);
                self.y += 1.0;
            }
        }
    }
}
