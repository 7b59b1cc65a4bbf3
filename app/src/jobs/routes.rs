//! The form that proposes routes for a run: a list with what each costs, each drawn in the view as a ghost, taken with one
//! click. The same form shows a cure for a run, or its bends brought to angles the shop can make.

use super::{Ink, Job, Sketch, Spot, Stay, Stroke3};
use crate::ctx::UiCtx;
use crate::job_kind::RoutesWish;
use crate::request::Requests;
use crate::task::{Done, Task};
use crate::theme::{Tokens, bold};
use crate::widgets::{Kind, counted, number_hinted};
use eframe::egui::{Button, Frame, Grid, Id, Label, ProgressBar, RichText, Ui, vec2};
use glam::DVec3;
use pipeloft_core::finding::NoRoute;
use pipeloft_core::model::{Project, Run, RunId};
use pipeloft_core::units::{self, UnitSystem};
use pipeloft_core::watch::Watch;
use pipeloft_propose::routes::{Ask, Before, Effort, Proposal, Proposals, Way, mend, propose, tidy};
use std::sync::{Arc, Mutex};

/// Rings that a ghost is drawn with stand this far apart, mm.
const RINGS_MM: f64 = 60.0;

/// A search that goes on beside the window.
#[derive(Debug)]
struct Searching {
    task: Task<Proposals>,
    /// Routes that have been found so far.
    so_far: Arc<Mutex<Vec<Proposal>>>,
}

/// The form.
#[derive(Debug)]
pub(super) struct RoutesJob {
    run: RunId,
    wish: RoutesWish,
    ask: Ask,
    /// Ways to make bends, and whether each may be used.
    ways: Vec<(Way, bool)>,
    searching: Option<Searching>,
    /// The project that the list is for.
    of: Option<Project>,
    list: Vec<Proposal>,
    /// Why there is none, or what became of the search.
    said: Option<String>,
    /// The route that is pointed at or was chosen.
    shown: usize,
    /// Whether it is begun by itself when the form opens.
    begins: bool,
}

impl RoutesJob {
    pub(super) fn new(run: RunId, wish: RoutesWish, ctx: UiCtx<'_>) -> Self {
        let ways = ctx.project.run(run).map(|r| Way::all(ctx.project, r)).unwrap_or_default();
        Self {
            run,
            wish,
            ask: Ask::of(run),
            ways: ways.into_iter().map(|w| (w, true)).collect(),
            searching: None,
            of: None,
            list: Vec::new(),
            said: None,
            shown: 0,
            begins: wish != RoutesWish::Find,
        }
    }

    fn begin(&mut self, ui: &Ui, ctx: UiCtx<'_>) {
        (self.list, self.said, self.shown) = (Vec::new(), None, 0);
        self.ask.ways = self.ways.iter().filter(|(_, used)| *used).map(|(w, _)| w.clone()).collect();
        if self.ask.ways.is_empty() && !self.ways.is_empty() {
            self.said = Some("Allow at least one way to make bends.".to_owned());
            return;
        }
        let (project, scans, report) = (ctx.project.clone(), ctx.scans.clone(), ctx.report.clone());
        let (ask, wish) = (self.ask.clone(), self.wish);
        let so_far = Arc::<Mutex<Vec<Proposal>>>::default();
        let told = Arc::clone(&so_far);
        let window = ui.ctx().clone();
        let task = Task::begin("routes", ui.ctx(), move |watch: &dyn Watch| {
            let before = Before { project: &project, scans: &scans, report: &report };
            match wish {
                RoutesWish::Find => propose(before, &ask, watch, &mut |route| {
                    if let Ok(mut all) = told.lock() {
                        all.push(route.clone());
                    }
                    window.request_repaint();
                }),
                RoutesWish::Mend => one(mend(before, ask.run, watch)),
                RoutesWish::Tidy => one(tidy(before, ask.run, watch)),
            }
        });
        self.of = Some(ctx.project.clone());
        match task {
            Some(task) => self.searching = Some(Searching { task, so_far }),
            None => self.said = Some("The search could not be begun. Try again.".to_owned()),
        }
    }

    /// Drops what was found for something else, and takes over what has been found.
    fn follow(&mut self, ui: &Ui, ctx: UiCtx<'_>) {
        if self.of.as_ref().is_some_and(|of| of != ctx.project) {
            (self.searching, self.of) = (None, None);
            self.list.clear();
            self.said = Some("The project was changed, so the routes are gone. Look again.".to_owned());
        }
        let Some(searching) = &self.searching else { return };
        match searching.task.look(ui.ctx()) {
            Done::NotYet => {
                if let Ok(mut all) = searching.so_far.lock() {
                    self.list.append(&mut all);
                }
            }
            Done::With(found) => {
                self.said = found.none_because(ctx.project);
                self.list = found.routes;
                self.searching = None;
            }
            Done::Never => {
                self.searching = None;
                self.said = Some("The search broke off without an answer. Try again.".to_owned());
            }
        }
        self.rank();
    }

    fn rank(&mut self) {
        let weights = self.ask.weights;
        self.list.sort_by(|a, b| a.cost_by(&weights).total_cmp(&b.cost_by(&weights)));
    }

    fn wishes_ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>) {
        let id = Id::unique(("routes", self.run));
        let units = ctx.units();
        for (way, used) in &mut self.ways {
            ui.checkbox(used, way_words(way, units));
        }
        Grid::new(id.with("asked")).num_columns(2).min_col_width(100.0).show(ui, |ui| {
            let hint = "Shortest straight between two bends, and at the ends";
            let shortest_mm = self.ask.shortest_mm.unwrap_or(pipeloft_core::geom::tolerance::SLIVER_MM);
            if let Some(mm) = number_hinted(
                ui,
                id.with("short"),
                "Shortest straight",
                hint,
                shortest_mm,
                Kind::Length(units),
            ) {
                self.ask.shortest_mm = Some(mm.max(0.0));
            }
            ui.end_row();
            let hint = "No route has more bends than this";
            let bends = self.ask.most_bends as f64;
            if let Some(n) = number_hinted(ui, id.with("bends"), "Most bends", hint, bends, Kind::Count) {
                self.ask.most_bends = n.clamp(0.0, 12.0) as usize;
            }
            ui.end_row();
        });
        ui.collapsing("What counts", |ui| {
            let w = &mut self.ask.weights;
            Grid::new(id.with("weights")).num_columns(2).min_col_width(100.0).show(ui, |ui| {
                weight(
                    ui,
                    id,
                    units,
                    ("A weld is worth", "Tube that one weld less is worth"),
                    &mut w.weld_mm,
                );
                weight(
                    ui,
                    id,
                    units,
                    ("A bend is worth", "Tube that one bend less is worth"),
                    &mut w.bend_mm,
                );
                weight(
                    ui,
                    id,
                    units,
                    ("A degree is worth", "Tube that each degree bent is worth"),
                    &mut w.degree_mm,
                );
                let hint = "Tube that each mm is worth that the tightest gap has more to spare, up to 25 mm";
                weight(ui, id, units, ("Room is worth", hint), &mut w.tight_mm);
            });
        });
    }

    fn search_ui(&mut self, ui: &mut Ui) {
        let Some(searching) = &self.searching else { return };
        let part = searching.task.part();
        let words = format!("Looking, {} %", (part * 100.0) as u32);
        ui.add(ProgressBar::new(part as f32).text(words));
        let hint = "Stop looking and keep what has been found";
        if ui.add(Button::new("Cancel").min_size(vec2(120.0, 32.0))).on_hover_text(hint).clicked() {
            searching.task.stop();
        }
    }

    /// The list; says which route is to be taken.
    fn list_ui(&mut self, ui: &mut Ui, units: UnitSystem) -> Option<usize> {
        let mut taken = None;
        let mut pointed = None;
        for (i, route) in self.list.iter().enumerate() {
            let is_shown = self.shown == i;
            let tokens = Tokens::of(ui.visuals().dark_mode);
            let frame = Frame::group(ui.style());
            let frame = if is_shown { frame.stroke((1.5, tokens.selected)) } else { frame };
            let inner = frame.show(ui, |ui| {
                ui.set_width(ui.available_width());
                ui.label(bold(format!("Route {}", i + 1)));
                for line in words(route, units) {
                    ui.add(Label::new(line).wrap());
                }
                for warning in &route.warnings {
                    ui.add(Label::new(RichText::new(warning).color(tokens.warn)).wrap());
                }
                ui.horizontal(|ui| {
                    let name = format!("Show route {}", i + 1);
                    if ui.button(name).on_hover_text("Draw it in the view").clicked() {
                        pointed = Some(i);
                    }
                    let hint = "Lay the pipe along it, as one step that can be taken back";
                    if ui.button(format!("Take route {}", i + 1)).on_hover_text(hint).clicked() {
                        taken = Some(i);
                    }
                });
            });
            if inner.response.contains_pointer() {
                pointed = Some(i);
            }
        }
        self.shown = pointed.unwrap_or(self.shown).min(self.list.len().saturating_sub(1));
        taken
    }
}

/// A field for what something is worth in tube.
fn weight(ui: &mut Ui, id: Id, units: UnitSystem, (label, hint): (&str, &str), mm: &mut f64) {
    if let Some(new) = number_hinted(ui, id.with(label), label, hint, *mm, Kind::Length(units)) {
        *mm = new.clamp(0.0, 10_000.0);
    }
    ui.end_row();
}

fn way_words(way: &Way, units: UnitSystem) -> String {
    let radius = units::length(way.clr_mm(), units);
    if way.is_mitred() { format!("Mitred bends, CLR {radius}") } else { format!("Elbows, CLR {radius}") }
}

/// A cure as a list of one.
fn one(found: Result<Proposal, NoRoute>) -> Proposals {
    match found {
        Ok(route) => Proposals { routes: vec![route], none: None, cures: Vec::new() },
        Err(why) => Proposals { routes: Vec::new(), none: Some(why), cures: Vec::new() },
    }
}

/// What is said of a route.
fn words(route: &Proposal, units: UnitSystem) -> Vec<String> {
    let len = |mm: f64| units::length(mm, units);
    let angles: Vec<String> =
        route.bends.iter().map(|b| format!("{}°", units::plain_number(b.angle_deg, 1))).collect();
    let bends = if angles.is_empty() { String::new() } else { format!(": {}", angles.join(", ")) };
    let first = format!(
        "{}, {} of tube, {}{bends}",
        counted(route.welds, "weld"),
        len(route.tube_mm),
        counted(route.bends.len(), "bend")
    );
    let tightest = match (route.tightest_gap_mm, &route.tightest_to) {
        (Some(mm), Some(to)) => format!("Tightest gap {} to {to}", len(mm)),
        _ => "Nothing is near".to_owned(),
    };
    vec![first, tightest]
}

impl Job for RoutesJob {
    fn title(&self) -> String {
        self.wish.title().to_owned()
    }

    fn ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>, _spot: Option<Spot>, requests: &mut Requests) -> Stay {
        let Some(run) = ctx.project.run(self.run) else { return Stay::Closed };
        self.follow(ui, ctx);
        ui.label(bold(&run.name));
        ui.add(Label::new(self.wish.about()).wrap());
        ui.add_space(6.0);
        if self.wish == RoutesWish::Find {
            self.wishes_ui(ui, ctx);
            self.rank();
        }
        ui.add_space(6.0);
        if std::mem::take(&mut self.begins) {
            self.begin(ui, ctx);
        }
        if self.searching.is_some() {
            self.search_ui(ui);
        } else {
            let again = !self.list.is_empty() && self.wish == RoutesWish::Find;
            let words = match (self.wish, again) {
                (RoutesWish::Find, true) => "Look longer",
                (RoutesWish::Find, false) => "Look for routes",
                (RoutesWish::Mend | RoutesWish::Tidy, _) => "Work it out again",
            };
            if ui.add(Button::new(words).min_size(vec2(200.0, 36.0))).clicked() {
                if again {
                    self.ask.effort = Effort::of(2 * self.ask.effort.guides);
                }
                self.begin(ui, ctx);
            }
        }
        if let Some(words) = &self.said {
            let tokens = Tokens::of(ui.visuals().dark_mode);
            ui.add(Label::new(RichText::new(words).color(tokens.warn)).wrap());
        }
        ui.add_space(6.0);
        let Some(route) = self.list_ui(ui, ctx.units()).and_then(|i| self.list.get(i)) else {
            return Stay::Open;
        };
        let label = match self.wish {
            RoutesWish::Find => format!("take a route for {}", run.name),
            RoutesWish::Mend => format!("mend {}", run.name),
            RoutesWish::Tidy => format!("tidy the bends of {}", run.name),
        };
        requests.edit(label, route.edit());
        Stay::Closed
    }

    /// What is asked here is asked again in a moment.
    fn holds_entries(&self) -> bool {
        false
    }

    fn sketch(&self, ctx: UiCtx<'_>) -> Sketch {
        let mut sketch = Sketch::default();
        let radius_mm = radius_mm(ctx.project, ctx.project.run(self.run));
        for (i, route) in self.list.iter().enumerate() {
            let shown = i == self.shown;
            let (ink, width) = if shown { (Ink::Good, 3.0) } else { (Ink::Help, 1.5) };
            sketch.strokes.push(Stroke3 { points: route.middle_mm.clone(), ink, width });
            if shown {
                ghost(&mut sketch, &route.middle_mm, radius_mm);
            }
        }
        sketch
    }
}

fn radius_mm(project: &Project, run: Option<&Run>) -> f64 {
    run.and_then(|r| project.tube(r.tube)).map_or(20.0, |t| t.od_mm / 2.0)
}

/// Rings of the tube's size along a middle line.
fn ghost(sketch: &mut Sketch, middle: &[DVec3], radius_mm: f64) {
    let mut since_mm = RINGS_MM;
    for pair in middle.windows(2) {
        let span = pair[1] - pair[0];
        if since_mm >= RINGS_MM
            && let Some(axis) = span.try_normalize()
        {
            sketch.ring(pair[0], axis, radius_mm, (Ink::Good, 1.5));
            since_mm = 0.0;
        }
        since_mm += span.length();
    }
}
