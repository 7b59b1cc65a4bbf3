//! How far a run is likely to miss its end, in the units of the report file.

use super::names::ErrorForm;
use crate::fab::Built;
use crate::fab::forecast::{ErrorOf, Forecast, forecast};
use crate::model::{Project, Run};
use crate::units::{UnitSystem, length};
use glam::DVec3;
use serde::Serialize;

/// Errors that are listed.
const LISTED: usize = 5;

/// One error and what it does at the end.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ErrorReport {
    /// What it is of.
    pub what: ErrorForm,
    /// Mark of the piece or weld; of the first piece cut with a setting of the saw.
    pub at: String,
    /// How far it moves the end, mm, one standard deviation.
    pub offset_mm: f64,
}

/// What is to be expected of a run, each one standard deviation.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ForecastReport {
    /// Of where it ends along the project's axes, mm.
    pub offset_mm: DVec3,
    /// Distance of the end from where it is drawn, mm (root mean square).
    pub distance_mm: f64,
    /// The end misses by less than this at least 19 times of 20, mm.
    pub rarely_more_mm: f64,
    /// Of its direction, degrees.
    pub angle_deg: f64,
    /// Covariance of where it ends, mm².
    pub covariance: [[f64; 3]; 3],
    /// What stays of the distance where joints that turn freely are turned to where it fits best, mm.
    pub turned_mm: f64,
    /// What matters most, the most first.
    pub most: Vec<ErrorReport>,
    /// Mark of the weld that is fitted last; none where no weld is.
    pub fit_weld: Option<String>,
    /// Length to leave there so that it is long enough all round 19 times of 20, the cut included, mm.
    pub trim_mm: Option<f64>,
}

/// The forecast of a built run; `fit` is the index of the weld fitted last. None where it cannot be built.
pub(super) fn expect(
    project: &Project,
    run: &Run,
    built: &Built,
    fit: Option<usize>,
) -> Option<ForecastReport> {
    let weld = fit.and_then(|w| built.welds.get(w));
    let expected = forecast(project, run, built, weld.map(|w| w.before))?;
    Some(of(&expected, weld.map(|w| w.mark.clone())))
}

fn of(expected: &Forecast, fit_weld: Option<String>) -> ForecastReport {
    let c = expected.covariance;
    let one = |(i, offset_mm): &(usize, f64)| {
        let source = &expected.sources[*i];
        let what = match source.of {
            ErrorOf::Length => ErrorForm::Length,
            ErrorOf::Saw => ErrorForm::Saw,
            ErrorOf::Clock => ErrorForm::Clock,
            ErrorOf::Elbow => ErrorForm::Elbow,
            ErrorOf::Pull => ErrorForm::Pull,
            ErrorOf::Shrink => ErrorForm::Shrink,
        };
        ErrorReport { what, at: source.mark.clone(), offset_mm: *offset_mm }
    };
    ForecastReport {
        offset_mm: DVec3::new(c.x_axis.x, c.y_axis.y, c.z_axis.z).map(f64::sqrt),
        distance_mm: expected.distance_mm(),
        rarely_more_mm: expected.rarely_more_mm(),
        angle_deg: expected.lean_rad.to_degrees(),
        covariance: c.to_cols_array_2d(),
        turned_mm: expected.turned_mm,
        most: expected.most.iter().take(LISTED).map(one).collect(),
        fit_weld,
        trim_mm: expected.trim_mm,
    }
}

impl ForecastReport {
    /// How far off the end is likely to be, in a sentence.
    pub fn end_text(&self, units: UnitSystem) -> String {
        let off = length(self.rarely_more_mm, units);
        format!("Built as printed, the end is less than {off} off 19 times of 20.")
    }

    /// What is to be expected, what matters most and what to leave, in sentences.
    pub fn text(&self, units: UnitSystem) -> String {
        let mm = |mm: f64| length(mm, units);
        let end = self.end_text(units);
        let most = self
            .most
            .first()
            .map_or_else(String::new, |m| format!(" Most of it comes from the {} at {}.", m.what, m.at));
        let trim = self.fit_weld.as_ref().zip(self.trim_mm).map_or_else(String::new, |(weld, trim)| {
            format!(" With {} to trim at {weld} it closes 19 times of 20.", mm(trim))
        });
        end + &most + &trim
    }
}
