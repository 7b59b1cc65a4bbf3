//! Undo and redo: whole projects, one named step a gesture.

use super::apply::{Edit, EditError, apply};
use crate::model::Project;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Steps kept; beyond this the oldest are forgotten.
const MOST_STEPS: usize = 500;

#[derive(Debug, Clone)]
struct Step {
    label: String,
    before: Arc<Project>,
    after: Arc<Project>,
}

#[derive(Debug, Clone)]
struct Gesture {
    label: String,
    start: Arc<Project>,
}

/// The current project with everything that can be undone and redone.
///
/// A gesture (a drag, typing into a field) previews any number of edits, each applied to the project as it was
/// when the gesture began, and becomes one step when it is kept.
#[derive(Debug, Clone)]
pub struct History {
    current: Arc<Project>,
    done: Vec<Step>,
    undone: Vec<Step>,
    gesture: Option<Gesture>,
    /// The project as last saved; `None` where that can no longer be reached.
    saved: Option<Arc<Project>>,
}

impl History {
    /// A history that begins with `project`, taken as saved.
    pub fn new(project: Project) -> Self {
        let current = Arc::new(project);
        let saved = Some(Arc::clone(&current));
        Self { current, done: Vec::new(), undone: Vec::new(), gesture: None, saved }
    }

    /// The project as it is now, a gesture's preview included.
    pub fn project(&self) -> &Arc<Project> {
        &self.current
    }

    /// Applies an edit as a step of its own. One that changes nothing leaves no step.
    pub fn edit(&mut self, label: &str, edit: &Edit) -> Result<(), EditError> {
        self.keep();
        let next = apply(&self.current, edit)?;
        self.push(label.to_owned(), Arc::clone(&self.current), Arc::new(next));
        Ok(())
    }

    /// Begins a gesture; one that was going on is kept.
    pub fn begin(&mut self, label: &str) {
        self.keep();
        self.gesture = Some(Gesture { label: label.to_owned(), start: Arc::clone(&self.current) });
    }

    /// Whether a gesture is going on.
    pub fn in_gesture(&self) -> bool {
        self.gesture.is_some()
    }

    /// The project as it was when the gesture began, or as it is where none is going on.
    pub fn gesture_start(&self) -> &Arc<Project> {
        self.gesture.as_ref().map_or(&self.current, |g| &g.start)
    }

    /// Shows what the edit would do to the project the gesture began with. Without a gesture nothing happens: it was
    /// given up a moment ago.
    pub fn preview(&mut self, edit: &Edit) -> Result<(), EditError> {
        match &self.gesture {
            Some(gesture) => {
                self.current = Arc::new(apply(&gesture.start, edit)?);
                Ok(())
            }
            None => Ok(()),
        }
    }

    /// Ends the gesture and keeps what it previews as one step.
    pub fn keep(&mut self) {
        if let Some(gesture) = self.gesture.take() {
            self.push(gesture.label, gesture.start, Arc::clone(&self.current));
        }
    }

    /// Ends the gesture and puts everything back as it was. Returns whether one was going on.
    pub fn cancel(&mut self) -> bool {
        match self.gesture.take() {
            Some(gesture) => {
                self.current = gesture.start;
                true
            }
            None => false,
        }
    }

    fn push(&mut self, label: String, before: Arc<Project>, after: Arc<Project>) {
        if Arc::ptr_eq(&before, &after) || before == after {
            self.current = before;
            return;
        }
        self.current = Arc::clone(&after);
        self.undone.clear();
        self.done.push(Step { label, before, after });
        if self.done.len() > MOST_STEPS {
            self.done.remove(0);
        }
    }

    /// What would be undone.
    pub fn undo_label(&self) -> Option<&str> {
        self.done.last().map(|s| s.label.as_str())
    }

    /// What would be redone.
    pub fn redo_label(&self) -> Option<&str> {
        self.undone.last().map(|s| s.label.as_str())
    }

    /// Undoes one step; a gesture that is going on is given up instead. Returns whether anything changed.
    pub fn undo(&mut self) -> bool {
        if self.cancel() {
            return true;
        }
        let Some(step) = self.done.pop() else { return false };
        self.current = Arc::clone(&step.before);
        self.undone.push(step);
        true
    }

    /// Redoes one step. Returns whether anything changed.
    pub fn redo(&mut self) -> bool {
        self.keep();
        let Some(step) = self.undone.pop() else { return false };
        self.current = Arc::clone(&step.after);
        self.done.push(step);
        true
    }

    /// Replaces every state of the project, those that can be undone and redone included, by what `change` makes of
    /// it, where it makes anything; no step. For what is no change to the user, such as how paths are written.
    pub fn rewrite(&mut self, change: impl Fn(&Project) -> Option<Project>) {
        let mut seen: BTreeMap<*const Project, Arc<Project>> = BTreeMap::new();
        let mut rewrite = |state: &mut Arc<Project>| {
            // states are shared between steps, and have to stay so: the marks of what is saved go by it
            let new = seen.entry(Arc::as_ptr(state));
            let new = new.or_insert_with(|| change(state).map_or_else(|| Arc::clone(state), Arc::new));
            *state = Arc::clone(new);
        };
        // the old states are held until the end, or a new one might come to lie where an old one was
        let old = self.clone();
        rewrite(&mut self.current);
        for step in self.done.iter_mut().chain(&mut self.undone) {
            rewrite(&mut step.before);
            rewrite(&mut step.after);
        }
        self.gesture.iter_mut().for_each(|gesture| rewrite(&mut gesture.start));
        self.saved.iter_mut().for_each(rewrite);
        drop(old);
    }

    /// Whether the project differs from the one last saved.
    pub fn is_dirty(&self) -> bool {
        self.saved.as_ref().is_none_or(|saved| !Arc::ptr_eq(saved, &self.current) && **saved != *self.current)
    }

    /// Notes that `project` is what the file now holds.
    pub fn mark_saved(&mut self, project: &Arc<Project>) {
        self.saved = Some(Arc::clone(project));
    }

    /// Notes that no file holds any state of this project.
    pub fn mark_unsaved(&mut self) {
        self.saved = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::UnitSystem;
    use proptest::prelude::*;

    fn start() -> History {
        History::new(Project::new("Bench", UnitSystem::Millimetre))
    }

    fn name(h: &History) -> &str {
        &h.project().name
    }

    fn rename(to: &str) -> Edit {
        Edit::SetName(to.to_owned())
    }

    #[test]
    fn a_gesture_is_one_step_however_often_it_previews() {
        let mut h = start();
        h.begin("rename");
        for n in ["a", "ab", "abc"] {
            h.preview(&rename(n)).unwrap();
        }
        h.keep();
        assert_eq!((name(&h), h.undo_label()), ("abc", Some("rename")));
        assert!(h.undo());
        assert_eq!((name(&h), h.undo_label(), h.redo_label()), ("Bench", None, Some("rename")));
        assert!(!h.is_dirty());
        assert!(h.redo());
        assert!(h.is_dirty());
    }

    #[test]
    fn giving_up_a_gesture_leaves_no_trace() {
        let mut h = start();
        h.begin("rename");
        h.preview(&rename("x")).unwrap();
        assert!(h.cancel());
        assert_eq!((name(&h), h.undo_label(), h.is_dirty()), ("Bench", None, false));
        assert!(!h.cancel());
        h.preview(&rename("late")).unwrap();
        assert_eq!((name(&h), h.undo_label()), ("Bench", None));
    }

    #[test]
    fn a_change_back_to_the_saved_state_is_clean_again() {
        let mut h = start();
        h.edit("rename", &rename("x")).unwrap();
        let now = Arc::clone(h.project());
        h.mark_saved(&now);
        h.edit("rename", &rename("y")).unwrap();
        assert!(h.is_dirty());
        h.undo();
        assert!(!h.is_dirty());
        h.undo();
        assert!(h.is_dirty());
    }

    #[test]
    fn a_rewrite_reaches_every_state_and_leaves_no_step() {
        let mut h = start();
        for n in ["a", "b", "c"] {
            h.edit("rename", &rename(n)).unwrap();
        }
        let saved = Arc::clone(h.project());
        h.mark_saved(&saved);
        h.undo();
        h.rewrite(|p| (p.name != "a").then(|| Project { name: format!("{}!", p.name), ..p.clone() }));
        assert_eq!((name(&h), h.is_dirty()), ("b!", true));
        h.redo();
        assert_eq!((name(&h), h.is_dirty()), ("c!", false), "what is saved is so under its new name");
        assert!(h.undo() && h.undo());
        assert_eq!(name(&h), "a");
        assert!(h.undo() && !h.undo());
        assert_eq!(name(&h), "Bench!");
    }

    #[test]
    fn an_edit_without_effect_is_no_step() {
        let mut h = start();
        h.edit("rename", &rename("Bench")).unwrap();
        assert_eq!(h.undo_label(), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]
        #[test]
        fn undoing_all_gives_the_start_and_redoing_all_the_end(names in prop::collection::vec("[a-c]{0,3}", 0..40)) {
            let mut h = start();
            for n in &names {
                h.edit("rename", &rename(n)).unwrap();
            }
            let end = name(&h).to_owned();
            while h.undo() {}
            prop_assert_eq!(name(&h), "Bench");
            prop_assert!(!h.is_dirty());
            while h.redo() {}
            prop_assert_eq!(name(&h), end);
        }
    }
}
