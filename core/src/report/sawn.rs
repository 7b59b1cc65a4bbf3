//! A stick that has been sawn: its pieces are done, it leaves the rack, and what is left over comes back.

use super::names::PieceEnd;
use super::{Report, RunReport, StickReport};
use crate::edit::Edit;
use crate::fab::done::record;
use crate::fab::nest::StickSource;
use crate::model::{DonePiece, Offcut, PieceKey, Project, TrimLeft, Tube, TubeId};
use std::collections::BTreeSet;

/// Offcuts within this of each other are one length, mm.
const SAME_OFFCUT_MM: f64 = 0.5;

/// The edit that marks stick `index` of a tube as sawn; `None` where there is none. `report` is the project's own.
pub fn stick_sawn(project: &Project, report: &Report, tube: TubeId, index: usize) -> Option<Edit> {
    let stick = report.stock.iter().find(|s| s.tube_id == tube)?.sticks.get(index)?;
    let cut: BTreeSet<PieceKey> = stick.cuts.iter().filter_map(|c| c.key).collect();
    let done = report.runs.iter().flat_map(|run| records(run, &cut)).collect();
    let mut tube = project.tube(tube)?.clone();
    take(&mut tube, stick);
    if stick.drop_mm >= project.settings.allowances.keep_mm && stick.drop_mm > 0.0 {
        give_back(&mut tube, stick.drop_mm);
    }
    Some(Edit::All(vec![Edit::PutTube(tube), Edit::PutDone(done)]))
}

/// What is kept of those pieces of a run that were cut.
pub fn records<'a>(run: &'a RunReport, cut: &'a BTreeSet<PieceKey>) -> impl Iterator<Item = DonePiece> + 'a {
    let pieces = run.built.pieces.iter().zip(&run.paper.pieces).enumerate();
    pieces.filter(|(_, (_, printed))| printed.key.is_some_and(|key| cut.contains(&key))).filter_map(
        |(i, (drawn, printed))| {
            let fit = run.fit.as_ref().filter(|f| f.piece_index == i);
            let trim = fit.map(|f| TrimLeft { trim_mm: f.trim_mm, at_end: f.at == PieceEnd::End });
            record(drawn, printed, trim)
        },
    )
}

/// Takes the stick off the rack; one that had to be bought never was on it.
fn take(tube: &mut Tube, stick: &StickReport) {
    match stick.source {
        StickSource::Rack => tube.sticks_on_hand = tube.sticks_on_hand.saturating_sub(1),
        StickSource::Offcut => {
            let near = |o: &&mut Offcut| (o.length_mm - stick.length_mm).abs() < 1e-6 && o.count > 0;
            if let Some(offcut) = tube.offcuts.iter_mut().find(near) {
                offcut.count -= 1;
            }
            tube.offcuts.retain(|o| o.count > 0);
        }
        StickSource::Buy => {}
    }
}

fn give_back(tube: &mut Tube, length_mm: f64) {
    let near = |o: &&mut Offcut| (o.length_mm - length_mm).abs() <= SAME_OFFCUT_MM;
    match tube.offcuts.iter_mut().find(near) {
        // the shorter of the two is the length that can be counted on
        Some(offcut) => {
            offcut.count += 1;
            offcut.length_mm = offcut.length_mm.min(length_mm);
        }
        None => tube.offcuts.push(Offcut { length_mm, count: 1 }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::apply;
    use crate::testing::run_through;
    use glam::DVec3;

    #[test]
    fn a_sawn_stick_leaves_the_rack_its_drop_comes_back_and_its_pieces_are_done() {
        let (project, _) = run_through(&[DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)]);
        let report = Report::new(&project);
        let tube = project.tubes[0].id;
        let stick = &report.stock[0].sticks[0];
        assert_eq!(stick.source, StickSource::Rack);
        let after = apply(&project, &stick_sawn(&project, &report, tube, 0).unwrap()).unwrap();
        assert_eq!(after.tubes[0].sticks_on_hand, 0);
        assert_eq!(after.tubes[0].offcuts, [Offcut { length_mm: stick.drop_mm, count: 1 }]);
        assert_eq!(after.done.len(), stick.cuts.len());
        let again = Report::new(&after);
        assert!(again.stock.iter().all(|s| s.sticks.is_empty()));
        assert!(again.runs[0].printed.iter().all(|p| p.source.name() == "sawn"));
        assert_eq!(stick_sawn(&after, &again, tube, 0), None);
    }

    #[test]
    fn a_piece_changed_after_it_was_sawn_is_wanted_again_and_said() {
        let (project, mut run) = run_through(&[
            DVec3::ZERO,
            DVec3::X * 300.0,
            DVec3::new(300.0, 400.0, 0.0),
            DVec3::new(700.0, 400.0, 100.0),
        ]);
        let report = Report::new(&project);
        let edit = stick_sawn(&project, &report, project.tubes[0].id, 0).unwrap();
        let mut after = apply(&project, &edit).unwrap();
        run.start_corner.reach_mm += 20.0;
        after.runs = vec![run];
        let report = Report::new(&after);
        assert!(report.findings.iter().any(|f| f.code == "sawn-otherwise"), "{:?}", report.findings);
        assert!(!report.stock[0].sticks.is_empty());
    }
}
