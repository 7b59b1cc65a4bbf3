//! A place from tapes to datums.

use super::datum::DatumDraft;
use super::enter::MeasuredPort;
use super::parts::{
    Hop, Shade, big_full, delete_button, level_of, note, place_words, row, sentence, trust_ui,
};
use super::{At, Outcome, Target};
use crate::jobs::{Choice3, Ink, Sketch};
use crate::request::Requests;
use crate::widgets::{Kind, choice_sized};
use eframe::egui::{Button, Ui, vec2};
use pipeloft_core::measure::side::Differ;
use pipeloft_core::measure::tapes::{Located, Mirror, Spot, Tape, locate, ring};
use pipeloft_core::measure::{Doubt, Level, MeasureError, TAPE_SIGMA_MM, amount};
use pipeloft_core::model::{BodyId, DatumId, Item, Project};
use pipeloft_core::units::{self, UnitSystem};

/// Tapes that are on offer at once.
const OFFERED: usize = 4;
/// Tapes it takes at least.
const LEAST: usize = 3;

/// Room for the button behind the list of datums, points.
const BEHIND_LIST: f32 = 46.0;
/// Room for the word before it, points.
const LIST_LABEL: f32 = 28.0;
/// A list narrower than this (points) says nothing.
const LEAST_LIST: f32 = 120.0;

/// One tape, as far as it was entered.
#[derive(Debug, Clone)]
struct Row {
    /// Tells its fields from those of other rows.
    serial: u32,
    datum: Option<DatumId>,
    length_mm: Option<f64>,
}

/// The form.
#[derive(Debug, Clone)]
pub(super) struct TapeForm {
    rows: Vec<Row>,
    next: u32,
    /// Which of two answers: the one on the upper side of the plane of the datums, or the other.
    above: Option<bool>,
    /// On which side the answers on offer lie, in their order.
    offered: Option<[bool; 2]>,
    draft: DatumDraft,
}

/// The tapes that can be used and what comes of them.
struct Answer {
    /// Row of each tape.
    rows: Vec<usize>,
    tapes: Vec<Tape>,
    result: Result<Located, MeasureError>,
}

impl Answer {
    /// The row that an error is about.
    fn row_of(&self, error: &MeasureError) -> Option<usize> {
        let tape = match error {
            MeasureError::NotANumber { what }
            | MeasureError::TooFar { what, .. }
            | MeasureError::NotPositive { what, .. } => {
                self.tapes.iter().position(|t| *what == format!("The tape to {}", t.datum))
            }
            MeasureError::SamePoint { second, .. } => self.tapes.iter().rposition(|t| t.datum == *second),
            MeasureError::TapesDoNotMeet { mends, .. } => mends.first().map(|m| m.tape),
            MeasureError::Count { .. }
            | MeasureError::NoDirection { .. }
            | MeasureError::InLine { .. }
            | MeasureError::RimStraight
            | MeasureError::ViewsContradict { .. }
            | MeasureError::ViewsBlind
            | MeasureError::Incline { .. }
            | MeasureError::LineAngle { .. }
            | MeasureError::LinesParallel { .. }
            | MeasureError::AnglesDoNotMeet { .. } => None,
        };
        tape.and_then(|t| self.rows.get(t).copied())
    }
}

impl TapeForm {
    /// Offers the first datums there are.
    pub(super) fn new(project: &Project, target: Target) -> Self {
        let datums = project.datums.iter().map(|d| d.id).filter(|id| target != Target::Of(Item::Datum(*id)));
        let mut form =
            Self { rows: Vec::new(), next: 0, above: None, offered: None, draft: DatumDraft::default() };
        for datum in datums.take(OFFERED) {
            form.add(Some(datum));
        }
        while form.rows.len() < LEAST {
            form.add(None);
        }
        form
    }

    /// Whether a length was entered, or a datum begun.
    pub(super) fn holds_entries(&self) -> bool {
        self.rows.iter().any(|row| row.length_mm.is_some()) || self.draft.holds_entries()
    }

    /// One of two answers was clicked in the view.
    pub(super) fn chosen(&mut self, index: usize) {
        self.above = self.offered.and_then(|o| o.get(index).copied());
    }

    fn add(&mut self, datum: Option<DatumId>) {
        self.rows.push(Row { serial: self.next, datum, length_mm: None });
        self.next += 1;
        self.above = None;
    }

    /// The fields.
    pub(super) fn ui(
        &mut self,
        ui: &mut Ui,
        at: At<'_>,
        sketch: &mut Sketch,
        requests: &mut Requests,
    ) -> Outcome {
        self.forget_gone(at);
        if at.ctx.project.datums.is_empty() {
            sentence(
                ui,
                Shade::Plain,
                "A datum is a place you can find again: a punch mark, a bolt, a corner of the frame.",
            );
            sentence(
                ui,
                Shade::Plain,
                "Enter three or more that do not lie in one line; then tape from each to the point.",
            );
        } else {
            let answer = self.answer(at.ctx.project);
            self.rows_ui(ui, at, &answer);
        }
        if let Some(new) = self.draft.ui(ui, at, requests) {
            match self.rows.iter_mut().find(|r| r.datum.is_none()) {
                Some(row) => row.datum = Some(new),
                None => self.add(Some(new)),
            }
        }
        let answer = self.answer(at.ctx.project);
        self.offered = offered(&answer);
        self.draw(&answer, at, sketch);
        self.result_ui(ui, at, &answer)
    }

    /// Lets go of datums that are gone, or are what is measured.
    fn forget_gone(&mut self, at: At<'_>) {
        for row in &mut self.rows {
            let here = |id: &DatumId| {
                at.ctx.project.datum(*id).is_some() && at.target != Target::Of(Item::Datum(*id))
            };
            row.datum = row.datum.filter(here);
        }
    }

    fn answer(&self, project: &Project) -> Answer {
        let whole = self.rows.iter().enumerate().filter_map(|(i, row)| {
            let datum = project.datum(row.datum?)?;
            let (datum, at_mm) = (datum.name.clone(), datum.position_mm);
            Some((i, Tape { datum, at_mm, length_mm: row.length_mm? }))
        });
        let (rows, tapes): (Vec<_>, Vec<_>) = whole.unzip();
        let result = locate(&tapes, TAPE_SIGMA_MM);
        Answer { rows, tapes, result }
    }

    /// The answer that is meant; `None` while one of two has to be chosen.
    fn meant<'a>(&self, located: &'a Located) -> Option<&'a Spot> {
        match located.mirror {
            Mirror::None | Mirror::Clear | Mirror::Same => Some(&located.best),
            Mirror::Choose => {
                let above = self.above?;
                [Some(&located.best), located.other.as_ref()]
                    .into_iter()
                    .flatten()
                    .find(|s| (s.off_plane_mm > 0.0) == above)
            }
        }
    }

    fn rows_ui(&mut self, ui: &mut Ui, at: At<'_>, answer: &Answer) {
        let mut gone = None;
        let mut hop = Hop::default();
        for i in 0..self.rows.len() {
            let said = self.said_of(i, answer, at.ctx.units());
            ui.add_space(2.0);
            if self.row_ui(ui, at, i, &mut hop) {
                gone = Some(i);
            }
            if let Some((level, words)) = said {
                sentence(ui, Shade::Level(level), words);
            }
        }
        hop.go(ui);
        if let Some(i) = gone {
            self.rows.remove(i);
            self.above = None;
        }
        ui.horizontal(|ui| {
            if ui.add(Button::new("+ Add tape").min_size(vec2(120.0, 32.0))).clicked() {
                let free = self.free(at, None).first().map(|(id, _)| *id);
                self.add(free);
            }
        });
    }

    /// Datums that no other row uses.
    fn free(&self, at: At<'_>, row: Option<usize>) -> Vec<(DatumId, String)> {
        let used = |id: DatumId| {
            self.rows.iter().enumerate().any(|(k, r)| Some(k) != row && r.datum == Some(id))
                || at.target == Target::Of(Item::Datum(id))
        };
        let datums = at.ctx.project.datums.iter().filter(|d| !used(d.id));
        datums.map(|d| (d.id, d.name.clone())).collect()
    }

    /// One tape. Returns whether it is to go.
    fn row_ui(&mut self, ui: &mut Ui, at: At<'_>, i: usize, hop: &mut Hop) -> bool {
        let free: Vec<_> = self.free(at, Some(i)).into_iter().map(|(id, name)| (Some(id), name)).collect();
        let may_go = self.rows.len() > 1;
        let Some(tape) = self.rows.get_mut(i) else { return false };
        let id = at.id.with(("tape", tape.serial));
        let mut turned = false;
        let mut gone = false;
        ui.horizontal(|ui| {
            let label = format!("Tape {}", i + 1);
            row(ui, id, &label, &mut tape.length_mm, Kind::Length(at.ctx.units()), hop);
            // the list takes what is left of the line, less the button behind it
            let room = (ui.available_width() - BEHIND_LIST).max(LEAST_LIST);
            ui.allocate_ui(vec2(room, ui.spacing().interact_size.y), |ui| {
                ui.set_min_width(room);
                ui.set_max_width(room);
                ui.horizontal(|ui| {
                    if let Some(datum) =
                        choice_sized(ui, id.with("datum"), ("to", room - LIST_LABEL), &tape.datum, &free)
                    {
                        tape.datum = datum;
                        turned = true;
                    }
                });
            });
            gone = may_go && delete_button(ui, &format!("Delete tape {}", i + 1));
        });
        if turned {
            // another plane of datums has other sides
            self.above = None;
        }
        gone
    }

    /// What is said about a row.
    fn said_of(&self, row: usize, answer: &Answer, units: UnitSystem) -> Option<(Level, String)> {
        let located = match &answer.result {
            Ok(located) => located,
            Err(error) => {
                return (answer.row_of(error) == Some(row)).then(|| (Level::Bad, error.text(units)));
            }
        };
        let tape = answer.rows.iter().position(|r| *r == row)?;
        let long = |mm: f64| if mm > 0.0 { "long" } else { "short" };
        if let Some(suspect) = located.suspects.iter().find(|s| s.tape == tape) {
            let off = suspect.off_mm;
            let words = format!("By the others it reads {} too {}.", amount(off, units), long(off));
            return Some(if located.suspects.len() == 1 {
                (Level::Bad, format!("Likely wrong. {words}"))
            } else {
                (Level::Doubtful, format!("May be wrong. {words}"))
            });
        }
        // three tapes meet in any case
        let residual = *self.meant(located).filter(|_| answer.tapes.len() > LEAST)?.residuals_mm.get(tape)?;
        let words = format!("Reads {} {}.", amount(residual, units), long(residual));
        Some((level_of(residual, TAPE_SIGMA_MM), words))
    }

    fn result_ui(&mut self, ui: &mut Ui, at: At<'_>, answer: &Answer) -> Outcome {
        let units = at.ctx.units();
        let located = match &answer.result {
            Ok(located) => located,
            Err(error) => {
                let counted = matches!(error, MeasureError::Count { .. });
                if !counted && answer.row_of(error).is_none() {
                    sentence(ui, Shade::Level(Level::Bad), error.text(units));
                }
                return Err(if counted {
                    self.missing(at, answer)
                } else {
                    "The tapes do not fix a point yet: see above.".to_owned()
                });
            }
        };
        ui.add_space(4.0);
        self.choice_ui(ui, units, located);
        let chosen = self.meant(located);
        let open = |d: &&Doubt| !(chosen.is_some() && matches!(d, Doubt::MirrorOpen { .. }));
        let doubts = located.trust.doubts.iter().filter(open);
        let trust = trust_ui(ui, units, doubts, &located.trust.good, chosen.is_some());
        let spot = chosen.ok_or("Choose which of the two places it is.")?;
        if located.agrees() {
            sentence(ui, Shade::Plain, spot.hidden.text(units));
        }
        let body = self.body_of(at.ctx.project);
        Ok(MeasuredPort {
            position_mm: Some(spot.position_mm),
            body,
            notes: trust.into_iter().collect(),
            ..MeasuredPort::default()
        })
    }

    /// Two big buttons in words, where both answers fit.
    fn choice_ui(&mut self, ui: &mut Ui, units: UnitSystem, located: &Located) {
        let (Mirror::Choose, Some(other)) = (located.mirror, located.other.as_ref()) else { return };
        let spots = [&located.best, other];
        let words = Differ::of(spots[0].position_mm, spots[1].position_mm).points();
        for (spot, words) in spots.into_iter().zip(words) {
            let above = spot.off_plane_mm > 0.0;
            let response = big_full(ui, self.above == Some(above), words);
            if response.on_hover_text(place_words(spot.position_mm, units)).clicked() {
                self.above = Some(above);
            }
        }
        note(ui, "Or click its mark in the 3D view.");
    }

    /// The next thing to enter.
    fn missing(&self, at: At<'_>, answer: &Answer) -> String {
        let datums = self.free(at, None).len() + self.rows.iter().filter(|r| r.datum.is_some()).count();
        if datums < LEAST {
            let more = LEAST - datums;
            let noun = if more == 1 { "datum" } else { "datums" };
            return format!("Enter {more} more {noun}: tapes from three fix a point.");
        }
        match LEAST.saturating_sub(answer.tapes.len()) {
            0 => answer.result.as_ref().err().map_or_else(String::new, |e| e.text(at.ctx.units())),
            1 => "Enter what one more tape reads.".to_owned(),
            more => format!("Enter what {more} more tapes read."),
        }
    }

    /// The body all the datums in use are on.
    fn body_of(&self, project: &Project) -> Option<BodyId> {
        let used = self.rows.iter().filter(|r| r.length_mm.is_some()).filter_map(|r| project.datum(r.datum?));
        let mut bodies = used.map(|d| d.body);
        let first = bodies.next()?;
        bodies.all(|b| b == first).then_some(first)
    }

    fn draw(&self, answer: &Answer, at: At<'_>, sketch: &mut Sketch) {
        let units = at.ctx.units();
        for datum in self.rows.iter().filter_map(|r| at.ctx.project.datum(r.datum?)) {
            sketch.mark(datum.position_mm, datum.name.clone(), Ink::Help);
        }
        let Ok(located) = &answer.result else {
            rings(&answer.tapes, sketch);
            return;
        };
        let meant = self.meant(located);
        let spots: Vec<&Spot> = meant.map_or_else(
            || [Some(&located.best), located.other.as_ref()].into_iter().flatten().collect(),
            |spot| vec![spot],
        );
        for spot in &spots {
            for (k, tape) in answer.tapes.iter().enumerate() {
                let wrong = located.suspects.iter().any(|s| s.tape == k);
                let off = spot.residuals_mm.get(k).copied().unwrap_or(0.0);
                let ink = if wrong { Ink::Stop } else { tape_ink(off, answer.tapes.len()) };
                sketch.line(tape.at_mm, spot.position_mm, ink);
                if spots.len() == 1 {
                    let middle = tape.at_mm.midpoint(spot.position_mm);
                    sketch.note(middle, units::length(tape.length_mm, units), ink);
                }
            }
        }
        if let (Mirror::Choose, Some(other)) = (located.mirror, located.other.as_ref()) {
            let both = [&located.best, other];
            let words = Differ::of(both[0].position_mm, both[1].position_mm).points();
            sketch.choices = both
                .into_iter()
                .zip(words)
                .map(|(spot, words)| Choice3 {
                    at: spot.position_mm,
                    words: words.to_owned(),
                    chosen: self.above == Some(spot.off_plane_mm > 0.0),
                })
                .collect();
        } else if let Some(spot) = meant {
            sketch.mark(spot.position_mm, "", Ink::of(located.trust.level()));
        }
    }
}

/// Three tapes always meet, which is no praise.
fn tape_ink(off_mm: f64, tapes: usize) -> Ink {
    if tapes > LEAST { Ink::of(level_of(off_mm, TAPE_SIGMA_MM)) } else { Ink::Main }
}

/// On which side the two answers lie.
fn offered(answer: &Answer) -> Option<[bool; 2]> {
    let located = answer.result.as_ref().ok().filter(|l| l.mirror == Mirror::Choose)?;
    let other = located.other.as_ref()?;
    Some([located.best.off_plane_mm > 0.0, other.off_plane_mm > 0.0])
}

/// Too few tapes to fix a point: where each reaches, and where the first two reach together.
fn rings(tapes: &[Tape], sketch: &mut Sketch) {
    let usable = |t: &&Tape| t.length_mm > 0.0 && t.length_mm.is_finite();
    for tape in tapes.iter().filter(usable) {
        sketch.ring(tape.at_mm, glam::DVec3::Z, tape.length_mm, (Ink::Help, 1.0));
    }
    if let [first, second, ..] = tapes
        && let Some(both) = ring(first, second)
    {
        sketch.ring(both.centre_mm, both.axis, both.radius_mm, (Ink::Main, 2.5));
    }
}
