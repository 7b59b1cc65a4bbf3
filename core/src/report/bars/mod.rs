//! Bars: their numbers in the units of the report file, the sticks they are sawn from, what is too close to them.

mod gaps;
mod sticks;

pub use gaps::BarGapReport;
pub use sticks::BarStickReport;

use super::clearance::Before;
use super::laid::{CopeReport, FrameReport};
use super::names::BarEndForm;
use crate::fab::Built;
use crate::fab::bar::built::{BuiltBar, build_bars, same_under, stock};
use crate::fab::bar::note::{self, Unsupported};
use crate::fab::bar::{BarNote, Fit};
use crate::fab::nest::Effort;
use crate::finding::{Finding, Severity};
use crate::geom::vector::full_turn;
use crate::model::letters::BAR_LETTERS;
use crate::model::{Bar, BarEndMake, BarId, Item, Project, RunId};
use crate::space::scan::Scans;
use crate::units::{UnitSystem, fine_length, length_paper, rounded_for_paper_mm, tube_size, wall};
use crate::watch::Watch;
use glam::DVec3;
use serde::Serialize;
use std::sync::Arc;

/// An end of a bar.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BarEndReport {
    /// What it is.
    pub kind: BarEndForm,
    /// The point it goes to, mm.
    pub at_mm: DVec3,
    /// From the point to the sawn end, mm; with a cope to the longest side.
    pub take_mm: f64,
    /// Thread that holds, mm.
    pub engaged_mm: Option<f64>,
    /// How far a rod end is screwed in, mm.
    pub screwed_in_mm: Option<f64>,
    /// What the bar can be lengthened by here, mm.
    pub longer_mm: f64,
    /// What it can be shortened by here, mm.
    pub shorter_mm: f64,
    /// Depth of a cope from the longest to the shortest side, mm.
    pub cope_depth_mm: Option<f64>,
    /// What it is coped onto.
    pub onto: Option<String>,
    /// Angle between the bar and what it is coped onto, degrees.
    pub cope_angle_deg: Option<f64>,
    /// How it is cut to that, and the axis of what it sits on.
    pub cope: Option<CopeReport>,
    /// Length of the weld round a coped end, mm.
    pub weld_mm: Option<f64>,
    /// Flat length of the saddle plate under it, mm.
    pub plate_mm: Option<f64>,
    /// Its width along the tube, mm.
    pub plate_width_mm: Option<f64>,
    /// Middle of it on the axis of the tube it lies on, and its clock round that, degrees.
    pub plate_at: Option<(FrameReport, f64)>,
    /// What to cut for that plate, in words.
    pub plate: Option<String>,
    /// How its pin goes, in words.
    pub pin: Option<String>,
}

/// A bend of a bar. Lengths count from the bar's first sawn end.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BarBendReport {
    /// Straight fed before it, mm.
    pub feed_mm: f64,
    /// Roll before it, degrees, right-handed about the feed; none for the first.
    pub roll_deg: Option<f64>,
    /// The finished bend, degrees.
    pub angle_deg: f64,
    /// What to set the bender to, degrees.
    pub set_angle_deg: f64,
    /// Centreline radius of the finished bend, mm.
    pub clr_mm: f64,
    /// That of the die, mm.
    pub die_clr_mm: f64,
    /// Where the bend begins, mm from the bar's first sawn end.
    pub mark_start_mm: f64,
    /// The same as on paper, mm.
    pub mark_printed_mm: f64,
    /// Where it ends, mm.
    pub mark_end_mm: f64,
}

/// A sleeve over a bar.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SleeveReport {
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Wall, mm.
    pub wall_mm: f64,
    /// Length, mm.
    pub length_mm: f64,
    /// Where it begins, mm from the bar's first sawn end.
    pub station_mm: f64,
    /// Inside diameter less the bar's outside diameter, mm.
    pub clearance_mm: f64,
    /// How it goes over the bar.
    pub fit: Fit,
    /// How it goes, in words.
    pub text: String,
}

/// A bar.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BarReport {
    /// Mark written on it. No run has these letters.
    pub mark: String,
    /// Name.
    pub name: String,
    /// Material.
    pub material: String,
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Wall, mm; none for solid bar.
    pub wall_mm: Option<f64>,
    /// Its size and material, as the trade says them.
    pub stock: String,
    /// Whether it can be made as entered.
    pub buildable: bool,
    /// From point to point straight across, as a tape reads it, mm.
    pub eye_to_eye_mm: f64,
    /// From point to point along its middle, mm: the same for a straight bar.
    pub along_mm: f64,
    /// From sawn end to sawn end along its middle, mm.
    pub cut_mm: f64,
    /// Length to saw: with what is left on to grip, mm.
    pub blank_mm: f64,
    /// The same as on paper, mm.
    pub cut_printed_mm: f64,
    /// The points it is straight between: of its first end, the corners it is bent at, of its other end, mm.
    pub points_mm: Vec<DVec3>,
    /// Its two ends.
    pub ends: Vec<BarEndReport>,
    /// How it is adjusted, in words.
    pub adjust: String,
    /// Its bends.
    pub bends: Vec<BarBendReport>,
    /// Straight after the last bend, mm.
    pub last_straight_mm: f64,
    /// Mass without its ends, kg.
    pub mass_kg: f64,
    /// Welds round its coped ends, mm.
    pub weld_mm: f64,
    /// Its sleeve.
    pub sleeve: Option<SleeveReport>,
    /// What else is worth knowing, in sentences; the last is that nothing here is sized.
    pub notes: Vec<String>,
    /// Its id.
    #[serde(skip)]
    pub id: BarId,
    /// The bar worked out: solids, and the cuts of coped ends for templates.
    #[serde(skip)]
    pub built: BuiltBar,
}

/// The mark of the bar at `index`.
pub fn bar_mark(index: usize) -> String {
    format!("{BAR_LETTERS}{}", index + 1)
}

/// The stock of a bar as the trade says it: `5/8" × 0.083" 4130`, or `16 mm solid mild steel`.
pub fn bar_stock_name(project: &Project, bar: &Bar) -> String {
    let units = project.settings.units;
    let across = tube_size(bar.od_mm, units);
    match bar.wall_mm {
        Some(wall_mm) => format!("{across} × {} {}", wall(wall_mm, units), bar.material.name()),
        None => format!("{across} solid {}", bar.material.name()),
    }
}

/// All bars worked out; what has not changed is taken over from `before`.
pub(super) fn built(project: &Project, runs: &[Arc<Built>], before: Option<Before<'_>>) -> Vec<BuiltBar> {
    let same_run = |id: RunId| {
        let now = project.runs.iter().position(|r| r.id == id).and_then(|i| runs.get(i));
        let then = before.and_then(|b| b.report.run(id)).map(|r| &r.built);
        // what is welded onto it counts as well: there is no place for a bar there
        let same = |a: &Built, b: &Built| a.solids == b.solids && a.holes == b.holes && a.parts == b.parts;
        match (now, then) {
            (Some(now), Some(then)) => Arc::ptr_eq(now, then) || same(now, then),
            (None, None) => true,
            (Some(_), None) | (None, Some(_)) => false,
        }
    };
    let known = |bar: &Bar| {
        let before = before?;
        let old = before.report.bars.iter().find(|b| b.id == bar.id)?;
        let same = before.project.bar(bar.id) == Some(bar)
            && before.project.settings.units == project.settings.units
            // other sizes are looked through for a sleeve
            && before.project.tubes == project.tubes
            && (bar.sleeve.is_none() || before.project.bars == project.bars)
            && same_under(before.project, project, bar, &same_run);
        same.then(|| old.built.clone())
    };
    build_bars(project, runs, known)
}

/// Findings of bars: what is wrong with each by itself.
pub(super) fn findings(project: &Project, bars: &[BuiltBar]) -> Vec<Finding> {
    let units = project.settings.units;
    let of = |(bar, built): (&Bar, &BuiltBar)| {
        let middle = bar.ends[0].position_mm.midpoint(bar.ends[1].position_mm);
        let item = Item::Bar(bar.id);
        let one = |(problem, spot): &(crate::finding::Problem, Option<DVec3>)| {
            let mut finding = problem.clone().finding(units);
            finding.place = if finding.place.is_empty() {
                bar.name.clone()
            } else {
                format!("{}, {}", bar.name, finding.place)
            };
            finding.item = Some(item);
            finding.spot = spot.or(Some(middle)).filter(|p| p.is_finite());
            finding
        };
        built.problems.iter().map(one).collect::<Vec<_>>()
    };
    project.bars.iter().zip(bars).flat_map(of).collect()
}

/// Reports of all bars, their sticks, their gaps, and the findings of both.
pub(super) struct Bars {
    pub(super) reports: Vec<BarReport>,
    pub(super) sticks: Vec<BarStickReport>,
    pub(super) gaps: Vec<BarGapReport>,
    pub(super) findings: Vec<Finding>,
}

/// Works out what is reported of bars.
pub(super) fn bars(
    project: &Project,
    scans: &Scans,
    built: Vec<BuiltBar>,
    look: (Effort, &dyn Watch),
    before: Option<Before<'_>>,
) -> Bars {
    let mut findings = findings(project, &built);
    let gaps = gaps::gaps(project, scans, &built, before);
    findings.extend(gaps.iter().filter(|g| !g.ok).map(|g| g.finding(project.settings.units)));
    let all = project.bars.iter().zip(built).enumerate();
    let reports: Vec<BarReport> = all.map(|(i, (bar, built))| report(project, i, bar, built)).collect();
    let sticks = sticks::sticks(project, &reports, look);
    findings.extend(sticks::findings(project, &reports, &sticks));
    Bars { reports, sticks, gaps, findings }
}

fn report(project: &Project, index: usize, bar: &Bar, built: BuiltBar) -> BarReport {
    let units = project.settings.units;
    let mut out = BarReport {
        mark: bar_mark(index),
        name: bar.name.clone(),
        material: bar.material.name().to_owned(),
        od_mm: bar.od_mm,
        wall_mm: bar.wall_mm,
        stock: bar_stock_name(project, bar),
        buildable: built.is_buildable(),
        eye_to_eye_mm: 0.0,
        along_mm: 0.0,
        cut_mm: 0.0,
        blank_mm: 0.0,
        cut_printed_mm: 0.0,
        points_mm: bar.points_mm(),
        ends: Vec::new(),
        adjust: String::new(),
        bends: Vec::new(),
        last_straight_mm: 0.0,
        mass_kg: 0.0,
        weld_mm: 0.0,
        sleeve: None,
        notes: vec![BarNote::SizesNothing.text(units)],
        id: bar.id,
        built,
    };
    let Some(numbers) = &out.built.numbers else { return out };
    out.along_mm = numbers.developed_mm;
    out.eye_to_eye_mm = out.built.apart_mm().unwrap_or(numbers.developed_mm);
    out.cut_mm = numbers.net_mm;
    out.blank_mm = numbers.blank_mm;
    // an old bar that its ends are set to is not sawn anew
    let to_saw_mm = bar.sawn_mm.filter(|_| bar.is_sawn()).unwrap_or(numbers.blank_mm);
    out.cut_printed_mm = rounded_for_paper_mm(to_saw_mm, units);
    out.ends = ends(project, bar, &out.built);
    out.weld_mm = out.ends.iter().filter_map(|e| e.weld_mm).sum();
    out.adjust = numbers.adjusting.text(units);
    out.last_straight_mm = numbers.lra.last_mm;
    let rows = numbers.lra.rows.iter().zip(&numbers.marks).enumerate();
    out.bends = rows
        .map(|(i, (row, mark))| BarBendReport {
            feed_mm: row.feed_mm,
            roll_deg: (i > 0).then(|| row.roll_rad.to_degrees()),
            angle_deg: row.angle_rad.to_degrees(),
            set_angle_deg: mark.set_rad.to_degrees(),
            clr_mm: row.clr_mm,
            die_clr_mm: mark.die_clr_mm,
            mark_start_mm: mark.start_mm,
            mark_printed_mm: rounded_for_paper_mm(mark.start_mm, units),
            mark_end_mm: mark.end_mm,
        })
        .collect();
    out.mass_kg = stock(bar).mass_kg_per_m() * numbers.net_mm.max(0.0) / 1000.0;
    out.sleeve = bar.sleeve.zip(numbers.fitted.sleeve.as_ref()).map(|(sleeve, (fit, text))| SleeveReport {
        od_mm: sleeve.size.od_mm,
        wall_mm: sleeve.size.wall_mm,
        length_mm: sleeve.length_mm,
        station_mm: sleeve.station_mm,
        clearance_mm: fit.clearance_mm,
        fit: fit.fit,
        text: text.clone(),
    });
    let whole = Unsupported { from_mm: 0.0, to_mm: numbers.developed_mm, overhang: false };
    if let Ok(notes) = note::notes(&stock(bar), numbers.net_mm.max(0.0), &[whole], None) {
        out.notes = notes.iter().map(|n| n.text(units)).collect();
    }
    out
}

fn ends(project: &Project, bar: &Bar, built: &BuiltBar) -> Vec<BarEndReport> {
    let Some(numbers) = &built.numbers else { return Vec::new() };
    let one = |i: usize| {
        let (end, set, seat) = (&bar.ends[i], &numbers.ends[i], numbers.seats[i].as_ref());
        let onto = end.make.onto().map(|onto| match onto {
            crate::model::Onto::Bar(id) => project.name_of(Item::Bar(id)),
            crate::model::Onto::Run(id) => project.name_of(Item::Run(id)),
            crate::model::Onto::Tube { od_mm, .. } => {
                format!("tube of {}", tube_size(od_mm, project.settings.units))
            }
        });
        BarEndReport {
            at_mm: end.position_mm,
            kind: match end.make {
                BarEndMake::RodEnd(..) => BarEndForm::RodEnd,
                BarEndMake::Tab(_) => BarEndForm::Tab,
                BarEndMake::Cope { .. } => BarEndForm::Coped,
                BarEndMake::Plate { .. } => BarEndForm::Square,
            },
            take_mm: set.take_mm,
            engaged_mm: set.engaged_mm,
            screwed_in_mm: set.screwed_in_mm,
            longer_mm: set.longer_mm,
            shorter_mm: set.shorter_mm,
            cope_depth_mm: seat.map(|s| s.cope.depth_mm()),
            onto,
            cope_angle_deg: seat.map(|s| s.saddle.angle_rad().to_degrees()),
            cope: seat.map(|s| CopeReport::new(&s.saddle, bar.wall_mm.is_some())),
            weld_mm: seat.map(|s| s.weld_mm),
            plate_mm: numbers.pads[i].as_ref().map(|(size, _)| size.blank_mm),
            plate_width_mm: seat.and_then(|s| s.plate.as_ref()).map(|p| p.width_mm),
            plate_at: seat
                .and_then(|s| s.plate.as_ref())
                .map(|p| (FrameReport::from(p.at), full_turn(p.clock_rad).to_degrees())),
            plate: numbers.pads[i].as_ref().map(|(_, text)| text.clone()),
            pin: numbers.fitted.pins[i].as_ref().map(|(_, text)| text.clone()),
        }
    };
    vec![one(0), one(1)]
}

impl BarEndReport {
    /// How it is set, in a few words for screen and paper: what it is screwed in by, or how deep its cope is.
    pub fn setting(&self, units: UnitSystem) -> String {
        match (self.screwed_in_mm, self.cope_depth_mm, &self.onto) {
            (Some(x), ..) => format!("{}, {} in", self.kind, fine_length(x, units)),
            (None, Some(depth), Some(onto)) => {
                format!("{} onto {onto}, {} deep", self.kind, fine_length(depth, units))
            }
            (None, _, Some(onto)) => format!("{} onto {onto}", self.kind),
            (None, _, None) => self.kind.name().to_owned(),
        }
    }
}

/// Whether a bar has numbers for the sheet: it can be made, and nothing else stops it.
pub fn bar_can_be_made(findings: &[Finding], bar: &BarReport) -> bool {
    let stopped = |f: &Finding| f.item == Some(Item::Bar(bar.id)) && f.severity == Severity::Stop;
    bar.buildable && !findings.iter().any(stopped)
}

/// What to do at the saw for a bar, in a few words: its length, that it is sawn already, or that it cannot be made yet.
pub fn bar_saw_words(findings: &[Finding], bar: &Bar, report: &BarReport, units: UnitSystem) -> String {
    let length = length_paper(report.cut_printed_mm, units);
    match (bar_can_be_made(findings, report), bar.is_sawn()) {
        (false, _) => "cannot be made yet".to_owned(),
        (true, true) => format!("sawn, {length}"),
        (true, false) => length,
    }
}

#[cfg(test)]
mod tests;
