//! Turning a joint so that its lobe is where a hand and an eye reach it.

use super::build::Built;
use glam::DVec3;

/// Clock angle, degrees, at which the lobe of the joint that is piece `piece` points as nearly as it can along
/// `direction`; `None` for what is no joint, or where the pipe runs along that direction.
pub fn lobe_clock_toward(built: &Built, piece: usize, direction: DVec3) -> Option<f64> {
    built.pieces.get(piece)?.lobe_clock_rad?;
    let frame = built.frames.get(piece)?.0;
    let across = direction - frame.travel * frame.travel.dot(direction);
    (across.length() > 1e-3 * direction.length()).then(|| frame.clock_of(direction).to_degrees())
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
        let built = build(&project, &project.runs[0], "A");
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
}
