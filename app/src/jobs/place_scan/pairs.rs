//! The pairs a scan is placed by: a place on the scan, and the same place on the vehicle.

use crate::ctx::UiCtx;
use crate::jobs::scan_form::OwnPoint;
use glam::DVec3;
use pipeloft_core::measure::MeasureError;
use pipeloft_core::measure::fit::{Fit, Pair, fit};
use pipeloft_core::measure::{Doubt, POINT_SIGMA_MM};
use pipeloft_core::model::{DatumId, HardpointId, ScanFile};
use pipeloft_core::space::scan::ScanUnit;

/// How a place on the vehicle is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    /// Not yet.
    Open,
    /// A datum.
    Datum(DatumId),
    /// The centre of a hardpoint's face.
    Hardpoint(HardpointId),
    /// By numbers.
    Typed,
}

/// One pair as it is entered.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entry {
    /// The place on the scan.
    pub(super) own: OwnPoint,
    /// How the place on the vehicle is given.
    pub(super) place: Place,
    /// Where it is where that is by numbers, mm.
    pub(super) typed_mm: DVec3,
}

impl Entry {
    /// A pair that lacks its place on the vehicle.
    pub(super) fn new(own: OwnPoint) -> Self {
        Self { own, place: Place::Open, typed_mm: DVec3::ZERO }
    }

    /// Where it is on the vehicle, mm; `None` where that is open or gone.
    pub(super) fn target_mm(&self, ctx: UiCtx<'_>) -> Option<DVec3> {
        match self.place {
            Place::Open => None,
            Place::Datum(id) => ctx.project.datum(id).map(|d| d.position_mm),
            Place::Hardpoint(id) => ctx.project.hardpoint(id).map(|h| h.position_mm),
            Place::Typed => Some(self.typed_mm),
        }
    }
}

/// The fit of the pairs that are whole, and which of them those are.
pub(super) struct Laid {
    /// Places of the pairs in the list.
    pub(super) which: Vec<usize>,
    /// The fit, or why there is none.
    pub(super) fit: Result<Fit, MeasureError>,
}

/// Lays the scan over the vehicle; `None` while fewer than three pairs are whole.
pub(super) fn lay(ctx: UiCtx<'_>, scan: &ScanFile, entries: &[Entry]) -> Option<Laid> {
    let whole: Vec<(usize, Pair)> = entries
        .iter()
        .enumerate()
        .filter_map(|(i, entry)| {
            let pair = Pair {
                name: format!("Pair {}", i + 1),
                from_mm: entry.own.own_mm(scan),
                to_mm: entry.target_mm(ctx)?,
            };
            Some((i, pair))
        })
        .collect();
    if whole.len() < 3 {
        return None;
    }
    let (which, pairs): (Vec<usize>, Vec<Pair>) = whole.into_iter().unzip();
    Some(Laid { which, fit: fit(&pairs, POINT_SIGMA_MM) })
}

/// Units of length within this part of each other are taken for one: what a scanner or a tape may be off.
const SAME_UNIT: f64 = 0.02;

/// The unit that would make the sizes agree, where the fit says that they do not and one does.
pub(super) fn better_unit(fit: &Fit, scan: &ScanFile) -> Option<ScanUnit> {
    let off = fit.trust.doubts.iter().any(|doubt| matches!(doubt, Doubt::FitScale { .. }));
    let wanted = scan.mm_per_unit * fit.scale;
    let near = |unit: &ScanUnit| (wanted / unit.mm() - 1.0).abs() < SAME_UNIT;
    ScanUnit::ALL.into_iter().filter(|_| off).find(near)
}
