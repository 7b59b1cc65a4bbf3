//! Rings, crosses and squares that can be dragged, as real widgets: named, focusable, moved by keys too.

use super::drag::{DragRules, DragState};
use super::{ViewState, in_view, in_window};
use crate::ctx::UiCtx;
use crate::request::{Request, Requests};
use crate::selection::Selection;
use crate::theme::Tokens;
use eframe::egui::{
    self, Key, PointerButton, Pos2, Rect, Response, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, vec2,
};
use glam::{DVec2, DVec3};
use pipeloft_core::edit::handle::{
    Freedom, Handle, drag_edit, drag_label, freedom, handles_of, handles_of_bar, place,
};
use pipeloft_core::model::{Item, Project, Shape, Vertex, WaypointId};
use pipeloft_core::units::UnitSystem;

/// Side of the square in which a handle can be hit, points.
const HIT: f32 = 26.0;

/// Draws and moves the handles of what is selected. Returns whether the pointer is on one.
pub(super) fn handles_ui(
    ui: &mut Ui,
    rect: Rect,
    canvas: &Response,
    ctx: UiCtx<'_>,
    start: &Project,
    state: &mut ViewState,
    requests: &mut Requests,
) -> bool {
    let mut on_handle = false;
    // the last one shown lies on top: rings over crosses
    for (handle, centre) in spots(rect, ctx, state).into_iter().rev() {
        on_handle |= handle_ui(ui, canvas, ctx, state, handle, centre, requests);
    }
    drag_on(ui, rect, ctx, start, state, requests);
    on_handle
}

/// Handles that are in view and where, those that win first.
fn spots(rect: Rect, ctx: UiCtx<'_>, state: &ViewState) -> Vec<(Handle, Pos2)> {
    shown(ctx)
        .into_iter()
        .filter_map(|handle| {
            let (at, _) = state.camera.ui_from_world(place(ctx.project, handle)?, state.size())?;
            Some((handle, in_window(rect, at)))
        })
        .filter(|(_, centre)| rect.shrink(4.0).contains(*centre))
        .collect()
}

/// The room that handles take, so that no label covers them.
pub(super) fn covered(rect: Rect, ctx: UiCtx<'_>, state: &ViewState) -> Vec<Rect> {
    let room = |(handle, centre): (Handle, Pos2)| hit_rect(handle, centre).shrink(3.0);
    spots(rect, ctx, state).into_iter().map(room).collect()
}

/// Where a handle can be hit.
fn hit_rect(handle: Handle, centre: Pos2) -> Rect {
    let side = if matches!(handle, Handle::LegMiddle(..)) { HIT * 0.75 } else { HIT };
    Rect::from_center_size(centre, Vec2::splat(side))
}

/// A press on a handle becomes a drag once the pointer has gone this far, points; less is a click.
const CLICK_SLACK: f32 = 4.0;

/// Begins a drag from where the button was pressed. By the time of the frame the pointer may be off the handle, or the
/// button up again: slow frames bring press, motion and release together, and a hit test at the last place would miss.
pub(super) fn catch(
    ui: &Ui,
    rect: Rect,
    canvas: &Response,
    ctx: UiCtx<'_>,
    state: &mut ViewState,
    requests: &mut Requests,
) {
    let (events, down, now) =
        ui.input(|i| (i.events.clone(), i.pointer.primary_down(), i.pointer.latest_pos()));
    for event in events {
        if let egui::Event::PointerButton { pos, button: PointerButton::Primary, pressed: true, modifiers } =
            event
        {
            let ours =
                rect.contains(pos) && ui.ctx().layer_id_at(pos) == Some(canvas.layer_id) && !modifiers.alt;
            let under = |(handle, centre): &(Handle, Pos2)| hit_rect(*handle, *centre).contains(pos);
            state.armed =
                spots(rect, ctx, state).into_iter().find(under).filter(|_| ours).map(|(h, _)| (h, pos));
        }
    }
    let Some((handle, press)) = state.armed else { return };
    let gone = now.is_some_and(|now| now.distance(press) > CLICK_SLACK);
    if gone && state.drag.is_none() {
        state.armed = None;
        begin(rect, press, ctx, state, handle, requests);
    } else if !down {
        state.armed = None;
    }
}

/// Begins to drag a handle.
fn begin(
    rect: Rect,
    press: Pos2,
    ctx: UiCtx<'_>,
    state: &mut ViewState,
    handle: Handle,
    requests: &mut Requests,
) {
    state.drag = DragState::begin(ctx.project, handle, in_view(rect, press), &state.camera, state.size);
    if state.drag.is_some() {
        if let Handle::Vertex(run, vertex) = handle {
            requests.select(Selection::vertex(Item::Run(run), vertex));
        }
        requests.push(Request::Begin(drag_label(ctx.project, handle)));
    }
}

/// Handles of the selection; of a run the rings first, then joints, then the crosses in the middle of legs.
fn shown(ctx: UiCtx<'_>) -> Vec<Handle> {
    match ctx.selection.item {
        Some(Item::Run(id)) => ctx.project.run(id).filter(|r| !r.hidden).map(handles_of).unwrap_or_default(),
        Some(Item::Hardpoint(id)) => vec![Handle::Hardpoint(id)],
        Some(Item::Merge(id)) => {
            ctx.project.merge(id).filter(|m| !m.hidden).map_or_else(Vec::new, |_| vec![Handle::Merge(id)])
        }
        // a scan is placed by its points: one that was caught by accident would be off and nobody would see it
        Some(Item::Obstacle(id)) => ctx
            .project
            .obstacle(id)
            .filter(|o| !matches!(o.shape, Shape::Scan(_)))
            .map_or_else(Vec::new, |_| vec![Handle::Obstacle(id)]),
        Some(Item::Bar(id)) => {
            ctx.project.bar(id).filter(|b| !b.hidden).map_or_else(Vec::new, handles_of_bar)
        }
        Some(Item::Datum(_) | Item::Body(_) | Item::Tube(_) | Item::Elbow(_) | Item::Joint(_)) | None => {
            Vec::new()
        }
    }
}

fn name(ctx: UiCtx<'_>, handle: Handle) -> String {
    match handle {
        Handle::Vertex(run, vertex) => {
            let number = ctx.project.run(run).and_then(|r| r.vertices().iter().position(|v| *v == vertex));
            format!("Bend handle {}", number.map_or(0, |n| n + 1))
        }
        Handle::LegMiddle(_, leg) => format!("Add a bend on leg {}", leg + 1),
        Handle::Fitting(..) => "Joint handle".to_owned(),
        Handle::Hardpoint(_) => "Hardpoint handle".to_owned(),
        Handle::Obstacle(_) => "Obstacle handle".to_owned(),
        Handle::Merge(_) => "Merge handle".to_owned(),
        Handle::Part(run, id) => {
            let part = ctx.project.run(run).and_then(|r| r.parts.iter().find(|p| p.id == id));
            part.map_or_else(String::new, |p| format!("{} handle", p.name))
        }
        Handle::BarPoint(_, point) => format!("Bar handle {}", point + 1),
    }
}

fn handle_ui(
    ui: &mut Ui,
    canvas: &Response,
    ctx: UiCtx<'_>,
    state: &mut ViewState,
    handle: Handle,
    centre: Pos2,
    requests: &mut Requests,
) -> bool {
    let response = ui.interact(hit_rect(handle, centre), canvas.id.with(handle), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name(ctx, handle)));
    let dragging = state.drag.as_ref().is_some_and(|d| d.handle == handle);
    if response.clicked() || response.drag_started_by(PointerButton::Primary) {
        response.request_focus();
        if let Handle::Vertex(run, vertex) = handle {
            requests.select(Selection::vertex(Item::Run(run), vertex));
        }
    }
    if response.has_focus() && state.drag.is_none() {
        nudge(ui, ctx, &response, handle, requests);
    }
    if response.hovered() || dragging {
        ui.ctx().set_cursor_icon(if dragging { egui::CursorIcon::Grabbing } else { egui::CursorIcon::Grab });
    }
    let chosen = dragging || matches!(handle, Handle::Vertex(_, v) if ctx.selection.vertex == Some(v));
    let hot = response.hovered() || response.has_focus() || chosen;
    draw(ui, centre, handle, hot, chosen);
    response.hovered() || dragging
}

fn draw(ui: &Ui, centre: Pos2, handle: Handle, hot: bool, chosen: bool) {
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let painter = ui.painter();
    let ink = if chosen { tokens.selected } else { tokens.ink };
    let edge = Stroke::new(if hot { 3.0 } else { 2.0 }, ink);
    let under = Stroke::new(edge.width + 2.0, tokens.plate);
    match handle {
        Handle::Vertex(_, vertex) => {
            let r = if hot { 9.0 } else { 7.0 };
            if matches!(vertex, Vertex::Start | Vertex::End) {
                // slides on an axis: a diamond
                let corners = |r: f32| {
                    vec![
                        centre + vec2(0.0, -r),
                        centre + vec2(r, 0.0),
                        centre + vec2(0.0, r),
                        centre + vec2(-r, 0.0),
                    ]
                };
                painter.add(egui::Shape::closed_line(corners(r + 1.0), under));
                painter.add(egui::Shape::closed_line(corners(r + 1.0), edge));
            } else {
                painter.circle_stroke(centre, r, under);
                painter.circle_stroke(centre, r, edge);
            }
        }
        Handle::LegMiddle(..) => {
            let r = if hot { 6.0 } else { 4.5 };
            for stroke in [under, edge] {
                painter.line_segment([centre - vec2(r, 0.0), centre + vec2(r, 0.0)], stroke);
                painter.line_segment([centre - vec2(0.0, r), centre + vec2(0.0, r)], stroke);
            }
        }
        Handle::Fitting(..)
        | Handle::Hardpoint(_)
        | Handle::Obstacle(_)
        | Handle::Merge(_)
        | Handle::Part(..)
        | Handle::BarPoint(..) => {
            let r = Rect::from_center_size(centre, Vec2::splat(if hot { 15.0 } else { 12.0 }));
            painter.rect_stroke(r, 2.0, under, egui::StrokeKind::Middle);
            painter.rect_stroke(r, 2.0, edge, egui::StrokeKind::Middle);
        }
    }
}

/// Arrow keys: along the axis, or left and right along Y, up and down along X, Page Up and Page Down along Z.
fn nudge(ui: &Ui, ctx: UiCtx<'_>, response: &Response, handle: Handle, requests: &mut Requests) {
    let filter = egui::EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let presses = |key| ui.input(|i| i.num_presses(key)) as f64;
    let (right, up) =
        (presses(Key::ArrowRight) - presses(Key::ArrowLeft), presses(Key::ArrowUp) - presses(Key::ArrowDown));
    let rise = presses(Key::PageUp) - presses(Key::PageDown);
    if right == 0.0 && up == 0.0 && rise == 0.0 {
        return;
    }
    let step = match ctx.units() {
        UnitSystem::Millimetre => 1.0,
        UnitSystem::InchFraction => 25.4 / 16.0,
        UnitSystem::InchDecimal => 1.27,
    };
    let Some(here) = place(ctx.project, handle) else { return };
    let by = match freedom(ctx.project, handle) {
        Freedom::Axis(_, axis) => axis * (right + up + rise),
        Freedom::Free => DVec3::new(up, -right, rise),
    };
    if let Some(edit) = drag_edit(ctx.project, handle, here + by * step) {
        requests.edit(drag_label(ctx.project, handle), edit);
    }
}

/// Goes on with the drag: keys, pointer, release.
fn drag_on(
    ui: &Ui,
    rect: Rect,
    ctx: UiCtx<'_>,
    start: &Project,
    state: &mut ViewState,
    requests: &mut Requests,
) {
    let Some(mut drag) = state.drag.take() else { return };
    let (events, pointer, down, ctrl) = ui
        .input(|i| (i.events.clone(), i.pointer.latest_pos(), i.pointer.primary_down(), i.modifiers.command));
    let mut finish = !down;
    for event in &events {
        match event {
            egui::Event::Key { key: Key::Escape, pressed: true, .. } => {
                requests.push(Request::Cancel);
                return;
            }
            egui::Event::Key { key: Key::Enter, pressed: true, .. } if !drag.typed.is_empty() => {
                finish = true;
            }
            egui::Event::Key { key: Key::Backspace, pressed: true, .. } => {
                drag.typed.pop();
            }
            egui::Event::Text(text) => match text.as_str() {
                "x" | "X" => drag.toggle_lock(0),
                "y" | "Y" => drag.toggle_lock(1),
                "z" | "Z" => drag.toggle_lock(2),
                other if drag.typed.len() < 24 && other.chars().all(is_of_number) => {
                    drag.typed.push_str(other);
                }
                _ => {}
            },
            _ => {}
        }
    }
    let rules = DragRules { snap: ctx.prefs.snap && !ctrl, units: ctx.units() };
    let pointer = pointer.map_or(DVec2::ZERO, |p| in_view(rect, p));
    let edit = drag.update(start, pointer, &state.camera, state.size, rules);
    // a hand that holds still asks for nothing, so that the machine can rest
    if edit != drag.shown {
        drag.shown.clone_from(&edit);
        requests.extend(edit.map(Request::Preview));
    }
    if finish {
        requests.push(Request::Keep);
        if let Handle::LegMiddle(run, _) = drag.handle {
            let vertex = Vertex::Way(WaypointId(start.next_id));
            requests.select(Selection::vertex(Item::Run(run), vertex));
        }
        return;
    }
    state.drag = Some(drag);
}

/// Whether a character can stand in a typed length.
fn is_of_number(c: char) -> bool {
    c.is_ascii_digit() || " .,/-+*'\"()m".contains(c)
}
