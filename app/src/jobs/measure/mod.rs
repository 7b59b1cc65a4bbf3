//! Measuring in: a place or a direction from what was read off tapes, a rim, offsets or an angle gauge.
//!
//! One file a way. Each keeps what was typed, shows its fields, draws its picture, and says what comes out of it or
//! what is still missing; the sums are done in `core::measure`.

mod datum;
mod enter;
mod gauge;
mod offsets;
mod parts;
mod rim;
mod tapes;

use super::{Job, Sketch, Spot, Stay};
use crate::ctx::UiCtx;
use crate::job_kind::MeasureTarget as Target;
use crate::request::{Request, Requests};
use crate::selection::Selection;
use crate::theme::bold;
use crate::widgets::{choice, name_field};
use eframe::egui::{Id, Ui};
use enter::{Entry, MeasuredPort};
use gauge::GaugeForm;
use offsets::OffsetForm;
use parts::{Shade, big, big_full, note, sentence};
use pipeloft_core::edit::apply;
use pipeloft_core::model::{BodyId, Item, Project};
use rim::RimForm;
use std::sync::atomic::{AtomicU64, Ordering};
use tapes::TapeForm;

/// How it is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Way {
    Tapes,
    Rim,
    Offsets,
    Gauge,
}

impl Way {
    const ALL: [Self; 4] = [Self::Tapes, Self::Rim, Self::Offsets, Self::Gauge];

    fn words(self) -> &'static str {
        match self {
            Self::Tapes => "Tapes from datums",
            Self::Rim => "Points on a rim",
            Self::Offsets => "Offsets from a point",
            Self::Gauge => "Gauge angles",
        }
    }

    /// Why this way gives nothing for that target; `None` where it does.
    fn hindrance(self, target: Target, project: &Project) -> Option<&'static str> {
        let port = matches!(target, Target::NewHardpoint | Target::Of(Item::Hardpoint(_)));
        match self {
            Self::Tapes | Self::Offsets => None,
            Self::Rim => (!port).then_some("A rim belongs to a hardpoint: choose a hardpoint above."),
            Self::Gauge => project
                .hardpoints
                .is_empty()
                .then_some("A gauge tells the direction of a hardpoint, and there is none yet."),
        }
    }
}

/// What every way gets to see.
#[derive(Debug, Clone, Copy)]
struct At<'a> {
    ctx: UiCtx<'a>,
    target: Target,
    /// Beginning of the ids of the fields; another for each time the form is opened.
    id: Id,
    /// A place that was clicked in the 3D view.
    spot: Option<Spot>,
}

/// What a way comes to, or what is still missing, as a sentence.
type Outcome = Result<MeasuredPort, String>;

/// The form.
#[derive(Debug)]
pub(crate) struct MeasureIn {
    id: Id,
    target: Target,
    /// The way; `None` until the last one has been looked up.
    way: Option<Way>,
    /// Name of what is new, where one was entered.
    name: Option<String>,
    /// Body of what is new, where one was chosen.
    body: Option<BodyId>,
    tapes: TapeForm,
    rim: RimForm,
    offsets: OffsetForm,
    gauge: GaugeForm,
    /// The picture, as of the last time the form was shown.
    sketch: Sketch,
    /// What would be entered, as of then, or why nothing can be.
    ready: Result<(MeasuredPort, Entry), String>,
    /// The button at the foot was pressed in this frame.
    pressed: bool,
}

impl MeasureIn {
    /// An empty form.
    pub(super) fn new(target: Target, ctx: UiCtx<'_>) -> Self {
        static OPENED: AtomicU64 = AtomicU64::new(0);
        Self {
            id: Id::unique(("measure in", OPENED.fetch_add(1, Ordering::Relaxed))),
            target,
            way: None,
            name: None,
            body: None,
            tapes: TapeForm::new(ctx.project, target),
            rim: RimForm::default(),
            offsets: OffsetForm::new(ctx.project),
            gauge: GaugeForm::default(),
            sketch: Sketch::default(),
            ready: Err("Choose what is measured and how.".to_owned()),
            pressed: false,
        }
    }

    /// First row: what is measured.
    fn what_ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>) {
        ui.label(bold("What is measured"));
        ui.horizontal(|ui| {
            let width = (ui.available_width() - 8.0) / 2.0;
            for (target, words) in
                [(Target::NewHardpoint, "A new hardpoint"), (Target::NewDatum, "A new datum")]
            {
                if big(ui, width, self.target == target, words).clicked() {
                    self.target = target;
                }
            }
        });
        let selected = ctx.selection.item.and_then(|item| Target::of(ctx.project, item));
        let known = matches!(self.target, Target::Of(_)).then_some(self.target);
        let other = selected.filter(|s| Some(*s) != known);
        for target in known.into_iter().chain(other) {
            let Target::Of(item) = target else { continue };
            let what = if self.way == Some(Way::Gauge) { "direction" } else { "place" };
            let words = format!("The {what} of {}", ctx.project.name_of(item));
            if big_full(ui, self.target == target, &words).clicked() {
                self.target = target;
            }
        }
    }

    /// Second row: how.
    fn how_ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>) -> Way {
        let last = Id::unique("way last measured in");
        let mut way = self.way.or_else(|| ui.data(|d| d.get_temp(last))).unwrap_or(Way::Tapes);
        if way.hindrance(self.target, ctx.project).is_some() {
            way = Way::Tapes;
        }
        ui.add_space(4.0);
        ui.label(bold("How"));
        for pair in Way::ALL.chunks(2) {
            ui.horizontal(|ui| {
                let width = (ui.available_width() - 8.0) / 2.0;
                for one in pair {
                    let hindrance = one.hindrance(self.target, ctx.project);
                    ui.add_enabled_ui(hindrance.is_none(), |ui| {
                        let response = big(ui, width, way == *one, one.words());
                        let response = response.on_disabled_hover_text(hindrance.unwrap_or_default());
                        if response.clicked() {
                            way = *one;
                            ui.data_mut(|d| d.insert_temp(last, way));
                        }
                    });
                }
            });
        }
        self.way = Some(way);
        way
    }

    /// Name and body of what is new. Returns the entry that would be made.
    fn entry_ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>, found: &MeasuredPort) -> Option<Entry> {
        let bodies: Vec<(BodyId, String)> =
            ctx.project.bodies.iter().map(|b| (b.id, b.name.clone())).collect();
        let chosen = self.body.filter(|id| ctx.project.body(*id).is_some());
        let entry =
            Entry::new(ctx.project, self.target, found, (self.name.as_deref(), chosen.or(found.body)))?;
        if matches!(self.target, Target::Of(_)) {
            return Some(entry);
        }
        ui.separator();
        ui.horizontal(|ui| {
            if let Some(name) = name_field(ui, self.id.with("name"), "Name", &entry.name) {
                self.name = Some(name);
            }
        });
        let mut body = chosen.or(found.body);
        if bodies.len() > 1 {
            ui.horizontal(|ui| {
                if let Some(new) = choice(ui, self.id.with("body"), "Belongs to", &entry.body, &bodies) {
                    self.body = Some(new);
                    body = self.body;
                }
            });
        }
        Entry::new(ctx.project, self.target, found, (self.name.as_deref(), body))
    }

    /// What would be entered, or why nothing can be.
    fn ready(
        &mut self,
        ui: &mut Ui,
        ctx: UiCtx<'_>,
        outcome: Outcome,
    ) -> Result<(MeasuredPort, Entry), String> {
        let found = outcome?;
        let entry = self.entry_ui(ui, ctx, &found);
        let entry = entry.ok_or("It is not in the project any more: choose what is measured above.")?;
        apply(ctx.project, &entry.edit).map_err(|refusal| refusal.to_string())?;
        Ok((found, entry))
    }
}

impl Job for MeasureIn {
    fn title(&self) -> String {
        "Measure in".to_owned()
    }

    fn ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>, spot: Option<Spot>, requests: &mut Requests) -> Stay {
        if !self.target.is_there(ctx.project) {
            self.target = Target::NewHardpoint;
        }
        self.what_ui(ui, ctx);
        let way = self.how_ui(ui, ctx);
        ui.separator();
        let at = At { ctx, target: self.target, id: self.id, spot };
        let mut sketch = Sketch::default();
        let outcome = match way {
            Way::Tapes => self.tapes.ui(ui, at, &mut sketch, requests),
            Way::Rim => self.rim.ui(ui, at, &mut sketch),
            Way::Offsets => self.offsets.ui(ui, at, &mut sketch),
            Way::Gauge => self.gauge.ui(ui, at, &mut sketch, &mut self.target),
        };
        let ready = self.ready(ui, ctx, outcome);
        if way == Way::Tapes && matches!(self.target, Target::NewHardpoint) {
            note(ui, "Its direction is entered afterwards: by gauge angles here, or on the right.");
        }
        if std::mem::take(&mut self.pressed)
            && let Ok((_, entry)) = &ready
        {
            requests.edit(entry.label.clone(), entry.edit.clone());
            requests.select(Selection::of(entry.item));
            requests.push(Request::Say(format!("{} is measured in.", entry.name)));
            return Stay::Closed;
        }
        if sketch != self.sketch || ready != self.ready {
            // the foot, and rows above, show what comes of the fields below
            ui.ctx().request_repaint();
        }
        (self.sketch, self.ready) = (sketch, ready);
        Stay::Open
    }

    fn foot(&mut self, ui: &mut Ui, ctx: UiCtx<'_>) {
        ui.add_space(6.0);
        if let Ok((found, entry)) = &self.ready {
            parts::found_ui(ui, ctx, found, entry);
        }
        let reason = self.ready.as_ref().err();
        self.pressed = parts::enter_button(ui, reason.is_none());
        if let Some(reason) = reason {
            sentence(ui, Shade::Plain, reason);
        }
        ui.add_space(4.0);
    }

    fn holds_entries(&self) -> bool {
        self.name.is_some()
            || self.tapes.holds_entries()
            || self.rim.holds_entries()
            || self.offsets.holds_entries()
            || self.gauge.holds_entries()
    }

    fn has_foot(&self) -> bool {
        true
    }

    fn sketch(&self, _ctx: UiCtx<'_>) -> Sketch {
        self.sketch.clone()
    }

    fn wants_spots(&self) -> bool {
        self.way == Some(Way::Rim) && self.rim.is_picking()
    }

    fn chosen(&mut self, index: usize) {
        match self.way {
            Some(Way::Tapes) => self.tapes.chosen(index),
            Some(Way::Gauge) => self.gauge.chosen(index),
            Some(Way::Rim | Way::Offsets) | None => {}
        }
    }
}
