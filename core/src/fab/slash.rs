//! The open end of a run that is cut at an angle.

use super::piece::{Cut, Piece, PieceKind};
use crate::finding::OpenEndProblem;
use crate::model::{Project, Run, RunEnd};

/// Gives the last piece the cut of an open end; what is wrong with that.
pub fn slash(project: &Project, run: &Run, pieces: &mut [Piece]) -> Option<OpenEndProblem> {
    let RunEnd::Open { slash: Some(slash), .. } = run.end else { return None };
    let piece = pieces.last_mut().filter(|_| slash.tilt_deg > 0.0)?;
    let tilt_deg = slash.tilt_deg;
    match piece.kind {
        PieceKind::Straight => {
            piece.end = Cut::tilted(tilt_deg.to_radians(), slash.clock_deg.to_radians());
            let most_deg = project.settings.saw.most_deg;
            (tilt_deg > most_deg + 1e-9).then_some(OpenEndProblem::SlashSteep { tilt_deg, most_deg })
        }
        // its cut belongs to the bend
        PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Joint(_) | PieceKind::Taper(_) => {
            Some(OpenEndProblem::SlashOn { tilt_deg, what: piece.kind.of_type() })
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::fab::{Built, build};
    use crate::geom::Solid;
    use crate::model::{Project, Run, RunEnd, Slash};
    use crate::testing::run_through;
    use approx::assert_relative_eq;
    use glam::DVec3;

    fn dump(tilt_deg: f64, clock_deg: f64) -> (Project, Run) {
        let points = [DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)];
        let (project, mut run) = run_through(&points);
        let slash = Some(Slash { tilt_deg, clock_deg });
        run.end = RunEnd::Open { position_mm: points[2], slash, blast: None };
        (project, run)
    }

    fn codes(built: &Built) -> Vec<&'static str> {
        built.problems.iter().map(|(p, ..)| p.code()).collect()
    }

    #[test]
    fn a_slash_cut_leans_its_face_towards_its_clock() {
        // the pipe ends along +Y with its index line up: the long side on top leans the face forward and down
        let (project, run) = dump(30.0, 0.0);
        let built = build(&project, &run);
        assert!(built.is_buildable(), "{:?}", built.problems);
        let last = built.pieces.last().unwrap();
        let (long, short) = last.long_short_mm();
        assert_relative_eq!(
            last.generator_mm(0.0) - last.centre_mm,
            31.75 * 30_f64.to_radians().tan(),
            epsilon = 1e-9
        );
        assert!(long - short > 31.75 * 2.0 * 30_f64.to_radians().tan());
        let Solid::Barrel(barrel) = built.solids.last().unwrap().solid else { panic!("tube") };
        assert_relative_eq!(
            barrel.end_normal,
            DVec3::new(0.0, 30_f64.to_radians().cos(), -0.5),
            epsilon = 1e-9
        );
        assert_relative_eq!(
            barrel.edge(true, 0.0).y,
            300.0 + 31.75 * 30_f64.to_radians().tan(),
            epsilon = 1e-9
        );
        assert_relative_eq!(built.end().unwrap().origin, DVec3::new(300.0, 300.0, 0.0), epsilon = 1e-9);
    }

    #[test]
    fn what_cannot_be_slashed_is_said() {
        let (mut project, run) = dump(50.0, 90.0);
        assert_eq!(codes(&build(&project, &run)), ["slash-end"]);
        project.settings.saw.most_deg = 60.0;
        assert_eq!(codes(&build(&project, &run)), Vec::<&str>::new());
        // an elbow's own leg takes up the straight
        let mut run = run;
        crate::testing::set_makes(
            &mut run,
            crate::model::BendMake::Elbow { elbow: crate::model::ElbowId(11) },
        );
        project.elbows[0].leg_mm = 400.0;
        let built = build(&project, &run);
        assert!(codes(&built).contains(&"slash-end") && !built.is_buildable());
    }
}
