//! The scene of a project: pipes as they will be built, hardpoints, obstacles, and what stands out.

use super::scene::{Glow, Part, Scene, SceneItem, Shade, Tint};
use crate::fab::PieceKind;
use crate::geom::{Frame, Solid};
use crate::model::{Hardpoint, Item, Obstacle, Project, RunId};
use crate::report::{Report, RunReport};
use crate::space::{PlacedShape, solid_bounds};
use glam::DVec3;
use std::collections::BTreeMap;

/// What stands out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Emphasis {
    /// The selected item.
    pub selected: Option<Item>,
    /// The item under the pointer.
    pub hover: Option<Item>,
    /// A piece of the selected run that is selected.
    pub piece: Option<usize>,
    /// A piece of the selected run that is under the pointer in table, strip or view.
    pub hover_piece: Option<usize>,
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
pub fn build_scene(project: &Project, report: &Report, emphasis: &Emphasis) -> BuiltScene {
    let mut out = BuiltScene::default();
    let mut bounds = Bounds::default();
    let too_close = |item: Item| report.clearance.iter().any(|c| !c.ok && c.other == item);
    for port in project.hardpoints.iter().filter(|h| !h.hidden) {
        if let Some(item) = port_item(port, emphasis) {
            bounds.ball(port.position_mm, port.od_mm * 1.5);
            out.scene.items.push(item);
        }
    }
    for obstacle in project.obstacles.iter().filter(|o| !o.hidden) {
        if let Some((low, high)) = PlacedShape::new(&obstacle.shape, &obstacle.pose).bounds() {
            bounds.add(low);
            bounds.add(high);
        }
        out.scene.items.push(obstacle_item(obstacle, emphasis, too_close(Item::Obstacle(obstacle.id))));
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
        for placed in &result.built.solids {
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
    (out.scene.low, out.scene.high) = bounds.corners();
    out
}

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
    if emphasis.selected == Some(item) {
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

fn obstacle_item(obstacle: &Obstacle, emphasis: &Emphasis, too_close: bool) -> SceneItem {
    let item = Item::Obstacle(obstacle.id);
    let tint = if obstacle.heat_sensitive { Tint::HeatSensitive } else { Tint::Obstacle };
    let shade = Shade { tint, glow: glow(item, emphasis, too_close) };
    SceneItem { item, parts: vec![Part::Shape(obstacle.shape.clone(), obstacle.pose, shade)] }
}

/// Parts of a run and the piece of each.
fn run_item(
    project: &Project,
    run: &RunReport,
    emphasis: &Emphasis,
    close: &[usize],
) -> (SceneItem, Vec<usize>) {
    let item = Item::Run(run.id);
    let selected = emphasis.selected == Some(item);
    let glow_of = |piece: usize| {
        if selected && emphasis.piece == Some(piece) {
            Glow::Selected
        } else if close.contains(&piece) {
            Glow::TooClose
        } else if selected && emphasis.hover_piece == Some(piece) {
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
        parts.push(Part::Solid(placed.solid, Shade { tint, glow: glow_of(placed.piece) }));
        pieces.push(placed.piece);
    }
    for weld in &run.built.welds {
        let piece = weld.before.min(run.built.pieces.len() - 1);
        if let Some((frame, normal)) = seam(run, weld.before) {
            let shade = Shade { tint: Tint::Weld, glow: Glow::None };
            parts.push(Part::Seam { frame, normal, radius_mm: run.tube.od_mm / 2.0, shade });
            pieces.push(piece);
        }
    }
    (SceneItem { item, parts }, pieces)
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
        Solid::Elbow(_) | Solid::Drum(_) | Solid::Block(_) => None,
    });
    let end = before.checked_sub(1).and_then(|p| of(p, true)).and_then(|s| match s {
        Solid::Barrel(b) => Some((b.start.forward(b.length_mm), b.end_normal)),
        Solid::Elbow(_) | Solid::Drum(_) | Solid::Block(_) => None,
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
    use crate::testing::run_through;

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
        let built = build_scene(&project, &report, &Emphasis::default());
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
        let built = build_scene(&project, &Report::new(&project), &Emphasis::default());
        assert!(built.scene.items.is_empty());
        assert!(built.scene.high.x > built.scene.low.x);
    }

    #[test]
    fn everything_in_view_holds_the_datums_but_hidden_ones() {
        let mut project = sample();
        let datum = crate::edit::new_item::datum(&mut project, DVec3::new(-700.0, -80.0, 940.0));
        project.datums.push(datum);
        let built = build_scene(&project, &Report::new(&project), &Emphasis::default());
        assert!(built.scene.low.x < -700.0 && built.scene.high.z > 940.0);
        project.datums[0].hidden = true;
        let built = build_scene(&project, &Report::new(&project), &Emphasis::default());
        assert!(built.scene.low.x > -700.0 && built.scene.high.z < 940.0);
    }

    #[test]
    fn a_run_that_cannot_be_built_is_drawn_as_rods() {
        let mut project = sample();
        project.runs[0].start_corner.reach_mm = 20.0;
        let built = build_scene(&project, &Report::new(&project), &Emphasis::default());
        let item = built.scene.items.iter().find(|i| matches!(i.item, Item::Run(_))).unwrap();
        assert!(item.parts.iter().all(|p| matches!(p, Part::Rod { .. })));
    }
}
