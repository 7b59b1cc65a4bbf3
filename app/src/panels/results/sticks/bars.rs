//! The sticks that bars come off.

use super::super::fold;
use super::drawn::{Drawn, drawn_ui};
use super::{fewest, pieces_ui};
use crate::ctx::UiCtx;
use crate::theme::{bold, metal_of};
use eframe::egui::{Label, RichText, Ui};
use pipeloft_core::model::Bar;
use pipeloft_core::report::BarStickReport;
use pipeloft_core::units;

/// The list; nothing where the project has no bars.
pub(super) fn bars_ui(ui: &mut Ui, ctx: UiCtx<'_>) {
    if ctx.project.bars.is_empty() {
        return;
    }
    let count: usize = ctx.report.bar_stock.iter().map(|s| s.sticks.len()).sum();
    fold(ui, &format!("Sticks for bars ({count})"), "bar sticks", true, |ui| {
        if ctx.report.bar_stock.is_empty() {
            ui.add(Label::new("Each bar is sawn already, or cannot be made yet.").wrap());
        }
        for (i, group) in ctx.report.bar_stock.iter().enumerate() {
            ui.push_id(("bar sticks", i), |ui| group_ui(ui, ctx, group));
        }
    });
}

fn group_ui(ui: &mut Ui, ctx: UiCtx<'_>, group: &BarStickReport) {
    ui.add(Label::new(bold(&group.stock)).wrap());
    if !group.sticks.is_empty() {
        let s = if group.sticks_to_buy == 1 { "" } else { "s" };
        let each = units::long_length(group.stick_mm, ctx.units());
        let (count, least) = (group.sticks_to_buy, group.least_to_buy);
        let most = if count > least { "at most " } else { "" };
        let proof = fewest(group.proved_optimal, count, least);
        let buy = format!("Buy {most}{count} stick{s} of {each}. {proof}");
        ui.add(Label::new(RichText::new(buy).small()).wrap());
    }
    for mark in &group.unplaced {
        ui.add(Label::new(format!("No stick is long enough for {mark}.")).wrap());
    }
    for (i, stick) in group.sticks.iter().enumerate() {
        let title = format!("Bar stick {}", i + 1);
        ui.label(format!("{title}: {}", units::long_length(stick.length_mm, ctx.units())));
        // all on it are of one stock
        let first = stick.cuts.first().and_then(|c| bar_of(ctx, &c.mark));
        let metal = first.map(|b| metal_of(b.material));
        let od_mm = first.map_or(0.0, |b| b.od_mm);
        ui.push_id(i, |ui| drawn_ui(ui, ctx, Drawn { title: &title, stick, od_mm, metal }));
        pieces_ui(ui, ctx, stick);
    }
    ui.add_space(4.0);
}

/// The bar of that mark.
fn bar_of<'a>(ctx: UiCtx<'a>, mark: &str) -> Option<&'a Bar> {
    let told = ctx.report.bars.iter().find(|b| b.mark == mark)?;
    ctx.project.bar(told.id)
}
