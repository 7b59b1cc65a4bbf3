//! Blocks of words and figures that stand below each other in a column.

use super::super::Source;
use super::super::dial;
use super::super::flow::SMALL;
use super::super::words::wrapped;
use super::{small, words_mm};
use crate::report::RunReport;
use crate::sheet::fonts::text_width_mm;
use crate::sheet::page::{Grey, Page, Pen, PointMm, Text};

/// Distance of lines of words as a part of their size.
const LEADING: f64 = 1.3;
/// Font size of headings in the column, mm.
const HEADING: f64 = 4.4;
/// Height of a heading with its line, mm.
const HEADING_MM: f64 = 7.0;
/// Free space under a block, mm.
const UNDER_MM: f64 = 2.6;
/// Height of a line with a figure, mm, and font size of the figure: 17 pt.
const FIGURE_MM: f64 = 7.2;
const FIGURE: f64 = 5.6;
/// Radius of a circle beside a figure, mm.
const RADIUS: f64 = 4.0;

/// One thing in a block.
#[derive(Debug, Clone)]
pub(super) enum Item {
    /// Words with a bold lead.
    Words(String, String),
    /// Figures with a word each, on one line.
    Figures(Vec<(String, String)>),
    /// A figure with a word and a small one behind it, beside a circle with a nut at the angle, degrees.
    Nut(f64, String, String, String),
}

/// A heading and what stands under it.
#[derive(Debug, Clone)]
pub(super) struct Block {
    heading: String,
    items: Vec<Item>,
    /// Whether it is framed and its heading white on black.
    framed: bool,
    pub(super) height_mm: f64,
}

impl Block {
    pub(super) fn new(heading: impl Into<String>, items: Vec<Item>) -> Self {
        let mut block = Self { heading: heading.into(), items, framed: false, height_mm: 0.0 };
        block.height_mm = block.measured();
        block
    }

    /// The same block in a frame.
    pub(super) fn framed(self) -> Self {
        let mut block = Self { framed: true, ..self };
        block.height_mm = block.measured() + 1.5;
        block
    }

    fn room(&self) -> f64 {
        words_mm() - if self.framed { 4.0 } else { 0.0 }
    }

    /// The figures in lines that are no wider than the column.
    fn lines<'a>(&self, figures: &'a [(String, String)]) -> Vec<Vec<&'a (String, String)>> {
        let mut lines: Vec<Vec<&(String, String)>> = Vec::new();
        let mut left = f64::INFINITY;
        for figure in figures {
            let width = text_width_mm(&figure.0, FIGURE, true) + 1.6 + text_width_mm(&figure.1, SMALL, false);
            if left + width > self.room() {
                lines.push(Vec::new());
                left = 0.0;
            }
            left += width + 3.2;
            if let Some(line) = lines.last_mut() {
                line.push(figure);
            }
        }
        lines
    }

    fn measured(&self) -> f64 {
        let heading = if self.heading.is_empty() { 0.0 } else { HEADING_MM };
        let items: f64 = self.items.iter().map(|item| self.item_mm(item)).sum();
        heading + items + UNDER_MM
    }

    fn item_mm(&self, item: &Item) -> f64 {
        match item {
            Item::Words(lead, words) => {
                wrapped(lead, words, SMALL, self.room()).len() as f64 * SMALL * LEADING + 0.8
            }
            Item::Figures(figures) => self.lines(figures).len() as f64 * FIGURE_MM,
            Item::Nut(..) => 2.0 * RADIUS + 3.4,
        }
    }

    pub(super) fn draw(&self, page: &mut Page, corner: PointMm, _: Source<'_>, _: &RunReport) {
        let width = words_mm();
        let (mut x, mut y) = corner;
        if self.framed {
            let height = self.height_mm - UNDER_MM;
            page.rect(corner, (width, height), Some(Pen::solid(0.6)), None);
            page.rect(corner, (width, 6.2), None, Some(Grey::BLACK));
            let text = Text::new((x + 2.0, y + 4.7), HEADING, self.heading.clone()).bold();
            page.text(text.in_grey(Grey::WHITE));
            x += 2.0;
            y += HEADING_MM + 0.6;
        } else if !self.heading.is_empty() {
            page.text(Text::new((x, y + 4.2), HEADING, self.heading.clone()).bold());
            page.line((x, y + 5.6), (x + width, y + 5.6), Pen::solid(0.4));
            y += HEADING_MM;
        }
        for item in &self.items {
            self.item(page, (x, y), item);
            y += self.item_mm(item);
        }
    }

    fn item(&self, page: &mut Page, (x, y): PointMm, item: &Item) {
        match item {
            Item::Words(lead, words) => {
                for (i, line) in wrapped(lead, words, SMALL, self.room()).into_iter().enumerate() {
                    let base = y + SMALL + i as f64 * SMALL * LEADING;
                    if i == 0 && !lead.is_empty() {
                        page.text(small((x, base), lead.clone()).bold());
                    }
                    page.text(small((x + line.indent_mm, base), line.words));
                }
            }
            Item::Figures(figures) => {
                for (i, line) in self.lines(figures).into_iter().enumerate() {
                    let base = y + 5.4 + i as f64 * FIGURE_MM;
                    let mut left = x;
                    for (figure, word) in line {
                        page.text(Text::new((left, base), FIGURE, figure.clone()).bold());
                        left += text_width_mm(figure, FIGURE, true) + 1.6;
                        page.text(small((left, base), word.clone()));
                        left += text_width_mm(word, SMALL, false) + 3.2;
                    }
                }
            }
            Item::Nut(deg, figure, side, degrees) => {
                let centre = (x + RADIUS + 3.2, y + RADIUS + 2.0);
                dial::tube(page, centre, RADIUS);
                dial::sector(page, centre, RADIUS, (0.0, *deg));
                dial::index(page, centre, RADIUS, 0.0);
                dial::lobe(page, centre, RADIUS, *deg);
                let mut left = centre.0 + RADIUS + 5.0;
                let base = y + 7.6;
                // a long arc with a long word is set smaller, and half way round needs no angle beside it
                let degrees = if side == "opposite" { "" } else { degrees };
                let needs = text_width_mm(figure, FIGURE, true) + 1.8 + text_width_mm(side, 4.2, true);
                let room = x + self.room() - left - 2.0 - text_width_mm(degrees, SMALL, false);
                let fits = (room / needs).min(1.0);
                page.text(Text::new((left, base), FIGURE * fits, figure.clone()).bold());
                left += text_width_mm(figure, FIGURE * fits, true) + 1.8 * fits;
                page.text(Text::new((left, base), 4.2 * fits, side.clone()).bold());
                left += text_width_mm(side, 4.2 * fits, true) + 2.0;
                page.text(small((left, base), degrees));
            }
        }
    }
}
