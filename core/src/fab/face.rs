//! Turning a joint so that its lobe is where a hand and an eye reach it.

use super::build::Built;
use super::piece::PieceKind;
use crate::geom::Frame;
use crate::model::Fitting;
use glam::DVec3;

/// A joint's middle lies within this of where its station puts it, mm: what laying many pieces leaves of rounding.
const SAME_PLACE_MM: f64 = 0.1;

/// Index of the piece that a joint along a leg has become; `None` where the run cannot be built, or the joint is not
/// on it.
pub fn fitting_piece(built: &Built, fitting: &Fitting) -> Option<usize> {
    let route = built.route.as_ref()?;
    let wanted = route.on_leg(fitting.leg, fitting.station_mm)?.origin;
    let off_mm = |i: &usize| {
        let (begin, end) = &built.frames[*i];
        begin.origin.midpoint(end.origin).distance(wanted)
    };
    let joints = (0..built.pieces.len()).filter(|i| built.pieces[*i].kind == PieceKind::Joint(fitting.joint));
    joints.min_by(|a, b| off_mm(a).total_cmp(&off_mm(b))).filter(|i| off_mm(i) <= SAME_PLACE_MM)
}

/// Index of the joint at the first face of the pipe, or at its last; `None` where there is none.
pub fn port_piece(built: &Built, at_start: bool) -> Option<usize> {
    let index = if at_start { 0 } else { built.pieces.len().checked_sub(1)? };
    matches!(built.pieces.get(index)?.kind, PieceKind::Joint(_)).then_some(index)
}

/// Clock angle, degrees, at which the lobe of the joint that is piece `piece` points as nearly as it can along
/// `direction`; `None` for what is no joint, or where the pipe runs along that direction.
pub fn lobe_clock_toward(built: &Built, piece: usize, direction: DVec3) -> Option<f64> {
    built.pieces.get(piece)?.lobe_clock_rad?;
    clock_toward(&built.frames.get(piece)?.0, direction)
}

/// Clock angle, degrees, that points as nearly as it can along `direction`; `None` where the frame travels along that.
pub fn clock_toward(frame: &Frame, direction: DVec3) -> Option<f64> {
    let across = direction - frame.travel * frame.travel.dot(direction);
    (across.length() > 0.05 * direction.length()).then(|| frame.clock_of(direction).to_degrees())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fab::build;
    use crate::model::{Fitting, FittingId, JointId};
    use crate::testing::run_through;

    #[test]
    fn the_lobe_turns_to_where_it_is_wanted() {
        let (mut project, mut run) =
            run_through(&[DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)]);
        let id = FittingId(900);
        run.fittings.push(Fitting { id, joint: JointId(12), leg: 0, station_mm: 80.0, lobe_clock_deg: 10.0 });
        project.runs = vec![run];
        let built = build(&project, &project.runs[0]);
        let at = built.pieces.iter().position(|p| p.lobe_clock_rad.is_some()).unwrap();
        // the index line is on top, the pipe runs forward: clockwise as seen along it, left is at 270°
        let toward = |d: DVec3| lobe_clock_toward(&built, at, d).map(|deg| deg.rem_euclid(360.0).round());
        assert_eq!(toward(DVec3::Z), Some(0.0));
        assert_eq!(toward(DVec3::Y), Some(270.0));
        assert_eq!(toward(DVec3::NEG_Z), Some(180.0));
        assert_eq!(toward(DVec3::new(5.0, -1.0, 0.0)), Some(90.0));
        assert_eq!(toward(DVec3::X), None);
        assert_eq!(lobe_clock_toward(&built, 0, DVec3::Z), None);
    }

    #[test]
    fn each_joint_is_told_from_the_others_of_its_kind() {
        let (mut project, mut run) =
            run_through(&[DVec3::ZERO, DVec3::X * 600.0, DVec3::new(600.0, 600.0, 0.0)]);
        for (n, leg, station_mm) in [(0, 0, 300.0), (1, 1, 200.0), (2, 0, 100.0)] {
            let id = FittingId(900 + n);
            run.fittings.push(Fitting {
                id,
                joint: JointId(12),
                leg,
                station_mm,
                lobe_clock_deg: f64::from(n),
            });
        }
        project.runs = vec![run];
        let built = build(&project, &project.runs[0]);
        assert!(built.is_buildable(), "{:?}", built.problems);
        for fitting in &project.runs[0].fittings {
            let piece = fitting_piece(&built, fitting).unwrap();
            assert_eq!(built.pieces[piece].lobe_clock_rad, Some(fitting.lobe_clock_deg.to_radians()));
        }
        let gone = Fitting { leg: 7, ..project.runs[0].fittings[0] };
        let aside = Fitting { station_mm: 150.0, ..project.runs[0].fittings[0] };
        assert_eq!((fitting_piece(&built, &gone), fitting_piece(&built, &aside)), (None, None));
        assert_eq!(port_piece(&built, true), None, "the tube is welded to the part there");
    }
}
