//! What a click with the right button offers, in the tree and in the 3D view.

use super::menu_bar::item as entry;
use crate::actions::{Action, ShapeKind, text};
use crate::ctx::UiCtx;
use crate::request::Requests;
use eframe::egui::Ui;
use pipeloft_core::model::Item;

/// Whether a verb about what is selected has something to work on.
pub(super) fn offered(ctx: UiCtx<'_>, action: Action) -> bool {
    let is_run = matches!(ctx.selection.item, Some(Item::Run(_)));
    let mut selected = ctx.selection.item.iter().chain(ctx.also);
    match action {
        Action::Duplicate | Action::SwapEnds | Action::TakeOff => is_run,
        Action::Mirror => selected.any(|item| matches!(item, Item::Run(_) | Item::Bar(_))),
        Action::SameMake => {
            let bend = ctx.selection.vertex.zip(ctx.selected_run());
            bend.is_some_and(|(vertex, (run, _))| run.make(vertex).is_some())
        }
        _ => ctx.selection.item.is_some(),
    }
}

/// The menu of an item, which has been selected; of the space around where there is none.
pub(crate) fn item_menu_ui(ui: &mut Ui, ctx: UiCtx<'_>, item: Option<Item>, requests: &mut Requests) {
    ui.set_min_width(250.0);
    let Some(item) = item else {
        for action in [Action::AddHardpoint, Action::AddRun, Action::MeasureIn] {
            entry(ui, action, text(action), true, requests);
        }
        ui.menu_button("Add obstacle", |ui| {
            for kind in ShapeKind::ALL {
                entry(ui, Action::AddObstacle(kind), kind.words(), true, requests);
            }
        });
        ui.separator();
        for action in [Action::FitAll, Action::ViewFront, Action::ViewSide, Action::ViewTop, Action::ViewFree]
        {
            entry(ui, action, text(action), true, requests);
        }
        return;
    };
    let again: &[Action] = match item {
        Item::Run(_) => &[Action::Duplicate, Action::Mirror, Action::SwapEnds, Action::TakeOff],
        Item::Bar(_) => &[Action::Mirror],
        Item::Hardpoint(_) => &[Action::AddRun],
        Item::Obstacle(_)
        | Item::Datum(_)
        | Item::Merge(_)
        | Item::Body(_)
        | Item::Tube(_)
        | Item::Elbow(_)
        | Item::Joint(_) => &[],
    };
    let is_drawn = !matches!(item, Item::Body(_) | Item::Tube(_) | Item::Elbow(_) | Item::Joint(_));
    for action in again {
        let words = if *action == Action::AddRun { "Start a run here" } else { text(*action) };
        entry(ui, *action, words, *action == Action::AddRun || offered(ctx, *action), requests);
    }
    if !again.is_empty() {
        ui.separator();
    }
    if is_drawn {
        entry(ui, Action::FitSelected, text(Action::FitSelected), true, requests);
        entry(ui, Action::ToggleHidden, text(Action::ToggleHidden), true, requests);
    }
    entry(ui, Action::Delete, text(Action::Delete), true, requests);
}
