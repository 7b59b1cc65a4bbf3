//! The sticks that bars are sawn from: those of one material, size and length together.

use super::super::stock::{StickReport, laid_out, stick};
use super::{BarReport, bar_stock_name};
use crate::fab::nest::{Effort, SawRules, StickSource};
use crate::fab::{Cut, Piece, PieceKind};
use crate::finding::{BarProblem, Finding, Problem};
use crate::model::{Bar, Item, Material, Project, Tube, TubeId};
use crate::watch::{Stage, Watch};
use serde::Serialize;

/// All sticks of one size of bar.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BarStickReport {
    /// Its size and material, as the trade says them.
    pub stock: String,
    /// Sticks in sawing order; all are bought.
    pub sticks: Vec<StickReport>,
    /// How many.
    pub sticks_to_buy: usize,
    /// Whether it is proved that no layout needs fewer sticks.
    pub proved_optimal: bool,
    /// No layout buys fewer than this.
    pub least_to_buy: usize,
    /// Whether no layout with as few sticks leaves a longer rest in one piece.
    pub proved_left: bool,
    /// Marks of bars that the stick is too short for.
    pub unplaced: Vec<String>,
    /// Length of a stick, mm.
    pub stick_mm: f64,
}

/// What bars have to share to come off one stick.
fn same_stock(a: &Bar, b: &Bar) -> bool {
    let bits = |x: &Bar| (x.od_mm.to_bits(), x.wall_mm.map(f64::to_bits), x.stick_mm.to_bits());
    a.material == b.material && bits(a) == bits(b)
}

/// Lays the bars that are still to be sawn on sticks.
pub(super) fn sticks(
    project: &Project,
    bars: &[BarReport],
    (effort, watch): (Effort, &dyn Watch),
) -> Vec<BarStickReport> {
    let saw = &project.settings.saw;
    let rules = SawRules { kerf_mm: saw.kerf_mm, grip_mm: saw.grip_mm, first_trim_mm: saw.first_trim_mm };
    let mut groups: Vec<(&Bar, Vec<Piece>)> = Vec::new();
    for (bar, report) in project.bars.iter().zip(bars) {
        let is_sawn = bar.is_sawn();
        if !report.buildable || is_sawn || report.cut_printed_mm <= 0.0 {
            continue;
        }
        let piece = as_piece(report);
        match groups.iter_mut().find(|(first, _)| same_stock(first, bar)) {
            Some((_, pieces)) => pieces.push(piece),
            None => groups.push((bar, vec![piece])),
        }
    }
    let part = |i: usize| i as f64 / groups.len().max(1) as f64;
    let lay = |(i, (bar, pieces)): (usize, &(&Bar, Vec<Piece>))| {
        let stage = Stage { watch, from: part(i), to: part(i + 1) };
        let tube = as_tube(bar.material, bar.od_mm, bar.stick_mm);
        let nested = laid_out(&tube, &pieces.iter().collect::<Vec<_>>(), &rules, effort, &stage);
        let bought = nested.sticks.iter().filter(|s| s.source == StickSource::Buy).count();
        BarStickReport {
            stock: bar_stock_name(project, bar),
            sticks: nested.sticks.iter().map(|s| stick(project, s)).collect(),
            sticks_to_buy: bought,
            proved_optimal: nested.proved_fewest,
            least_to_buy: nested.least_to_buy,
            proved_left: nested.proved_drop,
            unplaced: nested.unplaced,
            stick_mm: bar.stick_mm,
        }
    };
    groups.iter().enumerate().map(lay).collect()
}

/// A bar as a length to be sawn square at both ends.
fn as_piece(bar: &BarReport) -> Piece {
    Piece {
        mark: bar.mark.clone(),
        key: None,
        kind: PieceKind::Straight,
        tube: TubeId(0),
        od_mm: bar.od_mm,
        centre_mm: bar.cut_printed_mm,
        start: Cut::SQUARE,
        end: Cut::SQUARE,
        bend: None,
        lobe_clock_rad: None,
        curves: [None, None],
    }
}

/// Bar stock as the layout on sticks knows it: only lengths count there.
fn as_tube(material: Material, od_mm: f64, stick_mm: f64) -> Tube {
    Tube {
        id: TubeId(0),
        material,
        od_mm,
        wall_mm: od_mm / 4.0,
        stick_mm,
        sticks_on_hand: 0,
        offcuts: Vec::new(),
        slices: Vec::new(),
        stick_price: None,
    }
}

/// Bars that no stick is long enough for.
pub(super) fn findings(project: &Project, bars: &[BarReport], sticks: &[BarStickReport]) -> Vec<Finding> {
    let units = project.settings.units;
    let too_long = sticks.iter().flat_map(|s| s.unplaced.iter().map(move |mark| (s, mark)));
    let told = too_long.filter_map(|(group, mark)| {
        let bar = bars.iter().find(|b| b.mark == *mark)?;
        let problem = BarProblem::LongerThanStick {
            bar: bar.name.clone(),
            stock: group.stock.clone(),
            length_mm: bar.cut_printed_mm,
            stick_mm: group.stick_mm,
        };
        Some(Finding { item: Some(Item::Bar(bar.id)), ..Problem::from(problem).finding(units) })
    });
    told.collect()
}
