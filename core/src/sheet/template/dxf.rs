//! A template as DXF, in mm.
//!
//! Written as ASCII of release 12 (`AC1009`), the oldest that machines still read: group code and value on lines of
//! their own (DXF reference of its publisher, from memory).

use super::draw::{Drawing, drawing, stamped};
use super::pages::Heading;
use super::unroll::Template;
use crate::sheet::fonts::{CAP_HEIGHT, printable};
use crate::sheet::page::{Anchor, Mark, Pen, PointMm, Text};
use crate::units::plain_number;
use std::fmt::{Display, Write as _};

/// Layer of the outline.
const CUT: &str = "CUT";
/// Layer of lines and words.
const MARK: &str = "MARK";
/// Decimals of a coordinate: 0.001 µm.
const DECIMALS: usize = 6;
/// Width of letters against their height: the plain stroke fonts of drawing programs run wide.
const LETTER_WIDTH: f64 = 0.75;

/// A template as DXF text, millimetres, y up: the outline as closed polyline on layer `CUT`, lines and words on
/// layer `MARK`.
pub fn dxf(template: &Template) -> String {
    dxf_of(&drawing(template, &[], &[]))
}

/// The same with what it belongs to below it: a file by itself has to say that.
pub fn stamped_dxf(template: &Template, heading: &Heading) -> String {
    dxf_of(&stamped(drawing(template, &[], &[]), heading))
}

/// A drawing as DXF text.
pub(super) fn dxf_of(drawing: &Drawing) -> String {
    let mut file = Writer { text: String::new(), height_mm: drawing.size_mm.1, shift_mm: (0.0, 0.0) };
    file.header(drawing);
    file.tables();
    file.section("ENTITIES");
    for cut in drawing.cuts() {
        file.polyline(cut, true, CUT, false);
    }
    for mark in drawing.marks.iter().chain(&drawing.caption) {
        file.mark(mark);
    }
    file.pair(0, "ENDSEC");
    file.pair(0, "EOF");
    file.text
}

struct Writer {
    text: String,
    height_mm: f64,
    shift_mm: (f64, f64),
}

impl Writer {
    fn pair(&mut self, code: u16, value: impl Display) {
        // writing to a text cannot fail
        let _ = write!(self.text, "{code:>3}\n{value}\n");
    }

    fn number(&mut self, code: u16, value: f64) {
        let text = plain_number(value, DECIMALS);
        // a real number is told from a count by its point
        self.pair(code, if text.contains('.') { text } else { format!("{text}.0") });
    }

    /// A point of the drawing; `first` is the code of its x.
    fn point(&mut self, first: u16, (x, y): PointMm) {
        self.number(first, x + self.shift_mm.0);
        self.number(first + 10, self.height_mm - y - self.shift_mm.1);
        self.number(first + 20, 0.0);
    }

    fn section(&mut self, name: &str) {
        self.pair(0, "SECTION");
        self.pair(2, name);
    }

    fn header(&mut self, drawing: &Drawing) {
        self.section("HEADER");
        self.pair(9, "$ACADVER");
        self.pair(1, "AC1009");
        // millimetres: newer than release 12, but read by what knows it
        self.pair(9, "$INSUNITS");
        self.pair(70, 4);
        self.pair(9, "$MEASUREMENT");
        self.pair(70, 1);
        self.pair(9, "$EXTMIN");
        self.point(10, (0.0, drawing.size_mm.1));
        self.pair(9, "$EXTMAX");
        self.point(10, (drawing.size_mm.0, 0.0));
        self.pair(0, "ENDSEC");
    }

    fn tables(&mut self) {
        self.section("TABLES");
        self.table("LTYPE", 2);
        self.line_type("CONTINUOUS", "Solid line", &[]);
        self.line_type("DASHED", "Dashes", &[2.0, -1.5]);
        self.pair(0, "ENDTAB");
        self.table("LAYER", 2);
        for (name, colour) in [(CUT, 1), (MARK, 5)] {
            self.pair(0, "LAYER");
            self.pair(2, name);
            self.pair(70, 0);
            self.pair(62, colour);
            self.pair(6, "CONTINUOUS");
        }
        self.pair(0, "ENDTAB");
        self.pair(0, "ENDSEC");
    }

    fn table(&mut self, name: &str, entries: u32) {
        self.pair(0, "TABLE");
        self.pair(2, name);
        self.pair(70, entries);
    }

    fn line_type(&mut self, name: &str, about: &str, dashes: &[f64]) {
        self.pair(0, "LTYPE");
        self.pair(2, name);
        self.pair(70, 0);
        self.pair(3, about);
        self.pair(72, 65);
        self.pair(73, dashes.len());
        self.number(40, dashes.iter().map(|d| d.abs()).sum());
        for dash in dashes {
            self.number(49, *dash);
        }
    }

    /// Begins a thing on a layer.
    fn thing(&mut self, kind: &str, layer: &str, is_dashed: bool) {
        self.pair(0, kind);
        self.pair(8, layer);
        if is_dashed {
            self.pair(6, "DASHED");
        }
    }

    fn polyline(&mut self, points: &[PointMm], closed: bool, layer: &str, is_dashed: bool) {
        self.thing("POLYLINE", layer, is_dashed);
        self.pair(66, 1);
        for code in [10, 20, 30] {
            self.number(code, 0.0);
        }
        self.pair(70, i32::from(closed));
        for point in points {
            self.thing("VERTEX", layer, false);
            self.point(10, *point);
        }
        self.thing("SEQEND", layer, false);
    }

    fn mark(&mut self, mark: &Mark) {
        let dashed = |pen: &Option<Pen>| pen.is_some_and(|p| p.dash.is_some());
        match mark {
            Mark::Line { from, to, pen } => {
                self.thing("LINE", MARK, pen.dash.is_some());
                self.point(10, *from);
                self.point(11, *to);
            }
            Mark::Polyline { points, closed, pen, .. } => self.polyline(points, *closed, MARK, dashed(pen)),
            Mark::Circle { centre, radius_mm, pen, .. } => {
                self.thing("CIRCLE", MARK, dashed(pen));
                self.point(10, *centre);
                self.number(40, *radius_mm);
            }
            Mark::Rect { corner: (x, y), size_mm: (width, height), pen, .. } => {
                let (right, bottom) = (x + width, y + height);
                let corners = [(*x, *y), (right, *y), (right, bottom), (*x, bottom)];
                self.polyline(&corners, true, MARK, dashed(pen));
            }
            Mark::Text(text) => self.words(text),
            Mark::Window { shift_mm, marks, .. } => {
                // a strip has none; what is in it would be drawn whole
                let before = self.shift_mm;
                self.shift_mm = (before.0 + shift_mm.0, before.1 + shift_mm.1);
                for mark in marks {
                    self.mark(mark);
                }
                self.shift_mm = before;
            }
        }
    }

    fn words(&mut self, text: &Text) {
        self.thing("TEXT", MARK, false);
        self.point(10, text.at);
        self.number(40, text.size_mm * CAP_HEIGHT);
        self.pair(1, encoded(&printable(&text.words, text.bold)));
        self.number(50, text.turn_deg);
        self.number(41, LETTER_WIDTH);
        let held = match text.anchor {
            Anchor::Start => 0,
            Anchor::Middle => 1,
            Anchor::End => 2,
        };
        if held != 0 {
            self.pair(72, held);
            self.point(11, text.at);
        }
    }
}

/// Words in ASCII: the signs with codes of their own, the rest as `\U+` and four digits (from memory).
fn encoded(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    let mut last = ' ';
    for c in words.chars() {
        match c {
            '°' => out.push_str("%%d"),
            'Ø' => out.push_str("%%c"),
            '±' => out.push_str("%%p"),
            // two of them begin a code, a caret begins another
            '%' if last == '%' => out.push_str(" %"),
            '^' => out.push_str("^ "),
            ' '..='~' => out.push(c),
            _ => {
                let mut units = [0; 2];
                for unit in c.encode_utf16(&mut units) {
                    let _ = write!(out, "\\U+{unit:04X}");
                }
            }
        }
        last = c;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::encoded;

    #[test]
    fn words_are_ascii_and_cannot_begin_a_code() {
        assert_eq!(encoded("heel 212.5°"), "heel 212.5%%d");
        assert_eq!(encoded("A3–A5"), "A3\\U+2013A5");
        assert_eq!(encoded("100%%u ^J é"), "100% %u ^ J \\U+00E9");
    }
}
