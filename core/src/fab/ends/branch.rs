//! Branches: ends that sit on the skin of another run.

use super::SeatedEnd;
use crate::fab::build::Built;
use crate::model::Project;

/// Shapes the ends that sit on other runs.
pub(super) fn fit(_project: &Project, _ends: &[SeatedEnd], _all: &mut [Built]) {}
