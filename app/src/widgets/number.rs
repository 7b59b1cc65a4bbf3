//! A field for a length, an angle or a count that takes what a fabricator types.

use crate::theme::Tokens;
use eframe::egui::{self, Align2, Id, Key, TextEdit, Ui};
use pipeloft_core::units;
use pipeloft_core::units::UnitSystem;

/// What the field holds and how it is typed. Values are mm, degrees or plain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Kind {
    /// A length, mm.
    Length(UnitSystem),
    /// A small length such as a wall or a gap, mm; shown in decimals.
    Fine(UnitSystem),
    /// An angle, degrees.
    Angle,
    /// A whole number.
    Count,
    /// A plain number.
    Plain,
}

impl Kind {
    fn shown(self, value: f64) -> String {
        match self {
            Self::Length(system) => units::length(value, system),
            Self::Fine(system) => units::wall(value, system),
            Self::Angle => format!("{}°", units::plain_number(value, 2)),
            Self::Count => units::plain_number(value, 0),
            Self::Plain => units::plain_number(value, 4),
        }
    }

    fn editable(self, value: f64) -> String {
        match self {
            // nothing has been read yet
            _ if value.is_nan() => String::new(),
            Self::Length(system) => units::length_edit(value, system),
            Self::Fine(UnitSystem::Millimetre) => units::length_edit(value, UnitSystem::Millimetre),
            Self::Fine(_) => units::length_edit(value, UnitSystem::InchDecimal),
            Self::Angle => units::plain_number(value, 6),
            Self::Count | Self::Plain => self.shown(value),
        }
    }

    fn parse(self, text: &str) -> Result<f64, String> {
        match self {
            Self::Length(system) | Self::Fine(system) => {
                units::parse_length(text, system).map_err(|e| e.to_string())
            }
            Self::Angle => units::parse_angle_deg(text).map_err(|e| e.to_string()),
            Self::Count => units::parse_count(text).map(f64::from).map_err(|e| e.to_string()),
            Self::Plain => units::parse_number(text).map_err(|e| e.to_string()),
        }
    }

    /// What an arrow key adds.
    fn step(self) -> f64 {
        match self {
            Self::Length(UnitSystem::Millimetre) => 0.5,
            Self::Length(UnitSystem::InchFraction) => 25.4 / 16.0,
            Self::Length(UnitSystem::InchDecimal) => 0.254,
            Self::Fine(UnitSystem::Millimetre) => 0.1,
            Self::Fine(UnitSystem::InchFraction | UnitSystem::InchDecimal) => 0.0254,
            Self::Angle => 0.5,
            Self::Count | Self::Plain => 1.0,
        }
    }
}

/// Width of an ordinary field, points.
const FIELD_WIDTH: f32 = 104.0;

/// What is being typed, until it is taken or given up.
#[derive(Debug, Clone, Default)]
struct Typing {
    text: String,
    error: Option<String>,
}

/// A labelled field; returns a new value once Enter or Tab is pressed or the user clicks elsewhere.
///
/// While typing nothing changes; Esc gives up; what cannot be read stays, in red, with the reason below it. Up and
/// down step by a sensible amount.
pub(crate) fn number(ui: &mut Ui, id: Id, label: &str, value: f64, kind: Kind) -> Option<f64> {
    let label = ui.label(label);
    number_bare(ui, id, label.id, value, kind, ROOMY)
}

/// A labelled field for what is read off a tape or a gauge: empty until then, and again when it is cleared. Returns
/// whether it changed. `width` is that of the field, points.
pub(crate) fn reading(
    ui: &mut Ui,
    id: Id,
    (label, width): (&str, f32),
    value: &mut Option<f64>,
    kind: Kind,
) -> bool {
    let label = ui.label(label);
    optional(ui, id, label.id, value, kind, Look { width, may_be_empty: true })
}

/// A labelled field of ordinary width that may be left empty, with words that say what it is and what empty means.
/// Returns whether it changed.
pub(crate) fn number_optional(
    ui: &mut Ui,
    id: Id,
    (label, hint): (&str, &str),
    value: &mut Option<f64>,
    kind: Kind,
) -> bool {
    let label = ui.label(label).on_hover_text(hint);
    optional(ui, id, label.id, value, kind, Look { may_be_empty: true, ..ROOMY })
}

fn optional(ui: &mut Ui, id: Id, label: Id, value: &mut Option<f64>, kind: Kind, look: Look) -> bool {
    let new = number_bare(ui, id, label, value.unwrap_or(f64::NAN), kind, look);
    if let Some(new) = new {
        *value = (!new.is_nan()).then_some(new);
    }
    new.is_some()
}

/// The same with words that say what it is, shown when the pointer rests on the label.
pub(crate) fn number_hinted(
    ui: &mut Ui,
    id: Id,
    label: &str,
    hint: &str,
    value: f64,
    kind: Kind,
) -> Option<f64> {
    let label = ui.label(label).on_hover_text(hint);
    number_bare(ui, id, label.id, value, kind, ROOMY)
}

/// What differs between fields for what is known and for what is to be read.
#[derive(Debug, Clone, Copy)]
struct Look {
    /// Width of the field, points.
    width: f32,
    /// An empty field is no mistake; the value is then no number.
    may_be_empty: bool,
}

/// The ordinary field.
const ROOMY: Look = Look { width: FIELD_WIDTH, may_be_empty: false };

fn number_bare(ui: &mut Ui, id: Id, label: Id, value: f64, kind: Kind, look: Look) -> Option<f64> {
    let mut typing: Option<Typing> = ui.data(|d| d.get_temp(id));
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let mut text = typing.as_ref().map_or_else(
        || if look.may_be_empty && value.is_nan() { String::new() } else { kind.shown(value) },
        |t| t.text.clone(),
    );
    let wrong = typing.as_ref().is_some_and(|t| t.error.is_some());
    let mut taken = None;
    ui.vertical(|ui| {
        ui.set_max_width(look.width.max(86.0) + 86.0);
        let edit = TextEdit::singleline(&mut text)
            .id(id)
            .align(Align2::LEFT_CENTER)
            .char_limit(60)
            .desired_width(look.width)
            .text_color_opt(wrong.then_some(tokens.stop));
        let response = ui.add(edit).labelled_by(label);
        if response.gained_focus() && typing.is_none() {
            text = kind.editable(value);
            select_all(ui.ctx(), id, text.chars().count());
            typing = Some(Typing { text: text.clone(), error: None });
        }
        if response.changed() {
            typing = Some(Typing { text: text.clone(), error: None });
        }
        if response.has_focus() {
            let steps = ui.input_mut(|i| {
                let count = |i: &mut egui::InputState, key| {
                    i.count_and_consume_key(egui::Modifiers::NONE, key) as f64
                };
                count(i, Key::ArrowUp) - count(i, Key::ArrowDown)
            });
            if steps != 0.0 {
                let next = if value.is_nan() { 0.0 } else { value } + steps * kind.step();
                typing = Some(Typing { text: kind.editable(next), error: None });
                taken = Some(next);
            }
        }
        if response.lost_focus() {
            let given_up = ui.input(|i| i.key_pressed(Key::Escape));
            match typing.take() {
                Some(t) if !given_up && look.may_be_empty && t.text.trim().is_empty() => {
                    taken = Some(f64::NAN);
                }
                Some(t) if !given_up && t.text != kind.editable(value) => match kind.parse(&t.text) {
                    Ok(new) => taken = Some(new),
                    Err(error) => typing = Some(Typing { error: Some(error), ..t }),
                },
                _ => {}
            }
        }
        if let Some(error) = typing.as_ref().and_then(|t| t.error.as_ref()) {
            ui.add(egui::Label::new(egui::RichText::new(error).small().color(tokens.stop)).wrap());
        }
    });
    ui.data_mut(|d| match typing {
        Some(t) => {
            d.insert_temp(id, t);
        }
        None => d.remove::<Typing>(id),
    });
    taken.filter(|new| differ(*new, value))
}

/// Whether two values differ; what is no number is like itself.
fn differ(a: f64, b: f64) -> bool {
    if a.is_nan() || b.is_nan() { a.is_nan() != b.is_nan() } else { (a - b).abs() > 0.0 }
}

fn select_all(ctx: &egui::Context, id: Id, chars: usize) {
    use egui::text::{CCursor, CCursorRange};
    let mut state = TextEdit::load_state(ctx, id).unwrap_or_default();
    state.cursor.set_char_range(Some(CCursorRange::two(CCursor::new(0), CCursor::new(chars))));
    state.store(ctx, id);
}
