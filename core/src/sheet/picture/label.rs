//! Puts marks beside the drawing so that neither they nor their leader lines cover anything.

use super::shape::Disc;
use super::view::distance;
use crate::sheet::area::Area;
use crate::sheet::fonts::{CAP_HEIGHT, text_width_mm};
use crate::sheet::page::{Anchor, Grey, Mark, Pen, PointMm, Text};
use std::f64::consts::TAU;

/// Leader lines.
const LEADER: Pen = Pen::solid(0.22);
/// Dot where a leader ends on a piece, mm.
const DOT_MM: f64 = 0.55;
/// Directions tried.
const DIRECTIONS: u32 = 24;
/// Lengths of leader tried, mm beyond the pipe.
const LENGTHS_MM: [f64; 9] = [3.0, 5.0, 8.0, 12.0, 17.0, 23.0, 30.0, 38.0, 48.0];
/// Leaders longer than this on average mean that the drawing is crowded, mm.
const EASY_MM: f64 = 11.0;
/// More marks than this are too many to read.
const EASY_COUNT: usize = 26;

/// A mark that is to be put somewhere.
#[derive(Debug, Clone)]
pub(super) struct Wanted {
    pub(super) words: String,
    pub(super) size_mm: f64,
    pub(super) bold: bool,
    /// Where its leader may begin.
    pub(super) starts: Vec<PointMm>,
    /// How far from there the leader may lie on the pipe, mm.
    pub(super) on_pipe_mm: f64,
    /// Whether the leader ends in a dot.
    pub(super) dot: bool,
}

/// A mark with its place.
#[derive(Debug, Clone)]
pub(super) struct Placed<'a> {
    wanted: &'a Wanted,
    start: PointMm,
    end: PointMm,
    area: Area,
}

impl Placed<'_> {
    /// What is drawn of it.
    pub(super) fn marks(self) -> Vec<Mark> {
        let Wanted { words, size_mm, bold, dot, .. } = self.wanted.clone();
        let mut out = vec![Mark::Line { from: self.start, to: self.end, pen: LEADER }];
        if dot {
            let fill = Some(Grey::BLACK);
            out.push(Mark::Circle { centre: self.start, radius_mm: DOT_MM, pen: None, fill });
        }
        let (x, y) = self.area.centre();
        let at = (x, y + CAP_HEIGHT * size_mm / 2.0);
        out.push(Mark::Text(Text { bold, ..Text::new(at, size_mm, words).anchored(Anchor::Middle) }));
        out
    }

    fn leader_mm(&self) -> f64 {
        (distance(self.start, self.end) - self.wanted.on_pipe_mm).max(0.0)
    }
}

/// Whether the marks stand near what they mark and are not too many to read.
pub(super) fn is_easy(placed: &[Placed<'_>]) -> bool {
    let sum: f64 = placed.iter().map(Placed::leader_mm).sum();
    placed.len() <= EASY_COUNT && sum <= EASY_MM * placed.len() as f64
}

/// Places the marks one after the other, each where its leader is shortest and covers nothing.
///
/// One for which there is no such place is left out.
pub(super) fn place<'a>(wanted: &'a [Wanted], discs: &[Disc], taken: &[Area], area: Area) -> Vec<Placed<'a>> {
    let middle = middle(discs).unwrap_or_else(|| area.centre());
    let mut out: Vec<Placed<'a>> = Vec::new();
    for label in wanted {
        let starts = label.starts.iter();
        let mut places: Vec<_> = starts.flat_map(|start| candidates(label, *start, middle)).collect();
        places.retain(|(_, placed)| area.holds(&placed.area));
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        out.extend(places.into_iter().map(|(_, placed)| placed).find(|p| is_free(p, discs, taken, &out)));
    }
    out
}

fn middle(discs: &[Disc]) -> Option<PointMm> {
    let n = discs.len() as f64;
    let sum = discs.iter().map(|d| d.centre).reduce(|a, b| (a.0 + b.0, a.1 + b.1))?;
    Some((sum.0 / n, sum.1 / n))
}

/// Places for a mark with what each costs: the leader's length, and a little for pointing into the drawing.
fn candidates(label: &Wanted, start: PointMm, middle: PointMm) -> Vec<(f64, Placed<'_>)> {
    let width = text_width_mm(&label.words, label.size_mm, label.bold);
    let height = label.size_mm * CAP_HEIGHT;
    let out = (start.0 - middle.0, start.1 - middle.1);
    let out_mm = out.0.hypot(out.1).max(1e-9);
    let mut all = Vec::with_capacity(DIRECTIONS as usize * LENGTHS_MM.len());
    for i in 0..DIRECTIONS {
        let (dy, dx) = (TAU * f64::from(i) / f64::from(DIRECTIONS)).sin_cos();
        // from the middle of the words to their edge in this direction
        let half = (width / 2.0 / dx.abs().max(1e-9)).min(height / 2.0 / dy.abs().max(1e-9));
        let inward = 1.0 - (dx * out.0 + dy * out.1) / out_mm;
        for length in LENGTHS_MM {
            let reach = label.on_pipe_mm + length;
            let end = (start.0 + dx * reach, start.1 + dy * reach);
            let centre = (end.0 + dx * (half + 0.9), end.1 + dy * (half + 0.9));
            let area = Area::about(centre, width, height);
            all.push((length + 2.0 * inward, Placed { wanted: label, start, end, area }));
        }
    }
    all
}

fn is_free(new: &Placed<'_>, discs: &[Disc], taken: &[Area], placed: &[Placed<'_>]) -> bool {
    let words = new.area.grown(0.8);
    let clear_of = |other: &Placed<'_>| {
        !words.meets(&other.area.grown(0.8))
            && !words.is_crossed(other.start, other.end)
            && !other.area.grown(0.8).is_crossed(new.start, new.end)
            && !cross(new.start, new.end, other.start, other.end)
    };
    taken.iter().all(|t| !words.meets(t) && !t.is_crossed(new.start, new.end))
        && placed.iter().all(clear_of)
        && discs.iter().all(|d| !new.area.is_near(d.centre, d.radius + 0.8))
        && leader_is_free(new, discs)
}

/// Whether the leader leaves the pipe at once and does not run over it again.
fn leader_is_free(new: &Placed<'_>, discs: &[Disc]) -> bool {
    let long = distance(new.start, new.end);
    let from = new.wanted.on_pipe_mm + 0.6;
    let steps = ((long - from) / 0.8).ceil().max(1.0) as u32;
    (0..=steps).all(|i| {
        let part = ((from + (long - from) * f64::from(i) / f64::from(steps)) / long.max(1e-9)).min(1.0);
        let at =
            (new.start.0 + (new.end.0 - new.start.0) * part, new.start.1 + (new.end.1 - new.start.1) * part);
        discs.iter().all(|d| distance(at, d.centre) > d.radius)
    })
}

/// Whether two lines cross or touch.
fn cross(a: PointMm, b: PointMm, c: PointMm, d: PointMm) -> bool {
    let side = |p: PointMm, q: PointMm, r: PointMm| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    side(a, b, c) * side(a, b, d) <= 0.0 && side(c, d, a) * side(c, d, b) <= 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wanted(words: &str, start: PointMm) -> Wanted {
        let (starts, words) = (vec![start], words.to_owned());
        Wanted { words, size_mm: 4.0, bold: true, starts, on_pipe_mm: 5.0, dot: true }
    }

    #[test]
    fn marks_cover_neither_the_pipe_nor_each_other() {
        let discs: Vec<Disc> =
            (0..40).map(|i| Disc { centre: (20.0 + f64::from(i) * 2.0, 50.0), radius: 5.0 }).collect();
        let area = Area::new(0.0, 0.0, 120.0, 100.0);
        let all: Vec<Wanted> =
            (0..8).map(|i| wanted(&format!("A{i}"), (25.0 + f64::from(i) * 9.0, 50.0))).collect();
        let placed = place(&all, &discs, &[], area);
        assert_eq!(placed.len(), 8);
        for (i, one) in placed.iter().enumerate() {
            assert!(area.holds(&one.area));
            assert!(discs.iter().all(|d| !one.area.is_near(d.centre, d.radius)));
            for other in &placed[i + 1..] {
                assert!(!one.area.meets(&other.area));
                assert!(!cross(one.start, one.end, other.start, other.end));
            }
        }
    }

    #[test]
    fn a_mark_for_which_there_is_no_room_is_left_out() {
        let discs = [Disc { centre: (10.0, 10.0), radius: 30.0 }];
        let area = Area::new(0.0, 0.0, 20.0, 20.0);
        assert!(place(&[wanted("A1", (10.0, 10.0))], &discs, &[], area).is_empty());
    }
}
