//! The 3D view: camera, handles, labels. The drawing itself is in [`gl`].

pub mod drag;
pub mod gl;
mod handles;
mod navigate;
pub use navigate::{HELP, HINT};
mod overlay;

use crate::ctx::UiCtx;
use crate::jobs::{Sketch, Spot};
use crate::request::{Request, Requests};
use crate::selection::Selection;
use drag::DragState;
use eframe::egui::{self, PointerButton, Rect, Role, Sense, Ui, WidgetInfo};
use gl::{DrawFrame, GlView, paint_callback};
use glam::{DVec2, DVec3};
use navigate::Navigation;
use pipeloft_core::model::{Item, Project, RunId};
use pipeloft_core::report::{Margin, Report, margins};
use pipeloft_core::view3d::{
    Apart, BuiltScene, Camera, Emphasis, Scene, build_scene, look_at, opening, pick, take_apart,
};
use std::sync::{Arc, Mutex};

/// How near the pointer has to come to thin things, points.
const PICK_POINTS: f64 = 10.0;
/// How near a place is looked at that a button shows, mm.
const NEAR_MM: f64 = 900.0;
/// How long the camera takes to a new view, seconds.
const GLIDE_S: f64 = 0.18;

/// What a scene was built of: result, what stands out, a section drawn apart, the one thing shown.
type SceneKey = (Arc<Report>, Emphasis, Option<Apart>, Option<Item>);

/// What the view keeps from frame to frame.
#[derive(Debug)]
pub struct ViewState {
    /// The camera.
    pub camera: Camera,
    /// Where the camera is gliding to, from where and since when.
    glide: Option<(Camera, Camera, f64)>,
    /// The drag of a handle that is going on.
    pub drag: Option<DragState>,
    /// A handle on which the button went down, and where.
    armed: Option<(pipeloft_core::edit::handle::Handle, egui::Pos2)>,
    navigation: Option<Navigation>,
    scene: Arc<Scene>,
    pieces: std::collections::BTreeMap<pipeloft_core::model::RunId, Vec<usize>>,
    scene_for: Option<SceneKey>,
    /// The room along the selected run, and what it is for.
    room: Vec<Margin>,
    room_for: Option<(Arc<Report>, RunId)>,
    /// What is under the pointer in the view.
    pub hover: Selection,
    /// What the open menu of the view is about; none for the space around.
    menu_for: Option<Item>,
    /// Size of the view in the last frame, points.
    size: DVec2,
    /// Bring everything into view once the size is known.
    pub fit_pending: bool,
    /// Whether clicks are for a job, not for selecting.
    pub(crate) pointing: bool,
    /// The one thing that is drawn, where a job wants to see no other.
    pub(crate) only: Option<Item>,
    /// A place that was clicked for a job.
    pub(crate) spot: Option<Spot>,
    /// Which of the places a job lets choose between was clicked.
    pub(crate) chosen: Option<usize>,
}

impl Default for ViewState {
    fn default() -> Self {
        Self {
            camera: Camera::default(),
            glide: None,
            drag: None,
            armed: None,
            navigation: None,
            scene: Arc::default(),
            pieces: Default::default(),
            scene_for: None,
            room: Vec::new(),
            room_for: None,
            hover: Selection::default(),
            menu_for: None,
            size: DVec2::new(800.0, 600.0),
            fit_pending: true,
            pointing: false,
            only: None,
            spot: None,
            chosen: None,
        }
    }
}

impl ViewState {
    /// Glides to another camera.
    pub fn go(&mut self, to: Camera, now: f64) {
        self.glide = Some((self.camera.clone(), to, now));
    }

    /// The camera the view is at or gliding to.
    pub fn destination(&self) -> Camera {
        self.glide.as_ref().map_or_else(|| self.camera.clone(), |(_, to, _)| to.clone())
    }

    /// Brings a box into view.
    pub fn fit(&mut self, low: DVec3, high: DVec3, now: f64) {
        let mut to = self.destination();
        to.fit(low, high, self.size);
        self.go(to, now);
    }

    /// Brings everything into view.
    pub fn fit_all(&mut self, now: f64) {
        self.fit(self.scene.low, self.scene.high, now);
    }

    /// Brings one place into view from not too far.
    pub fn show(&mut self, spot: DVec3, now: f64) {
        let to = look_at(&self.scene, &self.destination(), spot, NEAR_MM, self.size);
        self.go(to, now);
    }

    /// Size of the view, points.
    pub fn size(&self) -> DVec2 {
        self.size
    }

    /// What is drawn hangs on the scans too, but with each that comes there is a new report.
    fn follow_scene(&mut self, ctx: UiCtx<'_>, shown: Shown<'_>, emphasis: Emphasis) {
        let Shown { report, apart, .. } = shown;
        let same = |(r, e, a, only): &SceneKey| {
            Arc::ptr_eq(r, report) && *e == emphasis && a.as_ref() == apart && *only == self.only
        };
        if !self.scene_for.as_ref().is_some_and(same) {
            let mut built = build_scene(ctx.project, report, ctx.scans, &emphasis);
            if let Some(apart) = apart {
                take_apart(&mut built, apart);
            }
            let BuiltScene { mut scene, pieces } = built;
            scene.items.retain(|item| self.only.is_none_or(|only| only == item.item));
            (self.scene, self.pieces) = (Arc::new(scene), pieces);
            self.scene_for = Some((Arc::clone(report), emphasis, apart.cloned(), self.only));
        }
    }

    /// Works out the room along the selected run, where it is to be shown.
    fn follow_room(&mut self, ctx: UiCtx<'_>, report: &Arc<Report>) {
        let run = ctx.selected_run().filter(|(run, _)| ctx.prefs.room && !run.hidden).map(|(run, _)| run.id);
        let Some(run) = run else {
            (self.room, self.room_for) = (Vec::new(), None);
            return;
        };
        let same = self.room_for.as_ref().is_some_and(|(r, id)| Arc::ptr_eq(r, report) && *id == run);
        if !same {
            self.room = margins(ctx.project, ctx.scans, report, run);
            self.room_for = Some((Arc::clone(report), run));
        }
    }

    fn glide_on(&mut self, ctx: &egui::Context) {
        let Some((from, to, since)) = &self.glide else { return };
        let share = ((ctx.input(|i| i.time) - since) / GLIDE_S).clamp(0.0, 1.0);
        // ease in and out
        let eased = share * share * (3.0 - 2.0 * share);
        self.camera = from.toward(to, eased);
        if share >= 1.0 {
            self.camera = to.clone();
            self.glide = None;
        } else {
            ctx.request_repaint();
        }
    }
}

/// From egui to plain numbers: a place in the window as points from the view's corner.
fn in_view(rect: Rect, pos: egui::Pos2) -> DVec2 {
    DVec2::new(f64::from(pos.x - rect.left()), f64::from(pos.y - rect.top()))
}

/// The place in the window of a place in the view.
fn in_window(rect: Rect, at: DVec2) -> egui::Pos2 {
    egui::pos2(rect.left() + at.x as f32, rect.top() + at.y as f32)
}

/// What is shown, besides what the context has.
#[derive(Debug, Clone, Copy)]
pub struct Shown<'a> {
    /// The project a drag began with.
    pub start: &'a Project,
    /// The result.
    pub report: &'a Arc<Report>,
    /// What the open job draws.
    pub(crate) sketch: &'a Sketch,
    /// A section that is drawn away from where it is built.
    pub(crate) apart: Option<&'a Apart>,
}

/// The 3D view.
pub fn viewport_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    shown: Shown<'_>,
    state: &mut ViewState,
    gl: Option<&Arc<Mutex<GlView>>>,
    requests: &mut Requests,
) {
    let Shown { start, report, sketch, apart } = shown;
    let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "3D view"));
    state.size = DVec2::new(f64::from(rect.width().max(1.0)), f64::from(rect.height().max(1.0)));
    let emphasis = Emphasis {
        selected: ctx.selection.item,
        also: ctx.also.to_vec(),
        hover: ctx.hover.item,
        piece: ctx.selected_piece(),
        hover_piece: ctx.hovered_piece(),
    };
    state.follow_scene(ctx, shown, emphasis);
    state.follow_room(ctx, report);
    if state.fit_pending && rect.width() > 50.0 {
        state.fit_pending = false;
        state.camera = opening(&state.scene, report, state.size);
    }
    state.glide_on(ui.ctx());
    // a section on its way off has no handles, and no dimensions where it is built
    let as_built = apart.is_none();
    if !state.pointing && as_built {
        handles::catch(ui, rect, &response, ctx, state, requests);
    }
    navigate::navigate(ui, rect, &response, state);
    let dark = ui.visuals().dark_mode;
    if let Some(view) = gl {
        let frame = DrawFrame { scene: Arc::clone(&state.scene), camera: state.camera.clone(), dark, rect };
        ui.painter().add(paint_callback(view, frame));
    } else {
        ui.painter().rect_filled(rect, 0.0, crate::theme::Tokens::of(dark).sky_low);
    }
    if as_built && state.only.is_none() {
        overlay::overlay(ui, rect, ctx, state);
    }
    overlay::sketch(ui, rect, sketch, state);
    if let Some(index) = overlay::choices(ui, rect, &sketch.choices, state) {
        state.chosen = Some(index);
        ui.ctx().request_repaint();
    }
    if state.pointing {
        pick_spot(rect, &response, state);
        return;
    }
    let on_handle = as_built && handles::handles_ui(ui, rect, &response, ctx, start, state, requests);
    point(rect, &response, ctx, state, on_handle, requests);
}

/// A click for the job that is open.
fn pick_spot(rect: Rect, response: &egui::Response, state: &mut ViewState) {
    state.hover = Selection::default();
    if response.hovered() && state.navigation.is_none() {
        response.ctx.set_cursor_icon(egui::CursorIcon::Crosshair);
    }
    let clicked =
        response.clicked_by(PointerButton::Primary).then(|| response.interact_pointer_pos()).flatten();
    let Some(pos) = clicked else { return };
    let ray = state.camera.ray_in_world(in_view(rect, pos), state.size);
    if let Some(hit) =
        pick(&state.scene, &ray, state.camera.slack(PICK_POINTS, state.size)).into_iter().next()
    {
        let sight = ray.dir;
        state.spot = Some(Spot { point: ray.at(hit.t), normal: hit.normal, item: hit.item, sight });
        response.ctx.request_repaint();
    }
}

/// Hover and click on what is drawn.
fn point(
    rect: Rect,
    response: &egui::Response,
    ctx: UiCtx<'_>,
    state: &mut ViewState,
    on_handle: bool,
    requests: &mut Requests,
) {
    let under =
        response.hover_pos().filter(|_| !on_handle && state.drag.is_none() && state.navigation.is_none());
    let found = under.and_then(|pos| {
        let at = in_view(rect, pos);
        if let Some(datum) = overlay::datum_at(ctx, state, at) {
            return Some(Selection::of(datum));
        }
        let ray = state.camera.ray_in_world(at, state.size);
        let hit = pick(&state.scene, &ray, state.camera.slack(PICK_POINTS, state.size)).into_iter().next()?;
        let piece = match hit.item {
            // pieces light up within the selected run, whole runs elsewhere
            Item::Run(id) if ctx.selection.item == Some(hit.item) => {
                let index = state.pieces.get(&id).and_then(|p| p.get(hit.part)).copied();
                index.and_then(|i| ctx.report.run(id)?.built.pieces.get(i)?.key)
            }
            _ => None,
        };
        Some(Selection { piece, ..Selection::of(hit.item) })
    });
    state.hover = found.unwrap_or_default();
    if state.hover.item.is_some() {
        response.ctx.set_cursor_icon(egui::CursorIcon::PointingHand);
    }
    if response.clicked_by(PointerButton::Primary) && !on_handle {
        let also = response.ctx.input(|i| i.modifiers.command);
        requests.select_clicked(state.hover, also);
    }
    if response.clicked_by(PointerButton::Secondary) && !on_handle {
        // what is right-clicked is what the menu is about; several that are selected stay so
        let item = state.hover.item;
        if item.is_some_and(|item| ctx.selection.item != Some(item) && !ctx.also.contains(&item)) {
            requests.select(state.hover);
        }
        state.menu_for = item;
    }
    response.context_menu(|ui| crate::panels::item_menu_ui(ui, ctx, state.menu_for, requests));
    if response.double_clicked() && state.hover.item.is_some() {
        requests.push(Request::Act(crate::actions::Action::FitSelected));
    }
}
