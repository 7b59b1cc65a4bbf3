//! Names, marks and the dimension of the tightest gap, drawn flat over the 3D picture.

use super::{ViewState, in_window};
use crate::ctx::UiCtx;
use crate::jobs::{Choice3, Sketch};
use crate::theme::{Tokens, bold_family};
use eframe::egui::{
    Align2, Color32, CursorIcon, FontId, Galley, Id, Painter, Pos2, Rect, Role, Sense, Stroke, Ui, Vec2,
    WidgetInfo, vec2,
};
use glam::{DVec2, DVec3};
use pipeloft_core::geom::Solid;
use pipeloft_core::model::{Item, Run};
use pipeloft_core::report::{BarGapReport, MOST_MARGIN_MM, RunReport};
use pipeloft_core::units;
use std::sync::Arc;

/// Draws the labels.
pub(super) fn overlay(ui: &Ui, rect: Rect, ctx: UiCtx<'_>, state: &ViewState) {
    let painter = ui.painter_at(rect);
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let at = |p: DVec3| state.camera.ui_from_world(p, state.size()).map(|(at, _)| in_window(rect, at));
    // handles are never covered
    let mut taken: Vec<Rect> = super::handles::covered(rect, ctx, state);
    if let Some((run, report)) = ctx.selected_run().filter(|(run, _)| !run.hidden) {
        // the way of the selected run shows through what stands before it
        for leg in report.vertices_mm.windows(2) {
            if let (Some(a), Some(b)) = (at(leg[0]), at(leg[1])) {
                painter.line_segment([a, b], Stroke::new(1.5, tokens.selected.gamma_multiply(0.55)));
            }
        }
        room(&painter, state, tokens, &at);
        if let Some(gap) = gap_of_run(ctx, run) {
            dimension(&painter, ctx, &gap, tokens, &at, &mut taken);
        }
        bends(&painter, report, tokens, &at, &mut taken);
        if ctx.prefs.labels {
            marks(&painter, report, tokens, &at, &mut taken);
        }
    }
    if let Some(gap) = gap_of_bar(ctx) {
        dimension(&painter, ctx, &gap, tokens, &at, &mut taken);
    }
    datums(&painter, ctx, tokens, &at);
    if ctx.prefs.labels {
        names(&painter, ctx, tokens, &at, &mut taken);
    }
    if let Some(drag) = &state.drag
        && let Some(p) = at(drag.target)
    {
        if let Some(axis) = drag.locked_axis() {
            line_through(&painter, drag.start, axis, tokens.selected, &at);
        }
        plate(&painter, p + vec2(22.0, -26.0), &drag.caption(ctx.units()), tokens.selected, tokens, 15.0);
    }
}

/// The room along the selected run, as the colour of its middle line.
fn room(painter: &Painter, state: &ViewState, tokens: &Tokens, at: &dyn Fn(DVec3) -> Option<Pos2>) {
    for margin in state.room.iter().filter(|m| !m.stretch.lobe) {
        let colour = tokens.room(margin.margin_mm / MOST_MARGIN_MM);
        let line: Vec<DVec3> = match margin.stretch.solid {
            Solid::Barrel(b) => vec![b.axis().0, b.axis().1],
            Solid::Drum(d) => vec![d.start.origin, d.start.forward(d.length_mm).origin],
            Solid::Elbow(e) => (0..=4).map(|i| e.frame_at(e.angle_rad * f64::from(i) / 4.0).origin).collect(),
            Solid::Frustum(f) => vec![f.start.origin, f.frame_at(f.length_mm).origin],
            Solid::Block(_) => continue,
        };
        for pair in line.windows(2) {
            if let (Some(a), Some(b)) = (at(pair[0]), at(pair[1])) {
                painter.line_segment([a, b], Stroke::new(6.0, tokens.plate.gamma_multiply(0.6)));
                painter.line_segment([a, b], Stroke::new(4.0, colour));
            }
        }
    }
}

/// What the open job draws.
pub(super) fn sketch(ui: &Ui, rect: Rect, sketch: &Sketch, state: &ViewState) {
    let painter = ui.painter_at(rect);
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let at = |p: DVec3| state.camera.ui_from_world(p, state.size()).map(|(at, _)| in_window(rect, at));
    for stroke in &sketch.strokes {
        let ink = stroke.ink.colour(tokens);
        for pair in stroke.points.windows(2) {
            if let (Some(a), Some(b)) = (at(pair[0]), at(pair[1])) {
                painter.line_segment([a, b], Stroke::new(stroke.width, ink));
            }
        }
    }
    for (point, words, ink) in &sketch.marks {
        let Some(p) = at(*point) else { continue };
        let ink = ink.colour(tokens);
        painter.circle(p, 5.0, ink, Stroke::new(2.0, tokens.plate));
        if !words.is_empty() {
            plate(&painter, p + vec2(10.0, -14.0), words, ink, tokens, 13.5);
        }
    }
    for (point, words, ink) in &sketch.words {
        if let Some(p) = at(*point) {
            plate(&painter, p + vec2(6.0, 0.0), words, ink.colour(tokens), tokens, 13.0);
        }
    }
}

/// Side of the square in which a place to choose can be hit, points.
const CHOICE_HIT: f32 = 34.0;

/// The places the open job lets choose between, as buttons. Returns the one that was clicked.
pub(super) fn choices(ui: &mut Ui, rect: Rect, choices: &[Choice3], state: &ViewState) -> Option<usize> {
    let painter = ui.painter_at(rect);
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let mut clicked = None;
    for (i, Choice3 { at, words, chosen }) in choices.iter().enumerate() {
        let Some((at, _)) = state.camera.ui_from_world(*at, state.size()) else { continue };
        let p = in_window(rect, at);
        if !rect.contains(p) {
            continue;
        }
        let hit = Rect::from_center_size(p, Vec2::splat(CHOICE_HIT)).intersect(rect);
        let response = ui.interact(hit, Id::unique(("choice in the view", i)), Sense::click());
        response.widget_info(|| {
            WidgetInfo::selected(Role::RadioButton, true, *chosen, format!("{words}, in the 3D view"))
        });
        let lit = *chosen || response.hovered() || response.has_focus();
        let ink = if lit { tokens.selected } else { tokens.ink };
        painter.circle(
            p,
            if lit { 9.0 } else { 7.0 },
            tokens.plate.gamma_multiply(0.6),
            Stroke::new(3.0, ink),
        );
        if *chosen {
            painter.circle_filled(p, 4.0, ink);
        }
        plate(&painter, p + vec2(16.0, -14.0), words, ink, tokens, 13.5);
        if response.on_hover_cursor(CursorIcon::PointingHand).clicked() {
            clicked = Some(i);
        }
    }
    clicked
}

/// A label on a plate, its left middle at `at`. Returns the room it takes.
fn plate(painter: &Painter, at: Pos2, words: &str, ink: Color32, tokens: &Tokens, size: f32) -> Rect {
    let galley = painter.layout_no_wrap(words.to_owned(), FontId::new(size, bold_family()), ink);
    let rect = Align2::LEFT_CENTER.anchor_size(at, galley.size()).expand2(ROUND_WORDS);
    let rect = pushed_into(painter.clip_rect().shrink(4.0), rect);
    fill(painter, rect, galley, (ink, tokens));
    rect
}

/// From the words of a label to the edge of its plate, points.
const ROUND_WORDS: Vec2 = vec2(5.0, 2.0);

fn fill(painter: &Painter, rect: Rect, galley: Arc<Galley>, (ink, tokens): (Color32, &Tokens)) {
    painter.rect_filled(rect, 3.0, tokens.plate.gamma_multiply(0.82));
    painter.galley(rect.min + ROUND_WORDS, galley, ink);
}

/// A label that matters stays whole: pushed back into the view.
fn pushed_into(view: Rect, rect: Rect) -> Rect {
    let rect = rect.translate((view.max - rect.max).min(Vec2::ZERO));
    rect.translate((view.min - rect.min).max(Vec2::ZERO))
}

/// How far a label may be moved off what it belongs to, in steps of its height.
const STEPS_OFF: u8 = 16;

/// Where a label of that size beside `at` covers none of `taken`: below or above it, to the right or the left, as near as
/// can be. Where there is no such place it stands where it would without them.
fn clear_of(at: Pos2, size: Vec2, view: Rect, taken: &[Rect]) -> Rect {
    let (right, left) = (9.0, -9.0 - size.x);
    let places = (0..STEPS_OFF).flat_map(|step| {
        let off = 5.0 + f32::from(step) * size.y;
        [(right, off), (right, -off - size.y), (left, off), (left, -off - size.y)]
    });
    let mut rects = places.map(|(x, y)| pushed_into(view, Rect::from_min_size(at + vec2(x, y), size)));
    let first = pushed_into(view, Rect::from_min_size(at + vec2(right, 5.0), size));
    rects.find(|rect| !taken.iter().any(|t| t.intersects(*rect))).unwrap_or(first)
}

/// The same, unless it would cover a label that is there already.
fn plate_if_free(
    painter: &Painter,
    at: Pos2,
    words: &str,
    tokens: &Tokens,
    size: f32,
    taken: &mut Vec<Rect>,
) {
    let width = 0.62 * size * words.chars().count() as f32 + 10.0;
    let guess = Rect::from_min_size(at - vec2(5.0, size * 0.7), Vec2::new(width, size * 1.4));
    // what would have to be pushed back into the view names something that is not in it
    let outside = !painter.clip_rect().contains_rect(guess);
    if outside || taken.iter().any(|t| t.intersects(guess)) {
        return;
    }
    taken.push(plate(painter, at, words, tokens.ink, tokens, size));
}

fn line_through(painter: &Painter, p: DVec3, axis: DVec3, ink: Color32, at: &dyn Fn(DVec3) -> Option<Pos2>) {
    if let (Some(a), Some(b)) = (at(p - axis * 2000.0), at(p + axis * 2000.0)) {
        painter.line_segment([a, b], Stroke::new(1.5, ink.gamma_multiply(0.8)));
    }
}

/// A gap to be shown as a dimension line.
struct Gap<'a> {
    /// Its two ends, mm.
    points_mm: [DVec3; 2],
    gap_mm: f64,
    against: &'a str,
    /// Which position it is of, where bodies move.
    at: &'static str,
    ok: bool,
}

/// The gap of the selected run that was asked for, else its tightest.
fn gap_of_run<'a>(ctx: UiCtx<'a>, run: &Run) -> Option<Gap<'a>> {
    let chosen = |other| ctx.report.clearance.iter().find(|c| c.run_id == run.id && c.other == other);
    let gap = ctx.selection.against.and_then(chosen).or_else(|| ctx.report.tightest(run.id))?;
    Some(Gap {
        points_mm: [gap.run_point_mm, gap.other_point_mm],
        gap_mm: gap.gap_mm,
        against: &gap.against,
        at: match (gap.is_moved(), gap.tightest) {
            (true, _) => ", at worst",
            (false, true) => "",
            (false, false) => ", as drawn",
        },
        ok: gap.ok,
    })
}

/// The same of the selected bar, if one is.
fn gap_of_bar(ctx: UiCtx<'_>) -> Option<Gap<'_>> {
    let Some(Item::Bar(id)) = ctx.selection.item else { return None };
    ctx.project.bar(id).filter(|bar| !bar.hidden)?;
    let to = |other| {
        let own = Item::Bar(id);
        let is = |g: &&BarGapReport| {
            (g.bar_id == id && g.other == other) || (g.other == own && Item::Bar(g.bar_id) == other)
        };
        ctx.report.bar_gaps.iter().find(is)
    };
    let gap = ctx.selection.against.and_then(to).or_else(|| ctx.report.tightest_of_bar(id))?;
    Some(Gap {
        points_mm: [gap.bar_point_mm, gap.other_point_mm],
        gap_mm: gap.gap_mm,
        against: if gap.bar_id == id { &gap.against } else { &gap.bar },
        at: if gap.is_moved() { ", at worst" } else { "" },
        ok: gap.ok,
    })
}

/// A gap as a dimension line.
fn dimension(
    painter: &Painter,
    ctx: UiCtx<'_>,
    gap: &Gap<'_>,
    tokens: &Tokens,
    at: &dyn Fn(DVec3) -> Option<Pos2>,
    taken: &mut Vec<Rect>,
) {
    let (Some(a), Some(b)) = (at(gap.points_mm[0]), at(gap.points_mm[1])) else { return };
    let ink = if gap.ok { tokens.good } else { tokens.stop };
    let along = (b - a).normalized();
    let across = vec2(-along.y, along.x) * 7.0;
    painter.line_segment([a, b], Stroke::new(5.0, tokens.plate));
    painter.line_segment([a, b], Stroke::new(2.5, ink));
    for (end, sign) in [(a, 1.0), (b, -1.0)] {
        painter.line_segment([end - across, end + across], Stroke::new(2.0, ink));
        if (b - a).length() > 22.0 {
            for side in [0.5, -0.5] {
                painter
                    .line_segment([end, end + along * (8.0 * sign) + across * side], Stroke::new(2.0, ink));
            }
        }
    }
    let words = if gap.gap_mm < 0.0 {
        format!("{} into {}", units::length(-gap.gap_mm, ctx.units()), gap.against)
    } else {
        format!("{} to {}", units::length(gap.gap_mm, ctx.units()), gap.against)
    };
    // which way stands in the list of gaps and in the problem
    let words = format!("{words}{}", gap.at);
    let middle = a + (b - a) * 0.5;
    // a handle is drawn over it: half a number reads like another number
    let galley = painter.layout_no_wrap(words, FontId::new(14.0, bold_family()), ink);
    let size = galley.size() + 2.0 * ROUND_WORDS;
    let rect = clear_of(middle, size, painter.clip_rect().shrink(4.0), taken);
    fill(painter, rect, galley, (ink, tokens));
    taken.push(rect);
}

/// Angles of the bends next to their handles.
fn bends(
    painter: &Painter,
    report: &RunReport,
    tokens: &Tokens,
    at: &dyn Fn(DVec3) -> Option<Pos2>,
    taken: &mut Vec<Rect>,
) {
    for bend in &report.bends {
        if let Some(p) = at(bend.point) {
            let words = units::angle(bend.angle_deg, 1);
            plate_if_free(painter, p + vec2(16.0, -12.0), &words, tokens, 13.5, taken);
        }
    }
}

/// Marks of the pieces; of equal slices only the first and the last.
fn marks(
    painter: &Painter,
    report: &RunReport,
    tokens: &Tokens,
    at: &dyn Fn(DVec3) -> Option<Pos2>,
    taken: &mut Vec<Rect>,
) {
    let pieces = &report.built.pieces;
    for (i, (piece, frames)) in pieces.iter().zip(&report.built.frames).enumerate() {
        let bend = |j: Option<usize>| j.and_then(|j| pieces.get(j)).and_then(|p| p.bend);
        let inside =
            piece.bend.is_some() && bend(i.checked_sub(1)) == piece.bend && bend(Some(i + 1)) == piece.bend;
        if inside {
            continue;
        }
        if let Some(p) = at(frames.0.origin.midpoint(frames.1.origin)) {
            plate_if_free(painter, p + vec2(-8.0, 20.0), &piece.mark, tokens, 12.0, taken);
        }
    }
}

/// How near the pointer has to come to the mark of a datum, points.
const DATUM_POINTS: f64 = 9.0;

/// The datum whose mark is at a place of the view, points from its corner. Marks show through what stands before them,
/// so they win over it.
pub(super) fn datum_at(ctx: UiCtx<'_>, state: &ViewState, pos: DVec2) -> Option<Item> {
    let off = |at: DVec3| state.camera.ui_from_world(at, state.size()).map(|(p, _)| p.distance(pos));
    let near = ctx.project.datums.iter().filter(|d| !d.hidden);
    near.filter_map(|d| Some((off(d.position_mm)?, d.id)))
        .filter(|(off, _)| *off <= DATUM_POINTS)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, id)| Item::Datum(id))
}

/// Small crosses at the datums, which show through what stands before them.
fn datums(painter: &Painter, ctx: UiCtx<'_>, tokens: &Tokens, at: &dyn Fn(DVec3) -> Option<Pos2>) {
    for datum in ctx.project.datums.iter().filter(|d| !d.hidden) {
        let Some(p) = at(datum.position_mm) else { continue };
        let item = Some(Item::Datum(datum.id));
        let (ink, arm) = if ctx.selection.item == item {
            (tokens.selected, 9.0)
        } else if ctx.hover.item == item {
            (tokens.ink, 9.0)
        } else {
            (crate::theme::tokens::DATUM, 6.0)
        };
        for way in [vec2(arm, 0.0), vec2(0.0, arm)] {
            painter.line_segment([p - way, p + way], Stroke::new(4.0, tokens.plate.gamma_multiply(0.7)));
            painter.line_segment([p - way, p + way], Stroke::new(2.0, ink));
        }
    }
}

/// Names of datums and hardpoints, and of the obstacle under the pointer or selected.
fn names(
    painter: &Painter,
    ctx: UiCtx<'_>,
    tokens: &Tokens,
    at: &dyn Fn(DVec3) -> Option<Pos2>,
    taken: &mut Vec<Rect>,
) {
    let lit = |item| ctx.hover.item == Some(item) || ctx.selection.item == Some(item);
    for obstacle in ctx.project.obstacles.iter().filter(|o| !o.hidden && lit(Item::Obstacle(o.id))) {
        if let Some(p) = at(obstacle.pose.position_mm) {
            plate_if_free(painter, p + vec2(14.0, 18.0), &obstacle.name, tokens, 13.0, taken);
        }
    }
    for datum in ctx.project.datums.iter().filter(|d| !d.hidden) {
        if let Some(p) = at(datum.position_mm) {
            // where a job that marks it puts its name too
            plate_if_free(painter, p + vec2(10.0, -14.0), &datum.name, tokens, 13.5, taken);
        }
    }
    for port in ctx.project.hardpoints.iter().filter(|h| !h.hidden) {
        if let Some(p) = at(port.position_mm) {
            plate_if_free(painter, p + vec2(10.0, 26.0), &port.name, tokens, 13.0, taken);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use eframe::egui::pos2;

    #[test]
    fn a_label_keeps_clear_of_handles_and_stays_in_the_view() {
        let view = Rect::from_min_max(pos2(0.0, 0.0), pos2(800.0, 600.0));
        let size = vec2(180.0, 22.0);
        let handle = |at| Rect::from_center_size(at, Vec2::splat(26.0));
        for at in [pos2(400.0, 300.0), pos2(3.0, 3.0), pos2(797.0, 597.0), pos2(790.0, 10.0)] {
            let free = clear_of(at, size, view, &[]);
            assert!(view.contains_rect(free) && free.distance_to_pos(at) < 40.0, "{at}: {free}");
            // on the number, then on every place but the farthest too
            let mut taken = Vec::new();
            for _ in 0..6 {
                let rect = clear_of(at, size, view, &taken);
                assert!(taken.iter().all(|t: &Rect| !t.intersects(rect)), "{at}: {rect} in {taken:?}");
                assert!(view.contains_rect(rect), "{at}: {rect}");
                taken.push(handle(rect.left_center() + vec2(10.0, 0.0)));
            }
        }
        // where all is taken it is shown all the same
        let all = [view];
        assert_eq!(clear_of(pos2(400.0, 300.0), size, view, &all).min, pos2(409.0, 305.0));
    }
}
