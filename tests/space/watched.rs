//! Progress and cancelling.

use super::written::every_kind;
use super::{Bench, forms};
use pipeloft_core::space::scan::{Fault, Scan, ScanTree, ScanUnit, Watch, read};
use std::cell::{Cell, RefCell};

/// Writes down what it is told, and stops the work when it has been asked often enough.
struct Notes {
    told: RefCell<Vec<f64>>,
    asked: Cell<usize>,
    stop_at: usize,
}

impl Notes {
    fn stopping_at(stop_at: usize) -> Self {
        Self { told: RefCell::default(), asked: Cell::new(0), stop_at }
    }
}

impl Watch for Notes {
    fn progress(&self, part: f64) {
        self.told.borrow_mut().push(part);
    }

    fn is_cancelled(&self) -> bool {
        self.asked.set(self.asked.get() + 1);
        self.asked.get() > self.stop_at
    }
}

fn check_told(notes: &Notes, about: &str) {
    let told = notes.told.borrow();
    assert!(told.windows(2).all(|pair| pair[0] <= pair[1]), "{about}: {told:?}");
    assert!(told.iter().all(|part| (0.0..=1.0).contains(part)), "{about}: {told:?}");
    assert_eq!(told.last(), Some(&1.0), "{about}");
}

#[test]
fn progress_only_rises_and_reaches_the_end() {
    let bench = Bench::new();
    for (name, bytes) in every_kind(&forms::torus(200, 60, 400.0, 90.0)) {
        let notes = Notes::stopping_at(usize::MAX);
        let scan = read(&bench.put(name, &bytes), &notes).unwrap();
        check_told(&notes, name);
        assert!(notes.told.borrow().len() > 5, "{name}: {:?}", notes.told.borrow());
        let notes = Notes::stopping_at(usize::MAX);
        ScanTree::new(scan, &notes).unwrap();
        check_told(&notes, name);
    }
}

#[test]
fn reading_stops_wherever_it_is_asked_to() {
    let bench = Bench::new();
    for (name, bytes) in every_kind(&forms::torus(120, 50, 400.0, 90.0)) {
        let path = bench.put(name, &bytes);
        let notes = Notes::stopping_at(usize::MAX);
        read(&path, &notes).unwrap();
        let looks = notes.asked.get();
        assert!(looks >= 4, "{name}: {looks} looks");
        for stop_at in (0..looks).step_by((looks / 8).max(1)) {
            let notes = Notes::stopping_at(stop_at);
            let error = read(&path, &notes).unwrap_err();
            assert!(matches!(error.fault, Fault::Cancelled), "{name} at {stop_at} of {looks}: {error}");
            // once for being told, and once more to say so
            assert!(notes.asked.get() <= stop_at + 3, "{name} at {stop_at}: went on");
        }
    }
}

#[test]
fn a_tree_stops_where_it_is_asked_to() {
    let form = forms::torus(600, 200, 400.0, 90.0);
    let scan = Scan::from_triangles(&form.points, &form.triangles, ScanUnit::Millimetre).unwrap();
    let notes = Notes::stopping_at(usize::MAX);
    ScanTree::new(scan.clone(), &notes).unwrap();
    let looks = notes.asked.get();
    assert!(looks > 10, "{looks}");
    for stop_at in [0, looks / 2, looks - 1] {
        assert!(ScanTree::new(scan.clone(), &Notes::stopping_at(stop_at)).is_err(), "{stop_at} of {looks}");
    }
}
