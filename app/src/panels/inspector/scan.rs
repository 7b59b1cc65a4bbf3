//! What is known of a scan, and what can be done with it.

use super::form;
use crate::actions::{Action, text, tooltip};
use crate::ctx::UiCtx;
use crate::job_kind::JobKind;
use crate::jobs::unit_edit;
use crate::request::{ReadScan, Request, Requests};
use crate::theme::{Tokens, bold};
use crate::widgets::choice;
use eframe::egui::{Button, Id, Label, RichText, Ui, vec2};
use pipeloft_core::edit::Edit;
use pipeloft_core::model::{Obstacle, ScanFile, Shape};
use pipeloft_core::space::scan::{ScanState, ScanTree, ScanUnit, scan_path};
use pipeloft_core::units;
use std::sync::Arc;

/// The scan of an obstacle.
pub(super) fn scan_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    obstacle: &Obstacle,
    scan: &ScanFile,
    requests: &mut Requests,
) {
    let path = scan_path(scan, ctx.folder);
    let file = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let tree = ctx.scans.tree(scan);
    form(ui, "scan", |ui| {
        ui.label("File");
        ui.add(Label::new(file.as_str()).truncate()).on_hover_text(path.display().to_string());
        ui.end_row();
        ui.label("Size");
        let size = (scan.high_mm - scan.low_mm).to_array().map(|mm| units::long_length(mm, ctx.units()));
        ui.add(Label::new(size.join(" × ")).wrap());
        ui.end_row();
        ui.label("Triangles");
        ui.label(tree.map_or_else(|| "not read".to_owned(), |tree| tree.scan().len().to_string()));
        ui.end_row();
        unit_row(ui, obstacle, scan, requests);
    });
    state_ui(ui, ctx, obstacle, scan, requests);
    ui.add_space(6.0);
    let ready = tree.is_some();
    ui.horizontal_wrapped(|ui| {
        for (words, hint, kind) in [
            ("Place…", "Lay it over the vehicle by places known on both", JobKind::PlaceScan(obstacle.id)),
            ("Cut down…", "Keep only the part round the pipes", JobKind::CutScan(obstacle.id)),
            (
                "Pick a rim…",
                "A hardpoint from three points round the mouth of a pipe",
                JobKind::PickRim(obstacle.id),
            ),
            ("Pick a face…", "A hardpoint from one point of a face", JobKind::PickFace(obstacle.id)),
        ] {
            let button = ui.add_enabled(ready, Button::new(words).min_size(vec2(110.0, 32.0)));
            if button.on_hover_text(hint).on_disabled_hover_text("The scan has not been read").clicked() {
                requests.push(Request::Open(kind));
            }
        }
        let find = Action::FindScan(obstacle.id);
        let button = ui.add(Button::new(text(find)).min_size(vec2(110.0, 32.0)));
        if button.on_hover_text(tooltip(find)).clicked() {
            requests.act(find);
        }
    });
    if scan.keep.is_some() {
        ui.label("It is cut down to a box.");
    }
    if let Some(words) = tree.and_then(|tree| tree.scan().dropped().sentence()) {
        ui.add(Label::new(words).wrap());
    }
}

fn unit_row(ui: &mut Ui, obstacle: &Obstacle, scan: &ScanFile, requests: &mut Requests) {
    let current = ScanUnit::ALL.into_iter().find(|unit| unit.mm().to_bits() == scan.mm_per_unit.to_bits());
    let mut options: Vec<(Option<ScanUnit>, String)> =
        ScanUnit::ALL.iter().map(|unit| (Some(*unit), unit.name().to_owned())).collect();
    if current.is_none() {
        options.push((None, format!("{} mm", units::plain_number(scan.mm_per_unit, 6))));
    }
    let id = Id::unique(("scan unit", obstacle.id));
    if let Some(Some(unit)) = choice(ui, id, "Measured in", &current, &options) {
        requests.edit(format!("take {} as {}", obstacle.name, unit.name()), unit_edit(obstacle, scan, unit));
    }
    ui.end_row();
}

/// How it stands, where that is anything but well.
fn state_ui(ui: &mut Ui, ctx: UiCtx<'_>, obstacle: &Obstacle, scan: &ScanFile, requests: &mut Requests) {
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let warn = |ui: &mut Ui, words: &str, colour| {
        ui.add(Label::new(RichText::new(words).color(colour)).wrap());
    };
    let again = Action::ReadScan(obstacle.id);
    match ctx.scans.state(scan) {
        None | Some(ScanState::Reading) => {
            ui.label("It is being read.");
        }
        Some(ScanState::Ready(_)) => {}
        Some(ScanState::Missing(why)) => {
            warn(ui, &format!("✖ {why}"), tokens.stop);
            if ui.button(text(again)).on_hover_text(tooltip(again)).clicked() {
                requests.act(again);
            }
        }
        Some(ScanState::Changed(tree, why)) => {
            warn(ui, &format!("⚠ {why}"), tokens.warn);
            let hint = "The file as it is now is the right one: do not warn of it any more";
            if ui.button(bold("Use it as it is now")).on_hover_text(hint).clicked() {
                take_as_it_is(obstacle, scan, tree, requests);
            }
        }
    }
}

/// Notes the file as it is now as the one that is meant.
fn take_as_it_is(obstacle: &Obstacle, scan: &ScanFile, tree: &Arc<ScanTree>, requests: &mut Requests) {
    let Some(print) = tree.scan().fingerprint() else { return };
    let sum = print.to_string();
    let (low, high) = tree.scan().bounds();
    let file = ScanFile {
        bytes: print.bytes,
        sha256: sum.split_once(':').map_or(String::new(), |(_, sum)| sum.to_owned()),
        low_mm: low * scan.mm_per_unit,
        high_mm: high * scan.mm_per_unit,
        ..scan.clone()
    };
    requests.push(Request::KeepTree(ReadScan { file: file.clone(), tree: Arc::clone(tree) }));
    let new = Obstacle { shape: Shape::Scan(file), ..obstacle.clone() };
    requests.edit(format!("use {} as it is now", obstacle.name), Edit::PutObstacle(new));
}
