//! A template as SVG, in mm.

use super::draw::{CUT, Drawing, drawing, stamped};
use super::pages::Heading;
use super::unroll::Template;
use crate::sheet::fonts::{printable, text_width_mm};
use crate::sheet::page::{Anchor, Grey, Mark, Pen, PointMm, Text};
use crate::units::plain_number;
use std::fmt::Write as _;

/// Decimals of a coordinate: 0.1 µm.
const DECIMALS: usize = 4;

/// A template as SVG text; width, height and coordinates are mm.
///
/// The outline is the one path of the group `cut`; help lines and words are in the group `marks`, so that either
/// can be switched off for a machine.
pub fn svg(template: &Template) -> String {
    svg_of(&drawing(template, &[], &[]), &title_of(template))
}

/// The same with what it belongs to below it: a file by itself has to say that.
pub fn stamped_svg(template: &Template, heading: &Heading) -> String {
    svg_of(&stamped(drawing(template, &[], &[]), heading), &title_of(template))
}

fn title_of(template: &Template) -> String {
    format!("Wrap template {}", template.names.join(" "))
}

/// A drawing as SVG text under a title.
pub(super) fn svg_of(drawing: &Drawing, title: &str) -> String {
    let (width, height) = (number(drawing.size_mm.0), number(drawing.size_mm.1));
    let mut body = String::new();
    for mark in drawing.marks.iter().chain(&drawing.caption) {
        draw(&mut body, mark);
    }
    let title = escaped(&printable(title, false));
    let paths: Vec<String> = drawing.cuts().map(|cut| format!("<path d=\"{}\"/>", path(cut, true))).collect();
    let paths = paths.join("\n");
    format!(
        r##"<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">
<title>{title}</title>
<g id="cut" fill="none" stroke="#000000" stroke-width="{}">
{paths}
</g>
<g id="marks" font-family="'DejaVu Sans Condensed', 'DejaVu Sans', Arial, sans-serif">
{body}</g>
</svg>
"##,
        number(CUT.width_mm)
    )
}

fn number(x: f64) -> String {
    plain_number(x, DECIMALS)
}

fn path(points: &[PointMm], closed: bool) -> String {
    let mut out = String::new();
    for (i, (x, y)) in points.iter().enumerate() {
        let step = if i == 0 { "M" } else { " L" };
        // writing to a text cannot fail
        let _ = write!(out, "{step}{} {}", number(*x), number(*y));
    }
    if closed {
        out.push_str(" Z");
    }
    out
}

/// What stands in text and attributes: no character with a meaning in XML.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

fn grey(grey: Grey) -> String {
    format!("#{0:02x}{0:02x}{0:02x}", grey.0)
}

/// Attributes of what is drawn with a pen and filled with a grey.
fn look(pen: Option<Pen>, fill: Option<Grey>) -> String {
    let fill = fill.map_or_else(|| "none".to_owned(), grey);
    let Some(pen) = pen else { return format!(r#"fill="{fill}""#) };
    let stroke = grey(pen.grey);
    let mut out = format!(r#"fill="{fill}" stroke="{stroke}" stroke-width="{}""#, number(pen.width_mm));
    if let Some((on, off)) = pen.dash {
        let _ = write!(out, r#" stroke-dasharray="{} {}""#, number(on), number(off));
    }
    out
}

fn draw(out: &mut String, mark: &Mark) {
    let line = match mark {
        Mark::Line { from, to, pen } => {
            format!(r#"<path d="{}" {}/>"#, path(&[*from, *to], false), look(Some(*pen), None))
        }
        Mark::Polyline { points, closed, pen, fill } => {
            format!(r#"<path d="{}" {}/>"#, path(points, *closed), look(*pen, *fill))
        }
        Mark::Circle { centre, radius_mm, pen, fill } => {
            let (x, y, r) = (number(centre.0), number(centre.1), number(*radius_mm));
            format!(r#"<circle cx="{x}" cy="{y}" r="{r}" {}/>"#, look(*pen, *fill))
        }
        Mark::Rect { corner, size_mm, pen, fill } => {
            let (x, y, width, height) =
                (number(corner.0), number(corner.1), number(size_mm.0), number(size_mm.1));
            format!(r#"<rect x="{x}" y="{y}" width="{width}" height="{height}" {}/>"#, look(*pen, *fill))
        }
        Mark::Text(text) => words(text),
        Mark::Window { shift_mm, marks, .. } => {
            // a strip has none; what is in it would be drawn whole
            let mut inner = String::new();
            for mark in marks {
                draw(&mut inner, mark);
            }
            format!("<g transform=\"translate({} {})\">\n{inner}</g>", number(shift_mm.0), number(shift_mm.1))
        }
    };
    out.push_str(&line);
    out.push('\n');
}

/// A line of text; its length is given so that another font keeps within it.
fn words(text: &Text) -> String {
    let shown = printable(&text.words, text.bold);
    let (x, y) = (number(text.at.0), number(text.at.1));
    let anchor = match text.anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    let weight = if text.bold { "bold" } else { "normal" };
    let turn = if text.turn_deg == 0.0 {
        String::new()
    } else {
        format!(r#" transform="rotate({} {x} {y})""#, number(-text.turn_deg))
    };
    format!(
        r#"<text x="{x}" y="{y}" font-size="{}" font-weight="{weight}" text-anchor="{anchor}" fill="{}" textLength="{}" lengthAdjust="spacingAndGlyphs"{turn}>{}</text>"#,
        number(text.size_mm),
        grey(text.grey),
        number(text_width_mm(&shown, text.size_mm, text.bold)),
        escaped(&shown)
    )
}
