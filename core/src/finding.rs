//! Findings: what is wrong or worth knowing, as facts; `text` is the one place where they become sentences, with `limit`
//! beside it for what is out of its limits. Knows no route, no piece and no gap: only what is said of them.

mod limit;
mod text;

use crate::model::limits::Fault;
use crate::model::{Item, PieceKey, Vertex};
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

/// One thing that is wrong or worth knowing, with its facts. Lengths mm, angles rad.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence in `text` explains each field")]
pub enum Problem {
    Missing {
        what: &'static str,
        id: u32,
    },
    NoDirection {
        hardpoint: String,
    },
    NoLength,
    Limit(Fault),
    SmallKink {
        bend: usize,
        angle_rad: f64,
    },
    TurnsBack {
        bend: usize,
        angle_rad: f64,
    },
    BendsOverlap {
        leg: usize,
        by_mm: f64,
        first: Option<usize>,
        second: Option<usize>,
    },
    RadiusTooSmall {
        bend: usize,
        clr_mm: f64,
        least_mm: f64,
    },
    ThroatShort {
        mark: String,
        throat_mm: f64,
        least_mm: f64,
        clr_mm: Option<f64>,
    },
    CutsCross {
        mark: String,
        by_mm: f64,
        fewer_degrees: bool,
    },
    TooFewWelds {
        bend: usize,
        welds: u32,
        least: u32,
    },
    OddSlice {
        bend: usize,
        angle_rad: f64,
        saw_rad: f64,
        odd_rad: f64,
        multiple_rad: f64,
    },
    NotMultiple {
        bend: usize,
        angle_rad: f64,
        saw_rad: f64,
        multiple_rad: f64,
    },
    SawLimit {
        bend: usize,
        mark: String,
        saw_rad: f64,
        most_rad: f64,
        welds: u32,
    },
    ElbowShort {
        bend: usize,
        need_rad: f64,
        have_rad: f64,
        fits: Option<String>,
    },
    ElbowSize {
        bend: usize,
        elbow_od_mm: f64,
        tube_od_mm: f64,
        fits: Option<String>,
    },
    ElbowMetal {
        bend: usize,
        elbow: &'static str,
        tube: &'static str,
        weldable: bool,
    },
    ElbowsToBuy {
        elbow: String,
        need: u32,
        have: u32,
    },
    JointOffLeg {
        joint: String,
        leg: usize,
        by_mm: f64,
    },
    JointBodyOnBend {
        joint: String,
        leg: usize,
        by_mm: f64,
    },
    NoSuchLeg {
        joint: String,
        leg: usize,
        legs: usize,
    },
    FullEndAtFace {
        bend: usize,
        at_start: bool,
    },
    PiecesMissEnd {
        offset_mm: f64,
        angle_rad: f64,
    },
    BehindFace {
        at_start: bool,
        reach_mm: f64,
        least_mm: f64,
    },
    Lip {
        weld: String,
        lip_mm: f64,
        turn_rad: f64,
    },
    JointSize {
        joint: String,
        joint_od_mm: f64,
        tube_od_mm: f64,
        fits: Option<String>,
    },
    NoBead {
        joint: String,
    },
    FitGone {
        weld: Option<String>,
        instead: Option<String>,
    },
    FitShort {
        weld: String,
        mark: String,
        long_mm: f64,
        grip_mm: f64,
    },
    NoFit,
    SawnOtherwise {
        key: PieceKey,
        mark: String,
        written: Option<String>,
        was_mm: f64,
        now_mm: f64,
    },
    SawnUnknown {
        marks: Vec<String>,
    },
    PortSize {
        hardpoint: String,
        port_od_mm: f64,
        tube_od_mm: f64,
    },
    TooClose {
        part: String,
        against: String,
        gap_mm: f64,
        required_mm: f64,
        heat: bool,
        lobe: bool,
        moved: Option<String>,
    },
    Clash {
        part: String,
        lobe: bool,
        against: String,
        deep_mm: f64,
        itself: bool,
    },
    ToolBlocked {
        tool: String,
        against: String,
    },
    PieceTooLong {
        mark: String,
        length_mm: f64,
        stick_mm: f64,
    },
    NoFlexible {
        bodies: (String, String),
    },
    SticksToBuy {
        tube: String,
        count: usize,
        /// Whether fewer could do.
        at_most: bool,
    },
    ScanMissing {
        scan: String,
        why: Option<String>,
    },
    ScanChanged {
        scan: String,
        why: String,
    },
    ScanLeftOut {
        scan: String,
        /// How many and why, as a sentence.
        what: String,
        /// Whether all of them have no area, so that no surface is lost.
        flat: bool,
    },
    /// A sentence that is made beside what it is about: tapers, branches, merges, small parts, bars.
    Said {
        severity: Severity,
        code: &'static str,
        place: String,
        text: String,
    },
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
        self.item == Some(item) || self.also == Some(item)
    }

    /// The names of the runs it is about, as they begin a line; empty where it is about none.
    pub fn lead(&self) -> String {
        match (&self.run, &self.also_run) {
            (Some(run), Some(also)) => format!("{run} and {also}: "),
            (Some(run), None) => format!("{run}: "),
            (None, _) => String::new(),
        }
    }
}

impl Problem {
    /// How bad it is.
    pub fn severity(&self) -> Severity {
        match self {
            Self::Said { severity, .. } => *severity,
            Self::Missing { .. }
            | Self::NoDirection { .. }
            | Self::NoLength
            | Self::Limit(_)
            | Self::TurnsBack { .. }
            | Self::BendsOverlap { .. }
            | Self::RadiusTooSmall { .. }
            | Self::CutsCross { .. }
            | Self::TooFewWelds { .. }
            | Self::ElbowShort { .. }
            | Self::ElbowSize { .. }
            | Self::JointOffLeg { .. }
            | Self::NoSuchLeg { .. }
            | Self::FullEndAtFace { .. }
            | Self::NotMultiple { .. }
            | Self::BehindFace { .. }
            | Self::PiecesMissEnd { .. }
            | Self::Clash { .. }
            | Self::PieceTooLong { .. } => Severity::Stop,
            // what has no area is no hole in a surface
            Self::ScanLeftOut { flat, .. } => {
                if *flat {
                    Severity::Note
                } else {
                    Severity::Warn
                }
            }
            Self::ElbowMetal { weldable, .. } => {
                if *weldable {
                    Severity::Note
                } else {
                    Severity::Stop
                }
            }
            Self::ThroatShort { .. }
            | Self::Lip { .. }
            | Self::JointBodyOnBend { .. }
            | Self::JointSize { .. }
            | Self::PortSize { .. }
            | Self::SawLimit { .. }
            | Self::NoBead { .. }
            | Self::FitShort { .. }
            | Self::SawnOtherwise { .. }
            | Self::SawnUnknown { .. }
            | Self::TooClose { .. }
            | Self::ToolBlocked { .. }
            | Self::ScanMissing { .. }
            | Self::ScanChanged { .. }
            | Self::NoFlexible { .. } => Severity::Warn,
            Self::SmallKink { .. }
            | Self::OddSlice { .. }
            | Self::FitGone { .. }
            | Self::NoFit
            | Self::ElbowsToBuy { .. }
            | Self::SticksToBuy { .. } => Severity::Note,
        }
    }

    /// The fixed short name of the kind.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Missing { .. } => "missing",
            Self::NoDirection { .. } => "no-direction",
            Self::NoLength => "no-length",
            Self::Limit(fault) => limit::code(fault),
            Self::SmallKink { .. } => "small-kink",
            Self::TurnsBack { .. } => "turns-back",
            Self::BendsOverlap { .. } => "bends-overlap",
            Self::RadiusTooSmall { .. } => "radius-too-small",
            Self::ThroatShort { .. } => "throat-short",
            Self::CutsCross { .. } => "cuts-cross",
            Self::TooFewWelds { .. } => "too-few-welds",
            Self::ElbowShort { .. } => "elbow-short",
            Self::ElbowSize { .. } => "elbow-size",
            Self::ElbowMetal { .. } => "elbow-metal",
            Self::ElbowsToBuy { .. } => "elbows-to-buy",
            Self::JointOffLeg { .. } => "joint-off-leg",
            Self::JointBodyOnBend { .. } => "joint-body-on-bend",
            Self::NoSuchLeg { .. } => "no-such-leg",
            Self::FullEndAtFace { .. } => "full-end-at-face",
            Self::BehindFace { .. } => "behind-face",
            Self::PiecesMissEnd { .. } => "pieces-miss-end",
            Self::Lip { .. } => "lip",
            Self::JointSize { .. } => "joint-size",
            Self::PortSize { .. } => "port-size",
            Self::TooClose { heat: false, .. } => "too-close",
            Self::TooClose { heat: true, .. } => "too-hot",
            Self::Clash { .. } => "clash",
            Self::ToolBlocked { .. } => "tool-blocked",
            Self::PieceTooLong { .. } => "piece-too-long",
            Self::NoFlexible { .. } => "no-flexible-joint",
            Self::OddSlice { .. } => "odd-slice",
            Self::NotMultiple { .. } => "not-multiple",
            Self::SawLimit { .. } => "saw-limit",
            Self::NoBead { .. } => "no-bead",
            Self::FitGone { .. } => "fit-gone",
            Self::FitShort { .. } => "fit-short",
            Self::NoFit => "no-fit",
            Self::SawnOtherwise { .. } => "sawn-otherwise",
            Self::SawnUnknown { .. } => "sawn-unknown",
            Self::SticksToBuy { .. } => "sticks-to-buy",
            Self::ScanMissing { .. } => "scan-missing",
            Self::ScanChanged { .. } => "scan-changed",
            Self::ScanLeftOut { .. } => "scan-left-out",
            Self::Said { code, .. } => code,
        }
    }

    /// Where it is, in words.
    pub fn place(&self) -> String {
        match self {
            Self::SmallKink { bend, .. }
            | Self::TurnsBack { bend, .. }
            | Self::RadiusTooSmall { bend, .. }
            | Self::TooFewWelds { bend, .. }
            | Self::FullEndAtFace { bend, .. }
            | Self::ElbowShort { bend, .. }
            | Self::ElbowSize { bend, .. }
            | Self::OddSlice { bend, .. }
            | Self::NotMultiple { bend, .. }
            | Self::ElbowMetal { bend, .. } => format!("bend {bend}"),
            Self::BendsOverlap { leg, .. }
            | Self::JointOffLeg { leg, .. }
            | Self::JointBodyOnBend { leg, .. } => {
                format!("leg {leg}")
            }
            Self::ThroatShort { mark, .. }
            | Self::CutsCross { mark, .. }
            | Self::SawLimit { mark, .. }
            | Self::FitShort { mark, .. }
            | Self::SawnOtherwise { mark, .. }
            | Self::PieceTooLong { mark, .. } => {
                format!("piece {mark}")
            }
            Self::TooClose { against, .. }
            | Self::Clash { against, .. }
            | Self::ToolBlocked { against, .. } => against.clone(),
            Self::ScanMissing { scan, .. }
            | Self::ScanChanged { scan, .. }
            | Self::ScanLeftOut { scan, .. } => scan.clone(),
            Self::Said { place, .. } => place.clone(),
            Self::Lip { weld, .. } => format!("weld {weld}"),
            Self::PiecesMissEnd { .. } => "end".to_owned(),
            Self::BehindFace { at_start, .. } => if *at_start { "start" } else { "end" }.to_owned(),
            Self::NoSuchLeg { joint, .. } | Self::JointSize { joint, .. } | Self::NoBead { joint } => {
                joint.clone()
            }
            Self::FitGone { weld: Some(weld), .. } => format!("weld {weld}"),
            Self::FitGone { weld: None, .. } => "the weld fitted last".to_owned(),
            Self::NoDirection { hardpoint } | Self::PortSize { hardpoint, .. } => hardpoint.clone(),
            Self::ElbowsToBuy { .. } | Self::SticksToBuy { .. } | Self::SawnUnknown { .. } => {
                "stock".to_owned()
            }
            Self::Limit(fault) => limit::place(fault),
            Self::Missing { .. } | Self::NoLength | Self::NoFit | Self::NoFlexible { .. } => String::new(),
        }
    }

    /// The finding for this problem.
    pub fn finding(self, units: UnitSystem) -> Finding {
        Finding {
            severity: self.severity(),
            code: self.code(),
            run: None,
            also_run: None,
            place: self.place(),
            text: self.text(units),
            item: None,
            also: None,
            spot: None,
            vertex: None,
            problem: self,
        }
    }
}
