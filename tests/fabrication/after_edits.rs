//! The report after a change, which takes over what has not changed, is the one that is worked out afresh.

use glam::DVec3;
use pipeloft_core::edit::{Edit, apply, new_item, reshape};
use pipeloft_core::file;
use pipeloft_core::model::{BendMake, Ends, Hardpoint, Item, Obstacle, Project, Run, Seat, Spot};
use pipeloft_core::report::{Effort, Report};
use pipeloft_core::space::scan::Scans;
use pipeloft_tests::dice::Dice;
use pipeloft_tests::shop::demos;

fn shift(dice: &mut Dice, mm: f64) -> DVec3 {
    DVec3::new(dice.between(-mm, mm), dice.between(-mm, mm), dice.between(-mm, mm))
}

fn pick<'a, T>(list: &'a [T], dice: &mut Dice) -> Option<&'a T> {
    list.get(dice.below(list.len().max(1) as u64) as usize)
}

/// One change of a run.
fn run_edit(project: &Project, run: &Run, dice: &mut Dice) -> Option<Edit> {
    let vertices = run.vertices();
    let vertex = *pick(&vertices, dice)?;
    Some(match dice.below(6) {
        0..=2 => {
            let to = reshape::position(project, run, vertex)? + shift(dice, 15.0);
            Edit::PutRun(reshape::moved(project, run, vertex, to))
        }
        3 => {
            run.make(vertex)?;
            let make = BendMake::mitred(dice.between(95.0, 160.0), 3 + dice.below(3) as u32, Ends::Half);
            Edit::PutRun(reshape::with_make(run, vertex, make))
        }
        4 => Edit::PutRun(Run {
            name: format!("{}'", run.name),
            gap_mm: dice.between(2.0, 40.0),
            ..run.clone()
        }),
        _ => Edit::SetHidden(Item::Run(run.id), !run.hidden),
    })
}

/// One change, whatever it is.
fn any_edit(project: &Project, dice: &mut Dice) -> Option<Edit> {
    Some(match dice.below(16) {
        0..=7 => run_edit(project, pick(&project.runs, dice)?, dice)?,
        8 => Edit::Remove(Item::Run(pick(&project.runs, dice)?.id)),
        9 => {
            let old = pick(&project.obstacles, dice)?;
            let mut new = Obstacle { gap_mm: dice.between(2.0, 60.0), ..old.clone() };
            new.pose.position_mm += shift(dice, 30.0);
            Edit::PutObstacle(new)
        }
        10 => {
            let old = pick(&project.hardpoints, dice)?;
            Edit::PutHardpoint(Hardpoint { position_mm: old.position_mm + shift(dice, 5.0), ..old.clone() })
        }
        11 => {
            // what sits on a run slides along it or round it
            let seated: Vec<&Hardpoint> =
                project.hardpoints.iter().filter(|h| matches!(h.seat, Some(Seat::Run { .. }))).collect();
            let mut new = (*pick(&seated, dice)?).clone();
            if let Some(Seat::Run { spot, clock_deg, .. }) = &mut new.seat {
                *clock_deg += dice.between(-10.0, 10.0);
                if let Spot::Leg { station_mm, .. } = spot {
                    *station_mm += dice.between(-5.0, 5.0);
                }
            }
            Edit::PutHardpoint(new)
        }
        12 => {
            let mut new = pick(&project.merges, dice)?.clone();
            new.position_mm += shift(dice, 4.0);
            Edit::PutMerge(new)
        }
        13 => {
            let mut settings = project.settings.clone();
            settings.allowances.trim_mm = dice.between(0.0, 8.0);
            Edit::SetSettings(settings)
        }
        14 => {
            let mut tube = pick(&project.tubes, dice)?.clone();
            tube.sticks_on_hand = dice.below(4) as u32;
            Edit::PutTube(tube)
        }
        _ => {
            let mut changed = project.clone();
            let at = pick(&project.runs, dice)?.id;
            let port = new_item::branch(&mut changed, at, 0)?;
            let put = Edit::PutHardpoint(port.clone());
            let mut changed = apply(&changed, &put).ok()?;
            let run = new_item::run(&mut changed, port.id, None)?;
            Edit::All(vec![put, Edit::PutRun(run)])
        }
    })
}

/// Sequences of edits; `PIPELOFT_EDIT_SEQUENCES` asks for more of them.
#[test]
fn the_report_after_a_change_is_the_fresh_one() {
    let wanted = std::env::var("PIPELOFT_EDIT_SEQUENCES").ok().and_then(|n| n.parse().ok()).unwrap_or(6);
    let scans = Scans::default();
    let mut compared = 0;
    for path in demos() {
        let demo = file::load(&path).unwrap();
        for sequence in 0..wanted {
            let mut dice = Dice(1000 + sequence);
            let mut project = demo.clone();
            let mut report = Report::quick(&project);
            let mut past = Vec::new();
            for _ in 0..8 {
                // now and then the last change is taken back
                let back = dice.below(6) == 0;
                let next = match past.pop().filter(|_| back) {
                    Some(old) => old,
                    None => match any_edit(&project, &mut dice).map(|edit| apply(&project, &edit)) {
                        Some(Ok(next)) => next,
                        Some(Err(_)) | None => continue,
                    },
                };
                let after = report.after(&project, &next, &scans, Effort::Quick);
                let fresh = Report::quick(&next);
                assert_eq!(
                    after.to_json().unwrap(),
                    fresh.to_json().unwrap(),
                    "{} {sequence}",
                    path.display()
                );
                assert!(after == fresh, "{} {sequence}: more than the report file differs", path.display());
                compared += 1;
                past.push(std::mem::replace(&mut project, next));
                report = after;
            }
        }
    }
    assert!(compared as u64 > wanted * 12, "{compared}");
}
