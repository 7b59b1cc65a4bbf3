//! A stick drawn to scale as it will lie, seen from the side with line 1 on top, in as many strips as it takes to see
//! the shortest piece.

use super::stops::{Makes, Stop};
use crate::report::StickReport;
use crate::sheet::area::Area;
use crate::sheet::fonts::{CAP_HEIGHT, text_width_mm};
use crate::sheet::page::{Anchor, Grey, Mark, Page, Pen, PointMm, Text};

/// Most strips a stick is drawn in.
const MOST_STRIPS: u32 = 3;
/// Width at which the shortest piece can be seen and marked, mm.
const SEEN_MM: f64 = 9.0;
/// Least and most height of the bar, mm.
const BAR_MM: (f64, f64) = (9.5, 17.0);
/// Space over a bar for the numbers of the cuts, and to the next, mm.
const ABOVE_MM: f64 = 6.5;
const MARK_TEXT: f64 = 4.4;
/// Height of a number in its ring, mm.
const NUMBER_TEXT: f64 = 3.4;
/// Words at the left of the bar, and room for them, mm.
const SIDE_MM: f64 = 12.0;

const EDGE: Pen = Pen::solid(0.5);
const CUT: Pen = Pen::solid(0.45);
const LONG: Pen = Pen::solid(1.1);
const HATCH: Pen = Pen::solid(0.15).in_grey(Grey::MIDDLE);

/// A face of the bar: where it meets the centreline, and how far its top edge lies beyond, mm of tube.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Face {
    at_mm: f64,
    lean_mm: f64,
}

/// A piece as it lies on the stick.
#[derive(Debug, Clone, PartialEq)]
struct Lying {
    mark: String,
    end_first: bool,
    faces: [Face; 2],
    /// Number of the cut that frees it; none where it is what is left.
    number: Option<usize>,
}

/// The drawing of one stick.
#[derive(Debug)]
pub(in crate::sheet::cut_sheet) struct Drawing {
    pieces: Vec<Lying>,
    length_mm: f64,
    used_mm: f64,
    /// mm on paper for a mm of tube.
    scale: f64,
    strip_mm: f64,
    strips: u32,
    bar_mm: f64,
    /// Whether the two pencil lines are drawn along it.
    has_lines: bool,
}

impl Drawing {
    /// The drawing of `stick` in strips of `width` mm; `first` is the number of its first stop.
    pub(in crate::sheet::cut_sheet) fn new(
        stick: &StickReport,
        stops: &[Stop<'_>],
        first: usize,
        od_mm: f64,
        width: f64,
    ) -> Self {
        let pieces = if stops.is_empty() { plain(stick) } else { lying(stops, first, od_mm / 2.0) };
        let width = width - SIDE_MM;
        let shortest = stick.cuts.iter().map(|c| c.to_mm - c.at_mm).fold(f64::MAX, f64::min).max(1.0);
        let used_mm = (stick.length_mm - stick.drop_mm).max(0.0);
        // a stick that is mostly left over is drawn as far as it is used and a little more
        let shown_mm = if used_mm < 0.55 * stick.length_mm {
            (used_mm * 1.25 + 40.0).min(stick.length_mm)
        } else {
            stick.length_mm
        };
        let whole = width / shown_mm.max(1.0);
        let wanted = (SEEN_MM / shortest / whole).ceil().clamp(1.0, f64::from(MOST_STRIPS)) as u32;
        let scale = whole * f64::from(wanted);
        // strips with nothing but what is left over are not drawn
        let strips = ((used_mm * scale / width).ceil().max(1.0) as u32).min(wanted);
        Self {
            pieces,
            length_mm: stick.length_mm,
            used_mm,
            scale,
            strip_mm: width / scale,
            strips,
            bar_mm: (od_mm * scale).clamp(BAR_MM.0, BAR_MM.1),
            has_lines: stops.iter().any(|s| s.top_deg.is_some()),
        }
    }

    /// Height of all strips, mm.
    pub(in crate::sheet::cut_sheet) fn height_mm(&self) -> f64 {
        1.5 + f64::from(self.strips) * (self.bar_mm + ABOVE_MM)
    }

    /// Draws the stick; pieces freed by the cuts numbered in `now` are white, the others grey.
    pub(in crate::sheet::cut_sheet) fn draw(&self, page: &mut Page, area: Area, now: std::ops::Range<usize>) {
        for strip in 0..self.strips {
            let top = area.top + ABOVE_MM + f64::from(strip) * (self.bar_mm + ABOVE_MM);
            let from_mm = f64::from(strip) * self.strip_mm;
            let last = strip + 1 == self.strips;
            let to_mm = (from_mm + self.strip_mm).min(self.length_mm);
            let width = (to_mm - from_mm) * self.scale;
            let bar = Area::new(area.left + SIDE_MM, top, width, self.bar_mm);
            let left = bar.left - from_mm * self.scale;
            let mut marks = self.outlines(left, &bar, &now);
            marks.extend(edges(&bar, (strip == 0, last && to_mm >= self.length_mm)));
            page.marks.push(Mark::Window {
                // a hair more, so that the outline's own width is not cut off
                corner: (bar.left - 0.3, bar.top - 0.6),
                size_mm: (bar.width + 0.6, bar.height + 1.2),
                shift_mm: (0.0, 0.0),
                marks,
            });
            let lines = [("line 1", bar.top + 1.2), ("line 2", bar.bottom() + 1.0)];
            for (words, y) in lines.into_iter().filter(|_| self.has_lines) {
                let at = (bar.left - 1.5, y);
                page.text(Text::new(at, NUMBER_TEXT, words).bold().anchored(Anchor::End));
            }
            self.words(page, left, &bar);
        }
    }

    /// Everything of the stick that is no text, unclipped.
    fn outlines(&self, left: f64, bar: &Area, now: &std::ops::Range<usize>) -> Vec<Mark> {
        let x = |mm: f64| left + mm * self.scale;
        let mut marks = hatching(left, bar, self.length_mm * self.scale);
        for piece in &self.pieces {
            let [a, b] = piece.faces;
            let top = [(x(a.at_mm + a.lean_mm), bar.top), (x(b.at_mm + b.lean_mm), bar.top)];
            let bottom = [(x(b.at_mm - b.lean_mm), bar.bottom()), (x(a.at_mm - a.lean_mm), bar.bottom())];
            let is_now = piece.number.is_none_or(|n| now.contains(&n));
            let fill = Some(if is_now { Grey::WHITE } else { Grey::LIGHT });
            let points = [top, bottom].concat();
            marks.push(Mark::Polyline { points, closed: true, pen: Some(CUT), fill });
            // the long side, heavy
            let long = |side: [PointMm; 2]| (side[0].0 - side[1].0).abs();
            let heavy = if (long(top) - long(bottom)).abs() < 0.05 {
                None
            } else if long(top) > long(bottom) {
                Some(top)
            } else {
                Some(bottom)
            };
            marks.extend(heavy.map(|[from, to]| Mark::Line { from, to, pen: LONG }));
        }
        marks
    }

    /// The numbers of the cuts over them, each in a ring as near to its cut as the others let it.
    fn numbers(&self, page: &mut Page, left: f64, bar: &Area) {
        const APART: f64 = 0.6;
        let mut rings: Vec<(String, f64, f64)> = Vec::new();
        let mut free_from = f64::MIN;
        for piece in &self.pieces {
            let b = piece.faces[1];
            let cut_x = left + (b.at_mm + b.lean_mm) * self.scale;
            let is_here = cut_x >= bar.left - 1e-6 && cut_x <= bar.right() + 1e-6;
            let Some(number) = piece.number.filter(|_| is_here) else { continue };
            let words = number.to_string();
            let half = (text_width_mm(&words, NUMBER_TEXT, true) / 2.0 + 0.9).max(2.2);
            let centre_x = cut_x.max(free_from + half);
            free_from = centre_x + half + APART;
            rings.push((words, half, centre_x));
        }
        // those that the end of the bar pushes back push the ones before them
        let mut free_to = bar.right();
        for (words, half, centre_x) in rings.into_iter().rev() {
            let centre = (centre_x.min(free_to - half), bar.top - 3.3);
            free_to = centre.0 - half - APART;
            page.circle(centre, half, Some(Pen::solid(0.3)), Some(Grey::WHITE));
            let at = (centre.0, centre.1 + CAP_HEIGHT * NUMBER_TEXT / 2.0);
            page.text(Text::new(at, NUMBER_TEXT, words).bold().anchored(Anchor::Middle));
        }
    }

    /// The marks in the pieces and the numbers of the cuts over them.
    fn words(&self, page: &mut Page, left: f64, bar: &Area) {
        self.numbers(page, left, bar);
        for piece in &self.pieces {
            let [a, b] = piece.faces;
            let (from, to) = (left + a.at_mm * self.scale, left + b.at_mm * self.scale);
            // a piece that goes over to the next strip is named where most of it is
            let (from, to) = (from.max(bar.left), to.min(bar.right()));
            if to - from < (b.at_mm - a.at_mm) * self.scale * 0.5 {
                continue;
            }
            let middle = (f64::midpoint(from, to), bar.centre().1 + CAP_HEIGHT * MARK_TEXT / 2.0 - 1.2);
            in_piece(page, middle, to - from, bar, piece);
        }
        let left_over = left + self.used_mm * self.scale;
        let words = "left over";
        let width = text_width_mm(words, MARK_TEXT, false);
        if bar.right() - left_over.max(bar.left) > width + 6.0 {
            let centre = (f64::midpoint(left_over.max(bar.left), bar.right()), bar.centre().1);
            let box_of = Area::about(centre, width + 3.0, MARK_TEXT * 1.3);
            page.rect((box_of.left, box_of.top), (box_of.width, box_of.height), None, Some(Grey::WHITE));
            let at = (centre.0, centre.1 + CAP_HEIGHT * MARK_TEXT / 2.0);
            page.text(Text::new(at, MARK_TEXT, words).anchored(Anchor::Middle));
        }
    }
}

/// Writes a mark into its piece with the arrow of its travel: level where it fits, else upright, else not at all.
fn in_piece(page: &mut Page, middle: PointMm, width: f64, bar: &Area, piece: &Lying) {
    let mark = &piece.mark;
    let long = text_width_mm(mark, MARK_TEXT, true);
    let text = Text::new(middle, MARK_TEXT, mark.clone()).bold().anchored(Anchor::Middle);
    if long + 2.0 <= width {
        page.text(text);
        let half = (width / 2.0 - 1.5).clamp(1.2, 3.0);
        let (left, right) = ((middle.0 - half, middle.1 + 2.0), (middle.0 + half, middle.1 + 2.0));
        let (from, to) = if piece.end_first { (right, left) } else { (left, right) };
        super::super::dial::arrow(page, from, to, 0.3);
    } else if MARK_TEXT * CAP_HEIGHT + 1.0 <= width && long + 1.0 <= bar.height {
        let at = (middle.0 + CAP_HEIGHT * MARK_TEXT / 2.0, bar.centre().1);
        page.text(Text { at, ..text }.turned(90.0));
    }
}

/// The outline of a strip: closed at an end of the stick, open where it goes on.
fn edges(bar: &Area, closed: (bool, bool)) -> Vec<Mark> {
    let line = |from, to, pen| Mark::Line { from, to, pen };
    let corners =
        [(bar.left, bar.top), (bar.right(), bar.top), (bar.right(), bar.bottom()), (bar.left, bar.bottom())];
    let on = EDGE.dashed(1.2, 1.2);
    vec![
        line(corners[0], corners[1], EDGE),
        line(corners[3], corners[2], EDGE),
        line(corners[0], corners[3], if closed.0 { EDGE } else { on }),
        line(corners[1], corners[2], if closed.1 { EDGE } else { on }),
    ]
}

/// Slanted lines over the whole bar; the pieces are drawn over them, so what stays is waste and what is left.
fn hatching(left: f64, bar: &Area, length: f64) -> Vec<Mark> {
    const STEP: f64 = 3.0;
    let count = ((length + bar.height) / STEP).ceil().clamp(0.0, 4000.0) as u32;
    let lines = (0..count).map(|i| left + f64::from(i) * STEP);
    let seen = lines.filter(|x| *x > bar.left - bar.height && *x < bar.right() + bar.height);
    seen.map(|x| Mark::Line { from: (x, bar.top), to: (x - bar.height, bar.bottom()), pen: HATCH }).collect()
}

/// The pieces of a stop list as they lie: a face leans by how far its long side is from line 1.
fn lying(stops: &[Stop<'_>], first: usize, radius_mm: f64) -> Vec<Lying> {
    let lean = |tilt_deg: f64, heel_deg: Option<f64>| {
        heel_deg.map_or(0.0, |heel| radius_mm * tilt_deg.to_radians().tan() * heel.to_radians().cos())
    };
    let lay = |(i, stop): (usize, &Stop<'_>)| {
        let (cut, number) = match stop.makes {
            Makes::Piece(cut, _) => (cut, Some(first + i)),
            Makes::Left(cut, _) => (cut, None),
            Makes::Square(_) | Makes::First(_) => return None,
        };
        Some(Lying {
            mark: cut.mark.clone(),
            end_first: cut.end_first,
            faces: [
                Face { at_mm: cut.at_mm, lean_mm: -lean(cut.first_deg, stop.first_heel_deg) },
                Face { at_mm: cut.to_mm, lean_mm: lean(cut.saw_deg, stop.top_deg) },
            ],
            number,
        })
    };
    stops.iter().enumerate().filter_map(lay).collect()
}

/// Bars, which are all square.
fn plain(stick: &StickReport) -> Vec<Lying> {
    let face = |at_mm| Face { at_mm, lean_mm: 0.0 };
    let lay = |cut: &crate::report::CutReport| Lying {
        mark: cut.mark.clone(),
        end_first: false,
        faces: [face(cut.at_mm), face(cut.to_mm)],
        number: None,
    };
    stick.cuts.iter().map(lay).collect()
}
