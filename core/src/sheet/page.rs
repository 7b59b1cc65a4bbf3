//! A page as a list of marks in mm.

use super::fonts::CAP_HEIGHT;
use serde::{Deserialize, Serialize};

/// A place on the page, mm from its left and top edge.
pub type PointMm = (f64, f64);

/// Paper the sheets are made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum PaperSize {
    /// North American letter, 8 1/2 × 11 in.
    Letter,
    /// ISO 216 A4, 210 × 297 mm.
    A4,
}

impl PaperSize {
    /// All of them, in the order they are offered.
    pub const ALL: [Self; 2] = [Self::Letter, Self::A4];

    /// Name as printed on the packet.
    pub fn name(self) -> &'static str {
        match self {
            Self::Letter => "Letter",
            Self::A4 => "A4",
        }
    }

    /// Width and height upright, mm.
    pub fn size_mm(self) -> (f64, f64) {
        match self {
            Self::Letter => (215.9, 279.4),
            Self::A4 => (210.0, 297.0),
        }
    }
}

/// How light a mark is: 0 black, 255 white.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Grey(pub u8);

impl Grey {
    /// Black.
    pub const BLACK: Self = Self(0);
    /// Still readable as text, plainly second to black.
    pub const DARK: Self = Self(90);
    /// For help lines.
    pub const MIDDLE: Self = Self(150);
    /// For shaded areas under black text.
    pub const LIGHT: Self = Self(225);
    /// White, to cover what lies below.
    pub const WHITE: Self = Self(255);
}

/// How a line is drawn. Its ends are flat, so a line is exactly as long as its points say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Width, mm.
    pub width_mm: f64,
    /// Lightness.
    pub grey: Grey,
    /// Lengths of dash and gap, mm; `None` for a full line.
    pub dash: Option<(f64, f64)>,
}

impl Pen {
    /// A full black line.
    pub const fn solid(width_mm: f64) -> Self {
        Self { width_mm, grey: Grey::BLACK, dash: None }
    }

    /// The same pen with dashes of `on_mm` and gaps of `off_mm`.
    #[must_use]
    pub const fn dashed(self, on_mm: f64, off_mm: f64) -> Self {
        Self { dash: Some((on_mm, off_mm)), ..self }
    }

    /// The same pen in another grey.
    #[must_use]
    pub const fn in_grey(self, grey: Grey) -> Self {
        Self { grey, ..self }
    }
}

/// Which point of a text stands at the place given for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Anchor {
    /// The start of its baseline.
    Start,
    /// The middle of its baseline.
    Middle,
    /// The end of its baseline.
    End,
}

/// A line of text.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Where the anchor stands, on the baseline.
    pub at: PointMm,
    /// Font size, mm; capitals are [`CAP_HEIGHT`] of it high.
    pub size_mm: f64,
    /// What it says; fractions are set as fractions. Characters the font does not have print as an empty box.
    pub words: String,
    /// Bold.
    pub bold: bool,
    /// Which of its points stands at `at`.
    pub anchor: Anchor,
    /// Lightness.
    pub grey: Grey,
    /// Turn about `at`, degrees, anticlockwise as read on the page: 90 reads upwards.
    pub turn_deg: f64,
}

impl Text {
    /// Black, level, regular text that starts at `at`.
    pub fn new(at: PointMm, size_mm: f64, words: impl Into<String>) -> Self {
        Self {
            at,
            size_mm,
            words: words.into(),
            bold: false,
            anchor: Anchor::Start,
            grey: Grey::BLACK,
            turn_deg: 0.0,
        }
    }

    /// The same text in bold.
    #[must_use]
    pub fn bold(self) -> Self {
        Self { bold: true, ..self }
    }

    /// The same text held at another point.
    #[must_use]
    pub fn anchored(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    /// The same text in another grey.
    #[must_use]
    pub fn in_grey(self, grey: Grey) -> Self {
        Self { grey, ..self }
    }

    /// The same text turned anticlockwise, degrees.
    #[must_use]
    pub fn turned(self, turn_deg: f64) -> Self {
        Self { turn_deg, ..self }
    }
}

/// Something drawn on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A straight line.
    Line {
        /// One end.
        from: PointMm,
        /// The other end.
        to: PointMm,
        /// How it is drawn.
        pen: Pen,
    },
    /// Straight lines from point to point; fewer than two points draw nothing.
    Polyline {
        /// The points in order.
        points: Vec<PointMm>,
        /// Whether the last is joined to the first.
        closed: bool,
        /// How it is drawn, if at all.
        pen: Option<Pen>,
        /// What it is filled with, if at all.
        fill: Option<Grey>,
    },
    /// A circle.
    Circle {
        /// Centre.
        centre: PointMm,
        /// Radius, mm.
        radius_mm: f64,
        /// How it is drawn, if at all.
        pen: Option<Pen>,
        /// What it is filled with, if at all.
        fill: Option<Grey>,
    },
    /// An upright rectangle.
    Rect {
        /// Left top corner.
        corner: PointMm,
        /// Width and height, mm.
        size_mm: (f64, f64),
        /// How it is drawn, if at all.
        pen: Option<Pen>,
        /// What it is filled with, if at all.
        fill: Option<Grey>,
    },
    /// A line of text.
    Text(Text),
    /// Marks seen through a rectangle, as of a drawing that is larger than the page.
    Window {
        /// Left top corner of the rectangle.
        corner: PointMm,
        /// Width and height of the rectangle, mm.
        size_mm: (f64, f64),
        /// How far the marks are moved on the page before they are cut to the rectangle, mm.
        shift_mm: (f64, f64),
        /// The marks, in their own places.
        marks: Vec<Self>,
    },
}

/// A page: its size and what is drawn on it, later marks over earlier ones.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Width and height, mm.
    pub size_mm: (f64, f64),
    /// What is drawn.
    pub marks: Vec<Mark>,
}

impl Page {
    /// An empty upright page.
    pub fn new(paper: PaperSize) -> Self {
        Self { size_mm: paper.size_mm(), marks: Vec::new() }
    }

    /// An empty page lying on its side.
    pub fn landscape(paper: PaperSize) -> Self {
        let (short, long) = paper.size_mm();
        Self { size_mm: (long, short), marks: Vec::new() }
    }

    /// Adds a straight line.
    pub fn line(&mut self, from: PointMm, to: PointMm, pen: Pen) {
        self.marks.push(Mark::Line { from, to, pen });
    }

    /// Adds lines from point to point.
    pub fn polyline(&mut self, points: impl Into<Vec<PointMm>>, pen: Pen) {
        self.marks.push(Mark::Polyline { points: points.into(), closed: false, pen: Some(pen), fill: None });
    }

    /// Adds a closed outline with many corners, drawn, filled or both.
    pub fn polygon(&mut self, points: impl Into<Vec<PointMm>>, pen: Option<Pen>, fill: Option<Grey>) {
        self.marks.push(Mark::Polyline { points: points.into(), closed: true, pen, fill });
    }

    /// Adds a circle.
    pub fn circle(&mut self, centre: PointMm, radius_mm: f64, pen: Option<Pen>, fill: Option<Grey>) {
        self.marks.push(Mark::Circle { centre, radius_mm, pen, fill });
    }

    /// Adds a rectangle by its left top corner, width and height.
    pub fn rect(&mut self, corner: PointMm, size_mm: (f64, f64), pen: Option<Pen>, fill: Option<Grey>) {
        self.marks.push(Mark::Rect { corner, size_mm, pen, fill });
    }

    /// Adds a line of text.
    pub fn text(&mut self, text: Text) {
        self.marks.push(Mark::Text(text));
    }

    /// Adds a square to tick, level with text of `size_mm` on the baseline at `at`; it starts there and is as
    /// wide as a capital is high. The corner is on the baseline.
    pub fn tick_box(&mut self, at: PointMm, size_mm: f64, pen: Pen) {
        let side = size_mm * CAP_HEIGHT;
        self.rect((at.0, at.1 - side), (side, side), Some(pen), None);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn letter_is_eight_and_a_half_by_eleven_inches() {
        let (width, height) = PaperSize::Letter.size_mm();
        assert_relative_eq!(width, 8.5 * 25.4, epsilon = 1e-9);
        assert_relative_eq!(height, 11.0 * 25.4, epsilon = 1e-9);
        assert_eq!(Page::landscape(PaperSize::A4).size_mm, (297.0, 210.0));
    }

    #[test]
    fn helpers_add_marks_in_order() {
        let mut page = Page::new(PaperSize::A4);
        page.line((0.0, 0.0), (1.0, 0.0), Pen::solid(0.2).dashed(2.0, 1.0));
        page.text(Text::new((5.0, 5.0), 4.0, "W1").bold().anchored(Anchor::Middle));
        page.tick_box((10.0, 10.0), 4.0, Pen::solid(0.3));
        assert_eq!(page.marks.len(), 3);
        assert!(matches!(&page.marks[1], Mark::Text(t) if t.bold && t.anchor == Anchor::Middle));
        let Mark::Rect { corner, size_mm, .. } = page.marks[2] else { panic!("a tick box is a rectangle") };
        assert_relative_eq!(corner.1 + size_mm.1, 10.0);
    }
}
