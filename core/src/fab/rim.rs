//! The whole cut of an end: its line, with notches and horns where other tubes stand, and the holes beside it.
//!
//! The line of an end is one place at each clock until smaller tubes stand on it. What they take is joined with what the end
//! takes as areas of the unrolled tube, by a library for polygons; the line is the edge of what hangs together up the tube.

use crate::geom::polyline::Place;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay as _;
use std::f64::consts::TAU;

/// Tube goes on by this much beyond all that is cut, mm, where areas are joined.
const BEYOND_MM: f64 = 10.0;
/// Places nearer than this are one, mm: the library's grid is far finer.
const SAME_MM: f64 = 1e-4;

/// Places on the unrolled tube: clock, rad in [0, 2π], and place along the tube from the end's own zero, mm.
pub type Line = Vec<(f64, f64)>;

/// The cut of an end.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rim {
    /// The line of the end from clock 0 to a full turn. Beside notches it may turn back.
    pub line: Line,
    /// Holes in the wall that is left, closed without their last place repeated.
    pub holes: Vec<Line>,
    /// Wall that hangs together with the rest only across the index line, closed: a horn whose foot lies beyond it.
    pub beyond_seam: Vec<Line>,
    /// How many parts of the wall fall out, cut off all round.
    pub falls_out: usize,
}

impl Rim {
    /// The cut of an end with the feet of what stands on it; `radius_mm` is the tube's outside.
    pub fn new(end: &[Place], feet: &[Line], radius_mm: f64) -> Self {
        let line: Line = end.iter().map(|p| (p.t, p.y_mm)).collect();
        let plain = || Self { line: line.clone(), ..Self::default() };
        if feet.is_empty() || line.len() < 2 || radius_mm <= 0.0 {
            return plain();
        }
        let width = TAU * radius_mm;
        let top = line.iter().chain(feet.iter().flatten()).map(|p| p.1).fold(f64::MIN, f64::max) + BEYOND_MM;
        let tube: Vec<[f64; 2]> =
            line.iter().map(|p| [p.0 * radius_mm, p.1]).chain([[width, top], [0.0, top]]).collect();
        let lost: Vec<Vec<[f64; 2]>> = feet
            .iter()
            .flat_map(|foot| {
                let moved = |turns: f64| foot.iter().map(move |p| [(p.0 + turns * TAU) * radius_mm, p.1]);
                // a foot may lie across the index line
                [-2.0, -1.0, 0.0, 1.0, 2.0].map(|turns| moved(turns).collect())
            })
            .collect();
        let left = tube.overlay(&lost, OverlayRule::Difference, FillRule::NonZero);
        let unrolled = |line: &[[f64; 2]]| line.iter().map(|p| (p[0] / radius_mm, p[1])).collect::<Line>();
        let mut out = Self::default();
        for part in &left {
            let Some(edge) = part.first() else { continue };
            if let Some(open) = opened(edge, width, top) {
                out.line = unrolled(&open);
                out.holes.extend(part.iter().skip(1).map(|hole| unrolled(hole)));
            } else if edge.iter().any(|p| p[0] < SAME_MM || p[0] > width - SAME_MM) {
                out.beyond_seam.push(unrolled(edge));
            } else {
                out.falls_out += 1;
            }
        }
        if out.line.is_empty() { plain() } else { out }
    }

    /// All its places.
    pub fn places(&self) -> impl Iterator<Item = &(f64, f64)> {
        self.line.iter().chain(self.holes.iter().flatten()).chain(self.beyond_seam.iter().flatten())
    }
}

/// The edge of the part that goes on up the tube, from clock 0 to a full turn; `None` for another part.
fn opened(edge: &[[f64; 2]], width: f64, top: f64) -> Option<Vec<[f64; 2]>> {
    let is = |p: &[f64; 2], x: f64| (p[0] - x).abs() < SAME_MM && (p[1] - top).abs() < SAME_MM;
    let left = edge.iter().position(|p| is(p, 0.0))?;
    let mut out: Vec<[f64; 2]> = edge.iter().cycle().skip(left).take(edge.len()).copied().collect();
    let right = out.iter().position(|p| is(p, width))?;
    // the two corners follow each other along the top, one way round or the other
    if right == 1 {
        out[1..].reverse();
    }
    // down the sides to where the end begins
    let side = |a: &[f64; 2], b: &[f64; 2]| (a[0] - b[0]).abs() < SAME_MM;
    if out.len() > 2 && side(&out[0], &out[1]) {
        out.remove(0);
    }
    if out.len() > 2 && side(&out[out.len() - 1], &out[out.len() - 2]) {
        out.pop();
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn end(radius_mm: f64) -> Vec<Place> {
        (0..=36)
            .map(|i| TAU * f64::from(i) / 36.0)
            .map(|t| Place { t, x_mm: radius_mm * t, y_mm: 0.0 })
            .collect()
    }

    fn square(clock: f64, along: f64, half: (f64, f64)) -> Line {
        let (c, s) = half;
        vec![(clock - c, along - s), (clock + c, along - s), (clock + c, along + s), (clock - c, along + s)]
    }

    fn area(line: &Line) -> f64 {
        let next = |i: usize| line[(i + 1) % line.len()];
        let twice = (0..line.len()).map(|i| line[i].0 * next(i).1 - next(i).0 * line[i].1).sum::<f64>();
        (twice / 2.0).abs()
    }

    #[test]
    fn a_foot_clear_of_the_end_is_a_hole_and_one_on_it_a_notch() {
        let r = 30.0;
        let rim = Rim::new(&end(r), &[square(2.0, 30.0, (0.3, 5.0)), square(4.0, 0.0, (0.2, 4.0))], r);
        assert_eq!((rim.holes.len(), rim.beyond_seam.len(), rim.falls_out), (1, 0, 0));
        assert!((area(&rim.holes[0]) - 6.0).abs() < 1e-4);
        let highest = rim.line.iter().map(|p| p.1).fold(0.0, f64::max);
        assert!((highest - 4.0).abs() < 1e-4, "{highest}");
        let (first, last) = (rim.line[0], rim.line[rim.line.len() - 1]);
        assert!(first.0.abs() < 1e-6 && (last.0 - TAU).abs() < 1e-6, "{first:?} {last:?}");
    }

    #[test]
    fn feet_that_overlap_are_one_notch_and_what_they_cut_off_falls_out() {
        let r = 30.0;
        let arch = [square(2.0, 2.0, (0.1, 8.0)), square(3.0, 2.0, (0.1, 8.0)), square(2.5, 8.0, (0.6, 2.0))];
        let rim = Rim::new(&end(r), &arch, r);
        assert_eq!((rim.holes.len(), rim.falls_out), (0, 1));
        let turned_back = rim.line.windows(2).any(|w| w[1].0 < w[0].0 - 1e-6);
        assert!(!turned_back, "{:?}", rim.line);
    }

    #[test]
    fn a_foot_across_the_index_line_is_cut_on_both_sides_of_it() {
        let r = 30.0;
        let rim = Rim::new(&end(r), &[square(0.1, 0.0, (0.4, 5.0))], r);
        // straight stretches have places only at their ends
        let at = |clock: f64| {
            let on = rim.line.windows(2).find(|w| w[0].0 <= clock && clock <= w[1].0 && w[0].0 < w[1].0);
            on.map_or(f64::NAN, |w| w[0].1 + (w[1].1 - w[0].1) * (clock - w[0].0) / (w[1].0 - w[0].0))
        };
        assert!((at(0.1) - 5.0).abs() < 1e-4 && (at(TAU - 0.1) - 5.0).abs() < 1e-4, "{:?}", rim.line);
        assert!(at(3.0).abs() < 1e-4);
        // a horn that points across it
        let hook = [square(6.0, 0.0, (0.1, 4.0)), square(0.2, 4.0, (0.6, 1.0))];
        let rim = Rim::new(&end(r), &hook, r);
        assert_eq!((rim.beyond_seam.len(), rim.falls_out), (1, 0), "{rim:?}");
    }
}
