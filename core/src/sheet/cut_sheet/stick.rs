//! A stick drawn to scale with its cuts, in as many strips as it takes to see the shortest piece.

use crate::report::{CutReport, StickReport};
use crate::sheet::area::Area;
use crate::sheet::fonts::{CAP_HEIGHT, text_width_mm};
use crate::sheet::page::{Anchor, Grey, Mark, Page, Pen, PointMm, Text};

/// Most strips a stick is drawn in.
const MOST_STRIPS: u32 = 3;
/// Width at which the shortest piece can be seen and marked, mm.
const SEEN_MM: f64 = 8.0;
/// Least and most height of the bar, mm.
const BAR_MM: (f64, f64) = (8.5, 13.0);
/// Height of the row of lengths under a bar with the space to the next, mm.
const UNDER_MM: f64 = 6.5;
const MARK_TEXT: f64 = 4.0;
const LENGTH_TEXT: f64 = 3.6;

const EDGE: Pen = Pen::solid(0.5);
const CUT: Pen = Pen::solid(0.45);
const HATCH: Pen = Pen::solid(0.15).in_grey(Grey::DARK);

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
    faces: [Face; 2],
}

/// The drawing of one stick.
#[derive(Debug)]
pub(super) struct Drawing {
    pieces: Vec<Lying>,
    length_mm: f64,
    used_mm: f64,
    /// mm on paper for a mm of tube.
    scale: f64,
    strip_mm: f64,
    strips: u32,
    bar_mm: f64,
}

impl Drawing {
    /// The drawing of `stick` in strips of `width` mm.
    pub(super) fn new(stick: &StickReport, od_mm: f64, width: f64) -> Self {
        let pieces = lying(&stick.cuts, od_mm / 2.0);
        let shortest = stick.cuts.iter().map(|c| c.to_mm - c.at_mm).fold(f64::MAX, f64::min).max(1.0);
        let whole = width / stick.length_mm.max(1.0);
        let wanted = (SEEN_MM / shortest / whole).ceil().clamp(1.0, f64::from(MOST_STRIPS)) as u32;
        let scale = whole * f64::from(wanted);
        let used_mm = (stick.length_mm - stick.drop_mm).max(0.0);
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
        }
    }

    /// Height of all strips, mm.
    pub(super) fn height_mm(&self) -> f64 {
        2.0 + f64::from(self.strips) * (self.bar_mm + UNDER_MM)
    }

    /// Draws the stick; `length_of` gives the length that is written under the piece of a cut, by its place in order.
    pub(super) fn draw(&self, page: &mut Page, area: Area, length_of: impl Fn(usize) -> String) {
        for strip in 0..self.strips {
            let top = area.top + 2.0 + f64::from(strip) * (self.bar_mm + UNDER_MM);
            let from_mm = f64::from(strip) * self.strip_mm;
            let last = strip + 1 == self.strips;
            let to_mm = (from_mm + self.strip_mm).min(self.length_mm);
            let width = (to_mm - from_mm) * self.scale;
            let bar = Area::new(area.left, top, width, self.bar_mm);
            let left = area.left - from_mm * self.scale;
            let mut marks = self.outlines(left, &bar);
            marks.extend(edges(&bar, (strip == 0, last && to_mm >= self.length_mm)));
            page.marks.push(Mark::Window {
                // a hair more, so that the outline's own width is not cut off
                corner: (bar.left - 0.3, bar.top - 0.3),
                size_mm: (bar.width + 0.6, bar.height + 0.6),
                shift_mm: (0.0, 0.0),
                marks,
            });
            self.words(page, left, &bar, &length_of);
        }
    }

    /// Everything of the stick that is no text, unclipped.
    fn outlines(&self, left: f64, bar: &Area) -> Vec<Mark> {
        let x = |mm: f64| left + mm * self.scale;
        let mut marks = hatching(left, bar, self.length_mm * self.scale);
        for piece in &self.pieces {
            let [a, b] = piece.faces;
            let points = vec![
                (x(a.at_mm + a.lean_mm), bar.top),
                (x(b.at_mm + b.lean_mm), bar.top),
                (x(b.at_mm - b.lean_mm), bar.bottom()),
                (x(a.at_mm - a.lean_mm), bar.bottom()),
            ];
            marks.push(Mark::Polyline { points, closed: true, pen: Some(CUT), fill: Some(Grey::WHITE) });
        }
        marks
    }

    /// The marks in the pieces and their lengths under them, where there is room.
    fn words(&self, page: &mut Page, left: f64, bar: &Area, length_of: &impl Fn(usize) -> String) {
        let mut free_from = bar.left;
        for (i, piece) in self.pieces.iter().enumerate() {
            let [a, b] = piece.faces;
            let (from, to) = (left + a.at_mm * self.scale, left + b.at_mm * self.scale);
            // a piece that goes over to the next strip is named where most of it is
            let (from, to) = (from.max(bar.left), to.min(bar.right()));
            if to - from < (b.at_mm - a.at_mm) * self.scale * 0.5 {
                continue;
            }
            let middle = (f64::midpoint(from, to), bar.centre().1 + CAP_HEIGHT * MARK_TEXT / 2.0);
            in_piece(page, middle, to - from, bar, &piece.mark);
            let words = length_of(i);
            let half = text_width_mm(&words, LENGTH_TEXT, false) / 2.0;
            let right = bar.left + self.strip_mm * self.scale;
            if middle.0 - half >= free_from && middle.0 + half <= right {
                let at = (middle.0, bar.bottom() + LENGTH_TEXT * 1.05);
                page.text(Text::new(at, LENGTH_TEXT, words).anchored(Anchor::Middle));
                free_from = middle.0 + half + 2.0;
            }
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

/// Writes a mark into its piece: level where it fits, else upright, else not at all.
fn in_piece(page: &mut Page, middle: PointMm, width: f64, bar: &Area, mark: &str) {
    let long = text_width_mm(mark, MARK_TEXT, true);
    let text = Text::new(middle, MARK_TEXT, mark).bold().anchored(Anchor::Middle);
    if long + 2.0 <= width {
        page.text(text);
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
    const STEP: f64 = 2.5;
    let count = ((length + bar.height) / STEP).ceil().clamp(0.0, 4000.0) as u32;
    let lines = (0..count).map(|i| left + f64::from(i) * STEP);
    let seen = lines.filter(|x| *x > bar.left - bar.height && *x < bar.right() + bar.height);
    seen.map(|x| Mark::Line { from: (x, bar.top), to: (x - bar.height, bar.bottom()), pen: HATCH }).collect()
}

/// The pieces as they lie, seen from the side.
///
/// The saw's blade leans one way only; what changes is how the tube is turned, so the drawing follows the turns:
/// `heel_deg` is how far the long side of a face is turned from the top.
fn lying(cuts: &[CutReport], radius_mm: f64) -> Vec<Lying> {
    let mut out = Vec::with_capacity(cuts.len());
    let mut heel_deg: f64 = 0.0;
    for cut in cuts {
        let lean = |tilt_deg: f64, heel_deg: f64| {
            radius_mm * tilt_deg.to_radians().tan() * heel_deg.to_radians().cos()
        };
        // one cut is the long side of the piece before it and the short side of the one after
        heel_deg = if cut.shares_cut { heel_deg + 180.0 } else { 0.0 };
        let first = Face { at_mm: cut.at_mm, lean_mm: -lean(cut.first_deg, heel_deg) };
        heel_deg += cut.turn_deg.map_or(0.0, |turn| turn - 180.0);
        let second = Face { at_mm: cut.to_mm, lean_mm: lean(cut.saw_deg, heel_deg) };
        out.push(Lying { mark: cut.mark.clone(), faces: [first, second] });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(at_mm: f64, to_mm: f64, shares_cut: bool) -> CutReport {
        CutReport {
            key: None,
            mark: "A1".to_owned(),
            at_mm,
            to_mm,
            saw_deg: 11.25,
            first_deg: 11.25,
            setting_deg: 11.25,
            first_setting_deg: 11.25,
            flip: true,
            turn_deg: Some(180.0),
            shares_cut,
            end_first: false,
        }
    }

    #[test]
    fn slices_cut_with_half_turns_lie_as_wedges_turned_about() {
        let lying = lying(&[cut(20.0, 60.0, false), cut(61.0, 101.0, true)], 31.75);
        let lean = 31.75 * 11.25_f64.to_radians().tan();
        let [a, b] = lying[0].faces;
        let [c, d] = lying[1].faces;
        // heel on top: the first face leans back there, the second on
        for (face, expected) in [(a, -lean), (b, lean), (c, lean), (d, -lean)] {
            approx::assert_relative_eq!(face.lean_mm, expected, epsilon = 1e-9);
        }
    }
}
