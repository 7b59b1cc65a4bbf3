//! A small clock face for everything that is lined up: where its mark lies, seen along the travel.

use super::clock::{self, at_clock};
use super::flow::{BODY, Flow};
use super::words::ranges;
use super::{Source, ends};
use crate::report::RunReport;
use crate::sheet::area::Area;
use crate::sheet::fonts::{CAP_HEIGHT, fit_text};
use crate::sheet::page::{Anchor, Grey, Page, Pen, PointMm, Text};
use crate::units::{UnitSystem, clock_and_arc};

/// Least width of a face with its texts, mm.
const CELL_MM: f64 = 32.0;
const HEIGHT_MM: f64 = 38.0;
const RADIUS: f64 = 7.5;
const CAPTION: f64 = 4.6;
const FIGURE: f64 = 4.2;
const SMALL: f64 = 3.6;
/// Height of the line that says from which side they are seen, mm.
const SEEN_MM: f64 = 9.0;
/// Clock angles that print alike are one, degrees.
const SAME_DEG: f64 = 0.05;
/// An arc shorter than this is not drawn, degrees.
const LEAST_ARC_DEG: f64 = 25.0;

/// A face: marks of what is lined up there, and where.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Face {
    pub(super) marks: Vec<String>,
    /// What the mark is: `heel`, `outside`, `nut`.
    pub(super) word: &'static str,
    pub(super) clock_deg: f64,
    pub(super) od_mm: f64,
}

/// All faces of a run in order along it; welds that follow each other with the same mark share one.
pub(super) fn faces(source: Source<'_>, run: &RunReport) -> Vec<Face> {
    let mut out: Vec<Face> = Vec::new();
    let mut add = |mark: &str, word: &'static str, clock_deg: f64, od_mm: f64| {
        if let Some(last) = out.last_mut()
            && last.word == word
            && word != "nut"
            && (last.clock_deg - clock_deg).abs() < SAME_DEG
            && (last.od_mm - od_mm).abs() < SAME_DEG
        {
            last.marks.push(mark.to_owned());
        } else {
            out.push(Face { marks: vec![mark.to_owned()], word, clock_deg, od_mm });
        }
    };
    for index in 0..=run.printed.len() {
        for weld in run.welds.iter().filter(|w| w.before == index) {
            if let Some(clock_deg) = weld.printed_clock_deg {
                add(&weld.mark, ends::weld_word(run, weld), clock_deg, weld.od_mm);
            }
        }
        if let (Some(clock_deg), Some(piece)) =
            (ends::lobe_clock_deg(source, run, index), run.printed.get(index))
        {
            add(&piece.mark, "nut", clock_deg, piece.od_mm);
        }
    }
    out
}

/// The faces in rows; nothing where nothing is to be lined up.
pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let faces = faces(source, run);
    if faces.is_empty() {
        return;
    }
    let heading = format!("{}  Where the marks lie, seen along the travel, start to end", run.letters);
    flow.heading(&heading, SEEN_MM + HEIGHT_MM);
    seen(flow);
    let in_row = (flow.width() / CELL_MM).floor().max(1.0) as usize;
    let width = flow.width() / in_row as f64;
    for row in faces.chunks(in_row) {
        if flow.rest().height < HEIGHT_MM {
            flow.next_page();
            flow.line(&format!("{heading} (continued)"), 6.0, true);
        }
        let strip = flow.take(HEIGHT_MM);
        for (i, face) in row.iter().enumerate() {
            let cell = Area::new(strip.left + i as f64 * width, strip.top, width, strip.height);
            draw(flow.page(), cell, face, source.project.settings.units);
        }
    }
}

/// From which side they are seen, in a figure and a sentence.
fn seen(flow: &mut Flow) {
    let strip = flow.take(SEEN_MM);
    let middle = strip.top + 3.4;
    clock::eye(flow.page(), (strip.left + 4.0, middle));
    clock::arrow_to_tube(flow.page(), (strip.left + 8.5, middle));
    let words = "You look into the start of the piece, towards its end: 90° is on the right. Both pieces at a weld carry the mark.";
    let at = (strip.left + 38.0, middle + CAP_HEIGHT * BODY / 2.0);
    let words = fit_text(words, BODY, false, strip.width - 38.0);
    flow.page().text(Text::new(at, BODY, words));
}

fn draw(page: &mut Page, cell: Area, face: &Face, units: UnitSystem) {
    let middle = cell.centre().0;
    let caption = ranges(face.marks.iter().map(String::as_str));
    let caption = fit_text(&caption, CAPTION, true, cell.width - 2.0);
    page.text(Text::new((middle, cell.top + CAPTION), CAPTION, caption).bold().anchored(Anchor::Middle));
    // a little to the left, as 90° stands on the right
    let centre = (middle - 1.5, cell.top + CAPTION + 3.6 + RADIUS);
    dial(page, centre, face);
    let text = clock_and_arc(face.clock_deg, face.od_mm, units);
    let (deg, arc) = text.split_once(" (").unwrap_or((&text, ""));
    let below = centre.1 + RADIUS + 2.6 + FIGURE;
    let figure = format!("{} {deg}", face.word);
    page.text(Text::new((middle, below), FIGURE, figure).bold().anchored(Anchor::Middle));
    let arc = format!("arc {}", arc.trim_end_matches(')'));
    page.text(Text::new((middle, below + SMALL * 1.35), SMALL, arc).anchored(Anchor::Middle));
}

/// The tube's end with its index line, 90° on the right, the mark and the way it is counted.
fn dial(page: &mut Page, centre: PointMm, face: &Face) {
    let at = |deg: f64, radius: f64| at_clock(centre, deg, radius);
    page.circle(centre, RADIUS, Some(Pen::solid(0.5)), None);
    page.line(at(0.0, RADIUS - 2.6), at(0.0, RADIUS + 1.6), Pen::solid(0.9));
    for deg in [90.0, 180.0, 270.0] {
        page.line(at(deg, RADIUS - 1.2), at(deg, RADIUS), Pen::solid(0.3));
    }
    let right = at(90.0, RADIUS + 3.6);
    page.text(Text::new((right.0, right.1 + CAP_HEIGHT * SMALL / 2.0), SMALL, "90°"));
    let deg = face.clock_deg.rem_euclid(360.0);
    if deg >= LEAST_ARC_DEG {
        let steps = (deg / 6.0).ceil().max(2.0) as u32;
        let arc: Vec<PointMm> =
            (0..=steps).map(|i| at((deg - 9.0) * f64::from(i) / f64::from(steps), RADIUS * 0.5)).collect();
        page.polyline(arc, Pen::solid(0.3));
        let tip = [at(deg, RADIUS * 0.5), at(deg - 14.0, RADIUS * 0.62), at(deg - 14.0, RADIUS * 0.38)];
        page.polygon(tip, None, Some(Grey::BLACK));
    }
    if face.word == "nut" {
        let (out, half) = (RADIUS + 3.0, 1.5);
        let side = |radius: f64, to: f64| at(deg + (to / radius).to_degrees(), radius);
        let corners = [side(RADIUS, -half), side(out, -half), side(out, half), side(RADIUS, half)];
        page.polygon(corners, Some(Pen::solid(0.4)), Some(Grey::LIGHT));
    } else {
        let wide = 1.5_f64;
        let side = |to: f64| at(deg + (to / RADIUS).to_degrees(), RADIUS + 3.0);
        page.polygon([at(deg, RADIUS + 0.2), side(-wide), side(wide)], None, Some(Grey::BLACK));
        page.line(at(deg, RADIUS - 2.2), at(deg, RADIUS), Pen::solid(0.6));
    }
}
