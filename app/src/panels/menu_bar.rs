//! Menus and the buttons that are used all the time.

use super::item_menu::offered;
use crate::actions::{Action, ShapeKind, key_text, text, tooltip};
use crate::ctx::UiCtx;
use crate::demos;
use crate::request::{Request, Requests};
use eframe::egui::{Button, MenuBar, Ui};
use pipeloft_core::edit::{Edit, History};
use pipeloft_core::model::{Item, Settings};
use pipeloft_core::units::UnitSystem;

/// The bar at the top.
pub(crate) fn menu_bar_ui(ui: &mut Ui, ctx: UiCtx<'_>, history: &History, requests: &mut Requests) {
    MenuBar::new().ui(ui, |ui| {
        ui.menu_button("File", |ui| file_ui(ui, ctx, requests));
        ui.menu_button("Edit", |ui| edit_ui(ui, ctx, history, requests));
        ui.menu_button("Add", |ui| add_ui(ui, requests));
        ui.menu_button("View", |ui| view_ui(ui, ctx, requests));
        ui.menu_button("Help", |ui| item(ui, Action::Help, text(Action::Help), true, requests));
        ui.separator();
        units_ui(ui, ctx, requests);
        ui.separator();
        let undo = history.undo_label().map_or_else(|| "Undo".to_owned(), |l| format!("Undo {l}"));
        tool(ui, Action::Undo, "Undo", &undo, history.undo_label().is_some(), requests);
        let redo = history.redo_label().map_or_else(|| "Redo".to_owned(), |l| format!("Redo {l}"));
        tool(ui, Action::Redo, "Redo", &redo, history.redo_label().is_some(), requests);
        ui.separator();
        tool(ui, Action::AddRun, text(Action::AddRun), tooltip(Action::AddRun), true, requests);
        let buildable = ctx.report.totals.runs > 0;
        tool(
            ui,
            Action::PrintSheet,
            text(Action::PrintSheet),
            tooltip(Action::PrintSheet),
            buildable,
            requests,
        );
    });
}

fn tool(ui: &mut Ui, action: Action, words: &str, hint: &str, enabled: bool, requests: &mut Requests) {
    let key = key_text(ui.ctx(), action);
    let response = ui.add_enabled(enabled, Button::new(words)).on_hover_text(format!("{hint} ({key})"));
    if response.on_disabled_hover_text(disabled_reason(action)).clicked() {
        requests.act(action);
    }
}

fn disabled_reason(action: Action) -> &'static str {
    match action {
        Action::Undo => "There is nothing to take back",
        Action::Redo => "There is nothing to do again",
        Action::PrintSheet => "No run can be cut yet",
        Action::TakeOff
        | Action::FindRoutes
        | Action::MendRun
        | Action::TidyBends
        | Action::Duplicate
        | Action::SwapEnds => "Select a pipe first",
        Action::Mirror => "Select pipes or bars first; hold Ctrl to select several",
        Action::SameMake => "Select a bend first: click its ring",
        Action::Delete | Action::ToggleHidden | Action::FitSelected => "Nothing is selected",
        _ => "Not now",
    }
}

pub(super) fn item(ui: &mut Ui, action: Action, words: &str, enabled: bool, requests: &mut Requests) {
    let button = Button::new(words).shortcut_text(key_text(ui.ctx(), action));
    let response = ui.add_enabled(enabled, button).on_hover_text(tooltip(action));
    if response.on_disabled_hover_text(disabled_reason(action)).clicked() {
        requests.act(action);
        ui.close();
    }
}

fn plain(ui: &mut Ui, action: Action, requests: &mut Requests) {
    item(ui, action, text(action), true, requests);
}

fn file_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    ui.set_min_width(260.0);
    plain(ui, Action::New, requests);
    plain(ui, Action::Open, requests);
    ui.menu_button("Open recent", |ui| {
        if ctx.prefs.recent.is_empty() {
            ui.label("No project has been saved or opened yet.");
        }
        for (i, path) in ctx.prefs.recent.iter().enumerate() {
            let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
            let there = path.exists();
            let response = ui.add_enabled(there, Button::new(name)).on_hover_text(path.display().to_string());
            if response.on_disabled_hover_text(format!("{} is not there any more", path.display())).clicked()
            {
                requests.act(Action::OpenRecent(i));
                ui.close();
            }
        }
    });
    ui.menu_button("Open an example", |ui| {
        for (i, demo) in demos::ALL.iter().enumerate() {
            if ui.button(demo.title).on_hover_text(demo.about).clicked() {
                requests.act(Action::OpenDemo(i));
                ui.close();
            }
        }
    });
    ui.separator();
    plain(ui, Action::BringScan, requests);
    ui.separator();
    plain(ui, Action::Save, requests);
    plain(ui, Action::SaveAs, requests);
    plain(ui, Action::BringBack, requests);
    item(ui, Action::PrintSheet, text(Action::PrintSheet), ctx.report.totals.runs > 0, requests);
    ui.separator();
    plain(ui, Action::Quit, requests);
}

fn edit_ui(ui: &mut Ui, ctx: UiCtx<'_>, history: &History, requests: &mut Requests) {
    ui.set_min_width(280.0);
    let named =
        |verb: &str, label: Option<&str>| label.map_or_else(|| verb.to_owned(), |l| format!("{verb} {l}"));
    let (undo, redo) = (history.undo_label(), history.redo_label());
    item(ui, Action::Undo, &named("Undo", undo), undo.is_some(), requests);
    item(ui, Action::Redo, &named("Redo", redo), redo.is_some(), requests);
    ui.separator();
    let any = ctx.selection.item.is_some();
    item(ui, Action::Delete, text(Action::Delete), any, requests);
    item(ui, Action::ToggleHidden, text(Action::ToggleHidden), any, requests);
    ui.separator();
    let is_run = matches!(ctx.selection.item, Some(Item::Run(_)));
    for action in [Action::Duplicate, Action::Mirror, Action::SwapEnds, Action::SameMake] {
        item(ui, action, text(action), offered(ctx, action), requests);
    }
    ui.separator();
    for action in [Action::FindRoutes, Action::MendRun, Action::TidyBends, Action::TakeOff] {
        item(ui, action, text(action), is_run, requests);
    }
}

fn add_ui(ui: &mut Ui, requests: &mut Requests) {
    ui.set_min_width(240.0);
    plain(ui, Action::AddRun, requests);
    plain(ui, Action::AddHardpoint, requests);
    plain(ui, Action::MeasureIn, requests);
    ui.menu_button("Add obstacle", |ui| {
        for kind in ShapeKind::ALL {
            plain(ui, Action::AddObstacle(kind), requests);
        }
        item(ui, Action::BringScan, "Scan (mesh file)…", true, requests);
    });
    ui.separator();
    for action in [
        Action::AddMerge,
        Action::AddBar,
        Action::AddTube,
        Action::AddElbow,
        Action::AddJoint,
        Action::AddBody,
        Action::AddDatum,
    ] {
        plain(ui, action, requests);
    }
}

fn view_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    ui.set_min_width(280.0);
    for action in [Action::FitAll, Action::FitSelected] {
        plain(ui, action, requests);
    }
    ui.separator();
    for action in
        [Action::ViewFront, Action::ViewSide, Action::ViewTop, Action::ViewFree, Action::ToggleParallel]
    {
        plain(ui, action, requests);
    }
    ui.separator();
    for (action, on) in [
        (Action::ToggleSnap, ctx.prefs.snap),
        (Action::ToggleLabels, ctx.prefs.labels),
        (Action::ToggleRoom, ctx.prefs.room),
        (Action::ToggleTree, ctx.prefs.tree),
        (Action::ToggleSide, ctx.prefs.side),
    ] {
        let words = format!("{} {}", if on { "✔" } else { "–" }, text(action));
        item(ui, action, &words, true, requests);
    }
    plain(ui, Action::ToggleTheme, requests);
}

/// What each unit system is called.
pub(super) fn unit_words(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::InchFraction => "Inches, fractions",
        UnitSystem::InchDecimal => "Inches, decimals",
        UnitSystem::Millimetre => "Millimetres",
    }
}

fn units_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    ui.menu_button(unit_words(ctx.units()), |ui| {
        for units in [UnitSystem::InchFraction, UnitSystem::InchDecimal, UnitSystem::Millimetre] {
            if ui.selectable_label(ctx.units() == units, unit_words(units)).clicked() {
                let settings = Settings { units, ..ctx.project.settings.clone() };
                requests.push(Request::Edit("change units".to_owned(), Edit::SetSettings(settings)));
                ui.close();
            }
        }
    })
    .response
    .on_hover_text("How lengths are shown, and what a bare number means. What is stored does not change.");
}
