//! Orbit, pan and zoom. The bindings stand here, and the help text is made from them.

use super::{PICK_POINTS, ViewState, in_view};
use eframe::egui::{self, Modifiers, PointerButton, Pos2, Rect, Response, Ui};
use glam::{DVec2, DVec3};
use pipeloft_core::view3d::pick;

/// What a drag with the mouse does to the camera.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Move {
    Orbit,
    Pan,
}

/// Button, modifiers and what the drag does; the first that fits counts.
const BINDINGS: [(PointerButton, Modifiers, Move); 6] = [
    (PointerButton::Middle, Modifiers::SHIFT, Move::Pan),
    (PointerButton::Middle, Modifiers::NONE, Move::Orbit),
    (PointerButton::Secondary, Modifiers::NONE, Move::Pan),
    (PointerButton::Primary, Modifiers { alt: true, shift: true, ..Modifiers::NONE }, Move::Pan),
    (PointerButton::Primary, Modifiers::SHIFT, Move::Pan),
    (PointerButton::Primary, Modifiers::NONE, Move::Orbit),
];

/// The hint in the status line.
pub const HINT: &str = "Drag a ring to move a bend, a + to add one · drag beside it or middle-drag: turn · right-drag: shift · wheel: zoom · F: fit";

/// Lines of the help window: what, and how.
pub const HELP: [(&str, &str); 14] = [
    ("Turn the view", "drag on empty space, or drag with the middle button"),
    ("Shift the view", "drag with the right button, or Shift and drag"),
    ("Zoom", "wheel, towards the pointer"),
    ("Select several", "hold Ctrl and click, in the view or in the tree"),
    ("What can be done with a thing", "click it with the right button"),
    ("Move a bend", "drag its ring; the bends next to a hardpoint slide on its axis"),
    ("Add a bend", "drag the small + in the middle of a straight"),
    ("Slide a joint", "drag its square"),
    ("Lock to an axis while dragging", "X, Y or Z; the same key again lets go"),
    (
        "Exact value while dragging",
        "type it and press Enter: along the locked axis, or from the hardpoint's face",
    ),
    ("No snapping for a moment", "hold Ctrl while dragging"),
    ("Give up a drag", "Esc: everything is as before"),
    ("Nudge with the keys", "Tab to a ring, then arrow keys, Page Up and Page Down"),
    ("Lengths can be typed as", "3 1/2, 3.5\", 88.9mm, 2'6, 2*(1+3/8)"),
];

/// A drag of the camera.
#[derive(Debug, Clone, Copy)]
pub(super) struct Navigation {
    what: Move,
    button: PointerButton,
    last: Pos2,
    pivot: DVec3,
}

/// How strongly the wheel zooms, per point of scrolling.
const ZOOM_PER_POINT: f64 = 0.0025;

/// What is under a place of the view, else `None`.
fn under(state: &ViewState, at: DVec2) -> Option<DVec3> {
    let ray = state.camera.ray_in_world(at, state.size);
    let hits = pick(&state.scene, &ray, state.camera.slack(PICK_POINTS, state.size));
    hits.first().map(|h| ray.at(h.t))
}

/// Moves the camera by what the mouse did in this frame.
pub(super) fn navigate(ui: &Ui, rect: Rect, response: &Response, state: &mut ViewState) {
    let modifiers = ui.input(|i| i.modifiers);
    if state.navigation.is_none() && state.drag.is_none() {
        let begun = BINDINGS.iter().find(|(button, wanted, _)| {
            let fits = (!wanted.shift || modifiers.shift) && (!wanted.alt || modifiers.alt);
            fits && response.drag_started_by(*button)
        });
        if let Some((button, _, what)) = begun
            && let Some(press) = ui.input(|i| i.pointer.press_origin()).or(response.interact_pointer_pos())
        {
            let pivot = under(state, in_view(rect, press)).unwrap_or(state.camera.target);
            state.glide = None;
            state.navigation = Some(Navigation { what: *what, button: *button, last: press, pivot });
        }
    }
    if let Some(mut nav) = state.navigation {
        if let Some(now) = response.interact_pointer_pos() {
            // from the last place seen, not from per-frame deltas: those lose motion on slow frames
            let delta = DVec2::new(f64::from(now.x - nav.last.x), f64::from(now.y - nav.last.y));
            match nav.what {
                Move::Orbit => state.camera.orbit(delta, nav.pivot),
                Move::Pan => state.camera.pan(delta, nav.pivot, state.size),
            }
            nav.last = now;
            state.navigation = Some(nav);
        }
        if !ui.input(|i| i.pointer.button_down(nav.button)) {
            state.navigation = None;
        }
    }
    if response.contains_pointer()
        && let Some(pos) = response.hover_pos()
    {
        let (scroll, pinch) = ui.input(|i| (i.smooth_scroll_delta(), i.zoom_delta()));
        let factor = (f64::from(scroll.y) * ZOOM_PER_POINT).exp() * f64::from(pinch);
        if (factor - 1.0).abs() > 1e-6 {
            state.glide = None;
            let at = in_view(rect, pos);
            let anchor = under(state, at);
            state.camera.zoom_to(factor, at, state.size, anchor);
            ui.ctx().request_repaint();
        }
    }
    if state.navigation.is_some() {
        ui.ctx().set_cursor_icon(egui::CursorIcon::Grabbing);
    }
}
