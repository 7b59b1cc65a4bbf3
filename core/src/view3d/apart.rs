//! A scene with a section of one run on its way off.

use super::build::BuiltScene;
use super::scene::{Glow, Part, Shade, Tint};
use crate::geom::{Frame, Solid};
use crate::model::{Item, RunId};
use glam::{DQuat, DVec3};
use std::ops::Range;

/// A section of a run that stands somewhere else than it is built.
#[derive(Debug, Clone, PartialEq)]
pub struct Apart {
    /// The run.
    pub run: RunId,
    /// The pieces that have moved.
    pub pieces: Range<usize>,
    /// Joints that are open: what stands for them is below.
    pub opened: Vec<usize>,
    /// What moves with the section where a joint was opened.
    pub moving: Vec<Solid>,
    /// What stays there.
    pub staying: Vec<Solid>,
    /// Turn about the origin of what moves, before its shift.
    pub rotation: DQuat,
    /// Shift of what moves, mm.
    pub shift_mm: DVec3,
    /// What the section runs into, and which piece where that is its own run.
    pub lit: Option<(Item, Option<usize>)>,
}

/// Puts the section where it is on its way, in place of where it is built, and lights what it runs into.
///
/// The bounds of the scene stay as they are: the view does not follow.
pub fn take_apart(built: &mut BuiltScene, apart: &Apart) {
    let own = Item::Run(apart.run);
    let lights = |item: Item, piece: Option<usize>| {
        apart.lit.is_some_and(|(lit, at)| lit == item && (at.is_none() || at == piece))
    };
    for item in &mut built.scene.items {
        if item.item == own {
            let pieces = built.pieces.entry(apart.run).or_default();
            let old: Vec<(Part, usize)> = item.parts.drain(..).zip(pieces.drain(..)).collect();
            for (part, piece) in old {
                let Some(part) = own_part(&part, piece, apart) else { continue };
                let shade = Shade { glow: Glow::TooClose, ..part.shade() };
                item.parts.push(if lights(own, Some(piece)) { part.with_shade(shade) } else { part });
                pieces.push(piece);
            }
            let at = apart.opened.first().copied().unwrap_or(apart.pieces.start);
            let shade = Shade { tint: Tint::Joint, glow: Glow::Hover };
            let moved = apart.moving.iter().map(|s| s.moved(apart.rotation, apart.shift_mm));
            for solid in moved.chain(apart.staying.iter().copied()) {
                item.parts.push(Part::Solid(solid, shade));
                pieces.push(at);
            }
        } else if lights(item.item, None) {
            for part in &mut item.parts {
                *part = part.with_shade(Shade { glow: Glow::TooClose, ..part.shade() });
            }
        }
    }
}

/// A part of the run itself, moved where it is of the section; `None` where it is of an open joint.
fn own_part(part: &Part, piece: usize, apart: &Apart) -> Option<Part> {
    let opened = apart.opened.contains(&piece);
    let moves = |piece: usize| apart.pieces.contains(&piece);
    match part {
        Part::Solid(solid, shade) => {
            let solid = if moves(piece) { solid.moved(apart.rotation, apart.shift_mm) } else { *solid };
            (!opened).then_some(Part::Solid(solid, *shade))
        }
        Part::Seam { frame, normal, radius_mm, shade } => {
            // a seam counts to the piece after it
            let with_section = moves(piece) || (opened && piece.checked_sub(1).is_some_and(moves));
            if !with_section {
                return Some(part.clone());
            }
            let frame = Frame {
                origin: apart.rotation * frame.origin + apart.shift_mm,
                travel: apart.rotation * frame.travel,
                index: apart.rotation * frame.index,
            };
            let normal = apart.rotation * *normal;
            Some(Part::Seam { frame, normal, radius_mm: *radius_mm, shade: *shade })
        }
        Part::Shape(..) | Part::Scan(..) | Part::Port { .. } | Part::Rod { .. } => Some(part.clone()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::obstacle::{Pose, Shape};
    use crate::model::{BodyId, Fitting, FittingId, JointId, Obstacle, ObstacleId};
    use crate::report::Report;
    use crate::space::scan::Scans;
    use crate::testing::run_through;
    use crate::view3d::{Emphasis, build_scene};

    #[test]
    fn only_the_section_moves_and_open_joints_show_their_halves() {
        let (mut project, _) = run_through(&[
            DVec3::ZERO,
            DVec3::X * 400.0,
            DVec3::new(400.0, 500.0, 0.0),
            DVec3::new(800.0, 500.0, 0.0),
        ]);
        let joint = |id, leg| Fitting {
            id: FittingId(id),
            joint: JointId(12),
            leg,
            station_mm: 120.0,
            lobe_clock_deg: 0.0,
        };
        project.runs[0].fittings = vec![joint(900, 0), joint(901, 2)];
        let report = Report::quick(&project);
        let run = &report.runs[0];
        let joints: Vec<usize> =
            (0..run.built.pieces.len()).filter(|i| run.built.pieces[*i].lobe_clock_rad.is_some()).collect();
        let shift_mm = DVec3::new(0.0, 0.0, 75.0);
        let half = run.built.solids.iter().find(|s| s.piece == joints[0]).unwrap().solid;
        let apart = Apart {
            run: run.id,
            pieces: joints[0] + 1..joints[1],
            opened: joints.clone(),
            moving: vec![half],
            staying: vec![half],
            rotation: DQuat::IDENTITY,
            shift_mm,
            lit: Some((Item::Run(run.id), Some(0))),
        };
        let mut built = build_scene(&project, &report, &Scans::default(), &Emphasis::default());
        let before = built.clone();
        take_apart(&mut built, &apart);
        let of = |b: &BuiltScene| b.scene.items.iter().find(|i| i.item == Item::Run(run.id)).unwrap().clone();
        let (old, new) = (of(&before), of(&built));
        // two bodies and two lobes are gone, two halves stand for them
        assert_eq!(new.parts.len(), old.parts.len() - 4 + 2);
        assert_eq!(built.pieces[&run.id].len(), new.parts.len());
        for solid in &run.built.solids {
            let is = |at: Solid| new.parts.iter().any(|p| matches!(p, Part::Solid(s, _) if *s == at));
            let moved = solid.solid.moved(DQuat::IDENTITY, shift_mm);
            let inside = apart.pieces.contains(&solid.piece);
            if !joints.contains(&solid.piece) {
                assert_eq!((is(moved), is(solid.solid)), (inside, !inside), "piece {}", solid.piece);
            }
        }
        let seams = |item: &crate::view3d::SceneItem, high: bool| {
            let is = |p: &&Part| matches!(p, Part::Seam { frame, .. } if (frame.origin.z > 50.0) == high);
            item.parts.iter().filter(is).count()
        };
        // the welds of the bend and those where the section meets its joints
        let inner = run.built.welds.iter().filter(|w| w.before > joints[0] && w.before <= joints[1]).count();
        assert_eq!((seams(&new, true), seams(&old, true)), (inner, 0));
        assert_eq!(seams(&new, false) + inner, seams(&old, false));
        let lit: Vec<usize> = (0..new.parts.len())
            .filter(|i| new.parts[*i].shade().glow == Glow::TooClose)
            .map(|i| built.pieces[&run.id][i])
            .collect();
        assert!(!lit.is_empty() && lit.iter().all(|piece| *piece == 0), "{lit:?}");
        assert_eq!((built.scene.low, built.scene.high), (before.scene.low, before.scene.high));
    }

    #[test]
    fn the_obstacle_it_runs_into_is_lit_and_no_other() {
        let (mut project, _) = run_through(&[DVec3::ZERO, DVec3::X * 400.0, DVec3::new(400.0, 500.0, 0.0)]);
        for id in [901, 902] {
            project.obstacles.push(Obstacle {
                id: ObstacleId(id),
                name: "box".to_owned(),
                body: BodyId(1),
                shape: Shape::Box { size_mm: DVec3::splat(50.0) },
                pose: Pose::at(DVec3::new(f64::from(id), 0.0, 900.0)),
                gap_mm: 1.0,
                heat_sensitive: false,
                hot_gap_mm: None,
                hidden: false,
            });
        }
        let report = Report::quick(&project);
        let mut built = build_scene(&project, &report, &Scans::default(), &Emphasis::default());
        let apart = Apart {
            run: report.runs[0].id,
            pieces: 0..report.runs[0].built.pieces.len(),
            opened: Vec::new(),
            moving: Vec::new(),
            staying: Vec::new(),
            rotation: DQuat::IDENTITY,
            shift_mm: DVec3::Z,
            lit: Some((Item::Obstacle(ObstacleId(902)), None)),
        };
        take_apart(&mut built, &apart);
        for item in &built.scene.items {
            let lit = item.parts.iter().any(|p| p.shade().glow == Glow::TooClose);
            assert_eq!(lit, item.item == Item::Obstacle(ObstacleId(902)), "{:?}", item.item);
        }
    }
}
