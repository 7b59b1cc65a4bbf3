//! Which marks a picture gets: all pieces and welds, or where that is too much, groups of them.

use super::label::Wanted;
use super::view::View;
use crate::fab::PieceKind;
use crate::report::RunReport;
use crate::sheet::fonts::fit_text;
use crate::sheet::page::PointMm;
use glam::DVec3;
use std::ops::RangeInclusive;

/// Font size of the marks of pieces, mm.
const PIECE_TEXT: f64 = 4.4;
/// Font size of the marks of welds and of the names of the ends, mm.
const WELD_TEXT: f64 = 3.6;
/// Widest name of an end, mm.
const NAME_MM: f64 = 70.0;

/// How much is marked one by one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Level {
    /// Everything.
    All,
    /// The slices of a bend together.
    Slices,
    /// The slices of a bend together, and its welds too.
    SlicesAndWelds,
}

impl Level {
    pub(super) const ALL: [Self; 3] = [Self::All, Self::Slices, Self::SlicesAndWelds];
}

/// The marks, those that matter most first.
pub(super) fn wanted(view: &View, run: &RunReport, level: Level) -> Vec<Wanted> {
    let mut out = names(view, run);
    let count = run.built.pieces.len();
    out.extend(groups(count, |i| bend_of(run, i).filter(|_| level >= Level::Slices)).into_iter().map(
        |group| {
            let (first, last) = (*group.start(), *group.end());
            let words = grouped(&run.built.pieces[first].mark, &run.built.pieces[last].mark);
            let mut wanted = piece(view, run, usize::midpoint(first, last), words);
            for other in group.filter(|_| first != last) {
                wanted.starts.extend(piece(view, run, other, String::new()).starts);
            }
            wanted
        },
    ));
    out.extend(super::parts::wanted(view, run));
    let weld_bend = |i: usize| {
        let before = run.welds[i].before;
        let bend = bend_of(run, before).or_else(|| bend_of(run, before.checked_sub(1)?));
        bend.filter(|_| level >= Level::SlicesAndWelds)
    };
    out.extend(groups(run.welds.len(), weld_bend).into_iter().map(|group| {
        let (first, last) = (*group.start(), *group.end());
        let words = grouped(&run.welds[first].mark, &run.welds[last].mark);
        let starts = group.flat_map(|i| weld_sides(view, run, i)).collect();
        Wanted { words, size_mm: WELD_TEXT, bold: false, starts, on_pipe_mm: 0.0, dot: false }
    }));
    out
}

/// The middle of the longest piece of a run.
pub(super) fn middle(run: &RunReport) -> DVec3 {
    let pieces = run.built.pieces.iter().zip(&run.built.frames);
    let longest = pieces.max_by(|a, b| a.0.centre_mm.total_cmp(&b.0.centre_mm));
    longest.map_or(DVec3::ZERO, |(_, (begin, end))| begin.origin.midpoint(end.origin))
}

/// The bend a slice belongs to; none for other pieces.
fn bend_of(run: &RunReport, piece: usize) -> Option<usize> {
    run.built.pieces.get(piece).filter(|p| p.kind == PieceKind::Slice)?.bend
}

/// Neighbours with the same key together, those without a key alone.
fn groups(count: usize, key: impl Fn(usize) -> Option<usize>) -> Vec<RangeInclusive<usize>> {
    let mut out: Vec<RangeInclusive<usize>> = Vec::new();
    for i in 0..count {
        match out.last_mut() {
            Some(last) if key(i).is_some() && key(*last.end()) == key(i) => *last = *last.start()..=i,
            _ => out.push(i..=i),
        }
    }
    out
}

fn grouped(first: &str, last: &str) -> String {
    if first == last { first.to_owned() } else { format!("{first}–{last}") }
}

fn piece(view: &View, run: &RunReport, index: usize, words: String) -> Wanted {
    let piece = &run.built.pieces[index];
    let (begin, end) = &run.built.frames[index];
    let (middle, radius_mm) = match piece.kind {
        PieceKind::Elbow(e) => (
            begin.forward(e.lead_mm).around(e.throat_clock_rad, e.clr_mm, e.angle_rad / 2.0).origin,
            piece.od_mm / 2.0,
        ),
        PieceKind::Joint(_) => {
            let body = run.built.solids.iter().filter(|s| s.piece == index).find_map(|s| match s.solid {
                crate::geom::Solid::Drum(d) => Some(d.radius_mm),
                _ => None,
            });
            (begin.origin.midpoint(end.origin), body.unwrap_or(piece.od_mm / 2.0))
        }
        PieceKind::Straight | PieceKind::Slice | PieceKind::Taper(_) => {
            (begin.origin.midpoint(end.origin), piece.od_mm / 2.0)
        }
    };
    let starts = vec![view.point(middle)];
    Wanted { words, size_mm: PIECE_TEXT, bold: true, starts, on_pipe_mm: radius_mm * view.scale, dot: true }
}

/// The two points of a seam where the tube's outline is.
fn weld_sides(view: &View, run: &RunReport, index: usize) -> [PointMm; 2] {
    let weld = &run.welds[index];
    let piece = weld.before.min(run.built.pieces.len().saturating_sub(1));
    let radius_mm = run.built.pieces.get(piece).map_or(0.0, |p| p.od_mm / 2.0);
    let travel = run.built.frames.get(piece).map_or(DVec3::X, |f| f.0.travel);
    let side = crate::geom::vector::unit(travel.cross(view.toward)).unwrap_or(DVec3::Z);
    [1.0, -1.0].map(|sign| view.point(weld.spot + side * (sign * radius_mm)))
}

/// The names of what the run starts from and ends at.
fn names(view: &View, run: &RunReport) -> Vec<Wanted> {
    let ends = [
        (format!("Start: {}", run.from), run.built.frames.first().map(|f| f.0.origin)),
        (format!("End: {}", run.to), run.built.frames.last().map(|f| f.1.origin)),
    ];
    let radius = run.tube.od_mm / 2.0 * view.scale;
    ends.into_iter()
        .filter_map(|(words, at)| {
            Some(Wanted {
                words: fit_text(&words, WELD_TEXT, true, NAME_MM),
                size_mm: WELD_TEXT,
                bold: true,
                starts: vec![view.point(at?)],
                on_pipe_mm: radius,
                dot: true,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_of_one_bend_are_grouped() {
        let keys = [None, Some(0), Some(0), Some(1), None, None];
        assert_eq!(groups(6, |i| keys[i]), [0..=0, 1..=2, 3..=3, 4..=4, 5..=5]);
        assert_eq!(grouped("A3", "A5"), "A3–A5");
        assert_eq!(grouped("A3", "A3"), "A3");
    }
}
