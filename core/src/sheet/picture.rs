//! A run drawn as a parallel projection with hidden lines left out, its pieces and welds marked.

mod label;
mod marks;
mod parts;
mod shape;
mod view;

use super::area::Area;
use super::fonts::{CAP_HEIGHT, text_width_mm};
use super::page::{Anchor, Mark, Page, Pen, PointMm, Text};
use crate::report::RunReport;
use glam::DVec3;
use view::View;

/// Font size of the letters of runs drawn together, mm.
const LETTERS: f64 = 5.2;
/// Font size of the names of the axes, mm.
const AXIS_TEXT: f64 = 3.6;
/// Length of an axis of the triad where it is not foreshortened, mm.
const AXIS_MM: f64 = 13.0;
/// Size of the corner that is kept for the triad, mm.
const TRIAD: (f64, f64) = (66.0, 38.0);

/// Draws the run into `area`. Nothing is drawn of a run that cannot be built.
pub(super) fn draw(page: &mut Page, area: Area, run: &RunReport) {
    let path = view::path_of(run);
    if path.is_empty() {
        return;
    }
    let view = View::best(&path, view::reach_mm(run), area);
    page.marks.extend(shape::drawn(&view, &run.built));
    page.marks.extend(run.built.parts.iter().flat_map(|part| parts::shield(&view, part)));
    page.marks.extend(shape::index_line(&view, &run.built));
    let arrows = travel_arrows(&view, run);
    let taken: Vec<Area> = arrows.iter().map(|(from, to)| about(*from, *to)).collect();
    for (from, to) in &arrows {
        page.marks.extend(arrow(*from, *to));
    }
    let discs = shape::discs(&view, run);
    let triad = triad_corner(area, &discs);
    draw_triad(page, &view, triad);
    for level in marks::Level::ALL {
        let wanted = marks::wanted(&view, run, level);
        let taken: Vec<Area> = taken.iter().copied().chain([triad]).collect();
        let placed = label::place(&wanted, &discs, &taken, area);
        let good = placed.len() == wanted.len() && label::is_easy(&placed);
        // what is still too much when grouped as far as can be is drawn as far as there is room
        if good || level == marks::Level::SlicesAndWelds {
            page.marks.extend(placed.into_iter().flat_map(label::Placed::marks));
            break;
        }
    }
}

/// Draws several runs together, each with its letters. Nothing is drawn of a run that cannot be built.
pub(super) fn draw_all(page: &mut Page, area: Area, runs: &[&RunReport]) {
    let path: Vec<DVec3> = runs.iter().flat_map(|run| view::path_of(run)).collect();
    if path.is_empty() {
        return;
    }
    let reach = runs.iter().map(|run| view::reach_mm(run)).fold(1.0, f64::max);
    // letters take less room than the marks of pieces
    let wider = Area::about(area.centre(), area.width + 26.0, area.height + 18.0);
    let view = View::best(&path, reach, wider);
    let built: Vec<&crate::fab::Built> = runs.iter().map(|run| &*run.built).collect();
    page.marks.extend(shape::drawn_all(&view, &built));
    let discs: Vec<shape::Disc> = runs.iter().flat_map(|run| shape::discs(&view, run)).collect();
    let triad = triad_corner(area, &discs);
    draw_triad(page, &view, triad);
    for run in runs {
        let at = view.point(marks::middle(run));
        let width = text_width_mm(&run.letters, LETTERS, true) + 2.4;
        let (corner, size) = ((at.0 - width / 2.0, at.1 - 3.0), (width, 6.0));
        page.rect(corner, size, Some(Pen::solid(0.4).in_grey(super::Grey::WHITE)), Some(super::Grey::BLACK));
        let base = (at.0, at.1 + CAP_HEIGHT * LETTERS / 2.0);
        let text = Text::new(base, LETTERS, run.letters.clone()).bold().anchored(Anchor::Middle);
        page.text(text.in_grey(super::Grey::WHITE));
    }
}

/// An arrow into the start and one out of the end, along the travel.
fn travel_arrows(view: &View, run: &RunReport) -> Vec<(PointMm, PointMm)> {
    let frames = &run.built.frames;
    let (Some(start), Some(end)) = (frames.first().map(|f| f.0), frames.last().map(|f| f.1)) else {
        return Vec::new();
    };
    let at = |p: DVec3, d: DVec3, from: f64, to: f64| {
        let (x, y) = view.point(p);
        let (dx, dy) = view.direction(d);
        let long = dx.hypot(dy);
        // one that points at the eye says nothing
        let (ux, uy) = if long > 0.15 { (dx / long, dy / long) } else { (0.0, 0.0) };
        ((x + ux * from, y + uy * from), (x + ux * to, y + uy * to))
    };
    [at(start.origin, start.travel, -13.0, -3.0), at(end.origin, end.travel, 3.0, 13.0)]
        .into_iter()
        .filter(|(from, to)| view::distance(*from, *to) > 1.0)
        .collect()
}

/// The rectangle round an arrow.
fn about(from: PointMm, to: PointMm) -> Area {
    let (left, top) = (from.0.min(to.0), from.1.min(to.1));
    Area::new(left, top, (from.0 - to.0).abs(), (from.1 - to.1).abs()).grown(0.8)
}

/// The corner of the area in which the triad covers least of the pipe, the left bottom one if it can be.
fn triad_corner(area: Area, discs: &[shape::Disc]) -> Area {
    let (width, height) = TRIAD;
    let (right, bottom) = (area.right() - width, area.bottom() - height);
    let corners = [(area.left, bottom), (right, bottom), (area.left, area.top), (right, area.top)];
    corners
        .into_iter()
        .map(|(left, top)| Area::new(left, top, width, height))
        .min_by_key(|corner| discs.iter().filter(|d| corner.is_near(d.centre, d.radius)).count())
        .unwrap_or(area)
}

fn draw_triad(page: &mut Page, view: &View, corner: Area) {
    let origin = corner.centre();
    let axes = [(DVec3::X, "X forward"), (DVec3::Y, "Y left"), (DVec3::Z, "Z up")];
    let mut taken: Vec<Area> = Vec::new();
    for (axis, name) in axes {
        let (dx, dy) = view.direction(axis);
        page.marks.extend(arrow(origin, (origin.0 + dx * AXIS_MM, origin.1 + dy * AXIS_MM)));
        let angle = if dx.hypot(dy) > 0.05 { dy.atan2(dx) } else { std::f64::consts::FRAC_PI_2 };
        let (sin, cos) = angle.sin_cos();
        let (width, height) = (text_width_mm(name, AXIS_TEXT, false), AXIS_TEXT * CAP_HEIGHT);
        // beyond the tip, further out where another name stands there already
        let beyond = [0.0, 3.0, 6.0, 9.0].map(|more| {
            let reach = AXIS_MM * dx.hypot(dy) + more + 1.2;
            let x = origin.0 + cos * (reach + width / 2.0);
            let half = width / 2.0;
            let x = x.clamp(corner.left + half, corner.right() - half);
            Area::about((x, origin.1 + sin * (reach + height / 2.0)), width, height)
        });
        let clear = |a: &&Area| taken.iter().all(|t| !t.meets(&a.grown(0.5)));
        let area = *beyond.iter().find(clear).unwrap_or(&beyond[0]);
        taken.push(area);
        let at = (area.centre().0, area.bottom());
        page.text(Text::new(at, AXIS_TEXT, name).anchored(Anchor::Middle));
    }
}

/// A line with a filled head at `to`.
fn arrow(from: PointMm, to: PointMm) -> Vec<Mark> {
    const HEAD: f64 = 2.2;
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let long = dx.hypot(dy);
    if long < 1e-6 {
        return Vec::new();
    }
    let (ux, uy) = (dx / long, dy / long);
    let base = (to.0 - ux * HEAD, to.1 - uy * HEAD);
    let side = HEAD * 0.32;
    let head = vec![to, (base.0 - uy * side, base.1 + ux * side), (base.0 + uy * side, base.1 - ux * side)];
    vec![
        Mark::Line { from, to: base, pen: Pen::solid(0.4) },
        Mark::Polyline { points: head, closed: true, pen: None, fill: Some(super::Grey::BLACK) },
    ]
}
