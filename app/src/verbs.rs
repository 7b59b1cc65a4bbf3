//! What each action does.

mod again;

use crate::actions::{Action, ShapeKind};
use crate::dialogs::{Dialog, Pending};
use crate::job_kind::{JobKind, MeasureTarget, RoutesWish};
use crate::platform::Purpose;
use crate::request::Request;
use crate::selection::Selection;
use crate::session::Session;
use crate::state::App;
use crate::theme;
use eframe::egui;
use glam::DVec3;
use pipeloft_core::edit::{Edit, new_item};
use pipeloft_core::model::{HardpointId, Item, Project, RunEnd, Seat, Shape, TubeId};
use pipeloft_core::units::UnitSystem;
use pipeloft_core::view3d::{NamedView, obstacle_bounds};
use std::sync::Arc;

/// A project with nothing in it but a size of tube, so that a run can be drawn.
pub(crate) fn empty_project(units: UnitSystem) -> Project {
    let mut project = Project::new("Untitled", units);
    let tube = new_item::tube(&mut project);
    project.tubes.push(tube);
    project
}

/// Does it.
pub(crate) fn act(app: &mut App, action: Action, ctx: &egui::Context) {
    match action {
        Action::New => app.want(Pending::New, ctx),
        Action::Open => app.want(Pending::Open, ctx),
        Action::OpenDemo(index) => app.want(Pending::Demo(index), ctx),
        Action::OpenRecent(index) => {
            if let Some(path) = app.prefs.recent.get(index).cloned() {
                app.want(Pending::OpenPath(path), ctx);
            }
        }
        Action::BringBack => app.want(Pending::BringBack, ctx),
        Action::Save => app.save(None, ctx),
        Action::SaveAs => {
            app.after_save = None;
            app.ask(Purpose::Save, ctx);
        }
        Action::PrintSheet => {
            if app.session.report().totals.runs == 0 {
                app.session.say("No run can be cut yet, so there is no sheet to print.", true);
            } else {
                app.ask(Purpose::Sheet, ctx);
            }
        }
        Action::BringScan => app.ask(Purpose::Scan, ctx),
        Action::FindScan(id) => app.ask(Purpose::FindScan(id), ctx),
        Action::ReadScan(id) => app.read_scan_again(id),
        Action::Quit => app.want(Pending::Quit, ctx),
        Action::Undo => {
            app.view.drag = None;
            app.session.step(true);
        }
        Action::Redo => app.session.step(false),
        Action::Delete => delete(app),
        Action::ToggleHidden => toggle_hidden(app),
        Action::Help => app.dialog = Some(Dialog::Help),
        Action::Duplicate | Action::Mirror | Action::SwapEnds | Action::SameMake => again::again(app, action),
        Action::TakeOff => match app.session.selection.item {
            Some(Item::Run(run)) => app.open_job(&JobKind::TakeOff(run)),
            _ => app.session.say("Select the pipe first that a section is to come off.", true),
        },
        Action::FindRoutes | Action::MendRun | Action::TidyBends => routes(app, action),
        Action::AddRun
        | Action::AddHardpoint
        | Action::AddObstacle(_)
        | Action::AddTube
        | Action::AddElbow
        | Action::AddJoint
        | Action::AddBody
        | Action::AddDatum
        | Action::AddMerge
        | Action::AddBar => add(app, action),
        Action::MeasureIn => app.open_job(&JobKind::MeasureIn(MeasureTarget::NewHardpoint)),
        Action::FitAll
        | Action::FitSelected
        | Action::ViewFront
        | Action::ViewSide
        | Action::ViewTop
        | Action::ViewFree
        | Action::ToggleParallel => look(app, action, ctx.input(|i| i.time)),
        Action::ToggleSnap => {
            app.prefs.snap = !app.prefs.snap;
            let words = if app.prefs.snap { "Drags catch on angles." } else { "Drags go anywhere." };
            app.session.say(words, false);
            app.keep_prefs();
        }
        Action::ToggleRoom => {
            app.prefs.room = !app.prefs.room;
            app.keep_prefs();
        }
        Action::ToggleTree => {
            app.prefs.tree = !app.prefs.tree;
            app.keep_prefs();
        }
        Action::ToggleSide => {
            app.prefs.side = !app.prefs.side;
            app.keep_prefs();
        }
        Action::ToggleLabels => {
            app.prefs.labels = !app.prefs.labels;
            app.keep_prefs();
        }
        Action::ToggleTheme => {
            app.prefs.dark = !app.prefs.dark;
            theme::set_dark(ctx, app.prefs.dark);
            app.keep_prefs();
        }
    }
}

/// Opens the form that proposes routes for the selected pipe, or a cure.
fn routes(app: &mut App, action: Action) {
    let wish = match action {
        Action::MendRun => RoutesWish::Mend,
        Action::TidyBends => RoutesWish::Tidy,
        _ => RoutesWish::Find,
    };
    match app.session.selection.item {
        Some(Item::Run(run)) => app.open_job(&JobKind::Routes(run, wish)),
        _ => app.session.say("Select the pipe first.", true),
    }
}

fn look(app: &mut App, action: Action, now: f64) {
    let mut to = app.view.destination();
    let named = match action {
        Action::ViewFront => Some(NamedView::Front),
        Action::ViewSide => Some(NamedView::Left),
        Action::ViewTop => Some(NamedView::Top),
        Action::ViewFree => Some(NamedView::Free),
        _ => None,
    };
    if let Some(view) = named {
        to.look_from(view);
        app.view.go(to, now);
        return;
    }
    match action {
        Action::ToggleParallel => {
            app.view.camera.toggle_projection();
            let kind = match app.view.camera.projection {
                pipeloft_core::view3d::Projection::Perspective => "Perspective view.",
                pipeloft_core::view3d::Projection::Parallel => "Parallel view: equal lengths look equal.",
            };
            app.session.say(kind, false);
        }
        Action::FitSelected => match box_of(app, app.session.selection.item) {
            Some((low, high)) => app.view.fit(low, high, now),
            None => app.view.fit_all(now),
        },
        _ => app.view.fit_all(now),
    }
}

/// The box round an item.
fn box_of(app: &App, item: Option<Item>) -> Option<(DVec3, DVec3)> {
    let project = app.session.project();
    let ball = |at: DVec3, r: f64| Some((at - DVec3::splat(r), at + DVec3::splat(r)));
    match item? {
        Item::Hardpoint(id) => project.hardpoint(id).and_then(|h| ball(h.position_mm, 3.0 * h.od_mm)),
        Item::Obstacle(id) => {
            project.obstacle(id).filter(|o| o.shape.reach_mm().is_finite()).and_then(|o| match o.shape {
                Shape::Scan(_) => obstacle_bounds(o, app.session.scans()),
                Shape::Box { .. }
                | Shape::Cylinder { .. }
                | Shape::Capsule { .. }
                | Shape::Sphere { .. }
                | Shape::Panel { .. }
                | Shape::HalfSpace => ball(o.pose.position_mm, 1.2 * o.shape.reach_mm()),
            })
        }
        Item::Run(id) => {
            let points = &app.session.report().run(id)?.vertices_mm;
            let od = app.session.report().run(id)?.tube.od_mm;
            let low = points.iter().copied().reduce(DVec3::min)?;
            let high = points.iter().copied().reduce(DVec3::max)?;
            Some((low - DVec3::splat(od), high + DVec3::splat(od)))
        }
        Item::Datum(id) => project.datum(id).and_then(|d| ball(d.position_mm, 100.0)),
        Item::Merge(id) => project.merge(id).and_then(|m| ball(m.position_mm, 250.0)),
        Item::Bar(id) => {
            let bar = project.bar(id)?;
            let corners = bar.corners.iter().map(|c| c.position_mm);
            let points = bar.ends.iter().map(|e| e.position_mm).chain(corners);
            let (low, high) = points
                .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(low, high), p| (low.min(p), high.max(p)));
            let room = DVec3::splat(2.0 * bar.od_mm);
            Some((low - room, high + room))
        }
        Item::Body(_) | Item::Tube(_) | Item::Elbow(_) | Item::Joint(_) => None,
    }
}

fn delete(app: &mut App) {
    let Selection { item, vertex, .. } = app.session.selection;
    let Some(item) = item else {
        app.session.say("Nothing is selected.", false);
        return;
    };
    let project = Arc::clone(app.session.project());
    if let (Item::Run(id), Some(pipeloft_core::model::Vertex::Way(way))) = (item, vertex)
        && let Some(run) = project.run(id)
    {
        let edit = Edit::PutRun(pipeloft_core::edit::reshape::without(&project, run, way));
        app.session.handle(&Request::Edit("delete waypoint".to_owned(), edit));
        return;
    }
    if vertex.is_some() {
        app.session.say(
            "The bend next to a hardpoint, and an open end, belong to the run. To delete the run, select it in the tree first.",
            true,
        );
        return;
    }
    let selected = in_order_of_need(app.session.selected());
    if selected.len() > 1 {
        let edits = selected.iter().map(|item| Edit::Remove(*item)).collect();
        let label = format!("delete {} things", selected.len());
        app.session.handle(&Request::Edit(label, Edit::All(edits)));
        return;
    }
    let label = format!("delete {}", project.name_of(item));
    app.session.handle(&Request::Edit(label, Edit::Remove(item)));
}

/// Things in the order they can be deleted: what needs others comes before them.
fn in_order_of_need(mut items: Vec<Item>) -> Vec<Item> {
    items.sort_by_key(|item| match item {
        Item::Bar(_) => 0,
        Item::Run(_) => 1,
        Item::Hardpoint(_) => 2,
        Item::Merge(_) | Item::Obstacle(_) | Item::Datum(_) => 3,
        Item::Tube(_) | Item::Elbow(_) | Item::Joint(_) => 4,
        Item::Body(_) => 5,
    });
    items
}

fn toggle_hidden(app: &mut App) {
    let p = Arc::clone(app.session.project());
    let drawn: Vec<(Item, bool)> =
        app.session.selected().into_iter().filter_map(|item| Some((item, is_hidden(&p, item)?))).collect();
    let Some((first, hidden)) = drawn.first().copied() else { return };
    let verb = if hidden { "show" } else { "hide" };
    let what = if drawn.len() == 1 { p.name_of(first) } else { format!("{} things", drawn.len()) };
    let edits = drawn.into_iter().map(|(item, _)| Edit::SetHidden(item, !hidden)).collect();
    app.session.handle(&Request::Edit(format!("{verb} {what}"), Edit::All(edits)));
}

/// Whether an item is hidden; `None` where it is not drawn at all.
fn is_hidden(p: &Project, item: Item) -> Option<bool> {
    match item {
        Item::Hardpoint(id) => p.hardpoint(id).map(|x| x.hidden),
        Item::Obstacle(id) => p.obstacle(id).map(|x| x.hidden),
        Item::Run(id) => p.run(id).map(|x| x.hidden),
        Item::Datum(id) => p.datum(id).map(|x| x.hidden),
        Item::Merge(id) => p.merge(id).map(|x| x.hidden),
        Item::Bar(id) => p.bar(id).map(|x| x.hidden),
        Item::Body(_) | Item::Tube(_) | Item::Elbow(_) | Item::Joint(_) => None,
    }
}

/// Adds something new where the view looks, and selects it.
fn add(app: &mut App, action: Action) {
    let mut project = (**app.session.project()).clone();
    let at = app.view.destination().target;
    let units = project.settings.units;
    let at = new_item::round_place(at, units);
    let (label, edit, item) = match action {
        Action::AddHardpoint => {
            let mut new = new_item::hardpoint(&mut project, at);
            // the pipes that come next are of the tube that came last
            if let Some(tube) = app.session.new_tube.and_then(|id| project.tube(id)) {
                new.od_mm = tube.od_mm;
            }
            ("add hardpoint", Edit::PutHardpoint(new.clone()), Item::Hardpoint(new.id))
        }
        Action::AddObstacle(kind) => {
            let at = if kind == ShapeKind::HalfSpace { DVec3::ZERO } else { at };
            let new = new_item::obstacle(&mut project, new_item::round_shape(kind.shape(), units), at);
            ("add obstacle", Edit::PutObstacle(new.clone()), Item::Obstacle(new.id))
        }
        Action::AddTube => {
            let new = new_item::tube(&mut project);
            ("add tube", Edit::PutTube(new.clone()), Item::Tube(new.id))
        }
        Action::AddElbow => {
            let new = new_item::elbow(&mut project);
            ("add elbow", Edit::PutElbow(new.clone()), Item::Elbow(new.id))
        }
        Action::AddJoint => {
            let new = new_item::joint(&mut project);
            ("add joint", Edit::PutJoint(new.clone()), Item::Joint(new.id))
        }
        Action::AddDatum => {
            let new = new_item::datum(&mut project, at);
            ("add datum", Edit::PutDatum(new.clone()), Item::Datum(new.id))
        }
        Action::AddMerge => {
            let new = new_item::merge(&mut project, at);
            let item = Item::Merge(new.merge.id);
            ("add merge", new.edit(), item)
        }
        Action::AddBar => {
            let new = new_item::bar(&mut project, at);
            ("add bar", Edit::PutBar(Box::new(new.clone())), Item::Bar(new.id))
        }
        Action::AddBody => {
            let new = new_item::body(&mut project);
            ("add body", Edit::PutBody(new.clone()), Item::Body(new.id))
        }
        _ => match new_run(&mut project, app.session.selection.item, app.session.new_tube) {
            Ok(new) => ("add run", Edit::PutRun(new.clone()), Item::Run(new.id)),
            Err(sentence) => {
                app.session.say(sentence, true);
                return;
            }
        },
    };
    app.session.handle(&Request::Edit(label.to_owned(), edit));
    if app.session.project().has(item) {
        app.session.handle(&Request::Select(Selection::of(item)));
        app.session.say(next_step(&app.session, item), false);
        match item {
            Item::Tube(id) => app.session.new_tube = Some(id),
            Item::Run(_) => app.session.new_tube = None,
            Item::Hardpoint(_)
            | Item::Obstacle(_)
            | Item::Datum(_)
            | Item::Merge(_)
            | Item::Bar(_)
            | Item::Body(_)
            | Item::Elbow(_)
            | Item::Joint(_) => {}
        }
    }
}

/// What a person does next with what was added.
fn next_step(session: &Session, item: Item) -> String {
    let words = match item {
        Item::Run(id) => {
            let project = session.project();
            let tube = project.run(id).and_then(|run| project.tube(run.tube));
            let of = tube.filter(|t| session.new_tube == Some(t.id)).map(|t| project.tube_name(t));
            let of = of.map_or_else(String::new, |name| format!("Made of the new tube, {name}. "));
            return format!(
                "{of}Drag the rings to shape the pipe, the + to add bends. Change its ends on the right."
            );
        }
        Item::Hardpoint(_) => "Enter where it is and which way it points on the right.",
        Item::Obstacle(_) => "Enter its size and place on the right, or drag its square.",
        Item::Datum(_) => "Enter where it is on the right.",
        Item::Merge(_) => {
            "Enter where its axes meet on the right, then let runs start or end at its hardpoints."
        }
        Item::Bar(_) => "Enter its two ends on the right.",
        Item::Tube(_) => "Enter its sizes on the right. The next run is made of it.",
        Item::Body(_) | Item::Elbow(_) | Item::Joint(_) => "Enter its sizes on the right.",
    };
    words.to_owned()
}

/// A run from the selected hardpoint, or between the first two that have none yet; in that tube, else in the one that fits
/// its start.
fn new_run(
    project: &mut Project,
    selected: Option<Item>,
    tube: Option<TubeId>,
) -> Result<pipeloft_core::model::Run, String> {
    if project.tubes.is_empty() {
        return Err("Enter a size of tube first: Add, then Add tube.".to_owned());
    }
    let used = |id| {
        project
            .runs
            .iter()
            .any(|r| r.start == id || matches!(r.end, RunEnd::Hardpoint { hardpoint, .. } if hardpoint == id))
    };
    let free: Vec<_> = project.hardpoints.iter().map(|h| h.id).filter(|id| !used(*id)).collect();
    // what comes to one merge is not joined to itself
    let merge_of = |id: HardpointId| match project.hardpoint(id).and_then(|h| h.seat) {
        Some(Seat::Arm { merge, .. } | Seat::Outlet { merge }) => Some(merge),
        Some(Seat::Run { .. }) | None => None,
    };
    let all: Vec<_> = project.hardpoints.iter().map(|h| h.id).collect();
    let chosen = match selected {
        Some(Item::Hardpoint(id)) => Some(id),
        _ => None,
    };
    let start = chosen.or(free.first().copied()).or(all.first().copied());
    let start = start.ok_or("A run starts at a hardpoint: enter one first (Add, then Add hardpoint).")?;
    if chosen.is_some_and(|id| merge_of(id).is_some() && used(id)) {
        return Err("A run comes to that hardpoint of the merge already: select another.".to_owned());
    }
    let of_one = |id| merge_of(start).is_some() && merge_of(id) == merge_of(start);
    let end = free.into_iter().find(|id| *id != start && !of_one(*id));
    let tube = tube.filter(|id| project.tube(*id).is_some());
    let new = match tube {
        Some(tube) => new_item::run_of(project, (start, end), tube),
        None => new_item::run(project, start, end),
    };
    new.ok_or_else(|| "That hardpoint has no direction: enter one on the right first.".to_owned())
}
