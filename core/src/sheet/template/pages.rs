//! Templates on paper at exactly 1:1.

use super::draw::{CUT, Drawing, Plot, drawing};
use super::pattern::Pattern;
use super::tile::{Place, Tiling, bounds, comes_near, meets};
use super::unroll::Template;
use crate::sheet::area::Area;
use crate::sheet::cut_sheet::frame::{FOOT_MM, MARGIN_MM, foot};
use crate::sheet::fonts::fit_text;
use crate::sheet::page::{Anchor, Grey, Mark, Page, PaperSize, Pen, Text};
use crate::sheet::writer::{SheetError, write};
use crate::units::MM_PER_INCH;

/// Lengths of the check bars, mm.
const BAR_MM: [f64; 2] = [100.0, 4.0 * MM_PER_INCH];
const BAR: Pen = Pen::solid(0.25);
/// Half the height of the strokes at the ends of a bar, mm.
const STROKE_MM: f64 = 1.8;
/// Height of the strip with the bars, mm.
const STRIP_MM: f64 = 18.0;
/// Width of the column with the upright bar, mm.
const COLUMN_MM: f64 = 8.0;
/// Distance between templates on a page, mm.
const APART_MM: f64 = 4.0;
/// Font size in the strip, mm.
const TEXT_MM: f64 = 3.6;
/// Room kept for words below a template that is printed in one, mm.
const CAPTION_ROOM_MM: f64 = 22.0;
/// Height of the line above a tile, mm, and width of the map in it.
const TITLE_MM: f64 = 6.0;
const MAP_MM: f64 = 28.0;
/// Rounding of sums of lengths on a page, mm.
const NOISE_MM: f64 = 1e-6;
const RUNNING: &str = "Wrap templates, 1:1";

/// What stands on every page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heading {
    /// Name of the project.
    pub project: String,
    /// Stamp of what it was computed from: [`revision`](crate::sheet::revision).
    pub stamp: String,
    /// Day of the print, as it is to stand there; empty for none.
    pub date: String,
}

impl Heading {
    /// All of it in one line: `Gravel buggy · 2026-12-01 · revision 3fa710b4`.
    pub fn words(&self) -> String {
        let date = if self.date.is_empty() { String::new() } else { format!(" · {}", self.date) };
        format!("{}{date} · revision {}", self.project, self.stamp)
    }
}

/// The templates as a PDF that asks to be printed at its true size.
///
/// # Errors
/// [`SheetError::NoPages`] without templates, else the writer's own.
pub fn pdf(
    templates: &[Template],
    patterns: &[Pattern],
    heading: &Heading,
    paper: PaperSize,
) -> Result<Vec<u8>, SheetError> {
    write(
        &pages(templates, patterns, heading, paper),
        &format!("{}: wrap templates", heading.project),
        "Pipeloft",
    )
}

/// Pages on their side with all templates, then all flat patterns, in their order.
///
/// Several stand on one page where they fit; one that is larger than a page is divided into sheets to join.
pub fn pages(templates: &[Template], patterns: &[Pattern], heading: &Heading, paper: PaperSize) -> Vec<Page> {
    let area = work_area(&Page::landscape(paper));
    let mut shelves = Shelves { paper, area, pages: Vec::new(), next: (area.left, area.top), high: 0.0 };
    for template in templates {
        let drawing = drawing(template, &[], &[]);
        if drawing.size_mm.0 <= area.width && drawing.size_mm.1 <= area.height {
            shelves.put(whole(drawing));
        } else {
            for tile in tiles(template, (area.width, area.height - TITLE_MM)) {
                shelves.put(tile);
            }
        }
    }
    for pattern in patterns {
        for item in pattern_items(pattern, (area.width, area.height)) {
            shelves.put(item);
        }
    }
    let mut pages = shelves.pages;
    let count = pages.len();
    for (i, (page, has_tiles)) in pages.iter_mut().enumerate() {
        bars(page);
        instructions(page, *has_tiles);
        foot(page, &heading.project, RUNNING, &heading.stamp, (i + 1, count));
    }
    pages.into_iter().map(|(page, _)| page).collect()
}

/// Where templates go.
fn work_area(page: &Page) -> Area {
    let (width, height) = page.size_mm;
    let (width, height) =
        (width - 2.0 * MARGIN_MM - COLUMN_MM, height - 2.0 * MARGIN_MM - FOOT_MM - STRIP_MM);
    Area::new(MARGIN_MM, MARGIN_MM, width, height)
}

/// Something that takes a rectangle on a page, marks from its left top corner.
struct Item {
    size_mm: (f64, f64),
    marks: Vec<Mark>,
    is_tile: bool,
}

/// A template that is printed in one.
fn whole(drawing: Drawing) -> Item {
    let outline =
        |points: &Vec<_>| Mark::Polyline { points: points.clone(), closed: true, pen: Some(CUT), fill: None };
    let outlines: Vec<Mark> = drawing.cuts().map(outline).collect();
    let marks = drawing.marks.into_iter().chain(outlines).chain(drawing.caption).collect();
    Item { size_mm: drawing.size_mm, marks, is_tile: false }
}

/// The tiles of a template that is larger than `most_mm`; words that found no room in it stand below the first.
fn tiles(template: &Template, most_mm: (f64, f64)) -> Vec<Item> {
    let plot = Plot::new(template);
    let divided = |below_mm: f64| {
        let size_mm = (plot.body.width, plot.body.height);
        let most_mm = (most_mm.0, most_mm.1 - below_mm);
        let tiling = Tiling::new(size_mm, most_mm, &|tile| meets(template, &plot, tile));
        let drawing = drawing(template, &tiling.crosses(), &tiling.overlaps());
        (tiling, drawing)
    };
    let (mut tiling, mut drawing) = divided(0.0);
    if !drawing.caption.is_empty() {
        (tiling, drawing) = divided(CAPTION_ROOM_MM);
    }
    let mut items: Vec<Item> =
        tiling.used.iter().map(|p| tile(&template.names.join(" "), &tiling, &drawing, *p)).collect();
    if let Some(first) = items.first_mut().filter(|_| !drawing.caption.is_empty()) {
        let below_mm = drawing.size_mm.1 - plot.body.height;
        let wide_mm = drawing.caption.iter().map(|m| bounds(m).right()).fold(0.0, f64::max);
        first.marks.push(Mark::Window {
            corner: (0.0, first.size_mm.1),
            size_mm: (wide_mm, below_mm),
            shift_mm: (0.0, first.size_mm.1 - plot.body.bottom()),
            marks: drawing.caption,
        });
        first.size_mm = (first.size_mm.0.max(wide_mm), first.size_mm.1 + below_mm);
    }
    items
}

/// A flat pattern, in one or in tiles.
fn pattern_items(pattern: &Pattern, most_mm: (f64, f64)) -> Vec<Item> {
    let drawing = pattern.drawing();
    if drawing.size_mm.0 <= most_mm.0 && drawing.size_mm.1 <= most_mm.1 {
        return vec![whole(drawing)];
    }
    let most_mm = (most_mm.0, most_mm.1 - TITLE_MM);
    let anything = |tile: &Area| {
        let marked = drawing.marks.iter().any(|m| bounds(m).meets(tile));
        marked || drawing.cuts().any(|cut| comes_near(cut, tile))
    };
    let tiling = Tiling::new(drawing.size_mm, most_mm, &anything);
    tiling.used.iter().map(|p| tile(&pattern.title, &tiling, &drawing, *p)).collect()
}

/// A tile of a template under a line that says which.
fn tile(names: &str, tiling: &Tiling, drawing: &Drawing, place: Place) -> Item {
    let area = tiling.area(place);
    let mut marks = map(tiling, place, names, area.width);
    marks.push(Mark::Window {
        corner: (0.0, TITLE_MM),
        size_mm: (area.width, area.height),
        shift_mm: (-area.left, TITLE_MM - area.top),
        marks: tiling.marks(drawing, place),
    });
    Item { size_mm: (area.width, area.height + TITLE_MM), marks, is_tile: true }
}

/// Which tile of which template this is, in words and as a small map.
fn map(tiling: &Tiling, (column, row): Place, names: &str, width: f64) -> Vec<Mark> {
    let (columns, rows) = tiling.count;
    let high = TITLE_MM - 1.5;
    let cell = (MAP_MM / columns as f64).min(high / rows as f64).min(4.0);
    let mut marks = Vec::with_capacity(tiling.used.len() + 2);
    for &(c, r) in &tiling.used {
        let corner = (width - cell * (columns - c) as f64 - 0.2, 0.2 + r as f64 * cell);
        let fill = ((c, r) == (column, row)).then_some(Grey::BLACK);
        marks.push(Mark::Rect { corner, size_mm: (cell, cell), pen: Some(Pen::solid(0.1)), fill });
    }
    let words = format!("column {} of {columns}, row {} of {rows} of {names}", column + 1, row + 1);
    let words = fit_text(&words, TEXT_MM, true, width - MAP_MM - 4.0);
    marks.push(Mark::Text(Text::new((0.0, TEXT_MM), TEXT_MM, words).bold()));
    marks
}

/// Pages being filled from left to right in rows, and whether each has a tile.
struct Shelves {
    paper: PaperSize,
    area: Area,
    pages: Vec<(Page, bool)>,
    next: (f64, f64),
    high: f64,
}

impl Shelves {
    fn put(&mut self, item: Item) {
        let (width, height) = item.size_mm;
        if self.next.0 + width > self.area.right() + NOISE_MM && self.next.0 > self.area.left {
            self.next = (self.area.left, self.next.1 + self.high + APART_MM);
            self.high = 0.0;
        }
        let full = self.next.1 + height > self.area.bottom() + NOISE_MM;
        if full || self.pages.is_empty() {
            self.next = (self.area.left, self.area.top);
            self.high = 0.0;
            self.pages.push((Page::landscape(self.paper), false));
        }
        let corner = self.next;
        if let Some((page, has_tiles)) = self.pages.last_mut() {
            let marks = item.marks;
            page.marks.push(Mark::Window { corner, size_mm: item.size_mm, shift_mm: corner, marks });
            *has_tiles |= item.is_tile;
        }
        self.next.0 += width + APART_MM;
        self.high = self.high.max(height);
    }
}

/// Top of the strip with the bars.
fn strip_top(page: &Page) -> f64 {
    page.size_mm.1 - MARGIN_MM - FOOT_MM - STRIP_MM
}

/// The bars to measure: two level ones and an upright one, as printers may stretch along the feed only.
fn bars(page: &mut Page) {
    let (left, top) = (MARGIN_MM, strip_top(page));
    for (length, y, words) in [(BAR_MM[0], top + 7.0, "100 mm"), (BAR_MM[1], top + 15.0, "4 in")] {
        page.line((left, y), (left + length, y), BAR);
        for x in [left, left + length] {
            page.line((x, y - STROKE_MM), (x, y + STROKE_MM), BAR);
        }
        let text = Text::new((left + length / 2.0, y - 0.9), TEXT_MM, words);
        page.text(text.bold().anchored(Anchor::Middle));
    }
    let (x, y) = (page.size_mm.0 - MARGIN_MM - STROKE_MM - BAR.width_mm, MARGIN_MM + BAR.width_mm);
    page.line((x, y), (x, y + BAR_MM[0]), BAR);
    for end in [y, y + BAR_MM[0]] {
        page.line((x - STROKE_MM, end), (x + STROKE_MM, end), BAR);
    }
    let upright = Text::new((x - 0.9, y + BAR_MM[0] / 2.0), TEXT_MM, "100 mm");
    page.text(upright.bold().anchored(Anchor::Middle).turned(90.0));
}

/// How to print and use what is on the page.
fn instructions(page: &mut Page, has_tiles: bool) {
    let (left, top) = (MARGIN_MM + BAR_MM[1] + 8.0, strip_top(page));
    let lines = [
        ("Print at 100 % (actual size), not fitted to the page.", true),
        ("Measure all three bars first: if one is off, so is the cut.", false),
        ("Wrap it printed side out, arrow along the travel, seam on the index line.", false),
        ("Join sheets cross on cross, letters alike, before cutting out.", true),
    ];
    let count = if has_tiles { lines.len() } else { lines.len() - 1 };
    let room = page.size_mm.0 - MARGIN_MM - left;
    for (i, (words, bold)) in lines.into_iter().take(count).enumerate() {
        let words = fit_text(words, TEXT_MM, bold, room);
        let text = Text::new((left, top + 4.6 + i as f64 * TEXT_MM * 1.25), TEXT_MM, words);
        page.text(if bold { text.bold() } else { text });
    }
}
