//! Brings a scan in: reads it, asks for its unit where the file does not say, and puts it into the project.

use super::scan_form::{sentence, told};
use super::{Job, JobKind, Sketch, Spot, Stay};
use crate::actions::Action;
use crate::ctx::UiCtx;
use crate::platform::real_path;
use crate::request::{ReadScan, Request, Requests};
use crate::selection::Selection;
use crate::task::{Done, Task};
use crate::theme::bold;
use eframe::egui::{Button, Context, Grid, Label, ProgressBar, Ui, vec2};
use glam::DVec3;
use pipeloft_core::edit::{Edit, apply, new_item};
use pipeloft_core::measure::Level;
use pipeloft_core::model::{Item, Pose, ScanFile, Shape};
use pipeloft_core::space::scan::{ScanTree, ScanUnit, Watch, path_to_file, read};
use pipeloft_core::units;
use std::path::{Path, PathBuf};
use std::sync::Arc;

type ScanResult = Result<Arc<ScanTree>, String>;

/// How far it has come.
#[derive(Debug)]
enum Stage {
    /// To be begun with the first frame.
    Fresh,
    Reading(Task<ScanResult>),
    Read(Arc<ScanTree>),
    /// With the sentence why.
    Failed(String),
}

/// The form.
#[derive(Debug)]
pub(super) struct BringScan {
    path: PathBuf,
    stage: Stage,
    /// Why it could not be put into the project.
    refused: Option<String>,
}

/// Reads a scan and prepares it for questions.
pub(super) fn read_whole(path: &Path, watch: &dyn Watch) -> ScanResult {
    // most of the time goes into reading
    struct Part<'a>(&'a dyn Watch, f64, f64);
    impl Watch for Part<'_> {
        fn progress(&self, part: f64) {
            self.0.progress(self.1 + (self.2 - self.1) * part);
        }

        fn is_cancelled(&self) -> bool {
            self.0.is_cancelled()
        }
    }
    let scan = read(path, &Part(watch, 0.0, 0.6)).map_err(|e| e.to_string())?;
    ScanTree::new(scan, &Part(watch, 0.6, 1.0)).map(Arc::new).map_err(|e| format!("{}: {e}.", path.display()))
}

/// Begins to read a scan beside the window.
pub(super) fn begin_reading(path: &Path, ctx: &Context) -> Result<Task<ScanResult>, String> {
    let work = path.to_owned();
    Task::begin("scan", ctx, move |watch| read_whole(&work, watch)).ok_or_else(|| {
        format!("{} could not be read: the system is too busy. Try again in a moment.", path.display())
    })
}

/// The bar of a scan that is being read; whether to stop.
pub(super) fn reading_ui(ui: &mut Ui, name: &str, part: f64) -> bool {
    sentence(ui, format!("Reading {name}. The window can be used meanwhile."));
    ui.add(ProgressBar::new(part as f32).show_percentage());
    ui.add_space(6.0);
    ui.add(Button::new("Cancel").min_size(vec2(120.0, 32.0))).clicked()
}

impl BringScan {
    pub(super) fn new(path: &Path) -> Self {
        Self { path: real_path(path), stage: Stage::Fresh, refused: None }
    }

    fn name(&self) -> String {
        self.path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned())
    }

    /// Goes on from stage to stage.
    fn advance(&mut self, ui: &Ui, requests: &mut Requests) {
        let next = match &self.stage {
            Stage::Fresh => match begin_reading(&self.path, ui.ctx()) {
                Ok(task) => Stage::Reading(task),
                Err(words) => Stage::Failed(words),
            },
            Stage::Reading(task) => match task.look(ui.ctx()) {
                Done::NotYet => return,
                Done::With(Ok(tree)) => Stage::Read(tree),
                Done::With(Err(words)) => Stage::Failed(words),
                Done::Never => Stage::Failed(format!("{} could not be read.", self.path.display())),
            },
            Stage::Read(_) | Stage::Failed(_) => return,
        };
        if let Stage::Failed(words) = &next {
            requests.push(Request::Complain(words.clone()));
        }
        self.stage = next;
    }

    /// Puts the scan into the project, in that unit.
    fn finish(&self, tree: &Arc<ScanTree>, unit: ScanUnit, ctx: UiCtx<'_>) -> Result<Vec<Request>, String> {
        let scan = tree.scan();
        let print = scan.fingerprint().ok_or("The file was not looked at to its end. Read it again.")?;
        let sum = print.to_string();
        let (low, high) = scan.bounds();
        let file = ScanFile {
            path: path_to_file(&self.path, ctx.folder),
            bytes: print.bytes,
            sha256: sum.split_once(':').map_or(String::new(), |(_, sum)| sum.to_owned()),
            mm_per_unit: unit.mm(),
            low_mm: low * unit.mm(),
            high_mm: high * unit.mm(),
            keep: None,
        };
        let mut project = ctx.project.clone();
        let mut new = new_item::obstacle(&mut project, Shape::Scan(file.clone()), DVec3::ZERO);
        let stem = self.path.file_stem().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
        new.name = new_item::free_name(
            &new_item::kept_name(&stem, &new.name),
            &ctx.project.obstacles.iter().map(|o| o.name.as_str()),
        );
        new.pose = Pose { position_mm: DVec3::ZERO, turn_deg: scan.axes().turn_deg() };
        let (id, name) = (new.id, new.name.clone());
        let edit = Edit::PutObstacle(new);
        apply(ctx.project, &edit).map_err(|error| error.to_string())?;
        let left_out = scan.dropped().sentence().map_or_else(String::new, |words| format!(" {words}"));
        let words =
            format!("{name} is in: {} triangles, in {}.{left_out} Now place it.", scan.len(), unit.name());
        Ok(vec![
            Request::KeepTree(ReadScan { file, tree: Arc::clone(tree) }),
            Request::Edit(format!("bring in {name}"), edit),
            Request::Select(Selection::of(Item::Obstacle(id))),
            Request::Open(JobKind::PlaceScan(id)),
            Request::Act(Action::FitSelected),
            Request::Say(words),
        ])
    }
}

/// The size of a scan in a unit, as people write it.
fn size_words(ctx: UiCtx<'_>, size: DVec3, mm_per_unit: f64) -> String {
    let [x, y, z] = (size * mm_per_unit).to_array().map(|mm| units::long_length(mm, ctx.units()));
    format!("{x} × {y} × {z}")
}

/// Six buttons, one a unit, with the size that would give; the one that was pressed.
pub(super) fn units_ui(ui: &mut Ui, ctx: UiCtx<'_>, size: DVec3, guess: ScanUnit) -> Option<ScanUnit> {
    let mut chosen = None;
    Grid::new("scan units").num_columns(2).spacing(vec2(10.0, 6.0)).show(ui, |ui| {
        for unit in ScanUnit::ALL {
            let words = bold(format!("In {}", unit.name()));
            if ui.add(Button::new(words).min_size(vec2(150.0, 34.0))).clicked() {
                chosen = Some(unit);
            }
            let mark = if unit == guess { "  ← looks right" } else { "" };
            let words = format!("{}{mark}", size_words(ctx, size, unit.mm()));
            ui.add(Label::new(words).wrap());
            ui.end_row();
        }
    });
    chosen
}

impl Job for BringScan {
    fn title(&self) -> String {
        format!("Bring in {}", self.name())
    }

    fn ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>, _spot: Option<Spot>, requests: &mut Requests) -> Stay {
        self.advance(ui, requests);
        let (tree, unit) = match &self.stage {
            Stage::Fresh => return Stay::Open,
            Stage::Reading(task) => {
                let stop = reading_ui(ui, &self.name(), task.part());
                if stop {
                    requests.push(Request::Say(format!("{} was not brought in.", self.name())));
                }
                return if stop { Stay::Closed } else { Stay::Open };
            }
            Stage::Failed(words) => {
                told(ui, words, Level::Bad);
                ui.add_space(6.0);
                if ui.add(Button::new("Choose another file…").min_size(vec2(190.0, 34.0))).clicked() {
                    requests.act(Action::BringScan);
                }
                return Stay::Open;
            }
            Stage::Read(tree) => {
                let found = tree.scan().unit();
                if found.said && self.refused.is_none() {
                    (Arc::clone(tree), Some(found.unit))
                } else {
                    (Arc::clone(tree), question_ui(ui, ctx, tree, self.refused.as_deref()))
                }
            }
        };
        let Some(unit) = unit else { return Stay::Open };
        match self.finish(&tree, unit, ctx) {
            Ok(wishes) => {
                requests.extend(wishes);
                Stay::Closed
            }
            Err(words) => {
                self.refused = Some(words);
                ui.ctx().request_repaint();
                Stay::Open
            }
        }
    }

    /// The file is still there.
    fn holds_entries(&self) -> bool {
        false
    }

    fn sketch(&self, _ctx: UiCtx<'_>) -> Sketch {
        Sketch::default()
    }
}

/// What was read, and the question for the unit.
fn question_ui(ui: &mut Ui, ctx: UiCtx<'_>, tree: &ScanTree, refused: Option<&str>) -> Option<ScanUnit> {
    let scan = tree.scan();
    sentence(ui, format!("{} triangles.", scan.len()));
    if let Some(words) = scan.dropped().sentence() {
        sentence(ui, words);
    }
    if let Some(words) = refused {
        told(ui, words, Level::Bad);
    }
    ui.add_space(6.0);
    ui.label(bold("What is it measured in?"));
    sentence(ui, &*scan.unit().reason);
    sentence(ui, "Press the unit with the size that is right. It can be changed later.");
    ui.add_space(4.0);
    let (low, high) = scan.bounds();
    units_ui(ui, ctx, high - low, scan.unit().unit)
}
