//! The scans of a project that have been read.

use super::{PlacedScan, ScanTree, Watch, read};
use crate::model::{Obstacle, Pose, Project, ScanFile, Shape};
use glam::DVec3;
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

/// How a scan of the project stands.
#[derive(Debug, Clone)]
pub enum ScanState {
    /// Being read.
    Reading,
    /// Read and ready.
    Ready(Arc<ScanTree>),
    /// Not to be had, with the sentence why.
    Missing(String),
    /// Read, but the file is not the one it was when it was brought in, with the sentence.
    Changed(Arc<ScanTree>, String),
}

/// The scans of a project by what they are made of; cheap to clone.
///
/// Where scans stand and how they are scaled does not matter here: the same tree serves them everywhere.
#[derive(Debug, Clone, Default)]
pub struct Scans {
    known: Vec<(ScanFile, ScanState)>,
}

impl Scans {
    /// How the scan stands; `None` where nobody has begun to read it.
    pub fn state(&self, scan: &ScanFile) -> Option<&ScanState> {
        self.known.iter().find(|(file, _)| file.same_triangles(scan)).map(|(_, state)| state)
    }

    /// Its tree, where it has been read.
    pub fn tree(&self, scan: &ScanFile) -> Option<&Arc<ScanTree>> {
        match self.state(scan)? {
            ScanState::Ready(tree) | ScanState::Changed(tree, _) => Some(tree),
            ScanState::Reading | ScanState::Missing(_) => None,
        }
    }

    /// Notes how a scan stands.
    pub fn set(&mut self, scan: ScanFile, state: ScanState) {
        self.known.retain(|(file, _)| !file.same_triangles(&scan));
        self.known.push((scan, state));
    }

    /// Forgets the scans that `project` does not have.
    pub fn keep_only(&mut self, project: &Project) {
        let used = |file: &ScanFile| scans_of(project).any(|(_, scan)| scan.same_triangles(file));
        self.known.retain(|(file, _)| used(file));
    }

    /// The same scans with paths that count from the folder `to` in place of `from`, as [`with_folder`] files them.
    #[must_use]
    pub fn with_folder(&self, from: Option<&Path>, to: Option<&Path>) -> Self {
        let filed = |scan: &ScanFile| with_folder_of_scan(scan, from, to).unwrap_or_else(|| scan.clone());
        Self { known: self.known.iter().map(|(scan, state)| (filed(scan), state.clone())).collect() }
    }

    /// The scan of an obstacle where it stands; `None` where the obstacle is none, or it has not been read.
    pub fn placed(&self, obstacle: &Obstacle) -> Option<PlacedScan> {
        let scan = obstacle.shape.as_scan()?;
        PlacedScan::new(Arc::clone(self.tree(scan)?), &obstacle.pose, scan.mm_per_unit)
    }
}

/// The scans among the obstacles of a project.
pub fn scans_of(project: &Project) -> impl Iterator<Item = (&Obstacle, &ScanFile)> {
    project.obstacles.iter().filter_map(|obstacle| Some((obstacle, obstacle.shape.as_scan()?)))
}

/// Where the file of a scan lies: its path counts from the folder of the project.
pub fn scan_path(scan: &ScanFile, folder: Option<&Path>) -> PathBuf {
    let path: PathBuf = scan.path.split('/').collect();
    let path = if scan.path.starts_with('/') { PathBuf::from("/").join(path) } else { path };
    folder.map_or_else(|| path.clone(), |folder| folder.join(&path))
}

/// The path of a scan as it is filed: from the folder of the project where the file lies in it or in a folder beside
/// it, else whole.
pub fn path_to_file(file: &Path, folder: Option<&Path>) -> String {
    let words = |path: &Path| {
        path.components().map(|c| c.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/")
    };
    let below = folder.and_then(|folder| file.strip_prefix(folder).ok()).map(words);
    let beside = || {
        let above = folder?.parent().filter(|above| above.components().count() > 1)?;
        Some(format!("../{}", words(file.strip_prefix(above).ok()?)))
    };
    below.or_else(beside).unwrap_or_else(|| file.to_string_lossy().replace('\\', "/"))
}

/// The scan filed for a project in the folder `to` that was in the folder `from`; `None` where its path stays as it
/// is. The file itself stays where it lies.
pub fn with_folder_of_scan(scan: &ScanFile, from: Option<&Path>, to: Option<&Path>) -> Option<ScanFile> {
    let whole = scan_path(scan, from);
    if !whole.is_absolute() {
        return None;
    }
    let mut straight = PathBuf::new();
    for part in whole.components() {
        match part {
            Component::ParentDir => {
                straight.pop();
            }
            Component::CurDir => {}
            Component::Prefix(_) | Component::RootDir | Component::Normal(_) => straight.push(part),
        }
    }
    let path = path_to_file(&straight, to);
    (path != scan.path).then(|| ScanFile { path, ..scan.clone() })
}

/// The project with the paths of its scans counted from the folder `to`, which were counted from `from`: for one that
/// is saved to another folder, or, with no `to`, kept where it has none. `None` where nothing changes.
pub fn with_folder(project: &Project, from: Option<&Path>, to: Option<&Path>) -> Option<Project> {
    let filed = |scan: &ScanFile| with_folder_of_scan(scan, from, to);
    if scans_of(project).all(|(_, scan)| filed(scan).is_none()) {
        return None;
    }
    let mut moved = project.clone();
    for obstacle in &mut moved.obstacles {
        if let Shape::Scan(scan) = &mut obstacle.shape
            && let Some(filed) = filed(scan)
        {
            *scan = filed;
        }
    }
    Some(moved)
}

/// Reads the scan of a project, cuts it down and prepares it. Takes about a second for a million triangles: not for
/// the thread that draws.
pub fn bring(scan: &ScanFile, folder: Option<&Path>, watch: &dyn Watch) -> ScanState {
    let path = scan_path(scan, folder);
    let read = match read(&path, watch) {
        Ok(read) => read,
        Err(error) => return ScanState::Missing(error.to_string()),
    };
    let same = read.fingerprint().is_some_and(|f| f.bytes == scan.bytes && Some(f.sha256) == scan.sum());
    let cut = match scan.keep {
        Some(keep) => read.cut(&Pose::at(DVec3::ZERO), scan.mm_per_unit, keep.low_mm, keep.high_mm),
        None => Some(read),
    };
    let Some(cut) = cut else {
        let words = "has no triangle in the box it was cut down to. Bring the scan in again.";
        return ScanState::Missing(format!("{}: {words}", path.display()));
    };
    match ScanTree::new(cut, watch) {
        Ok(tree) if same => ScanState::Ready(Arc::new(tree)),
        Ok(tree) => {
            let words =
                "is not the file it was when it was brought in: check where it lies, or bring it in again.";
            ScanState::Changed(Arc::new(tree), format!("{} {words}", path.display()))
        }
        Err(_cancelled) => {
            ScanState::Missing(format!("{}: was not read to the end, as asked.", path.display()))
        }
    }
}

/// Reads all scans of a project, one after the other.
pub fn bring_all(project: &Project, folder: Option<&Path>, watch: &dyn Watch) -> Scans {
    let mut scans = Scans::default();
    for (_, scan) in scans_of(project) {
        if scans.state(scan).is_none() {
            scans.set(scan.clone(), bring(scan, folder, watch));
        }
    }
    scans
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_filed_from_the_folder_of_the_project_where_that_can_be() {
        let folder = Some(Path::new("/work/bay"));
        assert_eq!(path_to_file(Path::new("/work/bay/scans/left.stl"), folder), "scans/left.stl");
        assert_eq!(path_to_file(Path::new("/work/scans/left.stl"), folder), "../scans/left.stl");
        assert_eq!(path_to_file(Path::new("/other/left.stl"), folder), "/other/left.stl");
        assert_eq!(path_to_file(Path::new("/other/left.stl"), None), "/other/left.stl");
        let mut scan = ScanFile {
            path: "scans/left.stl".to_owned(),
            bytes: 0,
            sha256: String::new(),
            mm_per_unit: 1.0,
            low_mm: DVec3::ZERO,
            high_mm: DVec3::ZERO,
            keep: None,
        };
        assert_eq!(scan_path(&scan, folder), Path::new("/work/bay/scans/left.stl"));
        scan.path = "/other/left.stl".to_owned();
        assert_eq!(scan_path(&scan, folder), Path::new("/other/left.stl"));
    }

    #[test]
    fn a_project_saved_elsewhere_still_finds_its_scans() {
        let [bay, car] = ["/work/bay", "/work/car"].map(Path::new);
        let scan = |path: &str| ScanFile {
            path: path.to_owned(),
            bytes: 0,
            sha256: String::new(),
            mm_per_unit: 1.0,
            low_mm: DVec3::ZERO,
            high_mm: DVec3::ZERO,
            keep: None,
        };
        let moved = |path: &str, from, to| with_folder_of_scan(&scan(path), from, to).map(|s| s.path);
        assert_eq!(moved("left.stl", Some(bay), Some(car)).as_deref(), Some("../bay/left.stl"));
        assert_eq!(moved("../car/left.stl", Some(bay), Some(car)).as_deref(), Some("left.stl"));
        assert_eq!(moved("/work/bay/left.stl", None, Some(bay)).as_deref(), Some("left.stl"));
        assert_eq!(moved("../left.stl", Some(bay), None).as_deref(), Some("/work/left.stl"));
        assert_eq!(moved("left.stl", Some(bay), Some(bay)), None);
        // where a path counts from nothing nobody knows where the file lies
        assert_eq!(moved("left.stl", None, Some(car)), None);
    }
}
