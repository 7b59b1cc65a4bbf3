use super::*;
use glam::DVec3;
use pipeloft_core::edit::new_item;
use pipeloft_core::file::{load, to_text};
use pipeloft_core::model::{ScanFile, Shape};
use pipeloft_core::units::UnitSystem;

fn folder(name: &str) -> PathBuf {
    let path = std::env::temp_dir().join(format!("pipeloft-recovery-{name}-{}", std::process::id()));
    let _old = std::fs::remove_dir_all(&path);
    path
}

fn project(name: &str) -> Arc<Project> {
    Arc::new(Project::new(name, UnitSystem::Millimetre))
}

fn work(project: &Arc<Project>, file: Option<&str>) -> Work {
    let file = file.map(PathBuf::from);
    Work { project: Arc::clone(project), folder: None, file, stamp: Some(Stamp::of(b"as it was")) }
}

fn names(kept: &[Kept]) -> Vec<&str> {
    kept.iter().map(|k| k.project.as_ref().unwrap().name.as_str()).collect()
}

#[test]
fn a_copy_is_written_beside_the_window_and_goes_when_the_work_is_saved() {
    let folder = folder("rest");
    let mut recovery = Recovery::at(folder.clone());
    let copies = || {
        let entries = std::fs::read_dir(&folder).into_iter().flatten().map(|e| e.unwrap().path());
        entries.filter(|p| p.extension().is_some_and(|e| e == "ron")).collect::<Vec<_>>()
    };
    assert!(recovery.follow(Some(work(&project("Half done"), None))).is_some());
    assert!(copies().is_empty(), "not before it rests");
    let begin = Instant::now();
    while copies().is_empty() {
        assert!(begin.elapsed() < Duration::from_secs(20), "no copy came");
        std::thread::sleep(Duration::from_millis(20));
    }
    assert_eq!(load(&copies()[0]).unwrap().name, "Half done", "it opens as any project does");
    assert!(recovery.follow(None).is_none());
    assert!(copies().is_empty());
    drop(recovery);
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn two_windows_keep_their_copies_apart() {
    let folder = folder("two");
    let [mut one, mut two] = [0, 1].map(|_| Recovery::at(folder.clone()));
    one.follow(Some(work(&project("one"), Some("/jobs/one.ron"))));
    two.follow(Some(work(&project("two"), None)));
    one.last_chance().write();
    two.last_chance().write();
    let start = Recovery::at(folder.clone());
    assert!(start.left_behind().is_empty(), "both live");
    two.follow(None);
    // gone without a word
    drop(one);
    let left = start.left_behind();
    assert_eq!(names(&left), ["one"]);
    assert_eq!(left[0].file.as_deref(), Some(Path::new("/jobs/one.ron")));
    assert_eq!(left[0].stamp, Some(Stamp::of(b"as it was")));
    let age = left[0].at.unwrap().elapsed().unwrap();
    assert!(age < Duration::from_mins(1), "{age:?}");
    drop(left);
    assert_eq!(names(&start.left_behind()), ["one"], "offered until it is decided");
    for kept in start.left_behind() {
        kept.discard().unwrap();
    }
    assert!(start.left_behind().is_empty());
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn what_is_brought_back_keeps_its_copy_until_it_is_saved() {
    let folder = folder("adopt");
    let mut first = Recovery::at(folder.clone());
    first.follow(Some(work(&project("work"), None)));
    drop(first);
    let mut second = Recovery::at(folder.clone());
    let kept = second.left_behind().remove(0);
    let copy = kept.copy().to_owned();
    second.adopt(kept);
    let changed = project("changed");
    second.follow(Some(work(&changed, None)));
    drop(second);
    let mut third = Recovery::at(folder.clone());
    let kept = third.left_behind().remove(0);
    assert_eq!((kept.copy(), kept.project.as_ref().unwrap().name.as_str()), (copy.as_path(), "changed"));
    third.adopt(kept);
    third.follow(Some(work(&changed, None)));
    third.follow(None);
    assert!(!copy.exists());
    drop(third);
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn work_set_aside_is_offered_and_no_longer_this_windows() {
    let folder = folder("aside");
    let mut recovery = Recovery::at(folder.clone());
    assert!(!recovery.set_aside(), "there is none");
    recovery.follow(Some(work(&project("mine"), None)));
    assert!(recovery.set_aside());
    recovery.follow(Some(work(&project("theirs"), None)));
    recovery.follow(None);
    assert_eq!(names(&recovery.left_behind()), ["mine"]);
    drop(recovery);
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_folder_that_cannot_be_written_is_said_as_long_as_it_is_so() {
    let folder = folder("refused");
    std::fs::create_dir_all(&folder).unwrap();
    let inner = folder.join("file");
    std::fs::write(&inner, "no folder").unwrap();
    let mut recovery = Recovery::at(inner.clone());
    recovery.follow(Some(work(&project("work"), None)));
    assert_eq!(recovery.problem(), None);
    recovery.last_chance().write();
    let problem = recovery.problem().unwrap();
    assert!(problem.contains(&inner.display().to_string()), "{problem}");
    assert!(recovery.follow(Some(work(&project("more"), None))).is_some(), "it is tried again");
    std::fs::remove_file(&inner).unwrap();
    recovery.last_chance().write();
    assert_eq!(recovery.problem(), None);
    drop(recovery);
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_damaged_copy_is_told_and_not_deleted_by_itself() {
    let folder = folder("damaged");
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join("work-1-0.ron");
    std::fs::write(&path, "(format: 5, name:").unwrap();
    let recovery = Recovery::at(folder.clone());
    let kept = recovery.left_behind().remove(0);
    let why = kept.project.as_ref().unwrap_err();
    assert!(why.contains("work-1-0.ron, line 1"), "{why}");
    drop(kept);
    assert!(path.exists());
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn copies_of_the_older_kind_are_taken_over() {
    let folder = folder("older");
    std::fs::create_dir_all(&folder).unwrap();
    for name in ["unsaved-work.ron", "older-work-3.ron"] {
        std::fs::write(folder.join(name), to_text(&project(name)).unwrap()).unwrap();
    }
    take_over_older(&folder, &folder.join("unsaved"));
    let left = Recovery::at(folder.join("unsaved")).left_behind();
    let mut found = names(&left);
    found.sort_unstable();
    assert_eq!(found, ["older-work-3.ron", "unsaved-work.ron"]);
    drop(left);
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_copy_finds_the_scans_of_the_project_from_where_it_lies() {
    let folder = folder("scan");
    let scan = |path: &str| ScanFile {
        path: path.to_owned(),
        bytes: 1,
        sha256: "0".repeat(64),
        mm_per_unit: 1.0,
        low_mm: DVec3::ZERO,
        high_mm: DVec3::ONE,
        keep: None,
    };
    let mut project = Project::new("Half done", UnitSystem::Millimetre);
    let obstacle = new_item::obstacle(&mut project, Shape::Scan(scan("scans/left.stl")), DVec3::ZERO);
    project.obstacles.push(obstacle);
    let project = Arc::new(project);
    let path_in = |p: &Project| p.obstacles[0].shape.as_scan().unwrap().path.clone();
    for (file, wanted) in [(None, "/work/bay/scans/left.stl"), (Some("/work/bay/job.ron"), "scans/left.stl")]
    {
        let mut recovery = Recovery::at(folder.clone());
        let bay = Some(PathBuf::from("/work/bay"));
        recovery.follow(Some(Work { folder: bay, ..work(&project, file) }));
        drop(recovery);
        let kept = Recovery::at(folder.clone()).left_behind().remove(0);
        assert_eq!(path_in(&load(kept.copy()).unwrap()), "/work/bay/scans/left.stl");
        assert_eq!(path_in(kept.project.as_ref().unwrap()), wanted);
        kept.discard().unwrap();
    }
    std::fs::remove_dir_all(folder).unwrap();
}
