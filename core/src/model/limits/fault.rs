//! What is wrong with the numbers and texts of a project, as facts.

/// One thing in a project that is out of its limits. `what` and `of` name it as a person would.
#[derive(Debug, Clone, PartialEq)]
pub enum Fault {
    /// A length outside its range; one that is no number is outside of any.
    Length {
        /// Which length, and of what.
        what: String,
        /// The length, mm.
        mm: f64,
        /// The least it may be, mm.
        least_mm: f64,
        /// The most it may be, mm.
        most_mm: f64,
    },
    /// Another number outside its range; one that is no number is outside of any.
    Number {
        /// Which number, and of what.
        what: String,
        /// The number.
        value: f64,
        /// The least it may be.
        least: f64,
        /// The most it may be.
        most: f64,
        /// What it counts, as written behind a number: "°", " mm²", or nothing.
        unit: &'static str,
    },
    /// A wall that is nothing, or that leaves no hole.
    Wall {
        /// Whose wall.
        of: String,
        /// The wall, mm.
        wall_mm: f64,
        /// The outside diameter, mm.
        od_mm: f64,
    },
    /// More of something than can be handled.
    TooMany {
        /// Of what.
        what: &'static str,
        /// How many there are.
        count: usize,
        /// The most there may be.
        most: usize,
    },
    /// Two things of the project with one id.
    SameId {
        /// The id.
        id: u32,
    },
    /// Ids that leave no room for others.
    IdsTooLarge {
        /// What all ids have to stay below.
        below: u32,
    },
    /// Two things of a kind on one run with one id.
    SameInnerId {
        /// The kind.
        what: &'static str,
        /// The id.
        id: u32,
        /// The run.
        run: String,
    },
    /// A thing on a run with an id that leaves no room for others.
    InnerIdTooLarge {
        /// The kind.
        what: &'static str,
        /// The id.
        id: u32,
        /// The run.
        run: String,
        /// What all ids have to stay below.
        below: u32,
    },
    /// A hardpoint that does not say which way it points.
    HardpointWithoutDirection {
        /// Its name.
        name: String,
    },
    /// A merge that does not say which way its outlet points.
    MergeWithoutDirection {
        /// Its name.
        name: String,
    },
    /// Hardpoints that each sit on a run that the next begins or ends, and the last on one of the first.
    Ring {
        /// Their names, at least one.
        names: Vec<String>,
    },
    /// A name or another text that is too long.
    TextTooLong {
        /// Which text.
        what: &'static str,
        /// How it begins.
        begins: String,
        /// Its length, characters.
        count: usize,
        /// The most it may have.
        most: usize,
    },
    /// A scan whose checksum is none.
    NoChecksum {
        /// The scan, by the beginning of its name.
        scan: String,
        /// How what stands there begins.
        begins: String,
    },
}
