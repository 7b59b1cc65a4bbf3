//! Gaps, the least margin first: those of a run, or of the whole project.

use super::{fold, head};
use crate::ctx::UiCtx;
use crate::request::{Request, Requests};
use crate::selection::Selection;
use crate::theme::Tokens;
use eframe::egui::{Align, Button, Grid, Id, Layout, RichText, Ui, vec2};
use glam::DVec3;
use pipeloft_core::model::{Item, Run};
use pipeloft_core::report::{BarGapReport, ClearanceReport};
use pipeloft_core::units;

/// Room for the two numbers of a row, points.
const NUMBERS: f32 = 196.0;

/// Rows shown at most.
const ROWS: usize = 40;

/// A row: of a run or of a bar.
struct Row {
    /// What it is between, or to.
    words: String,
    hint: String,
    /// What has the gap, and to what.
    of: Item,
    to: Item,
    /// Middle of the gap, mm.
    spot_mm: DVec3,
    gap_mm: f64,
    required_mm: f64,
    margin_mm: f64,
    /// What is said behind the number: which position it is of.
    at: &'static str,
    ok: bool,
}

/// What is said behind the number of a gap.
fn at_words(moved: bool, tightest: bool) -> &'static str {
    match (moved, tightest) {
        (true, _) => " at worst",
        (false, true) => "",
        (false, false) => " as drawn",
    }
}

/// What a click on a row does.
const CLICK: &str = "Click to show the place with its dimension.";

impl Row {
    fn of_run(ctx: UiCtx<'_>, gap: &ClearanceReport, words: String) -> Self {
        let mut hint = format!("{}. {CLICK}", gap.part.words());
        if gap.is_moved() {
            let as_drawn = units::length(gap.as_drawn_mm, ctx.units());
            hint = format!("{hint} With {}; as drawn it is {as_drawn}.", gap.pose);
        } else if !gap.tightest {
            let least = units::length(gap.never_below_mm, ctx.units());
            hint = format!("{hint} This is as drawn; where the bodies move it is never under {least}.");
        }
        Self {
            words,
            hint,
            of: Item::Run(gap.run_id),
            to: gap.other,
            spot_mm: gap.run_point_mm.midpoint(gap.other_point_mm),
            gap_mm: gap.gap_mm,
            required_mm: gap.required_mm,
            margin_mm: gap.sure_margin_mm(),
            at: at_words(gap.is_moved(), gap.tightest),
            ok: gap.ok,
        }
    }

    fn of_bar(gap: &BarGapReport) -> Self {
        let moved = gap.is_moved();
        Self {
            words: format!("{} and {}", gap.bar, gap.against),
            hint: if moved { format!("{CLICK} With {}.", gap.pose) } else { CLICK.to_owned() },
            of: Item::Bar(gap.bar_id),
            to: gap.other,
            spot_mm: gap.bar_point_mm.midpoint(gap.other_point_mm),
            gap_mm: gap.gap_mm,
            required_mm: gap.required_mm,
            margin_mm: gap.margin_mm(),
            at: at_words(moved, true),
            ok: gap.ok,
        }
    }
}

/// The table of a run.
pub(crate) fn gaps_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, requests: &mut Requests) {
    let own = ctx.report.clearance.iter().filter(|c| c.run_id == run.id);
    let rows: Vec<Row> = own.map(|gap| Row::of_run(ctx, gap, gap.against.clone())).collect();
    fold(ui, &format!("Gaps ({})", rows.len()), "gaps", false, |ui| {
        if rows.is_empty() {
            ui.label("Nothing is near it.");
        }
        table_ui(ui, ctx, (Id::unique(("gaps", run.id)), "To"), &rows, requests);
    });
}

/// The table of the whole project: each pair once, the gaps of bars among those of runs.
pub(crate) fn all_gaps_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    let runs = ctx.report.clearance.iter().filter(|c| !c.mirrored);
    let runs = runs.map(|gap| Row::of_run(ctx, gap, format!("{} and {}", gap.run, gap.against)));
    let mut rows: Vec<Row> = runs.chain(ctx.report.bar_gaps.iter().map(Row::of_bar)).collect();
    rows.sort_by(|a, b| a.margin_mm.total_cmp(&b.margin_mm));
    fold(ui, &format!("Gaps, least to spare first ({})", rows.len()), "all gaps", false, |ui| {
        if rows.is_empty() {
            let bars = if ctx.project.bars.is_empty() { "" } else { " or bar" };
            ui.label(format!("Nothing is near any run{bars}."));
        }
        table_ui(ui, ctx, (Id::unique("all gaps"), "Between"), &rows, requests);
    });
}

fn table_ui(ui: &mut Ui, ctx: UiCtx<'_>, (id, first): (Id, &str), rows: &[Row], requests: &mut Requests) {
    Grid::new(id).num_columns(3).striped(true).spacing([10.0, 2.0]).show(ui, |ui| {
        head(ui, &[first, "Gap", "Should be"]);
        for row in rows.iter().take(ROWS) {
            row_ui(ui, ctx, row, requests);
        }
    });
    if rows.len() > ROWS {
        ui.label(format!("and {} more with greater margins.", rows.len() - ROWS));
    }
}

fn row_ui(ui: &mut Ui, ctx: UiCtx<'_>, row: &Row, requests: &mut Requests) {
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let words = RichText::new(&row.words).color(if row.ok { tokens.text } else { tokens.stop });
    let chosen = ctx.selection.item == Some(row.of) && ctx.selection.against == Some(row.to);
    // long names are cut, never the numbers
    let size = vec2((ui.available_width() - NUMBERS).clamp(80.0, 260.0), 20.0);
    let name = Button::selectable(chosen, words).truncate();
    let layout = Layout::left_to_right(Align::Center).with_main_justify(true).with_main_align(Align::Min);
    let name = ui.allocate_ui_with_layout(size, layout, |ui| ui.add(name)).inner;
    if name.on_hover_text(format!("{}. {}", row.words, row.hint)).clicked() {
        requests.select(Selection { against: Some(row.to), ..Selection::of(row.of) });
        requests.push(Request::Show(row.spot_mm));
    }
    ui.label(format!("{}{}", units::length(row.gap_mm, ctx.units()), row.at));
    ui.label(units::length(row.required_mm, ctx.units()));
    ui.end_row();
}
