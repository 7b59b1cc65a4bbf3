//! The open end of a run: which way it points, how it is cut, what it blows at.

use crate::fab::bar::built::BuiltBar;
use crate::fab::{Built, PieceKind};
use crate::finding::{Finding, OpenEndProblem, Problem};
use crate::geom::{Frame, Frustum, Solid};
use crate::model::{Blast, Item, JointStyle, Project, Run, RunEnd, Shape};
use crate::space::scan::Scans;
use crate::space::{gap_between, gap_to_shape};
use crate::units::angle;
use glam::DVec3;
use serde::Serialize;
use std::sync::Arc;

/// Something an open end blows at.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BlownReport {
    /// Its name.
    pub against: String,
    /// How far from the end it is, mm.
    pub distance_mm: f64,
    /// Whether heat harms it: what is entered so, hoses, what is screwed into a pipe.
    pub harmed: bool,
    /// What it is.
    #[serde(skip)]
    pub item: Option<Item>,
}

/// The open end of a run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OpenEndReport {
    /// Middle of the end, mm.
    pub position_mm: DVec3,
    /// Unit direction it points.
    pub direction: DVec3,
    /// How far it points below level, degrees; below zero upwards.
    pub down_deg: f64,
    /// Tilt of its cut from square, degrees; 0 for a square one.
    pub slash_deg: f64,
    /// Clock angle of the long side of that cut, degrees.
    pub slash_clock_deg: Option<f64>,
    /// How far what it blows counts, mm; none where that is not looked after.
    pub blast_mm: Option<f64>,
    /// What it blows at, nearest first.
    pub blows_at: Vec<BlownReport>,
}

/// The jet of an open end: it widens evenly from the end.
fn jet(end: &Frame, radius_mm: f64, blast: Blast) -> Frustum {
    Frustum {
        start: *end,
        length_mm: blast.reach_mm,
        start_radius_mm: radius_mm,
        end_radius_mm: radius_mm + blast.reach_mm * blast.spread_deg.to_radians().tan(),
        shift: DVec3::ZERO,
    }
}

/// The jet of a run that can be built and has one.
pub fn jet_of(run: &Run, built: &Built) -> Option<Frustum> {
    let RunEnd::Open { blast: Some(blast), .. } = run.end else { return None };
    Some(jet(&built.end()?, built.pieces.last()?.end_od_mm() / 2.0, blast))
}

/// So many pieces before an open end cannot be blown at by it: they lie behind the mouth or beside it.
const BEHIND: usize = 2;

/// Whether a piece is a hose, which hot gas destroys.
fn is_hose(project: &Project, built: &Built, piece: usize) -> bool {
    match built.pieces.get(piece).map(|p| p.kind) {
        Some(PieceKind::Joint(id)) => {
            project.joint(id).is_some_and(|joint| joint.style == JointStyle::HoseAndClamps)
        }
        Some(PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Taper(_)) | None => {
            false
        }
    }
}

/// The open end of a run; `None` for one that ends at a hardpoint or cannot be built.
///
/// Ground and walls (half spaces) do not count: an end has to point somewhere.
pub(super) fn open_end(
    project: &Project,
    scans: &Scans,
    run: &Run,
    built: &Built,
    all: &[Arc<Built>],
    bars: &[BuiltBar],
) -> Option<OpenEndReport> {
    let RunEnd::Open { slash, blast, .. } = run.end else { return None };
    let end = built.end()?;
    let mut blows_at = Vec::new();
    if let Some(jet) = jet_of(run, built) {
        // the mouth, to measure from
        let mouth = Solid::Frustum(Frustum { length_mm: 0.1, end_radius_mm: jet.start_radius_mm, ..jet });
        let jet = Solid::Frustum(jet);
        for (obstacle, shape) in super::clearance::placed_obstacles(project, scans) {
            if matches!(obstacle.shape, Shape::HalfSpace) || gap_to_shape(&jet, &shape, 0.0).is_none() {
                continue;
            }
            let gap = gap_to_shape(&mouth, &shape, f64::INFINITY);
            blows_at.push(BlownReport {
                against: obstacle.name.clone(),
                distance_mm: gap.map_or(0.0, |g| g.gap_mm.max(0.0)),
                harmed: obstacle.heat_sensitive,
                item: Some(Item::Obstacle(obstacle.id)),
            });
        }
        let far = |solid: &Solid| {
            gap_between(&jet, solid, 0.0)?;
            gap_between(&mouth, solid, f64::INFINITY).map(|gap| gap.gap_mm.max(0.0))
        };
        for (other, theirs) in project.runs.iter().zip(all) {
            let mut nearest: Option<f64> = None;
            let mut harmed = false;
            // the pipe it comes out of lies behind the mouth
            let last =
                if other.id == run.id { theirs.pieces.len().saturating_sub(BEHIND) } else { usize::MAX };
            for placed in theirs.all_solids().iter().filter(|s| s.piece < last) {
                let Some(mm) = far(&placed.solid) else { continue };
                nearest = Some(nearest.map_or(mm, |least| least.min(mm)));
                harmed |=
                    placed.part.is_some_and(|i| theirs.parts.get(i).is_some_and(|p| p.removal.is_some()))
                        || is_hose(project, theirs, placed.piece);
            }
            if let Some(distance_mm) = nearest {
                let item = Some(Item::Run(other.id));
                blows_at.push(BlownReport { against: other.name.clone(), distance_mm, harmed, item });
            }
        }
        for (bar, made) in project.bars.iter().zip(bars) {
            let gaps = made.solids.iter().filter_map(far);
            if let Some(distance_mm) = gaps.min_by(f64::total_cmp) {
                let item = Some(Item::Bar(bar.id));
                blows_at.push(BlownReport { against: bar.name.clone(), distance_mm, harmed: false, item });
            }
        }
        blows_at.sort_by(|a, b| a.distance_mm.total_cmp(&b.distance_mm));
    }
    Some(OpenEndReport {
        position_mm: end.origin,
        direction: end.travel,
        down_deg: (-end.travel.z).clamp(-1.0, 1.0).asin().to_degrees(),
        slash_deg: slash.map_or(0.0, |s| s.tilt_deg),
        slash_clock_deg: slash.filter(|s| s.tilt_deg > 0.0).map(|s| s.clock_deg),
        blast_mm: blast.map(|b| b.reach_mm),
        blows_at,
    })
}

/// What is said of what an open end blows at.
pub(super) fn findings(project: &Project, run: &Run, end: &OpenEndReport) -> Vec<Finding> {
    let units = project.settings.units;
    let hot = run.service.is_hot();
    let say = |blown: &BlownReport| {
        let problem = OpenEndProblem::BlowsAt {
            against: blown.against.clone(),
            distance_mm: blown.distance_mm,
            harm: hot && blown.harmed,
        };
        Finding {
            run: Some(run.name.clone()),
            item: Some(Item::Run(run.id)),
            spot: Some(end.position_mm),
            ..Problem::from(problem).finding(units)
        }
    };
    end.blows_at.iter().map(say).collect()
}

impl OpenEndReport {
    /// Which way it points and how it is cut, in words.
    pub fn words(&self) -> String {
        let level = self.direction.truncate();
        let ways = [
            ("forward", glam::DVec2::X),
            ("to the left", glam::DVec2::Y),
            ("back", glam::DVec2::NEG_X),
            ("to the right", glam::DVec2::NEG_Y),
        ];
        let way = ways.iter().max_by(|a, b| a.1.dot(level).total_cmp(&b.1.dot(level)));
        let tilt = self.down_deg.abs();
        let points = if tilt > 89.5 {
            if self.down_deg > 0.0 { "straight down".to_owned() } else { "straight up".to_owned() }
        } else {
            let way = way.map_or("", |w| w.0);
            if tilt < 0.5 {
                format!("level, most of all {way}")
            } else {
                let up = if self.down_deg > 0.0 { "down" } else { "up" };
                format!("{} {up}, most of all {way}", angle(tilt, 0))
            }
        };
        let cut = self.slash_clock_deg.map_or_else(
            || "cut square".to_owned(),
            |clock| {
                format!(
                    "cut {} from square, long side at clock {}",
                    angle(self.slash_deg, 2),
                    angle(clock, 1)
                )
            },
        );
        format!("points {points}; {cut}")
    }
}

#[cfg(test)]
mod tests {
    use crate::edit::new_item;
    use crate::finding::Severity;
    use crate::model::{Blast, BodyId, Project, RunEnd, Service, Shape};
    use crate::report::Report;
    use crate::testing::run_through;
    use approx::assert_relative_eq;
    use glam::DVec3;

    /// A dump that ends at (300, 300, 0) along +Y and blows 200 mm far, 10° wide.
    fn dump() -> Project {
        let points = [DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)];
        let (mut project, _) = run_through(&points);
        let blast = Some(Blast { reach_mm: 200.0, spread_deg: 10.0 });
        project.runs[0].end = RunEnd::Open { position_mm: points[2], slash: None, blast };
        project.runs[0].service = Service::WastegateDump;
        project
    }

    fn ball(project: &mut Project, at: DVec3, harmed: bool) {
        let new = new_item::obstacle(project, Shape::Sphere { diameter_mm: 40.0 }, at);
        let heat_sensitive = harmed;
        project.obstacles.push(crate::model::Obstacle {
            body: BodyId(9),
            heat_sensitive,
            gap_mm: 0.0,
            ..new
        });
    }

    fn blown(project: &Project) -> Vec<(Severity, f64)> {
        let report = Report::quick(project);
        let end = report.runs[0].open_end.clone().unwrap();
        let said = report.findings.iter().filter(|f| f.code == "blows-at").map(|f| f.severity);
        said.zip(end.blows_at.iter().map(|b| b.distance_mm)).collect()
    }

    #[test]
    fn only_what_the_jet_reaches_is_blown_at() {
        let mut project = dump();
        assert!(blown(&project).is_empty());
        ball(&mut project, DVec3::new(300.0, 420.0, 0.0), true);
        let found = blown(&project);
        assert_eq!((found.len(), found[0].0), (1, Severity::Warn));
        // from the mouth's face at y = 300 to the ball at 400
        assert_relative_eq!(found[0].1, 100.0, epsilon = 0.11);
        // at 120 mm the jet is 31.75 + 120·tan 10° = 52.9 wide; its side leans by 10°: a ball of radius 20 clears it from
        // 52.9 + 20/cos 10° = 73.2 off the axis on
        let edge = 31.75 + 120.0 * 10_f64.to_radians().tan() + 20.0 / 10_f64.to_radians().cos();
        project.obstacles[0].pose.position_mm.z = edge + 0.05;
        assert!(blown(&project).is_empty());
        project.obstacles[0].pose.position_mm.z = edge - 0.05;
        assert_eq!(blown(&project).len(), 1);
        // beyond its reach
        project.obstacles[0].pose.position_mm = DVec3::new(300.0, 300.0 + 200.0 + 20.5, 0.0);
        assert!(blown(&project).is_empty());
        // what heat does not harm is worth knowing only, and so is all that cold air blows at
        project.obstacles[0].pose.position_mm = DVec3::new(300.0, 420.0, 0.0);
        project.obstacles[0].heat_sensitive = false;
        assert_eq!(blown(&project)[0].0, Severity::Note);
        project.obstacles[0].heat_sensitive = true;
        project.runs[0].service = Service::BlowOff;
        assert_eq!(blown(&project)[0].0, Severity::Note);
    }

    #[test]
    fn the_ground_is_not_blown_at_and_the_way_is_said() {
        let mut project = dump();
        let ground = new_item::obstacle(&mut project, Shape::HalfSpace, DVec3::new(0.0, 0.0, -50.0));
        project.obstacles.push(ground);
        assert!(blown(&project).is_empty());
        let end = Report::quick(&project).runs[0].open_end.clone().unwrap();
        assert_eq!(end.words(), "points level, most of all to the left; cut square");
        assert_relative_eq!(end.direction, DVec3::Y, epsilon = 1e-9);
    }
}
