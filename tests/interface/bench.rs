//! A window without a screen, a person who uses it, and file dialogs that answer from a script.

use eframe::egui::accesskit::Role;
use eframe::egui::{self, Event, Key, Modifiers, PointerButton, Pos2, ViewportCommand};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use egui_kittest::{Harness, Node};
use glam::{DVec2, DVec3};
use pipeloft::platform::{Ask, Files, Picked, PrefsStore, Recovery};
use pipeloft::{App, Setup, demos};
use pipeloft_core::edit::handle::{Handle, drag_edit};
use pipeloft_core::edit::{apply, new_item};
use pipeloft_core::model::{Hardpoint, Project};
use pipeloft_core::units::UnitSystem;
use std::cell::RefCell;
use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::sync::Arc;

/// Size of the window, points.
pub(crate) const SIZE: [f32; 2] = [1480.0, 900.0];

/// How a file dialog answers.
#[derive(Debug, Clone)]
pub(crate) enum Answer {
    /// With a path.
    Path(PathBuf),
    /// The person closes it.
    Nothing,
    /// There is none on this system.
    NoDialog,
}

/// What the file dialogs were asked, and what they will say.
#[derive(Debug, Default)]
pub(crate) struct Log {
    pub(crate) asks: Vec<Ask>,
    pub(crate) answers: VecDeque<Answer>,
    pub(crate) shown: Vec<PathBuf>,
    due: Option<Picked>,
}

struct ScriptedFiles(Rc<RefCell<Log>>);

impl Files for ScriptedFiles {
    fn ask(&mut self, ask: Ask, ctx: &egui::Context) {
        let mut log = self.0.borrow_mut();
        log.asks.push(ask.clone());
        log.due = match log.answers.pop_front() {
            Some(Answer::Path(path)) => Some(Picked::Path(ask.purpose, path)),
            Some(Answer::Nothing) => Some(Picked::Nothing),
            Some(Answer::NoDialog) => Some(Picked::NoDialog(ask)),
            // the dialog stays open
            None => None,
        };
        ctx.request_repaint();
    }

    fn answer(&mut self) -> Option<Picked> {
        self.0.borrow_mut().due.take()
    }

    fn show(&mut self, path: &Path) -> Result<(), String> {
        self.0.borrow_mut().shown.push(path.to_owned());
        Ok(())
    }
}

/// A file dropped onto the window.
#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        std::fs::read(&self.0).map_err(|e| e.to_string())
    }
}

/// The window with its dialogs.
pub(crate) struct Shop {
    pub(crate) h: Harness<'static, App>,
    pub(crate) log: Rc<RefCell<Log>>,
    /// Keeps the files of the test.
    pub(crate) folder: tempfile::TempDir,
}

impl Shop {
    /// The first start on a machine.
    pub(crate) fn first_start() -> Self {
        Self::start(None, Recovery::default())
    }

    pub(crate) fn start(open: Option<PathBuf>, recovery: Recovery) -> Self {
        Self::start_with(open, PrefsStore::default(), recovery)
    }

    pub(crate) fn start_with(open: Option<PathBuf>, prefs: PrefsStore, recovery: Recovery) -> Self {
        Self::start_looking(open, (prefs, recovery), false)
    }

    /// The same; better layouts on sticks are looked for beside the window where `look_on`.
    fn start_looking(
        open: Option<PathBuf>,
        (prefs, recovery): (PrefsStore, Recovery),
        look_on: bool,
    ) -> Self {
        let log = Rc::<RefCell<Log>>::default();
        let files: Box<dyn Files> = Box::new(ScriptedFiles(Rc::clone(&log)));
        let setup = Setup { open, files: Some(files), prefs, recovery, look_on };
        let h = Harness::builder().with_size(SIZE).with_max_steps(10).build_eframe(|cc| App::new(cc, setup));
        Self { h, log, folder: tempfile::tempdir().unwrap() }
    }

    /// Opens a project from a file of its own.
    pub(crate) fn open(project: &Project) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("job.ron");
        pipeloft_core::file::save(&path, project).unwrap();
        Self { folder, ..Self::start(Some(path), Recovery::default()) }
    }

    /// The same, with better layouts on sticks looked for beside the window.
    pub(crate) fn open_looking(project: &Project) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("job.ron");
        pipeloft_core::file::save(&path, project).unwrap();
        let kept = (PrefsStore::default(), Recovery::default());
        Self { folder, ..Self::start_looking(Some(path), kept, true) }
    }

    /// The worked example at `index`, from a file of its own.
    pub(crate) fn demo(index: usize) -> Self {
        Self::open(&demos::ALL[index].open().unwrap())
    }

    /// The first worked example with lengths in millimetres, from a file of its own.
    pub(crate) fn metric() -> Self {
        let mut project = demos::ALL[0].open().unwrap();
        project.settings.units = UnitSystem::Millimetre;
        Self::open(&project)
    }

    /// One pipe with three bends between two ports, and nothing in its way.
    pub(crate) fn small() -> Self {
        Self::open(&one_pipe())
    }

    /// The file of [`Self::open`].
    pub(crate) fn path(&self) -> PathBuf {
        self.folder.path().join("job.ron")
    }

    pub(crate) fn project(&self) -> Arc<Project> {
        Arc::clone(self.h.state().session().project())
    }

    /// Title as the window manager and a screen reader have it.
    pub(crate) fn title(&self) -> String {
        self.h.root().accesskit_node().label().unwrap_or_default()
    }

    /// What the status line says; empty where it gives the hint.
    pub(crate) fn says(&self) -> String {
        self.h.state().session().message.as_ref().map_or_else(String::new, |m| m.text.clone())
    }

    pub(crate) fn undo_name(&self) -> Option<String> {
        self.h.state().session().history().undo_label().map(str::to_owned)
    }

    pub(crate) fn redo_name(&self) -> Option<String> {
        self.h.state().session().history().redo_label().map(str::to_owned)
    }

    /// Whether the title has the mark of unsaved changes; title and history must agree.
    pub(crate) fn is_starred(&self) -> bool {
        let starred = self.title().contains('*');
        assert_eq!(starred, self.h.state().session().history().is_dirty(), "{}", self.title());
        starred
    }

    /// Lets the window come to rest; fails where it never does, and where a field has no name.
    pub(crate) fn run(&mut self) {
        self.h.run();
    }

    /// One frame with these events in it.
    pub(crate) fn frame(&mut self, events: &[Event]) {
        self.h.input_mut().events.extend_from_slice(events);
        self.h.step();
    }

    pub(crate) fn button<'a>(&'a self, label: &'a str) -> Node<'a> {
        self.h.get_by_role_and_label(Role::Button, label)
    }

    pub(crate) fn field<'a>(&'a self, label: &'a str) -> Node<'a> {
        self.h.get_by_role_and_label(Role::TextInput, label)
    }

    pub(crate) fn has(&self, words: &str) -> bool {
        self.h.query_all_by_label_contains(words).next().is_some()
    }

    /// Whether such text is drawn, be it without a name.
    pub(crate) fn draws(&self, words: &str) -> bool {
        fn any(shape: &egui::Shape, words: &str) -> bool {
            match shape {
                egui::Shape::Vec(all) => all.iter().any(|s| any(s, words)),
                egui::Shape::Text(t) => t.galley.text() == words,
                _ => false,
            }
        }
        self.h.output().shapes.iter().any(|s| any(&s.shape, words))
    }

    pub(crate) fn click(&mut self, label: &str) {
        self.button(label).click();
        self.run();
    }

    /// Picks from a menu of the bar; the words may begin the item, as undo does.
    pub(crate) fn menu(&mut self, path: &[&str]) {
        for words in path {
            let found = self.h.get_all_by_role(Role::Button).find(|node| {
                let label = node.accesskit_node().label().unwrap_or_default();
                label == *words || label.starts_with(&format!("{words} "))
            });
            found.unwrap_or_else(|| panic!("no “{words}” in {path:?}")).click();
            self.run();
        }
    }

    /// Picks a row of the tree, scrolled away or not.
    pub(crate) fn select(&mut self, name: &str) {
        let row = self.h.get_all_by_role(Role::Button).find(|node| {
            let label = node.accesskit_node().label().unwrap_or_default();
            node.rect().right() < 320.0 && label.trim_start_matches(['✖', '⚠', ' ']).trim_end() == name
        });
        row.unwrap_or_else(|| panic!("no row “{name}”")).click_accesskit();
        self.run();
    }

    /// Middle of a row of the tree that is in sight.
    pub(crate) fn row(&self, name: &str) -> Pos2 {
        let row = self.h.get_all_by_role(Role::Button).find(|node| {
            let label = node.accesskit_node().label().unwrap_or_default();
            node.rect().right() < 320.0 && label.trim_start_matches(['✖', '⚠', ' ']).trim_end() == name
        });
        row.unwrap_or_else(|| panic!("no row “{name}”")).rect().center()
    }

    pub(crate) fn key(&mut self, key: Key) {
        self.h.key_press(key);
        self.run();
    }

    pub(crate) fn ctrl(&mut self, key: Key) {
        self.h.key_press_modifiers(Modifiers::COMMAND, key);
        self.run();
    }

    pub(crate) fn ctrl_shift(&mut self, key: Key) {
        self.h.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, key);
        self.run();
    }

    /// Types into whatever has the focus.
    pub(crate) fn text(&mut self, text: &str) {
        self.h.event(Event::Text(text.to_owned()));
        self.run();
    }

    /// Puts the focus into a field and replaces what is in it, without leaving it.
    pub(crate) fn begin_field(&mut self, label: &str, text: &str) {
        self.field(label).focus();
        self.run();
        self.ctrl(Key::A);
        self.text(text);
    }

    /// Opens the list of that name (the one at `index` of several) and picks from it.
    pub(crate) fn choose(&mut self, label: &str, index: usize, words: &str) {
        let list = self.h.get_all_by_role_and_label(Role::ComboBox, label).nth(index);
        list.unwrap_or_else(|| panic!("no list “{label}”")).click_accesskit();
        self.run();
        let begins = |n: &Node<'_>| n.accesskit_node().label().is_some_and(|l| l.starts_with(words));
        let option = self.h.get_all_by_role(Role::Button).rfind(begins);
        option.unwrap_or_else(|| panic!("no “{words}” in {label}")).click_accesskit();
        self.run();
        // a list shuts by itself for a click of the mouse only
        if egui::Popup::is_any_open(&self.h.ctx) {
            self.key(Key::Escape);
        }
    }

    /// Opens or shuts a part of the panel on the right whose title begins so.
    pub(crate) fn fold(&mut self, title: &str) {
        let header = self.h.get_all_by_role(Role::DisclosureTriangle).find(|n| {
            n.rect().left() > 900.0 && n.accesskit_node().label().is_some_and(|l| l.starts_with(title))
        });
        header.unwrap_or_else(|| panic!("no part “{title}”")).click_accesskit();
        self.run();
    }

    /// The same in the tree on the left.
    pub(crate) fn fold_tree(&mut self, title: &str) {
        let header = self.h.get_all_by_role(Role::DisclosureTriangle).find(|n| {
            n.rect().right() < 320.0 && n.accesskit_node().label().is_some_and(|l| l.starts_with(title))
        });
        header.unwrap_or_else(|| panic!("no part “{title}”")).click_accesskit();
        self.run();
    }

    /// Presses a button that may be scrolled away.
    pub(crate) fn press(&mut self, label: &str) {
        self.button(label).click_accesskit();
        self.run();
    }

    /// Presses a button of the panel on the right, where one of that name is elsewhere too.
    pub(crate) fn press_right(&mut self, label: &str) {
        let found = self.h.get_all_by_role_and_label(Role::Button, label).find(|n| n.rect().left() > 900.0);
        found.unwrap_or_else(|| panic!("no “{label}” on the right")).click_accesskit();
        self.run();
    }

    /// Ticks a box that may be scrolled away, or takes the tick off.
    pub(crate) fn press_box(&mut self, label: &str) {
        self.h.get_by_role_and_label(Role::CheckBox, label).click_accesskit();
        self.run();
    }

    /// Lets the pointer rest at a place until what it has to say is shown.
    pub(crate) fn rest(&mut self, at: Pos2) {
        self.frame(&[Event::PointerMoved(at)]);
        for _ in 0..8 {
            self.h.step();
        }
    }

    /// Fills in a field and leaves it with Enter.
    pub(crate) fn fill(&mut self, label: &str, text: &str) {
        self.begin_field(label, text);
        self.key(Key::Enter);
    }

    /// Asks the window to close, as its frame does. Returns whether it goes.
    pub(crate) fn close_window(&mut self) -> bool {
        let goes = self.close_window_in_drag();
        self.run();
        goes
    }

    /// The same in one frame.
    pub(crate) fn close_window_in_drag(&mut self) -> bool {
        let root = self.h.input_mut().viewports.entry(egui::ViewportId::ROOT).or_default();
        root.events.push(egui::ViewportEvent::Close);
        self.h.step();
        !self.sent(|c| matches!(c, ViewportCommand::CancelClose))
    }

    /// Whether the last frame sent such a command to the window.
    pub(crate) fn sent(&self, wanted: impl Fn(&ViewportCommand) -> bool) -> bool {
        self.h.output().viewport_output[&egui::ViewportId::ROOT].commands.iter().any(wanted)
    }

    pub(crate) fn drop_file(&mut self, path: PathBuf) {
        self.h.input_mut().dropped_files.push(Arc::new(Dropped(path)));
        self.run();
    }

    pub(crate) fn will_answer(&self, answer: Answer) {
        self.log.borrow_mut().answers.push_back(answer);
    }
}

/// The mouse, as a slow machine sees it: several events in one frame.
impl Shop {
    /// Middle of a handle of the 3D view.
    pub(crate) fn handle(&self, label: &str) -> Pos2 {
        self.button(label).rect().center()
    }

    /// Where a place of the vehicle is in the window.
    pub(crate) fn on_screen(&self, at: DVec3) -> Pos2 {
        let view = self.h.get_by_role_and_label(Role::Canvas, "3D view").rect();
        let size = DVec2::new(f64::from(view.width()), f64::from(view.height()));
        let (spot, _) = self.h.state().view().camera.ui_from_world(at, size).unwrap();
        view.min + egui::vec2(spot.x as f32, spot.y as f32)
    }

    /// Clicks there, a frame for each thing the hand does.
    pub(crate) fn click_at(&mut self, at: Pos2) {
        self.frame(&[Event::PointerMoved(at)]);
        self.frame(&[primary(at, true)]);
        self.frame(&[primary(at, false)]);
        self.run();
    }

    /// Presses at `at` and has begun to move before the next frame, in which it is at `to`.
    pub(crate) fn press_and_move(&mut self, at: Pos2, to: Pos2) {
        let begun = at + (to - at).normalized() * 9.0;
        self.frame(&[Event::PointerMoved(at)]);
        self.frame(&[primary(at, true), Event::PointerMoved(begun)]);
        self.frame(&[Event::PointerMoved(to)]);
    }

    /// Presses at `at` and is at `to` by the next frame.
    pub(crate) fn flick(&mut self, at: Pos2, to: Pos2) {
        self.frame(&[Event::PointerMoved(at)]);
        self.frame(&[primary(at, true), Event::PointerMoved(to)]);
    }

    pub(crate) fn move_to(&mut self, to: Pos2) {
        self.frame(&[Event::PointerMoved(to)]);
    }

    /// Types while the button is held down.
    pub(crate) fn type_in_drag(&mut self, text: &str) {
        for letter in text.chars() {
            self.frame(&[Event::Text(letter.to_string())]);
        }
    }

    /// Presses a key while the button is held down.
    pub(crate) fn key_in_drag(&mut self, key: Key, modifiers: Modifiers) {
        let press = |pressed| Event::Key { key, physical_key: None, pressed, repeat: false, modifiers };
        self.frame(&[Event::ModifiersChanged(modifiers), press(true)]);
        self.frame(&[press(false), Event::ModifiersChanged(Modifiers::NONE)]);
    }

    /// Moves to `to` and lets go before the next frame.
    pub(crate) fn move_and_release(&mut self, to: Pos2) {
        self.frame(&[Event::PointerMoved(to), primary(to, false)]);
        self.run();
    }

    /// Drags a handle by an offset in points, in two frames.
    pub(crate) fn drag(&mut self, label: &str, by: egui::Vec2) {
        let at = self.handle(label);
        self.press_and_move(at, at + by * 0.5);
        self.move_and_release(at + by);
    }
}

/// A project in millimetres with one pipe: a corner at each port and a waypoint between.
pub(crate) fn one_pipe() -> Project {
    let mut project = Project::new("One pipe", UnitSystem::Millimetre);
    let tube = new_item::tube(&mut project);
    project.tubes.push(tube);
    let ends = [(DVec3::ZERO, DVec3::X), (DVec3::new(1100.0, 600.0, 300.0), DVec3::NEG_X)];
    for (position_mm, direction) in ends {
        let port = new_item::hardpoint(&mut project, position_mm);
        project.hardpoints.push(Hardpoint { direction, ..port });
    }
    let [from, to] = [0, 1].map(|i| project.hardpoints[i].id);
    let run = new_item::run(&mut project, from, Some(to)).unwrap();
    let id = run.id;
    project.runs.push(run);
    let bend = drag_edit(&project, Handle::LegMiddle(id, 1), DVec3::new(560.0, 180.0, 240.0)).unwrap();
    apply(&project, &bend).unwrap()
}

/// Fails with the lines that differ, not with two whole projects.
#[track_caller]
pub(crate) fn same(left: &Project, right: &Project, what: &str) {
    if left == right {
        return;
    }
    let (left, right) = (format!("{left:#?}"), format!("{right:#?}"));
    let differ = |(l, r): &(&str, &str)| l != r;
    let lines: Vec<_> = left.lines().zip(right.lines()).filter(differ).take(6).collect();
    panic!("{what}: {lines:#?}");
}

fn primary(pos: Pos2, pressed: bool) -> Event {
    Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers: Modifiers::NONE }
}
