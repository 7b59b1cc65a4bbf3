//! What of a hot run has to keep which gap to what heat harms: where a shield is, its own instead of that of a bare pipe.

use super::subject::{Subject, stretch_of};
use crate::fab::build::PlacedSolid;
use crate::geom::Solid;
use crate::model::Obstacle;
use crate::space::Gap;

/// Solids that have to keep one gap.
pub(super) struct Group {
    /// The gap, mm.
    pub(super) required_mm: f64,
    /// The solids with what they belong to.
    pub(super) placed: Vec<PlacedSolid>,
    /// The same solids alone.
    pub(super) bare: Vec<Solid>,
    /// For pipe in a shield that does not go all round, which small part that is and what is asked for behind it, mm.
    behind: Option<(usize, f64)>,
}

impl Group {
    fn new(required_mm: f64, placed: Vec<PlacedSolid>, behind: Option<(usize, f64)>) -> Self {
        let bare = placed.iter().map(|p| p.solid).collect();
        Self { required_mm, placed, bare, behind }
    }

    /// What is asked for where this gap is: less where the shield lies between.
    pub(super) fn required_for(&self, gap: &Gap, subject: &Subject<'_>) -> f64 {
        match self.behind {
            Some((shield, cold_mm)) if subject.built.parts[shield].shields(gap.on_second) => cold_mm,
            Some(_) | None => self.required_mm,
        }
    }
}

/// Whether heat asks for more at the obstacle and the run has shields.
pub(super) fn is_shielded(subject: &Subject<'_>, obstacle: &Obstacle, required_mm: f64) -> bool {
    required_mm > obstacle.gap_mm && subject.built.parts.iter().any(|p| p.shield.is_some())
}

/// The most that anything of the run has to keep to the obstacle, mm: a shield may ask for more than bare pipe.
pub(super) fn most_asked_mm(subject: &Subject<'_>, obstacle: &Obstacle, required_mm: f64) -> f64 {
    if !is_shielded(subject, obstacle, required_mm) {
        return required_mm;
    }
    let shields = subject.built.parts.iter().filter_map(|p| p.shield);
    shields.map(|s| s.hot_gap_mm).fold(required_mm, f64::max)
}

/// `solids` of the run by the gap they have to keep: `hot_mm` for bare pipe, the shield's own for a shield, never less than
/// `cold_mm`. Pipe in a shield that goes all round is behind it and need not be looked at.
pub(super) fn groups(
    subject: &Subject<'_>,
    solids: Vec<PlacedSolid>,
    (hot_mm, cold_mm): (f64, f64),
) -> Vec<Group> {
    let shields: Vec<usize> =
        (0..subject.built.parts.len()).filter(|i| subject.built.parts[*i].shield.is_some()).collect();
    if shields.is_empty() || hot_mm <= cold_mm {
        return vec![Group::new(hot_mm, solids, None)];
    }
    let mut out = Vec::new();
    let is_shield = |p: &PlacedSolid| p.part.is_some_and(|i| subject.built.parts[i].shield.is_some());
    let (of_shields, mut pipe): (Vec<PlacedSolid>, Vec<PlacedSolid>) =
        solids.into_iter().partition(is_shield);
    for index in shields {
        let part = &subject.built.parts[index];
        let Some(shield) = part.shield else { continue };
        let (from, to) = part.span_mm;
        let (mut rest, mut inside) = (Vec::new(), Vec::new());
        for placed in pipe {
            // what stands out of the pipe stands out of its shield
            if placed.part.is_some() {
                rest.push(placed);
                continue;
            }
            rest.extend(stretch_of(&placed, f64::NEG_INFINITY, from));
            inside.extend(stretch_of(&placed, from, to));
            rest.extend(stretch_of(&placed, to, f64::INFINITY));
        }
        pipe = rest;
        if part.stands_out() {
            out.push(Group::new(hot_mm, inside, Some((index, cold_mm))));
        }
        let own = of_shields.iter().filter(|s| s.part == Some(index)).copied().collect();
        out.push(Group::new(cold_mm.max(shield.hot_gap_mm), own, None));
    }
    out.insert(0, Group::new(hot_mm, pipe, None));
    out
}

/// Finds the tightest gap of some solids, with the index of the solid.
pub(super) type Nearest<'a> = dyn Fn(&[Solid]) -> Option<(usize, Gap)> + 'a;

/// The gap with the least left beyond what is asked for, the group and the solid in it, and what is asked for there.
pub(super) fn tightest_of<'a>(
    groups: &'a [Group],
    nearest: &Nearest<'_>,
    subject: &Subject<'_>,
) -> Option<(&'a Group, usize, Gap, f64)> {
    let each = groups.iter().filter_map(|group| {
        let (index, gap) = nearest(&group.bare)?;
        let required_mm = group.required_for(&gap, subject);
        Some((group, index, gap, required_mm))
    });
    each.min_by(|a, b| (a.2.gap_mm - a.3).total_cmp(&(b.2.gap_mm - b.3)))
}
