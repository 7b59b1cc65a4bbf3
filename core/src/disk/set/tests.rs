use super::*;
use std::collections::BTreeMap;
use std::fs;

/// A folder of its own, gone at the end.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("pipeloft-set-{name}-{}", std::process::id()));
        let _old = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    /// All files below it and what they hold.
    fn holds(&self) -> BTreeMap<String, String> {
        fn gather(folder: &Path, lead: &str, into: &mut BTreeMap<String, String>) {
            for entry in fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                let name = format!("{lead}{}", path.file_name().unwrap().to_string_lossy());
                if path.is_dir() {
                    gather(&path, &format!("{name}/"), into);
                } else {
                    into.insert(name, fs::read_to_string(&path).unwrap());
                }
            }
        }
        let mut out = BTreeMap::new();
        gather(&self.0, "", &mut out);
        out
    }

    fn names(&self) -> Vec<String> {
        self.holds().into_keys().collect()
    }

    fn write(&self, name: &str, content: &str) {
        fs::write(self.0.join(name), content).unwrap();
    }

    fn print(&self, files: &[SetFile<'_>]) -> Result<Replaced, SetError> {
        replace_set(&self.0, "job-printed.txt", "Job, stamp 1", files)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _gone = fs::remove_dir_all(&self.0);
    }
}

const FIRST: [SetFile<'static>; 4] =
    [("job.pdf", b"one"), ("job-t/A1.svg", b"a1"), ("job-t/A2.svg", b"a2"), ("job-u/B1.svg", b"b1")];
const SECOND: [SetFile<'static>; 3] = [("job.pdf", b"two"), ("job-t/A2.svg", b"a2"), ("job-v/C1.svg", b"c1")];

#[test]
fn a_second_set_takes_the_place_of_the_first_and_leaves_what_others_put_there() {
    let folder = Folder::new("second");
    folder.write("other.svg", "other");
    assert_eq!(folder.print(&FIRST).unwrap(), Replaced::default());
    folder.write("job-t/mine.svg", "mine");
    let told = folder.print(&SECOND).unwrap();
    assert_eq!(told.gone, ["job-t/A1.svg", "job-u/B1.svg"]);
    assert!(told.kept.is_empty());
    let names = ["job-printed.txt", "job-t/A2.svg", "job-t/mine.svg", "job-v/C1.svg", "job.pdf", "other.svg"];
    assert_eq!(folder.names(), names);
    assert!(!folder.0.join("job-u").exists(), "a folder that is empty now goes too");
    assert_eq!(folder.holds()["job.pdf"], "two");
}

#[test]
fn what_was_changed_since_or_was_never_ours_is_kept_under_another_name() {
    let folder = Folder::new("changed");
    folder.write("job.pdf", "somebody's");
    let told = folder.print(&FIRST).unwrap();
    assert_eq!(told.kept, [("job.pdf".to_owned(), "job.pdf.before".to_owned())]);
    folder.write("job-t/A1.svg", "drawn on");
    folder.write("job-t/A2.svg", "drawn on too");
    let told = folder.print(&SECOND).unwrap();
    assert_eq!(told.gone, ["job-u/B1.svg"]);
    assert_eq!(told.kept.len(), 2);
    folder.write("job.pdf", "annotated");
    folder.print(&SECOND).unwrap();
    let holds = folder.holds();
    for (name, content) in [
        ("job.pdf.before", "somebody's"),
        ("job.pdf.before-2", "annotated"),
        ("job-t/A1.svg.before", "drawn on"),
        ("job-t/A2.svg.before", "drawn on too"),
        ("job.pdf", "two"),
        ("job-t/A2.svg", "a2"),
    ] {
        assert_eq!(holds[name], content, "{name}");
    }
}

#[test]
fn a_list_that_was_tampered_with_deletes_nothing_outside_and_nothing_that_differs() {
    let folder = Folder::new("tampered");
    let outside = folder.0.with_extension("outside");
    fs::write(&outside, "outside").unwrap();
    folder.print(&FIRST).unwrap();
    let name = outside.file_name().unwrap().to_string_lossy();
    let mut list = folder.holds()["job-printed.txt"].clone();
    for path in [format!("../{name}"), outside.display().to_string()] {
        list = format!("{list}{}  {path}\n", listed::sum(b"outside"));
    }
    folder.write("job-printed.txt", &list);
    folder.print(&SECOND).unwrap();
    assert_eq!(fs::read_to_string(&outside).unwrap(), "outside");
    fs::remove_file(outside).unwrap();
    // something else under the name of the list
    folder.write("job-printed.txt", "shopping: milk");
    let told = folder.print(&FIRST).unwrap();
    let kept: Vec<&str> = told.kept.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(kept, ["job-printed.txt", "job-t/A2.svg", "job.pdf"], "nothing says that they are ours");
}

/// A way to rename that fails at the `n`th time.
fn failing(n: usize) -> impl FnMut(&Path, &Path) -> io::Result<()> {
    let mut left = n;
    move |from: &Path, to: &Path| {
        if left == 0 {
            return Err(io::Error::other("the disk is gone"));
        }
        left -= 1;
        fs::rename(from, to)
    }
}

#[test]
fn where_any_step_fails_the_folder_is_as_it_was() {
    let folder = Folder::new("fails");
    folder.print(&FIRST).unwrap();
    folder.write("job-t/A1.svg", "drawn on");
    folder.write("job-v", "a file where a folder should be");
    let was = folder.holds();
    let error = folder.print(&SECOND).unwrap_err();
    assert!(error.to_string().contains("as it was before"), "{error}");
    assert_eq!(folder.holds(), was);
    fs::remove_file(folder.0.join("job-v")).unwrap();
    let was = folder.holds();
    let list = ("job-printed.txt", "Job, stamp 2");
    let mut failed = 0;
    for n in 0.. {
        match replace_by(&folder.0, list, &SECOND, &mut failing(n)) {
            Ok(_) => break,
            Err(error) => assert!(error.to_string().contains("(the disk is gone)"), "{error}"),
        }
        assert_eq!(folder.holds(), was, "at step {n}");
        assert!(!folder.0.join("job-v").exists(), "at step {n}");
        failed += 1;
    }
    // five old files and four new ones
    assert_eq!(failed, 9);
    assert_eq!(folder.holds()["job-t/A1.svg.before"], "drawn on");
}

#[test]
fn what_a_stopped_program_left_is_put_right_the_next_time() {
    for n in 0..=9 {
        let folder = Folder::new(&format!("stopped-{n}"));
        folder.print(&FIRST).unwrap();
        folder.write("job-t/A1.svg", "drawn on");
        {
            let stage = stage::Stage::begin(&folder.0, "job-printed.txt").unwrap();
            assert!(matches!(folder.print(&FIRST), Err(SetError::Busy { .. })));
            let text = listed::text("Job, stamp 2", &SECOND);
            let all: Vec<SetFile<'_>> =
                SECOND.into_iter().chain([("job-printed.txt", text.as_bytes())]).collect();
            let mut rename = failing(n);
            let done = stage.write(&all).and_then(|()| stage.clear(&all, &mut rename));
            let done = done.and_then(|()| stage.place(&all, &mut rename));
            assert_eq!(done.is_ok(), n == 9);
        }
        folder.print(&FIRST).unwrap();
        let holds = folder.holds();
        let names: Vec<&str> = holds.keys().map(String::as_str).collect();
        let wanted = [
            "job-printed.txt",
            "job-t/A1.svg",
            "job-t/A1.svg.before",
            "job-t/A2.svg",
            "job-u/B1.svg",
            "job.pdf",
        ];
        assert_eq!(names, wanted, "stopped at step {n}");
        assert_eq!(holds["job-t/A1.svg.before"], "drawn on");
    }
}

#[test]
fn what_is_read_only_or_no_file_is_refused() {
    let folder = Folder::new("refused");
    folder.print(&FIRST).unwrap();
    let path = folder.0.join("job.pdf");
    let mut mode = fs::metadata(&path).unwrap().permissions();
    mode.set_readonly(true);
    fs::set_permissions(&path, mode).unwrap();
    assert!(matches!(folder.print(&SECOND), Err(SetError::ReadOnly { .. })));
    fs::remove_file(&path).unwrap();
    fs::create_dir(&path).unwrap();
    assert!(matches!(folder.print(&SECOND), Err(SetError::NotAFile { what: "a folder", .. })));
    assert!(folder.names().contains(&"job-t/A1.svg".to_owned()));
}
