//! Writes pages as PDF: text that can be selected, fonts embedded, the same bytes for the same pages.

use super::fonts;
use super::fraction::{Bit, bits};
use super::page::{Anchor, Grey, Mark, Page, Pen, PointMm, Text};
use krilla::color::luma;
use krilla::geom::{Path, PathBuilder, Point, Transform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};
use std::ops::Range;

/// PDF points in a millimetre.
const POINTS_PER_MM: f32 = 72.0 / 25.4;
/// Arcs a circle is drawn with: with eight the radius is off by less than 5 parts in a million.
const CIRCLE_ARCS: u32 = 8;

/// Why pages could not be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SheetError {
    /// There are none.
    #[error("there are no pages to write")]
    NoPages,
    /// A page without width or height.
    #[error("page {page} has no usable size")]
    PageSize {
        /// Number of the page, from 1.
        page: usize,
    },
    /// A mark at a place that is not a number.
    #[error("page {page} has a mark whose place or size is not a number")]
    NotANumber {
        /// Number of the page, from 1.
        page: usize,
    },
    /// The font that is built in does not load.
    #[error("the built-in font cannot be read")]
    Font,
    /// The PDF library refuses.
    #[error("the PDF could not be put together: {0}")]
    Pdf(String),
}

/// Writes `pages` as one PDF that asks to be printed at its true size.
///
/// `title` is shown by viewers; `creator` names the program. There is no date in it, so the same input gives
/// the same bytes. Printing at true size is a wish that print dialogs may pass over: a check bar on the page
/// stays necessary.
pub fn write(pages: &[Page], title: &str, creator: &str) -> Result<Vec<u8>, SheetError> {
    write_with(pages, title, creator, SerializeSettings::default())
}

fn write_with(
    pages: &[Page],
    title: &str,
    creator: &str,
    settings: SerializeSettings,
) -> Result<Vec<u8>, SheetError> {
    if pages.is_empty() {
        return Err(SheetError::NoPages);
    }
    let fonts = Fonts::load().ok_or(SheetError::Font)?;
    let mut document = Document::new_with(settings);
    document.set_metadata(
        Metadata::new().title(title.to_owned()).creator(creator.to_owned()).language("en".to_owned()),
    );
    for (index, page) in pages.iter().enumerate() {
        let number = index + 1;
        if !page.marks.iter().all(is_finite) {
            return Err(SheetError::NotANumber { page: number });
        }
        let (width, height) = page.size_mm;
        let settings = PageSettings::from_wh(width as f32 * POINTS_PER_MM, height as f32 * POINTS_PER_MM)
            .ok_or(SheetError::PageSize { page: number })?;
        let mut sheet = document.start_page_with(settings);
        let mut surface = sheet.surface();
        surface.push_transform(&Transform::from_scale(POINTS_PER_MM, POINTS_PER_MM));
        draw_all(&mut surface, &page.marks, &fonts);
        surface.pop();
        surface.finish();
        sheet.finish();
    }
    let plain = document.finish().map_err(|error| SheetError::Pdf(error.to_string()))?;
    Ok(with_true_size(&plain).unwrap_or(plain))
}

struct Fonts {
    regular: Font,
    bold: Font,
}

impl Fonts {
    fn load() -> Option<Self> {
        let regular = Font::new(fonts::data(false).into(), 0)?;
        let bold = Font::new(fonts::data(true).into(), 0)?;
        Some(Self { regular, bold })
    }
}

fn draw_all(surface: &mut Surface<'_>, marks: &[Mark], fonts: &Fonts) {
    for mark in marks {
        match mark {
            Mark::Line { from, to, pen } => {
                paint(surface, polyline(&[*from, *to], false), Some(*pen), None);
            }
            Mark::Polyline { points, closed, pen, fill } => {
                paint(surface, polyline(points, *closed), *pen, *fill);
            }
            Mark::Circle { centre, radius_mm, pen, fill } => {
                paint(surface, circle(*centre, *radius_mm), *pen, *fill);
            }
            Mark::Rect { corner, size_mm, pen, fill } => {
                paint(surface, rectangle(*corner, *size_mm), *pen, *fill);
            }
            Mark::Text(text) => draw_text(surface, text, fonts),
            Mark::Window { corner, size_mm, shift_mm, marks } => {
                let Some(path) = rectangle(*corner, *size_mm) else { continue };
                surface.push_clip_path(&path, &FillRule::NonZero);
                surface.push_transform(&Transform::from_translate(shift_mm.0 as f32, shift_mm.1 as f32));
                draw_all(surface, marks, fonts);
                surface.pop();
                surface.pop();
            }
        }
    }
}

/// Fills and strokes a path; a path without extent is nothing to draw.
fn paint(surface: &mut Surface<'_>, path: Option<Path>, pen: Option<Pen>, fill: Option<Grey>) {
    let Some(path) = path else { return };
    if pen.is_none() && fill.is_none() {
        return;
    }
    surface.set_fill(fill.map(filled));
    surface.set_stroke(pen.map(stroked));
    surface.draw_path(&path);
}

fn filled(grey: Grey) -> Fill {
    Fill { paint: luma::Color::new(grey.0).into(), opacity: NormalizedF32::ONE, rule: FillRule::NonZero }
}

fn stroked(pen: Pen) -> Stroke {
    Stroke {
        paint: luma::Color::new(pen.grey.0).into(),
        width: pen.width_mm as f32,
        line_join: LineJoin::Round,
        dash: pen.dash.map(|(on, off)| StrokeDash { array: vec![on as f32, off as f32], offset: 0.0 }),
        ..Stroke::default()
    }
}

fn polyline(points: &[PointMm], closed: bool) -> Option<Path> {
    let mut path = PathBuilder::new();
    let (first, rest) = points.split_first()?;
    path.move_to(first.0 as f32, first.1 as f32);
    for point in rest {
        path.line_to(point.0 as f32, point.1 as f32);
    }
    if closed && rest.len() > 1 {
        path.close();
    }
    path.finish()
}

fn rectangle(corner: PointMm, size_mm: (f64, f64)) -> Option<Path> {
    let (left, top) = corner;
    let (right, bottom) = (left + size_mm.0, top + size_mm.1);
    polyline(&[(left, top), (right, top), (right, bottom), (left, bottom)], true)
}

/// A circle as Bézier arcs, control points at `4/3·tan(φ/4)` of the radius for an arc of φ.
fn circle(centre: PointMm, radius_mm: f64) -> Option<Path> {
    let step = std::f64::consts::TAU / f64::from(CIRCLE_ARCS);
    let reach = 4.0 / 3.0 * (step / 4.0).tan();
    // The point at angle `a`, moved along the circle's direction by `along` radii.
    let at = |a: f64, along: f64| {
        let (sin, cos) = a.sin_cos();
        let x = centre.0 + radius_mm * (cos - along * sin);
        let y = centre.1 + radius_mm * (sin + along * cos);
        (x as f32, y as f32)
    };
    let mut path = PathBuilder::new();
    let (x, y) = at(0.0, 0.0);
    path.move_to(x, y);
    for arc in 0..CIRCLE_ARCS {
        let (from, to) = (f64::from(arc) * step, f64::from(arc + 1) * step);
        let ((x1, y1), (x2, y2), (x3, y3)) = (at(from, reach), at(to, -reach), at(to, 0.0));
        path.cubic_to(x1, y1, x2, y2, x3, y3);
    }
    path.close();
    path.finish()
}

fn draw_text(surface: &mut Surface<'_>, text: &Text, fonts: &Fonts) {
    let shown = fonts::printable(&text.words, text.bold);
    if shown.trim().is_empty() {
        return;
    }
    let width = fonts::text_width_mm(&shown, text.size_mm, text.bold);
    let mut x = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => -width / 2.0,
        Anchor::End => -width,
    };
    surface.push_transform(&Transform::from_translate(text.at.0 as f32, text.at.1 as f32));
    surface.push_transform(&Transform::from_rotate(-text.turn_deg as f32));
    surface.set_stroke(None);
    surface.set_fill(Some(filled(text.grey)));
    for bit in bits(&shown, text.size_mm) {
        match bit {
            Bit::Words(words) => {
                letters(surface, fonts, words, (x, 0.0), text.size_mm, text.bold);
                x += fonts::plain_width_mm(words, text.size_mm, text.bold);
            }
            Bit::Number(number) => {
                let laid = number.laid(text.size_mm, text.bold, fonts::plain_width_mm);
                // the whole number, or a blank where there is none, carries the text of all of it; the rest is drawn
                let (carrier, rest) = match laid.glyphs.split_first() {
                    Some((first, rest)) if first.words.len() == laid.whole_len && laid.whole_len > 0 => {
                        (first.words, rest)
                    }
                    _ => (" ", laid.glyphs.as_slice()),
                };
                let all = number.all;
                // the blank is drawn by itself first: the first letter that stands for more than itself would be taken for
                // that wherever it stands
                letters(surface, fonts, " ", (x, 0.0), text.size_mm, text.bold);
                let mut glyphs = glyphs_of(" ", text.bold, |_, _| 0..all.len());
                for glyph in &mut glyphs {
                    glyph.x_advance = 0.0;
                }
                glyphs.extend(glyphs_of(carrier, text.bold, |_, _| 0..all.len()));
                draw(surface, fonts, (&glyphs, all), (x, 0.0), (text.size_mm, text.bold), false);
                for part in rest {
                    let glyphs = glyphs_of(part.words, part.bold, |start, c| start..start + c.len_utf8());
                    let at = (x + part.at.0, part.at.1);
                    draw(surface, fonts, (&glyphs, part.words), at, (part.size_mm, part.bold), true);
                }
                if let Some((from, to, y)) = laid.bar {
                    let thick = 0.055 * text.size_mm;
                    let corner = (x + from, y - thick / 2.0);
                    if let Some(path) = rectangle(corner, (to - from, thick)) {
                        surface.draw_path(&path);
                    }
                }
                x += laid.width_mm;
            }
        }
    }
    surface.pop();
    surface.pop();
}

/// Letters of one size from `at` on.
fn letters(surface: &mut Surface<'_>, fonts: &Fonts, words: &str, at: (f64, f64), size_mm: f64, bold: bool) {
    let glyphs = glyphs_of(words, bold, |start, c| start..start + c.len_utf8());
    draw(surface, fonts, (&glyphs, words), at, (size_mm, bold), false);
}

/// The glyphs of words; `range` is the part of the text that a letter stands for, by where it begins.
fn glyphs_of(words: &str, bold: bool, range: impl Fn(usize, char) -> Range<usize>) -> Vec<KrillaGlyph> {
    words
        .char_indices()
        .filter_map(|(start, c)| {
            let glyph = fonts::glyph(c, bold)?;
            let id = GlyphId::new(u32::from(glyph.id));
            Some(KrillaGlyph::new(id, glyph.advance as f32, 0.0, 0.0, 0.0, range(start, c), None))
        })
        .collect()
}

/// Draws glyphs with the text they stand for, as letters or as outlines that are no text.
fn draw(
    surface: &mut Surface<'_>,
    fonts: &Fonts,
    (glyphs, words): (&[KrillaGlyph], &str),
    at: (f64, f64),
    (size_mm, bold): (f64, bool),
    outlined: bool,
) {
    let font = if bold { &fonts.bold } else { &fonts.regular };
    let start = Point::from_xy(at.0 as f32, at.1 as f32);
    surface.draw_glyphs(start, glyphs, font.clone(), words, size_mm as f32, outlined);
}

fn is_finite(mark: &Mark) -> bool {
    let all = |numbers: &[f64]| numbers.iter().all(|x| x.is_finite());
    let pair = |p: &PointMm| all(&[p.0, p.1]);
    let pen_is = |pen: &Pen| all(&[pen.width_mm]) && pen.dash.as_ref().is_none_or(pair);
    match mark {
        Mark::Line { from, to, pen } => pair(from) && pair(to) && pen_is(pen),
        Mark::Polyline { points, pen, .. } => points.iter().all(pair) && pen.as_ref().is_none_or(pen_is),
        Mark::Circle { centre, radius_mm, pen, .. } => {
            pair(centre) && all(&[*radius_mm]) && pen.as_ref().is_none_or(pen_is)
        }
        Mark::Rect { corner, size_mm, pen, .. } => {
            pair(corner) && pair(size_mm) && pen.as_ref().is_none_or(pen_is)
        }
        Mark::Text(text) => pair(&text.at) && all(&[text.size_mm, text.turn_deg]),
        Mark::Window { corner, size_mm, shift_mm, marks } => {
            pair(corner) && pair(size_mm) && pair(shift_mm) && marks.iter().all(is_finite)
        }
    }
}

/// Adds to a finished PDF the wish to be printed unscaled; `None` if its parts are not where they should be.
///
/// The library cannot set `/ViewerPreferences`, so a second version of the catalog is appended with its own
/// cross-reference table (an incremental update, ISO 32000-1, 7.5.6, from memory). It relies on plain objects
/// and one classic trailer, which is what the library writes.
fn with_true_size(plain: &[u8]) -> Option<Vec<u8>> {
    let trailer_at = rfind(plain, b"trailer")?;
    let startxref_at = rfind(plain, b"startxref")?;
    let trailer = std::str::from_utf8(plain.get(trailer_at + b"trailer".len()..startxref_at)?).ok()?.trim();
    let root = number_after(trailer, "/Root")?;
    let previous = number_after(std::str::from_utf8(&plain[startxref_at..]).ok()?, "startxref")?;
    let object_at = find(plain, format!("\n{root} 0 obj").as_bytes())? + 1;
    let object_len = find(plain.get(object_at..)?, b"endobj")? + b"endobj".len();
    let object = std::str::from_utf8(plain.get(object_at..object_at + object_len)?).ok()?;
    if object.contains("/ViewerPreferences") {
        return None;
    }
    let (entries, end) = object.split_at(object.rfind(">>")?);
    let trailer = trailer.strip_suffix(">>")?.trim_end();

    let mut out = plain.to_vec();
    if !out.ends_with(b"\n") {
        out.push(b'\n');
    }
    let catalog_at = out.len();
    out.extend_from_slice(format!("{entries}/ViewerPreferences<</PrintScaling/None>>\n{end}\n").as_bytes());
    let table_at = out.len();
    let table = format!("xref\n{root} 1\n{catalog_at:010} 00000 n \n");
    let rest = format!("trailer\n{trailer}\n/Prev {previous}\n>>\nstartxref\n{table_at}\n%%EOF\n");
    out.extend_from_slice(table.as_bytes());
    out.extend_from_slice(rest.as_bytes());
    Some(out)
}

/// The whole number that follows `key` in `text`.
fn number_after(text: &str, key: &str) -> Option<usize> {
    let (_, after) = text.split_once(key)?;
    let digits = after.trim_start();
    let len = digits.find(|c: char| !c.is_ascii_digit()).unwrap_or(digits.len());
    digits[..len].parse().ok()
}

fn find(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).position(|w| w == what)
}

fn rfind(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).rposition(|w| w == what)
}

#[cfg(test)]
mod tests;
