//! The window: panels in their order, then all wishes of the frame answered in one place.

use crate::actions;
use crate::ctx::UiCtx;
use crate::dialogs::{Dialog, Leave, Pending};
use crate::job_kind::JobKind;
use crate::jobs::{self, Stay};
use crate::lobe_rooms::LobeRooms;
use crate::panels;
use crate::platform::{Prefs, SystemFiles, first_units};
use crate::request::{Request, Requests};
use crate::scans::{Loader, is_scan};
use crate::selection::Selection;
use crate::session::{Message, Session, Wake};
use crate::state::{App, Setup};
use crate::theme;
use crate::verbs;
use crate::viewport::gl::GlView;
use crate::viewport::{HINT, Shown, ViewState, viewport_ui};
use eframe::egui::{self, CentralPanel, Frame, Key, Panel, Ui, ViewportCommand};
use pipeloft_core::model::{Item, Project};
use pipeloft_core::report::Report;
use pipeloft_core::space::scan::Scans;
use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::{Arc, Mutex};

/// Size the window opens in where the screen has room for it, points.
pub(crate) const OPENS_AT: [f32; 2] = [1480.0, 900.0];
/// The smallest size it can be given where the screen has room for that, points.
pub(crate) const LEAST_SIZE: [f32; 2] = [1000.0, 620.0];

/// What a context points to, held while panels and forms look at it.
struct Settled {
    project: Arc<Project>,
    report: Arc<Report>,
    scans: Arc<Scans>,
    folder: Option<PathBuf>,
    also: Vec<Item>,
    looking: Option<f64>,
}

impl Settled {
    fn of(session: &Session) -> Self {
        Self {
            project: Arc::clone(session.project()),
            report: Arc::clone(session.report()),
            scans: Arc::clone(session.scans()),
            folder: session.folder().map(PathBuf::from),
            also: session.also().to_vec(),
            looking: session.looking(),
        }
    }

    /// The context, with what is selected, what is under the pointer, and the direction to the viewer.
    fn ctx<'a>(
        &'a self,
        lobes: &'a LobeRooms,
        prefs: &'a Prefs,
        (selection, hover, toward_viewer): (Selection, Selection, glam::DVec3),
    ) -> UiCtx<'a> {
        UiCtx {
            project: &self.project,
            report: &self.report,
            scans: &self.scans,
            lobes,
            folder: self.folder.as_deref(),
            selection,
            also: &self.also,
            hover,
            prefs,
            looking: self.looking,
            toward_viewer,
        }
    }
}

impl App {
    /// Starts on the named file, else the last project, else the first worked example.
    ///
    /// Without OpenGL (tests) everything works but the 3D picture.
    pub fn new(cc: &eframe::CreationContext<'_>, setup: Setup) -> Self {
        theme::install(&cc.egui_ctx);
        let prefs = setup.prefs.load();
        theme::set_dark(&cc.egui_ctx, prefs.dark);
        let (gl, gl_problem) = match cc.gl.clone().map(GlView::new) {
            Some(Ok(view)) => (Some(Arc::new(Mutex::new(view))), None),
            Some(Err(problem)) => (None, Some(problem)),
            None => (None, None),
        };
        let mut app = Self {
            session: Session::new(Project::new("Untitled", first_units()), None),
            loader: Loader::default(),
            view: ViewState::default(),
            hover: Selection::default(),
            gl,
            files: setup.files.unwrap_or_else(|| Box::<SystemFiles>::default()),
            prefs,
            store: setup.prefs,
            recovery: setup.recovery,
            dialog: None,
            waiting: VecDeque::new(),
            lobes: LobeRooms::default(),
            job: None,
            after_save: None,
            title: String::new(),
            engaged: false,
            quitting: false,
            closing: false,
            screen: None,
            wake: setup.look_on.then(|| {
                let ctx = cc.egui_ctx.clone();
                Arc::new(move || ctx.request_repaint()) as Wake
            }),
        };
        app.open_first(setup.open);
        app.offer_kept(false);
        if let Some(problem) = gl_problem {
            app.session.say(format!("{problem}. All else works; try LIBGL_ALWAYS_SOFTWARE=1."), true);
        }
        app
    }

    /// The open project.
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// The 3D view.
    pub fn view(&self) -> &ViewState {
        &self.view
    }

    /// Whether a window over the window is open.
    pub fn has_dialog(&self) -> bool {
        self.dialog.is_some()
    }

    pub(crate) fn keep_prefs(&self) {
        self.store.save(&self.prefs);
    }

    fn panels(&mut self, ui: &mut Ui, requests: &mut Requests) {
        let settled = Settled::of(&self.session);
        let start = Arc::clone(self.session.gesture_start());
        let (mut job, spot) = (self.job.take(), self.view.spot.take());
        self.lobes.follow(&settled.report);
        let mut leave = false;
        let may_escape = !self.engaged && self.dialog.is_none();
        if let (Some(job), Some(index)) = (job.as_deref_mut(), self.view.chosen.take()) {
            job.chosen(index);
        }
        let seen = (self.session.selection, self.hover, -self.view.camera.forward());
        let ctx = settled.ctx(&self.lobes, &self.prefs, seen);
        Panel::top("menu").show(ui, |ui| panels::menu_bar_ui(ui, ctx, self.session.history(), requests));
        if let Some(problem) = self.recovery.problem() {
            Panel::top("no copies").show(ui, |ui| panels::no_copies_ui(ui, &problem));
        }
        Panel::bottom("status").show(ui, |ui| {
            let reading = self.loader.words().map(|text| Message { text, bad: false });
            let said = self.session.message.as_ref();
            // what went wrong is not hidden by what goes on
            let said = said.filter(|m| m.bad).or(reading.as_ref()).or(said);
            panels::status_ui(ui, ctx, said, HINT, requests);
        });
        // on a small screen, or with large letters, the view keeps a good part of the width
        let width = ui.available_width();
        let (tree, side) = ((width * 0.24).clamp(130.0, 420.0), (width * 0.42).clamp(260.0, 640.0));
        if self.prefs.tree {
            let panel = Panel::left("tree").default_size(tree.min(290.0)).size_range(tree.min(170.0)..=tree);
            panel.show(ui, |ui| panels::tree_ui(ui, ctx, requests));
        }
        // a form that is open is not folded away with what is entered in it
        let shows_side = self.prefs.side || job.is_some();
        let panel = Panel::right("side").default_size(side.min(400.0)).size_range(side.min(330.0)..=side);
        if shows_side {
            panel.show(ui, |ui| {
                if let Some(open) = job.as_deref_mut() {
                    match jobs::job_ui(ui, ctx, open, spot, may_escape, requests) {
                        Stay::Open => {}
                        Stay::Left if open.holds_entries() => leave = true,
                        Stay::Closed | Stay::Left => job = None,
                    }
                } else {
                    panels::side_ui(ui, ctx, requests);
                }
            });
        }
        self.view.pointing = job.as_ref().is_some_and(|job| job.wants_spots());
        self.view.only = job.as_ref().and_then(|job| job.only());
        let sketch = job.as_ref().map_or_else(|| panels::lobe_sketch(ctx), |job| job.sketch(ctx));
        let apart = job.as_ref().and_then(|job| job.apart());
        Panel::bottom("strip").default_size(118.0).size_range(100.0..=220.0).resizable(true).show(ui, |ui| {
            panels::strip_ui(ui, ctx, requests);
        });
        Panel::top("view bar").show_separator_line(false).show(ui, |ui| {
            panels::view_bar_ui(ui, ctx, self.view.camera.projection, requests);
        });
        CentralPanel::default().frame(Frame::NONE).show(ui, |ui| {
            let shown =
                Shown { start: &start, report: &settled.report, sketch: &sketch, apart: apart.as_ref() };
            viewport_ui(ui, ctx, shown, &mut self.view, self.gl.as_ref(), requests);
        });
        self.job = job;
        if leave {
            self.show_at_once(Dialog::Form(Leave::Close));
        }
    }

    /// Whether a form is open that holds what is not in the project yet.
    pub(crate) fn form_holds_entries(&self) -> bool {
        self.job.as_ref().is_some_and(|job| job.holds_entries())
    }

    /// Opens a form; asks first where another one holds something.
    pub(crate) fn open_job(&mut self, kind: &JobKind) {
        if self.form_holds_entries() {
            self.show_at_once(Dialog::Form(Leave::Open(kind.clone())));
            return;
        }
        let settled = Settled::of(&self.session);
        let seen = (self.session.selection, self.hover, -self.view.camera.forward());
        let ctx = settled.ctx(&self.lobes, &self.prefs, seen);
        self.job = Some(jobs::open(kind, ctx));
    }

    fn settle(&mut self, requests: Requests, ctx: &egui::Context) {
        let mut hover = self.view.hover;
        let revision = (Arc::clone(self.session.project()), self.session.selection);
        for request in requests.0 {
            match &request {
                Request::Hover(selection) => hover = *selection,
                Request::Show(spot) => self.view.show(*spot, ctx.input(|i| i.time)),
                Request::Open(kind) => self.open_job(kind),
                Request::KeepTree(read) => self.loader.keep(read),
                Request::Act(action) => verbs::act(self, *action, ctx),
                _ => {
                    self.session.handle(&request);
                }
            }
        }
        let changed =
            !Arc::ptr_eq(&revision.0, self.session.project()) || revision.1 != self.session.selection;
        if hover != self.hover || changed {
            self.hover = hover;
            ctx.request_repaint();
        }
    }
}

/// What bars of the desktop and the frame of the window take of a screen, points.
const BARS: [f32; 2] = [16.0, 110.0];

impl App {
    /// On a screen that is too small for the size it opens in, the window fills what the desktop's bars leave free: so its
    /// last line, with what went wrong, is on the screen.
    fn fit_screen(&mut self, ctx: &egui::Context) {
        let Some(screen) = ctx.input(|i| i.viewport().monitor_size).filter(|_| self.screen.is_none()) else {
            return;
        };
        self.screen = Some(screen);
        let free = screen - egui::Vec2::from(BARS);
        let (opens, least) = (egui::Vec2::from(OPENS_AT), egui::Vec2::from(LEAST_SIZE));
        if (free.min(least) - least).length() > 0.0 {
            ctx.send_viewport_cmd(ViewportCommand::MinInnerSize(free.min(least)));
        }
        if free.x < opens.x || free.y < opens.y {
            ctx.send_viewport_cmd(ViewportCommand::Maximized(true));
        }
    }
}

/// The end.
impl App {
    /// Lets the window close where nothing would be lost; else asks first.
    fn answer_close(&mut self, ctx: &egui::Context) {
        let asked = ctx.input(|i| i.viewport().close_requested()) && !self.quitting;
        if asked && ctx.text_edit_focused() {
            // the field hands over in this frame what was typed
            ctx.send_viewport_cmd(ViewportCommand::CancelClose);
            ctx.memory_mut(|m| m.focused().into_iter().for_each(|id| m.surrender_focus(id)));
            ctx.request_repaint();
            self.closing = true;
        } else if asked && self.would_lose() {
            ctx.send_viewport_cmd(ViewportCommand::CancelClose);
            self.want(Pending::Quit, ctx);
        } else if std::mem::take(&mut self.closing) {
            self.want(Pending::Quit, ctx);
        }
    }
}

impl eframe::App for App {
    fn logic(&mut self, ctx: &egui::Context, _frame: &mut eframe::Frame) {
        self.fit_screen(ctx);
        self.answers(ctx);
        let dropped = ctx.input(|i| i.raw.dropped_files.first().map(|f| f.path().to_owned()));
        match dropped {
            Some(path) if is_scan(&path) => self.bring_scan(path),
            Some(path) => self.want(Pending::OpenPath(path), ctx),
            None => {}
        }
        self.answer_close(ctx);
        let title = self.session.title();
        if title != self.title {
            ctx.send_viewport_cmd(ViewportCommand::Title(title.clone()));
            self.title = title;
        }
        if let Some(wait) = self.follow_work() {
            ctx.request_repaint_after(wait);
        }
    }

    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        let ctx = ui.ctx().clone();
        let title = self.title.clone();
        ctx.accesskit_node_builder(egui::accesskit_root_id(), |node| node.set_label(title));
        let typing = ctx.text_edit_focused();
        self.session.take_found();
        self.loader.follow(&mut self.session, &ctx);
        let mut requests = Requests::default();
        let mut wanted = Vec::new();
        if self.dialog.is_none() {
            wanted = actions::pressed(&ctx, typing, self.view.drag.is_some());
            let escape = ctx.input(|i| i.key_pressed(Key::Escape));
            // what was open or being typed in the last frame has its own use for Esc
            if escape && !typing && !self.engaged && self.view.drag.is_none() && self.job.is_none() {
                requests.select(Selection::default());
            }
        }
        if typing && !wanted.is_empty() {
            // the field lets go and hands over what was typed before the action is done
            ctx.memory_mut(|m| {
                if let Some(id) = m.focused() {
                    m.surrender_focus(id);
                }
            });
        }
        self.panels(ui, &mut requests);
        requests.extend(wanted.into_iter().map(Request::Act));
        self.dialogs(&ctx);
        self.settle(requests, &ctx);
        // what this frame has changed may be the last before the program goes down
        self.follow_work();
        self.engaged = ctx.text_edit_focused() || egui::Popup::is_any_open(&ctx) || self.dialog.is_some();
    }
}
