//! Numbers that should not come, and must do no harm.

use super::*;

#[test]
fn no_solids_are_nothing_to_take_off() {
    assert_eq!(Yard::default().outcome().answer, Answer::Nothing);
    let only_walls = Yard { shapes: vec![floor(0.0)], ..Yard::default() };
    assert_eq!(only_walls.outcome().answer, Answer::Nothing);
}

#[test]
fn numbers_that_are_none_are_unsound() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let mut yards = Vec::new();
        for _ in 0..7 {
            yards.push(ell());
        }
        yards[0].section.push(tube(at(0.0, 0.0, 50.0), at(0.0, 0.0, 80.0), bad));
        yards[1].fixed.push(disc(at(bad, 0.0, 50.0), DVec3::X, 1.0, 2.0));
        yards[2].need_mm = bad;
        yards[3].mates[0].centre.x = bad;
        yards[4].mates[0].out = DVec3::splat(bad);
        yards[5].shapes.push(floor(bad));
        yards[6].shapes.push(PlacedShape::new(
            &Shape::Box { size_mm: DVec3::splat(10.0) },
            &Pose::at(at(bad, 0.0, 0.0)),
        ));
        for (i, yard) in yards.iter().enumerate() {
            assert_eq!(yard.outcome().answer, Answer::Unsound, "{i} {bad}");
        }
        let far = ell();
        let task = Task { far_mm: bad, ..far.task() };
        assert_eq!(find_way_out(&task, &mut |_| true).answer, Answer::Unsound);
    }
    let mut yard = ell();
    yard.mates[0].out = DVec3::ZERO;
    assert_eq!(yard.outcome().answer, Answer::Unsound);
    yard = ell();
    yard.need_mm = -1.0;
    assert_eq!(yard.outcome().answer, Answer::Unsound);
}

#[test]
fn solids_without_size_and_a_section_that_is_cut_away_do_no_harm() {
    let mut yard = ell();
    yard.section = vec![tube(DVec3::ZERO, at(0.1, 0.0, 0.0), 31.75)];
    yard.mates.truncate(1);
    // thinner than the skin: nothing of it is left to run into anything
    assert!(matches!(yard.outcome().answer, Answer::Pull(_)));
    yard.section = vec![
        disc(DVec3::ZERO, DVec3::X, 0.0, 0.0),
        bend(DVec3::ZERO, DVec3::X, DVec3::Y, (0.0, 0.0, 0.0)),
        bend(at(9.0, 9.0, 0.0), DVec3::X, DVec3::Y, (-5.0, 3.0, 9.0)),
        Solid::Block(Block { centre: DVec3::ZERO, axes: [DVec3::ZERO; 3], half_mm: DVec3::ONE }),
    ];
    let task = Task { most_poses: 10, ..yard.task() };
    let _ = find_way_out(&task, &mut |_| true);
    let none = Task { most_poses: 0, far_mm: 0.0, need_mm: 0.0, ..yard.task() };
    let _ = find_way_out(&none, &mut |_| true);
}
