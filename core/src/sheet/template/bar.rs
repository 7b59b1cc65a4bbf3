//! Strips for the coped ends of bars.

use super::unroll::{Between, Edge, OtherEnd, Part, ShapedEdge, Template, Wrap};
use crate::fab::bar::built::{BarNumbers, BuiltBar};
use crate::fab::bar::seat::Seated;
use crate::fab::limb::Edge as WallEdge;
use crate::geom::search::{largest, smallest};
use crate::model::Bar;
use std::f64::consts::TAU;

/// Clocks at which the longest side between two coped ends is looked for before closing in.
const CLOCKS: u32 = 360;

/// The strips for the coped ends of a bar that is sawn to `sawn_mm`: of a straight one as of a piece of pipe, of a bent
/// one for each end the straight up to the bend. Lengths count from longest side to longest side, as the saw has them.
///
/// `mark` is written on the bar, `name` is its name.
pub fn bar_templates(
    bar: &Bar,
    built: &BuiltBar,
    (mark, name): (&str, &str),
    sawn_mm: f64,
    wrap: &Wrap,
) -> Vec<Template> {
    let Some(numbers) = &built.numbers else { return Vec::new() };
    let names = [mark.to_owned()];
    if bar.corners.is_empty() {
        let between = between(bar, numbers, sawn_mm, [true, true], wrap);
        return Template::strips(between, &names, name, wrap);
    }
    let mut out = Vec::new();
    for end in [0, 1] {
        let Some((length_mm, clock_rad)) = built.end_straight(bar, end) else { continue };
        let between = between(bar, numbers, length_mm, [end == 0, end == 1], wrap);
        for strip in Template::strips(between, &names, name, wrap) {
            out.push(to_bend(strip, clock_rad, end));
        }
    }
    out
}

/// The tube between the ends that are `coped`, as far as they are, `length_mm` long from longest side to longest side.
fn between(bar: &Bar, numbers: &BarNumbers, length_mm: f64, coped: [bool; 2], wrap: &Wrap) -> Between {
    let seat = |i: usize| numbers.seats[i].as_ref().filter(|_| coped[i]);
    // solid bar is cut to its outside, whatever is drawn for tube
    let line = |s: &Seated| if s.edge == WallEdge::Outside { WallEdge::Outside } else { wrap.wall_edge };
    let near_mm: f64 = [0, 1].into_iter().filter_map(seat).map(|s| s.cope.near_mm).sum();
    let lost_mm = |clock: f64| -> f64 {
        [0, 1].into_iter().filter_map(seat).map(|s| s.saddle.met(s.edge, clock).at_mm).sum()
    };
    let centre_mm = length_mm + near_mm;
    let long_mm = centre_mm - smallest(lost_mm, 0.0, TAU, CLOCKS).1;
    let short_mm = centre_mm - largest(lost_mm, 0.0, TAU, CLOCKS).1;
    let radius_mm = bar.od_mm / 2.0;
    let shaped = |i: usize| seat(i).map(|s| ShapedEdge::coped(&s.saddle, line(s)));
    Between {
        od_mm: bar.od_mm,
        lower: Edge::start(shaped(0), radius_mm),
        upper: Edge::end(centre_mm, shaped(1), radius_mm),
        sides_mm: (long_mm, short_mm),
    }
}

/// A strip of the straight between the coped end `end` of a bar and the bend next to it.
fn to_bend(strip: Template, clock_rad: f64, end: usize) -> Template {
    let part = match strip.part {
        Part::Start { far_mm, .. } => Part::Start { far_mm, from: OtherEnd::Bend },
        Part::End { far_mm, .. } => Part::End { far_mm, from: OtherEnd::Bend },
        Part::Whole if end == 0 => Part::Start { far_mm: 0.0, from: OtherEnd::Bend },
        Part::Whole => Part::End { far_mm: 0.0, from: OtherEnd::Bend },
    };
    Template { part, bend_clock_rad: Some(clock_rad), ..strip }
}
