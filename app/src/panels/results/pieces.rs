//! The pieces of a run in order, with the numbers they are cut to.

use super::{fold, head};
use crate::ctx::UiCtx;
use crate::panels::saw_words;
use crate::request::{Request, Requests};
use crate::selection::Selection;
use crate::theme::bold;
use eframe::egui::{Grid, Id, Label, RichText, Ui};
use pipeloft_core::model::Run;
use pipeloft_core::report::{PieceEnd, PieceForm, PieceReport, PieceSource, RunReport};
use pipeloft_core::units;

/// The table.
pub(crate) fn pieces_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, report: &RunReport, requests: &mut Requests) {
    fold(ui, &format!("Pieces ({})", report.printed.len()), "pieces", true, |ui| {
        if report.printed.is_empty() {
            ui.label("Nothing can be cut until the problems above are solved.");
            return;
        }
        Grid::new(Id::unique(("pieces", run.id))).num_columns(5).striped(true).spacing([6.0, 2.0]).show(
            ui,
            |ui| {
                head(ui, &["Mark", "What", "Long side", "Saw: start, end", "Clock"]);
                for i in 0..report.printed.len() {
                    row(ui, ctx, (report, i), requests);
                }
            },
        );
        let words = "As on the sheet. Clock, from the index line: where the long side lies; of a taper, where it is offset to.";
        ui.add(Label::new(RichText::new(words).small()).wrap());
        for piece in report.printed.iter().filter(|p| p.trim_mm > 0.0) {
            ui.add(Label::new(trim_words(ctx, report, piece)).wrap());
        }
    });
}

fn row(ui: &mut Ui, ctx: UiCtx<'_>, (report, i): (&RunReport, usize), requests: &mut Requests) {
    let piece = &report.printed[i];
    let of = Selection::piece(report, i);
    let on = ctx.selection.piece.is_some() && ctx.selection.piece == piece.key;
    let lit = ctx.hover.piece.is_some() && ctx.hover.piece == piece.key;
    let response = ui.selectable_label(on || lit, bold(&piece.mark));
    if response.clicked() {
        requests.select(of);
    }
    if response.hovered() {
        requests.push(Request::Hover(of));
    }
    response.on_hover_ui(|ui| more_ui(ui, ctx, piece));
    ui.label(RichText::new(what(piece)).small());
    let [size, cuts, clock] = cells(ctx, piece);
    let short = units::length(piece.short_mm, ctx.units());
    let response = ui.label(if piece.bend.is_none() && piece.joint.is_none() {
        bold(size)
    } else {
        RichText::new(size)
    });
    if piece.long_clock_deg.is_some() {
        response.on_hover_text(format!("Short side {short}"));
    }
    ui.label(cuts);
    ui.label(clock);
    ui.end_row();
}

/// Long side (or make-up, or angle), cuts, and clock.
fn cells(ctx: UiCtx<'_>, piece: &PieceReport) -> [String; 3] {
    let clock = |deg: Option<f64>| deg.map_or_else(String::new, |c| units::angle(full(c), 1));
    if let Some(taper) = &piece.taper {
        let made = if taper.seam_clock_deg.is_some() { "rolled, ends square" } else { "bought, ends square" };
        let length = units::length(piece.centre_mm, ctx.units());
        return [length, made.to_owned(), clock(taper.offset_clock_deg)];
    }
    match (piece.kind, piece.bend) {
        (PieceForm::Joint, _) => {
            let make_up = units::length(piece.centre_mm.abs(), ctx.units());
            let lobe = match (piece.centre_mm < 0.0, piece.lobe_clock_deg.is_some()) {
                (true, true) => "overlap, lobe at",
                (true, false) => "overlap",
                (false, true) => "lobe at",
                (false, false) => "",
            };
            [make_up, lobe.to_owned(), clock(piece.lobe_clock_deg)]
        }
        (_, Some(e)) => {
            let cut = if e.removed_deg > 0.0 {
                format!("cut {} off", units::angle(e.removed_deg, 1))
            } else {
                "used whole".to_owned()
            };
            [units::angle(e.angle_deg, 1), cut, clock(Some(e.throat_clock_deg + 180.0))]
        }
        (_, None) => {
            let cuts = [piece.start_cut_deg, piece.end_cut_deg].map(|deg| saw_words(ctx, deg));
            [units::length(piece.long_mm, ctx.units()), cuts.join(", "), clock(piece.long_clock_deg)]
        }
    }
}

/// A clock angle as it is printed, from 0° up to 360°.
fn full(clock_deg: f64) -> f64 {
    let tenths = (clock_deg.rem_euclid(360.0) * 10.0).round() % 3600.0;
    tenths / 10.0
}

/// Everything about a piece.
fn more_ui(ui: &mut Ui, ctx: UiCtx<'_>, piece: &PieceReport) {
    let system = ctx.units();
    let name = piece.joint.clone().unwrap_or_else(|| what(piece));
    ui.label(format!("{} {name}", piece.mark));
    if piece.kind == PieceForm::Joint {
        return;
    }
    let (long, short) = (units::length(piece.long_mm, system), units::length(piece.short_mm, system));
    ui.label(format!("Long side {long}, short side {short}"));
    for (end, cut_deg, clock) in [
        ("Start", piece.start_cut_deg, piece.start_heel_clock_deg),
        ("End", piece.end_cut_deg, piece.end_heel_clock_deg),
    ] {
        if let Some(clock) = clock {
            let at = units::clock_and_arc(clock, piece.od_mm, system);
            ui.label(format!("{end}: saw at {}, heel at {at}", saw_words(ctx, cut_deg)));
        }
    }
}

/// What it is and where it comes from.
fn what(piece: &PieceReport) -> String {
    let from = match (piece.source, &piece.written) {
        (PieceSource::Ready, _) => ", shelf".to_owned(),
        (PieceSource::Sawn, Some(written)) => format!(", sawn, marked {written}"),
        (PieceSource::Sawn, None) => ", sawn".to_owned(),
        (PieceSource::Stick | PieceSource::Rolled | PieceSource::Bought, _) => String::new(),
    };
    format!("{}{from}", piece.kind)
}

/// What is added at the weld that is fitted last.
pub(super) fn trim_words(ctx: UiCtx<'_>, report: &RunReport, piece: &PieceReport) -> String {
    let weld = report.fit.as_ref().map_or("", |f| f.weld.as_str());
    format!(
        "{} includes {} to trim off at its {}, where {weld} is fitted last.",
        piece.mark,
        units::length(piece.trim_mm, ctx.units()),
        piece.trim_at.unwrap_or(PieceEnd::End)
    )
}
