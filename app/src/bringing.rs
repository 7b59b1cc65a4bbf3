//! Scans of the open project: bringing one in, saying where its file lies, looking at it again.

use crate::job_kind::JobKind;
use crate::platform::real_path;
use crate::request::Request;
use crate::scans::scan_of;
use crate::state::App;
use pipeloft_core::edit::Edit;
use pipeloft_core::model::{ObstacleId, Shape};
use pipeloft_core::space::scan::{ScanState, Scans, path_to_file};
use std::path::{Path, PathBuf};
use std::sync::Arc;

impl App {
    /// Reads a scan, to bring it in.
    pub(crate) fn bring_scan(&mut self, path: PathBuf) {
        self.open_job(&JobKind::BringScan(path));
    }

    /// Notes where the file of a scan lies now.
    pub(crate) fn find_scan(&mut self, id: ObstacleId, path: &Path) {
        let path = path_to_file(&real_path(path), self.session.folder());
        let project = Arc::clone(self.session.project());
        let Some(obstacle) = project.obstacle(id) else { return };
        let mut new = obstacle.clone();
        if let Shape::Scan(scan) = &mut new.shape {
            if scan.path == path {
                self.read_scan_again(id);
                return;
            }
            scan.path = path;
        }
        self.session.handle(&Request::Edit(format!("find {}", obstacle.name), Edit::PutObstacle(new)));
    }

    /// Looks at the file of a scan again.
    pub(crate) fn read_scan_again(&mut self, id: ObstacleId) {
        let project = Arc::clone(self.session.project());
        let Some(scan) = scan_of(&project, id) else { return };
        self.loader.forget_one(scan);
        let mut scans: Scans = (**self.session.scans()).clone();
        scans.set(scan.clone(), ScanState::Reading);
        self.session.take_scans(scans);
    }
}
