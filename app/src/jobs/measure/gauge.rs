//! The direction of a hardpoint from an angle gauge.

use super::enter::MeasuredPort;
use super::parts::{Hop, Shade, big_full, big_row, direction_words, note, row, sentence, trust_ui};
use super::{At, Outcome, Target};
use crate::jobs::{Choice3, Ink, Sketch};
use crate::widgets::{Kind, choice};
use eframe::egui::{Id, Ui};
use glam::DVec3;
use pipeloft_core::geom::vector::unit;
use pipeloft_core::measure::gauge::{Aim, Guide, from_incline, from_lines, from_views};
use pipeloft_core::measure::side::Differ;
use pipeloft_core::measure::{Doubt, GAUGE_SIGMA_RAD, Level, MeasureError};
use pipeloft_core::model::{Hardpoint, HardpointId, Item, Project};

/// What the gauge was held to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Held {
    Incline,
    Views,
    Lines,
}

/// A line whose direction is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Line {
    Forward,
    Left,
    Up,
    Port(HardpointId),
}

impl Line {
    /// All there are, but the one that is measured.
    fn all(project: &Project, but: HardpointId) -> Vec<(Self, String)> {
        let axes = [(Self::Forward, "Forward"), (Self::Left, "Left"), (Self::Up, "Up")];
        let axes = axes.map(|(line, words)| (line, words.to_owned()));
        let ports = project.hardpoints.iter().filter(|h| h.id != but && unit(h.direction).is_some());
        axes.into_iter().chain(ports.map(|h| (Self::Port(h.id), h.name.clone()))).collect()
    }

    fn direction(self, project: &Project) -> DVec3 {
        match self {
            Self::Forward => DVec3::X,
            Self::Left => DVec3::Y,
            Self::Up => DVec3::Z,
            Self::Port(id) => project.hardpoint(id).map_or(DVec3::ZERO, |h| h.direction),
        }
    }
}

/// The form.
#[derive(Debug, Clone)]
pub(super) struct GaugeForm {
    held: Held,
    /// Readings of each way by itself, degrees.
    incline: [Option<f64>; 2],
    views: [Option<f64>; 2],
    angles: [Option<f64>; 2],
    lines: [Line; 2],
    /// Which of two answers, in their order.
    which: Option<usize>,
}

impl Default for GaugeForm {
    fn default() -> Self {
        Self {
            held: Held::Incline,
            incline: [None; 2],
            views: [None; 2],
            angles: [None; 2],
            lines: [Line::Forward, Line::Up],
            which: None,
        }
    }
}

/// Arrows are this long, mm, and at least this many diameters.
const ARROW_MM: f64 = 150.0;
const ARROW_DIAMETERS: f64 = 3.0;

impl GaugeForm {
    /// Whether an angle was entered.
    pub(super) fn holds_entries(&self) -> bool {
        [self.incline, self.views, self.angles].iter().flatten().any(Option::is_some)
    }

    /// One of two answers was clicked in the view.
    pub(super) fn chosen(&mut self, index: usize) {
        self.which = Some(index);
    }

    /// The fields. Asks which hardpoint it is where `target` is none.
    pub(super) fn ui(
        &mut self,
        ui: &mut Ui,
        at: At<'_>,
        sketch: &mut Sketch,
        target: &mut Target,
    ) -> Outcome {
        let project = at.ctx.project;
        let current = match *target {
            Target::Of(Item::Hardpoint(id)) => Some(id),
            Target::Of(_) | Target::NewHardpoint | Target::NewDatum => None,
        };
        let ports: Vec<_> = project.hardpoints.iter().map(|h| (Some(h.id), h.name.clone())).collect();
        ui.horizontal(|ui| {
            if let Some(Some(id)) = choice(ui, at.id.with("whose"), "Direction of", &current, &ports) {
                *target = Target::Of(Item::Hardpoint(id));
                self.which = None;
            }
        });
        let port = current.and_then(|id| project.hardpoint(id)).ok_or("Choose whose direction it is.")?;
        let ways =
            [(Held::Incline, "By slope"), (Held::Views, "By two views"), (Held::Lines, "By two lines")];
        if let Some(held) = big_row(ui, Some(self.held), &ways) {
            self.held = held;
        }
        let asked = match self.held {
            Held::Incline => self.incline_ui(ui, at),
            Held::Views => self.views_ui(ui, at),
            Held::Lines => self.lines_ui(ui, at, port),
        };
        if self.held == Held::Lines {
            self.draw_lines(at, port, sketch);
        }
        let aims = match asked {
            None => return Err("Enter both angles.".to_owned()),
            Some(Err(error)) => {
                sentence(ui, Shade::Level(Level::Bad), error.text(at.ctx.units()));
                return Err("The angles give no direction yet: see above.".to_owned());
            }
            Some(Ok(aims)) => aims,
        };
        self.result_ui(ui, at, (port, &aims), sketch)
    }

    fn incline_ui(&mut self, ui: &mut Ui, at: At<'_>) -> Option<Result<Vec<Aim>, MeasureError>> {
        note(ui, "Lay the gauge along the tube or the port: its slope from level, up is plus.");
        let id = at.id.with("incline");
        let mut hop = Hop::default();
        angle_row(ui, id, "Slope", &mut self.incline[0], &mut hop);
        note(ui, "Seen from above, turned from straight ahead: left is plus.");
        angle_row(ui, id, "Heading", &mut self.incline[1], &mut hop);
        hop.go(ui);
        let [slope, heading] = both(self.incline)?;
        Some(from_incline(slope, heading, GAUGE_SIGMA_RAD).map(|aim| vec![aim]))
    }

    fn views_ui(&mut self, ui: &mut Ui, at: At<'_>) -> Option<Result<Vec<Aim>, MeasureError>> {
        note(ui, "As it looks square from the side, turned from straight ahead: up is plus.");
        let id = at.id.with("views");
        let mut hop = Hop::default();
        angle_row(ui, id, "From the side", &mut self.views[0], &mut hop);
        note(ui, "As it looks square from above, turned from straight ahead: left is plus.");
        angle_row(ui, id, "From above", &mut self.views[1], &mut hop);
        note(ui, "Beyond 90° in both it runs backward.");
        hop.go(ui);
        let [side, above] = both(self.views)?;
        Some(from_views(side, above, GAUGE_SIGMA_RAD).map(|aim| vec![aim]))
    }

    fn lines_ui(
        &mut self,
        ui: &mut Ui,
        at: At<'_>,
        port: &Hardpoint,
    ) -> Option<Result<Vec<Aim>, MeasureError>> {
        note(ui, "Hold a bevel between the tube and each of two lines whose direction is known.");
        let project = at.ctx.project;
        let on_offer = Line::all(project, port.id);
        for line in &mut self.lines {
            if !on_offer.iter().any(|(l, _)| l == line) {
                *line = Line::Left;
            }
        }
        let id = at.id.with("lines");
        let mut hop = Hop::default();
        let before = (self.lines, self.angles);
        for (i, (line, angle)) in self.lines.iter_mut().zip(&mut self.angles).enumerate() {
            ui.horizontal(|ui| {
                let label = format!("Line {}", i + 1);
                if let Some(new) = choice(ui, id.with(i), &label, line, &on_offer) {
                    *line = new;
                }
            });
            angle_row(ui, id, &format!("Angle to line {}", i + 1), angle, &mut hop);
        }
        if before != (self.lines, self.angles) {
            self.which = None;
        }
        hop.go(ui);
        let angles = both(self.angles)?;
        let [first, second] = [0, 1].map(|i| {
            let line = self.lines[i];
            let name = on_offer.iter().find(|(l, _)| *l == line).map(|(_, words)| words.clone());
            Guide { name: name.unwrap_or_default(), direction: line.direction(project), angle_rad: angles[i] }
        });
        let aims = from_lines(&first, &second, GAUGE_SIGMA_RAD);
        Some(aims.map(|a| [Some(a.first), a.second].into_iter().flatten().collect()))
    }

    /// The known lines, from the port.
    fn draw_lines(&self, at: At<'_>, port: &Hardpoint, sketch: &mut Sketch) {
        let length = 0.8 * arrow_mm(port);
        for (i, line) in self.lines.iter().enumerate() {
            if let Some(way) = unit(line.direction(at.ctx.project)) {
                sketch.arrow(port.position_mm, way, length, (Ink::Help, 1.5));
                sketch.note(port.position_mm + way * length, format!("line {}", i + 1), Ink::Help);
            }
        }
    }

    fn result_ui(
        &mut self,
        ui: &mut Ui,
        at: At<'_>,
        (port, aims): (&Hardpoint, &[Aim]),
        sketch: &mut Sketch,
    ) -> Outcome {
        let units = at.ctx.units();
        let length = arrow_mm(port);
        let meant = match aims {
            [first, second] => {
                let words = Differ::of(first.direction, second.direction).directions();
                for (i, (aim, words)) in aims.iter().zip(words).enumerate() {
                    let on = self.which == Some(i);
                    let response = big_full(ui, on, words).on_hover_text(direction_words(aim.direction));
                    if response.clicked() {
                        self.which = Some(i);
                    }
                    let tip = port.position_mm + aim.direction * length;
                    sketch.choices.push(Choice3 {
                        at: tip,
                        words: words.to_owned(),
                        chosen: self.which == Some(i),
                    });
                }
                note(ui, "Or click its mark in the 3D view.");
                self.which.and_then(|i| aims.get(i))
            }
            all => all.first(),
        };
        for aim in aims {
            let look = if meant.is_none_or(|m| m == aim) { (Ink::Main, 3.5) } else { (Ink::Help, 1.5) };
            sketch.arrow(port.position_mm, aim.direction, length, look);
        }
        let open = |d: &&Doubt| !(meant.is_some() && matches!(d, Doubt::AnglesOpen { .. }));
        let trust = meant.or(aims.first()).and_then(|aim| {
            let doubts = aim.trust.doubts.iter().filter(open);
            trust_ui(ui, units, doubts, &aim.trust.good, meant.is_some())
        });
        let aim = meant.ok_or("Choose which of the two directions it is.")?;
        let notes = trust.into_iter().collect();
        Ok(MeasuredPort { direction: Some(aim.direction), notes, ..MeasuredPort::default() })
    }
}

/// How long an arrow out of this port is drawn, mm.
fn arrow_mm(port: &Hardpoint) -> f64 {
    ARROW_MM.max(ARROW_DIAMETERS * port.od_mm)
}

fn angle_row(ui: &mut Ui, id: Id, label: &str, value: &mut Option<f64>, hop: &mut Hop) {
    ui.horizontal(|ui| {
        row(ui, id.with(label), label, value, Kind::Angle, hop);
    });
}

/// Both readings in rad, once they are there.
fn both(deg: [Option<f64>; 2]) -> Option<[f64; 2]> {
    Some([deg[0]?.to_radians(), deg[1]?.to_radians()])
}
