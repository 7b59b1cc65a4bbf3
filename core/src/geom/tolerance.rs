//! The named tolerances; nowhere else stands a bare small number that decides something.

/// Two points closer than this (mm) are one point: far below a scribe line, far above f64 noise at 50 m.
pub const COINCIDENT_MM: f64 = 1e-6;

/// A leg or piece shorter than this (mm) is not there: nobody can saw or hold it.
pub const NO_LENGTH_MM: f64 = 1e-6;

/// A straight may fall short of zero by this much (mm) before bends count as overlapping: rounding noise of
/// positions typed or dragged, far below any cut.
pub const OVERLAP_MM: f64 = 1e-6;

/// Pieces laid end to end may end this far (mm) from where their run ends, and lean by [`LAID_RAD`]: a fifth of what
/// a tack moves. In what was tried, up to 200 bends, they stay a million times nearer.
pub const LAID_MM: f64 = 0.1;

/// The lean that goes with [`LAID_MM`], rad (0.05°).
pub const LAID_RAD: f64 = NO_BEND_RAD;

/// Directions closer than this (rad) are one direction.
pub const PARALLEL_RAD: f64 = 1e-9;

/// A kink below this (rad, 0.05°) is no bend: no saw or elbow can make it.
pub const NO_BEND_RAD: f64 = 0.05 * std::f64::consts::PI / 180.0;

/// A bend above this (rad, 175°) cannot be built: its tangent points run away to infinity.
pub const MAX_BEND_RAD: f64 = 175.0 * std::f64::consts::PI / 180.0;

/// Diameters closer than this (mm) fit each other: 0.5 mm covers the inch/metric twins such as 76.1 and 76.2.
pub const SAME_OD_MM: f64 = 0.5;

/// A vertex next to a hardpoint comes no nearer to its face than this, mm: closer it would lie in the part.
pub const LEAST_REACH_MM: f64 = 1.0;

/// Turns closer than this are one turn, rad: rounding noise of rolls and clocks.
pub const SAME_TURN_RAD: f64 = 1e-9;

/// A piece of tube with a throat under this (mm) is awkward to hold and tack (common practice, no source).
pub const SLIVER_MM: f64 = 25.0;

/// A run is listed against itself only where it comes this near, mm: the inside of an ordinary bend is further.
pub const OWN_GAP_MM: f64 = 50.0;

/// A lip between two mitred faces up to this (mm) is filled by an ordinary bead (common practice, no source).
pub const LIP_MM: f64 = 0.5;

/// Two clock angles closer than this are one, rad.
pub const SAME_CLOCK_RAD: f64 = 1e-6;

/// Clearances are found to within this (mm).
pub const GAP_MM: f64 = 0.01;

/// An elbow may fall short of the bend by this much (rad, 0.05°) and still be used whole.
pub const ELBOW_SHORT_RAD: f64 = NO_BEND_RAD;

/// Of two convex solids the distance is bracketed to within this (mm): a tenth of what a clearance may be off.
pub const CONVEX_GAP_MM: f64 = GAP_MM / 10.0;

/// A search for the tightest place stops when nothing can be nearer by more than this (mm): with
/// [`CONVEX_GAP_MM`] it stays within [`GAP_MM`].
pub const SEARCH_MM: f64 = GAP_MM / 2.0;

/// Convex solids nearer than this (mm) touch: a thousand times the noise of f64 at 50 m.
pub const TOUCH_MM: f64 = 1e-8;

/// A cut face whose normal is off the tube's axis by more than 87.7° (this is the cosine) is no mitre: the
/// sharpest, half of [`MAX_BEND_RAD`], has 0.0436. Its tip would run away to infinity.
pub const MIN_FACE_COSINE: f64 = 0.04;

/// Two datums closer than this (mm) are one: no tape tells them apart.
pub const SAME_DATUM_MM: f64 = 1.0;

/// Two points on a rim closer than this (mm) are one, marked twice.
pub const SAME_RIM_POINT_MM: f64 = 0.1;

/// A line within this (rad, 1°) of square across a view is seen end on or upright there: the view does not turn it.
pub const BLIND_VIEW_RAD: f64 = std::f64::consts::PI / 180.0;

/// Two lines closer to parallel than this (rad, 5°) are no two directions to measure a third from.
pub const PARALLEL_GUIDES_RAD: f64 = 5.0 * std::f64::consts::PI / 180.0;
