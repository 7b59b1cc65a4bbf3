//! The space and the runs as a tree.

use super::item_menu::item_menu_ui;
use crate::actions::{Action, ShapeKind, text, tooltip};
use crate::ctx::UiCtx;
use crate::job_kind::{JobKind, MeasureTarget};
use crate::request::{Request, Requests};
use crate::selection::Selection;
use crate::theme::{Tokens, bold};
use crate::widgets::eye;
use eframe::egui::{self, Align, CollapsingHeader, Layout, RichText, ScrollArea, Sense, Ui};
use pipeloft_core::edit::Edit;
use pipeloft_core::finding::Severity;
use pipeloft_core::model::{Item, Run};

/// The panel on the left.
pub(crate) fn tree_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    project_row(ui, ctx, requests);
    ui.separator();
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        let p = ctx.project;
        section(ui, "Runs", p.runs.len(), requests, &[Action::AddRun], |ui, requests| {
            if p.runs.is_empty() {
                empty(ui, "A run is one pipe. Add two hardpoints first, then a run between them.");
            }
            for run in &p.runs {
                lettered_row(ui, ctx, run, requests);
            }
        });
        section(ui, "Hardpoints", p.hardpoints.len(), requests, &[Action::AddHardpoint], |ui, requests| {
            if p.hardpoints.is_empty() {
                empty(ui, "A hardpoint is where tube meets a part: a turbo outlet, a throttle body.");
            }
            for port in &p.hardpoints {
                row(ui, ctx, Item::Hardpoint(port.id), &port.name, Some(port.hidden), requests);
            }
            measure_in(ui, "Measure a hardpoint in…", MeasureTarget::NewHardpoint, requests);
        });
        let mut shapes = ShapeKind::ALL.map(Action::AddObstacle).to_vec();
        shapes.push(Action::BringScan);
        section(ui, "Obstacles", p.obstacles.len(), requests, &shapes, |ui, requests| {
            if p.obstacles.is_empty() {
                empty(ui, "Enter what is in the way as boxes, cylinders, capsules, balls and panels, or bring in a scan.");
            }
            for obstacle in &p.obstacles {
                row(ui, ctx, Item::Obstacle(obstacle.id), &obstacle.name, Some(obstacle.hidden), requests);
            }
        });
        section(ui, "Merges", p.merges.len(), requests, &[Action::AddMerge], |ui, requests| {
            if p.merges.is_empty() {
                empty(ui, "A merge brings two or more tubes together into one.");
            }
            for merge in &p.merges {
                row(ui, ctx, Item::Merge(merge.id), &merge.name, Some(merge.hidden), requests);
            }
        });
        section(ui, "Bars", p.bars.len(), requests, &[Action::AddBar], |ui, requests| {
            if p.bars.is_empty() {
                empty(ui, "Bars carry turbos and pipes: straight or bent, with rod ends, tabs or copes.");
            }
            for bar in &p.bars {
                row(ui, ctx, Item::Bar(bar.id), &bar.name, Some(bar.hidden), requests);
            }
        });
        section(ui, "Datums", p.datums.len(), requests, &[Action::AddDatum], |ui, requests| {
            if p.datums.is_empty() {
                empty(
                    ui,
                    "A datum is a place tapes are held to: a punch mark, a bolt, a corner of the frame.",
                );
            }
            for datum in &p.datums {
                row(ui, ctx, Item::Datum(datum.id), &datum.name, Some(datum.hidden), requests);
            }
            measure_in(ui, "Measure a datum in…", MeasureTarget::NewDatum, requests);
        });
        section(ui, "Tube", p.tubes.len(), requests, &[Action::AddTube], |ui, requests| {
            for tube in &p.tubes {
                row(ui, ctx, Item::Tube(tube.id), &p.tube_name(tube), None, requests);
            }
        });
        section(ui, "Elbows", p.elbows.len(), requests, &[Action::AddElbow], |ui, requests| {
            for elbow in &p.elbows {
                row(ui, ctx, Item::Elbow(elbow.id), &p.elbow_name(elbow), None, requests);
            }
        });
        section(ui, "Joints", p.joints.len(), requests, &[Action::AddJoint], |ui, requests| {
            for joint in &p.joints {
                row(ui, ctx, Item::Joint(joint.id), &joint.name, None, requests);
            }
        });
        section(ui, "Bodies", p.bodies.len(), requests, &[Action::AddBody], |ui, requests| {
            for body in &p.bodies {
                row(ui, ctx, Item::Body(body.id), &body.name, None, requests);
            }
        });
    });
}

fn project_row(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    let chosen = ctx.selection.item.is_none();
    let response = ui
        .add(egui::Button::selectable(chosen, bold(&ctx.project.name)).truncate())
        .on_hover_text("The whole project: totals, stock, saw");
    if response.clicked() {
        requests.select(Selection::default());
    }
}

/// Opens the form that finds a place by what was read off tapes and gauges.
fn measure_in(ui: &mut Ui, words: &str, target: MeasureTarget, requests: &mut Requests) {
    if ui.button(words).on_hover_text(tooltip(Action::MeasureIn)).clicked() {
        requests.push(Request::Open(JobKind::MeasureIn(target)));
    }
}

fn empty(ui: &mut Ui, words: &str) {
    ui.add(egui::Label::new(RichText::new(words).weak()).wrap());
}

fn section(
    ui: &mut Ui,
    title: &str,
    count: usize,
    requests: &mut Requests,
    add: &[Action],
    rows: impl FnOnce(&mut Ui, &mut Requests),
) {
    let open = matches!(title, "Runs" | "Hardpoints" | "Obstacles");
    let header = CollapsingHeader::new(bold(format!("{title} ({count})"))).id_salt(title).default_open(open);
    let response = header.show(ui, |ui| rows(ui, requests));
    // the button that adds sits at the right end of the header
    let rect = response.header_response.rect;
    let corner = egui::Rect::from_min_max(
        egui::pos2(ui.max_rect().right() - 66.0, rect.top()),
        egui::pos2(ui.max_rect().right() - 14.0, rect.bottom()),
    );
    // a child of its own, so that the rows below stay where they are
    let mut corner_ui = ui.new_child(
        egui::UiBuilder::new().max_rect(corner).layout(Layout::right_to_left(Align::Center)).id_salt(title),
    );
    add_button(&mut corner_ui, add, requests);
}

fn add_button(ui: &mut Ui, add: &[Action], requests: &mut Requests) {
    let named = |name: &'static str| move || egui::WidgetInfo::labeled(egui::Role::Button, true, name);
    if let [one] = add {
        let button = ui.small_button("+").on_hover_text(tooltip(*one));
        button.widget_info(named(text(*one)));
        if button.clicked() {
            requests.act(*one);
        }
        return;
    }
    let menu = ui.menu_button("+", |ui| {
        for action in add {
            if ui.button(text(*action)).clicked() {
                requests.act(*action);
                ui.close();
            }
        }
    });
    menu.response.widget_info(named("Add obstacle"));
}

/// The worst that is said about a run, or about an obstacle by itself: a scan that is not there.
fn worst(ctx: UiCtx<'_>, item: Item) -> Option<Severity> {
    match item {
        Item::Run(id) => ctx.report.findings_of(id).map(|f| f.severity).min(),
        Item::Obstacle(_) | Item::Bar(_) | Item::Merge(_) => {
            let own = ctx.report.findings.iter().filter(|f| f.run.is_none() && f.concerns(item));
            own.map(|f| f.severity).min()
        }
        Item::Hardpoint(_)
        | Item::Datum(_)
        | Item::Body(_)
        | Item::Tube(_)
        | Item::Elbow(_)
        | Item::Joint(_) => None,
    }
}

/// A run with the letters that its marks begin with.
fn lettered_row(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, requests: &mut Requests) {
    let item = Item::Run(run.id);
    ui.horizontal(|ui| {
        ui.add_sized([22.0, 24.0], egui::Label::new(bold(&run.letters)).selectable(false))
            .on_hover_text(format!("Marks of this run begin with {}", run.letters));
        row(ui, ctx, item, &run.name, Some(run.hidden), requests);
    });
}

fn row(ui: &mut Ui, ctx: UiCtx<'_>, item: Item, name: &str, hidden: Option<bool>, requests: &mut Requests) {
    ui.horizontal(|ui| {
        if let Some(hidden) = hidden {
            let mut visible = !hidden;
            if eye(ui, &mut visible, name).changed() {
                let verb = if visible { "show" } else { "hide" };
                requests.edit(format!("{verb} {name}"), Edit::SetHidden(item, !visible));
            }
        }
        let tokens = Tokens::of(ui.visuals().dark_mode);
        let words = match worst(ctx, item) {
            Some(Severity::Stop) => RichText::new(format!("✖ {name}")).color(tokens.stop),
            Some(Severity::Warn) => RichText::new(format!("⚠ {name}")).color(tokens.warn),
            Some(Severity::Note) | None => RichText::new(name),
        };
        let words = if hidden == Some(true) { words.weak() } else { words };
        let chosen = ctx.selection.item == Some(item) || ctx.also.contains(&item);
        let size = egui::vec2((ui.available_width() - 12.0).max(20.0), 24.0);
        let button = egui::Button::selectable(chosen, words).truncate().sense(Sense::click());
        // as wide as the row, the words at its left
        let response = ui
            .allocate_ui_with_layout(size, Layout::top_down_justified(Align::Min), |ui| ui.add(button))
            .inner;
        let response = response.on_hover_text(name);
        if response.clicked() {
            requests.select_clicked(Selection::of(item), ui.input(|i| i.modifiers.command));
        }
        if response.secondary_clicked() && !chosen {
            requests.select(Selection::of(item));
        }
        if response.double_clicked() {
            requests.act(Action::FitSelected);
        }
        if response.hovered() {
            requests.push(Request::Hover(Selection::of(item)));
        }
        response.context_menu(|ui| item_menu_ui(ui, ctx, Some(item), requests));
    });
}
