//! The usual cautions, shown where they matter.

use crate::model::{Project, Run};

/// A caution and when it applies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Caution {
    /// What it is about, in two or three words.
    pub about: &'static str,
    /// One or two sentences.
    pub text: &'static str,
}

const FUME: Caution = Caution {
    about: "Weld fume",
    text: "Weld in moving air with fume extraction; stainless fume carries chromium. Back-purge stainless and titanium.",
};
const PRESSURE: Caution = Caution {
    about: "Pressure",
    text: "Charge pressure pushes joints apart. Bead the ends, use joints rated for the pressure and temperature, and test behind a guard before running.",
};
const HEAT: Caution = Caution {
    about: "Heat",
    text: "Keep exhaust away from fuel, brake and coolant lines, looms and bodywork, or shield them. Route exhaust gas clear of where people breathe.",
};
const TITANIUM: Caution = Caution {
    about: "Titanium",
    text: "Titanium dust and chips burn: keep the saw and bench clean, no sparks on chips.",
};
const RULES: Caution = Caution {
    about: "Rules",
    text: "Local codes, event rules and a licensed or qualified person decide; these numbers are a layout, not a pressure or strength approval.",
};

/// The cautions that apply to a run, most particular first.
pub fn cautions(project: &Project, run: &Run) -> Vec<Caution> {
    let mut out = Vec::new();
    if run.service.is_hot() {
        out.push(HEAT);
    }
    if run.service.is_pressurised() {
        out.push(PRESSURE);
    }
    out.push(FUME);
    if project.tube(run.tube).is_some_and(|t| t.material == crate::model::Material::TitaniumGrade2) {
        out.push(TITANIUM);
    }
    out.push(RULES);
    out
}
