//! Fields of the open end of a run: where it is, how it is cut, what it blows at.

use super::super::lobe::{WAYS, to_step};
use super::{form, vector_rows};
use crate::ctx::UiCtx;
use crate::widgets::{Kind, choice, number};
use eframe::egui::{Button, Id, Label, Ui};
use pipeloft_core::fab::face::clock_toward;
use pipeloft_core::model::{Blast, Run, RunEnd, Slash};
use pipeloft_core::report::RunReport;

/// Tilt of a cut that is asked for first, degrees.
const FIRST_TILT_DEG: f64 = 30.0;
/// A jet that is asked for first: how far it counts, mm, and how much it widens, degrees (common practice, no source).
const FIRST_BLAST: Blast = Blast { reach_mm: 300.0, spread_deg: 10.0 };

/// The fields; nothing for a run that ends at a hardpoint.
pub(super) fn run_end_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, run: &Run, report: &RunReport, new: &mut Run) {
    let RunEnd::Open { position_mm, slash, blast } = run.end else { return };
    let kind = Kind::Length(ctx.units());
    let mut end = (position_mm, slash, blast);
    form(ui, "open end", |ui| {
        let labels = ["End X", "End Y", "End Z"];
        if let Some(at) = vector_rows(ui, id.with("open"), labels, position_mm, kind) {
            end.0 = at;
        }
        let cuts = [(false, "Square".to_owned()), (true, "At an angle".to_owned())];
        if let Some(angled) = choice(ui, id.with("slash"), "End is cut", &slash.is_some(), &cuts) {
            end.1 = angled.then_some(Slash { tilt_deg: FIRST_TILT_DEG, clock_deg: 0.0 });
        }
        ui.end_row();
        if let (Some(slash), Some(new)) = (slash, &mut end.1) {
            if let Some(deg) = number(ui, id.with("tilt"), "Angle from square", slash.tilt_deg, Kind::Angle) {
                new.tilt_deg = deg;
            }
            ui.end_row();
            if let Some(deg) = number(ui, id.with("long"), "Long side at clock", slash.clock_deg, Kind::Angle)
            {
                new.clock_deg = deg;
            }
            ui.end_row();
        }
        let jets = [(false, "Not looked after".to_owned()), (true, "Looked after".to_owned())];
        if let Some(jet) = choice(ui, id.with("blast"), "What it blows at", &blast.is_some(), &jets) {
            end.2 = jet.then_some(FIRST_BLAST);
        }
        ui.end_row();
        if let (Some(blast), Some(new)) = (blast, &mut end.2) {
            if let Some(mm) = number(ui, id.with("reach"), "Reaches", blast.reach_mm, kind) {
                new.reach_mm = mm;
            }
            ui.end_row();
            if let Some(deg) = number(ui, id.with("spread"), "Widens by", blast.spread_deg, Kind::Angle) {
                new.spread_deg = deg;
            }
            ui.end_row();
        }
    });
    if let (Some(slash), Some(last)) = (slash, report.built.end()) {
        ui.label("Turn long side");
        ui.horizontal_wrapped(|ui| {
            for (words, way) in WAYS {
                let clock = clock_toward(&last, way).map(to_step);
                let button = ui.add_enabled(clock.is_some(), Button::new(words).small());
                let why = "The pipe points along that direction here: its long side cannot";
                if let Some(clock_deg) = clock.filter(|_| button.on_disabled_hover_text(why).clicked()) {
                    end.1 = Some(Slash { clock_deg, ..slash });
                }
            }
        });
    }
    if let Some(open) = &report.open_end {
        ui.add(Label::new(format!("It {}.", open.words())).wrap());
    }
    if end != (position_mm, slash, blast) {
        new.end = RunEnd::Open { position_mm: end.0, slash: end.1, blast: end.2 };
    }
}
