//! What is wrong, as sentences, with a button that shows the place and one that mends it where that is sure.

use crate::actions::{Action, text, tooltip};
use crate::ctx::UiCtx;
use crate::request::{Request, Requests};
use crate::selection::Selection;
use crate::theme::{Tokens, bold};
use crate::widgets::unbroken;
use eframe::egui::{Align, Frame, Id, Label, Panel, Response, RichText, Role, ScrollArea, Ui, WidgetInfo};
use pipeloft_core::edit::Edit;
use pipeloft_core::edit::mend::mend;
use pipeloft_core::finding::{Finding, Problem, ScanProblem, Severity, StockProblem};
use pipeloft_core::model::{DonePiece, Item, Run, RunId};

/// Where it is noted whose first card is to be brought into view: of a run, or of the whole project.
fn wanted() -> Id {
    Id::unique("first card")
}

/// Brings the first card of a run, or of the whole project, into view as soon as the panel shows it.
pub(in crate::panels) fn lead_to_first(ui: &Ui, run: Option<RunId>) {
    ui.data_mut(|d| d.insert_temp(wanted(), run));
}

/// Height of the place of problems when the window is opened first, and the least of it, points.
const HEIGHT: (f32, f32) = (150.0, 34.0);

/// The place of problems at the foot of the panel: those of what is selected, or of the whole project. It keeps its size
/// whatever is wrong, so that no field above it moves while somebody types.
pub(in crate::panels) fn problems_place_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    let most = (ui.available_height() * 0.6).max(HEIGHT.1);
    let place = Panel::bottom("problems").resizable(true).default_size(HEIGHT.0.min(most));
    place.size_range(HEIGHT.1..=most).show(ui, |ui| {
        ui.add_space(4.0);
        ScrollArea::vertical().auto_shrink(false).id_salt("problems").show(ui, |ui| {
            ui.set_max_width((ui.available_width() - 6.0).max(200.0));
            problems_ui(ui, ctx, requests);
        });
    });
}

/// What is said about what is selected, or about the whole project.
fn found(ctx: UiCtx<'_>) -> Vec<&Finding> {
    let all = &ctx.report.findings;
    match ctx.selection.item {
        Some(item) => all.iter().filter(|f| f.concerns(item)).collect(),
        None => all.iter().collect(),
    }
}

fn problems_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    let found = found(ctx);
    let tokens = Tokens::of(ui.visuals().dark_mode);
    if found.is_empty() {
        let words = match ctx.selection.item {
            Some(Item::Run(_) | Item::Bar(_) | Item::Merge(_)) => "✔ Nothing is wrong with it.",
            Some(_) => "✔ Nothing is said about it.",
            None => "✔ Nothing is wrong.",
        };
        ui.label(RichText::new(words).color(tokens.good));
        return;
    }
    ui.label(bold(format!("Problems and notes ({})", found.len())));
    let run = ctx.selected_run().map(|(run, _)| run);
    let of = run.map(|run| run.id);
    let mut lead = ui.data(|d| d.get_temp::<Option<RunId>>(wanted())) == Some(of);
    if lead {
        ui.data_mut(|d| d.remove::<Option<RunId>>(wanted()));
    }
    for (i, finding) in found.iter().enumerate().take(60) {
        let card = ui.push_id(("finding", i), |ui| finding_ui(ui, ctx, finding, run, requests));
        // the worst come first
        if std::mem::take(&mut lead) {
            card.response.scroll_to_me(Some(Align::TOP));
            if let Some(button) = card.inner {
                button.request_focus();
            }
        }
    }
    if found.len() > 60 {
        ui.label(format!("And {} more.", found.len() - 60));
    }
}

/// One of them; with the names of its runs where it is not about `run` alone. Returns the button that shows the place.
fn finding_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    finding: &Finding,
    run: Option<&Run>,
    requests: &mut Requests,
) -> Option<Response> {
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let (mark, colour) = match finding.severity {
        Severity::Stop => ("✖", tokens.stop),
        Severity::Warn => ("⚠", tokens.warn),
        Severity::Note => ("•", tokens.text),
    };
    let card = Frame::group(ui.style()).show(ui, |ui| {
        ui.set_width(ui.available_width());
        let own = run.is_some_and(|run| finding.item == Some(Item::Run(run.id)));
        let lead = if own { String::new() } else { finding.lead() };
        let words = format!("{mark} {lead}{}", finding.text);
        let told = ui.add(Label::new(RichText::new(unbroken(&words)).color(colour)).wrap());
        // spoken and searched for with ordinary spaces
        told.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
        let cure = mend(ctx.project, finding);
        let forget = forget(ctx, finding);
        if finding.spot.is_none() && finding.item.is_none() && cure.is_none() && forget.is_none() {
            return None;
        }
        let row = ui.horizontal(|ui| {
            let has_place = finding.spot.is_some() || finding.item.is_some();
            let shows = has_place.then(|| ui.button("Show"));
            if shows.as_ref().is_some_and(Response::clicked) {
                show(finding, requests);
            }
            if let Some((words, run)) = cure
                && ui.button(words.as_str()).clicked()
            {
                requests.edit(words.to_lowercase(), Edit::PutRun(run));
            }
            if let (
                Problem::Scan(ScanProblem::Missing { .. } | ScanProblem::Changed { .. }),
                Some(Item::Obstacle(id)),
            ) = (&finding.problem, finding.item)
                // the scan's own fields have these buttons too
                && ctx.selection.item != finding.item
            {
                for action in [Action::FindScan(id), Action::ReadScan(id)] {
                    if ui.button(text(action)).on_hover_text(tooltip(action)).clicked() {
                        requests.act(action);
                    }
                }
            }
            if let Some((words, label, edit)) = forget
                && ui.button(words).clicked()
            {
                requests.edit(label, edit);
            }
            shows
        });
        row.inner
    });
    card.inner
}

/// What a finding about sawn pieces offers: the words of its button, the name of the step and the edit.
fn forget(ctx: UiCtx<'_>, finding: &Finding) -> Option<(&'static str, String, Edit)> {
    let that_are = |is: &dyn Fn(&DonePiece) -> bool| {
        Edit::ForgetDone(ctx.project.done.iter().filter(|d| is(d)).cloned().collect())
    };
    match &finding.problem {
        Problem::Stock(StockProblem::SawnOtherwise { key, mark, .. }) => {
            Some(("Saw it again", format!("saw {mark} again"), that_are(&|d| d.key == Some(*key))))
        }
        Problem::Stock(StockProblem::SawnUnknown { .. }) => {
            let words = "Take off the list";
            Some((words, "forget sawn pieces".to_owned(), that_are(&|d| d.key.is_none())))
        }
        _ => None,
    }
}

fn show(finding: &Finding, requests: &mut Requests) {
    if let Some(item) = finding.item {
        let selection = match finding.vertex {
            Some(vertex) if matches!(item, Item::Run(_)) => Selection::vertex(item, vertex),
            _ => Selection::of(item),
        };
        requests.select(selection);
    }
    if let Some(spot) = finding.spot {
        requests.push(Request::Show(spot));
    }
}
