//! Offers as text for other programs: pieces as in the report file.

use super::lay::Left;
use super::offer::{Answer, Offer};
use glam::DVec3;
use pipeloft_core::geom::Frame;
use pipeloft_core::model::Project;
use pipeloft_core::report::{PieceReport, PieceSource, StartReport, loose_piece};
use serde::Serialize;

/// What is said of an offer besides its pieces.
#[derive(Debug, Serialize)]
struct OfferWritten {
    /// How the gap is closed.
    how: &'static str,
    /// Whether it closes within what a tack moves, 0.5 mm and 0.2°.
    closes: bool,
    /// Welds, those at both faces included.
    welds: usize,
    /// Minutes of work, to compare by.
    work_min: f64,
    /// The largest lip where two faces do not match, mm.
    lip_mm: f64,
    /// The shortest side, mm.
    shortest_mm: f64,
    /// What is left where the cuts are set to the saw's steps.
    left_on_steps: Left,
}

#[derive(Debug, Serialize)]
struct Written {
    run: String,
    /// The open face; clocks count from `clock`.
    start: StartReport,
    /// Where the tube has to end, and the way it arrives there.
    to: ToWritten,
    closes: bool,
    pieces: Vec<Vec<PieceReport>>,
    left: Vec<Left>,
    offers: Vec<OfferWritten>,
}

#[derive(Debug, Serialize)]
struct ToWritten {
    position_mm: DVec3,
    direction: DVec3,
}

/// The answer for the run called `run` as JSON: `pieces` and `left` have one entry an offer, in the same order.
///
/// # Errors
/// Where a number cannot be written.
pub fn written(project: &Project, run: &str, answer: &Answer) -> Result<String, serde_json::Error> {
    let Frame { origin, travel, index } = answer.gap.from;
    let out = Written {
        run: run.to_owned(),
        start: StartReport { position_mm: origin, direction: travel, clock: index },
        to: ToWritten { position_mm: answer.gap.to.origin, direction: answer.gap.to.travel },
        closes: answer.closes(),
        pieces: answer.offers.iter().map(|o| reports(project, o)).collect(),
        left: answer.offers.iter().map(|o| o.left).collect(),
        offers: answer.offers.iter().map(about).collect(),
    };
    let mut text = serde_json::to_string_pretty(&out)?;
    text.push('\n');
    Ok(text)
}

/// The pieces of an offer as in the report.
fn reports(project: &Project, offer: &Offer) -> Vec<PieceReport> {
    let one = |(p, ready): (&pipeloft_core::fab::Piece, &bool)| {
        let source = match (p.is_sawn(), ready) {
            (false, _) => PieceSource::Bought,
            (true, true) => PieceSource::Ready,
            (true, false) => PieceSource::Stick,
        };
        loose_piece(project, p, source)
    };
    offer.pieces.iter().zip(&offer.ready).map(one).collect()
}

fn about(offer: &Offer) -> OfferWritten {
    OfferWritten {
        how: offer.kind.name(),
        closes: offer.left.is_tacked_out(),
        welds: offer.welds,
        work_min: offer.work_min,
        lip_mm: offer.lip_mm,
        shortest_mm: offer.shortest_mm,
        left_on_steps: offer.left_on_steps,
    }
}
