//! How places round the tube are counted, as a figure and a few sentences.

use super::assembly::length_step;
use super::flow::Flow;
use super::words::wrapped;
use crate::model::SawScale;
use crate::sheet::area::Area;
use crate::sheet::fonts::{CAP_HEIGHT, text_width_mm};
use crate::sheet::page::{Anchor, Grey, Page, Pen, PointMm, Text};
use crate::units::UnitSystem;
use std::f64::consts::PI;

/// Height of the figure, and of the text beside it or a little more, mm.
pub(super) const HEIGHT_MM: f64 = 46.0;
/// Width kept for the figure, mm.
const FIGURE_MM: f64 = 96.0;
const RADIUS: f64 = 11.5;
const TEXT: f64 = 3.6;
/// Font size of the sentences, mm.
const WORDS: f64 = 4.0;

/// Draws the text and the figure beside it.
pub(super) fn how_to(flow: &mut Flow, scale: SawScale, units: UnitSystem) {
    let square = match scale {
        SawScale::FromSquare => "0°",
        SawScale::FromBlade => "90°",
    };
    let cuts = format!("as the saw's scale reads; {square} on it is square. A dash: nothing to mark there.");
    let lengths = format!(
        "are those of the long side, with what is counted in for welds and trim. They are rounded to {} together, so that the pipe ends right: not each to its nearest step. Cut what is printed.",
        length_step(units)
    );
    let said = [
        (
            "Index line:",
            "a line along every piece, with an arrow from its start to its end. Welded, all index lines lie in one line; it does not wind round the pipe.",
        ),
        (
            "Degrees:",
            "clockwise from the index line as you look into the start of the piece, towards its end: 90° is on the right. Looked at from its end they run the other way. In brackets the arc round the outside.",
        ),
        (
            "Heel:",
            "the long side of a cut. Go back from it by the arc and draw the index line. An elbow is marked at its inside; a square end beside a joint where that joint's nut or lever goes.",
        ),
        ("Cuts:", cuts.as_str()),
        ("Lengths:", lengths.as_str()),
    ];
    let width = flow.width() - FIGURE_MM;
    let strip = flow.take(sentences_mm(width, &said).max(HEIGHT_MM));
    let page = flow.page();
    sentences(page, (strip.left, strip.top), width, &said);
    piece(page, (strip.right() - FIGURE_MM + 8.0, strip.top + 20.0));
    face(page, (strip.right() - 20.0, strip.top + 20.0));
}

/// Height that [`sentences`] take, with a little space below, mm.
pub(super) fn sentences_mm(width: f64, said: &[(&str, &str)]) -> f64 {
    let lines = |(lead, words): &(&str, &str)| wrapped(lead, words, WORDS, width).len() as f64;
    said.iter().map(|s| WORDS * (1.3 * lines(s) + 0.2)).sum::<f64>() + WORDS * 0.8
}

/// Sentences with bold leads below each other in a column that begins at `corner`.
pub(super) fn sentences(page: &mut Page, corner: PointMm, width: f64, said: &[(&str, &str)]) {
    let mut base = corner.1 + WORDS;
    for (lead, words) in said {
        for (i, line) in wrapped(lead, words, WORDS, width).into_iter().enumerate() {
            if i == 0 && !lead.is_empty() {
                page.text(Text::new((corner.0, base), WORDS, *lead).bold());
            }
            page.text(Text::new((corner.0 + line.indent_mm, base), WORDS, line.words));
            base += WORDS * 1.3;
        }
        base += WORDS * 0.2;
    }
}

/// The place at a clock angle and a distance from the centre.
pub(super) fn at_clock(centre: PointMm, deg: f64, radius: f64) -> PointMm {
    let (sin, cos) = deg.to_radians().sin_cos();
    (centre.0 + radius * sin, centre.1 - radius * cos)
}

/// An eye about `at` that looks to the right.
pub(super) fn eye(page: &mut Page, at: PointMm) {
    let lid = |up: f64| -> Vec<PointMm> {
        (0..=12)
            .map(|i| {
                let t = f64::from(i) / 12.0;
                (at.0 - 3.2 + 6.4 * t, at.1 - up * 2.0 * (t * PI).sin())
            })
            .collect()
    };
    page.polyline(lid(1.0), Pen::solid(0.4));
    page.polyline(lid(-1.0), Pen::solid(0.4));
    page.circle((at.0 + 0.7, at.1), 1.2, None, Some(Grey::BLACK));
}

/// An arrow to the right that ends before a length of tube with its start and end named.
pub(super) fn arrow_to_tube(page: &mut Page, from: PointMm) {
    let tip = arrow(page, from, 7.0);
    page.rect((tip.0 + 1.5, tip.1 - 2.2), (13.0, 4.4), Some(Pen::solid(0.4)), None);
    page.line((tip.0 + 1.5, tip.1 - 2.2), (tip.0 + 1.5, tip.1 + 2.2), Pen::solid(1.0));
}

fn arrow(page: &mut Page, from: PointMm, long: f64) -> PointMm {
    let tip = (from.0 + long, from.1);
    page.line(from, (tip.0 - 2.0, tip.1), Pen::solid(0.5));
    page.polygon([tip, (tip.0 - 2.4, tip.1 - 0.9), (tip.0 - 2.4, tip.1 + 0.9)], None, Some(Grey::BLACK));
    tip
}

/// A piece seen from the side, with what its parts are called, and the eye that looks into its start.
fn piece(page: &mut Page, at: PointMm) {
    eye(page, (at.0 + 3.0, at.1));
    let tip = arrow(page, (at.0 + 7.0, at.1), 5.5);
    let (left, top, bottom) = (tip.0 + 1.5, at.1 - 6.0, at.1 + 6.0);
    let (short, long) = (left + 20.0, left + 26.0);
    page.polygon([(left, top), (short, top), (long, bottom), (left, bottom)], Some(Pen::solid(0.5)), None);
    page.line((left, top + 1.6), (short + 0.8, top + 1.6), Pen::solid(0.9));
    let text = |p: PointMm, words: &str| Text::new(p, TEXT, words);
    page.text(text((left, top - 5.6), "index line"));
    page.line((left + 6.0, top - 4.9), (left + 7.5, top + 1.2), Pen::solid(0.2));
    page.text(text((left + 1.0, at.1 + CAP_HEIGHT * TEXT / 2.0), "start"));
    page.text(text((short + 2.0, at.1 + CAP_HEIGHT * TEXT / 2.0), "end").anchored(Anchor::End));
    page.text(text((long + 1.0, bottom + 1.0), "heel").bold());
    let level = bottom + 3.6;
    page.line((left, level), (long, level), Pen::solid(0.25));
    for x in [left, long] {
        page.line((x, level - 1.3), (x, level + 1.3), Pen::solid(0.25));
    }
    let middle = (f64::midpoint(left, long), level + 2.0 + CAP_HEIGHT * TEXT);
    page.text(text(middle, "long side").anchored(Anchor::Middle));
}

/// The end of the tube with its index line on top and an arrow the way the clock goes.
fn face(page: &mut Page, centre: PointMm) {
    let at = |deg: f64, radius: f64| at_clock(centre, deg, radius);
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
    page.text(text(baseline(at(90.0, RADIUS + 1.6)), "90°"));
    page.text(text(baseline(at(270.0, RADIUS + 1.6)), "270°").anchored(Anchor::End));
    let bottom = at(180.0, RADIUS + 1.8);
    page.text(text((bottom.0, bottom.1 + CAP_HEIGHT * TEXT), "180°").anchored(Anchor::Middle));
    let seen = (bottom.0, bottom.1 + CAP_HEIGHT * TEXT + 5.4);
    page.text(text(seen, "as the eye sees it").anchored(Anchor::Middle));
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
    let half = text_width_mm("half turn: a wedge", TEXT, false) / 2.0 - width / 2.0;
    draw(page, area.left + half, 1.0, "half turn: a wedge");
    draw(page, area.left + half + 42.0, -1.0, "no turn: wrong");
}
