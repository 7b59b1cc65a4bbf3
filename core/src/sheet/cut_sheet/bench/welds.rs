//! The welds of a run in the order they are tacked, each with the mark that both its pieces get.

use super::super::words::{Round, round};
use super::super::{Source, dial, ends};
use super::small;
use crate::report::{RunReport, WeldReport};
use crate::sheet::fonts::fit_text;
use crate::sheet::page::{Grey, Page, Pen, PointMm, Text};
use std::ops::Range;

/// Heights of a row, of the title, of the words under it all, mm.
const ROW_MM: f64 = 7.6;
const TITLE_MM: f64 = 6.4;
const UNDER_MM: f64 = 9.6;
/// Columns, mm from the left: box, order, weld, what it joins, circle, arc.
const COLUMNS: [f64; 6] = [0.0, 6.5, 13.0, 26.5, 65.0, 73.5];
/// Font size of the arc, mm: 15 pt.
const ARC: f64 = 5.3;
const MARK: f64 = 4.6;
const JOINS: f64 = 3.8;
const RADIUS: f64 = 2.9;

const READ: [&str; 2] = [
    "Both pieces get the mark, from the index line: at a slanted cut its long side, at an elbow the outside of",
    "its bend, else index line on index line. Circles look the way the air goes, index line on top.",
];

/// A row.
#[derive(Debug, Clone)]
struct Row {
    tack: usize,
    mark: String,
    joins: String,
    place: Option<Round>,
    word: &'static str,
    last: bool,
}

/// All rows in tack order.
#[derive(Debug, Clone)]
pub(super) struct Table {
    rows: Vec<Row>,
    width: f64,
}

impl Table {
    pub(super) fn new(source: Source<'_>, run: &RunReport, width: f64) -> Self {
        let units = source.project.settings.units;
        let mut welds: Vec<&WeldReport> = run.welds.iter().collect();
        welds.sort_by_key(|w| w.tack);
        let rows = welds
            .into_iter()
            .map(|weld| Row {
                tack: weld.tack,
                mark: weld.mark.clone(),
                joins: joins(run, weld, width),
                place: weld.printed_clock_deg.map(|clock| round(clock, weld.od_mm, units)),
                word: if weld.printed_clock_deg.is_some() { ends::weld_word(run, weld) } else { "" },
                last: weld.fit,
            })
            .collect();
        Self { rows, width }
    }

    pub(super) fn len(&self) -> usize {
        self.rows.len()
    }

    pub(super) fn height_mm(&self) -> f64 {
        Self::part_mm(&(0..self.len()))
    }

    /// Height of some of the rows with title and words, mm.
    pub(super) fn part_mm(part: &Range<usize>) -> f64 {
        if part.is_empty() { 0.0 } else { TITLE_MM + part.len() as f64 * ROW_MM + UNDER_MM }
    }

    /// Up to which row they fit, from row `from` on.
    pub(super) fn that_fit(&self, from: usize, height_mm: f64) -> usize {
        let count = ((height_mm - TITLE_MM - UNDER_MM) / ROW_MM).floor().max(0.0) as usize;
        (from + count).min(self.len())
    }

    pub(super) fn draw(&self, page: &mut Page, (left, top): PointMm, part: Range<usize>) {
        if part.is_empty() {
            return;
        }
        let x = COLUMNS.map(|x| left + x);
        page.text(small((left, top + 4.0), "Tack, in this order").bold());
        page.text(small((x[4], top + 4.0), "Mark on both pieces").bold());
        page.line((left, top + TITLE_MM - 0.6), (left + self.width, top + TITLE_MM - 0.6), Pen::solid(0.5));
        let mut y = top + TITLE_MM;
        for row in &self.rows[part] {
            row.draw(page, x, y, left + self.width);
            y += ROW_MM;
        }
        for (i, words) in READ.iter().enumerate() {
            let words = fit_text(words, 3.2, false, self.width);
            page.text(Text::new((left, y + 3.6 + i as f64 * 4.1), 3.2, words));
        }
    }
}

/// What a weld joins; a part whose name is too long is just the part.
fn joins(run: &RunReport, weld: &WeldReport, width: f64) -> String {
    let whole = format!("{} to {}", weld.between[0], weld.between[1]);
    let room = (COLUMNS[4] - COLUMNS[3] - 14.0).min(width);
    if crate::sheet::text_width_mm(&whole, 3.3, false) <= room {
        return whole;
    }
    let short = |name: &String| {
        let is_piece = run.printed.iter().any(|p| p.mark == *name);
        if is_piece { name.clone() } else { "its part".to_owned() }
    };
    format!("{} to {}", short(&weld.between[0]), short(&weld.between[1]))
}

/// The word beside the weld that is fitted last.
const LAST: &str = "LAST";

impl Row {
    fn draw(&self, page: &mut Page, x: [f64; 6], y: f64, right: f64) {
        let base = y + 5.3;
        page.rect((x[0], y + 1.2), (4.6, 4.6), Some(Pen::solid(0.4)), None);
        page.text(Text::new((x[1], base), JOINS, self.tack.to_string()));
        let width = |words: &str, size: f64, bold: bool| crate::sheet::text_width_mm(words, size, bold);
        // a mark of many letters is set smaller, never cut
        let fits = (x[3] - x[2] - 1.5) / width(&self.mark, MARK, true);
        page.text(Text::new((x[2], base), MARK * fits.min(1.0), self.mark.clone()).bold());
        let tag_mm = width(LAST, 3.5, true) + 2.4;
        let room = x[4] - x[3] - 2.0 - if self.last { tag_mm + 1.0 } else { 0.0 };
        let size = if width(&self.joins, JOINS, false) > room { 3.3 } else { JOINS };
        page.text(Text::new((x[3], base), size, fit_text(&self.joins, size, false, room)));
        if self.last {
            let left = x[4] - tag_mm - 1.6;
            page.rect((left, y + 1.2), (tag_mm, 5.2), None, Some(Grey::BLACK));
            page.text(Text::new((left + 1.2, base), 3.5, LAST).bold().in_grey(Grey::WHITE));
        }
        let centre = (x[4] + RADIUS, y + ROW_MM / 2.0);
        dial::tube(page, centre, RADIUS);
        let zero = Round { arc: String::new(), side: "on the line", deg: String::new(), signed_deg: 0.0 };
        let place = self.place.as_ref().unwrap_or(&zero);
        dial::sector(page, centre, RADIUS, (0.0, place.signed_deg));
        dial::index(page, centre, RADIUS, 0.0);
        if self.word == "heel" {
            dial::heavy_rim(page, centre, RADIUS, place.signed_deg);
        } else if self.place.is_some() {
            dial::mark(page, centre, RADIUS, place.signed_deg);
        }
        let mut at = x[5];
        if self.place.is_none() {
            page.text(Text::new((at, base), MARK, "line on line").bold());
        } else {
            if place.side != "on the line" {
                page.text(Text::new((at, base), ARC, place.arc.clone()).bold());
                at += width(&place.arc, ARC, true) + 1.6;
            }
            page.text(Text::new((at, base), 4.2, place.side).bold());
            at += width(place.side, 4.2, true) + 1.6;
            // half way round needs no angle
            let deg = if place.side == "opposite" { "" } else { place.deg.as_str() };
            let words = if self.word == "set off" { format!("{deg} {}", self.word) } else { deg.to_owned() };
            page.text(Text::new((at, base), 3.4, words));
        }
        page.line((x[0], y + ROW_MM), (right, y + ROW_MM), Pen::solid(0.15).in_grey(Grey::MIDDLE));
    }
}
