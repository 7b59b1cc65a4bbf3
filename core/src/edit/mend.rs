//! Findings that have one sure cure.

use super::reshape::with_make;
use crate::fab::Mitre;
use crate::finding::{Finding, PieceProblem, Problem, RouteProblem};
use crate::model::{BendMake, Item, Project, Run};

/// What the button says and the run it makes; `None` where the cure is a choice of the fabricator's.
pub fn mend(project: &Project, finding: &Finding) -> Option<(String, Run)> {
    let Some(Item::Run(id)) = finding.item else { return None };
    let run = project.run(id)?;
    let vertex = finding.vertex?;
    if let Problem::Route(
        RouteProblem::OddSlice { multiple_rad, .. } | RouteProblem::NotMultiple { multiple_rad, .. },
    ) = finding.problem
    {
        let mended = super::snap::turned_to(project, run, vertex, multiple_rad)?;
        let deg = crate::units::plain_number(multiple_rad.to_degrees(), 2);
        return Some((format!("Move it to {deg}°"), mended));
    }
    let BendMake::Mitred { clr_mm, welds, ends, .. } = run.make(vertex)? else { return None };
    let units = project.settings.units;
    match &finding.problem {
        Problem::Route(RouteProblem::RadiusTooSmall { least_mm, .. }) => {
            // room for a throat that can be gripped, not the bare least
            let least = least_mm + project.settings.shortest_throat_mm;
            let clr = up_to_grid(least);
            let words = format!("Set CLR to {}", crate::units::length(clr, units));
            Some((words, with_make(run, vertex, BendMake::mitred(clr, welds, ends))))
        }
        Problem::Piece(PieceProblem::ThroatShort { clr_mm: Some(least), .. }) => {
            let clr = up_to_grid(*least);
            let words = format!("Set CLR to {}", crate::units::length(clr, units));
            Some((words, with_make(run, vertex, BendMake::mitred(clr, welds, ends))))
        }
        Problem::Piece(PieceProblem::FullEndAtFace { .. }) => {
            let make = BendMake::mitred(clr_mm, welds, crate::model::Ends::Half);
            Some(("Give it half ends".to_owned(), with_make(run, vertex, make)))
        }
        Problem::Route(RouteProblem::TooFewWelds { .. }) => {
            let least = Mitre::least_welds(ends);
            let words = format!("Use {least} welds");
            Some((words, with_make(run, vertex, BendMake::mitred(clr_mm, least, ends))))
        }
        Problem::Piece(PieceProblem::SawLimit { welds, .. }) => {
            let words = format!("Use {welds} welds");
            Some((words, with_make(run, vertex, BendMake::mitred(clr_mm, *welds, ends))))
        }
        _ => None,
    }
}

/// The next whole millimetre: a radius that can be set out.
fn up_to_grid(mm: f64) -> f64 {
    mm.ceil()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Ends;
    use crate::report::Report;
    use crate::testing::{run_through, set_makes};
    use glam::DVec3;

    #[test]
    fn each_cure_cures() {
        for (clr_mm, welds, ends, code) in [
            (20.0, 3, Ends::Half, "radius-too-small"),
            (40.0, 4, Ends::Half, "throat-short"),
            (90.0, 1, Ends::Full, "too-few-welds"),
        ] {
            let (mut project, mut run) =
                run_through(&[DVec3::ZERO, DVec3::X * 500.0, DVec3::new(500.0, 500.0, 0.0)]);
            set_makes(&mut run, BendMake::mitred(clr_mm, welds, ends));
            project.runs = vec![run];
            let report = Report::new(&project);
            let finding = report.findings.iter().find(|f| f.code == code).unwrap_or_else(|| panic!("{code}"));
            let (words, mended) = mend(&project, finding).unwrap();
            assert!(!words.is_empty());
            project.runs = vec![mended];
            assert!(!Report::new(&project).findings.iter().any(|f| f.code == code), "{code}");
        }
    }
}
