//! The ways a shop can make the bends of a run: elbows in stock by their radii, and slices.

use super::task::{BendRule, Bending};
use pipeloft_core::fab::Mitre;
use pipeloft_core::geom::tolerance::{ELBOW_SHORT_RAD, SAME_OD_MM};
use pipeloft_core::model::{BendMake, ElbowStock, Ends, Project, Run, RunEnd, Tube};

/// A way to make bends.
#[derive(Debug, Clone, PartialEq)]
pub enum Way {
    /// From elbows in stock of one radius, each bend from the smallest that will do.
    Elbows {
        /// Centreline radius, mm.
        clr_mm: f64,
    },
    /// From slices.
    Mitred {
        /// Centreline radius, mm.
        clr_mm: f64,
        /// How the ends are made.
        ends: Ends,
    },
}

/// Elbows whose radii differ by less are of one radius, mm.
const SAME_CLR_MM: f64 = 0.1;

/// Bends of slices turn no more than this, rad: nobody saws a hairpin.
const MOST_MITRED_RAD: f64 = 150.0 * std::f64::consts::PI / 180.0;

/// Largest saw angle of slices, degrees: four welds to a square bend (common practice, no source).
const MOST_SAW_DEG: f64 = 11.25;

/// Radius of slices where nothing says another, in diameters of the tube (common practice, no source).
const USUAL_RADIUS: f64 = 1.5;

impl Way {
    /// Centreline radius, mm.
    pub fn clr_mm(&self) -> f64 {
        match self {
            Self::Elbows { clr_mm } | Self::Mitred { clr_mm, .. } => *clr_mm,
        }
    }

    /// Whether bends are sawn.
    pub fn is_mitred(&self) -> bool {
        matches!(self, Self::Mitred { .. })
    }

    /// All ways there are for a run: those of its elbows first, from the tightest on, then slices of the radius its own
    /// bends have, or a usual one.
    pub fn all(project: &Project, run: &Run) -> Vec<Self> {
        let Some(tube) = project.tube(run.tube) else { return Vec::new() };
        let mut radii: Vec<f64> = fitting(project, tube).map(|e| e.clr_mm).collect();
        radii.sort_by(f64::total_cmp);
        radii.dedup_by(|a, b| (*a - *b).abs() < SAME_CLR_MM);
        let mut out: Vec<Self> = radii.into_iter().map(|clr_mm| Self::Elbows { clr_mm }).collect();
        let mitred = own_mitred(run).unwrap_or((tube.od_mm * USUAL_RADIUS, Ends::Half));
        out.push(Self::Mitred { clr_mm: mitred.0, ends: mitred.1 });
        out
    }

    /// What it asks of a bend.
    pub(super) fn rule(&self, project: &Project, run: &Run) -> Option<BendRule> {
        let tube = project.tube(run.tube)?;
        match self {
            Self::Elbows { clr_mm } => {
                let most_rad =
                    of_radius(project, tube, *clr_mm).map(ElbowStock::angle_rad).reduce(f64::max)?;
                let most_rad = most_rad.min(MOST_MITRED_RAD);
                Some(BendRule { clr_mm: *clr_mm, bending: Bending::Elbow, most_rad })
            }
            Self::Mitred { clr_mm, ends } => Some(BendRule {
                clr_mm: *clr_mm,
                bending: Bending::Mitred {
                    most_saw_rad: most_saw_rad(project),
                    least_welds: Mitre::least_welds(*ends),
                },
                most_rad: MOST_MITRED_RAD,
            }),
        }
    }

    /// How a bend of so much is made.
    pub(super) fn make(&self, project: &Project, run: &Run, angle_rad: f64) -> Option<BendMake> {
        let tube = project.tube(run.tube)?;
        match self {
            Self::Elbows { clr_mm } => {
                let enough = |e: &&ElbowStock| e.angle_rad() + ELBOW_SHORT_RAD >= angle_rad;
                let best = of_radius(project, tube, *clr_mm).filter(enough);
                let least = best.min_by(|a, b| {
                    let other_metal = |e: &ElbowStock| e.material != tube.material;
                    other_metal(a).cmp(&other_metal(b)).then(a.angle_deg.total_cmp(&b.angle_deg))
                });
                Some(BendMake::Elbow { elbow: least?.id })
            }
            Self::Mitred { clr_mm, ends } => {
                let welds = self.rule(project, run)?.bending.welds(angle_rad);
                Some(BendMake::mitred(*clr_mm, welds, *ends))
            }
        }
    }

    /// The way in words, with the radius as a number of millimetres.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Elbows { .. } => "elbow",
            Self::Mitred { .. } => "mitred",
        }
    }
}

fn most_saw_rad(project: &Project) -> f64 {
    MOST_SAW_DEG.min(project.settings.saw.most_deg).to_radians()
}

/// Elbows that fit a tube and can be welded to it.
fn fitting<'a>(project: &'a Project, tube: &'a Tube) -> impl Iterator<Item = &'a ElbowStock> {
    project.elbows.iter().filter(|e| {
        (e.od_mm - tube.od_mm).abs() <= SAME_OD_MM
            && e.material.welds_to(tube.material)
            && e.clr_mm >= tube.od_mm / 2.0
    })
}

fn of_radius<'a>(project: &'a Project, tube: &'a Tube, clr_mm: f64) -> impl Iterator<Item = &'a ElbowStock> {
    fitting(project, tube).filter(move |e| (e.clr_mm - clr_mm).abs() < SAME_CLR_MM)
}

/// Radius and ends of the first bend of a run that is made of slices.
fn own_mitred(run: &Run) -> Option<(f64, Ends)> {
    let last = match run.end {
        RunEnd::Hardpoint { corner, .. } => Some(corner.make),
        RunEnd::Open { .. } => None,
    };
    let mut all =
        std::iter::once(run.start_corner.make).chain(run.waypoints.iter().map(|w| w.make)).chain(last);
    all.find_map(|make| match make {
        BendMake::Mitred { clr_mm, ends, .. } => Some((clr_mm, ends)),
        BendMake::Elbow { .. } => None,
    })
}

/// What a bend as it is made asks, where it stays as it is.
pub(super) fn rule_of(project: &Project, make: BendMake) -> Option<BendRule> {
    match make {
        BendMake::Elbow { elbow } => {
            let stock = project.elbow(elbow)?;
            Some(BendRule { clr_mm: stock.clr_mm, bending: Bending::Elbow, most_rad: stock.angle_rad() })
        }
        BendMake::Mitred { clr_mm, welds, ends, .. } => Some(BendRule {
            clr_mm,
            bending: Bending::Fixed { welds },
            most_rad: MOST_MITRED_RAD
                .min(2.0 * f64::from(welds.max(Mitre::least_welds(ends))) * max_saw(project)),
        }),
    }
}

fn max_saw(project: &Project) -> f64 {
    project.settings.saw.most_deg.to_radians()
}
