//! Buttons that turn the lobe of a joint to where a hand and an eye reach it.

use crate::ctx::UiCtx;
use eframe::egui::{Button, Role, Ui, WidgetInfo};
use glam::DVec3;
use pipeloft_core::fab::Built;
use pipeloft_core::fab::face::lobe_clock_toward;

/// Ways that have a name, in the vehicle's axes.
pub(super) const WAYS: [(&str, DVec3); 6] = [
    ("up", DVec3::Z),
    ("down", DVec3::NEG_Z),
    ("front", DVec3::X),
    ("back", DVec3::NEG_X),
    ("left", DVec3::Y),
    ("right", DVec3::NEG_Y),
];
/// Clock angles are given in steps of this, as on paper, degrees.
const STEP_DEG: f64 = 0.1;

/// The row of buttons for the joint that is piece `piece` of `built`; returns the clock angle that was chosen, degrees.
pub(super) fn turn_lobe_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    (built, piece): (Option<&Built>, Option<usize>),
    now_deg: f64,
) -> Option<f64> {
    let mut chosen = None;
    ui.label("Turn lobe");
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let ways = WAYS.into_iter().chain([("to the view", ctx.toward_viewer)]);
        for (words, way) in ways {
            let there = built.zip(piece);
            let clock = there.and_then(|(b, p)| lobe_clock_toward(b, p, way)).map(to_step);
            let on = clock.is_some_and(|c| (c - now_deg + 180.0).rem_euclid(360.0) - 180.0 == 0.0);
            let button = Button::new(words).small().selected(on);
            let response = ui.add_enabled(clock.is_some(), button);
            response.widget_info(|| {
                let name = format!("Turn lobe {words}");
                WidgetInfo::selected(Role::Button, clock.is_some(), on, name)
            });
            let why = if there.is_some() {
                "The pipe runs along that direction here: the lobe cannot point there"
            } else {
                "The pipe has to be buildable first: see its problems"
            };
            if response.on_disabled_hover_text(why).clicked() {
                chosen = clock;
            }
        }
    });
    chosen.filter(|deg| (deg - now_deg).abs() > 0.0)
}

/// To the step of paper; never minus zero.
pub(super) fn to_step(deg: f64) -> f64 {
    (deg / STEP_DEG).round() / (1.0 / STEP_DEG) + 0.0
}
