//! Findings: what is wrong or worth knowing, as facts, one enum a stage of the work; `words` is the one place where they
//! become sentences. Knows no route, no piece and no gap: only what is said of them.

mod bar;
mod bar_fit;
mod branch;
mod gap;
mod limit;
mod merge;
mod no_route;
mod open_end;
mod part;
mod piece;
mod route;
mod saddle;
mod scan;
mod stock;
mod taper;
mod words;

pub use bar::{BarProblem, Side};
pub use bar_fit::{BarError, CopeFault, CopedOnto, Fit, PinFit, SleeveFit};
pub use branch::{Block, BranchFault, BranchProblem, NoTube, WallLack};
pub use gap::{GapProblem, NearPart};
pub use merge::{MergeError, MergeFault, MergeProblem};
pub use no_route::{NoRoute, RouteCure};
pub use open_end::OpenEndProblem;
pub use part::{Over, PartFault, PartProblem, Width};
pub use piece::{PieceProblem, PieceType};
pub use route::RouteProblem;
pub use saddle::{LimbError, SaddleError};
pub use scan::ScanProblem;
pub use stock::StockProblem;
pub use taper::{ConeError, ConeNote, TaperProblem};

use crate::model::limits::Fault;
use crate::model::{Item, Vertex};
use crate::units::UnitSystem;
use glam::DVec3;
use serde::Serialize;

/// How bad it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// It cannot be built like this; no sheet is printed for the run.
    Stop,
    /// It can be built, but it will hit, leak, burn or be hard to make.
    Warn,
    /// Worth knowing.
    Note,
}

impl Severity {
    /// The word a person reads.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stop => "Stop",
            Self::Warn => "Warning",
            Self::Note => "Note",
        }
    }
}

/// One thing that is wrong or worth knowing, with its facts, by the stage of the work that finds it.
#[derive(Debug, Clone, PartialEq)]
pub enum Problem {
    /// A number or text out of its limits.
    Limit(Fault),
    /// The line of a run, and what sits on it.
    Route(RouteProblem),
    /// Pieces and welds.
    Piece(PieceProblem),
    /// Tapers.
    Taper(TaperProblem),
    /// Ends that sit on other runs.
    Branch(BranchProblem),
    /// Merges and what comes to them.
    Merge(MergeProblem),
    /// Small parts.
    Part(PartProblem),
    /// Open ends.
    OpenEnd(OpenEndProblem),
    /// Bars.
    Bar(BarProblem),
    /// Gaps.
    Gap(GapProblem),
    /// Sticks and elbows.
    Stock(StockProblem),
    /// Scans.
    Scan(ScanProblem),
}

/// A finding: a problem and where it is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// How bad it is.
    pub severity: Severity,
    /// A fixed short name of the kind of problem.
    pub code: &'static str,
    /// Name of the run it belongs to.
    pub run: Option<String>,
    /// Name of the other run, where it is about two.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub also_run: Option<String>,
    /// Names of the runs that it is about together, where one thing keeps several from being built.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub runs: Vec<String>,
    /// Where, in words.
    #[serde(rename = "where")]
    pub place: String,
    /// The sentence: what, where, what to do.
    pub text: String,
    /// The item to show when the finding is clicked.
    #[serde(skip)]
    pub item: Option<Item>,
    /// The other item, where it is about two.
    #[serde(skip)]
    pub also: Option<Item>,
    /// All other items, where it is said once for many.
    #[serde(skip)]
    pub others: Vec<Item>,
    /// The place in space to show, mm.
    #[serde(skip)]
    pub spot: Option<DVec3>,
    /// The vertex the problem hangs on, where one does.
    #[serde(skip)]
    pub vertex: Option<Vertex>,
    /// The facts.
    #[serde(skip)]
    pub problem: Problem,
}

impl Finding {
    /// Whether it is about an item.
    pub fn concerns(&self, item: Item) -> bool {
        self.item == Some(item) || self.also == Some(item) || self.others.contains(&item)
    }
}

impl Problem {
    /// How bad it is.
    pub fn severity(&self) -> Severity {
        match self {
            Self::Limit(_) => Severity::Stop,
            Self::Branch(problem) => problem.fault.severity(),
            Self::Merge(problem) => problem.fault.severity(),
            Self::Part(problem) => problem.fault.severity(),
            Self::Route(problem) => problem.severity(),
            Self::Piece(problem) => problem.severity(),
            Self::Taper(problem) => problem.severity(),
            Self::OpenEnd(problem) => problem.severity(),
            Self::Bar(problem) => problem.severity(),
            Self::Gap(problem) => problem.severity(),
            Self::Stock(problem) => problem.severity(),
            Self::Scan(problem) => problem.severity(),
        }
    }

    /// The fixed short name of the kind.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Limit(fault) => limit::code(fault),
            Self::Branch(problem) => problem.fault.code(),
            Self::Merge(problem) => problem.fault.code(),
            Self::Part(problem) => problem.fault.code(),
            Self::Route(problem) => problem.code(),
            Self::Piece(problem) => problem.code(),
            Self::Taper(problem) => problem.code(),
            Self::OpenEnd(problem) => problem.code(),
            Self::Bar(problem) => problem.code(),
            Self::Gap(problem) => problem.code(),
            Self::Stock(problem) => problem.code(),
            Self::Scan(problem) => problem.code(),
        }
    }

    /// The finding for this problem.
    pub fn finding(self, units: UnitSystem) -> Finding {
        Finding {
            severity: self.severity(),
            code: self.code(),
            run: None,
            also_run: None,
            runs: Vec::new(),
            place: self.place(),
            text: self.text(units),
            item: None,
            also: None,
            others: Vec::new(),
            spot: None,
            vertex: None,
            problem: self,
        }
    }
}

/// A problem of each stage is a problem.
macro_rules! stages {
    ($($stage:ident($problem:ident),)+) => {
        $(impl From<$problem> for Problem {
            fn from(problem: $problem) -> Self {
                Self::$stage(problem)
            }
        })+
    };
}

stages! {
    Route(RouteProblem),
    Piece(PieceProblem),
    Taper(TaperProblem),
    Branch(BranchProblem),
    Merge(MergeProblem),
    Part(PartProblem),
    OpenEnd(OpenEndProblem),
    Bar(BarProblem),
    Gap(GapProblem),
    Stock(StockProblem),
    Scan(ScanProblem),
}
