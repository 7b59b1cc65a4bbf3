//! A drawing larger than a page, divided over sheets that overlap.

use super::draw::{CUT, Drawing, Plot};
use super::unroll::Template;
use crate::sheet::area::Area;
use crate::sheet::fonts::text_width_mm;
use crate::sheet::page::{Anchor, Mark, Pen, PointMm, Text};

/// How far neighbouring tiles lie over each other, mm.
pub(super) const OVERLAP_MM: f64 = 10.0;
/// Half the length of a cross, mm: it fits in the overlap.
const CROSS_MM: f64 = 4.0;
const CROSS: Pen = Pen::solid(0.1);
/// Font size of the letter at a cross, mm.
const LETTER_MM: f64 = 4.2;
/// Where crosses stand along a joint, as parts of its length.
const CROSSES: [f64; 2] = [0.2, 0.8];
/// What lies this near to a tile (mm) is drawn on it, so that the width of a line on its edge is not lost.
const NEAR_MM: f64 = 2.0;

/// Column and row of a tile, from 0.
pub(super) type Place = (usize, usize);

/// Two tiles that are laid over each other.
#[derive(Debug, Clone, PartialEq)]
struct Joint {
    tiles: [Place; 2],
    letters: String,
    crosses: [PointMm; 2],
}

/// How a drawing is divided: equal tiles in columns and rows.
#[derive(Debug)]
pub(super) struct Tiling {
    tile_mm: (f64, f64),
    /// Number of columns and rows.
    pub(super) count: (usize, usize),
    /// Tiles with something to cut out, row by row.
    pub(super) used: Vec<Place>,
    joints: Vec<Joint>,
}

impl Tiling {
    /// Divides a drawing of a size into as few columns and rows as `most_mm` allows; `meets` says whether there is
    /// anything to cut out on a tile.
    pub(super) fn new(size_mm: (f64, f64), most_mm: (f64, f64), meets: &dyn Fn(&Area) -> bool) -> Self {
        let divide = |all: f64, most: f64| {
            let count = ((all - OVERLAP_MM) / (most - OVERLAP_MM)).ceil().max(1.0);
            ((all + (count - 1.0) * OVERLAP_MM) / count, count as usize)
        };
        let ((width, columns), (height, rows)) = (divide(size_mm.0, most_mm.0), divide(size_mm.1, most_mm.1));
        let mut tiling =
            Self { tile_mm: (width, height), count: (columns, rows), used: Vec::new(), joints: Vec::new() };
        let places = (0..rows).flat_map(|row| (0..columns).map(move |column| (column, row)));
        tiling.used = places.filter(|p| meets(&tiling.area(*p))).collect();
        tiling.joints = tiling.find_joints();
        tiling
    }

    /// What a tile shows, in the coordinates of the drawing.
    pub(super) fn area(&self, (column, row): Place) -> Area {
        let (width, height) = self.tile_mm;
        let (left, top) = (column as f64 * (width - OVERLAP_MM), row as f64 * (height - OVERLAP_MM));
        Area::new(left, top, width, height)
    }

    /// Where tiles lie over each other, in the coordinates of the drawing: words there are hard to read.
    pub(super) fn overlaps(&self) -> Vec<Area> {
        let (width, height) = self.tile_mm;
        let (columns, rows) = self.count;
        let all = self.area((columns - 1, rows - 1));
        let upright =
            (1..columns).map(|c| Area::new(c as f64 * (width - OVERLAP_MM), 0.0, OVERLAP_MM, all.bottom()));
        let level =
            (1..rows).map(|r| Area::new(0.0, r as f64 * (height - OVERLAP_MM), all.right(), OVERLAP_MM));
        upright.chain(level).collect()
    }

    /// Where the crosses and their letters stand, in the coordinates of the drawing.
    pub(super) fn crosses(&self) -> Vec<Area> {
        let all = self.joints.iter().flat_map(|j| j.crosses);
        all.map(|at| Area::about(at, 2.0 * CROSS_MM, 2.0 * CROSS_MM)).collect()
    }

    fn find_joints(&self) -> Vec<Joint> {
        let mut out: Vec<Joint> = Vec::new();
        let used =
            |place: &Place| self.used.binary_search_by_key(&(place.1, place.0), |p| (p.1, p.0)).is_ok();
        for &(column, row) in &self.used {
            let tile = self.area((column, row));
            let (x, y) = (tile.right() - OVERLAP_MM / 2.0, tile.bottom() - OVERLAP_MM / 2.0);
            let neighbours = [
                ((column + 1, row), CROSSES.map(|part| (x, tile.top + part * tile.height))),
                ((column, row + 1), CROSSES.map(|part| (tile.left + part * tile.width, y))),
            ];
            for (neighbour, crosses) in neighbours {
                if used(&neighbour) {
                    let letters = letters(out.len());
                    out.push(Joint { tiles: [(column, row), neighbour], letters, crosses });
                }
            }
        }
        out
    }

    /// What is drawn on a tile, in the coordinates of the drawing.
    pub(super) fn marks(&self, drawing: &Drawing, place: Place) -> Vec<Mark> {
        let near = self.area(place).grown(NEAR_MM);
        let mut out: Vec<Mark> = drawing.marks.iter().filter(|m| bounds(m).meets(&near)).cloned().collect();
        for points in drawing.cuts().flat_map(|cut| runs(cut, &near)) {
            out.push(Mark::Polyline { points, closed: false, pen: Some(CUT), fill: None });
        }
        for joint in self.joints.iter().filter(|j| j.tiles.contains(&place)) {
            for (x, y) in joint.crosses {
                out.push(Mark::Line { from: (x - CROSS_MM, y), to: (x + CROSS_MM, y), pen: CROSS });
                out.push(Mark::Line { from: (x, y - CROSS_MM), to: (x, y + CROSS_MM), pen: CROSS });
                let text = Text::new((x + 0.6, y - 0.7), LETTER_MM, joint.letters.clone());
                out.push(Mark::Text(text.bold()));
            }
        }
        out
    }
}

/// Small letters in order: a to z, then aa; capitals are marks of pieces.
fn letters(mut index: usize) -> String {
    let mut out = Vec::new();
    loop {
        out.push(char::from(b'a' + (index % 26) as u8));
        index /= 26;
        if index == 0 {
            break;
        }
        index -= 1;
    }
    out.iter().rev().collect()
}

/// Whether any of the strip or its tab lies on a tile; may say yes for a tile that is missed by a little.
pub(super) fn meets(template: &Template, plot: &Plot, tile: &Area) -> bool {
    let clock = |x: f64| template.clock_rad((x - plot.origin.0).clamp(0.0, template.width_mm()));
    let (from, to) = (clock(tile.left - NEAR_MM), clock(tile.right() + NEAR_MM));
    let (low, high) = (template.lower.range_mm(from, to).0, template.upper.range_mm(from, to).1);
    let (top, bottom) = (plot.origin.1 - high, plot.origin.1 - low);
    tile.top - NEAR_MM < bottom && top < tile.bottom() + NEAR_MM
}

/// Whether a closed outline comes onto a rectangle.
pub(super) fn comes_near(outline: &[PointMm], area: &Area) -> bool {
    !runs(outline, area).is_empty()
}

/// The stretches of a closed outline that come near a rectangle, whole segments.
fn runs(outline: &[PointMm], near: &Area) -> Vec<Vec<PointMm>> {
    let mut out: Vec<Vec<PointMm>> = Vec::new();
    let mut joined = false;
    for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        if !spanned([*a, *b].into_iter()).meets(near) {
            joined = false;
            continue;
        }
        match out.last_mut() {
            Some(run) if joined => run.push(*b),
            _ => out.push(vec![*a, *b]),
        }
        joined = true;
    }
    out
}

/// The rectangle about some points; a point or an upright or level line gets a little width so that it meets.
fn spanned(points: impl Iterator<Item = PointMm>) -> Area {
    let start = (f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY);
    let (left, top, right, bottom) =
        points.fold(start, |b, p| (b.0.min(p.0), b.1.min(p.1), b.2.max(p.0), b.3.max(p.1)));
    if left > right {
        Area::new(0.0, 0.0, 0.0, 0.0)
    } else {
        Area::new(left, top, right - left, bottom - top)
    }
}

/// The rectangle a mark covers.
pub(super) fn bounds(mark: &Mark) -> Area {
    match mark {
        Mark::Line { from, to, .. } => spanned([*from, *to].into_iter()),
        Mark::Polyline { points, .. } => spanned(points.iter().copied()),
        Mark::Circle { centre, radius_mm, .. } => Area::about(*centre, 2.0 * radius_mm, 2.0 * radius_mm),
        Mark::Rect { corner, size_mm, .. } | Mark::Window { corner, size_mm, .. } => {
            Area::new(corner.0, corner.1, size_mm.0, size_mm.1)
        }
        Mark::Text(text) => text_bounds(text),
    }
}

/// The rectangle about a line of text, from its capitals' tops to its baseline and what hangs below.
fn text_bounds(text: &Text) -> Area {
    let width = text_width_mm(&text.words, text.size_mm, text.bold);
    let left = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => -width / 2.0,
        Anchor::End => -width,
    };
    let (sin, cos) = text.turn_deg.to_radians().sin_cos();
    let (up, down) = (text.size_mm * 0.76, -text.size_mm * 0.24);
    let corners = [(left, up), (left, down), (left + width, up), (left + width, down)];
    spanned(
        corners
            .into_iter()
            .map(|(along, up)| (text.at.0 + along * cos - up * sin, text.at.1 - along * sin - up * cos)),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z_and_never_repeat() {
        let all: Vec<String> = (0..800).map(letters).collect();
        assert_eq!((all[0].as_str(), all[25].as_str(), all[26].as_str()), ("a", "z", "aa"));
        assert_eq!((all[51].as_str(), all[52].as_str(), all[702].as_str()), ("az", "ba", "aaa"));
        let mut unique = all.clone();
        unique.sort();
        unique.dedup();
        assert_eq!(unique.len(), all.len());
    }

    #[test]
    fn a_closed_outline_comes_apart_into_the_stretches_that_are_near() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        let all = runs(&square, &Area::new(-1.0, -1.0, 12.0, 12.0));
        assert_eq!(all, [vec![(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.0)]]);
        let corner = runs(&square, &Area::new(-1.0, -1.0, 3.0, 3.0));
        assert_eq!(corner, [vec![(0.0, 0.0), (10.0, 0.0)], vec![(0.0, 10.0), (0.0, 0.0)]]);
        assert!(runs(&square, &Area::new(3.0, 3.0, 2.0, 2.0)).is_empty());
    }
}
