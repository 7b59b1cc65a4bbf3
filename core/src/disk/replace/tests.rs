use super::*;

/// A folder of its own, gone at the end.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("pipeloft-replace-{name}-{}", std::process::id()));
        let _old = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    fn names(&self) -> Vec<String> {
        let entries = fs::read_dir(&self.0).unwrap();
        let mut names: Vec<_> =
            entries.map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _gone = fs::remove_dir_all(&self.0);
    }
}

#[test]
fn one_earlier_content_is_kept_beside_the_file() {
    let folder = Folder::new("before");
    let path = folder.file("job.ron");
    assert!(replace_keeping(&path, b"one").unwrap().is_none());
    assert_eq!(folder.names(), ["job.ron"], "there was nothing before");
    assert!(replace_keeping(&path, b"two").unwrap().is_none());
    assert_eq!(fs::read(before_path(&path)).unwrap(), b"one");
    // written again as it is, the earlier one stays worth something
    assert!(replace_keeping(&path, b"two").unwrap().is_none());
    assert_eq!(fs::read(folder.file("job.ron.before")).unwrap(), b"one");
    assert!(replace_keeping(&path, b"three").unwrap().is_none());
    assert_eq!(fs::read(before_path(&path)).unwrap(), b"two");
    replace(&path, b"four").unwrap();
    assert_eq!(fs::read(before_path(&path)).unwrap(), b"two", "not where it was not asked for");
    assert_eq!(folder.names(), ["job.ron", "job.ron.before"]);
}

#[test]
fn a_save_that_was_cut_off_after_the_second_name_leaves_nothing_odd() {
    let folder = Folder::new("cut-off");
    let path = folder.file("job.ron");
    fs::write(&path, "one").unwrap();
    fs::hard_link(&path, folder.file("job.ron.before")).unwrap();
    assert!(replace_keeping(&path, b"two").unwrap().is_none());
    assert_eq!(fs::read(before_path(&path)).unwrap(), b"one");
    assert_eq!(fs::read(&path).unwrap(), b"two");
    assert_eq!(folder.names(), ["job.ron", "job.ron.before"]);
}

#[test]
fn what_cannot_be_kept_is_said_and_the_file_is_written() {
    let folder = Folder::new("not-kept");
    let path = folder.file("job.ron");
    fs::write(&path, "one").unwrap();
    fs::create_dir(folder.file("job.ron.before")).unwrap();
    assert!(replace_keeping(&path, b"two").unwrap().is_some());
    assert_eq!(fs::read(&path).unwrap(), b"two");
    assert_eq!(folder.names(), ["job.ron", "job.ron.before"]);
}

#[test]
fn what_killed_programs_left_is_tidied_and_what_is_being_written_is_not() {
    let folder = Folder::new("tidy");
    fs::write(folder.file(".pipeloft-new-1-0"), "half").unwrap();
    fs::write(folder.file(".pipeloft-news"), "somebody's").unwrap();
    let written = Temporary::create(&folder.0, false).unwrap();
    replace(&folder.file("job.ron"), b"whole").unwrap();
    let name = written.path.file_name().unwrap().to_string_lossy().into_owned();
    assert_eq!(folder.names(), [&name, ".pipeloft-news", "job.ron"]);
    drop(written);
    assert_eq!(folder.names(), [".pipeloft-news", "job.ron"]);
}

#[test]
fn folders_are_refused_and_stay() {
    let folder = Folder::new("folder");
    fs::create_dir(folder.file("job.ron")).unwrap();
    let error = replace(&folder.file("job.ron"), b"x").unwrap_err();
    assert!(matches!(error, WriteError::NotAFile { what: "a folder" }), "{error}");
}

#[cfg(unix)]
mod unix {
    use super::*;
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _, symlink};

    fn mode(path: &Path) -> u32 {
        fs::metadata(path).unwrap().mode() & 0o7777
    }

    #[test]
    fn a_link_stays_a_link_and_the_file_behind_it_is_written() {
        let folder = Folder::new("link");
        fs::create_dir(folder.file("real")).unwrap();
        fs::write(folder.file("real/job.ron"), "one").unwrap();
        symlink("real/job.ron", folder.file("second")).unwrap();
        symlink("second", folder.file("first")).unwrap();
        assert!(replace_keeping(&folder.file("first"), b"two").unwrap().is_none());
        assert_eq!(fs::read_link(folder.file("first")).unwrap(), Path::new("second"));
        assert_eq!(fs::read_link(folder.file("second")).unwrap(), Path::new("real/job.ron"));
        assert_eq!(fs::read(folder.file("real/job.ron")).unwrap(), b"two");
        assert_eq!(fs::read(folder.file("real/job.ron.before")).unwrap(), b"one");
        assert_eq!(folder.names(), ["first", "real", "second"]);
        // also where nothing is there yet
        symlink("real/new.ron", folder.file("third")).unwrap();
        replace(&folder.file("third"), b"new").unwrap();
        assert_eq!(fs::read(folder.file("real/new.ron")).unwrap(), b"new");
        symlink("ring", folder.file("ring")).unwrap();
        assert!(replace(&folder.file("ring"), b"x").is_err());
    }

    #[test]
    fn a_file_keeps_its_mode_and_a_new_one_has_the_usual_one() {
        let folder = Folder::new("mode");
        let path = folder.file("job.ron");
        for wanted in [0o600, 0o640, 0o664] {
            fs::write(&path, format!("{wanted}")).unwrap();
            fs::set_permissions(&path, fs::Permissions::from_mode(wanted)).unwrap();
            replace_keeping(&path, b"new").unwrap();
            assert_eq!(mode(&path), wanted);
            assert_eq!(mode(&before_path(&path)), wanted);
        }
        fs::write(folder.file("usual"), "").unwrap();
        replace(&folder.file("new"), b"").unwrap();
        assert_eq!(mode(&folder.file("new")), mode(&folder.file("usual")));
    }

    #[test]
    fn a_read_only_file_is_refused_and_stays() {
        let folder = Folder::new("read-only");
        let path = folder.file("job.ron");
        fs::write(&path, "one").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o444)).unwrap();
        assert!(matches!(replace_keeping(&path, b"two"), Err(WriteError::ReadOnly)));
        assert_eq!(fs::read(&path).unwrap(), b"one");
        assert_eq!(folder.names(), ["job.ron"]);
    }
}
