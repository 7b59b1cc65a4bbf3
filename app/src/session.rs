//! The open project: its history, what is selected, and its result. The only place that changes it.

use crate::platform::folder_of;
use crate::request::Request;
use crate::selection::Selection;
use crate::task::{Done, Task};
use pipeloft_core::edit::{Edit, EditError, History};
use pipeloft_core::file::Stamp;
use pipeloft_core::model::{Item, Project, TubeId};
use pipeloft_core::report::{Effort, Report};
use pipeloft_core::space::scan::{Scans, with_folder};
use pipeloft_core::watch::Watch;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Wakes the window when something has been worked out beside it.
pub(crate) type Wake = Arc<dyn Fn() + Send + Sync>;

/// A better layout on sticks that is being looked for.
#[derive(Debug)]
struct StickSearch {
    project: Arc<Project>,
    task: Task<Report>,
}

/// A sentence in the status line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Message {
    /// What it says.
    pub text: String,
    /// Whether something went wrong.
    pub bad: bool,
}

/// The open project.
pub struct Session {
    history: History,
    /// What is selected.
    pub selection: Selection,
    /// What is selected beside it, in the order it was clicked.
    also: Vec<Item>,
    report: Arc<Report>,
    report_for: Arc<Project>,
    scans: Arc<Scans>,
    /// The file it was read from or last saved to.
    pub path: Option<PathBuf>,
    /// What that file held then.
    pub stamp: Option<Stamp>,
    /// The folder of that file, from the root and without links.
    folder: Option<PathBuf>,
    /// The sentence in the status line.
    pub message: Option<Message>,
    /// The tube that was added last, as long as no run has been made since: the next one is made of it.
    pub(crate) new_tube: Option<TubeId>,
    /// Looks on for better layouts beside the window where given.
    wake: Option<Wake>,
    search: Option<StickSearch>,
    /// Whether the report is what a long look gave.
    is_looked_at: bool,
}

impl std::fmt::Debug for Session {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Session")
            .field("path", &self.path)
            .field("selection", &self.selection)
            .finish_non_exhaustive()
    }
}

impl Session {
    /// Opens a project; the first run is selected, so that its numbers show at once.
    pub fn new(project: Project, path: Option<PathBuf>) -> Self {
        let history = History::new(project);
        let report_for = Arc::clone(history.project());
        let report = Arc::new(Report::quick(&report_for));
        let selection =
            report_for.runs.first().map_or_else(Selection::default, |r| Selection::of(Item::Run(r.id)));
        Self {
            history,
            selection,
            also: Vec::new(),
            report,
            report_for,
            scans: Arc::default(),
            folder: path.as_deref().map(folder_of),
            path,
            stamp: None,
            message: None,
            new_tube: None,
            wake: None,
            search: None,
            is_looked_at: false,
        }
    }

    /// Looks on beside the window for layouts on fewer sticks than a few milliseconds find; `wake` is called when one
    /// is there.
    pub fn look_on(&mut self, wake: Wake) {
        self.wake = Some(wake);
        self.start_search();
    }

    /// Takes over what was found beside the window, if it is for the project as it is now.
    pub fn take_found(&mut self) {
        let Some(search) = &self.search else { return };
        match search.task.state() {
            Done::With(report) => {
                if Arc::ptr_eq(&search.project, &self.report_for) {
                    self.report = Arc::new(report);
                    self.is_looked_at = true;
                    self.search = None;
                } else {
                    self.search = None;
                    self.start_search();
                }
            }
            Done::NotYet => {}
            Done::Never => self.search = None,
        }
    }

    /// How far the look for better layouts on sticks is, 0 to 1, while there is one for the project as it is now.
    pub(crate) fn looking(&self) -> Option<f64> {
        let search = self.search.as_ref()?;
        Arc::ptr_eq(&search.project, &self.report_for).then(|| search.task.part())
    }

    /// One search at a time: what is begun for an older project is asked to stop, and a newer one is looked at when it
    /// has ended.
    fn start_search(&mut self) {
        let Some(wake) = self.wake.clone() else { return };
        // what a long look leaves unproved, another will not prove
        let idle = self.search.is_none() && !self.is_looked_at && !self.history.in_gesture();
        if !idle || !self.report.could_be_better() {
            return;
        }
        let project = Arc::clone(&self.report_for);
        let (work, scans) = (Arc::clone(&project), Arc::clone(&self.scans));
        let look = move |watch: &dyn Watch| Report::of_watched(&work, &scans, Effort::Thorough, watch);
        let task = Task::begin_waking("layout", move || wake(), look);
        self.search = task.map(|task| StickSearch { project, task });
    }

    /// The scans that have been read.
    pub fn scans(&self) -> &Arc<Scans> {
        &self.scans
    }

    /// Takes over scans that have been read, and works out the gaps to them.
    pub fn take_scans(&mut self, scans: Scans) {
        self.scans = Arc::new(scans);
        // what is being looked for was begun without them
        self.search = None;
        self.work_out();
        self.start_search();
    }

    fn work_out(&mut self) {
        self.report = Arc::new(Report::of(&self.report_for, &self.scans, Effort::Quick));
        self.is_looked_at = false;
    }

    /// The project as it is now.
    pub fn project(&self) -> &Arc<Project> {
        self.history.project()
    }

    /// What is selected beside the selection.
    pub fn also(&self) -> &[Item] {
        &self.also
    }

    /// All that is selected, what was clicked last at the end.
    pub(crate) fn selected(&self) -> Vec<Item> {
        self.selection.item.into_iter().chain(self.also.iter().copied()).collect()
    }

    /// Selects an item beside what is selected, or takes it out again.
    fn select_also(&mut self, item: Item) {
        if self.selection.item.is_none() {
            self.selection = Selection::of(item);
        } else if self.selection.item == Some(item) {
            let next = (!self.also.is_empty()).then(|| self.also.remove(0));
            self.selection = next.map_or_else(Selection::default, Selection::of);
        } else if let Some(at) = self.also.iter().position(|i| *i == item) {
            self.also.remove(at);
        } else {
            self.also.push(item);
        }
    }

    /// The project a drag began with, or as it is now.
    pub fn gesture_start(&self) -> &Arc<Project> {
        self.history.gesture_start()
    }

    /// The result for the project as it is now.
    pub fn report(&self) -> &Arc<Report> {
        &self.report
    }

    /// Its history.
    pub fn history(&self) -> &History {
        &self.history
    }

    /// Title of the window.
    pub fn title(&self) -> String {
        let mark = if self.history.is_dirty() { "*" } else { "" };
        format!("{}{mark} – Pipeloft", self.project().name)
    }

    /// Notes that `project` is what the file at `path` holds, with that stamp.
    pub fn saved_to(&mut self, path: PathBuf, stamp: Stamp, project: &Arc<Project>) {
        self.stamp = Some(stamp);
        let folder = Some(folder_of(&path));
        self.path = Some(path);
        self.history.mark_saved(project);
        if folder != self.folder {
            self.count_from(folder);
        }
    }

    /// The folder that the paths of scans count from: that of the project's file.
    pub fn folder(&self) -> Option<&Path> {
        self.folder.as_deref()
    }

    /// Writes the paths of scans anew, to count from `folder`: in every state of the project, and as no step, for
    /// nothing has changed to the user.
    fn count_from(&mut self, folder: Option<PathBuf>) {
        let (from, to) = (self.folder.as_deref(), folder.as_deref());
        self.history.rewrite(|project| with_folder(project, from, to));
        // the result is the same, for it does not hang on paths
        self.report_for = Arc::clone(self.history.project());
        self.scans = Arc::new(self.scans.with_folder(from, to));
        self.folder = folder;
    }

    /// Notes that no file holds this project.
    pub fn mark_unsaved(&mut self) {
        self.history.mark_unsaved();
    }

    /// Says a sentence in the status line.
    pub fn say(&mut self, text: impl Into<String>, bad: bool) {
        self.message = Some(Message { text: text.into(), bad });
    }

    /// Answers the wishes that concern the project; the others are left alone. Returns whether it was one.
    pub fn handle(&mut self, request: &Request) -> bool {
        match request {
            Request::Edit(label, edit) => self.edit(label, edit),
            Request::Begin(label) => {
                self.message = None;
                self.history.begin(label);
            }
            Request::Preview(edit) => {
                let result = self.history.preview(edit);
                self.refused(result);
            }
            Request::Keep => self.history.keep(),
            Request::Cancel => {
                self.history.cancel();
            }
            Request::Select(selection) => {
                self.selection = *selection;
                self.also.clear();
            }
            Request::SelectAlso(item) => self.select_also(*item),
            Request::StopLooking => {
                if let Some(search) = &self.search {
                    search.task.stop();
                }
            }
            Request::Say(text) => self.say(text.clone(), false),
            Request::Complain(text) => self.say(text.clone(), true),
            Request::Act(_)
            | Request::Show(_)
            | Request::Hover(_)
            | Request::Open(_)
            | Request::KeepTree(_) => return false,
        }
        self.settle();
        true
    }

    fn edit(&mut self, label: &str, edit: &Edit) {
        let result = self.history.edit(label, edit);
        if result.is_ok() {
            self.message = None;
        }
        self.refused(result);
    }

    fn refused(&mut self, result: Result<(), EditError>) {
        if let Err(error) = result {
            self.say(error.to_string(), true);
        }
    }

    /// Takes back or does again one step; says which.
    pub fn step(&mut self, back: bool) {
        if back && self.history.in_gesture() {
            self.history.undo();
            self.say("The drag was given up.", false);
            self.settle();
            return;
        }
        let label = if back { self.history.undo_label() } else { self.history.redo_label() };
        let label = label.map(str::to_owned);
        let done = if back { self.history.undo() } else { self.history.redo() };
        let verb = if back { "Took back" } else { "Did again" };
        match (done, label) {
            (true, Some(label)) => self.say(format!("{verb}: {label}."), false),
            (true, None) => {}
            (false, _) => self.say(
                if back { "There is nothing to take back." } else { "There is nothing to do again." },
                false,
            ),
        }
        self.settle();
    }

    /// Brings selection and result up to date with the project.
    fn settle(&mut self) {
        let project = Arc::clone(self.history.project());
        self.also.retain(|item| project.has(*item));
        if self.selection.item.is_some_and(|item| !project.has(item)) {
            self.selection = Selection::default();
            self.also.clear();
        }
        if let (Some(Item::Run(id)), Some(vertex)) = (self.selection.item, self.selection.vertex)
            && !project.run(id).is_some_and(|r| r.vertices().contains(&vertex))
        {
            self.selection.vertex = None;
        }
        if !Arc::ptr_eq(&project, &self.report_for) {
            let old = std::mem::replace(&mut self.report_for, project);
            let report = self.report.after(&old, &self.report_for, &self.scans, Effort::Quick);
            self.report = Arc::new(report);
            self.is_looked_at = false;
            if let Some(search) = &self.search {
                search.task.stop();
            }
        }
        self.start_search();
        if self.selection.piece_index(&self.report).is_none() {
            self.selection.piece = None;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use pipeloft_core::units::UnitSystem;
    use std::sync::mpsc::{Sender, channel};

    /// A search that ends when an answer is sent.
    fn answered_by_hand() -> (Sender<Report>, Task<Report>) {
        let (send, answer) = channel();
        let task = Task::begin_waking("test", || {}, move |_| answer.recv().unwrap()).unwrap();
        (send, task)
    }

    fn take_when_done(session: &mut Session) {
        while session.search.is_some() {
            session.take_found();
            std::thread::yield_now();
        }
    }

    #[test]
    fn a_look_that_is_stopped_keeps_what_it_has() {
        let mut session = Session::new(Project::new("Bench", UnitSystem::Millimetre), None);
        let found = Report::quick(session.project());
        let kept = found.clone();
        let until_stopped = move |watch: &dyn Watch| {
            while !watch.is_cancelled() {
                std::thread::yield_now();
            }
            found
        };
        let task = Task::begin_waking("test", || {}, until_stopped).unwrap();
        session.search = Some(StickSearch { project: Arc::clone(session.project()), task });
        session.take_found();
        assert!(session.search.is_some() && !session.is_looked_at);
        session.handle(&Request::StopLooking);
        take_when_done(&mut session);
        assert!(session.is_looked_at && **session.report() == kept);
    }

    #[test]
    fn a_selected_piece_stays_selected_when_there_are_more_before_it() {
        use pipeloft_core::edit::reshape::with_make;
        use pipeloft_core::model::{BendMake, Ends, Vertex};
        let text = include_str!("../../demo-projects/gravel-buggy.ron");
        let project = pipeloft_core::file::from_text(text, Path::new("buggy.ron")).unwrap();
        let mut session = Session::new(project, None);
        let (id, selection, last) = {
            let run = &session.report().runs[0];
            let last = run.built.pieces.len() - 1;
            (run.id, Selection::piece(run, last), last)
        };
        session.handle(&Request::Select(selection));
        assert_eq!(session.selection.piece_index(session.report()), Some(last));
        let run = session.project().run(id).unwrap().clone();
        let vertex = Vertex::Way(run.waypoints[0].id);
        let more = with_make(&run, vertex, BendMake::mitred(95.25, 5, Ends::Half));
        session.handle(&Request::Edit("more welds".to_owned(), Edit::PutRun(more)));
        assert_eq!(session.selection.piece, selection.piece);
        assert_eq!(session.selection.piece_index(session.report()), Some(last + 2));
        session.handle(&Request::Edit("delete".to_owned(), Edit::Remove(Item::Run(id))));
        assert_eq!(session.selection, Selection::default());
    }

    #[test]
    fn a_long_look_is_taken_over_once_and_not_begun_again_until_something_changes() {
        let mut session = Session::new(Project::new("Bench", UnitSystem::Millimetre), None);
        session.look_on(Arc::new(|| {}));
        assert!(session.search.is_none(), "there is nothing to lay out");
        let found = Report::quick(session.project());
        let (send, task) = answered_by_hand();
        session.search = Some(StickSearch { project: Arc::clone(session.project()), task });
        assert!(session.looking().is_some());
        session.take_found();
        assert!(session.search.is_some(), "it has not come yet");
        send.send(found).unwrap();
        take_when_done(&mut session);
        assert!(session.search.is_none() && session.is_looked_at);
        session.handle(&Request::Edit("name".to_owned(), Edit::SetName("Other".to_owned())));
        assert!(!session.is_looked_at);
        // what comes for an older project is not taken over
        let old = Arc::clone(session.report());
        let (send, task) = answered_by_hand();
        session.search =
            Some(StickSearch { project: Arc::new(Project::new("Old", UnitSystem::Millimetre)), task });
        assert!(session.looking().is_none(), "nothing is looked for that is still wanted");
        send.send(Report::quick(session.project())).unwrap();
        take_when_done(&mut session);
        assert!(Arc::ptr_eq(&old, session.report()) && !session.is_looked_at);
    }
}
