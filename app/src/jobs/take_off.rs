//! The form that finds out whether a section of a pipe comes off, and shows how.

use super::{Ink, Job, Sketch, Stay, Stroke3};
use crate::ctx::UiCtx;
use crate::jobs::Spot;
use crate::request::{Request, Requests};
use crate::theme::{Tokens, bold};
use crate::widgets::{Kind, choice, number_hinted};
use eframe::egui::{self, Button, Grid, Id, Label, ProgressBar, RichText, Slider, Ui, vec2};
use glam::{DQuat, DVec3};
use pipeloft_core::model::{Project, RunId};
use pipeloft_core::report::take_off::{Place, Section, TakeOff, openings, usual_need_mm};
use pipeloft_core::space::scan::{Scans, scans_of};
use pipeloft_core::space::way_out::{Answer, Outcome, Stance, Way};
use pipeloft_core::view3d::Apart;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::Duration;

/// How long the whole way takes to be shown, seconds.
const SHOW_S: f32 = 4.0;
/// The longest step of the picture, seconds: a slow frame does not skip half of the way.
const LONGEST_STEP_S: f32 = 0.1;
/// How often the progress is looked at while searching.
const LOOK_AGAIN: Duration = Duration::from_millis(80);
/// Progress is counted in thousandths.
const WHOLE: f64 = 1000.0;

/// A search that goes on in its own thread.
#[derive(Debug)]
struct WayOutSearch {
    section: Arc<TakeOff>,
    project: Project,
    result: Receiver<Outcome>,
    done: Arc<AtomicU32>,
    stop: Arc<AtomicBool>,
}

impl WayOutSearch {
    fn begin(section: TakeOff, project: &Project, ctx: &egui::Context) -> Result<Self, String> {
        let section = Arc::new(section);
        let (done, stop) = (Arc::<AtomicU32>::default(), Arc::<AtomicBool>::default());
        let (send, result) = channel();
        let (work, ctx) = (Arc::clone(&section), ctx.clone());
        let (tell, asked) = (Arc::clone(&done), Arc::clone(&stop));
        let thread = std::thread::Builder::new().name("take off".to_owned()).spawn(move || {
            let outcome = work.find(&mut |share| {
                tell.store((share * WHOLE) as u32, Ordering::Relaxed);
                !asked.load(Ordering::Relaxed)
            });
            if send.send(outcome).is_ok() {
                ctx.request_repaint();
            }
        });
        match thread {
            Ok(_) => Ok(Self { section, project: project.clone(), result, done, stop }),
            Err(error) => Err(format!("The search could not be begun: {error}. Try again.")),
        }
    }
}

impl Drop for WayOutSearch {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

/// What was found.
#[derive(Debug)]
struct FoundWayOut {
    section: Arc<TakeOff>,
    project: Project,
    outcome: Outcome,
    words: Vec<String>,
    way: Option<Way>,
}

/// The form.
#[derive(Debug)]
pub(super) struct TakeOffJob {
    run: RunId,
    from: Option<Place>,
    to: Option<Place>,
    need_mm: f64,
    search: Option<WayOutSearch>,
    found: Option<FoundWayOut>,
    /// What became of the last answer or search, and whether something went wrong.
    said: Option<(String, bool)>,
    /// How much of the way is shown, 0 to 1.
    share: f32,
    playing: bool,
}

impl TakeOffJob {
    pub(super) fn new(run: RunId, ctx: UiCtx<'_>) -> Self {
        Self {
            run,
            from: None,
            to: None,
            need_mm: usual_need_mm(ctx.units()),
            search: None,
            found: None,
            said: None,
            share: 0.0,
            playing: false,
        }
    }

    /// Drops what was worked out for something else, and takes over what has been found.
    fn follow(&mut self, ctx: UiCtx<'_>) {
        let is_old = |section: &TakeOff, project: &Project| {
            project != ctx.project || section.unread != unread(ctx.project, ctx.scans)
        };
        if self.search.as_ref().is_some_and(|s| is_old(&s.section, &s.project)) {
            self.search = None;
            self.said =
                Some(("The project was changed, so the search was stopped. Begin again.".to_owned(), false));
        }
        if self.found.as_ref().is_some_and(|f| is_old(&f.section, &f.project)) {
            self.forget();
            self.said = Some((
                "The project was changed, so the answer is gone. Look for a way again.".to_owned(),
                false,
            ));
        }
        let Some(search) = &self.search else { return };
        match search.result.try_recv() {
            Ok(outcome) => {
                let (section, project) = (Arc::clone(&search.section), search.project.clone());
                let (words, way) = (section.words(&outcome), section.to_show(&outcome));
                self.found = Some(FoundWayOut { section, project, outcome, words, way });
                (self.search, self.said, self.share, self.playing) = (None, None, 0.0, false);
            }
            Err(TryRecvError::Empty) => {}
            Err(TryRecvError::Disconnected) => {
                self.search = None;
                self.said = Some(("The search broke off without an answer. Try again.".to_owned(), true));
            }
        }
    }

    fn forget(&mut self) {
        (self.found, self.said, self.share, self.playing) = (None, None, 0.0, false);
    }

    /// Chooses where the pipe is opened. Returns the two places where there are two.
    fn places_ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>) -> Option<(Place, Place)> {
        let (run, result) = (ctx.project.run(self.run)?, ctx.report.run(self.run)?);
        let all = openings(ctx.project, run, result);
        if all.len() < 2 {
            let words = if result.built.is_buildable() {
                "This pipe can be opened at fewer than two places, so nothing can be taken off. Fix its ends by a joint, or add joints along it."
            } else {
                "This pipe cannot be built as drawn. Solve its problems first."
            };
            ui.add(Label::new(words).wrap());
            return None;
        }
        let options: Vec<(Place, String)> = all.iter().map(|o| (o.place, o.words.clone())).collect();
        let is_there = |place: &Place| options.iter().any(|(p, _)| p == place);
        let mut from = self.from.filter(is_there).unwrap_or(options[0].0);
        let mut to = self.to.filter(is_there).unwrap_or(options[options.len() - 1].0);
        let id = Id::unique(("take off", self.run));
        Grid::new(id.with("places")).num_columns(2).min_col_width(100.0).show(ui, |ui| {
            if let Some(place) = choice(ui, id.with("from"), "Open it at", &from, &options) {
                from = place;
                self.forget();
            }
            ui.end_row();
            if let Some(place) = choice(ui, id.with("to"), "and at", &to, &options) {
                to = place;
                self.forget();
            }
            ui.end_row();
            let hint =
                "Gap the section keeps while it moves. What is nearer where it stands may stay as near";
            let kind = Kind::Length(ctx.units());
            if let Some(mm) = number_hinted(ui, id.with("need"), "Gap on the way", hint, self.need_mm, kind) {
                self.need_mm = mm.max(0.0);
                self.forget();
            }
            ui.end_row();
        });
        (self.from, self.to) = (Some(from), Some(to));
        Some((from.min(to), from.max(to)))
    }

    fn begin(&mut self, ui: &Ui, ctx: UiCtx<'_>, (from, to): (Place, Place)) {
        self.forget();
        let section = Section { run: self.run, from, to, need_mm: self.need_mm };
        let begun = TakeOff::new(ctx.project, ctx.scans, ctx.report, section)
            .and_then(|section| WayOutSearch::begin(section, ctx.project, ui.ctx()));
        match begun {
            Ok(search) => self.search = Some(search),
            Err(sentence) => self.said = Some((sentence, true)),
        }
    }

    /// Progress and a way to stop.
    fn search_ui(&mut self, ui: &mut Ui) {
        let Some(search) = &self.search else { return };
        let share = f64::from(search.done.load(Ordering::Relaxed)) / WHOLE;
        let words = format!("Looking for a way out, {} %", (share * 100.0) as u32);
        ui.add(ProgressBar::new(share as f32).text(words));
        if ui.add(Button::new("Cancel").min_size(vec2(120.0, 32.0))).clicked() {
            self.search = None;
            self.said = Some(("The search was given up.".to_owned(), false));
        }
        ui.ctx().request_repaint_after(LOOK_AGAIN);
    }

    fn found_ui(&mut self, ui: &mut Ui, requests: &mut Requests) {
        let Some(found) = &self.found else { return };
        let tokens = Tokens::of(ui.visuals().dark_mode);
        let comes_off = matches!(found.outcome.answer, Answer::Pull(_) | Answer::Way(_));
        for sentence in &found.section.first {
            ui.add(Label::new(sentence).wrap());
        }
        ui.add_space(4.0);
        for (i, sentence) in found.words.iter().enumerate() {
            let ink = match (i, comes_off) {
                (0, true) => tokens.good,
                (0, false) => tokens.stop,
                _ => tokens.text,
            };
            let text = if i == 0 { bold(sentence) } else { RichText::new(sentence) };
            ui.add(Label::new(text.color(ink)).wrap());
        }
        if found.way.is_none() {
            return;
        }
        ui.add_space(8.0);
        ui.horizontal(|ui| {
            let words = if self.playing { "Pause" } else { "Show it" };
            if ui.add(Button::new(words).min_size(vec2(96.0, 32.0))).clicked() {
                self.playing = !self.playing;
                if self.playing && self.share >= 1.0 {
                    self.share = 0.0;
                }
            }
            ui.spacing_mut().slider_width = 150.0;
            let slider = Slider::new(&mut self.share, 0.0..=1.0).show_value(false).text("Along the way");
            if ui.add(slider).changed() {
                self.playing = false;
            }
        });
        let hint = "Turn the view to where the section can be seen";
        if ui.add(Button::new("Bring into view").min_size(vec2(96.0, 32.0))).on_hover_text(hint).clicked() {
            requests.push(Request::Show(found.section.middle()));
        }
        if self.playing {
            self.share += ui.input(|i| i.stable_dt).min(LONGEST_STEP_S) / SHOW_S;
            if self.share >= 1.0 {
                (self.share, self.playing) = (1.0, false);
            }
            ui.ctx().request_repaint();
        }
    }

    fn stance(&self, way: &Way) -> Stance {
        way.at(f64::from(self.share))
    }
}

impl Job for TakeOffJob {
    fn title(&self) -> String {
        "Take it off".to_owned()
    }

    fn ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>, _spot: Option<Spot>, requests: &mut Requests) -> Stay {
        let Some(run) = ctx.project.run(self.run) else { return Stay::Closed };
        self.follow(ctx);
        ui.label(bold(&run.name));
        let about = "Opens the pipe at two places and looks whether what lies between comes off, and how. Nothing in the project is changed.";
        ui.add(Label::new(about).wrap());
        ui.add_space(6.0);
        let Some(places) = self.places_ui(ui, ctx) else { return Stay::Open };
        ui.add_space(6.0);
        if self.search.is_some() {
            self.search_ui(ui);
        } else if ui.add(Button::new("Find the way out").min_size(vec2(200.0, 36.0))).clicked() {
            self.begin(ui, ctx, places);
        }
        if let Some((words, bad)) = &self.said {
            let tokens = Tokens::of(ui.visuals().dark_mode);
            let ink = if *bad { tokens.stop } else { tokens.warn };
            ui.add(Label::new(RichText::new(words).color(ink)).wrap());
        }
        ui.add_space(6.0);
        self.found_ui(ui, requests);
        Stay::Open
    }

    /// What is chosen here is chosen again in a moment.
    fn holds_entries(&self) -> bool {
        false
    }

    fn sketch(&self, ctx: UiCtx<'_>) -> Sketch {
        let mut sketch = Sketch::default();
        let Some(found) = &self.found else {
            for place in [self.from, self.to].into_iter().flatten() {
                if let Some(at) = spot(ctx, self.run, place) {
                    sketch.mark(at, "opened here", Ink::Main);
                }
            }
            return sketch;
        };
        let Some(way) = &found.way else { return sketch };
        let comes_off = matches!(found.outcome.answer, Answer::Pull(_) | Answer::Way(_));
        let (ink, end) = if comes_off { (Ink::Good, Ink::Good) } else { (Ink::Warn, Ink::Stop) };
        let middle = found.section.middle();
        let at = |stance: &Stance| {
            let (rotation, shift_mm) = stance.motion(way.pivot);
            rotation * middle + shift_mm
        };
        let points: Vec<DVec3> = (0..=60).map(|i| at(&way.at(f64::from(i) / 60.0))).collect();
        let last = points.last().copied();
        sketch.strokes.push(Stroke3 { points, ink, width: 2.5 });
        if let Some(last) = last {
            sketch.mark(last, if comes_off { "out" } else { "stops here" }, end);
        }
        sketch
    }

    fn apart(&self) -> Option<Apart> {
        let found = self.found.as_ref()?;
        let lit = found.section.stopped_by(&found.outcome);
        if found.way.is_none() && lit.is_none() {
            return None;
        }
        let motion = found.way.as_ref().map(|way| self.stance(way).motion(way.pivot));
        let (rotation, shift_mm) = motion.unwrap_or((DQuat::IDENTITY, DVec3::ZERO));
        Some(Apart {
            run: found.section.run,
            pieces: found.section.pieces.clone(),
            opened: found.section.opened.clone(),
            moving: found.section.moving.clone(),
            staying: found.section.staying.clone(),
            rotation,
            shift_mm,
            lit,
        })
    }
}

/// Where a place is that a run is opened at, mm.
fn spot(ctx: UiCtx<'_>, run: RunId, place: Place) -> Option<DVec3> {
    let frames = &ctx.report.run(run)?.built.frames;
    Some(match place {
        Place::Start => frames.first()?.0.origin,
        Place::Joint(piece) => frames.get(piece).map(|(a, b)| a.origin.midpoint(b.origin))?,
        Place::End => frames.last()?.1.origin,
    })
}

/// Names of the scans that have not been read.
fn unread(project: &Project, scans: &Scans) -> Vec<String> {
    let all = scans_of(project).filter(|(obstacle, _)| scans.placed(obstacle).is_none());
    all.map(|(obstacle, _)| obstacle.name.clone()).collect()
}
