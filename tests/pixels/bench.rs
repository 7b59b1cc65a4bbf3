//! A scene with one of everything.

use glam::DVec3;
use pipeloft_core::geom::{Barrel, Block, Drum, Elbow, Frame, Solid};
use pipeloft_core::model::{BodyId, HardpointId, Hole, Item, Material, ObstacleId, Pose, RunId, Shape};
use pipeloft_core::view3d::{Glow, Part, Scene, SceneItem, Shade, Tint};
use std::f64::consts::FRAC_PI_2;

const RADIUS: f64 = 38.1;

/// Points on top of the selected run and of the piece that is too close.
pub(crate) const ON_SELECTED: DVec3 = DVec3::new(-160.0, -170.0, 300.0 + RADIUS);
pub(crate) const ON_TOO_CLOSE: DVec3 = DVec3::new(600.0, -60.0, 40.0 + RADIUS);

fn shade(tint: Tint, glow: Glow) -> Shade {
    Shade { tint, glow }
}

fn metal(material: Material, glow: Glow) -> Shade {
    shade(Tint::Metal(material), glow)
}

/// Puts a run together piece by piece.
struct Maker {
    at: Frame,
    normal: DVec3,
    look: Shade,
    parts: Vec<Part>,
}

impl Maker {
    fn new(at: Frame, look: Shade) -> Self {
        Self { at, normal: at.travel, look, parts: Vec::new() }
    }

    /// A straight that ends in a mitre of `bend_rad` at a clock angle, with its seam.
    fn straight(&mut self, length_mm: f64, clock: f64, bend_rad: f64) {
        let end = self.at.forward(length_mm);
        let half = end.tilted(clock, bend_rad / 2.0);
        let barrel = Barrel {
            start: self.at,
            length_mm,
            radius_mm: RADIUS,
            start_normal: self.normal,
            end_normal: half.travel,
        };
        self.parts.push(Part::Solid(Solid::Barrel(barrel), self.look));
        (self.at, self.normal) = (end.tilted(clock, bend_rad), half.travel);
    }

    fn seam(&mut self) {
        let shade = shade(Tint::Weld, self.look.glow);
        self.parts.push(Part::Seam { frame: self.at, normal: self.normal, radius_mm: RADIUS, shade });
    }

    /// A bend of four mitred cuts.
    fn pie(&mut self, clock: f64, bend_rad: f64) {
        self.seam();
        for _ in 0..3 {
            self.straight(34.0, clock, bend_rad / 4.0);
            self.seam();
        }
    }

    fn elbow(&mut self, clock: f64, angle_rad: f64) {
        self.seam();
        let clr_mm = 1.5 * 2.0 * RADIUS;
        let elbow =
            Elbow { start: self.at, toward: self.at.at_clock(clock), clr_mm, angle_rad, radius_mm: RADIUS };
        self.parts.push(Part::Solid(Solid::Elbow(elbow), self.look));
        self.at = self.at.around(clock, clr_mm, angle_rad);
        self.normal = self.at.travel;
        self.seam();
    }

    /// A clamp joint with its nut at a clock angle.
    fn joint(&mut self, clock: f64) {
        let glow = self.look.glow;
        let drum = Drum { start: self.at, length_mm: 32.0, radius_mm: RADIUS + 9.0 };
        self.parts.push(Part::Solid(Solid::Drum(drum), shade(Tint::Joint, glow)));
        let middle = self.at.forward(16.0);
        let out = middle.at_clock(clock);
        let block = Block {
            centre: middle.origin + out * (RADIUS + 20.0),
            axes: [middle.travel, out, middle.travel.cross(out)],
            half_mm: DVec3::new(11.0, 13.0, 20.0),
        };
        self.parts.push(Part::Solid(Solid::Block(block), shade(Tint::Lobe, glow)));
        self.at = self.at.forward(32.0);
    }
}

fn run(at: Frame, look: Shade) -> Vec<Part> {
    let mut m = Maker::new(at, look);
    m.straight(160.0, FRAC_PI_2, FRAC_PI_2 / 4.0);
    m.pie(FRAC_PI_2, FRAC_PI_2);
    m.straight(150.0, 0.0, 0.0);
    m.joint(0.6);
    m.straight(90.0, 0.0, 0.0);
    m.elbow(-FRAC_PI_2, FRAC_PI_2);
    m.straight(120.0, 0.0, 0.0);
    m.parts
}

/// Obstacles with their middles.
fn obstacles() -> Vec<(Shape, Pose, Tint)> {
    let at = |x, y, z, turn_deg| Pose { position_mm: DVec3::new(x, y, z), turn_deg };
    let hole = |x_mm, y_mm, diameter_mm| Hole { x_mm, y_mm, diameter_mm };
    let holes = vec![
        hole(-70.0, 30.0, 100.0),
        hole(60.0, 20.0, 60.0),
        hole(95.0, -10.0, 50.0),
        hole(150.0, 90.0, 80.0),
    ];
    vec![
        (
            Shape::Box { size_mm: DVec3::new(180.0, 120.0, 90.0) },
            at(420.0, 260.0, 45.0, DVec3::Z * 20.0),
            Tint::Obstacle,
        ),
        (
            Shape::Cylinder { diameter_mm: 110.0, length_mm: 200.0 },
            at(120.0, 330.0, 100.0, DVec3::ZERO),
            Tint::Obstacle,
        ),
        (
            Shape::Capsule { diameter_mm: 26.0, length_mm: 420.0 },
            at(480.0, -80.0, 40.0, DVec3::new(0.0, 90.0, 35.0)),
            Tint::HeatSensitive,
        ),
        (Shape::Sphere { diameter_mm: 90.0 }, at(-80.0, 200.0, 45.0, DVec3::ZERO), Tint::HeatSensitive),
        (
            Shape::Panel { width_mm: 300.0, height_mm: 180.0, thickness_mm: 3.0, holes },
            at(-160.0, -140.0, 110.0, DVec3::new(90.0, 0.0, 60.0)),
            Tint::Obstacle,
        ),
        (Shape::HalfSpace, at(-330.0, 0.0, 0.0, DVec3::new(0.0, 90.0, 0.0)), Tint::Obstacle),
    ]
}

/// Where the bodies of the obstacles are, by name.
pub(crate) fn middles() -> Vec<(&'static str, DVec3)> {
    let solid = |s: &Shape| !matches!(s, Shape::HalfSpace | Shape::Panel { .. });
    obstacles().into_iter().filter(|o| solid(&o.0)).map(|(s, p, _)| (s.kind_name(), p.position_mm)).collect()
}

/// All of it.
pub(crate) fn scene() -> Scene {
    let start = |y: f64, z: f64| Frame::new(DVec3::new(-240.0, y, z), DVec3::X, DVec3::Z);
    let mut items = vec![
        SceneItem {
            item: Item::Run(RunId(1)),
            parts: run(start(0.0, 170.0), metal(Material::Aluminium6061, Glow::None)),
        },
        SceneItem {
            item: Item::Run(RunId(2)),
            parts: run(start(-170.0, 300.0), metal(Material::Stainless304, Glow::Selected)),
        },
    ];
    for (i, (material, glow)) in [
        (Material::Stainless304, Glow::None),
        (Material::MildSteel, Glow::None),
        (Material::TitaniumGrade2, Glow::None),
        (Material::Stainless304, Glow::Hover),
        (Material::MildSteel, Glow::TooClose),
    ]
    .into_iter()
    .enumerate()
    {
        let at = Frame::new(DVec3::new(560.0, 380.0 - 110.0 * i as f64, 40.0), DVec3::X, DVec3::Z);
        let mut m = Maker::new(at, metal(material, glow));
        m.straight(90.0, 0.0, 0.35);
        m.seam();
        m.straight(90.0, 0.0, 0.0);
        items.push(SceneItem { item: Item::Body(BodyId(i as u32)), parts: m.parts });
    }
    for (i, (shape, pose, tint)) in obstacles().into_iter().enumerate() {
        let part = Part::Shape(shape, pose, shade(tint, Glow::None));
        items.push(SceneItem { item: Item::Obstacle(ObstacleId(i as u32)), parts: vec![part] });
    }
    let port = Frame::new(DVec3::new(-240.0, 0.0, 170.0), DVec3::NEG_X, DVec3::Z);
    let port = Part::Port { frame: port, radius_mm: RADIUS + 3.0, shade: shade(Tint::Hardpoint, Glow::None) };
    items.push(SceneItem { item: Item::Hardpoint(HardpointId(1)), parts: vec![port] });
    let rod = |from, to| Part::Rod { from, to, radius_mm: 6.0, shade: shade(Tint::Broken, Glow::None) };
    let corner = DVec3::new(300.0, 80.0, 20.0);
    let parts =
        vec![rod(DVec3::new(200.0, 130.0, 20.0), corner), rod(corner, DVec3::new(330.0, 110.0, 140.0))];
    items.push(SceneItem { item: Item::Run(RunId(3)), parts });
    Scene { items, low: DVec3::new(-330.0, -460.0, 0.0), high: DVec3::new(760.0, 450.0, 345.0) }
}
