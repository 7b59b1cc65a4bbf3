//! Sticks, elbows and joints needed for all runs together.

use super::RunReport;
use super::clearance::Before;
use super::elbows::ElbowStockReport;
use super::names::{PieceSource, write_stick_source};
use crate::fab::Piece;
use crate::fab::nest::{Effort, Nested, SawRules, Stick, StickSource, nest_watched, saw_reads_deg};
use crate::finding::{Finding, Problem, StockProblem};
use crate::geom::tolerance::SAME_CLOCK_RAD;
use crate::model::{Attachment, BodyId, Item, PieceKey, Project, Run, RunEnd, Tube, TubeId};
use crate::watch::{Stage, Watch};
use serde::Serialize;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::sync::Arc;

/// One piece on a stick, in sawing order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CutReport {
    /// Mark of the piece.
    pub mark: String,
    /// What the piece is known by; none for a bar.
    #[serde(skip)]
    pub key: Option<PieceKey>,
    /// Where its centreline begins from the end of the stick, mm.
    pub at_mm: f64,
    /// Where its centreline ends, mm.
    pub to_mm: f64,
    /// Tilt of the cut that frees it, degrees from square.
    pub saw_deg: f64,
    /// Tilt of its first face, degrees from square.
    pub first_deg: f64,
    /// What the saw's scale shows for the cut that frees it, degrees.
    pub setting_deg: f64,
    /// What the saw's scale shows for its first face, degrees.
    pub first_setting_deg: f64,
    /// Whether the tube is turned half a turn between its two cuts.
    pub flip: bool,
    /// Turn of the tube between its two cuts, degrees; none where one of them is square.
    pub turn_deg: Option<f64>,
    /// Whether its first face is the cut that freed the piece before.
    pub shares_cut: bool,
    /// Whether its end, in the travel of the run, is cut first.
    pub end_first: bool,
}

/// A stick.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StickReport {
    /// Its length, mm.
    pub length_mm: f64,
    /// Where it comes from.
    #[serde(serialize_with = "write_stick_source")]
    pub source: StickSource,
    /// What is cut from it, in sawing order.
    pub cuts: Vec<CutReport>,
    /// What is left with a square end, mm.
    pub drop_mm: f64,
}

/// All sticks of one size of tube.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StockReport {
    /// The tube, as the trade says it.
    pub tube: String,
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Sticks in sawing order.
    pub sticks: Vec<StickReport>,
    /// How many of them have to be bought.
    pub sticks_to_buy: usize,
    /// Whether it is proved that no layout needs fewer sticks.
    pub proved_optimal: bool,
    /// No layout buys fewer sticks than this.
    pub least_to_buy: usize,
    /// The longest single left-over of the whole sticks that are started, mm; of all offcuts where none is.
    pub longest_left_mm: f64,
    /// Whether no layout with as few sticks leaves a longer one.
    pub proved_left: bool,
    /// Marks of pieces that no stick is long enough for.
    pub unplaced: Vec<String>,
    /// Id of the tube.
    #[serde(skip)]
    pub tube_id: TubeId,
    /// How long was looked for the layout.
    #[serde(skip)]
    pub effort: Effort,
}

/// The sticks of all sizes of tube; those of which nothing has changed since they were laid out are taken over from
/// `before`, if they were looked for at least as long.
pub(super) fn stock(
    project: &Project,
    runs: &[Arc<RunReport>],
    (effort, watch): (Effort, &dyn Watch),
    before: Option<Before<'_>>,
) -> Vec<StockReport> {
    let by_tube = sawn_by_tube(runs);
    let same_saw = |b: &Before<'_>| {
        b.project.settings.saw == project.settings.saw && b.project.settings.units == project.settings.units
    };
    let before = before.filter(same_saw);
    let old_by_tube = before.map_or_else(BTreeMap::new, |b| sawn_by_tube(&b.report.runs));
    let known = |id: TubeId, pieces: &[Cow<'_, Piece>]| {
        let before = before?;
        let old = before.report.stock.iter().find(|s| s.tube_id == id && s.effort >= effort)?;
        let same = before.project.tube(id) == project.tube(id)
            && old_by_tube.get(&id).is_some_and(|old| old.as_slice() == pieces);
        same.then(|| old.clone())
    };
    let saw = &project.settings.saw;
    let rules = SawRules { kerf_mm: saw.kerf_mm, grip_mm: saw.grip_mm, first_trim_mm: saw.first_trim_mm };
    let tubes = by_tube.len().max(1) as f64;
    by_tube
        .into_iter()
        .enumerate()
        .filter_map(|(i, (id, pieces))| {
            let stage = Stage { watch, from: i as f64 / tubes, to: (i + 1) as f64 / tubes };
            let tube = project.tube(id)?;
            if let Some(old) = known(id, &pieces) {
                return Some(old);
            }
            let pieces: Vec<&Piece> = pieces.iter().map(|p| &**p).collect();
            let Nested { sticks, unplaced, proved_fewest, least_to_buy, longest_left_mm, proved_drop } =
                laid_out(tube, &pieces, &rules, effort, &stage);
            Some(StockReport {
                tube: project.tube_name(tube),
                od_mm: tube.od_mm,
                sticks_to_buy: sticks.iter().filter(|s| s.source == StickSource::Buy).count(),
                proved_optimal: proved_fewest,
                least_to_buy,
                longest_left_mm,
                proved_left: proved_drop,
                unplaced,
                sticks: sticks.iter().map(|s| stick(project, s)).collect(),
                tube_id: id,
                effort,
            })
        })
        .collect()
}

/// Lays pieces on sticks so that every cut has metal on both sides of the blade, and every stick a good first end.
///
/// The plan itself reckons with a last cut at the very end of a stick, and with offcuts that are square. So it is made
/// for sticks that are shorter: by what the steepest cut takes, so that the blade still runs in metal at the last cut,
/// and offcuts by the squaring cut too, where the shop makes one. A piece that is just as long as a stick whose ends
/// are said to be square is taken as it is, without a cut.
pub(super) fn laid_out(
    tube: &Tube,
    pieces: &[&Piece],
    rules: &SawRules,
    effort: Effort,
    watch: &dyn Watch,
) -> Nested {
    let squared_mm = rules.first_trim_mm.max(0.0);
    let steepest = pieces.iter().flat_map(|p| [p.start.tilt_rad.abs(), p.end.tilt_rad.abs()]);
    let steepest_rad = steepest.filter(|t| t.cos() > 0.01).fold(0.0, f64::max);
    let kept_mm = rules.kerf_mm.max(0.0) / steepest_rad.cos();
    let is_whole = |mm: f64| {
        let same = |p: &&Piece| {
            let square = p.start.tilt_rad == 0.0 && p.end.tilt_rad == 0.0;
            square && (mm - p.centre_mm).abs() < SAME_LENGTH_MM
        };
        squared_mm <= 0.0 && pieces.iter().any(same)
    };
    let shorter = |mm: f64, by_mm: f64| if is_whole(mm) { mm } else { (mm - by_mm).max(0.0) };
    let mut less = tube.clone();
    less.stick_mm = shorter(tube.stick_mm, kept_mm);
    for offcut in &mut less.offcuts {
        offcut.length_mm = shorter(offcut.length_mm, kept_mm + squared_mm);
    }
    let mut nested = nest_watched(&less, pieces, rules, effort, watch);
    for stick in &mut nested.sticks {
        if stick.source == StickSource::Offcut {
            let near = |o: &&crate::model::Offcut| {
                (shorter(o.length_mm, kept_mm + squared_mm) - stick.length_mm).abs() < SAME_LENGTH_MM
            };
            let Some(own) = tube.offcuts.iter().find(near) else { continue };
            let more_mm = own.length_mm - stick.length_mm;
            if more_mm > 0.0 {
                for cut in &mut stick.cuts {
                    cut.from_mm += squared_mm;
                    cut.to_mm += squared_mm;
                }
                stick.drop_mm += more_mm - squared_mm;
            }
            stick.length_mm = own.length_mm;
        } else {
            stick.drop_mm += tube.stick_mm - stick.length_mm;
            stick.length_mm = tube.stick_mm;
        }
    }
    let started = nested.sticks.iter().filter(|s| s.source != StickSource::Offcut);
    let whole_left = started.map(|s| s.drop_mm).fold(f64::NAN, f64::max);
    if whole_left.is_finite() {
        nested.longest_left_mm = whole_left;
    }
    nested
}

/// Lengths closer than this are one, mm: rounding noise of inches turned into mm.
const SAME_LENGTH_MM: f64 = 1e-5;

/// The pieces that come off sticks, as they are sawn, by their tube and in order.
fn sawn_by_tube(runs: &[Arc<RunReport>]) -> BTreeMap<TubeId, Vec<Cow<'_, Piece>>> {
    let mut out: BTreeMap<TubeId, Vec<Cow<'_, Piece>>> = BTreeMap::new();
    let all = runs.iter().flat_map(|run| run.paper.pieces.iter().zip(&run.printed));
    for (piece, _) in all.filter(|(_, report)| report.source == PieceSource::Stick) {
        let sawn = if piece.is_shaped() { Cow::Owned(piece.blank()) } else { Cow::Borrowed(piece) };
        out.entry(piece.tube).or_default().push(sawn);
    }
    out
}

pub(super) fn stick(project: &Project, stick: &Stick) -> StickReport {
    let scale = project.settings.saw.scale;
    let cuts = stick
        .cuts
        .iter()
        .map(|c| CutReport {
            mark: c.mark.clone(),
            key: c.key,
            at_mm: c.from_mm,
            to_mm: c.to_mm,
            saw_deg: c.second_rad.to_degrees(),
            first_deg: c.first_rad.to_degrees(),
            setting_deg: saw_reads_deg(c.second_rad, scale),
            first_setting_deg: saw_reads_deg(c.first_rad, scale),
            flip: c.turn_rad.is_some_and(|t| (t - PI).abs() < SAME_CLOCK_RAD),
            turn_deg: c.turn_rad.map(f64::to_degrees),
            shares_cut: c.shares_cut,
            end_first: c.end_first,
        })
        .collect();
    StickReport { length_mm: stick.length_mm, source: stick.source, cuts, drop_mm: stick.drop_mm }
}

/// What has to be bought.
pub(super) fn findings(
    project: &Project,
    runs: &[Arc<RunReport>],
    stock: &[StockReport],
    elbows: &[ElbowStockReport],
) -> Vec<Finding> {
    let units = project.settings.units;
    let elbows = elbows.iter().filter(|e| e.to_buy > 0).map(|e| {
        let need = e.elbows.len() as u32;
        let have = need - e.to_buy as u32;
        let mut finding =
            Problem::Stock(StockProblem::ElbowsToBuy { elbow: e.elbow.clone(), need, have }).finding(units);
        finding.item = Some(Item::Elbow(e.elbow_id));
        finding
    });
    let sticks = stock.iter().filter(|s| s.sticks_to_buy > 0).map(|s| {
        let mut finding = Problem::Stock(StockProblem::SticksToBuy {
            tube: s.tube.clone(),
            count: s.sticks_to_buy,
            at_most: s.sticks_to_buy > s.least_to_buy,
        })
        .finding(units);
        finding.item = Some(Item::Tube(s.tube_id));
        finding
    });
    elbows.chain(sticks).chain(too_long(project, runs, stock)).collect()
}

/// Pieces that no stick holds.
fn too_long<'a>(
    project: &'a Project,
    runs: &'a [Arc<RunReport>],
    stock: &'a [StockReport],
) -> impl Iterator<Item = Finding> + 'a {
    stock.iter().flat_map(|s| s.unplaced.iter().map(move |mark| (s, mark))).filter_map(move |(s, mark)| {
        let tube = project.tube(s.tube_id)?;
        let run = runs.iter().find(|r| r.printed.iter().any(|p| p.mark == *mark))?;
        let at = run.printed.iter().position(|p| p.mark == *mark)?;
        let problem = Problem::Stock(StockProblem::PieceTooLong {
            mark: mark.clone(),
            length_mm: run.printed[at].long_mm,
            stick_mm: tube.stick_mm,
        });
        let mut finding = problem.finding(project.settings.units);
        finding.run = Some(run.name.clone());
        finding.item = Some(Item::Run(run.id));
        finding.spot = run.built.frames.get(at).map(|f| f.0.origin.midpoint(f.1.origin));
        Some(finding)
    })
}

/// The two bodies a run ties together with nothing in it that gives, if it does.
pub(super) fn rigid_between(project: &Project, run: &Run) -> Option<(String, String)> {
    let RunEnd::Hardpoint { hardpoint, .. } = run.end else { return None };
    let (from, to) = (project.hardpoint(run.start)?, project.hardpoint(hardpoint)?);
    if from.body == to.body {
        return None;
    }
    let at_ports = [from, to].into_iter().filter_map(|h| match h.attachment {
        Attachment::Joint { joint, .. } => Some(joint),
        Attachment::Welded | Attachment::Loose => None,
    });
    let loose = [from, to].iter().any(|h| h.attachment == Attachment::Loose);
    let any = run
        .fittings
        .iter()
        .map(|f| f.joint)
        .chain(at_ports)
        .any(|id| project.joint(id).is_some_and(|j| j.style.is_flexible()));
    let name = |id: BodyId| project.body(id).map_or_else(String::new, |b| b.name.clone());
    (!any && !loose).then(|| (name(from.body), name(to.body)))
}
