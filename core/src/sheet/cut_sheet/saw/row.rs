//! A stop at the saw as one row, its columns in the order of doing.

use super::super::dial;
use super::super::words::{plain_length, round, saw_reads};
use super::stops::{Makes, Stop, Turn, half_open, marked};
use crate::model::Saw;
use crate::report::{CutReport, PieceReport};
use crate::sheet::area::Area;
use crate::sheet::fonts::{fit_text, text_width_mm};
use crate::sheet::page::{Anchor, Grey, Page, Pen, Text};
use crate::units::UnitSystem;

/// Height of a row, mm.
pub(super) const ROW_MM: f64 = 12.8;
/// Height of the line with the titles of the columns, mm.
pub(super) const TITLES_MM: f64 = 5.2;
/// The columns: tick box, turn, setting, long side, name, index line, what else; mm from the left.
const COLUMNS: [f64; 7] = [0.0, 12.0, 58.0, 81.0, 112.0, 136.0, 168.0];
/// Font sizes, mm: length, setting, name and arc, words beside, words below.
const LENGTH: f64 = 8.6;
const SETTING: f64 = 8.0;
const NAME: f64 = 7.2;
const ARC: f64 = 6.6;
const BESIDE: f64 = 4.4;
const BELOW: f64 = 3.4;
/// Radius of the circles, mm.
const RADIUS: f64 = 4.2;
/// Lines of the row from its top, mm.
const MAIN_MM: f64 = 8.5;
const SECOND_MM: f64 = 12.0;

/// How a row is written.
#[derive(Debug, Clone, Copy)]
pub(super) struct How<'a> {
    pub(super) units: UnitSystem,
    pub(super) saw: &'a Saw,
    pub(super) od_mm: f64,
}

/// A row: the stop, its number, whether the saw is set anew, and what comes after it.
#[derive(Debug, Clone)]
pub(super) struct Row<'a> {
    pub(super) stop: Stop<'a>,
    pub(super) number: usize,
    pub(super) changed: bool,
    pub(super) after: String,
}

/// The titles of the columns, with a line under them.
pub(super) fn titles(page: &mut Page, strip: Area) {
    let words = ["", "1  Turn the tube", "2  Set saw", "3  Long side", "4  Mark: name, arrow, index line"];
    for (words, x) in words.iter().zip(COLUMNS) {
        page.text(Text::new((strip.left + x, strip.top + 3.4), BELOW, *words).bold());
    }
    let y = strip.bottom() - 0.4;
    page.line((strip.left, y), (strip.right(), y), Pen::solid(0.5));
}

impl Row<'_> {
    /// Draws the row in its strip.
    pub(super) fn draw(&self, page: &mut Page, strip: Area, how: How<'_>) {
        let x = COLUMNS.map(|x| strip.left + x);
        let (main, second) = (strip.top + MAIN_MM, strip.top + SECOND_MM);
        page.rect((x[0], strip.top + 1.2), (8.6, 10.2), Some(Pen::solid(0.6)), None);
        page.text(Text::new((x[0] + 0.9, strip.top + 4.6), BELOW, self.number.to_string()).bold());
        self.turn(page, strip, how);
        self.setting(page, (x[2], main), how);
        match self.stop.makes {
            Makes::Square(off) => {
                let words = if off > 0.0 { plain_length(off, how.units) } else { String::new() };
                let size = LENGTH * 0.62;
                page.text(Text::new((x[3], main), size, words.clone()).bold());
                let beside = x[3] + text_width_mm(&words, size, true) + 2.0;
                page.text(Text::new((beside, main), BELOW, "off, with the blade"));
            }
            Makes::First(cut) => {
                page.text(Text::new((x[3], main), BESIDE, "first face only").bold());
                let words = format!("as little as it takes, {} {}", starts(cut), cut.mark);
                page.text(Text::new((x[3], second), BELOW, words));
            }
            Makes::Piece(cut, piece) | Makes::Left(cut, piece) => {
                piece_columns(page, strip, how, (cut, piece));
            }
        }
        let room = strip.right() - x[6];
        let after = fit_text(&self.after, BELOW, false, room);
        page.text(Text::new((x[6], second), BELOW, after));
        page.line((strip.left, strip.bottom()), (strip.right(), strip.bottom()), Pen::solid(0.2));
    }

    /// How the tube is turned: a circle, and words.
    fn turn(&self, page: &mut Page, strip: Area, how: How<'_>) {
        let x = strip.left + COLUMNS[1];
        let centre = (x + RADIUS + 0.6, strip.top + 6.6);
        let (main, second) = (strip.top + MAIN_MM - 1.0, strip.top + SECOND_MM);
        let words_x = x + 2.0 * RADIUS + 3.6;
        let said = match self.stop.turn {
            Turn::Any => match self.stop.makes {
                Makes::Left(..) => "what is left".to_owned(),
                Makes::Square(_) | Makes::First(_) | Makes::Piece(..) => "any turn".to_owned(),
            },
            Turn::Start => "start here".to_owned(),
            Turn::By(deg) if deg.abs() < 0.05 => "no turn".to_owned(),
            Turn::By(deg) if deg.abs() > 179.95 => "half turn".to_owned(),
            Turn::By(deg) => {
                let way = if deg > 0.0 { "↻" } else { "↺" };
                format!("{}° {way}", crate::units::plain_number(deg.abs(), 1))
            }
        };
        if let Some(top) = self.stop.top_deg {
            dial::tube(page, centre, RADIUS);
            dial::heavy_rim(page, centre, RADIUS, 0.0);
            for (line, at) in [("1", 0.0), ("2", 180.0)] {
                let deg = half_open(at - top);
                let place = dial::at_clock(centre, deg, RADIUS - 1.7);
                let bold = deg.abs() < 90.0;
                let text = Text::new((place.0, place.1 + 1.2), 3.2, line).anchored(Anchor::Middle);
                page.text(if bold { text.bold() } else { text });
            }
            match self.stop.turn {
                Turn::By(deg) if deg.abs() > 0.05 => {
                    let to = deg.clamp(-150.0, 150.0);
                    dial::turn_arrow(
                        page,
                        centre,
                        RADIUS + 1.3,
                        (40.0 * deg.signum(), to.signum() * to.abs().max(60.0)),
                    );
                }
                Turn::By(_) | Turn::Any | Turn::Start => {}
            }
        }
        page.text(Text::new((words_x, main), BESIDE, said).bold());
        page.text(Text::new((words_x, second), BELOW, self.line_words(how)));
    }

    /// Which pencil line comes to the long side.
    fn line_words(&self, how: How<'_>) -> String {
        let on_line = |deg: f64| {
            let deg = half_open(deg);
            if deg.abs() < 0.05 {
                Some(1)
            } else if deg.abs() > 179.95 {
                Some(2)
            } else {
                None
            }
        };
        if let Some(top) = self.stop.top_deg {
            return on_line(top).map_or_else(
                || {
                    let off = round(-top, how.od_mm, how.units);
                    format!("line 1 {} {} of the top", off.arc, off.side)
                },
                |line| format!("long side on line {line}"),
            );
        }
        match (self.stop.makes, self.stop.first_heel_deg) {
            (Makes::Square(_), _) => "square the end".to_owned(),
            (Makes::Piece(..) | Makes::Left(..), Some(heel)) => on_line(heel).map_or_else(
                || {
                    let off = round(heel, how.od_mm, how.units);
                    format!("measure {} {} of line 1", off.arc, off.side)
                },
                |line| format!("measure on line {line}"),
            ),
            (Makes::Left(..), None) => "the stick's own end".to_owned(),
            (Makes::Piece(..) | Makes::First(_), _) => "square".to_owned(),
        }
    }

    fn setting(&self, page: &mut Page, at: (f64, f64), how: How<'_>) {
        if let Makes::Left(..) = self.stop.makes {
            page.text(Text::new(at, BESIDE, "no cut").bold());
            return;
        }
        let words = saw_reads(self.stop.setting_deg, how.saw.step_deg);
        let size = SETTING.min(SETTING * 20.0 / text_width_mm(&words, SETTING, true));
        let text = Text::new(at, size, words.clone()).bold();
        if self.changed {
            let width = text_width_mm(&words, size, true);
            page.rect((at.0 - 1.2, at.1 - 7.0), (width + 2.4, 8.6), None, Some(Grey::BLACK));
            page.text(text.in_grey(Grey::WHITE));
        } else {
            page.text(text);
        }
    }
}

/// Length, name, arrow and index line of a piece.
fn piece_columns(page: &mut Page, strip: Area, how: How<'_>, (cut, piece): (&CutReport, &PieceReport)) {
    let x = COLUMNS.map(|x| strip.left + x);
    let (main, second) = (strip.top + MAIN_MM, strip.top + SECOND_MM);
    let long = plain_length(piece.sawn_long_mm, how.units);
    let size = LENGTH.min(LENGTH * 29.0 / text_width_mm(&long, LENGTH, true));
    page.text(Text::new((x[3], main), size, long).bold());
    let marked = marked(cut, piece);
    if let Some(deg) = marked.long_deg {
        let off = round(deg, how.od_mm, how.units);
        let words = format!("at {} {}", off.arc, off.side);
        page.text(Text::new((x[3], second), BELOW, words));
    }
    let name_mm = text_width_mm(&piece.mark, NAME, true);
    page.text(Text::new((x[4], main), NAME, piece.mark.clone()).bold());
    let (from, to) = (x[4] + name_mm + 1.2, (x[5] - 2.0).min(x[4] + name_mm + 7.2));
    let y = main - 2.4;
    if cut.end_first {
        dial::arrow(page, (to, y), (from, y), 0.7);
    } else {
        dial::arrow(page, (from, y), (to, y), 0.7);
    }
    let way = if cut.end_first { "to the free end" } else { "into the stick" };
    page.text(Text::new((x[4], second), BELOW, way));
    let Some(index) = marked.index_deg else {
        page.text(Text::new((x[5] + 3.0, main), BESIDE * 0.85, "index line: any"));
        return;
    };
    let centre = (x[5] + RADIUS + 2.6, strip.top + 6.6);
    let off = round(index, how.od_mm, how.units);
    dial::tube(page, centre, RADIUS);
    dial::sector(page, centre, RADIUS, (0.0, index));
    dial::heavy_rim(page, centre, RADIUS, 0.0);
    dial::index(page, centre, RADIUS, index);
    let arc_x = centre.0 + RADIUS + 2.4;
    if off.side == "on the line" {
        page.text(Text::new((arc_x, main), BESIDE, "on the long side").bold());
    } else {
        // a long arc with a long word is set smaller rather than over the edge
        let needs = text_width_mm(&off.arc, ARC, true) + 1.6 + text_width_mm(off.side, BESIDE, true);
        let fits = ((strip.right() - arc_x) / needs).min(1.0);
        page.text(Text::new((arc_x, main), ARC * fits, off.arc.clone()).bold());
        let side_x = arc_x + text_width_mm(&off.arc, ARC * fits, true) + 1.6 * fits;
        page.text(Text::new((side_x, main), BESIDE * fits, off.side).bold());
    }
}

/// What the cut does for a piece: `starts` or `ends`.
fn starts(cut: &CutReport) -> &'static str {
    if cut.end_first { "ends" } else { "starts" }
}

/// What a cut that is shared does for the piece after it.
pub(super) fn also(next: &CutReport) -> String {
    format!("also {} {}", starts(next), next.mark)
}
