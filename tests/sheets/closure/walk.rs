//! A run laid out from the numbers a fabricator reads, with plain vectors and nothing of the program.

use glam::DVec3;
use std::f64::consts::PI;

/// A cut as it is read: tilt from square, and where its long side lies round the tube.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Cut {
    pub(crate) tilt_deg: f64,
    pub(crate) heel_deg: f64,
}

/// What a piece is and the sizes it is made to.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Shape {
    /// Tube between two cuts, by its long side.
    Sawn { long_mm: f64, start: Cut, end: Cut },
    /// An elbow by its bend angle, radius, own legs, and the clock of its inside.
    Elbow { angle_deg: f64, clr_mm: f64, lead_mm: f64, tail_mm: f64, throat_deg: f64 },
    /// A joint by what lies between the tubes; below zero where they lie inside each other.
    Joint { make_up_mm: f64 },
    /// A taper by its length, the diameter it ends at, how far its end is set off, and the clock it goes towards.
    Taper { length_mm: f64, end_od_mm: f64, off_mm: f64, towards_deg: f64 },
}

/// A piece as it stands on paper.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Piece {
    pub(crate) mark: String,
    pub(crate) shape: Shape,
    /// What is trimmed off when it is fitted.
    pub(crate) trim_mm: f64,
    /// How far the weld before it and the one after it hold the pieces apart: gap less shrinkage, 0 for no weld.
    pub(crate) apart_mm: [f64; 2],
    /// From where its blank ends to where the run ends; below zero where the blank goes on. Only of a run's first or last
    /// piece with an end shaped by a template: tables do not say it, the template does.
    pub(crate) beyond_mm: f64,
}

/// All that stands on paper of a run.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Sheet {
    pub(crate) od_mm: f64,
    pub(crate) pieces: Vec<Piece>,
}

/// A place with the way the pipe goes there and where 12 o'clock is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Place {
    pub(crate) at: DVec3,
    pub(crate) way: DVec3,
    pub(crate) twelve: DVec3,
}

/// `v` turned right-handed about the unit `axis`: Rodrigues' formula.
fn turned(v: DVec3, axis: DVec3, angle: f64) -> DVec3 {
    let (sin, cos) = angle.sin_cos();
    v * cos + axis.cross(v) * sin + axis * (axis.dot(v) * (1.0 - cos))
}

/// Angle between two unit vectors, rad; good for small ones.
fn apart(a: DVec3, b: DVec3) -> f64 {
    a.cross(b).length().atan2(a.dot(b))
}

impl Place {
    /// From a face, the way out of it and any 12 o'clock that is not along it.
    pub(crate) fn new(at: DVec3, way: DVec3, clock: DVec3) -> Self {
        let way = way / way.length();
        let across = clock - way * clock.dot(way);
        Self { at, way, twelve: across / across.length() }
    }

    /// The same place with 12 o'clock further on, degrees clockwise.
    pub(crate) fn clocked(self, deg: f64) -> Self {
        Self { twelve: self.clock(deg), ..self }
    }

    fn on(self, mm: f64) -> Self {
        Self { at: self.at + self.way * mm, ..self }
    }

    /// The direction at a clock angle, clockwise when looking along the pipe.
    fn clock(&self, deg: f64) -> DVec3 {
        // looking along X with Z up, clockwise from the top is to the right, which is −Y = X × Z
        let right = self.way.cross(self.twelve);
        self.twelve * deg.to_radians().cos() + right * deg.to_radians().sin()
    }

    fn turn(self, axis: DVec3, angle: f64) -> Self {
        Self { at: self.at, way: turned(self.way, axis, angle), twelve: turned(self.twelve, axis, angle) }
    }

    /// Through one face of a joint plane: the pipe turns away from the long side by the tilt.
    fn through(self, cut: Cut) -> Self {
        let away = -self.clock(cut.heel_deg);
        self.turn(self.way.cross(away), cut.tilt_deg.to_radians())
    }

    fn round(self, towards_deg: f64, radius_mm: f64, angle: f64) -> Self {
        let towards = self.clock(towards_deg);
        let centre = self.at + towards * radius_mm;
        let axis = self.way.cross(towards);
        Self { at: centre + turned(self.at - centre, axis, angle), ..self.turn(axis, angle) }
    }

    /// Distance in mm and angle in degrees to where the pipe should end.
    pub(crate) fn miss(&self, target: (DVec3, DVec3)) -> (f64, f64) {
        (self.at.distance(target.0), apart(self.way, target.1 / target.1.length()).to_degrees())
    }
}

/// Length on the centreline of tube whose long side is `long_mm`: the two cuts' tapers add as vectors round the
/// clock.
pub(crate) fn centre_mm(long_mm: f64, radius_mm: f64, cuts: [Cut; 2]) -> f64 {
    let part = |c: Cut| {
        let (sin, cos) = c.heel_deg.to_radians().sin_cos();
        DVec3::new(cos, sin, 0.0) * (c.tilt_deg * PI / 180.0).tan()
    };
    long_mm - radius_mm * (part(cuts[0]) + part(cuts[1])).length()
}

impl Piece {
    fn cuts(&self) -> [Cut; 2] {
        match &self.shape {
            Shape::Sawn { start, end, .. } => [*start, *end],
            Shape::Elbow { .. } | Shape::Joint { .. } | Shape::Taper { .. } => [Cut::default(); 2],
        }
    }
}

impl Sheet {
    /// Where the pipe ends when it is made from the paper, starting at `start`.
    pub(crate) fn end(&self, start: Place) -> Place {
        let mut here = start;
        let mut od_mm = self.od_mm;
        for (i, piece) in self.pieces.iter().enumerate() {
            if let Some(before) = i.checked_sub(1) {
                here = here
                    .through(self.pieces[before].cuts()[1])
                    .on(piece.apart_mm[0])
                    .through(piece.cuts()[0]);
            } else {
                here = here.on(piece.apart_mm[0]);
            }
            here =
                match &piece.shape {
                    Shape::Sawn { long_mm, start, end } => {
                        here.on(centre_mm(*long_mm, od_mm / 2.0, [*start, *end]) + piece.beyond_mm
                            - piece.trim_mm)
                    }
                    Shape::Elbow { angle_deg, clr_mm, lead_mm, tail_mm, throat_deg } => {
                        here.on(*lead_mm).round(*throat_deg, *clr_mm, angle_deg.to_radians()).on(*tail_mm)
                    }
                    Shape::Joint { make_up_mm } => here.on(*make_up_mm),
                    Shape::Taper { length_mm, end_od_mm, off_mm, towards_deg } => {
                        od_mm = *end_od_mm;
                        let on = here.on(*length_mm);
                        Place { at: on.at + here.clock(*towards_deg) * *off_mm, ..on }
                    }
                };
        }
        here.on(self.pieces.last().map_or(0.0, |p| p.apart_mm[1]))
    }
}
