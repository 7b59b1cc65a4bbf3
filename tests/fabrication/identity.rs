//! What is remembered from one edit to the next: sawn pieces stay sawn, and marks are never given twice.

use glam::DVec3;
use pipeloft_core::edit::{Edit, History, apply, new_item, reshape};
use pipeloft_core::fab::build_all;
use pipeloft_core::file;
use pipeloft_core::model::{
    Bung, BungUse, DonePiece, Fitting, FittingId, Item, Part, PartId, PartKind, PieceKey, PiecePlace,
    Project, Run, RunId, TubeAfter, Vertex, Waypoint, WaypointId,
};
use pipeloft_core::report::{Report, bar_mark, records};
use pipeloft_tests::dice::Dice;
use pipeloft_tests::shop::{COUPLER, full, half, run_through, shop};
use std::collections::BTreeSet;

/// A run of `bends` bends that goes up and down in steps, a little turned each time.
fn crooked(project: &mut Project, dice: &mut Dice, y_mm: f64, bends: usize) -> RunId {
    let mut points = vec![DVec3::new(0.0, y_mm, 0.0)];
    let mut way = DVec3::X;
    for i in 0..=bends {
        let last = points[i];
        points.push(last + way * dice.between(420.0, 620.0));
        let side = if i % 2 == 0 { DVec3::Z } else { DVec3::X };
        way = (side + DVec3::Y * dice.between(-0.35, 0.35)).try_normalize().unwrap_or(side);
    }
    let make = if dice.below(3) == 0 { full(110.0, 4) } else { half(dice.between(90.0, 130.0), 4) };
    run_through(project, &points, make)
}

/// Everything in it sawn.
fn all_sawn(project: &Project) -> Project {
    let report = Report::quick(project);
    let done = report.runs.iter().flat_map(|run| {
        let keys = run.built.pieces.iter().filter_map(|p| p.key).collect();
        records(run, &keys).collect::<Vec<_>>()
    });
    let is_sawn =
        |d: &DonePiece| d.key.and_then(|k| report.printed(k)).is_some_and(|p| p.source.name() == "stick");
    apply(project, &Edit::PutDone(done.filter(is_sawn).collect())).expect("they are its own")
}

/// The bends of a run that an edit at one of them has changed, with their neighbours.
fn around(run: &Run, vertex: Vertex) -> Vec<(RunId, Vertex)> {
    let all = run.vertices();
    let Some(at) = all.iter().position(|v| *v == vertex) else { return Vec::new() };
    all[at.saturating_sub(1)..(at + 2).min(all.len())].iter().map(|v| (run.id, *v)).collect()
}

/// Whether a piece is of bends and between bends that nothing was done to.
fn is_untouched(run: &Run, key: PieceKey, touched: &BTreeSet<(RunId, Vertex)>) -> bool {
    let is_free = |v: Vertex| !touched.contains(&(run.id, v));
    let all = run.vertices();
    match key.place {
        PiecePlace::Bend(vertex, _) => is_free(vertex),
        PiecePlace::Tube(TubeAfter::Start) => is_free(all[0]),
        PiecePlace::Tube(TubeAfter::Bend(vertex)) => {
            let next = all.iter().position(|v| *v == vertex).and_then(|i| all.get(i + 1));
            is_free(vertex) && next.is_none_or(|v| is_free(*v))
        }
        PiecePlace::Tube(_) | PiecePlace::Joint(_) | PiecePlace::Taper(_) => false,
    }
}

/// One edit, whatever it is, with the bends it touches; `None` where there is nothing to do it to.
fn any_edit(project: &Project, dice: &mut Dice) -> Option<(Edit, Vec<(RunId, Vertex)>)> {
    let run = project.runs.get(dice.below(project.runs.len().max(1) as u64) as usize)?;
    let vertices = run.vertices();
    let vertex = vertices[dice.below(vertices.len() as u64) as usize];
    let near = around(run, vertex);
    let shift = DVec3::new(dice.between(-1.0, 1.0), dice.between(-1.0, 1.0), dice.between(-1.0, 1.0)) * 40.0;
    match dice.below(7) {
        0 | 1 => {
            let to = reshape::position(project, run, vertex)? + shift;
            Some((Edit::PutRun(reshape::moved(project, run, vertex, to)), near))
        }
        2 => {
            let make = half(dice.between(90.0, 130.0), 3 + dice.below(4) as u32);
            run.make(vertex)?;
            Some((Edit::PutRun(reshape::with_make(run, vertex, make)), near))
        }
        3 => {
            let leg = 1 + dice.below(run.waypoints.len() as u64 + 1) as usize;
            let points = reshape::entered_points(project, run)?;
            let at = points.get(leg)?.midpoint(*points.get(leg + 1)?) + shift;
            let id = WaypointId(project.next_id);
            let new = Waypoint { id, position_mm: at, make: half(95.0, 2) };
            let new = reshape::inserted(project, run, leg, new)?;
            let touched = around(&new, Vertex::Way(id));
            Some((Edit::PutRun(new), touched))
        }
        4 => match vertex {
            Vertex::Way(id) => Some((Edit::PutRun(reshape::without(project, run, id)), near)),
            Vertex::Start | Vertex::End | Vertex::Open => None,
        },
        5 => (project.runs.len() > 2).then(|| (Edit::Remove(Item::Run(run.id)), Vec::new())),
        _ => {
            let mut copy = project.clone();
            let new = new_item::run(&mut copy, run.start, None)?;
            Some((Edit::PutRun(new), Vec::new()))
        }
    }
}

/// Sawn pieces of bends that nothing was done to stay sawn, nothing is said of them, and taking everything back gives
/// the project as it was.
#[test]
fn whatever_is_edited_the_sawn_pieces_of_other_bends_stay_sawn() {
    let (mut kept, mut lost) = (0, 0);
    for seed in 0..24 {
        let mut dice = Dice(7000 + seed);
        let mut project = shop(63.5, 1.65);
        project.settings.saw.step_deg = 0.5;
        project.settings.allowances.trim_mm = 6.0;
        project.settings.allowances.shrink_mm = 0.4;
        for i in 0..3 {
            crooked(&mut project, &mut dice, 1500.0 * f64::from(i), 5);
        }
        let start = all_sawn(&project);
        let first = Report::quick(&start);
        let sawn: Vec<PieceKey> = start.done.iter().filter_map(|d| d.key).collect();
        assert!(first.stock.iter().all(|s| s.sticks.is_empty()), "all of it is sawn");
        let mut history = History::new(start.clone());
        let mut touched = BTreeSet::new();
        for step in 0..8 {
            let before = history.project().clone();
            let Some((edit, bends)) = any_edit(&before, &mut dice) else { continue };
            if history.edit("any", &edit).is_err() {
                continue;
            }
            touched.extend(bends);
            let report = Report::quick(history.project());
            for key in sawn.iter().filter(|key| history.project().run(key.run).is_some()) {
                let run = history.project().run(key.run).unwrap();
                let Some(piece) = report.printed(*key) else { continue };
                if is_untouched(run, *key, &touched) {
                    kept += 1;
                    assert_eq!(piece.source.name(), "sawn", "seed {seed}, step {step}: {key:?} {piece:?}");
                    let said = format!("piece {}", piece.mark);
                    let of_it = report.findings.iter().filter(|f| f.code == "sawn-otherwise");
                    assert!(of_it.filter(|f| f.place == said).count() == 0, "{said}");
                } else {
                    lost += usize::from(piece.source.name() != "sawn");
                }
            }
            let letters: Vec<&str> = history.project().runs.iter().map(|r| r.letters.as_str()).collect();
            assert_eq!(letters.iter().collect::<BTreeSet<_>>().len(), letters.len(), "{letters:?}");
            assert!(
                history.project().done.iter().all(|d| history.project().run(d.key.unwrap().run).is_some())
            );
        }
        while history.undo() {}
        assert_eq!(**history.project(), start);
        assert_eq!(file::to_text(history.project()).unwrap(), file::to_text(&start).unwrap());
    }
    assert!(kept > 2000 && lost > 200, "{kept} {lost}: both kinds are met");
}

/// One more slice in one bend: its slices are spoken of, and the straights beside it; nothing else.
#[test]
fn one_more_slice_in_a_bend_is_told_of_that_bend_alone() {
    let mut project = shop(63.5, 1.65);
    let id = crooked(&mut project, &mut Dice(11), 0.0, 4);
    let start = all_sawn(&project);
    let run = start.run(id).unwrap();
    let vertex = run.vertices()[2];
    let count = Report::quick(&start).runs[0].pieces.len();
    let more = reshape::with_make(run, vertex, half(110.0, 6));
    let after = apply(&start, &Edit::PutRun(more)).unwrap();
    let report = Report::quick(&after);
    assert!(report.runs[0].pieces.len() > count);
    let beside = [run.vertices()[1], vertex];
    for piece in report.runs[0].printed.iter().filter(|p| p.source.name() != "sawn") {
        let place = piece.key.unwrap().place;
        let own = matches!(place, PiecePlace::Bend(v, _) if v == vertex)
            || matches!(place, PiecePlace::Tube(TubeAfter::Bend(v)) if beside.contains(&v));
        assert!(own, "{piece:?}");
    }
    // the pieces behind it have other marks now, and what is written on them is told
    assert!(report.runs[0].printed.iter().any(|p| p.source.name() == "sawn" && p.written.is_some()));
}

/// The pipe is built from what has been sawn: where a sawn slice is off, what is still to be sawn makes up for it.
#[test]
fn what_is_still_to_be_sawn_makes_up_for_what_has_been() {
    let mut project = shop(63.5, 1.65);
    project.settings.saw.step_deg = 0.5;
    let id = crooked(&mut project, &mut Dice(5), 0.0, 4);
    let mut start = all_sawn(&project);
    // only the first two slices of the third bend have been sawn, each a little longer than it was asked for
    let vertex = start.run(id).unwrap().vertices()[2];
    start.done.retain(|d| matches!(d.key.unwrap().place, PiecePlace::Bend(v, n) if v == vertex && n < 2));
    for done in &mut start.done {
        done.centre_mm += 0.3;
    }
    let report = Report::quick(&start);
    for done in &start.done {
        let printed = report.printed(done.key.unwrap()).unwrap();
        assert_eq!(printed.source.name(), "sawn");
        assert!((printed.centre_mm - done.centre_mm).abs() < 1e-6, "{printed:?}");
    }
    assert!(report.runs[0].miss.offset_mm < 0.5, "{:?}", report.runs[0].miss);
}

fn with_bung_and_coupler(run: &mut Run, project: &mut Project) {
    let id = PartId(project.fresh_id());
    let bung = Bung {
        purpose: BungUse::Plain,
        thread: String::new(),
        boss_mm: 25.0,
        height_mm: 12.0,
        hole_mm: 18.0,
        screwed: None,
    };
    let kind = PartKind::Bung(bung);
    run.parts.push(Part {
        id,
        name: "Bung".to_owned(),
        leg: 0,
        station_mm: 80.0,
        turn_deg: None,
        clock_deg: 30.0,
        kind,
    });
    let id = FittingId(project.fresh_id());
    run.fittings.push(Fitting { id, joint: COUPLER, leg: 1, station_mm: 80.0, lobe_clock_deg: 0.0 });
}

/// However many runs come and go, no mark is the same as another, of whatever kind.
#[test]
fn marks_are_unique_among_sixty_runs_that_came_and_went() {
    for seed in 0..4 {
        let mut dice = Dice(300 + seed);
        let mut project = shop(63.5, 1.65);
        let mut given = BTreeSet::new();
        for i in 0..90 {
            let mut plan = project.clone();
            let id = crooked(&mut plan, &mut dice, 700.0 * f64::from(i % 60), 2);
            let mut run = plan.run(id).unwrap().clone();
            with_bung_and_coupler(&mut run, &mut plan);
            let ports = plan.hardpoints[project.hardpoints.len()..].iter().cloned().map(Edit::PutHardpoint);
            let edits = ports.chain([Edit::PutRun(run)]).collect();
            project = apply(&project, &Edit::All(edits)).unwrap();
            let letters = project.run(id).unwrap().letters.clone();
            assert!(given.insert(letters.clone()), "{letters} was given before");
            if project.runs.len() > 60 {
                let gone = project.runs[dice.below(61) as usize].id;
                project = apply(&project, &Edit::Remove(Item::Run(gone))).unwrap();
            }
        }
        assert_eq!(project.runs.len(), 60);
        let mut marks: Vec<String> = (0..60).map(bar_mark).collect();
        let mut kinds = [0; 5];
        for built in build_all(&project) {
            kinds[0] += built.pieces.len();
            kinds[1] += built.welds.len();
            kinds[2] += built.holes.len();
            kinds[3] += built.parts.len();
            kinds[4] += built.pieces.iter().filter(|p| p.lobe_clock_rad.is_some()).count();
            marks.extend(built.pieces.iter().map(|p| p.mark.clone()));
            marks.extend(built.welds.iter().map(|w| w.mark.clone()));
            marks.extend(built.holes.iter().map(|h| h.mark.clone()));
            marks.extend(built.parts.iter().map(|p| p.mark.clone()));
        }
        assert!(kinds.iter().all(|n| *n >= 30), "{kinds:?}");
        let all: BTreeSet<&String> = marks.iter().collect();
        assert_eq!(all.len(), marks.len(), "every mark once");
        // nor does one begin another run's: the letters and the kind are read off a mark
        assert!(marks.iter().all(|m| m.chars().all(|c| c.is_ascii_alphanumeric())));
    }
}
