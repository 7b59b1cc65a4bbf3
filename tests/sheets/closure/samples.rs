//! Runs as fabricators draw them, the same on every machine.

use glam::DVec3;
use pipeloft_core::finding::Severity;
use pipeloft_core::model::{BendMake, Ends, Fitting, FittingId, JointId, JointKind, JointStyle, Project};
use pipeloft_core::report::Report;
use pipeloft_core::units::UnitSystem;
use pipeloft_tests::shop::{COUPLER, ELBOW, full, half, run_through, shop};

/// A slip joint whose tubes lie an inch inside each other.
const SLIP: JointId = JointId(13);

/// Numbers that look random: the 64-bit generator of Knuth's MMIX (from memory).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn roll(&mut self, from: f64, to: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        from + (to - from) * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64)
    }

    fn below(&mut self, n: u32) -> u32 {
        self.roll(0.0, f64::from(n)) as u32
    }
}

/// A shop that works in `units`, with a slip joint and an elbow that reaches round most bends.
pub(crate) fn bench(units: UnitSystem) -> Project {
    let mut project = shop(63.5, 1.65);
    project.settings.units = units;
    project.settings.shortest_throat_mm = 3.0;
    project.settings.saw.step_deg = 0.1;
    project.elbows[0].angle_deg = 120.0;
    let coupler = project.joints[0].clone();
    let slip = JointKind {
        id: SLIP,
        name: "Slip joint".to_owned(),
        style: JointStyle::SlipJoint,
        make_up_mm: -25.4,
        lobe: None,
        welded: false,
        ..coupler
    };
    project.joints.push(slip);
    project
}

fn make(dice: &mut Dice) -> BendMake {
    match dice.below(5) {
        0 => BendMake::Elbow { elbow: ELBOW },
        1 => full(dice.roll(70.0, 110.0), 3 + dice.below(4)),
        2 => {
            let saw_deg = Some([5.0, 7.5, 11.25][dice.below(3) as usize]);
            BendMake::Mitred { clr_mm: 95.25, welds: 1, ends: Ends::Half, throat_mm: None, saw_deg }
        }
        _ => half(dice.roll(70.0, 110.0), 2 + dice.below(5)),
    }
}

/// A run of `bends` bends, or nothing where the dice drew one that cannot be cut.
fn draw(dice: &mut Dice, bends: u32, mut project: Project) -> Option<Project> {
    let mut points = vec![DVec3::ZERO];
    let mut way = DVec3::X;
    for i in 0..=bends as usize {
        points.push(points[i] + way * dice.roll(140.0, 420.0));
        let side = way.any_orthonormal_vector();
        let (turn, clock) = (dice.roll(10.0, 100.0).to_radians(), dice.roll(-3.1, 3.1));
        let side = side * clock.cos() + way.cross(side) * clock.sin();
        way = way * turn.cos() + side * turn.sin();
    }
    let first = make(dice);
    run_through(&mut project, &points, first);
    // 12 o'clock at the start is as anyone has it, not where the numbers come out even
    project.hardpoints[0].clock = DVec3::new(dice.roll(-1.0, 1.0), dice.roll(-1.0, 1.0), 2.0);
    for vertex in project.runs[0].vertices() {
        project.runs[0].set_make(vertex, make(dice));
    }
    for (leg, joint) in [(0, COUPLER), (bends as usize, SLIP)] {
        if dice.below(2) == 0 {
            project.runs[0].fittings.push(Fitting {
                id: FittingId(project.next_id),
                joint,
                leg,
                station_mm: dice.roll(20.0, 60.0),
                lobe_clock_deg: dice.roll(-180.0, 180.0),
            });
            project.next_id += 1;
        }
    }
    let stopped = |r: &Report| r.findings.iter().any(|f| f.severity == Severity::Stop);
    (!stopped(&Report::new(&project))).then_some(project)
}

/// `count` runs of two to eight bends, as many of each number, drawn into copies of `project`.
pub(crate) fn runs(count: usize, seed: u64, project: &Project) -> Vec<Project> {
    let mut dice = Dice(seed);
    let mut out = Vec::with_capacity(count);
    while out.len() < count {
        let bends = 2 + out.len() as u32 % 7;
        out.extend(draw(&mut dice, bends, project.clone()));
    }
    out
}
