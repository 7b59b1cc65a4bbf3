//! Parts the ways have in common: big buttons, sentences, rows of numbers.

use super::enter::{Entry, MeasuredPort};
use crate::ctx::UiCtx;
use crate::jobs::Ink;
use crate::theme::{Tokens, bold};
use crate::widgets::{Kind, reading};
use eframe::egui::{Button, Id, Key, Label, Response, RichText, Role, Ui, WidgetInfo, vec2};
use glam::DVec3;
use pipeloft_core::geom::vector::angle_between;
use pipeloft_core::measure::{Doubt, Good, Level, amount};
use pipeloft_core::units::{self, UnitSystem};

/// Height of a big button, points: to be hit with gloves on.
const BIG: f32 = 36.0;

/// How a sentence is coloured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shade {
    /// Ordinary text.
    Plain,
    /// By how far a result can be believed.
    Level(Level),
}

/// How far a reading that is off by this much can be believed: twice and four times what it may stray are the steps.
pub(super) fn level_of(off: f64, sigma: f64) -> Level {
    match off.abs() / sigma {
        x if x <= 2.0 => Level::Good,
        x if x <= 4.0 => Level::Doubtful,
        _ => Level::Bad,
    }
}

/// A sentence, wrapped.
pub(super) fn sentence(ui: &mut Ui, shade: Shade, words: impl Into<String>) {
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let words = RichText::new(words);
    let words = match shade {
        Shade::Plain => words,
        Shade::Level(level) => words.color(Ink::of(level).colour(tokens)),
    };
    ui.add(Label::new(words).wrap());
}

/// A quiet sentence.
pub(super) fn note(ui: &mut Ui, words: &str) {
    ui.add(Label::new(RichText::new(words).weak()).wrap());
}

/// A big button of this width that can be on.
pub(super) fn big(ui: &mut Ui, width: f32, on: bool, words: &str) -> Response {
    let size = vec2(width.max(40.0), BIG);
    ui.add_sized(size, Button::selectable(on, words).frame_when_inactive(true).truncate())
}

/// The same over the whole width.
pub(super) fn big_full(ui: &mut Ui, on: bool, words: &str) -> Response {
    let width = ui.available_width() - 4.0;
    big(ui, width, on, words)
}

/// A row of equal big buttons of which one is on. Returns the one that was pressed.
pub(super) fn big_row<T: Copy + PartialEq>(ui: &mut Ui, on: Option<T>, all: &[(T, &str)]) -> Option<T> {
    let mut pressed = None;
    ui.horizontal(|ui| {
        let count = all.len().max(1) as f32;
        let width = (ui.available_width() - 4.0 - (count - 1.0) * ui.spacing().item_spacing.x) / count;
        for (value, words) in all {
            if big(ui, width, on == Some(*value), words).on_hover_text(*words).clicked() {
                pressed = Some(*value);
            }
        }
    });
    pressed
}

/// The small button that takes a row away; `name` is said to screen readers.
pub(super) fn delete_button(ui: &mut Ui, name: &str) -> bool {
    let response = ui.add(Button::new("✖").min_size(vec2(30.0, 28.0))).on_hover_text(name);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    response.clicked()
}

/// Width of a field for a reading, points: `≈ 20 25/32"` fits.
const READING: f32 = 116.0;

/// Takes the cursor from a reading that was finished with Enter to the next one that is still empty.
#[derive(Debug, Default)]
pub(super) struct Hop {
    /// Fields in their order and whether they are empty.
    fields: Vec<(Id, bool)>,
    /// The one that was finished.
    from: Option<usize>,
}

impl Hop {
    fn note(&mut self, id: Id, changed: bool, empty: bool) {
        if changed && !empty {
            self.from = Some(self.fields.len());
        }
        self.fields.push((id, empty));
    }

    /// To be called when all fields have been shown.
    pub(super) fn go(self, ui: &Ui) {
        let Some(from) = self.from.filter(|_| ui.input(|i| i.key_pressed(Key::Enter))) else { return };
        if let Some((id, _)) = self.fields.iter().skip(from).find(|(_, empty)| *empty) {
            ui.memory_mut(|m| m.request_focus(*id));
        }
    }
}

/// Three readings in one line, with short labels. Returns whether one changed.
pub(super) fn xyz_ui(
    ui: &mut Ui,
    id: Id,
    number: Option<usize>,
    at: &mut [Option<f64>; 3],
    kind: Kind,
    hop: &mut Hop,
) -> bool {
    let mut changed = false;
    ui.horizontal(|ui| {
        // close together: a fraction needs all the room there is
        ui.spacing_mut().item_spacing.x = 4.0;
        let labels = if number.is_some() { 78.0 } else { 42.0 };
        let room = (ui.available_width() - labels - 5.0 * ui.spacing().item_spacing.x) / 3.0;
        for (i, (axis, value)) in ["X", "Y", "Z"].into_iter().zip(at.iter_mut()).enumerate() {
            let label = number.map_or_else(|| axis.to_owned(), |n| format!("{axis} {n}"));
            let new = reading(ui, id.with(i), (&label, room.clamp(58.0, READING)), value, kind);
            hop.note(id.with(i), new, value.is_none());
            changed |= new;
        }
    });
    changed
}

/// A reading with its label before it. Returns whether it changed.
pub(super) fn row(
    ui: &mut Ui,
    id: Id,
    label: &str,
    value: &mut Option<f64>,
    kind: Kind,
    hop: &mut Hop,
) -> bool {
    let changed = reading(ui, id, (label, READING), value, kind);
    hop.note(id, changed, value.is_none());
    changed
}

/// The point, once all three numbers are there.
pub(super) fn whole(at: &[Option<f64>; 3]) -> Option<DVec3> {
    Some(DVec3::new(at[0]?, at[1]?, at[2]?))
}

/// A place in words.
pub(super) fn place_words(at: DVec3, units: UnitSystem) -> String {
    let part = |mm| units::length(mm, units);
    format!("X {}, Y {}, Z {}", part(at.x), part(at.y), part(at.z))
}

/// A direction in words: its parts and how it leans.
pub(super) fn direction_words(way: DVec3) -> String {
    let part = |x| units::plain_number(x, 3);
    let incline = way.z.atan2(way.x.hypot(way.y)).to_degrees();
    let lean = match incline {
        x if x >= 0.05 => format!("{} above level", units::angle(x, 1)),
        x if x <= -0.05 => format!("{} below level", units::angle(-x, 1)),
        _ => "level".to_owned(),
    };
    format!("X {}, Y {}, Z {}; {lean}", part(way.x), part(way.y), part(way.z))
}

/// Why a result is to be believed or not, one sentence each. The weightiest is not shown but returned where `foot` says
/// that it stands at the foot.
pub(super) fn trust_ui<'a>(
    ui: &mut Ui,
    units: UnitSystem,
    mut doubts: impl Iterator<Item = &'a Doubt>,
    good: &Good,
    foot: bool,
) -> Option<(Shade, String)> {
    let said = |doubt: &Doubt| (Shade::Level(doubt.level()), doubt.text(units));
    let first = doubts.next().map_or_else(|| (Shade::Level(Level::Good), good.text(units)), said);
    if !foot {
        sentence(ui, first.0, first.1.as_str());
    }
    for doubt in doubts {
        let (shade, words) = said(doubt);
        sentence(ui, shade, words);
    }
    foot.then_some(first)
}

/// What will be entered, in numbers.
pub(super) fn found_ui(ui: &mut Ui, ctx: UiCtx<'_>, found: &MeasuredPort, entry: &Entry) {
    let units = ctx.units();
    if let Some(at) = found.position_mm {
        ui.add(Label::new(bold(place_words(at, units))).wrap());
        if let Some((before, _)) = entry.before {
            note(ui, &format!("{} from where it is now.", amount(at.distance(before), units)));
        }
    }
    if let Some(way) = found.direction {
        ui.add(Label::new(format!("Direction {}", direction_words(way))).wrap());
        if let Some((_, Some(before))) = entry.before {
            let turned = angle_between(way, before).to_degrees();
            note(ui, &format!("Turned {} from how it is now.", units::angle(turned, 1)));
        }
    }
    for (shade, words) in &found.notes {
        sentence(ui, *shade, words.as_str());
    }
}

/// The big button at the end. Returns whether it was pressed.
pub(super) fn enter_button(ui: &mut Ui, on: bool) -> bool {
    let size = vec2(ui.available_width() - 4.0, 46.0);
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let stroke = eframe::egui::Stroke::new(1.5, tokens.selected);
    let button = Button::new(bold("Enter it")).stroke(stroke);
    ui.add_enabled_ui(on, |ui| ui.add_sized(size, button)).inner.clicked()
}
