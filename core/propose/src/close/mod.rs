//! The pieces that close the gap between a tacked pipe and its hardpoint.
//!
//! What is tacked ends a little off where it was drawn. From where its open face really is ([`OpenFace`]) follow the gap
//! ([`Gap`]), everything that could close it, and what each leaves ([`Offer`]). Nothing is called closed that is not:
//! every offer is laid out again from its pieces alone, and what that leaves is what is told.
//!
//! All faces that pieces meet are square: the open one and that at the hardpoint. A piece that leaves such a face at an
//! angle has the whole kink in its own cut; between two pieces of an offer each has half.
//!
//! Methods: own work. Joints of polylines, mitres from wanted kinks by the cones about both axes, slices turned on their
//! faces by damped least squares (Levenberg 1944, Marquardt 1963, from memory).

mod bend;
mod chain;
mod gap;
mod lay;
mod mitres;
mod offer;
mod plain;
mod shelf;
mod solve;
mod words;
mod written;

#[cfg(test)]
mod tests;

pub use gap::{Gap, Offset, OpenFace};
pub use lay::{Left, end_of, left_by};
pub use offer::{Answer, Kind, Offer};
pub use words::NoGap;
pub use written::written;

use offer::rank;
use pipeloft_core::model::{Project, RunId};

/// How many starts each search gets that is not told otherwise: enough that chains of three slices that were built
/// beforehand were found again each time in what was tried.
pub const USUAL_EFFORT: u32 = 24;
/// The most starts a search takes: more found nothing new.
pub const MOST_EFFORT: u32 = 1000;

/// What closes the gap between `face` and the hardpoint where the run ends, the least work first.
///
/// `effort` is the number of starts of each search, at most [`MOST_EFFORT`]; the same number gives the same answer on
/// every machine.
///
/// # Errors
/// Where there is no gap to close: see [`NoGap`].
pub fn close(project: &Project, run: RunId, face: OpenFace, effort: u32) -> Result<Answer, NoGap> {
    let gap = Gap::of(project, run, face)?;
    let mut offers = plain::straight(&gap);
    offers.extend(plain::one_piece(&gap));
    offers.extend(mitres::one(&gap));
    offers.extend(mitres::two(&gap));
    offers.extend(bend::flat(&gap));
    offers.extend(bend::turned(&gap));
    offers.extend(shelf::slices(&gap, effort.clamp(1, MOST_EFFORT)));
    Ok(rank(&gap, offers))
}
