//! Sawn pieces in files that know them by their marks only: what they are is found by their shape.

use glam::DVec3;
use pipeloft_core::edit::{Edit, apply};
use pipeloft_core::file;
use pipeloft_core::model::{DonePiece, Item, Project, RunId};
use pipeloft_core::report::{Report, records};
use pipeloft_tests::shop::{half, run_through, shop};
use std::path::Path;

fn old(name: &str) -> Project {
    file::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("files/old").join(name)).expect("it loads")
}

/// Marks of the pieces that need no sawing as they are sawn.
fn sawn(report: &Report) -> Vec<String> {
    let pieces = report.runs.iter().flat_map(|r| &r.printed).filter(|p| p.source.name() == "sawn");
    pieces.map(|p| p.mark.clone()).collect()
}

fn to_buy(report: &Report) -> usize {
    report.stock.iter().map(|s| s.sticks_to_buy).sum()
}

/// Sentences about sawn pieces.
fn said(report: &Report) -> Vec<&str> {
    report.findings.iter().filter(|f| f.code.starts_with("sawn")).map(|f| f.text.as_str()).collect()
}

#[test]
fn eight_sawn_pieces_are_what_their_marks_say_and_stay_it_when_another_run_is_deleted() {
    let project = old("sawn-in-four-runs.ron");
    let report = Report::new(&project);
    let eight = ["B2", "B6", "B7", "B8", "B9", "B10", "B11", "B12"];
    assert_eq!(sawn(&report), eight);
    assert_eq!(said(&report), Vec::<&str>::new());
    let other = project.runs.iter().find(|r| r.letters == "A").unwrap().id;
    let without = apply(&project, &Edit::Remove(Item::Run(other))).unwrap();
    let after = Report::new(&without);
    assert_eq!((sawn(&after).as_slice(), said(&after)), (eight.map(str::to_owned).as_slice(), Vec::new()));
    assert!(to_buy(&after) <= to_buy(&report), "{} {}", to_buy(&after), to_buy(&report));
    // the other way: without their run they are gone
    let own = project.runs.iter().find(|r| r.letters == "B").unwrap().id;
    assert!(apply(&project, &Edit::Remove(Item::Run(own))).unwrap().done.is_empty());
}

#[test]
fn after_a_run_was_deleted_by_an_older_program_they_are_found_in_the_run_they_are_of() {
    let project = old("sawn-then-a-run-deleted.ron");
    let report = Report::new(&project);
    assert_eq!(sawn(&report), ["A2", "A6", "A7", "A8", "A9", "A10", "A11", "A12"]);
    assert_eq!(said(&report), Vec::<&str>::new());
    let before = Report::new(&old("sawn-in-four-runs.ron"));
    assert!(to_buy(&report) <= to_buy(&before));
    // what is written on them is shown beside what they are called now
    let written = report.runs[0].printed.iter().filter_map(|p| p.written.as_deref());
    assert_eq!(written.collect::<Vec<_>>(), ["B2", "B6", "B7", "B8", "B9", "B10", "B11", "B12"]);
}

#[test]
fn after_one_bend_was_made_another_way_only_its_pieces_are_spoken_of() {
    let project = old("sawn-then-a-bend-changed.ron");
    let report = Report::new(&project);
    // the first bend has five slices no more but three: those of the last bend have moved up by two
    assert_eq!(sawn(&report), ["B7", "B8", "B9", "B10"]);
    let unknown = "B2, B6, B7 and B8 were sawn before the pipes were changed";
    assert!(matches!(said(&report)[..], [one] if one.starts_with(unknown)), "{:?}", said(&report));
    // they are not counted, and can be taken off the list
    let left = project.done.iter().filter(|d| d.key.is_none()).cloned().collect::<Vec<_>>();
    let cleared = apply(&project, &Edit::ForgetDone(left)).unwrap();
    assert_eq!(cleared.done.len(), 4);
    assert_eq!(said(&Report::new(&cleared)), Vec::<&str>::new());
}

#[test]
fn what_was_brought_up_to_date_is_the_same_after_saving_and_loading() {
    for name in ["sawn-in-four-runs.ron", "sawn-then-a-run-deleted.ron", "sawn-then-a-bend-changed.ron"] {
        let project = old(name);
        let text = file::to_text(&project).unwrap();
        assert!(text.contains("format: 6"));
        assert_eq!(file::from_text(&text, Path::new(name)).unwrap(), project, "{name}");
    }
}

/// Two runs of bends that differ, sawn in part; by name their pieces.
fn two_runs() -> (Project, [RunId; 2]) {
    let mut project = shop(63.5, 1.65);
    let at = |y: f64| {
        [
            DVec3::new(0.0, y, 0.0),
            DVec3::new(300.0, y, 0.0),
            DVec3::new(300.0, y + 400.0, 0.0),
            DVec3::new(300.0, y + 400.0, 500.0),
            DVec3::new(800.0, y + 400.0, 500.0),
        ]
    };
    let first = run_through(&mut project, &at(0.0), half(95.25, 4));
    let second = run_through(&mut project, &at(900.0), half(120.0, 3));
    (project, [first, second])
}

/// The project as a file of format 4, in which pieces that were sawn are known by mark and shape.
fn as_format_4(project: &Project, done: &[DonePiece]) -> String {
    let mut plain = project.clone();
    plain.last_letters.clear();
    plain.done.clear();
    let text = file::to_text(&plain).expect("any project can be put into text");
    let text = text.replacen("format: 6", "format: 4", 1);
    let lines: Vec<&str> = text.lines().filter(|l| !l.trim_start().starts_with("letters:")).collect();
    let one = |d: &DonePiece| {
        format!(
            "(mark: {:?}, tube: {}, centre_mm: {:?}, start_deg: {:?}, end_deg: {:?}, twist_deg: {:?})",
            d.mark, d.tube.0, d.centre_mm, d.start_deg, d.end_deg, d.twist_deg
        )
    };
    let done: Vec<String> = done.iter().map(one).collect();
    let body = lines.join("\n");
    let end = body.rfind(')').expect("a file ends with a bracket");
    format!("{}  done: [{}],\n)\n", &body[..end], done.join(", "))
}

fn loaded(text: &str) -> Project {
    file::from_text(text, Path::new("old.ron")).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

/// All pieces of a run, as they are when they have been sawn.
fn all_of(project: &Project, run: RunId) -> Vec<DonePiece> {
    let report = Report::new(project);
    let run = report.run(run).expect("the run is there");
    records(run, &run.built.pieces.iter().filter_map(|p| p.key).collect()).collect()
}

#[test]
fn marks_that_name_another_pipe_by_now_do_not_matter_where_the_shape_is_of_one_run() {
    let (project, [first, second]) = two_runs();
    let done = all_of(&project, second);
    assert!(done.iter().all(|d| d.mark.starts_with('B')));
    let known = loaded(&as_format_4(&project, &done));
    assert_eq!(
        known.done.iter().map(|d| d.key).collect::<Vec<_>>(),
        done.iter().map(|d| d.key).collect::<Vec<_>>()
    );
    // what was left to trim is known again
    assert_eq!(
        known.done.iter().map(|d| d.trim).collect::<Vec<_>>(),
        done.iter().map(|d| d.trim).collect::<Vec<_>>()
    );
    // the first run deleted by a program that letters runs by their place
    let mut without = project.clone();
    without.runs.retain(|r| r.id != first);
    let found = loaded(&as_format_4(&without, &done));
    assert!(found.done.iter().all(|d| d.key.is_some_and(|key| key.run == second)));
    let report = Report::new(&found);
    assert!(report.runs[0].printed.iter().all(|p| p.source.name() == "sawn"), "{:?}", sawn(&report));
    assert_eq!(said(&report), Vec::<&str>::new());
    // both runs there, but none of them lettered so: the shape alone tells
    let renamed: Vec<DonePiece> =
        done.iter().map(|d| DonePiece { mark: d.mark.replacen('B', "X", 1), ..d.clone() }).collect();
    let found = loaded(&as_format_4(&project, &renamed));
    assert!(found.done.iter().all(|d| d.key.is_some_and(|key| key.run == second)));
}

#[test]
fn of_two_runs_alike_only_the_marks_tell_and_without_them_nothing_is_guessed() {
    let (mut project, [first, _]) = two_runs();
    project.runs.truncate(1);
    let points = [
        DVec3::new(0.0, 2000.0, 0.0),
        DVec3::new(300.0, 2000.0, 0.0),
        DVec3::new(300.0, 2400.0, 0.0),
        DVec3::new(300.0, 2400.0, 500.0),
        DVec3::new(800.0, 2400.0, 500.0),
    ];
    let twin = run_through(&mut project, &points, half(95.25, 4));
    let done = all_of(&project, first);
    assert!(loaded(&as_format_4(&project, &done)).done.iter().all(|d| d.key.is_some_and(|k| k.run == first)));
    let theirs: Vec<DonePiece> =
        done.iter().map(|d| DonePiece { mark: d.mark.replacen('A', "B", 1), ..d.clone() }).collect();
    assert!(
        loaded(&as_format_4(&project, &theirs)).done.iter().all(|d| d.key.is_some_and(|k| k.run == twin))
    );
    let nobodys: Vec<DonePiece> =
        done.iter().map(|d| DonePiece { mark: d.mark.replacen('A', "X", 1), ..d.clone() }).collect();
    let loaded = loaded(&as_format_4(&project, &nobodys));
    assert!(loaded.done.iter().all(|d| d.key.is_none()));
    let report = Report::new(&loaded);
    assert!(sawn(&report).is_empty() && said(&report).len() == 1);
}

#[test]
fn the_weld_fitted_last_is_brought_up_from_its_number() {
    let (project, [_, second]) = two_runs();
    let text = as_format_4(&project, &[]);
    let welds = Report::new(&project).run(second).unwrap().welds.clone();
    let at = text.rfind("gap_mm:").unwrap();
    for (number, key) in [(2, welds[1].key), (99, None)] {
        let with = format!("{}fit_weld: Some({number}), {}", &text[..at], &text[at..]);
        assert_eq!(loaded(&with).run(second).unwrap().fit_weld, key);
    }
}

#[test]
fn runs_keep_the_letters_they_had_where_those_read_like_nothing_else() {
    let mut project = shop(63.5, 1.65);
    for i in 0..60 {
        let y = 300.0 * f64::from(i);
        let points = [DVec3::new(0.0, y, 0.0), DVec3::new(300.0, y, 0.0), DVec3::new(300.0, y, 300.0)];
        run_through(&mut project, &points, half(95.25, 2));
    }
    let project = loaded(&as_format_4(&project, &[]));
    let letters: Vec<&str> = project.runs.iter().map(|r| r.letters.as_str()).collect();
    assert_eq!(letters[..7].join(""), "ABCDEFG");
    assert_eq!((letters[8], letters[9], letters[25], letters[26], letters[34]), ("I", "J", "Z", "AA", "AI"));
    // H and W stood for holes and welds, AH, AJ, AP and AW would be those of run A
    let new: Vec<&str> = [7, 22, 33, 35, 41, 48, 59].iter().map(|i| letters[*i]).collect();
    assert_eq!(new, ["BK", "BL", "BM", "BN", "BQ", "BR", "BS"]);
    assert_eq!(project.last_letters, "BS");
    let mut marks: Vec<String> = pipeloft_core::fab::build_all(&project)
        .iter()
        .flat_map(|b| {
            b.pieces
                .iter()
                .map(|p| p.mark.clone())
                .chain(b.welds.iter().map(|w| w.mark.clone()))
                .collect::<Vec<_>>()
        })
        .collect();
    let count = marks.len();
    marks.sort_unstable();
    marks.dedup();
    assert_eq!(marks.len(), count, "every mark once");
}
