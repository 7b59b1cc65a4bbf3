//! Verbs that make the same pipe again.

use crate::actions::Action;
use crate::request::Request;
use crate::selection::Selection;
use crate::state::App;
use pipeloft_core::edit::again::{self, Again, AgainError};
use pipeloft_core::edit::{Edit, reshape};
use pipeloft_core::model::{Item, Project, RunId};
use std::sync::Arc;

/// Duplicates, mirrors, swaps the ends, or makes all bends alike.
pub(super) fn again(app: &mut App, action: Action) {
    let project = Arc::clone(app.session.project());
    let selected = app.session.selected();
    let run = match app.session.selection.item {
        Some(Item::Run(id)) => Some(id),
        _ => None,
    };
    let name = app.session.selection.item.map_or_else(String::new, |item| project.name_of(item));
    let of_run = |make: fn(&Project, RunId) -> Result<Again, AgainError>| match run {
        Some(run) => make(&project, run),
        None => Err(AgainError::Gone),
    };
    match action {
        Action::Mirror => {
            let made = again::mirror(&project, &selected, 0.0);
            let label = if selected.len() == 1 { format!("mirror {name}") } else { "mirror".to_owned() };
            let words = "Mirrored left and right about Y = 0. It is a pipe of its own now: the first one can change \
                         without it.";
            put(app, &label, made, words);
        }
        Action::SwapEnds => {
            let words = "The pipe runs from its other end now. It is where it was.";
            put(app, &format!("swap the ends of {name}"), of_run(again::swap_ends), words);
        }
        Action::SameMake => same_make(app, run),
        _ => {
            let words = "The copy runs between hardpoints of its own: move them where it is to go.";
            put(app, &format!("duplicate {name}"), of_run(again::duplicate), words);
        }
    }
}

/// Applies what was made, selects it and says what comes next; or says why not.
fn put(app: &mut App, label: &str, made: Result<Again, AgainError>, words: &str) {
    let made = match made {
        Ok(made) => made,
        Err(AgainError::Gone) => {
            app.session.say("Select a pipe first.", true);
            return;
        }
        Err(error) => {
            app.session.say(error.to_string(), true);
            return;
        }
    };
    let before = Arc::clone(app.session.project());
    app.session.handle(&Request::Edit(label.to_owned(), made.edit));
    if Arc::ptr_eq(&before, app.session.project()) {
        return;
    }
    let mut items = made.items.into_iter();
    if let Some(first) = items.next() {
        app.session.handle(&Request::Select(Selection::of(first)));
    }
    for item in items {
        app.session.handle(&Request::SelectAlso(item));
    }
    let free = match &made.set_free[..] {
        [] => String::new(),
        names => {
            format!(" {} sat on a pipe or in a merge that was not copied, and stands free.", names.join(", "))
        }
    };
    app.session.say(format!("{words}{free}"), !free.is_empty());
}

/// Makes all bends of the run like the selected one.
fn same_make(app: &mut App, run: Option<RunId>) {
    let project = Arc::clone(app.session.project());
    let run = run.and_then(|id| project.run(id));
    let made = app.session.selection.vertex.zip(run).and_then(|(v, run)| reshape::with_same_make(run, v));
    let Some(made) = made else {
        app.session.say("Select the bend first that the others are to be made like: click its ring.", true);
        return;
    };
    let label = format!("make the bends of {} alike", made.name);
    app.session.handle(&Request::Edit(label, Edit::PutRun(made)));
}
