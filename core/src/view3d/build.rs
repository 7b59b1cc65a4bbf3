//! The scene of a project: pipes as they will be built, hardpoints, obstacles, and what stands out.

use super::branch;
use super::scene::{Glow, Part, Scene, SceneItem, Shade, Tint};
use crate::fab::PieceKind;
use crate::geom::{Frame, Solid};
use crate::model::{Hardpoint, Item, Obstacle, Project, RunId, ScanFile, Seat, Shape};
use crate::report::{BarReport, Report, RunReport, jet_of};
use crate::space::scan::Scans;
use crate::space::{PlacedShape, solid_bounds};
use glam::DVec3;
use std::collections::BTreeMap;

/// What stands out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Emphasis {
    /// The selected item.
    pub selected: Option<Item>,
    /// What is selected beside it.
    pub also: Vec<Item>,
    /// The item under the pointer.
    pub hover: Option<Item>,
    /// A piece of the selected run that is selected.
    pub piece: Option<usize>,
    /// A piece of the selected run that is under the pointer in table, strip or view.
    pub hover_piece: Option<usize>,
}

impl Emphasis {
    /// Whether an item is selected, by itself or beside another.
    fn is_selected(&self, item: Item) -> bool {
        self.selected == Some(item) || self.also.contains(&item)
    }
}

/// A scene and, for each run, which piece every part belongs to.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BuiltScene {
    /// The scene.
    pub scene: Scene,
    /// Piece of each part of a run; seams belong to the piece after them.
    pub pieces: BTreeMap<RunId, Vec<usize>>,
}

/// Smallest half of the box that is in view when there is nothing to see, mm.
const EMPTY_MM: f64 = 500.0;

/// Room round the mark of a datum, mm.
const DATUM_ROOM_MM: f64 = 30.0;

/// Builds the scene.
///
/// A scan that has not been read is drawn as the outline of the box that it is said to fill.
pub fn build_scene(project: &Project, report: &Report, scans: &Scans, emphasis: &Emphasis) -> BuiltScene {
    let mut out = BuiltScene::default();
    let mut bounds = Bounds::default();
    let too_close = |item: Item| report.clearance.iter().any(|c| !c.ok && c.other == item);
    let is_hidden = |h: &Hardpoint| {
        let merge = match h.seat {
            Some(Seat::Arm { merge, .. } | Seat::Outlet { merge }) => project.merge(merge),
            Some(Seat::Run { .. }) | None => None,
        };
        h.hidden || merge.is_some_and(|m| m.hidden)
    };
    for port in project.hardpoints.iter().filter(|h| !is_hidden(h)) {
        if let Some(item) = port_item(port, emphasis) {
            bounds.ball(port.position_mm, port.od_mm * 1.5);
            out.scene.items.push(item);
        }
    }
    for obstacle in project.obstacles.iter().filter(|o| !o.hidden) {
        if let Some((low, high)) = obstacle_bounds(obstacle, scans) {
            bounds.add(low);
            bounds.add(high);
        }
        let too_close = too_close(Item::Obstacle(obstacle.id));
        out.scene.items.push(obstacle_item(obstacle, scans, emphasis, too_close));
    }
    // marks are drawn flat over the picture; here they only have to be in it
    for datum in project.datums.iter().filter(|d| !d.hidden) {
        bounds.ball(datum.position_mm, DATUM_ROOM_MM);
    }
    for (run, result) in project.runs.iter().zip(&report.runs) {
        if run.hidden {
            continue;
        }
        let close: Vec<usize> =
            report.clearance.iter().filter(|c| !c.ok && c.run_id == run.id).map(|c| c.piece).collect();
        let (item, pieces) = run_item(project, result, emphasis, &close);
        for placed in result.built.all_solids() {
            let (low, high) = solid_bounds(&placed.solid);
            bounds.add(low);
            bounds.add(high);
        }
        for point in &result.vertices_mm {
            bounds.add(*point);
        }
        out.pieces.insert(run.id, pieces);
        out.scene.items.push(item);
    }
    for bar in project.bars.iter().zip(&report.bars).filter(|(bar, _)| !bar.hidden).map(|(_, told)| told) {
        for solid in &bar.built.solids {
            let (low, high) = solid_bounds(solid);
            bounds.add(low);
            bounds.add(high);
        }
        out.scene.items.push(bar_item(project, bar, emphasis));
    }
    (out.scene.low, out.scene.high) = bounds.corners();
    out
}

/// Lines that a jet is drawn with, and their radius, mm.
const JET_LINES: u32 = 8;
const JET_LINE_MM: f64 = 0.8;

#[derive(Default)]
struct Bounds(Option<(DVec3, DVec3)>);

impl Bounds {
    fn add(&mut self, p: DVec3) {
        if p.is_finite() {
            self.0 = Some(self.0.map_or((p, p), |(low, high)| (low.min(p), high.max(p))));
        }
    }

    fn ball(&mut self, centre: DVec3, radius_mm: f64) {
        self.add(centre - DVec3::splat(radius_mm));
        self.add(centre + DVec3::splat(radius_mm));
    }

    fn corners(&self) -> (DVec3, DVec3) {
        self.0.unwrap_or((DVec3::splat(-EMPTY_MM), DVec3::splat(EMPTY_MM)))
    }
}

fn glow(item: Item, emphasis: &Emphasis, too_close: bool) -> Glow {
    if emphasis.is_selected(item) {
        Glow::Selected
    } else if emphasis.hover == Some(item) {
        Glow::Hover
    } else if too_close {
        Glow::TooClose
    } else {
        Glow::None
    }
}

fn port_item(port: &Hardpoint, emphasis: &Emphasis) -> Option<SceneItem> {
    let item = Item::Hardpoint(port.id);
    let shade = Shade { tint: Tint::Hardpoint, glow: glow(item, emphasis, false) };
    let part = Part::Port { frame: port.outward()?, radius_mm: port.od_mm / 2.0, shade };
    Some(SceneItem { item, parts: vec![part] })
}

/// Lowest and highest coordinates of an obstacle, mm; `None` for a half space, which has none. A scan that has not been
/// read is taken for the box it is said to fill.
pub fn obstacle_bounds(obstacle: &Obstacle, scans: &Scans) -> Option<(DVec3, DVec3)> {
    if let Some(placed) = scans.placed(obstacle) {
        return Some(placed.bounds());
    }
    let Shape::Scan(scan) = &obstacle.shape else {
        return PlacedShape::new(&obstacle.shape, &obstacle.pose).bounds();
    };
    let corners = corners(scan).map(|corner| obstacle.pose.world_from_own(corner));
    let low = corners.into_iter().fold(DVec3::INFINITY, DVec3::min);
    Some((low, corners.into_iter().fold(DVec3::NEG_INFINITY, DVec3::max)))
}

/// The corners of the box a scan is said to fill, in its own axes, mm; X changes fastest, then Y.
fn corners(scan: &ScanFile) -> [DVec3; 8] {
    std::array::from_fn(|i| {
        let high = [i & 1, i & 2, i & 4].map(|bit| bit != 0);
        let of = |axis: usize| if high[axis] { scan.high_mm[axis] } else { scan.low_mm[axis] };
        DVec3::new(of(0), of(1), of(2))
    })
}

/// The outline of a scan that has not been read is drawn this thick for its size, within these bounds, mm.
const OUTLINE_SHARE: f64 = 0.0016;
const OUTLINE_MM: [f64; 2] = [1.0, 6.0];

/// The twelve edges of the box a scan is said to fill.
fn outline(obstacle: &Obstacle, scan: &ScanFile, shade: Shade) -> Vec<Part> {
    let corners = corners(scan).map(|corner| obstacle.pose.world_from_own(corner));
    let size = corners[0].distance(corners[7]);
    let radius_mm = (size * OUTLINE_SHARE).clamp(OUTLINE_MM[0], OUTLINE_MM[1]);
    let edges = (0..8_usize).flat_map(|i| [1, 2, 4].map(|bit| (i, i | bit))).filter(|(i, k)| i != k);
    edges.map(|(i, k)| Part::Rod { from: corners[i], to: corners[k], radius_mm, shade }).collect()
}

fn obstacle_item(obstacle: &Obstacle, scans: &Scans, emphasis: &Emphasis, too_close: bool) -> SceneItem {
    let item = Item::Obstacle(obstacle.id);
    let tint = if obstacle.heat_sensitive { Tint::HeatSensitive } else { Tint::Obstacle };
    let shade = Shade { tint, glow: glow(item, emphasis, too_close) };
    let parts = match (scans.placed(obstacle), &obstacle.shape) {
        (Some(placed), _) => vec![Part::Scan(placed, shade)],
        (None, Shape::Scan(scan)) => outline(obstacle, scan, shade),
        (None, shape) => vec![Part::Shape(shape.clone(), obstacle.pose, shade)],
    };
    SceneItem { item, parts }
}

/// Parts of a run and the piece of each.
fn run_item(
    project: &Project,
    run: &RunReport,
    emphasis: &Emphasis,
    close: &[usize],
) -> (SceneItem, Vec<usize>) {
    let item = Item::Run(run.id);
    let selected = emphasis.is_selected(item);
    // a selected piece is one of the run that was selected first
    let has_piece = emphasis.selected == Some(item);
    let glow_of = |piece: usize| {
        if has_piece && emphasis.piece == Some(piece) {
            Glow::Selected
        } else if close.contains(&piece) {
            Glow::TooClose
        } else if has_piece && emphasis.hover_piece == Some(piece) {
            Glow::Selected
        } else if selected || emphasis.hover == Some(item) {
            Glow::Hover
        } else {
            Glow::None
        }
    };
    let (mut parts, mut pieces) = (Vec::new(), Vec::new());
    if !run.built.is_buildable() {
        let shade = Shade { tint: Tint::Broken, glow: if selected { Glow::Selected } else { Glow::None } };
        for leg in run.vertices_mm.windows(2) {
            let radius_mm = run.tube.od_mm * 0.2;
            parts.push(Part::Rod { from: leg[0], to: leg[1], radius_mm, shade });
            pieces.push(0);
        }
        return (SceneItem { item, parts }, pieces);
    }
    let metal = project
        .run(run.id)
        .and_then(|r| project.tube(r.tube))
        .map_or(Tint::Joint, |t| Tint::Metal(t.material));
    for placed in &run.built.solids {
        let tint = if placed.lobe {
            Tint::Lobe
        } else if matches!(run.built.pieces[placed.piece].kind, PieceKind::Joint(_)) {
            Tint::Joint
        } else {
            metal
        };
        let solid = branch::reaching(&run.built, placed);
        parts.push(Part::Solid(solid, Shade { tint, glow: glow_of(placed.piece) }));
        pieces.push(placed.piece);
    }
    for part in &run.built.parts {
        let glow = glow_of(part.piece);
        let own = part.solids.iter().map(|solid| (solid, metal));
        for (solid, tint) in own.chain(part.screwed.iter().map(|solid| (solid, Tint::Joint))) {
            parts.push(Part::Solid(*solid, Shade { tint, glow }));
            pieces.push(part.piece);
        }
    }
    if selected && let Some(jet) = project.run(run.id).and_then(|of| jet_of(of, &run.built)) {
        let last = run.built.pieces.len() - 1;
        let lines = jet_parts(&jet);
        pieces.extend(std::iter::repeat_n(last, lines.len()));
        parts.extend(lines);
    }
    for weld in &run.built.welds {
        let piece = weld.before.min(run.built.pieces.len() - 1);
        if let Some(rods) = branch::weld(&run.built, weld) {
            pieces.extend(std::iter::repeat_n(piece, rods.len()));
            parts.extend(rods);
            continue;
        }
        if let Some((frame, normal)) = seam(run, weld.before) {
            let shade = Shade { tint: Tint::Weld, glow: Glow::None };
            let radius_mm = weld_radius_mm(run, weld.before);
            parts.push(Part::Seam { frame, normal, radius_mm, shade });
            pieces.push(piece);
        }
    }
    (SceneItem { item, parts }, pieces)
}

/// Outside radius of the tube at the weld before a piece (or after the last), mm.
fn weld_radius_mm(run: &RunReport, before: usize) -> f64 {
    let pieces = &run.built.pieces;
    let first = before.checked_sub(1).and_then(|i| pieces.get(i)).map(crate::fab::Piece::end_od_mm);
    let od_mm = first.unwrap_or(0.0).max(pieces.get(before).map_or(0.0, |p| p.od_mm));
    if od_mm > 0.0 { od_mm / 2.0 } else { run.tube.od_mm / 2.0 }
}

/// A bar as it is drawn.
fn bar_item(project: &Project, bar: &BarReport, emphasis: &Emphasis) -> SceneItem {
    let item = Item::Bar(bar.id);
    let tint = match project.bar(bar.id) {
        Some(of) if bar.buildable => Tint::Metal(of.material),
        Some(_) | None => Tint::Broken,
    };
    let shade = Shade { tint, glow: glow(item, emphasis, false) };
    let parts = bar.built.solids.iter().map(|solid| Part::Solid(*solid, shade)).collect();
    SceneItem { item, parts }
}

/// What an open end blows, as thin lines round its jet.
fn jet_parts(jet: &crate::geom::Frustum) -> Vec<Part> {
    let shade = Shade { tint: Tint::HeatSensitive, glow: Glow::None };
    let lines = (0..JET_LINES).map(|i| std::f64::consts::TAU * f64::from(i) / f64::from(JET_LINES));
    let rod = |clock: f64| Part::Rod {
        from: jet.edge(0.0, clock),
        to: jet.edge(jet.length_mm, clock),
        radius_mm: JET_LINE_MM,
        shade,
    };
    lines.map(rod).collect()
}

/// Axis frame and plane normal of the weld before a piece (or after the last).
fn seam(run: &RunReport, before: usize) -> Option<(Frame, DVec3)> {
    let solids = &run.built.solids;
    let of = |piece: usize, last: bool| {
        let mut own = solids.iter().filter(|s| s.piece == piece && !s.lobe);
        if last { own.next_back() } else { own.next() }.map(|s| s.solid)
    };
    // the face of a mitred barrel says the plane best; an elbow's or joint's is square
    let start = of(before, false).and_then(|s| match s {
        Solid::Barrel(b) => Some((b.start, b.start_normal)),
        Solid::Elbow(_) | Solid::Drum(_) | Solid::Block(_) | Solid::Frustum(_) => None,
    });
    let end = before.checked_sub(1).and_then(|p| of(p, true)).and_then(|s| match s {
        Solid::Barrel(b) => Some((b.start.forward(b.length_mm), b.end_normal)),
        Solid::Elbow(_) | Solid::Drum(_) | Solid::Block(_) | Solid::Frustum(_) => None,
    });
    let tilt = |face: &Option<(Frame, DVec3)>| face.map_or(2.0, |(f, n)| f.travel.dot(n));
    let square = match run.built.frames.get(before) {
        Some((frame, _)) => Some((*frame, frame.travel)),
        None => run.built.end().map(|frame| (frame, frame.travel)),
    };
    match (start, end) {
        (Some(_), Some(_)) => {
            if tilt(&start) <= tilt(&end) {
                start
            } else {
                end
            }
        }
        (Some(_), None) => start,
        (None, Some(_)) => end,
        (None, None) => square,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{ObstacleId, Pose};
    use crate::space::scan::{Scan, ScanState, ScanTree, ScanUnit, Unwatched};
    use crate::testing::run_through;
    use crate::view3d::{Ray, Slack, pick};
    use std::sync::Arc;

    fn sample() -> Project {
        run_through(&[
            DVec3::ZERO,
            DVec3::X * 300.0,
            DVec3::new(300.0, 300.0, 0.0),
            DVec3::new(600.0, 300.0, 0.0),
        ])
        .0
    }

    #[test]
    fn every_solid_and_weld_is_drawn_and_knows_its_piece() {
        let project = sample();
        let report = Report::new(&project);
        let built = build_scene(&project, &report, &Scans::default(), &Emphasis::default());
        let run = &report.runs[0];
        let item = built.scene.items.iter().find(|i| i.item == Item::Run(run.id)).unwrap();
        assert_eq!(item.parts.len(), run.built.solids.len() + run.welds.len());
        assert_eq!(built.pieces[&run.id].len(), item.parts.len());
        assert!(built.scene.low.x <= 0.0 && built.scene.high.y >= 300.0);
    }

    #[test]
    fn hidden_things_are_not_drawn_and_nothing_has_a_box_too() {
        let mut project = sample();
        project.runs[0].hidden = true;
        for port in &mut project.hardpoints {
            port.hidden = true;
        }
        let built = build_scene(&project, &Report::new(&project), &Scans::default(), &Emphasis::default());
        assert!(built.scene.items.is_empty());
        assert!(built.scene.high.x > built.scene.low.x);
    }

    #[test]
    fn everything_in_view_holds_the_datums_but_hidden_ones() {
        let mut project = sample();
        let datum = crate::edit::new_item::datum(&mut project, DVec3::new(-700.0, -80.0, 940.0));
        project.datums.push(datum);
        let built = build_scene(&project, &Report::new(&project), &Scans::default(), &Emphasis::default());
        assert!(built.scene.low.x < -700.0 && built.scene.high.z > 940.0);
        project.datums[0].hidden = true;
        let built = build_scene(&project, &Report::new(&project), &Scans::default(), &Emphasis::default());
        assert!(built.scene.low.x > -700.0 && built.scene.high.z < 940.0);
    }

    #[test]
    fn a_run_that_cannot_be_built_is_drawn_as_rods() {
        let mut project = sample();
        project.runs[0].start_corner.reach_mm = 20.0;
        let built = build_scene(&project, &Report::new(&project), &Scans::default(), &Emphasis::default());
        let item = built.scene.items.iter().find(|i| matches!(i.item, Item::Run(_))).unwrap();
        assert!(item.parts.iter().all(|p| matches!(p, Part::Rod { .. })));
    }

    /// A roof of two triangles over the square from (0, 0, 0) to (100, 100, 20), as a scan in inches, turned by a
    /// quarter about Z.
    fn with_roof(project: &mut Project) -> (Scans, ScanFile) {
        let points = [DVec3::ZERO, DVec3::X * 100.0, DVec3::new(100.0, 100.0, 20.0), DVec3::Y * 100.0];
        let scan = Scan::from_triangles(&points, &[[0, 1, 2], [0, 2, 3]], ScanUnit::Inch).unwrap();
        let file = ScanFile {
            path: "roof.stl".to_owned(),
            bytes: 1,
            sha256: "0".repeat(64),
            mm_per_unit: 25.4,
            low_mm: DVec3::ZERO,
            high_mm: DVec3::new(2540.0, 2540.0, 508.0),
            keep: None,
        };
        project.obstacles.push(Obstacle {
            id: ObstacleId(5000),
            name: "roof".to_owned(),
            body: project.bodies[0].id,
            shape: Shape::Scan(file.clone()),
            pose: Pose { position_mm: DVec3::Z * 1000.0, turn_deg: DVec3::Z * 90.0 },
            gap_mm: 5.0,
            heat_sensitive: false,
            hot_gap_mm: None,
            hidden: false,
        });
        let mut scans = Scans::default();
        let tree = Arc::new(ScanTree::new(scan, &Unwatched).unwrap());
        scans.set(file.clone(), ScanState::Ready(tree));
        (scans, file)
    }

    #[test]
    fn a_scan_is_in_the_scene_where_it_stands_and_can_be_pointed_at() {
        let mut project = sample();
        let (scans, _) = with_roof(&mut project);
        let report = Report::new(&project);
        let built = build_scene(&project, &report, &scans, &Emphasis::default());
        // own (x, y) comes to (−y, x)
        assert!(built.scene.low.x <= -2540.0 && built.scene.high.z >= 1508.0);
        let item = Item::Obstacle(ObstacleId(5000));
        let ray = Ray { origin: DVec3::new(-254.0, 1270.0, 5000.0), dir: DVec3::NEG_Z };
        let hit = pick(&built.scene, &ray, Slack::default()).into_iter().find(|h| h.item == item).unwrap();
        // at own (1270, 254) mm the first triangle, z = y / 5, is 50.8 mm up
        assert!((ray.at(hit.t) - DVec3::new(-254.0, 1270.0, 1050.8)).length() < 1e-3, "{}", ray.at(hit.t));
        let normal = hit.normal.unwrap();
        assert!((normal - DVec3::new(1.0, 0.0, 5.0).normalize_or_zero()).length() < 1e-6, "{normal}");
    }

    #[test]
    fn selecting_or_moving_a_scan_keeps_its_tree_and_is_told_from_another_place() {
        let mut project = sample();
        let (scans, _) = with_roof(&mut project);
        let report = Report::new(&project);
        let part = |project: &Project| {
            let built = build_scene(project, &report, &scans, &Emphasis::default());
            let item = built.scene.items.into_iter().find(|i| i.item == Item::Obstacle(ObstacleId(5000)));
            item.unwrap().parts.remove(0)
        };
        let here = part(&project);
        assert_eq!(part(&project), here);
        project.obstacles.last_mut().unwrap().pose.position_mm.x += 1.0;
        let there = part(&project);
        assert_ne!(there, here);
        let (Part::Scan(a, _), Part::Scan(b, _)) = (&here, &there) else { panic!("no scans") };
        assert!(Arc::ptr_eq(a.tree(), b.tree()));
    }

    #[test]
    fn a_scan_that_is_not_there_is_drawn_as_the_twelve_edges_of_its_box() {
        let mut project = sample();
        let (_, file) = with_roof(&mut project);
        let built = build_scene(&project, &Report::new(&project), &Scans::default(), &Emphasis::default());
        let item = built.scene.items.iter().find(|i| i.item == Item::Obstacle(ObstacleId(5000))).unwrap();
        let lengths: Vec<f64> = item
            .parts
            .iter()
            .map(|p| match p {
                Part::Rod { from, to, .. } => from.distance(*to),
                other => panic!("{other:?}"),
            })
            .collect();
        assert_eq!(lengths.len(), 12);
        let size = file.high_mm - file.low_mm;
        assert!((lengths.iter().sum::<f64>() - 4.0 * size.element_sum()).abs() < 1e-6);
        assert!(built.scene.low.x <= -2540.0 && built.scene.high.y >= 2540.0);
    }
}
