//! How far a result can be believed, and the sentence why.

use super::words::{amount, degrees, listed};
use crate::units::{UnitSystem, plain_number, tube_size};

/// How far a result can be believed; the worse, the greater.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// As good as the readings.
    Good,
    /// Usable, but something is open or was not checked.
    Doubtful,
    /// Not to be built from.
    Bad,
}

/// What a result with nothing against it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Good {
    /// A reading that stands for itself.
    AsEntered,
    /// More tapes than needed, which agree.
    TapesAgree {
        /// How many.
        tapes: usize,
        /// Root mean square of what is left at each, mm.
        rms_mm: f64,
    },
    /// More rim points than needed, which agree.
    RimAgrees {
        /// How many points.
        points: usize,
        /// Root mean square of how far they lie off the circle, mm.
        rms_mm: f64,
    },
    /// Three rim points, whose circle has the size that is known.
    RimSize {
        /// As measured, mm.
        diameter_mm: f64,
        /// As known, mm.
        known_mm: f64,
    },
    /// Gauge readings that a direction follows from without loss.
    Gauge {
        /// How far the direction strays with the gauge, rad.
        sigma_rad: f64,
    },
    /// Pairs of points that fit.
    FitAgrees {
        /// How many.
        pairs: usize,
        /// Root mean square of how far each pair is apart after the fit, mm.
        rms_mm: f64,
    },
}

/// Which readings may be wrong, where they do not agree.
#[derive(Debug, Clone, PartialEq)]
pub enum Suspects {
    /// There are too few readings to tell.
    Unknown,
    /// Leaving this one out makes the rest agree, and leaving out any other does not.
    One {
        /// Its name.
        name: String,
        /// By how much it is off, mm: for a tape positive where it reads long, for a pair how far it is apart.
        off_mm: f64,
    },
    /// Leaving out any of these makes the rest agree, the likeliest first.
    Several {
        /// Their names.
        names: Vec<String>,
    },
    /// Leaving out no single one makes the rest agree.
    NoSingle,
}

/// What the ratio of sizes of two sets of points looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScaleGuess {
    /// The points that are fitted are in this unit (`inches`), not in mm.
    Fitted(&'static str),
    /// The points they are fitted to are.
    Others(&'static str),
    /// No unit explains it.
    Unknown,
}

impl ScaleGuess {
    fn words(self) -> String {
        match self {
            Self::Fitted(unit) => format!("they look like {unit} taken for mm"),
            Self::Others(unit) => format!("the others look like {unit} taken for mm"),
            Self::Unknown => "no mix-up of units explains it, so check both sets".to_owned(),
        }
    }
}

/// Something that speaks against a result.
#[derive(Debug, Clone, PartialEq)]
pub enum Doubt {
    /// Three tapes: nothing to check them by.
    TapesUnchecked,
    /// Two answers, mirrored in the plane of the datums, fit equally.
    MirrorOpen {
        /// How far they are apart, mm.
        apart_mm: f64,
    },
    /// The point lies so near the plane of the datums that the tapes hardly tell how far off it.
    NearPlane {
        /// How far it may be off that plane either way, mm.
        sigma_mm: f64,
        /// How that stands.
        level: Level,
    },
    /// The tapes do not agree.
    TapesDisagree {
        /// How far they stray, mm, standard deviation.
        spread_mm: f64,
        /// Which may be wrong.
        suspects: Suspects,
        /// How that stands.
        level: Level,
    },
    /// The datums lie so that small errors of the tapes grow.
    TapesWeak {
        /// How far the point may be off in the worst direction, mm.
        sigma_mm: f64,
        /// Which way that is, in words.
        way: &'static str,
        /// How that stands.
        level: Level,
    },
    /// Three rim points and no known size: nothing to check them by.
    RimUnchecked,
    /// The points lie on too short a part of the rim.
    RimNarrow {
        /// How far round they go, rad.
        spread_rad: f64,
        /// How far the centre may be off, mm.
        centre_sigma_mm: f64,
        /// How far the axis may be off, rad.
        axis_sigma_rad: f64,
        /// How that stands.
        level: Level,
    },
    /// The points do not lie on a circle.
    RimUneven {
        /// How far they stray, mm, standard deviation.
        spread_mm: f64,
        /// The one farthest off, from 1.
        worst: usize,
        /// By how much, mm.
        off_mm: f64,
        /// How that stands.
        level: Level,
    },
    /// The circle has another size than it should.
    RimSize {
        /// As measured, mm.
        diameter_mm: f64,
        /// As known, mm.
        known_mm: f64,
        /// How that stands.
        level: Level,
    },
    /// It was not said which way the axis points out, or what was said runs across it.
    RimSideOpen,
    /// The direction runs so that small errors of the gauge grow.
    GaugeWeak {
        /// How far the direction may be off, rad.
        sigma_rad: f64,
        /// How that stands.
        level: Level,
    },
    /// Two directions make both angles.
    AnglesOpen {
        /// How far they are apart, rad.
        apart_rad: f64,
    },
    /// The two sets of points do not fit.
    FitPoor {
        /// How far they stray, mm, standard deviation.
        spread_mm: f64,
        /// Which pair may be wrong.
        suspects: Suspects,
        /// How that stands.
        level: Level,
    },
    /// One set fits the mirror image of the other.
    FitMirrored,
    /// Two points of one set seem to be exchanged.
    FitSwapped {
        /// The one.
        first: String,
        /// The other.
        second: String,
    },
    /// The sets are of different size. The fit does not stretch them.
    FitScale {
        /// What the points that are fitted would have to be multiplied by.
        scale: f64,
        /// What it looks like.
        guess: ScaleGuess,
        /// How that stands.
        level: Level,
    },
    /// The pairs lie so nearly in a line that the fit may turn about it.
    FitNarrow {
        /// How far the fit may be turned about that line, rad.
        sigma_rad: f64,
        /// How that stands.
        level: Level,
    },
}

impl Doubt {
    /// How much it speaks against the result.
    pub fn level(&self) -> Level {
        match self {
            Self::TapesUnchecked
            | Self::MirrorOpen { .. }
            | Self::RimUnchecked
            | Self::RimSideOpen
            | Self::AnglesOpen { .. } => Level::Doubtful,
            Self::NearPlane { level, .. }
            | Self::TapesDisagree { level, .. }
            | Self::TapesWeak { level, .. }
            | Self::RimNarrow { level, .. }
            | Self::RimUneven { level, .. }
            | Self::RimSize { level, .. }
            | Self::GaugeWeak { level, .. }
            | Self::FitPoor { level, .. }
            | Self::FitScale { level, .. }
            | Self::FitNarrow { level, .. } => *level,
            Self::FitMirrored | Self::FitSwapped { .. } => Level::Bad,
        }
    }

    /// The sentence: what, and what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::TapesUnchecked => {
                "Three tapes always look right: a tape to a fourth datum would check them.".to_owned()
            }
            Self::MirrorOpen { apart_mm } => format!(
                "Two points {} apart fit the tapes, one on each side of the plane of the datums: choose the one that is there.",
                amount(*apart_mm, units)
            ),
            Self::NearPlane { sigma_mm, .. } => format!(
                "The point lies near the plane of the datums, and the tapes tell how far off it only to {}: add a datum well off that plane.",
                amount(*sigma_mm, units)
            ),
            Self::TapesDisagree { spread_mm, suspects, .. } => format!(
                "The tapes disagree by {}: {}",
                amount(*spread_mm, units),
                tapes_to_blame(suspects, units)
            ),
            Self::TapesWeak { sigma_mm, way, .. } => format!(
                "The datums lie so that the point may be {} off {way}: tape from one that lies that way from it.",
                amount(*sigma_mm, units)
            ),
            Self::RimUnchecked => {
                "Three points always lie on a circle: a fourth point, or a diameter that is known, would check them."
                    .to_owned()
            }
            Self::RimNarrow { spread_rad, centre_sigma_mm, axis_sigma_rad, .. } => format!(
                "The points go only {} round the rim, so the centre may be {} off and the axis {}: take points further round.",
                degrees(*spread_rad),
                amount(*centre_sigma_mm, units),
                degrees(*axis_sigma_rad)
            ),
            Self::RimUneven { spread_mm, worst, off_mm, .. } => format!(
                "The points lie off the circle by {}, most of all point {worst}, by {}: mark them again, on one edge of a rim that is round.",
                amount(*spread_mm, units),
                amount(*off_mm, units)
            ),
            Self::RimSize { diameter_mm, known_mm, .. } => format!(
                "The rim comes out at {} where {} is known: check that all points are on the same edge.",
                tube_size(*diameter_mm, units),
                tube_size(*known_mm, units)
            ),
            Self::RimSideOpen => {
                "Which way the axis points out of the part was not said, or runs across it: check it, and turn it round if need be.".to_owned()
            }
            Self::GaugeWeak { sigma_rad, .. } => format!(
                "Seen like this, the gauge tells the direction only to {}: measure it another way.",
                degrees(*sigma_rad)
            ),
            Self::AnglesOpen { apart_rad } => format!(
                "Two directions {} apart make both angles, mirrored in the plane of the two lines: choose the one that is there.",
                degrees(*apart_rad)
            ),
            Self::FitPoor { spread_mm, suspects, .. } => format!(
                "The points do not fit by {}: {}",
                amount(*spread_mm, units),
                pairs_to_blame(suspects, units)
            ),
            Self::FitMirrored => {
                "The points fit the mirror image: left and right are exchanged in one set, or its axes are.".to_owned()
            }
            Self::FitSwapped { first, second } => format!(
                "{first} and {second} seem to be exchanged: the points fit when one of them takes the place of the other."
            ),
            Self::FitScale { scale, guess, .. } => format!(
                "The points that are fitted would have to be {} times as large: {}. They were not stretched.",
                factor(*scale),
                guess.words()
            ),
            Self::FitNarrow { sigma_rad, .. } => format!(
                "The points lie so nearly in a line that the fit may be turned {} about it: add a pair well off that line.",
                degrees(*sigma_rad)
            ),
        }
    }
}

/// A ratio with four figures.
fn factor(scale: f64) -> String {
    let decimals = if scale < 0.1 { 5 } else { 3 };
    plain_number(scale, decimals)
}

fn tapes_to_blame(suspects: &Suspects, units: UnitSystem) -> String {
    match suspects {
        Suspects::Unknown => "there are too few to tell which is wrong, so add one.".to_owned(),
        Suspects::One { name, off_mm } => {
            let how = if *off_mm > 0.0 { "long" } else { "short" };
            format!("the one to {name} seems {} too {how}. Tape it again.", amount(*off_mm, units))
        }
        Suspects::Several { names } => format!(
            "the one to {} may be wrong, these tapes cannot tell which. Tape them again or add one.",
            listed(names, "or")
        ),
        Suspects::NoSingle => {
            "no single tape explains it, so more than one is wrong or a datum is. Tape them again.".to_owned()
        }
    }
}

fn pairs_to_blame(suspects: &Suspects, units: UnitSystem) -> String {
    match suspects {
        Suspects::Unknown => "there are too few to tell which is wrong, so add a pair.".to_owned(),
        Suspects::One { name, off_mm } => {
            format!("{name} seems {} off. Take it again.", amount(*off_mm, units))
        }
        Suspects::Several { names } => {
            format!("{} may be wrong. Take them again or add a pair.", listed(names, "or"))
        }
        Suspects::NoSingle => {
            "no single pair explains it. Check that each pair is the same place in both sets.".to_owned()
        }
    }
}

impl Good {
    /// The sentence.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::AsEntered => "Taken as entered; nothing checks it.".to_owned(),
            Self::TapesAgree { tapes, rms_mm } => {
                format!("The {tapes} tapes agree to {}.", amount(*rms_mm, units))
            }
            Self::RimAgrees { points, rms_mm } => {
                format!("The {points} points lie on the circle to {}.", amount(*rms_mm, units))
            }
            Self::RimSize { diameter_mm, known_mm } => format!(
                "The rim comes out at {} where {} is known.",
                tube_size(*diameter_mm, units),
                tube_size(*known_mm, units)
            ),
            Self::Gauge { sigma_rad } => {
                format!("As good as the gauge: to {}; nothing checks it.", degrees(*sigma_rad))
            }
            Self::FitAgrees { pairs, rms_mm } => {
                format!("The {pairs} pairs fit to {}.", amount(*rms_mm, units))
            }
        }
    }
}

/// How far a result can be believed and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Trust {
    /// What speaks against it, the worst first.
    pub doubts: Vec<Doubt>,
    /// What it rests on where nothing speaks against it.
    pub good: Good,
}

impl Trust {
    /// From all that was found; what is no doubt is left out, the worst comes first.
    pub(super) fn new(mut doubts: Vec<Doubt>, good: Good) -> Self {
        doubts.retain(|d| d.level() > Level::Good);
        doubts.sort_by_key(|d| std::cmp::Reverse(d.level()));
        Self { doubts, good }
    }

    /// How far it can be believed.
    pub fn level(&self) -> Level {
        self.doubts.first().map_or(Level::Good, Doubt::level)
    }

    /// The sentence why: the worst that speaks against it, or what it rests on.
    pub fn text(&self, units: UnitSystem) -> String {
        self.doubts.first().map_or_else(|| self.good.text(units), |d| d.text(units))
    }
}
