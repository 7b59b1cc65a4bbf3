//! A port from points on its rim, typed or clicked in the 3D view.

use super::enter::MeasuredPort;
use super::parts::{
    Hop, Shade, big_full, delete_button, level_of, note, row, sentence, trust_ui, whole, xyz_ui,
};
use super::{At, Outcome};
use crate::jobs::{Ink, Sketch, Spot};
use crate::theme::bold;
use crate::widgets::Kind;
use eframe::egui::{Button, Ui, vec2};
use glam::DVec3;
use pipeloft_core::measure::rim::{Rim, STOCK_WITHIN_MM, rim, stock_size};
use pipeloft_core::measure::{Level, MeasureError, Needs, POINT_SIGMA_MM, amount};
use pipeloft_core::model::Project;
use pipeloft_core::units::{self, UnitSystem};

/// Points it takes at least.
const LEAST: usize = 3;
/// The arrow out of the rim is this many diameters long.
const ARROW_DIAMETERS: f64 = 2.0;

/// One point, as far as it was entered.
#[derive(Debug, Clone)]
struct Row {
    /// Tells its fields from those of other rows.
    serial: u32,
    at: [Option<f64>; 3],
    /// For a clicked point, roughly towards who clicked.
    toward: Option<DVec3>,
}

/// The form.
#[derive(Debug, Clone)]
pub(super) struct RimForm {
    rows: Vec<Row>,
    next: u32,
    picking: bool,
    /// Roughly out of the part: fixed when there are points enough, so that it does not turn with the view.
    out: Option<DVec3>,
    known_mm: Option<f64>,
}

impl Default for RimForm {
    fn default() -> Self {
        let mut form = Self { rows: Vec::new(), next: 0, picking: false, out: None, known_mm: None };
        for _ in 0..LEAST {
            form.add([None; 3], None);
        }
        form
    }
}

impl RimForm {
    /// Whether a point or a size was entered.
    pub(super) fn holds_entries(&self) -> bool {
        self.known_mm.is_some() || self.rows.iter().any(|row| row.at.iter().any(Option::is_some))
    }

    /// Whether clicks in the view are points on the rim.
    pub(super) fn is_picking(&self) -> bool {
        self.picking
    }

    fn add(&mut self, at: [Option<f64>; 3], toward: Option<DVec3>) {
        self.rows.push(Row { serial: self.next, at, toward });
        self.next += 1;
    }

    /// Takes a clicked place into the first empty row, or a new one.
    fn take(&mut self, spot: Spot) {
        let at = spot.point.to_array().map(Some);
        // the sight says more than the surface: a rim is seen from outside, its wall faces any way
        let toward = Some(spot.normal.unwrap_or(DVec3::ZERO) * 0.5 - spot.sight);
        match self.rows.iter_mut().find(|r| r.at.iter().all(Option::is_none)) {
            Some(row) => (row.at, row.toward) = (at, toward),
            None => self.add(at, toward),
        }
    }

    /// The fields.
    pub(super) fn ui(&mut self, ui: &mut Ui, at: At<'_>, sketch: &mut Sketch) -> Outcome {
        if let Some(spot) = at.spot.filter(|_| self.picking) {
            self.take(spot);
        }
        if big_full(ui, self.picking, "Pick in the view").clicked() {
            self.picking = !self.picking;
        }
        note(
            ui,
            if self.picking {
                "Click points on the edge of the rim in the 3D view, as far round as you can reach."
            } else {
                "Or type three points or more on the edge of the rim, as far round as you can reach."
            },
        );
        let result = self.result(at);
        self.rows_ui(ui, at, &result);
        ui.horizontal(|ui| {
            let length = Kind::Length(at.ctx.units());
            let id = at.id.with("known");
            row(ui, id, "Known diameter", &mut self.known_mm, length, &mut Hop::default());
        });
        if let Some(known) = self.known_mm.filter(|k| *k <= 0.0) {
            let error = MeasureError::NotPositive { what: "The known diameter".to_owned(), mm: known };
            sentence(ui, Shade::Level(Level::Bad), error.text(at.ctx.units()));
        } else {
            note(ui, "Only if you know it: leave it empty and the points tell.");
        }
        let result = self.result(at);
        self.draw(result.as_ref().ok(), at.ctx.units(), sketch);
        self.result_ui(ui, at, result)
    }

    /// Rows that are whole, in their order.
    fn points(&self) -> Vec<(usize, DVec3)> {
        self.rows.iter().enumerate().filter_map(|(i, r)| Some((i, whole(&r.at)?))).collect()
    }

    fn result(&mut self, at: At<'_>) -> Result<Rim, MeasureError> {
        let points: Vec<DVec3> = self.points().into_iter().map(|(_, p)| p).collect();
        if points.len() < LEAST {
            self.out = None;
        } else if self.out.is_none() {
            let clicked: DVec3 = self.rows.iter().filter_map(|r| r.toward).sum();
            self.out = Some(clicked.try_normalize().unwrap_or(at.ctx.toward_viewer));
        }
        rim(&points, self.out, self.known_mm, POINT_SIGMA_MM)
    }

    fn rows_ui(&mut self, ui: &mut Ui, at: At<'_>, result: &Result<Rim, MeasureError>) {
        let points = self.points();
        let mut after = points.len();
        let mut gone = None;
        let mut hop = Hop::default();
        for i in 0..self.rows.len() {
            // points are counted as the sentences count them, the empty ones behind
            let point = points.iter().position(|(row, _)| *row == i);
            let number = point.unwrap_or_else(|| {
                after += 1;
                after - 1
            });
            let said = point.and_then(|p| said_of(p, points.len(), result, at.ctx.units()));
            if self.row_ui(ui, at, (i, number + 1), said, &mut hop) {
                gone = Some(i);
            }
        }
        hop.go(ui);
        if let Some(i) = gone {
            self.rows.remove(i);
        }
        ui.horizontal(|ui| {
            if ui.add(Button::new("+ Add point").min_size(vec2(120.0, 32.0))).clicked() {
                self.add([None; 3], None);
            }
        });
    }

    /// One point. Returns whether it is to go.
    fn row_ui(
        &mut self,
        ui: &mut Ui,
        at: At<'_>,
        (i, number): (usize, usize),
        said: Option<(Level, String)>,
        hop: &mut Hop,
    ) -> bool {
        let may_go = self.rows.len() > LEAST;
        let mut gone = false;
        let Some(row) = self.rows.get_mut(i) else { return false };
        ui.horizontal(|ui| {
            ui.label(bold(format!("Point {number}")));
            let empty = row.at.iter().all(Option::is_none);
            if (may_go || !empty) && delete_button(ui, &format!("Delete point {number}")) {
                if may_go {
                    gone = true;
                } else {
                    (row.at, row.toward) = ([None; 3], None);
                }
            }
            if let Some((level, words)) = said {
                sentence(ui, Shade::Level(level), words);
            }
        });
        let id = at.id.with(("rim point", row.serial));
        // in decimals: three fractions do not fit side by side
        xyz_ui(ui, id, Some(number), &mut row.at, Kind::Fine(at.ctx.units()), hop);
        gone
    }

    fn result_ui(&mut self, ui: &mut Ui, at: At<'_>, result: Result<Rim, MeasureError>) -> Outcome {
        let units = at.ctx.units();
        let rim = match result {
            Ok(rim) => rim,
            Err(error) => {
                if matches!(error, MeasureError::Count { .. } | MeasureError::NotPositive { .. }) {
                    return Err(error.text(units));
                }
                sentence(ui, Shade::Level(Level::Bad), error.text(units));
                return Err("The points do not make a rim yet: see above.".to_owned());
            }
        };
        ui.add_space(4.0);
        if ui.add(Button::new("Turn the arrow round").min_size(vec2(180.0, 34.0))).clicked() {
            self.out = Some(-rim.axis);
        }
        note(ui, "The arrow in the 3D view has to point out of the part.");
        let diameter = format!("The rim measures {} across.", units::length(rim.diameter_mm, units));
        sentence(ui, Shade::Plain, diameter);
        let trust = trust_ui(ui, units, rim.trust.doubts.iter(), &rim.trust.good, true);
        let (od_mm, words) = self.od(at.ctx.project, &rim);
        Ok(MeasuredPort {
            position_mm: Some(rim.centre_mm),
            direction: Some(rim.axis),
            od_mm: Some(od_mm),
            body: None,
            notes: [(Shade::Plain, words)].into_iter().chain(trust).collect(),
        })
    }

    /// The size of tube that fits, and why it is that.
    fn od(&self, project: &Project, rim: &Rim) -> (f64, String) {
        let units = project.settings.units;
        let measured = rim.diameter_mm;
        if let Some(known) = self.known_mm {
            return (known, format!("Tube outside becomes {}, as known.", units::tube_size(known, units)));
        }
        if let Some(od) = stock_size(measured, project.tubes.iter().map(|t| t.od_mm)) {
            let size = units::tube_size(od, units);
            return (od, format!("Tube outside becomes {size}, the size in stock nearest to that."));
        }
        let words = format!(
            "No tube in stock is within {} of that: tube outside becomes {}, as measured.",
            amount(STOCK_WITHIN_MM, units),
            units::tube_size(measured, units)
        );
        (measured, words)
    }

    fn draw(&self, rim: Option<&Rim>, units: UnitSystem, sketch: &mut Sketch) {
        let points = self.points();
        for (k, (_, at)) in points.iter().enumerate() {
            let miss = rim.and_then(|r| r.misses.get(k)).filter(|_| points.len() > LEAST);
            let (ink, words) = match miss {
                Some(miss) => {
                    let off = miss.distance_mm();
                    let level = level_of(off, POINT_SIGMA_MM);
                    let words = match level {
                        Level::Good => format!("{}", k + 1),
                        Level::Doubtful | Level::Bad => format!("{}: {} off", k + 1, amount(off, units)),
                    };
                    (Ink::of(level), words)
                }
                None => (Ink::Main, format!("{}", k + 1)),
            };
            sketch.mark(*at, words, ink);
        }
        if let Some(rim) = rim {
            let ink = Ink::of(rim.trust.level());
            sketch.ring(rim.centre_mm, rim.axis, rim.diameter_mm / 2.0, (ink, 3.0));
            sketch.arrow(rim.centre_mm, rim.axis, rim.diameter_mm * ARROW_DIAMETERS, (Ink::Main, 3.0));
        }
    }
}

/// How point `k` of `count` lies to the rim, or what is wrong with it.
fn said_of(
    k: usize,
    count: usize,
    result: &Result<Rim, MeasureError>,
    units: UnitSystem,
) -> Option<(Level, String)> {
    match result {
        Ok(rim) => {
            // three points lie on their circle in any case
            let off = rim.misses.get(k).filter(|_| count > LEAST)?.distance_mm();
            Some((level_of(off, POINT_SIGMA_MM), format!("{} off the rim", amount(off, units))))
        }
        Err(MeasureError::SamePoint { second, .. }) => {
            (*second == format!("{}", k + 1)).then(|| (Level::Bad, "is where another point is".to_owned()))
        }
        Err(MeasureError::TooFar { what, .. }) => what
            .ends_with(&format!("rim point {}", k + 1))
            .then(|| (Level::Bad, "is too far away".to_owned())),
        Err(MeasureError::InLine { kind: Needs::RimPoints, .. }) => None,
        Err(_) => None,
    }
}
