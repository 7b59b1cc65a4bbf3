//! New tapers, small parts and bars.

use super::round::{round_kind, round_mm};
use super::{free_name, middle, usual_gap_mm};
use crate::fab::cone::CALM_RAD;
use crate::fab::route::Route;
use crate::fab::spot::{leg_room, longest_straight};
use crate::geom::tolerance::{COINCIDENT_MM, SAME_OD_MM};
use crate::model::{
    Bar, BarEndMake, BarId, BarPoint, Bead, BodyId, Bracket, Bung, BungUse, Eye, Material, Onto, Pad, Part,
    PartId, PartKind, Pin, PinThrough, Project, RodEnd, Run, Screwed, Service, Shield, Socket, Stub, Tab,
    Taper, TaperId, TaperMake, Tube,
};
use crate::units::UnitSystem;
use glam::DVec3;

/// The tube a new taper from `tube` goes to: of the sizes that weld to it the nearest other one.
fn next_size<'a>(project: &'a Project, tube: &Tube) -> Option<&'a Tube> {
    let off = |t: &&Tube| (t.od_mm - tube.od_mm).abs();
    project
        .tubes
        .iter()
        .filter(|t| off(t) > SAME_OD_MM && t.material.welds_to(tube.material))
        .min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// Room left beside a joint, a taper or a part for a new thing, mm.
const BESIDE_MM: f64 = 30.0;

/// The longest stretch of a run that is straight and free of joints, tapers and parts, as a leg and stations of it; where
/// nothing is free the longest straight.
fn longest_free(project: &Project, run: &Run, route: &Route) -> Option<(usize, (f64, f64))> {
    let mut best: Option<(usize, (f64, f64))> = None;
    for leg in 0..route.places.len() {
        let Some((from, to)) = leg_room(route, leg) else { continue };
        let joints = run.fittings.iter().filter(|f| f.leg == leg).map(|f| {
            let half = project.joint(f.joint).map_or(0.0, |j| j.body_width_mm.max(j.make_up_mm) / 2.0);
            (f.station_mm, half)
        });
        let tapers = run.tapers.iter().filter(|t| t.leg == leg).map(|t| (t.station_mm, t.length_mm / 2.0));
        let parts = run
            .parts
            .iter()
            .filter(|p| p.leg == leg && p.turn_deg.is_none())
            .map(|p| (p.station_mm, BESIDE_MM));
        let mut taken: Vec<(f64, f64)> = joints.chain(tapers).chain(parts).collect();
        taken.sort_by(|a, b| a.0.total_cmp(&b.0));
        let begins = std::iter::once(from).chain(taken.iter().map(|(at, half)| at + half + BESIDE_MM));
        let ends = taken.iter().map(|(at, half)| at - half - BESIDE_MM).chain([to]);
        for (a, b) in begins.zip(ends).map(|(a, b)| (a.max(from), b.min(to))) {
            if b - a > best.map_or(2.0 * BESIDE_MM, |(_, (from, to))| to - from + COINCIDENT_MM) {
                best = Some((leg, (a, b)));
            }
        }
    }
    best.or_else(|| longest_straight(route))
}

/// Whether [`taper`] has a size to go to.
pub fn has_taper(project: &Project, run: &Run) -> bool {
    let Ok(route) = crate::fab::trace(project, run) else { return false };
    let free = longest_free(project, run, &route);
    let tube = free.and_then(|(leg, room)| route.tube_on_leg(leg, middle(room)));
    tube.is_some_and(|tube| next_size(project, tube).is_some())
}

/// A taper in the middle of the longest free straight of a run, to the size of tube that welds to it and is nearest to the one
/// the run has there; `None` where there is no such tube or the run has no way.
pub fn taper(project: &mut Project, run: &Run) -> Option<Taper> {
    let route = crate::fab::trace(project, run).ok()?;
    let (leg, (from, to)) = longest_free(project, run, &route)?;
    let station_mm = middle((from, to));
    let tube = route.tube_on_leg(leg, station_mm)?;
    let after = next_size(project, tube)?;
    let wanted_mm = ((after.od_mm - tube.od_mm).abs() / 2.0 / CALM_RAD.tan()).max(10.0).ceil();
    let (to_tube, wall_mm) = (after.id, tube.wall_mm);
    Some(Taper {
        id: TaperId(project.fresh_id()),
        leg,
        station_mm,
        length_mm: wanted_mm.min(((to - from) * 0.8).max(1.0)),
        tube: to_tube,
        wall_mm,
        offset_mm: 0.0,
        offset_clock_deg: 0.0,
        make: TaperMake::Bought,
    })
}

/// The small parts on offer, with sizes that are usual (common practice, no source).
pub fn part_kinds() -> Vec<PartKind> {
    vec![
        PartKind::Bung(Bung {
            purpose: BungUse::ExhaustSensor,
            thread: "M18 × 1.5".to_owned(),
            boss_mm: 25.0,
            height_mm: 12.0,
            hole_mm: 19.0,
            screwed: Some(Screwed { diameter_mm: 22.0, length_mm: 60.0, removal_mm: 40.0 }),
        }),
        PartKind::Stub(Stub {
            od_mm: 38.1,
            wall_mm: 1.65,
            length_mm: 40.0,
            angle_deg: 90.0,
            flange_mm: 64.0,
            flange_thick_mm: 10.0,
            screwed: Some(Screwed { diameter_mm: 70.0, length_mm: 90.0, removal_mm: 20.0 }),
        }),
        PartKind::Bracket(Bracket { along_mm: 40.0, thick_mm: 4.0, height_mm: 30.0, held: None }),
        PartKind::Shield(Shield {
            length_mm: 150.0,
            gap_mm: 10.0,
            thick_mm: 0.8,
            around_deg: 360.0,
            hot_gap_mm: 25.0,
        }),
        PartKind::Bead(Bead { height_mm: 2.0, width_mm: 6.0 }),
    ]
}

/// The same for a run of that service and in round numbers of the project's units: what is screwed into an exhaust and
/// what is screwed into a pipe of cold air are not one (common practice, no source).
pub fn parts_for(service: Service, units: UnitSystem) -> Vec<PartKind> {
    let mut kinds = part_kinds();
    for kind in &mut kinds {
        if let PartKind::Bung(b) = kind {
            match service {
                Service::Exhaust | Service::WastegateDump => {}
                Service::ChargeAir | Service::BlowOff | Service::Intake => *b = probe(),
                Service::Other => (b.purpose, b.screwed) = (BungUse::Plain, None),
            }
        }
        round_kind(kind, units);
    }
    kinds
}

/// A bung for a probe of the air's temperature.
fn probe() -> Bung {
    Bung {
        purpose: BungUse::Temperature,
        thread: "M12 × 1.5".to_owned(),
        boss_mm: 20.0,
        height_mm: 12.0,
        hole_mm: 13.0,
        screwed: Some(Screwed { diameter_mm: 20.0, length_mm: 45.0, removal_mm: 30.0 }),
    }
}

/// A small part in the middle of the longest free straight of a run, at 12 o'clock.
pub fn part(project: &mut Project, run: &Run, kind: PartKind) -> Part {
    let route = crate::fab::trace(project, run).ok();
    let free = route.as_ref().and_then(|route| longest_free(project, run, route));
    let (leg, room) = free.unwrap_or((0, (0.0, 0.0)));
    let taken = run.parts.iter().map(|p| p.name.as_str());
    Part {
        id: PartId(project.fresh_id()),
        name: free_name(kind.name(), &taken),
        leg,
        turn_deg: None,
        station_mm: middle(room),
        clock_deg: 0.0,
        kind,
    }
}

/// Length of a new bar, mm.
const NEW_BAR_MM: f64 = 300.0;

/// The ends of bars on offer, with sizes that are usual (common practice, no source). What a coped one sits on is
/// still to be given: [`tube_under`].
pub fn bar_ends() -> Vec<BarEndMake> {
    let rod = RodEnd {
        thread_dia_mm: 9.525,
        pitch_mm: 1.058,
        left_hand: false,
        eye_to_shoulder_mm: 12.0,
        shank_mm: 32.0,
        thread_mm: 28.0,
        nut_mm: 6.0,
        least_engagement: 1.5,
        socket: Socket { stand_mm: 3.0, tapped_mm: 25.0, through: false },
        screwed_in_mm: None,
    };
    let onto = Onto::Tube { through_mm: DVec3::ZERO, along: DVec3::X, od_mm: 38.1 };
    vec![
        BarEndMake::Plate { stand_off_mm: 0.0 },
        BarEndMake::Tab(Tab { hole_to_bar_mm: 20.0, width_mm: 20.0, thick_mm: 5.0 }),
        BarEndMake::RodEnd(rod, Eye { od_mm: 24.0, width_mm: 12.0 }),
        BarEndMake::Cope { onto, pad: None },
    ]
}

/// A tube that the end of a bar at `end` can sit on: through its point, along the axis that is most across the bar, twice
/// as thick as the bar.
pub fn tube_under(bar: &Bar, end: usize) -> Onto {
    let points = bar.points_mm();
    let (at, next) = if end == 0 { (0, 1) } else { (points.len() - 1, points.len() - 2) };
    let way = points[next] - points[at];
    let axes = [DVec3::X, DVec3::Y, DVec3::Z];
    let most_across = |a: &DVec3, b: &DVec3| way.dot(*a).abs().total_cmp(&way.dot(*b).abs());
    let along = axes.into_iter().min_by(most_across).unwrap_or(DVec3::X);
    Onto::Tube { through_mm: points[at], along, od_mm: 2.0 * bar.od_mm }
}

/// A saddle plate under a coped end: 3 mm of plate a third of the way round (common practice, no source).
pub fn pad() -> Pad {
    Pad { thick_mm: 3.0, gap_mm: 0.0, angle_deg: 120.0, lips_mm: [0.0; 2], width_mm: None }
}

/// Thickness of one cheek of a fork that a new pin goes through, mm (common practice, no source).
const CHEEK_MM: f64 = 5.0;

/// A pin of 3/8 in through an end whose hole is `hole_length_mm` long, in a fork round it, with a washer and play
/// for its clip (common practice, no source).
pub fn pin_through(hole_length_mm: f64) -> PinThrough {
    let (dia_mm, washers_mm) = (9.525, 1.5);
    let over_cheeks_mm = hole_length_mm + 2.0 * CHEEK_MM;
    // the clip goes on with 1 mm of play
    let pin = Pin { dia_mm, to_groove_mm: over_cheeks_mm + washers_mm + 1.0, groove_mm: 1.5, tail_mm: 4.0 };
    PinThrough { pin, hole_mm: dia_mm + 0.25, over_cheeks_mm, washers_mm }
}

/// A bar of 5/8 in steel from `position_mm` forward.
pub fn bar(project: &mut Project, position_mm: DVec3) -> Bar {
    let name = free_name("Bar", &project.bars.iter().map(|b| b.name.as_str()));
    let body = project.bodies.first().map_or(BodyId(1), |b| b.id);
    let end = |position_mm| BarPoint {
        position_mm,
        body,
        make: BarEndMake::Plate { stand_off_mm: 0.0 },
        clock_deg: 0.0,
        pin: None,
    };
    Bar {
        id: BarId(project.fresh_id()),
        name,
        material: Material::ChromeMoly4130,
        od_mm: 15.875,
        wall_mm: Some(2.108),
        stick_mm: 1828.8,
        ends: [end(position_mm), end(position_mm + DVec3::X * round_mm(NEW_BAR_MM, project.settings.units))],
        corners: Vec::new(),
        springback_share: 0.0,
        least_straight_mm: 0.0,
        spare_mm: 0.0,
        sawn_mm: None,
        wanted_mm: 0.0,
        sleeve: None,
        gap_mm: usual_gap_mm(project),
        hidden: false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_bung_is_for_what_the_run_carries() {
        for (service, purpose) in [
            (Service::ChargeAir, BungUse::Temperature),
            (Service::BlowOff, BungUse::Temperature),
            (Service::Intake, BungUse::Temperature),
            (Service::Exhaust, BungUse::ExhaustSensor),
            (Service::WastegateDump, BungUse::ExhaustSensor),
            (Service::Other, BungUse::Plain),
        ] {
            let PartKind::Bung(bung) = parts_for(service, UnitSystem::Millimetre).swap_remove(0) else {
                panic!("the first is the bung")
            };
            assert_eq!(bung.purpose, purpose, "{service:?}");
            assert!(bung.hole_mm < bung.boss_mm);
        }
    }
    use crate::model::TubeId;
    use crate::testing::run_through;

    #[test]
    fn what_is_new_on_the_ends_of_a_bar_can_be_made_as_it_is() {
        for (far, across) in [(DVec3::X, DVec3::Y), (DVec3::Y, DVec3::X), (DVec3::Z, DVec3::X)] {
            let mut project = crate::testing::bench_project();
            let mut new = bar(&mut project, DVec3::new(10.0, 20.0, 30.0));
            new.ends[1].position_mm = new.ends[0].position_mm + far * 400.0;
            let onto = tube_under(&new, 1);
            assert_eq!(onto, Onto::Tube { through_mm: new.ends[1].position_mm, along: across, od_mm: 31.75 });
            let tab = bar_ends().into_iter().find(|m| m.name() == "tab").unwrap();
            new.ends[0].pin = tab.hole_length_mm().map(pin_through);
            new.ends[0].make = tab;
            new.ends[1].make = BarEndMake::Cope { onto, pad: Some(pad()) };
            project.bars.push(new);
            let report = crate::report::Report::new(&project);
            assert!(report.bars[0].buildable && report.findings.is_empty(), "{:?}", report.findings);
            assert!(report.bars[0].ends[0].pin.is_some() && report.bars[0].ends[1].plate.is_some());
        }
    }

    #[test]
    fn a_new_part_and_a_new_taper_stand_in_the_middle_of_the_longest_straight_that_was_entered() {
        // two legs on one line of 900 mm: 300 and 600, less the bend's tangent of 95.25 tan 45° at the end
        let (x, y) = (DVec3::X, DVec3::Y);
        let (mut project, mut run) =
            run_through(&[DVec3::ZERO, x * 300.0, x * 600.0, x * 900.0, x * 900.0 + y * 300.0]);
        run.tapers.clear();
        let part = part(&mut project, &run, part_kinds().swap_remove(0));
        let (leg, room) = longest_straight(&crate::fab::trace(&project, &run).unwrap()).unwrap();
        assert!((room.1 - room.0 - 300.0).abs() < 1e-6, "{room:?}");
        assert_eq!((part.leg, part.station_mm.round()), (leg, 150.0));
        let at = crate::fab::trace(&project, &run).unwrap().on_leg(leg, part.station_mm).unwrap().origin;
        // the first of equals
        assert!(at.distance(x * 150.0) < 1e-6, "{at}");
        // beside a joint of 45 in that middle: before it, 150 − 22.5 − 30 is free, behind it as much
        let fitted = |leg: usize| crate::model::Fitting {
            id: crate::model::FittingId(71),
            joint: crate::model::JointId(12),
            leg,
            station_mm: 150.0,
            lobe_clock_deg: 0.0,
        };
        let mut full = run.clone();
        full.fittings = (0..4).map(fitted).collect();
        let beside = super::part(&mut project.clone(), &full, part_kinds().swap_remove(0));
        assert!((beside.station_mm - (150.0 - 22.5 - 30.0) / 2.0).abs() < 1e-9, "{beside:?}");
        // where three of four legs have one, the fourth is free
        full.fittings.pop();
        let free = super::part(&mut project.clone(), &full, part_kinds().swap_remove(0));
        assert_eq!(free.leg, 3);
        assert!(!has_taper(&project, &run) && taper(&mut project, &run).is_none(), "one size of tube");
        let tube = |id: u32, od_mm: f64, material: Material| Tube {
            id: TubeId(id),
            od_mm,
            material,
            ..project.tubes[0].clone()
        };
        let others = [
            tube(500, 63.5, Material::Stainless304),
            tube(501, 65.0, Material::Aluminium6061),
            tube(502, 76.2, Material::Stainless304),
            tube(503, 101.6, Material::Stainless304),
        ];
        project.tubes.extend(others);
        assert!(has_taper(&project, &run));
        let taper = taper(&mut project, &run).unwrap();
        assert_eq!((taper.leg, taper.station_mm.round(), taper.tube), (leg, 150.0, TubeId(502)));
        // 12.7 mm more in diameter at 7.5° each side: 6.35/tan 7.5° = 48.2, rounded up
        assert!((taper.length_mm - 49.0).abs() < 1e-9, "{}", taper.length_mm);
    }
}
