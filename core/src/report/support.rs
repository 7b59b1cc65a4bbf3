//! What holds a run: how long it is without a support, and where a hot one is held fast with nothing that gives.
//!
//! These are lengths to know. Nothing here says whether a support is strong enough.

use crate::fab::bar::built::BuiltBar;
use crate::fab::bar::expansion::expansion;
use crate::fab::bar::note::unsupported;
use crate::fab::bar::{BarNote, Hold, HotRun, Support};
use crate::fab::{Built, Piece, PieceKind};
use crate::geom::tolerance::NO_LENGTH_MM;
use crate::model::{Attachment, HardpointId, Holding, Onto, PartKind, Project, Run, RunEnd};
use crate::units::{UnitSystem, length, plain_number};
use serde::Serialize;

/// How much hotter than cold growth is told for, °C.
const HOTTER_C: f64 = 100.0;

/// Temperature whose mean coefficient of expansion is taken, °C: what exhaust tube gets to (common practice, no
/// source); the coefficients of cooler ones are smaller.
const HOT_C: f64 = 600.0;

/// A part of a hot run that is held fast at both ends with nothing that gives.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HeldReport {
    /// Where it begins, mm along the run.
    pub from_mm: f64,
    /// Where it ends, mm along the run.
    pub to_mm: f64,
    /// What it would grow for each 100 °C if it could, mm; where tubes of several metals follow each other, as the one
    /// that grows most.
    pub growth_mm: f64,
}

/// What holds a run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SupportReport {
    /// How many places hold it: faces of parts it is fixed to, brackets that are tied to something, bars that sit on it.
    pub supports: usize,
    /// Its longest part without a support, mm.
    pub longest_mm: f64,
    /// Whether that part is held at one end only, or at none.
    pub overhang: bool,
    /// Parts that are held fast, of a hot run.
    pub held: Vec<HeldReport>,
    /// All of it as sentences.
    pub notes: Vec<String>,
}

/// Whether a piece is a joint that gives.
fn is_flexible(project: &Project, piece: &Piece) -> bool {
    matches!(piece.kind, PieceKind::Joint(id) if project.joint(id).is_some_and(|j| j.style.is_flexible()))
}

/// Whether a face is that of a part which holds the run: not another pipe's side, nor a hole it passes through.
fn holds(project: &Project, id: HardpointId) -> bool {
    let port = project.hardpoint(id).filter(|port| port.seat.is_none());
    port.is_some_and(|port| match port.attachment {
        Attachment::Welded | Attachment::Joint { .. } => true,
        Attachment::Loose => false,
    })
}

/// Whether a hardpoint is on the side of another pipe or in a merge.
fn sits(project: &Project, id: HardpointId) -> bool {
    project.hardpoint(id).is_some_and(|port| port.seat.is_some())
}

fn end_of(run: &Run) -> Option<HardpointId> {
    match run.end {
        RunEnd::Hardpoint { hardpoint, .. } => Some(hardpoint),
        RunEnd::Open { .. } => None,
    }
}

/// What holds the built run; `None` where there are no pieces.
pub(super) fn support(
    project: &Project,
    run: &Run,
    built: &Built,
    bars: &[BuiltBar],
) -> Option<SupportReport> {
    let (first, last) = (built.pieces.first()?, built.pieces.last()?);
    let mut total_mm = 0.0;
    let mut starts = Vec::with_capacity(built.pieces.len());
    for piece in &built.pieces {
        starts.push(total_mm);
        total_mm += piece.centre_mm;
    }
    let length_mm = total_mm.max(0.0);
    let on = |mm: f64| mm.clamp(0.0, length_mm);
    let mut supports = Vec::new();
    let faces = [
        (Some(run.start), 0.0, first),
        match run.end {
            RunEnd::Hardpoint { hardpoint, .. } => (Some(hardpoint), length_mm, last),
            RunEnd::Open { .. } => (None, length_mm, last),
        },
    ];
    for (port, station_mm, piece) in faces {
        if port.is_some_and(|port| holds(project, port)) {
            let hold = if is_flexible(project, piece) { Hold::Sliding } else { Hold::Fixed };
            supports.push(Support { station_mm, hold });
        }
    }
    for part in &built.parts {
        let entered = run.parts.iter().find(|p| p.id == part.id);
        let Some(PartKind::Bracket(bracket)) = entered.map(|p| &p.kind) else { continue };
        if let (Some(held), Some(from)) = (bracket.held, starts.get(part.piece)) {
            let hold = match held.holding {
                Holding::Fixed => Hold::Fixed,
                Holding::Sliding => Hold::Sliding,
            };
            supports.push(Support { station_mm: on(from + part.along_mm), hold });
        }
    }
    // a bar that is welded on holds it
    for (bar, made) in project.bars.iter().zip(bars).filter(|(_, made)| made.is_buildable()) {
        for (end, seat) in bar.ends.iter().zip(made.numbers.iter().flat_map(|n| &n.seats)) {
            if end.make.onto() == Some(Onto::Run(run.id)) && seat.is_some() {
                let near = built.solids.iter().filter(|s| !s.lobe).filter_map(|s| {
                    let (along_mm, off_mm) = s.solid.nearest_on_middle(end.position_mm)?;
                    Some((s.span_mm.0 + along_mm, off_mm))
                });
                let nearest = near.min_by(|a, b| a.1.total_cmp(&b.1));
                supports.extend(nearest.map(|(mm, _)| Support { station_mm: on(mm), hold: Hold::Fixed }));
            }
        }
    }
    let stations: Vec<f64> = supports.iter().map(|s| s.station_mm).collect();
    let parts = unsupported(length_mm, &stations).ok()?;
    let longest = parts.iter().rev().max_by(|a, b| a.length_mm().total_cmp(&b.length_mm()))?;
    let joints = built.pieces.iter().zip(&starts).filter(|(piece, _)| is_flexible(project, piece));
    let flexible_mm = joints.map(|(piece, from)| on(from + piece.centre_mm / 2.0)).collect();
    let mut out = SupportReport {
        supports: supports.len(),
        longest_mm: longest.length_mm(),
        overhang: longest.overhang,
        held: if run.service.is_hot() {
            held(project, run, length_mm, &supports, flexible_mm)
        } else {
            Vec::new()
        },
        notes: Vec::new(),
    };
    let units = project.settings.units;
    out.notes.push(match out.supports {
        0 if [Some(run.start), end_of(run)].into_iter().flatten().any(|port| sits(project, port)) => {
            "Only the pipe it is welded to holds it: no part it is fixed to, no bracket that is tied to something, no bar."
                .to_owned()
        }
        0 => {
            "Nothing that is entered holds it: no part it is fixed to, no bracket that is tied to something, no bar."
                .to_owned()
        }
        _ => BarNote::Unsupported { length_mm: out.longest_mm, overhang: out.overhang }.text(units),
    });
    out.notes.extend(out.held.iter().map(|held| words(held, units)));
    Some(out)
}

fn held(
    project: &Project,
    run: &Run,
    length_mm: f64,
    supports: &[Support],
    flexible_mm: Vec<f64>,
) -> Vec<HeldReport> {
    // where it goes on in another metal, the one that grows most
    let tubes = std::iter::once(run.tube).chain(run.tapers.iter().map(|t| t.tube));
    let coefficients = tubes.filter_map(|id| Some(expansion(project.tube(id)?.material, HOT_C).per_k));
    let Some(per_k) = coefficients.max_by(f64::total_cmp) else { return Vec::new() };
    let hot =
        HotRun { length_mm, supports: supports.to_vec(), flexible_mm, per_k, cold_c: 0.0, hot_c: HOTTER_C };
    let spans = hot.spans().unwrap_or_default();
    let fast = spans.iter().filter(|span| span.held() && span.length_mm() > NO_LENGTH_MM);
    fast.map(|s| HeldReport { from_mm: s.from_mm, to_mm: s.to_mm, growth_mm: s.growth_mm }).collect()
}

fn words(held: &HeldReport, units: UnitSystem) -> String {
    let (from, to) = (length(held.from_mm, units), length(held.to_mm, units));
    let (growth, hotter) = match units {
        UnitSystem::Millimetre => (format!("{} mm", plain_number(held.growth_mm, 1)), "100 °C"),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => {
            (format!("{}\"", plain_number(held.growth_mm / 25.4, 3)), "180 °F")
        }
    };
    format!(
        "From {from} to {to} along it this hot pipe is held fast at both ends with nothing that gives, and would grow by \
         {growth} for each {hotter}: let one support slide, or put a flexible joint between. What bends take up and what \
         the supports bear is for a qualified person to decide."
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::{Edit, apply, new_item};
    use crate::model::{Bracket, Held, JointStyle, Material, Part, Service};
    use crate::report::Report;
    use crate::testing::run_through;
    use approx::assert_relative_eq;
    use glam::DVec3;

    /// A bend between two legs of half a metre, of 304, welded at both ends.
    fn welded(service: Service) -> Project {
        let corner = DVec3::X * 500.0;
        let (mut project, _) = run_through(&[DVec3::ZERO, corner, corner + DVec3::Y * 500.0]);
        project.tubes[0].material = Material::Stainless304;
        project.hardpoints.iter_mut().for_each(|port| port.attachment = Attachment::Welded);
        project.runs[0].service = service;
        project
    }

    /// What holds the run, and how long it is.
    fn told(project: &Project) -> (SupportReport, f64) {
        let report = Report::new(project);
        let run = &report.runs[0];
        (run.support.clone().unwrap_or_else(|| panic!("{:?}", report.findings)), run.centreline_mm)
    }

    fn with_bracket(project: &Project, holding: Option<Holding>) -> Project {
        let mut project = project.clone();
        let held = holding.map(|holding| Held { body: project.bodies[0].id, holding });
        let bracket = Bracket { along_mm: 40.0, thick_mm: 4.0, height_mm: 30.0, held };
        let mut run = project.runs[0].clone();
        let part = new_item::part(&mut project, &run, PartKind::Bracket(bracket));
        run.parts.push(Part { leg: 0, station_mm: 150.0, ..part });
        apply(&project, &Edit::PutRun(run)).unwrap()
    }

    /// Data sheets of 304 give 18.7 millionths per kelvin up to 650 °C: a metre grows by 1.87 mm for each 100 K.
    const PER_MM: f64 = 1.87e-3;

    #[test]
    fn a_hot_pipe_between_two_fixed_faces_is_held_and_a_cold_one_is_not_told_so() {
        let (hot, length_mm) = told(&welded(Service::Exhaust));
        assert_eq!((hot.supports, hot.overhang, hot.held.len(), hot.notes.len()), (2, false, 1, 2));
        assert_relative_eq!(hot.longest_mm, length_mm, epsilon = 1e-9);
        assert_relative_eq!(hot.held[0].growth_mm, PER_MM * length_mm, epsilon = 1e-9);
        let said = format!("{:.1} mm for each 100 °C", PER_MM * length_mm);
        assert!(hot.notes[1].contains(&said), "{:?}", hot.notes);
        let (cold, _) = told(&welded(Service::ChargeAir));
        assert_eq!((cold.held.len(), cold.notes.len()), (0, 1));
    }

    #[test]
    fn brackets_part_it_and_a_sliding_one_holds_nothing_fast() {
        let project = welded(Service::Exhaust);
        let (fixed, length_mm) = told(&with_bracket(&project, Some(Holding::Fixed)));
        assert_eq!((fixed.supports, fixed.held.len()), (3, 2));
        assert_relative_eq!(fixed.longest_mm, length_mm - 150.0, epsilon = 1e-9);
        assert_relative_eq!(fixed.held[0].growth_mm, PER_MM * 150.0, epsilon = 1e-9);
        let (sliding, _) = told(&with_bracket(&project, Some(Holding::Sliding)));
        assert_eq!((sliding.supports, sliding.held.len()), (3, 1));
        let (untied, _) = told(&with_bracket(&project, None));
        assert_eq!((untied.supports, untied.held.len()), (2, 1));
    }

    #[test]
    fn an_end_that_passes_through_a_hole_hangs_over_and_two_of_them_hold_nothing() {
        let mut project = welded(Service::Exhaust);
        project.hardpoints[1].attachment = Attachment::Loose;
        let (one, _) = told(&project);
        assert_eq!((one.supports, one.overhang, one.held.len()), (1, true, 0));
        assert!(one.notes[0].contains("beyond the last one"), "{:?}", one.notes);
        project.hardpoints[0].attachment = Attachment::Loose;
        let (none, _) = told(&project);
        assert_eq!(none.supports, 0);
        assert!(none.notes[0].starts_with("Nothing that is entered"), "{:?}", none.notes);
    }

    #[test]
    fn a_joint_that_gives_frees_it_and_one_that_does_not_leaves_it_held() {
        for style in JointStyle::ALL {
            let mut project = welded(Service::Exhaust);
            let joint = new_item::joint(&mut project);
            project.hardpoints[1].attachment = Attachment::Joint { joint: joint.id, lobe_clock_deg: 0.0 };
            project.joints.push(crate::model::JointKind { style, ..joint });
            let (told, _) = told(&project);
            assert_eq!((told.supports, told.held.len()), (2, usize::from(!style.is_flexible())), "{style:?}");
        }
    }
}
