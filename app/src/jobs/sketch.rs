//! What a job draws over the 3D view, in the vehicle's millimetres.

use crate::theme::Tokens;
use eframe::egui::Color32;
use glam::DVec3;
use pipeloft_core::geom::vector::any_across;
use pipeloft_core::measure::Level;

/// What a stroke or a mark stands for; the theme knows the colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Ink {
    /// What is being entered or shown.
    Main,
    /// Help lines: where a tape lies, an axis.
    Help,
    /// All is well.
    Good,
    /// Look at this.
    Warn,
    /// Wrong, in the way, too close.
    Stop,
}

impl Ink {
    /// The ink for how far a result can be believed.
    pub(crate) fn of(level: Level) -> Self {
        match level {
            Level::Good => Self::Good,
            Level::Doubtful => Self::Warn,
            Level::Bad => Self::Stop,
        }
    }

    pub(crate) fn colour(self, tokens: &Tokens) -> Color32 {
        match self {
            Self::Main => tokens.selected,
            Self::Help => tokens.ink.gamma_multiply(0.75),
            Self::Good => tokens.good,
            Self::Warn => tokens.warn,
            Self::Stop => tokens.stop,
        }
    }
}

/// A line through points in space.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Stroke3 {
    /// The points, mm.
    pub points: Vec<DVec3>,
    /// What it stands for.
    pub ink: Ink,
    /// Width, points of the screen.
    pub width: f32,
}

/// What is drawn over the 3D view.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Sketch {
    /// Lines.
    pub strokes: Vec<Stroke3>,
    /// Marked places with words, which may be empty.
    pub marks: Vec<(DVec3, String, Ink)>,
    /// Words without a mark: a length beside its line.
    pub words: Vec<(DVec3, String, Ink)>,
    /// Places to choose between, each with its words: a click on one is told to the job by its index.
    pub choices: Vec<Choice3>,
}

/// A place that can be chosen by a click in the 3D view.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Choice3 {
    /// The place, mm.
    pub at: DVec3,
    /// What it is.
    pub words: String,
    /// Whether it is the one that is chosen.
    pub chosen: bool,
}

/// Length of an arrow's head as a part of the arrow.
const HEAD: f64 = 0.16;
/// Chords a whole ring is drawn with.
const CHORDS: u32 = 72;

impl Sketch {
    /// Adds a straight line.
    pub(crate) fn line(&mut self, from: DVec3, to: DVec3, ink: Ink) {
        self.strokes.push(Stroke3 { points: vec![from, to], ink, width: 2.0 });
    }

    /// Adds a marked place.
    pub(crate) fn mark(&mut self, at: DVec3, words: impl Into<String>, ink: Ink) {
        self.marks.push((at, words.into(), ink));
    }

    /// Adds words without a mark.
    pub(crate) fn note(&mut self, at: DVec3, words: impl Into<String>, ink: Ink) {
        self.words.push((at, words.into(), ink));
    }

    /// Adds a whole ring about the unit `axis`.
    pub(crate) fn ring(&mut self, centre: DVec3, axis: DVec3, radius_mm: f64, look: (Ink, f32)) {
        let first = any_across(axis);
        self.arc(centre, (first, axis.cross(first)), radius_mm, std::f64::consts::TAU, look);
    }

    /// Adds an arrow of this length along the unit `way`, with a head of four strokes.
    pub(crate) fn arrow(&mut self, from: DVec3, way: DVec3, length_mm: f64, (ink, width): (Ink, f32)) {
        let tip = from + way * length_mm;
        self.strokes.push(Stroke3 { points: vec![from, tip], ink, width });
        let one = any_across(way);
        for aside in [one, -one, way.cross(one), -way.cross(one)] {
            let barb = tip + (aside * 0.4 - way) * (HEAD * length_mm);
            self.strokes.push(Stroke3 { points: vec![tip, barb], ink, width });
        }
    }

    /// Adds an arc about `centre`: from the unit direction `first` it turns by `sweep_rad` towards the unit direction
    /// `across`, which is square to it.
    pub(crate) fn arc(
        &mut self,
        centre: DVec3,
        (first, across): (DVec3, DVec3),
        radius_mm: f64,
        sweep_rad: f64,
        (ink, width): (Ink, f32),
    ) {
        let chords =
            (f64::from(CHORDS) * sweep_rad.abs() / std::f64::consts::TAU).ceil().clamp(1.0, 144.0) as u32;
        let at = |i: u32| {
            let (sin, cos) = (sweep_rad * f64::from(i) / f64::from(chords)).sin_cos();
            centre + (first * cos + across * sin) * radius_mm
        };
        self.strokes.push(Stroke3 { points: (0..=chords).map(at).collect(), ink, width });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arc_ends_where_its_sweep_takes_it() {
        let mut sketch = Sketch::default();
        sketch.arc(DVec3::X, (DVec3::Y, DVec3::Z), 10.0, std::f64::consts::FRAC_PI_2, (Ink::Main, 3.0));
        let points = &sketch.strokes[0].points;
        assert!(points[0].distance(DVec3::new(1.0, 10.0, 0.0)) < 1e-12);
        assert!(points[points.len() - 1].distance(DVec3::new(1.0, 0.0, 10.0)) < 1e-12);
        assert!(points.windows(2).all(|p| p[0].distance(p[1]) < 1.0));
    }
}
