//! Merges: ends of several runs brought together.

use super::SeatedEnd;
use crate::fab::build::Built;
use crate::model::Project;

/// Shapes the ends that come into merges.
pub(super) fn fit(_project: &Project, _ends: &[SeatedEnd], _all: &mut [Built]) {}
