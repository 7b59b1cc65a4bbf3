//! A strip with everything that is said on it, as marks at 1:1.

use super::label::{self, HelpLine, Span};
use super::pages::Heading;
use super::room::Room;
use super::unroll::{Part, Template};
use crate::sheet::area::Area;
use crate::sheet::cut_sheet::words::wrapped;
use crate::sheet::fonts::{CAP_HEIGHT, printable, text_width_mm};
use crate::sheet::page::{Anchor, Grey, Mark, Pen, PointMm, Text};

/// The line that is cut along.
pub(super) const CUT: Pen = Pen::solid(0.2);
pub(super) const QUARTER: Pen = Pen::solid(0.15).dashed(2.0, 1.5).in_grey(Grey::MIDDLE);
const SIDE: Pen = Pen::solid(0.25).dashed(5.0, 1.0).in_grey(Grey::DARK);
const TAB: Pen = Pen::solid(0.2).dashed(1.5, 1.0).in_grey(Grey::DARK);
const ARROW: Pen = Pen::solid(0.5);
/// Room round a drawing for the width of its lines, mm.
pub(super) const PAD_MM: f64 = 1.0;
/// Words are not made smaller than this (font size, mm) to keep clear of lines.
const READABLE_MM: f64 = 2.5;
/// Distance of words from the line they belong to, mm.
const BESIDE_MM: f64 = 0.8;
/// Rows of words beside the seam, where a heel or throat line may lie too.
const SEAM_ROWS: u32 = 3;
/// A line nearer than this (rad) to the seam lies on it.
const SEAM_RAD: f64 = 1e-4;
/// Distance of lines of text as a part of the font size.
const LEADING: f64 = 1.3;
/// How far letters reach below the baseline, as a part of the font size.
const BELOW: f64 = 0.24;
/// Font sizes of words, mm, the first that fits is used; below the last nobody reads them.
const SIZES: [f64; 7] = [3.6, 3.2, 2.8, 2.5, 2.2, 2.0, 1.8];
/// Font sizes of marks, mm: capitals of 9 mm down to 1.3 mm.
const MARK_SIZES: [f64; 10] = [9.0, 7.5, 6.0, 5.0, 4.0, 3.2, 2.6, 2.0, 1.6, 1.3];
/// On a tube wider than this (mm) words are set larger.
const WIDE_OD_MM: f64 = 150.0;
const WIDE_SIZES: [f64; 4] = [8.0, 6.5, 5.0, 4.2];
/// Font size of what did not fit, below the strip, mm, and how wide its lines may be at least.
const CAPTION_MM: f64 = 3.0;
const CAPTION_WIDTH_MM: f64 = 75.0;

/// Where a strip and its tab lie in its drawing, y down from the top left corner.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plot {
    /// Where the piece's centreline start stands, at clock 0.
    pub(super) origin: PointMm,
    /// The rectangle about outline and tab.
    pub(super) body: Area,
}

impl Plot {
    pub(super) fn new(template: &Template) -> Self {
        let (low, high) = template.extent_mm();
        let right = template.tab().map_or(template.width_mm(), |tab| tab[2].0);
        let body = Area::new(0.0, 0.0, right + 2.0 * PAD_MM, high - low + 2.0 * PAD_MM);
        Self { origin: (PAD_MM, PAD_MM + high), body }
    }

    /// A point of the strip (x across, y along the travel) in the drawing.
    fn place(&self, (x, y): PointMm) -> PointMm {
        (self.origin.0 + x, self.origin.1 - y)
    }
}

/// A strip drawn in a rectangle, y down from its top left corner.
#[derive(Debug)]
pub(super) struct Drawing {
    /// Width and height of all of it, mm.
    pub(super) size_mm: (f64, f64),
    /// The outline to cut, closed, its last point not repeated.
    pub(super) cut: Vec<PointMm>,
    /// Further outlines inside it.
    pub(super) inner: Vec<Vec<PointMm>>,
    /// Lines and words inside the outline and on the tab.
    pub(super) marks: Vec<Mark>,
    /// Words below the outline, which are lost when it is cut out: only what has no room inside.
    pub(super) caption: Vec<Mark>,
}

impl Drawing {
    /// All outlines to cut.
    pub(super) fn cuts(&self) -> impl Iterator<Item = &Vec<PointMm>> {
        std::iter::once(&self.cut).chain(&self.inner)
    }
}

/// Draws a strip; words are kept off the areas `taken`, and off those `spared` where there is room elsewhere.
pub(super) fn drawing(template: &Template, taken: &[Area], spared: &[Area]) -> Drawing {
    let plot = Plot::new(template);
    let mut sketch = Sketch {
        template,
        plot,
        room: Room::new(template, plot.origin),
        marks: Vec::new(),
        left_over: Vec::new(),
        sizes: sizes(template),
    };
    for area in taken {
        sketch.room.take(*area);
    }
    for area in spared {
        sketch.room.spare(*area);
    }
    let lines = label::help_lines(template);
    for line in &lines {
        let (from, to) = sketch.ends(line);
        sketch.room.spare_line(from, to);
    }
    sketch.line_words(lines.iter().filter(|l| l.is_side));
    sketch.far_edge();
    sketch.names();
    sketch.seam();
    sketch.travel();
    sketch.facts();
    sketch.line_words(lines.iter().filter(|l| !l.is_side));
    sketch.help_lines(&lines);
    if let Some(tab) = template.tab() {
        sketch.tab(tab.map(|corner| plot.place(corner)));
    }
    let (caption, width, height) = caption(&sketch.left_over, &plot.body);
    let all_placed = |line: Vec<PointMm>| line.into_iter().map(|point| plot.place(point)).collect::<Vec<_>>();
    Drawing {
        size_mm: (plot.body.width.max(width), plot.body.height + height),
        cut: all_placed(template.outline()),
        inner: template.closed_lines().into_iter().map(all_placed).collect(),
        marks: sketch.marks,
        caption,
    }
}

/// A drawing with the line below it that says what it belongs to.
pub(super) fn stamped(mut drawing: Drawing, heading: &Heading) -> Drawing {
    let words = heading.words();
    let width = text_width_mm(&words, CAPTION_MM, false);
    let base = drawing.size_mm.1 + CAPTION_MM * LEADING;
    drawing.caption.push(Mark::Text(Text::new((0.0, base), CAPTION_MM, words)));
    drawing.size_mm = (drawing.size_mm.0.max(width), base + CAPTION_MM * BELOW + PAD_MM);
    drawing
}

fn sizes(template: &Template) -> Vec<f64> {
    let wide: &[f64] = if template.od_mm > WIDE_OD_MM { &WIDE_SIZES } else { &[] };
    wide.iter().chain(&SIZES).copied().collect()
}

struct Sketch<'a> {
    template: &'a Template,
    plot: Plot,
    room: Room<'a>,
    marks: Vec<Mark>,
    left_over: Vec<String>,
    sizes: Vec<f64>,
}

impl Sketch<'_> {
    /// The middle of the strip at clock `clock_rad`.
    fn middle(&self, clock_rad: f64) -> PointMm {
        let t = self.template;
        let y = f64::midpoint(t.lower.y_mm(clock_rad), t.upper.y_mm(clock_rad));
        self.plot.place((t.x_mm(clock_rad), y))
    }

    /// Lower and upper end of a line.
    fn ends(&self, line: &HelpLine) -> (PointMm, PointMm) {
        let t = self.template;
        let x = t.x_mm(line.clock_rad);
        let (low, high) = (t.lower.y_mm(line.clock_rad), t.upper.y_mm(line.clock_rad));
        let half = f64::midpoint(low, high);
        let (low, high) = match line.span {
            Span::Full => (low, high),
            Span::Lower => (low, half),
            Span::Upper => (half, high),
        };
        (self.plot.place((x, low)), self.plot.place((x, high)))
    }

    /// What the lines are, beside them.
    fn line_words<'l>(&mut self, lines: impl Iterator<Item = &'l HelpLine>) {
        for line in lines.filter(|l| !l.words.is_empty()) {
            let (from, to) = self.ends(line);
            if !self.along(&line.words, (from, to), line.is_side, 1) {
                let near = (from.0, f64::midpoint(from.1, to.1));
                self.block(&[vec![line.words.clone()]], near);
            }
        }
    }

    /// The lines, broken where words stand on them.
    fn help_lines(&mut self, lines: &[HelpLine]) {
        // on the seam there is a line already
        for line in lines.iter().filter(|l| l.clock_rad > SEAM_RAD) {
            let ((x, bottom), (_, top)) = self.ends(line);
            let pen = if line.is_side { SIDE } else { QUARTER };
            for (from, to) in self.room.uncovered(x, (top, bottom)) {
                self.marks.push(Mark::Line { from: (x, to), to: (x, from), pen });
            }
        }
    }

    /// Puts words along an upright line, reading up, on its right or left; false where they do not fit.
    ///
    /// They stand right beside it, or where that finds no room up to `rows` rows of words off.
    fn along(&mut self, words: &str, (from, to): (PointMm, PointMm), bold: bool, rows: u32) -> bool {
        let height = from.1 - to.1;
        for (row, anywhere) in (0..rows).flat_map(|row| [(row, false), (row, true)]) {
            for size in self.sizes.clone() {
                let (long, thick) = (text_width_mm(words, size, bold), size * (CAP_HEIGHT + BELOW));
                let (spare, off) = (height - long, BESIDE_MM + f64::from(row) * thick);
                if spare < 0.0 {
                    continue;
                }
                for part in [0.1, 0.5, 0.9] {
                    for left in [from.0 + off, from.0 - off - thick] {
                        let area = Area::new(left, to.1 + spare * (1.0 - part), thick, long);
                        if self.room.is_free(&area, anywhere) {
                            let at = (left + size * CAP_HEIGHT, area.bottom());
                            let text = Text::new(at, size, words).turned(90.0);
                            self.marks.push(Mark::Text(if bold { text.bold() } else { text }));
                            self.room.take(area);
                            return true;
                        }
                    }
                }
            }
        }
        false
    }

    /// Puts one of several wordings, each some lines, as large and as near to `near` as it goes.
    ///
    /// Where none fits, the first is kept for below the strip.
    fn block(&mut self, wordings: &[Vec<String>], near: PointMm) {
        let sizes = self.sizes.clone();
        if !self.try_block(wordings, &sizes, false, near) {
            self.left_over.extend(wordings.first().map(|lines| lines.join(" ")));
        }
    }

    fn try_block(&mut self, wordings: &[Vec<String>], sizes: &[f64], bold: bool, near: PointMm) -> bool {
        // lines are kept clear of as long as the words stay readable
        let readable = sizes.iter().copied().filter(|s| *s >= READABLE_MM).collect::<Vec<_>>();
        for (sizes, anywhere) in [(readable.as_slice(), false), (sizes, true)] {
            for &size in sizes {
                for lines in wordings {
                    let width = |line: &String| text_width_mm(&printable(line, bold), size, bold);
                    let wide = lines.iter().map(width).fold(0.0, f64::max);
                    let high = size * ((lines.len() as f64 - 1.0) * LEADING + CAP_HEIGHT + BELOW);
                    if let Some(area) = self.room.find((wide, high), near, anywhere) {
                        self.write(lines, size, bold, area);
                        return true;
                    }
                }
            }
        }
        false
    }

    fn write(&mut self, lines: &[String], size: f64, bold: bool, area: Area) {
        for (i, line) in lines.iter().enumerate() {
            let base = area.top + size * (CAP_HEIGHT + i as f64 * LEADING);
            let text = Text::new((area.left, base), size, line.clone());
            self.marks.push(Mark::Text(if bold { text.bold() } else { text }));
        }
        self.room.take(area);
    }

    /// The words at the square edge of a band.
    fn far_edge(&mut self) {
        let wordings = label::far_edge(self.template);
        if wordings.is_empty() {
            return;
        }
        let t = self.template;
        let y = match t.part {
            Part::Whole | Part::Start { .. } => t.upper.at_mm,
            Part::End { .. } => t.lower.at_mm,
        };
        self.block(&wordings, self.plot.place((t.width_mm() / 2.0, y)));
    }

    /// The marks of the pieces, large.
    fn names(&mut self) {
        let clock = self.tallest_clock_rad();
        let near = self.middle(clock);
        let marks = label::marks(self.template);
        if self.template.names.is_empty() {
            return;
        }
        if !self.try_block(&marks, &MARK_SIZES, true, near) {
            self.left_over.extend(marks.first().map(|lines| lines.join(" ")));
        }
    }

    /// Clock at which the strip is highest, looked for at every five degrees.
    fn tallest_clock_rad(&self) -> f64 {
        let t = self.template;
        let height = |c: f64| t.upper.y_mm(c) - t.lower.y_mm(c);
        let clocks = (4..=68).map(|i| f64::from(i) * std::f64::consts::TAU / 72.0);
        clocks.max_by(|a, b| height(*a).total_cmp(&height(*b))).unwrap_or(0.0)
    }

    /// The words on both sides of the seam.
    fn seam(&mut self) {
        let t = self.template;
        let words = "index line 0°";
        let mut placed = true;
        for clock in [0.0, std::f64::consts::TAU] {
            let [from, to] = [&t.lower, &t.upper].map(|e| self.plot.place((t.x_mm(clock), e.y_mm(clock))));
            placed &= self.along(words, (from, to), false, SEAM_ROWS);
        }
        if !placed {
            self.left_over.push("both sides are the index line, 0°".to_owned());
        }
    }

    /// An arrow along the travel between two words.
    fn travel(&mut self) {
        let full = label::travel(self.template);
        let near = self.middle(self.tallest_clock_rad());
        for (above, below) in [full, ("end", "start")] {
            for anywhere in [false, true] {
                for size in self.sizes.clone() {
                    for length in [6.0, 4.0, 2.5] {
                        let wide = [above, below].map(|w| text_width_mm(w, size, true));
                        let size_mm = (wide[0].max(wide[1]), size * (length + 2.0 * LEADING));
                        if let Some(area) = self.room.find(size_mm, near, anywhere) {
                            self.arrow(area, size, (above, below));
                            return;
                        }
                    }
                }
            }
        }
        self.left_over.push(format!("the travel runs up the paper, {} below, {} above", full.1, full.0));
    }

    fn arrow(&mut self, area: Area, size: f64, (above, below): (&str, &str)) {
        let x = area.centre().0;
        let (top, bottom) = (area.top + size * LEADING, area.bottom() - size * LEADING);
        let text =
            |base, words: &str| Mark::Text(Text::new((x, base), size, words).bold().anchored(Anchor::Middle));
        let tip = vec![(x, top), (x - size * 0.45, top + size), (x + size * 0.45, top + size)];
        self.marks.push(text(area.top + size * CAP_HEIGHT, above));
        self.marks.push(text(bottom + size, below));
        self.marks.push(Mark::Line { from: (x, bottom), to: (x, top + size * 0.9), pen: ARROW });
        self.marks.push(Mark::Polyline { points: tip, closed: true, pen: None, fill: Some(Grey::BLACK) });
        self.room.take(area);
    }

    /// The facts as one block; one by one where that finds no room.
    fn facts(&mut self) {
        let facts = label::facts(self.template);
        let near = self.middle(self.tallest_clock_rad());
        let readable: Vec<f64> = self.sizes.iter().copied().filter(|s| *s >= READABLE_MM).collect();
        let pairs = facts.chunks(2).map(|pair| pair.join(", ")).collect();
        if self.try_block(&[facts.clone(), pairs], &readable, false, near) {
            return;
        }
        for fact in facts {
            if !self.try_block(&[vec![fact.clone()]], &SIZES[2..], false, near) {
                self.left_over.push(fact);
            }
        }
    }

    fn tab(&mut self, corners: [PointMm; 4]) {
        self.marks.push(Mark::Polyline {
            points: corners.to_vec(),
            closed: false,
            pen: Some(TAB),
            fill: None,
        });
        self.marks.push(Mark::Line { from: corners[3], to: corners[0], pen: TAB });
        let (seam, outside) = (corners[0], corners[3]);
        let middle = f64::midpoint(corners[2].1, corners[3].1);
        for size in SIZES {
            let words = "tab: glue under";
            let long = text_width_mm(words, size, false);
            if long < outside.1 - corners[2].1 && size * 1.25 < outside.0 - seam.0 {
                let x = f64::midpoint(seam.0, outside.0) + size * CAP_HEIGHT / 2.0;
                let text = Text::new((x, middle), size, words).anchored(Anchor::Middle);
                self.marks.push(Mark::Text(text.turned(90.0)));
                return;
            }
        }
    }
}

/// Words below a drawing, and how wide and high they are.
fn caption(left_over: &[String], body: &Area) -> (Vec<Mark>, f64, f64) {
    if left_over.is_empty() {
        return (Vec::new(), 0.0, 0.0);
    }
    let lines = wrapped("", &left_over.join("; "), CAPTION_MM, body.width.max(CAPTION_WIDTH_MM));
    let line_mm = CAPTION_MM * LEADING;
    let wide = lines.iter().map(|l| text_width_mm(&l.words, CAPTION_MM, false)).fold(0.0, f64::max);
    let height = lines.len() as f64 * line_mm + 1.0;
    let base = body.bottom() + CAPTION_MM;
    let text = |(i, words)| Mark::Text(Text::new((0.0, base + i as f64 * line_mm), CAPTION_MM, words));
    (lines.into_iter().map(|l| l.words).enumerate().map(text).collect(), wide, height)
}
