//! Sticks of tube for all runs together, and those that bars come off: what is cut from each, what is sawn already, what
//! lies ready.

mod bars;
mod drawn;

use super::fold;
use crate::ctx::UiCtx;
use crate::panels::saw_words;
use crate::request::{Request, Requests};
use crate::task::LOOK;
use crate::theme::{bold, metal_of};
use eframe::egui::{Align, Button, Label, Layout, ProgressBar, RichText, Role, Ui, WidgetInfo};
use pipeloft_core::edit::Edit;
use pipeloft_core::fab::nest::StickSource;
use pipeloft_core::model::DonePiece;
use pipeloft_core::report::{PieceSource, Report, StickReport, StockReport, stick_sawn};
use pipeloft_core::units;

/// Most pieces that are listed as sawn.
const MOST_SAWN: usize = 100;

/// The list.
pub(crate) fn sticks_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    let count: usize = ctx.report.stock.iter().map(|s| s.sticks.len()).sum();
    fold(ui, &format!("Sticks of tube ({count})"), "sticks", true, |ui| {
        if count == 0 {
            let any = !ctx.project.done.is_empty();
            ui.label(if any { "Nothing is left to be sawn." } else { "No run can be cut yet." });
        }
        looking_ui(ui, ctx, requests);
        for stock in &ctx.report.stock {
            tube_ui(ui, ctx, stock, requests);
        }
        ready_ui(ui, ctx);
    });
    bars::bars_ui(ui, ctx);
    if !ctx.project.done.is_empty() {
        fold(ui, &format!("Sawn already ({})", ctx.project.done.len()), "sawn", true, |ui| {
            sawn_ui(ui, ctx, requests);
        });
    }
}

fn tube_ui(ui: &mut Ui, ctx: UiCtx<'_>, stock: &StockReport, requests: &mut Requests) {
    ui.add(Label::new(bold(&stock.tube)).wrap());
    if !stock.sticks.is_empty() {
        let proof = fewest(stock.proved_optimal, stock.sticks_to_buy, stock.least_to_buy);
        ui.add(Label::new(RichText::new(format!("{}{proof}", to_buy(stock))).small()).wrap());
    }
    for mark in &stock.unplaced {
        ui.add(Label::new(format!("No stick is long enough for {mark}.")).wrap());
    }
    for index in 0..stock.sticks.len() {
        ui.push_id((stock.tube_id, index), |ui| stick_ui(ui, ctx, (stock, index), requests));
    }
    ui.add_space(4.0);
}

/// How far the look for better layouts is, and a button that ends it.
fn looking_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    let Some(part) = ctx.looking else { return };
    ui.horizontal(|ui| {
        let bar = ProgressBar::new(part as f32).desired_width(170.0);
        ui.add(bar.text("Looking for fewer sticks"));
        let stop = ui.add(Button::new("Stop").small()).on_hover_text("Keep the best layout found so far");
        stop.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Stop looking for fewer sticks"));
        if stop.clicked() {
            requests.push(Request::StopLooking);
        }
    });
    ui.ctx().request_repaint_after(LOOK);
}

/// Whether fewer sticks could do.
fn fewest(proved: bool, buy: usize, least: usize) -> String {
    if proved {
        return "No layout needs fewer sticks.".to_owned();
    }
    match (buy > least, least) {
        (true, 0) => "Perhaps fewer would do.".to_owned(),
        (true, least) => format!("Perhaps fewer would do, but no layout buys fewer than {least}."),
        (false, _) => "Perhaps one could stay on the rack.".to_owned(),
    }
}

fn to_buy(stock: &StockReport) -> String {
    let most = if stock.sticks_to_buy > stock.least_to_buy { "at most " } else { "" };
    match (stock.sticks.len(), stock.sticks_to_buy) {
        (_, 0) => "All of it is there. ".to_owned(),
        (1, _) => "To buy. ".to_owned(),
        (all, buy) => format!("{all} sticks, {most}{buy} of them to buy. "),
    }
}

fn stick_ui(ui: &mut Ui, ctx: UiCtx<'_>, (stock, index): (&StockReport, usize), requests: &mut Requests) {
    let stick = &stock.sticks[index];
    let number = index + 1;
    ui.horizontal(|ui| {
        let source = match stick.source {
            StickSource::Offcut => "an offcut",
            StickSource::Rack => "from the rack",
            StickSource::Buy => "to buy",
        };
        ui.label(format!("Stick {number}: {}, {source}", units::long_length(stick.length_mm, ctx.units())));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let response = ui.add(Button::new("Sawn").small()).on_hover_text(
                "Its pieces are cut: they keep their sizes, the stick leaves the rack, and what is left over goes back to it",
            );
            response.widget_info(|| {
                WidgetInfo::labeled(Role::Button, true, format!("Sawn: stick {number} of {}", stock.tube))
            });
            if response.clicked()
                && let Some(edit) = stick_sawn(ctx.project, ctx.report, stock.tube_id, index)
            {
                requests.edit("stick sawn", edit);
            }
        });
    });
    let metal = ctx.project.tube(stock.tube_id).map(|t| metal_of(t.material));
    let title = format!("Stick {number}");
    drawn::drawn_ui(ui, ctx, drawn::Drawn { title: &title, stick, od_mm: stock.od_mm, metal });
    pieces_ui(ui, ctx, stick);
}

/// What is cut from a stick, and what is left of it.
fn pieces_ui(ui: &mut Ui, ctx: UiCtx<'_>, stick: &StickReport) {
    let marks: Vec<&str> = stick.cuts.iter().map(|c| c.mark.as_str()).collect();
    let left = units::long_length(stick.drop_mm, ctx.units());
    ui.add(Label::new(format!("{}; {left} left over", marks.join(" "))).wrap());
}

/// Slices that are taken from the shelf.
fn ready_ui(ui: &mut Ui, ctx: UiCtx<'_>) {
    for tube in &ctx.project.tubes {
        let used = ctx.report.runs.iter().flat_map(|r| r.paper.pieces.iter().zip(&r.printed));
        let used: Vec<_> =
            used.filter(|(p, r)| p.tube == tube.id && r.source == PieceSource::Ready).collect();
        let Some((_, first)) = used.first() else { continue };
        ui.add(Label::new(bold(ctx.project.tube_name(tube))).wrap());
        let one_kind = used.iter().all(|(_, r)| r.start_cut_deg.to_bits() == first.start_cut_deg.to_bits());
        let cut =
            if one_kind { format!(" cut at {}", saw_words(ctx, first.start_cut_deg)) } else { String::new() };
        let marks: Vec<&str> = used.iter().map(|(_, r)| r.mark.as_str()).collect();
        let slices = if used.len() == 1 { "slice" } else { "slices" };
        let words = format!("From the shelf: {} ready {slices}{cut} for {}", used.len(), marks.join(" "));
        ui.add(Label::new(words).wrap());
    }
}

/// Pieces that are done.
fn sawn_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    for (i, piece) in ctx.project.done.iter().enumerate().take(MOST_SAWN) {
        ui.push_id(("sawn", i), |ui| {
            ui.horizontal(|ui| {
                let centre = units::length(piece.centre_mm, ctx.units());
                let (mark, state) = state(ctx.report, piece);
                ui.label(bold(&mark));
                ui.label(format!("{centre} on its centre{state}"));
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    let response = ui
                        .add(Button::new("Saw again").small())
                        .on_hover_text("It was spoilt or is lost: put it back on a stick");
                    let name = format!("Saw again: {mark}");
                    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name.clone()));
                    if response.clicked() {
                        let label = format!("saw {mark} again");
                        requests.edit(label, Edit::ForgetDone(vec![piece.clone()]));
                    }
                });
            });
        });
    }
    let more = ctx.project.done.len().saturating_sub(MOST_SAWN);
    if more > 0 {
        ui.label(format!("And {more} more."));
    }
    if ctx.project.done.len() > 1 && ui.button("Saw all of them again").clicked() {
        requests.edit("saw everything again", Edit::ForgetDone(ctx.project.done.clone()));
    }
}

/// The mark of a sawn piece, and how it stands to what is wanted now.
fn state(report: &Report, sawn: &DonePiece) -> (String, String) {
    let Some(key) = sawn.key else {
        return (sawn.mark.clone(), ", not known for which pipe".to_owned());
    };
    let Some(wanted) = report.printed(key) else {
        return (sawn.mark.clone(), ", in no pipe now".to_owned());
    };
    let marked = if wanted.mark == sawn.mark { String::new() } else { format!(", marked {}", sawn.mark) };
    let fits = if wanted.source == PieceSource::Sawn { "" } else { ", not as wanted now" };
    (wanted.mark.clone(), format!("{marked}{fits}"))
}
