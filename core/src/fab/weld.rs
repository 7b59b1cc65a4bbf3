//! The welds of a run: where they are, what kind, how long.

use super::piece::{Piece, PieceKind};
use crate::geom::ellipse::cut_face_perimeter;
use crate::model::{JointKind, Project, WeldKey, WeldSide};

/// What meets at a weld.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WeldKind {
    /// Two faces cut at the same angle.
    Mitre,
    /// Two square ends.
    Butt,
    /// A mitred face on a square end: the ellipse stands proud on two sides.
    MitreOnSquare,
    /// Tube to the half of a joint that is welded on.
    Joint,
    /// Tube straight to the part at a hardpoint.
    Part,
    /// A branch on the skin of another run.
    Saddle,
    /// An arm to its neighbours and the outlet of a merge.
    Seam,
}

impl WeldKind {
    /// The word on sheet and screen.
    pub fn name(self) -> &'static str {
        match self {
            Self::Mitre => "mitre",
            Self::Butt => "butt",
            Self::MitreOnSquare => "mitre on square",
            Self::Joint => "joint half",
            Self::Part => "to part",
            Self::Saddle => "saddle",
            Self::Seam => "merge seam",
        }
    }
}

/// One weld.
#[derive(Debug, Clone, PartialEq)]
pub struct Weld {
    /// Mark: the run's letters, W, and its number along the run.
    pub mark: String,
    /// What it is known by; none between pieces of no run.
    pub key: Option<WeldKey>,
    /// What meets.
    pub kind: WeldKind,
    /// Marks of what it joins, in order of travel; a hardpoint goes by its name.
    pub between: [String; 2],
    /// Length round the outside, mm.
    pub length_mm: f64,
    /// Clock angle of the heel mark that is lined up here, rad; `None` where nothing has to be lined up.
    pub heel_clock_rad: Option<f64>,
    /// Which piece it comes before (its index); the number of pieces for one after the last.
    pub before: usize,
}

impl Weld {
    /// The clock angle to line up as `pieces` have it, rad: the same pieces with other numbers.
    pub fn heel_on(&self, pieces: &[Piece]) -> Option<f64> {
        self.heel_clock_rad?;
        let before = self.before.checked_sub(1).and_then(|i| pieces.get(i));
        let after = pieces.get(self.before);
        after.and_then(|p| heel_at(p, false)).or_else(|| before.and_then(|p| heel_at(p, true)))
    }
}

/// Length of the weld between two faces of tube of radius `radius_mm`, mm: the perimeter of the wider cut.
fn face_weld_mm(radius_mm: f64, first_tilt_rad: f64, second_tilt_rad: f64) -> f64 {
    cut_face_perimeter(radius_mm, first_tilt_rad.max(second_tilt_rad))
}

/// Clock angle to line up at the start (or end) of a piece: its cut's heel, or an elbow's outside.
fn heel_at(piece: &Piece, at_end: bool) -> Option<f64> {
    let cut = if at_end { piece.end } else { piece.start };
    cut.heel_clock_rad.or(match piece.kind {
        PieceKind::Elbow(e) => {
            Some(crate::geom::vector::half_open_turn(e.throat_clock_rad + std::f64::consts::PI))
        }
        // one that is set off has to be turned right
        PieceKind::Taper(t) if t.offset_mm > 0.0 => {
            Some(crate::geom::vector::half_open_turn(t.offset_clock_rad))
        }
        PieceKind::Straight | PieceKind::Slice | PieceKind::Joint(_) | PieceKind::Taper(_) => None,
    })
}

fn joint_of<'a>(project: &'a Project, piece: &Piece) -> Option<&'a JointKind> {
    match piece.kind {
        PieceKind::Joint(id) => project.joint(id),
        PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Taper(_) => None,
    }
}

/// All welds of `pieces` in order, without marks. `start_part` and `end_part` name the hardpoint a tube end is welded to.
pub fn welds(
    project: &Project,
    pieces: &[Piece],
    start_part: Option<&str>,
    end_part: Option<&str>,
) -> Vec<Weld> {
    let mut out: Vec<Weld> = Vec::new();
    let side = |piece: &Piece| piece.key.map(|k| WeldSide::Piece(k.place));
    let mut add =
        |kind, between: [&str; 2], sides: [Option<WeldSide>; 2], length_mm, heel_clock_rad, before| {
            let [first, second] = sides;
            out.push(Weld {
                mark: String::new(),
                key: first.zip(second).map(|(before, after)| WeldKey { before, after }),
                kind,
                between: between.map(str::to_owned),
                length_mm,
                heel_clock_rad,
                before,
            });
        };
    if let (Some(part), Some(first)) = (start_part, pieces.first()) {
        add(
            WeldKind::Part,
            [part, &first.mark],
            [Some(WeldSide::Start), side(first)],
            face_weld_mm(first.od_mm / 2.0, 0.0, 0.0),
            heel_at(first, false),
            0,
        );
    }
    for (i, pair) in pieces.windows(2).enumerate() {
        let [a, b] = pair else { continue };
        let r = a.end_od_mm().max(b.od_mm) / 2.0;
        let heel = heel_at(b, false).or(heel_at(a, true));
        let (names, sides) = ([a.mark.as_str(), b.mark.as_str()], [side(a), side(b)]);
        match (joint_of(project, a), joint_of(project, b)) {
            (None, None) => {
                let kind = match (a.end.tilt_rad > 0.0, b.start.tilt_rad > 0.0) {
                    (true, true) => WeldKind::Mitre,
                    (false, false) => WeldKind::Butt,
                    _ => WeldKind::MitreOnSquare,
                };
                add(kind, names, sides, face_weld_mm(r, a.end.tilt_rad, b.start.tilt_rad), heel, i + 1);
            }
            (Some(joint), None) | (None, Some(joint)) => {
                if joint.welded {
                    add(WeldKind::Joint, names, sides, face_weld_mm(r, 0.0, 0.0), heel, i + 1);
                }
            }
            // two joints face to face: nothing to weld
            (Some(_), Some(_)) => {}
        }
    }
    if let (Some(part), Some(last)) = (end_part, pieces.last()) {
        let length = face_weld_mm(last.end_od_mm() / 2.0, 0.0, 0.0);
        let sides = [side(last), Some(WeldSide::End)];
        add(WeldKind::Part, [&last.mark, part], sides, length, heel_at(last, true), pieces.len());
    }
    out
}
