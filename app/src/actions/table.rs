//! The verbs and their words.

use pipeloft_core::model::{ObstacleId, Shape};

/// A kind of obstacle, without its sizes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShapeKind {
    Box,
    Cylinder,
    Capsule,
    Ball,
    Panel,
    HalfSpace,
}

impl ShapeKind {
    /// All of them, in the order they are offered.
    pub const ALL: [Self; 6] =
        [Self::Box, Self::Cylinder, Self::Capsule, Self::Ball, Self::Panel, Self::HalfSpace];

    /// A new shape of this kind.
    pub fn shape(self) -> Shape {
        let index = Self::ALL.iter().position(|k| *k == self).unwrap_or(0);
        pipeloft_core::edit::new_item::shapes().swap_remove(index)
    }

    /// What it is called on the button.
    pub fn words(self) -> &'static str {
        match self {
            Self::Box => "Box",
            Self::Cylinder => "Cylinder",
            Self::Capsule => "Capsule (hose, line, bar)",
            Self::Ball => "Ball",
            Self::Panel => "Panel with holes",
            Self::HalfSpace => "Half space (ground, wall)",
        }
    }
}

/// Something the user can do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    New,
    Open,
    OpenDemo(usize),
    OpenRecent(usize),
    BringBack,
    Save,
    SaveAs,
    PrintSheet,
    Quit,
    Undo,
    Redo,
    Delete,
    ToggleHidden,
    Duplicate,
    Mirror,
    SwapEnds,
    SameMake,
    AddRun,
    AddHardpoint,
    AddObstacle(ShapeKind),
    AddTube,
    AddElbow,
    AddJoint,
    AddBody,
    AddDatum,
    AddMerge,
    AddBar,
    MeasureIn,
    TakeOff,
    FindRoutes,
    MendRun,
    TidyBends,
    BringScan,
    FindScan(ObstacleId),
    ReadScan(ObstacleId),
    FitAll,
    FitSelected,
    ViewFront,
    ViewSide,
    ViewTop,
    ViewFree,
    ToggleParallel,
    ToggleSnap,
    ToggleLabels,
    ToggleRoom,
    ToggleTheme,
    ToggleTree,
    ToggleSide,
    Help,
}

impl Action {
    /// The actions that have a key or stand in a menu by themselves.
    pub const PLAIN: [Self; 32] = [
        Self::New,
        Self::Open,
        Self::Save,
        Self::SaveAs,
        Self::PrintSheet,
        Self::Quit,
        Self::Undo,
        Self::Redo,
        Self::Delete,
        Self::ToggleHidden,
        Self::Duplicate,
        Self::Mirror,
        Self::SwapEnds,
        Self::SameMake,
        Self::AddRun,
        Self::AddHardpoint,
        Self::FitAll,
        Self::FitSelected,
        Self::ViewFront,
        Self::ViewSide,
        Self::ViewTop,
        Self::ViewFree,
        Self::ToggleParallel,
        Self::ToggleSnap,
        Self::ToggleLabels,
        Self::ToggleRoom,
        Self::ToggleTheme,
        Self::ToggleTree,
        Self::ToggleSide,
        Self::Help,
        Self::AddTube,
        Self::MeasureIn,
    ];
}

/// The words on the menu or button.
pub(crate) fn text(action: Action) -> &'static str {
    match action {
        Action::New => "New project",
        Action::Open => "Open…",
        Action::OpenDemo(_) | Action::OpenRecent(_) => "Open",
        Action::BringBack => "Bring back unsaved work…",
        Action::Save => "Save",
        Action::SaveAs => "Save as…",
        Action::PrintSheet => "Print sheet…",
        Action::Quit => "Quit",
        Action::Undo => "Undo",
        Action::Redo => "Redo",
        Action::Delete => "Delete",
        Action::ToggleHidden => "Hide or show",
        Action::Duplicate => "Duplicate the run",
        Action::Mirror => "Mirror left and right",
        Action::SwapEnds => "Swap the ends of the run",
        Action::SameMake => "Make all its bends like this one",
        Action::AddRun => "Add run",
        Action::AddHardpoint => "Add hardpoint",
        Action::AddObstacle(kind) => kind.words(),
        Action::AddTube => "Add tube",
        Action::AddElbow => "Add elbow",
        Action::AddJoint => "Add joint",
        Action::AddBody => "Add body",
        Action::AddDatum => "Add datum",
        Action::AddMerge => "Add merge",
        Action::AddBar => "Add bar",
        Action::MeasureIn => "Measure in…",
        Action::TakeOff => "Take it off…",
        Action::FindRoutes => "Find routes…",
        Action::MendRun => "Mend this run…",
        Action::TidyBends => "Tidy bends…",
        Action::BringScan => "Bring in a scan…",
        Action::FindScan(_) => "Find the file…",
        Action::ReadScan(_) => "Read it again",
        Action::FitAll => "Fit everything",
        Action::FitSelected => "Fit what is selected",
        Action::ViewFront => "Front",
        Action::ViewSide => "Side",
        Action::ViewTop => "Top",
        Action::ViewFree => "Free",
        Action::ToggleParallel => "Perspective or parallel",
        Action::ToggleSnap => "Snap to angles",
        Action::ToggleLabels => "Labels",
        Action::ToggleRoom => "Room along the pipe",
        Action::ToggleTheme => "Dark or light",
        Action::ToggleTree => "Tree on the left",
        Action::ToggleSide => "Panel on the right",
        Action::Help => "Mouse and keys",
    }
}

/// What it does, for the tooltip.
pub(crate) fn tooltip(action: Action) -> &'static str {
    match action {
        Action::New => "Start an empty project",
        Action::Open => "Open a project file",
        Action::OpenDemo(_) => "Open a worked example as a copy",
        Action::OpenRecent(_) => "Open it again",
        Action::BringBack => "See the copies of work that was not saved when the program went down",
        Action::Save => "Save the project to its file",
        Action::SaveAs => "Save the project to another file",
        Action::PrintSheet => "Write the sheet for the saw as a PDF",
        Action::Quit => "Close the program",
        Action::Undo => "Take back the last change",
        Action::Redo => "Do the change again",
        Action::Delete => "Delete what is selected",
        Action::ToggleHidden => "Hide what is selected in the 3D view, or show it again",
        Action::Duplicate => "Put a copy of the run beside it, between hardpoints of its own",
        Action::Mirror => {
            "Put mirror images of the selected runs and bars on the other side of Y = 0; hardpoints that are there are used"
        }
        Action::SwapEnds => {
            "Draw the same pipe from its other end: flow, clocks and stations count from there"
        }
        Action::SameMake => "Make every bend of the run the way the selected one is made",
        Action::AddRun => "Draw a pipe between two hardpoints",
        Action::AddHardpoint => "Enter a place where tube meets a part",
        Action::AddObstacle(_) => "Enter something that is in the way",
        Action::AddTube => "Enter a size of tube",
        Action::AddElbow => "Enter an elbow in stock",
        Action::AddJoint => "Enter a kind of joint",
        Action::AddDatum => "Enter a place that tapes are held to",
        Action::AddMerge => "Bring two tubes together into one",
        Action::AddBar => "Enter a bar that carries a turbo or a pipe",
        Action::MeasureIn => "Find a place or a direction by tapes, a rim, offsets or an angle gauge",
        Action::BringScan => "Bring in a mesh from a scanner as an obstacle: STL, OBJ, PLY, 3MF or glTF",
        Action::FindScan(_) => "Say where the file of the scan lies now",
        Action::ReadScan(_) => "Look at the file of the scan again",
        Action::AddBody => "Enter a body such as the engine, that moves by itself",
        Action::FindRoutes => "Let the program propose ways for the selected pipe past everything",
        Action::MendRun => "Move the bends of the selected pipe as little as clears its problems",
        Action::TidyBends => "Bring the bends of the selected pipe to angles the shop can make",
        Action::TakeOff => "See whether a section of the selected pipe comes off, and how",
        Action::FitAll => "Bring everything into view",
        Action::FitSelected => "Bring what is selected into view",
        Action::ViewFront => "Look from the front",
        Action::ViewSide => "Look from the left side",
        Action::ViewTop => "Look from above",
        Action::ViewFree => "Look from ahead, left and above",
        Action::ToggleParallel => "Change between perspective and parallel view",
        Action::ToggleSnap => "While dragging, catch on bend angles the shop can make",
        Action::ToggleRoom => {
            "Colour the middle of the selected pipe by the room it has: red too close, green clear"
        }
        Action::ToggleLabels => "Show or hide names and marks in the 3D view",
        Action::ToggleTheme => "Change between the dark and the light look",
        Action::ToggleTree => "Fold the tree away, or bring it back: more room for the 3D view",
        Action::ToggleSide => "Fold the panel of fields and results away, or bring it back",
        Action::Help => "What the mouse and the keys do",
    }
}
