//! How places round the tube are counted, as a small figure and two sentences.

use super::flow::{BODY, Flow};
use crate::sheet::area::Area;
use crate::sheet::fonts::CAP_HEIGHT;
use crate::sheet::page::{Anchor, Grey, Page, Pen, PointMm, Text};
use std::f64::consts::PI;

/// Height of figure and text, mm.
pub(super) const HEIGHT_MM: f64 = 38.0;
const RADIUS: f64 = 11.5;
const TEXT: f64 = 3.6;

const LINES: [&str; 4] = [
    "Look along the pipe from start to end: places round the tube count clockwise from the index line.",
    "The heel is the long side of a cut. Mark it when it is cut, go back from it by the arc in brackets",
    "and scribe the index line. Weld with all index lines in one line: it does not wind round the pipe.",
    "Cuts are angles from square. The arc runs round the outside of the tube.",
];

/// Draws the figure and the text beside it.
pub(super) fn how_to(flow: &mut Flow) {
    let strip = flow.take(HEIGHT_MM);
    let page = flow.page();
    face(page, (strip.left + 24.0, strip.top + HEIGHT_MM / 2.0));
    for (i, line) in LINES.iter().enumerate() {
        let at = (strip.left + 52.0, strip.top + 9.0 + i as f64 * BODY * 1.5);
        page.text(Text::new(at, BODY, *line));
    }
}

/// The end of the tube with its index line on top and an arrow the way the clock goes.
fn face(page: &mut Page, centre: PointMm) {
    let at = |deg: f64, radius: f64| {
        let (sin, cos) = deg.to_radians().sin_cos();
        (centre.0 + radius * sin, centre.1 - radius * cos)
    };
    page.circle(centre, RADIUS, Some(Pen::solid(0.5)), None);
    page.circle(centre, RADIUS - 1.6, Some(Pen::solid(0.2)), None);
    page.line(at(0.0, RADIUS - 4.0), at(0.0, RADIUS + 1.5), Pen::solid(0.9));
    for deg in [90.0, 180.0, 270.0] {
        page.line(at(deg, RADIUS - 2.5), at(deg, RADIUS + 1.0), Pen::solid(0.3));
    }
    let baseline = |p: PointMm| (p.0, p.1 + CAP_HEIGHT * TEXT / 2.0);
    let text = |p: PointMm, words: &str| Text::new(p, TEXT, words);
    let top = at(0.0, RADIUS + 2.4);
    page.text(text(top, "0° index line").anchored(Anchor::Middle).bold());
    page.text(text(baseline(at(90.0, RADIUS + 2.0)), "90°"));
    page.text(text(baseline(at(270.0, RADIUS + 2.0)), "270°").anchored(Anchor::End));
    let bottom = at(180.0, RADIUS + 1.8);
    page.text(text((bottom.0, bottom.1 + CAP_HEIGHT * TEXT), "180°").anchored(Anchor::Middle));
    let arc: Vec<PointMm> = (0..=20).map(|i| at(25.0 + 100.0 * f64::from(i) / 20.0, RADIUS * 0.55)).collect();
    page.polyline(arc, Pen::solid(0.5));
    let tip = at(137.0, RADIUS * 0.55);
    page.polygon([tip, at(122.0, RADIUS * 0.66), at(122.0, RADIUS * 0.44)], None, Some(Grey::BLACK));
}

/// Two cuts along a stick, with and without the half turn between them.
pub(super) fn half_turn(page: &mut Page, area: Area) {
    let width = 24.0;
    let slant = (14.0 * PI / 180.0).tan() * 10.0 / 2.0;
    let draw = |page: &mut Page, left: f64, lean: f64, caption: &str| {
        let (top, bottom) = (area.top, area.top + 10.0);
        let shape = [
            (left - slant, top),
            (left + width + lean * slant, top),
            (left + width - lean * slant, bottom),
            (left + slant, bottom),
        ];
        page.polygon(shape, Some(Pen::solid(0.5)), Some(if lean > 0.0 { Grey::LIGHT } else { Grey::WHITE }));
        let at = (left + width / 2.0, bottom + TEXT * 1.3);
        page.text(Text::new(at, TEXT, caption).anchored(Anchor::Middle));
    };
    draw(page, area.left + 12.0, 1.0, "half turn: a wedge");
    draw(page, area.left + 62.0, -1.0, "no turn: wrong");
}
