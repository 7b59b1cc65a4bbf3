//! The window: panels in their order, then all wishes of the frame answered in one place.

use crate::actions;
use crate::ctx::UiCtx;
use crate::dialogs::{self, Answer, PathAnswer, PathEntry};
use crate::jobs::{self, Job, Stay};
use crate::panels;
use crate::platform::{
    Ask, Files, Picked, Prefs, PrefsStore, Purpose, Recovery, SystemFiles, documents, first_units,
};
use crate::request::{Request, Requests, Selection};
use crate::scans::{Loader, is_scan};
use crate::session::{Message, Session, Wake, folder_of};
use crate::theme;
use crate::viewport::gl::GlView;
use crate::viewport::{HINT, Shown, ViewState, viewport_ui};
use crate::{demos, verbs};
use eframe::egui::{self, CentralPanel, Frame, Key, Panel, Ui, ViewportCommand};
use pipeloft_core::model::Project;
use pipeloft_core::report::{Effort, Report};
use pipeloft_core::space::scan::{Scans, with_folder};
use std::path::PathBuf;
use std::sync::{Arc, Mutex};
use std::time::Instant;

/// What waits for the answer about unsaved changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Pending {
    /// An empty project.
    New,
    /// A file still to be picked.
    Open,
    /// That file.
    OpenPath(PathBuf),
    /// That worked example.
    Demo(usize),
    /// The end.
    Quit,
}

/// A window over the window.
#[derive(Debug)]
pub(crate) enum Dialog {
    Unsaved(Pending),
    Recover(Box<Project>),
    Help,
    Path(PathEntry),
}

/// How the program is started.
#[derive(Default)]
pub struct Setup {
    /// File named on the command line.
    pub open: Option<PathBuf>,
    /// Where paths come from; the system's dialogs where none is given.
    pub files: Option<Box<dyn Files>>,
    /// Where preferences are kept.
    pub prefs: PrefsStore,
    /// Where unsaved work is kept.
    pub recovery: Recovery,
    /// Whether better layouts on sticks are looked for beside the window.
    pub look_on: bool,
}

impl std::fmt::Debug for Setup {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Setup").field("open", &self.open).finish_non_exhaustive()
    }
}

/// The program.
pub struct App {
    pub(crate) session: Session,
    /// Reads the scans of the project.
    pub(crate) loader: Loader,
    pub(crate) view: ViewState,
    /// What is under the pointer, as of the last frame.
    hover: Selection,
    gl: Option<Arc<Mutex<GlView>>>,
    pub(crate) files: Box<dyn Files>,
    pub(crate) prefs: Prefs,
    store: PrefsStore,
    pub(crate) recovery: Recovery,
    pub(crate) dialog: Option<Dialog>,
    /// Room round the lobes of joints that were looked at.
    lobes: panels::LobeRooms,
    /// The form that has taken the place of the right-hand panel.
    pub(crate) job: Option<Box<dyn Job>>,
    /// What goes on once a save that was asked for has worked.
    pub(crate) after_save: Option<Pending>,
    title: String,
    /// Whether a field had the focus, or a menu, list or dialog was open, at the end of the last frame.
    engaged: bool,
    pub(crate) quitting: bool,
    wake: Option<Wake>,
}

impl std::fmt::Debug for App {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("App").field("session", &self.session).finish_non_exhaustive()
    }
}

/// What a context points to, held while panels and forms look at it.
struct Settled {
    project: Arc<Project>,
    report: Arc<Report>,
    scans: Arc<Scans>,
    folder: Option<PathBuf>,
    looking: Option<f64>,
}

impl Settled {
    fn of(session: &Session) -> Self {
        Self {
            project: Arc::clone(session.project()),
            report: Arc::clone(session.report()),
            scans: Arc::clone(session.scans()),
            folder: session.folder().map(PathBuf::from),
            looking: session.looking(),
        }
    }

    /// The context, with what is selected, what is under the pointer, and the direction to the viewer.
    fn ctx<'a>(
        &'a self,
        lobes: &'a panels::LobeRooms,
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
        let left_behind = setup.recovery.left_behind();
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
            dialog: left_behind.map(|p| Dialog::Recover(Box::new(p))),
            lobes: panels::LobeRooms::default(),
            job: None,
            after_save: None,
            title: String::new(),
            engaged: false,
            quitting: false,
            wake: setup.look_on.then(|| {
                let ctx = cc.egui_ctx.clone();
                Arc::new(move || ctx.request_repaint()) as Wake
            }),
        };
        app.open_first(setup.open);
        if let Some(problem) = gl_problem {
            app.session.say(format!("{problem}. All else works; try LIBGL_ALWAYS_SOFTWARE=1."), true);
        }
        app
    }

    fn open_first(&mut self, named: Option<PathBuf>) {
        let last = self.prefs.recent.first().filter(|p| p.exists()).cloned();
        match named.or(last) {
            Some(path) => {
                if !self.open_path(path) {
                    let message = self.session.message.clone();
                    self.open_demo(0);
                    self.session.message = message;
                }
            }
            None => self.open_demo(0),
        }
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

    pub(crate) fn open_demo(&mut self, index: usize) {
        let Some(demo) = demos::ALL.get(index) else { return };
        match demo.open() {
            Ok(project) => {
                self.replace(project, None);
                self.session.say(
                    format!(
                        "{} is a worked example: save it under a name of your own to keep changes.",
                        demo.title
                    ),
                    false,
                );
            }
            Err(error) => self.session.say(error.to_string(), true),
        }
    }

    /// Opens a file; says why where it cannot. Returns whether it did.
    pub(crate) fn open_path(&mut self, path: PathBuf) -> bool {
        match pipeloft_core::file::load(&path) {
            Ok(project) => {
                self.prefs.remember(&path);
                self.store.save(&self.prefs);
                self.replace(project, Some(path));
                true
            }
            Err(error) => {
                self.session.say(error.to_string(), true);
                false
            }
        }
    }

    pub(crate) fn replace(&mut self, project: Project, path: Option<PathBuf>) {
        self.session = Session::new(project, path);
        self.loader.forget();
        self.recovery.set_folder(self.session.folder().map(PathBuf::from));
        if let Some(wake) = self.wake.clone() {
            self.session.look_on(wake);
        }
        self.view.fit_pending = true;
        self.view.drag = None;
        self.job = None;
    }

    /// Saves to `path`. Returns whether it did.
    pub(crate) fn save_to(&mut self, path: PathBuf) -> bool {
        let project = Arc::clone(self.session.project());
        let from = self.session.folder().map(PathBuf::from);
        let to = folder_of(&path);
        // scans are found from where the project lies
        let filed = with_folder(&project, from.as_deref(), Some(&to));
        match pipeloft_core::file::save(&path, filed.as_ref().unwrap_or(&project)) {
            Ok(()) => {
                self.prefs.remember(&path);
                self.store.save(&self.prefs);
                self.session.say(format!("Saved to {}.", path.display()), false);
                self.session.saved_to(path, &project);
                self.loader.count_from(from.as_deref(), self.session.folder());
                self.recovery.set_folder(self.session.folder().map(PathBuf::from));
                true
            }
            Err(error) => {
                self.session.say(error.to_string(), true);
                false
            }
        }
    }

    pub(crate) fn keep_prefs(&self) {
        self.store.save(&self.prefs);
    }

    /// Asks for a path.
    pub(crate) fn ask(&mut self, purpose: Purpose, ctx: &egui::Context) {
        let path = self.session.path.clone();
        let folder = path.as_ref().and_then(|p| p.parent()).map(PathBuf::from).or_else(documents);
        let stem = pipeloft_core::file::file_stem(&self.session.project().name);
        let name = match (purpose, &path) {
            (Purpose::Sheet, Some(path)) => crate::cli::sheet_name(path),
            (Purpose::Sheet, None) => format!("{stem}-sheet.pdf"),
            (Purpose::Open | Purpose::Save, Some(path)) => {
                path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned())
            }
            (Purpose::Open | Purpose::Save, None) => format!("{stem}.ron"),
            (Purpose::Scan | Purpose::FindScan(_), _) => String::new(),
        };
        self.files.ask(Ask { purpose, folder, name }, ctx);
    }

    fn answers(&mut self, ctx: &egui::Context) {
        match self.files.answer() {
            Some(Picked::Path(purpose, path)) => self.picked(purpose, path, ctx),
            Some(Picked::NoDialog(ask)) => self.dialog = Some(Dialog::Path(PathEntry::new(ask))),
            Some(Picked::Nothing) => self.after_save = None,
            None => {}
        }
    }

    fn picked(&mut self, purpose: Purpose, path: PathBuf, ctx: &egui::Context) {
        match purpose {
            Purpose::Open => {
                self.open_path(path);
            }
            Purpose::Save => {
                let path = if path.extension().is_none() { path.with_extension("ron") } else { path };
                if self.save_to(path)
                    && let Some(next) = self.after_save.take()
                {
                    self.go_on(next, ctx);
                }
                self.after_save = None;
            }
            Purpose::Sheet => self.write_sheet(path),
            Purpose::Scan => self.bring_scan(path),
            Purpose::FindScan(id) => self.find_scan(id, &path),
        }
    }

    fn write_sheet(&mut self, path: PathBuf) {
        let path = if path.extension().is_none() { path.with_extension("pdf") } else { path };
        let project = self.session.project();
        let paper = crate::cli::paper_for(project);
        // paper is cut from: look as long as it takes for the best layout
        let report = Report::of(project, self.session.scans(), Effort::Thorough);
        match crate::cli::write_papers(project, &report, paper, &path) {
            Ok(files) => {
                let words = format!(
                    "The sheet is in {}, with the cut list and {} files of templates beside it. Print them at 100 %.",
                    path.display(),
                    files.len().saturating_sub(2)
                );
                self.session.say(words, false);
                if let Err(problem) = self.files.show(&path) {
                    log::warn!("{problem}");
                }
            }
            Err(problem) => self.session.say(problem, true),
        }
    }

    /// Does what was pending, unless work would be lost: then asks first.
    pub(crate) fn want(&mut self, pending: Pending, ctx: &egui::Context) {
        if self.session.history().is_dirty() {
            self.dialog = Some(Dialog::Unsaved(pending));
        } else {
            self.go_on(pending, ctx);
        }
    }

    fn go_on(&mut self, pending: Pending, ctx: &egui::Context) {
        match pending {
            Pending::New => {
                let units = self.session.project().settings.units;
                self.replace(verbs::empty_project(units), None);
            }
            Pending::Open => self.ask(Purpose::Open, ctx),
            Pending::OpenPath(path) => {
                self.open_path(path);
            }
            Pending::Demo(index) => self.open_demo(index),
            Pending::Quit => {
                self.recovery.forget();
                self.quitting = true;
                ctx.send_viewport_cmd(ViewportCommand::Close);
            }
        }
    }

    /// Saves where the project came from, or asks for a place.
    pub(crate) fn save(&mut self, after: Option<Pending>, ctx: &egui::Context) {
        let Some(path) = self.session.path.clone() else {
            self.after_save = after;
            self.ask(Purpose::Save, ctx);
            return;
        };
        if self.save_to(path)
            && let Some(next) = after
        {
            self.go_on(next, ctx);
        }
    }

    fn dialogs(&mut self, ctx: &egui::Context) {
        match self.dialog.take() {
            None => {}
            Some(Dialog::Help) => self.dialog = dialogs::help_ui(ctx).then_some(Dialog::Help),
            Some(Dialog::Unsaved(pending)) => match dialogs::unsaved_ui(ctx, &self.session.project().name) {
                Some(Answer::Yes) => self.save(Some(pending), ctx),
                Some(Answer::No) => self.go_on(pending, ctx),
                Some(Answer::Stay) => {}
                None => self.dialog = Some(Dialog::Unsaved(pending)),
            },
            Some(Dialog::Recover(project)) => match dialogs::recover_ui(ctx, &project.name) {
                Some(Answer::Yes) => {
                    self.replace(*project, None);
                    self.session.mark_unsaved();
                }
                Some(Answer::No) => self.recovery.forget(),
                Some(Answer::Stay) => {
                    if let Some(place) = self.recovery.put_aside() {
                        self.session.say(format!("The copy is kept as {}.", place.display()), false);
                    }
                }
                None => self.dialog = Some(Dialog::Recover(project)),
            },
            Some(Dialog::Path(mut entry)) => match dialogs::path_ui(ctx, &mut entry) {
                PathAnswer::Path(path) => self.picked(entry.ask.purpose, path, ctx),
                PathAnswer::GivenUp => self.after_save = None,
                PathAnswer::NotYet => self.dialog = Some(Dialog::Path(entry)),
            },
        }
    }

    fn panels(&mut self, ui: &mut Ui, requests: &mut Requests) {
        let settled = Settled::of(&self.session);
        let start = Arc::clone(self.session.gesture_start());
        let (mut job, spot) = (self.job.take(), self.view.spot.take());
        self.lobes.follow(&settled.report);
        let may_escape = !self.engaged && self.dialog.is_none();
        if let (Some(job), Some(index)) = (job.as_deref_mut(), self.view.chosen.take()) {
            job.chosen(index);
        }
        let seen = (self.session.selection, self.hover, -self.view.camera.forward());
        let ctx = settled.ctx(&self.lobes, &self.prefs, seen);
        Panel::top("menu").show(ui, |ui| panels::menu_bar_ui(ui, ctx, self.session.history(), requests));
        Panel::bottom("status").show(ui, |ui| {
            let reading = self.loader.words().map(|text| Message { text, bad: false });
            let said = self.session.message.as_ref();
            // what went wrong is not hidden by what goes on
            let said = said.filter(|m| m.bad).or(reading.as_ref()).or(said);
            panels::status_ui(ui, ctx, said, HINT);
        });
        Panel::left("tree").default_size(290.0).size_range(170.0..=420.0).show(ui, |ui| {
            panels::tree_ui(ui, ctx, requests);
        });
        Panel::right("side").default_size(400.0).size_range(330.0..=640.0).show(ui, |ui| {
            if let Some(open) = job.as_deref_mut() {
                if jobs::job_ui(ui, ctx, open, spot, may_escape, requests) == Stay::Closed {
                    job = None;
                }
            } else {
                panels::side_ui(ui, ctx, requests);
            }
        });
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
    }

    pub(crate) fn open_job(&mut self, kind: &jobs::JobKind) {
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

impl eframe::App for App {
    fn logic(&mut self, ctx: &egui::Context, _frame: &mut eframe::Frame) {
        self.answers(ctx);
        let dropped = ctx.input(|i| i.raw.dropped_files.first().map(|f| f.path().to_owned()));
        match dropped {
            Some(path) if is_scan(&path) => self.bring_scan(path),
            Some(path) => self.want(Pending::OpenPath(path), ctx),
            None => {}
        }
        if ctx.input(|i| i.viewport().close_requested())
            && !self.quitting
            && self.session.history().is_dirty()
        {
            ctx.send_viewport_cmd(ViewportCommand::CancelClose);
            self.dialog = Some(Dialog::Unsaved(Pending::Quit));
        }
        let title = self.session.title();
        if title != self.title {
            ctx.send_viewport_cmd(ViewportCommand::Title(title.clone()));
            self.title = title;
        }
        let (project, dirty) = (Arc::clone(self.session.project()), self.session.history().is_dirty());
        let later = matches!(self.dialog, Some(Dialog::Recover(_)));
        if !later && let Some(wait) = self.recovery.follow(&project, dirty, Instant::now()) {
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
        self.engaged = ctx.text_edit_focused() || egui::Popup::is_any_open(&ctx) || self.dialog.is_some();
    }
}
