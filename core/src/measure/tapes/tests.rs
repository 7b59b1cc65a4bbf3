use super::*;
use crate::measure::testing::{Chance, NASTY};
use crate::units::UnitSystem::Millimetre;
use approx::assert_relative_eq;

const NAMES: [&str; 8] = ["A", "B", "C", "D", "E", "F", "G", "H"];

fn tapes(datums: &[[f64; 3]], lengths: &[f64]) -> Vec<Tape> {
    assert_eq!(datums.len(), lengths.len());
    datums
        .iter()
        .zip(lengths)
        .zip(NAMES)
        .map(|((at, length_mm), name)| Tape {
            datum: name.to_owned(),
            at_mm: DVec3::from_array(*at),
            length_mm: *length_mm,
        })
        .collect()
}

const FLOOR: [[f64; 3]; 3] = [[0.0, 0.0, 0.0], [600.0, 0.0, 0.0], [0.0, 400.0, 0.0]];

/// Own vector: five datums, the fourth tape 10 mm long.
fn one_wrong() -> Vec<Tape> {
    let datums = [FLOOR[0], FLOOR[1], FLOOR[2], [620.0, 410.0, 250.0], [300.0, -200.0, 500.0]];
    tapes(&datums, &[444.0, 507.0, 462.0, 451.0, 423.5])
}

#[test]
fn three_exact_tapes_give_the_point_and_its_mirror_image() {
    // own vector
    let got = locate(&tapes(&FLOOR, &[444.18465, 507.24747, 461.84413]), 1.0).unwrap();
    assert_relative_eq!(got.best.position_mm, DVec3::new(250.0, 180.0, 320.0), epsilon = 2e-5);
    let other = got.other.unwrap();
    assert_relative_eq!(other.position_mm, DVec3::new(250.0, 180.0, -320.0), epsilon = 2e-5);
    assert_eq!(got.mirror, Mirror::Choose);
    assert_eq!(got.trust.level(), Level::Doubtful);
    assert!(got.trust.text(Millimetre).contains("640.0 mm apart"), "{}", got.trust.text(Millimetre));
    assert_eq!(got.trust.doubts.len(), 2);
}

#[test]
fn rounded_tapes_have_the_tabled_deviations() {
    // own vector
    let got = locate(&tapes(&FLOOR, &[444.0, 507.0, 462.0]), 1.0).unwrap();
    let spot = &got.best;
    assert_relative_eq!(spot.position_mm, DVec3::new(250.0725, 179.6150, 319.9034), epsilon = 5e-5);
    assert_relative_eq!(spot.sigma_mm, DVec3::new(1.123, 1.602, 0.944), epsilon = 5e-4);
    assert_relative_eq!(spot.gdop, 2.172, epsilon = 5e-4);
    // twice as rough a tape, twice as far off; the geometry is the same
    let rough = locate(&tapes(&FLOOR, &[444.0, 507.0, 462.0]), 2.0).unwrap().best;
    assert_relative_eq!(rough.sigma_mm, spot.sigma_mm * 2.0, max_relative = 1e-12);
    assert_relative_eq!(rough.gdop, spot.gdop, max_relative = 1e-12);
}

#[test]
fn a_foot_on_the_edge_of_the_datums_is_no_trouble() {
    // own vector
    let got = locate(&tapes(&FLOOR, &[300.0, 400.0, 500.0]), 1.0).unwrap();
    assert_relative_eq!(got.best.position_mm, DVec3::new(241.66667, 0.0, 177.75608), epsilon = 5e-6);
}

#[test]
fn a_fourth_datum_a_little_out_of_the_plane_settles_the_side() {
    // own vector
    let datums = [FLOOR[0], FLOOR[1], FLOOR[2], [620.0, 410.0, 35.0]];
    let got = locate(&tapes(&datums, &[444.0, 507.0, 462.0, 521.0]), 1.0).unwrap();
    assert_relative_eq!(got.best.position_mm, DVec3::new(249.931, 179.424, 320.001), epsilon = 5e-4);
    assert_relative_eq!(got.best.rms_mm, 0.089, epsilon = 5e-4);
    assert_eq!(got.mirror, Mirror::Clear);
    assert_relative_eq!(got.other.unwrap().rms_mm, 10.918, epsilon = 5e-4);
    assert_eq!(got.trust.level(), Level::Good, "{}", got.trust.text(Millimetre));
    assert_eq!(got.trust.text(Millimetre), "The 4 tapes agree to 0.09 mm.");
}

#[test]
fn with_five_tapes_one_wrong_leaves_two_suspects() {
    // own vector
    let got = locate(&one_wrong(), 1.0).unwrap();
    assert_relative_eq!(got.best.rms_mm, 2.890, epsilon = 5e-4);
    let without: Vec<f64> = got.without_mm.iter().map(|x| x.unwrap()).collect();
    for (got, want) in without.iter().zip([2.327, 0.663, 3.216, 0.101, 2.566]) {
        assert_relative_eq!(*got, want, epsilon = 5e-4);
    }
    let names: Vec<&str> = got.suspects.iter().map(|s| s.datum.as_str()).collect();
    assert_eq!(names, ["D", "B"]);
    assert_relative_eq!(got.suspects[0].off_mm, 9.849, epsilon = 5e-4); // SciPy least_squares
    assert_eq!(got.trust.level(), Level::Bad);
    let text = got.trust.text(Millimetre);
    assert!(text.contains("the one to D or B may be wrong"), "{text}");
}

#[test]
fn with_seven_tapes_the_wrong_one_stands_alone() {
    let mut chance = Chance::new(7);
    let (mut found, mut accused) = (0, 0);
    for _ in 0..300 {
        let point = chance.point(400.0);
        let mut shop = spread_datums(&mut chance, 7, point);
        for tape in &mut shop {
            tape.length_mm += 0.5 * chance.normal();
        }
        let wrong = chance.index(7);
        shop[wrong].length_mm += if chance.even(-1.0, 1.0) < 0.0 { -25.0 } else { 25.0 };
        let Ok(got) = locate(&shop, 0.5) else { continue };
        if let [one] = &got.suspects[..] {
            if one.tape == wrong {
                found += 1;
                assert!((one.off_mm.abs() - 25.0).abs() < 8.0, "{one:?}");
            } else {
                accused += 1;
            }
        }
    }
    assert!(found >= 270, "found {found} of 300");
    assert!(accused <= 2, "the wrong one accused {accused} times");
}

/// Datums all round a point, at least a hand apart, with exact tapes.
fn spread_datums(chance: &mut Chance, count: usize, point: DVec3) -> Vec<Tape> {
    let mut at: Vec<DVec3> = Vec::new();
    while at.len() < count {
        let p = chance.point(900.0);
        let free = at.iter().all(|q| (*q - p).length() > 150.0) && (p - point).length() > 150.0;
        if free {
            at.push(p);
        }
    }
    at.into_iter()
        .zip(NAMES)
        .map(|(at_mm, name)| Tape { datum: name.to_owned(), at_mm, length_mm: (point - at_mm).length() })
        .collect()
}

#[test]
fn three_hundred_points_are_found_again_from_three_to_eight_tapes() {
    let mut chance = Chance::new(1);
    let mut worst = 0.0_f64;
    for case in 0..300 {
        let point = chance.point(600.0);
        let shop = spread_datums(&mut chance, 3 + case % 6, point);
        let got = locate(&shop, 1.0).unwrap_or_else(|e| panic!("{case}: {}", e.text(Millimetre)));
        let miss = |s: &Spot| (s.position_mm - point).length();
        let near = miss(&got.best).min(got.other.as_ref().map_or(f64::MAX, miss));
        // a tape that is 1e-12 off moves a badly placed point by that times the geometry
        let reach = 1e-6 + 1e-9 * got.best.gdop.min(1e6);
        assert!(near < reach, "{case}: {near} off, gdop {}", got.best.gdop);
        worst = worst.max(near);
        if shop.len() > 4 {
            assert!(miss(&got.best) < reach, "{case}: the other side was taken");
            assert!(got.suspects.is_empty());
        }
    }
    assert!(worst < 1e-5, "{worst}");
}

/// The least sum of squares over many starts in a box: slow, and knows nothing of planes or mirrors.
fn by_brute_force(shop: &[Tape], chance: &mut Chance) -> f64 {
    let sum = |p: DVec3| -> f64 { shop.iter().map(|t| ((p - t.at_mm).length() - t.length_mm).powi(2)).sum() };
    let mut best = f64::MAX;
    for _ in 0..40 {
        let mut p = chance.point(1500.0);
        let mut step = 200.0;
        let mut now = sum(p);
        // pattern search
        while step > 1e-4 {
            let next = [DVec3::X, DVec3::Y, DVec3::Z]
                .into_iter()
                .flat_map(|d| [p + d * step, p - d * step])
                .min_by(|a, b| sum(*a).total_cmp(&sum(*b)))
                .unwrap();
            if sum(next) < now {
                (p, now) = (next, sum(next));
            } else {
                step /= 2.0;
            }
        }
        best = best.min(now);
    }
    best
}

#[test]
fn no_better_place_is_to_be_found_even_with_wrong_tapes() {
    let mut chance = Chance::new(3);
    for case in 0..40 {
        let point = chance.point(500.0);
        let mut shop = spread_datums(&mut chance, 4 + case % 4, point);
        let wrong = chance.index(shop.len());
        shop[wrong].length_mm += chance.even(5.0, 60.0);
        let got = locate(&shop, 1.0).unwrap();
        let sum = got.best.rms_mm.powi(2) * shop.len() as f64;
        let brute = by_brute_force(&shop, &mut chance);
        assert!(sum <= brute * 1.001 + 1e-6, "{case}: {sum} where {brute} is to be had");
    }
}

#[test]
fn points_stray_as_far_as_their_deviations_say() {
    let mut chance = Chance::new(5);
    let datums = [FLOOR[0], FLOOR[1], FLOOR[2], [620.0, 410.0, 250.0]];
    let point = DVec3::new(250.0, 180.0, 320.0);
    let exact: Vec<f64> = datums.iter().map(|d| (point - DVec3::from_array(*d)).length()).collect();
    let said = locate(&tapes(&datums, &exact), 1.0).unwrap().best.sigma_mm;
    let (mut sum, runs) = (DVec3::ZERO, 3000);
    for _ in 0..runs {
        let read: Vec<f64> = exact.iter().map(|l| l + chance.normal()).collect();
        let off = locate(&tapes(&datums, &read), 1.0).unwrap().best.position_mm - point;
        sum += off * off;
    }
    let seen = (sum / f64::from(runs)).to_array().map(f64::sqrt);
    for (seen, said) in seen.iter().zip(said.to_array()) {
        // 3000 runs tell a deviation to 1.3 %
        assert_relative_eq!(*seen, said, max_relative = 0.06);
    }
}

#[test]
fn tapes_that_do_not_meet_say_which_is_likeliest_wrong() {
    // the second is 10 mm off the exact tapes of a point near the floor
    let point = DVec3::new(250.0, 180.0, 5.0);
    let mut lengths: Vec<f64> = FLOOR.iter().map(|d| (point - DVec3::from_array(*d)).length()).collect();
    lengths[1] -= 10.0;
    let error = locate(&tapes(&FLOOR, &lengths), 1.0).unwrap_err();
    let MeasureError::TapesDoNotMeet { miss_mm, mends } = &error else { panic!("{error:?}") };
    assert!((*miss_mm - mends[0].add_mm.abs()).abs() < 1e-12);
    // each mend, made, lets the three meet
    for mend in mends {
        let mut mended = lengths.clone();
        mended[mend.tape] += mend.add_mm;
        assert!(locate(&tapes(&FLOOR, &mended), 1e-3).is_ok(), "{mend:?}");
        mended[mend.tape] -= 0.05 * mend.add_mm;
        assert!(locate(&tapes(&FLOOR, &mended), 1e-3).is_err(), "{mend:?}");
    }
    assert!(error.text(Millimetre).contains("too short"), "{}", error.text(Millimetre));
}

#[test]
fn a_tape_far_too_short_is_named() {
    let lengths = [444.0, 507.0, 20.0];
    let error = locate(&tapes(&FLOOR, &lengths), 1.0).unwrap_err();
    let text = error.text(Millimetre);
    assert!(text.starts_with("The three tapes do not meet: likeliest the one to C is "), "{text}");
}

#[test]
fn three_tapes_that_all_but_meet_are_joined_in_the_plane_with_a_warning() {
    let point = DVec3::new(250.0, 180.0, 0.0);
    let lengths: Vec<f64> = FLOOR.iter().map(|d| (point - DVec3::from_array(*d)).length() - 0.3).collect();
    let got = locate(&tapes(&FLOOR, &lengths), 1.0).unwrap();
    assert!(got.best.position_mm.z.abs() < 1e-6, "{}", got.best.position_mm);
    assert!((got.best.position_mm - point).length() < 1.0);
    assert!(got.best.sigma_mm.z > 10.0, "{}", got.best.sigma_mm);
    assert!(got.trust.level() > Level::Good);
}

#[test]
fn a_point_near_the_plane_is_known_to_be_ill_known() {
    let point = DVec3::new(250.0, 180.0, 4.0);
    let lengths: Vec<f64> = FLOOR.iter().map(|d| (point - DVec3::from_array(*d)).length()).collect();
    let got = locate(&tapes(&FLOOR, &lengths), 1.0).unwrap();
    assert_eq!(got.mirror, Mirror::Same);
    assert!(got.trust.text(Millimetre).contains("near the plane"), "{}", got.trust.text(Millimetre));
    assert!(got.best.worst_sigma_mm < 40.0, "the second order holds it: {}", got.best.worst_sigma_mm);
}

#[test]
fn four_datums_in_one_plane_leave_the_side_open() {
    let datums = [FLOOR[0], FLOOR[1], FLOOR[2], [600.0, 400.0, 0.0]];
    let point = DVec3::new(250.0, 180.0, -320.0);
    let lengths: Vec<f64> = datums.iter().map(|d| (point - DVec3::from_array(*d)).length()).collect();
    let got = locate(&tapes(&datums, &lengths), 1.0).unwrap();
    assert_eq!(got.mirror, Mirror::Choose);
    assert!(got.best.position_mm.z > 0.0, "the upper one comes first");
    assert_relative_eq!(got.other.unwrap().position_mm, point, epsilon = 1e-6);
}

#[test]
fn four_tapes_that_disagree_cannot_say_which() {
    let datums = [FLOOR[0], FLOOR[1], FLOOR[2], [620.0, 410.0, 250.0]];
    let got = locate(&tapes(&datums, &[444.0, 507.0, 462.0, 471.0]), 1.0).unwrap();
    assert!(got.suspects.is_empty() && got.without_mm.iter().all(Option::is_none));
    assert!(got.trust.text(Millimetre).contains("too few to tell"), "{}", got.trust.text(Millimetre));
}

#[test]
fn datums_in_line_or_in_one_place_are_refused_by_name() {
    let line = [[0.0, 0.0, 0.0], [300.0, 0.0, 0.0], [600.0, 0.1, 0.0]];
    let error = locate(&tapes(&line, &[444.0, 400.0, 507.0]), 1.0).unwrap_err();
    assert!(error.text(Millimetre).starts_with("A, B and C lie in one line"), "{}", error.text(Millimetre));
    let twice = [FLOOR[0], FLOOR[1], FLOOR[2], [0.0, 400.0, 0.5]];
    let error = locate(&tapes(&twice, &[444.0, 507.0, 462.0, 462.0]), 1.0).unwrap_err();
    assert!(error.text(Millimetre).starts_with("C and D are one point"), "{}", error.text(Millimetre));
}

#[test]
fn a_far_point_over_a_small_patch_of_datums_is_bad() {
    let datums = [[0.0, 0.0, 0.0], [40.0, 0.0, 0.0], [0.0, 40.0, 0.0]];
    let point = DVec3::new(900.0, 300.0, 200.0);
    let lengths: Vec<f64> = datums.iter().map(|d| (point - DVec3::from_array(*d)).length()).collect();
    let got = locate(&tapes(&datums, &lengths), 1.0).unwrap();
    assert_eq!(got.trust.level(), Level::Bad, "{}", got.trust.text(Millimetre));
}

#[test]
fn nothing_typed_by_mistake_panics() {
    for nasty in NASTY {
        for field in 0..5 {
            for count in 0..6 {
                let mut shop = one_wrong();
                shop.truncate(count);
                if let Some(first) = shop.first_mut() {
                    match field {
                        0 => first.length_mm = nasty,
                        1 => first.at_mm.x = nasty,
                        2 => first.at_mm = DVec3::splat(nasty),
                        3 => {
                            for t in &mut shop {
                                t.length_mm = nasty;
                            }
                        }
                        _ => {}
                    }
                }
                let sigma = if field == 4 { nasty } else { 1.0 };
                match locate(&shop, sigma) {
                    Ok(got) => {
                        assert!(got.best.position_mm.is_finite());
                        assert!(!got.trust.text(Millimetre).is_empty());
                    }
                    Err(error) => assert!(error.text(Millimetre).ends_with('.'), "{error:?}"),
                }
            }
        }
    }
}

#[test]
fn a_point_on_a_datum_is_found() {
    let got = locate(&tapes(&FLOOR, &[1e-9, 600.0, 400.0]), 1.0).unwrap();
    assert!(got.best.position_mm.length() < 1e-3, "{}", got.best.position_mm);
}

/// One wrong tape, the others as rough as tapes are; where it agrees by chance, the point is no further off than is said.
#[test]
fn a_wrong_tape_that_agrees_hides_no_more_than_is_said() {
    let cases: usize = std::env::var("PIPELOFT_TAPE_CASES").ok().and_then(|c| c.parse().ok()).unwrap_or(6000);
    let mut chance = Chance::new(11);
    let (mut agreed, mut hid, mut worst_share) = (0, 0, 0.0_f64);
    let mut said_mm = Vec::new();
    for case in 0..cases {
        let point = chance.point(400.0);
        let mut shop = spread_datums(&mut chance, 4 + case % 5, point);
        for tape in &mut shop {
            tape.length_mm += chance.normal();
        }
        let wrong = chance.index(shop.len());
        shop[wrong].length_mm += chance.even(-40.0, 40.0);
        let Ok(got) = locate(&shop, 1.0) else { continue };
        if !got.agrees() {
            continue;
        }
        agreed += 1;
        let spots =
            std::iter::once(&got.best).chain(got.other.as_ref().filter(|_| got.mirror == Mirror::Choose));
        let off = |s: &&Spot| (s.position_mm - point).length();
        let meant = spots.min_by(|a, b| off(a).total_cmp(&off(b))).unwrap();
        let off_mm = off(&meant);
        let Some(most_mm) = meant.hidden.most_mm else { continue };
        let side_mm = meant.hidden.side.as_ref().map_or(0.0, |(_, mm)| *mm);
        assert!(off_mm <= most_mm.max(side_mm), "{case}: {off_mm} off, said {:?}", meant.hidden);
        hid += usize::from(off_mm > 8.0);
        worst_share = worst_share.max(off_mm / most_mm.max(side_mm));
        said_mm.push(most_mm);
    }
    said_mm.sort_by(f64::total_cmp);
    let middle_mm = said_mm[said_mm.len() / 2];
    println!(
        "{agreed} of {cases} agreed, {hid} of them over 8 mm off; at most {worst_share:.2} of what was said; middle {middle_mm:.1}"
    );
    // what is said is not so much that it says nothing
    assert!(agreed * 20 > cases && hid * 300 > cases && worst_share > 0.5 && middle_mm < 30.0);
}

#[test]
fn what_a_wrong_tape_could_hide_is_said_in_words() {
    let three = locate(&tapes(&FLOOR, &[444.18465, 507.24747, 461.84413]), 1.0).unwrap();
    let times = three.best.hidden.times;
    // the point moved by each tape alone, without the formula
    let moved = (0..3).map(|i| {
        let mut lengths = [444.18465, 507.24747, 461.84413];
        lengths[i] += 0.01;
        let spot = locate(&tapes(&FLOOR, &lengths), 1.0).unwrap().best;
        (spot.position_mm - three.best.position_mm).length() / 0.01
    });
    assert_relative_eq!(moved.fold(0.0, f64::max), times, max_relative = 1e-3);
    let text = three.best.hidden.text(Millimetre);
    assert!(
        text.starts_with("A wrong tape to A, B or C would not show: the point would be off by up to 1."),
        "{text}"
    );
    // the fourth datum a little out of the plane is the only one that tells the side
    let datums = [FLOOR[0], FLOOR[1], FLOOR[2], [620.0, 410.0, 35.0]];
    let four = locate(&tapes(&datums, &[444.0, 507.0, 462.0, 521.0]), 1.0).unwrap();
    let (datum, off_mm) = four.best.hidden.side.clone().unwrap();
    assert!(off_mm > 600.0 && ["A", "B", "C", "D"].contains(&datum.as_str()), "{datum} {off_mm}");
    let text = four.best.hidden.text(Millimetre);
    assert!(text.contains("alone says which side it is on"), "{text}");
    // no tape but the others in line checks the one that is off it
    let line = [[0.0, 0.0, 0.0], [300.0, 0.0, 0.0], [600.0, 0.0, 0.0], [0.0, 400.0, 0.0]];
    let point = DVec3::new(250.0, 180.0, 320.0);
    let lengths: Vec<f64> = line.iter().map(|d| (point - DVec3::from_array(*d)).length()).collect();
    let got = locate(&tapes(&line, &lengths), 1.0).unwrap();
    assert_eq!((got.best.hidden.most_mm, got.best.hidden.datums.as_slice()), (None, &["D".to_owned()][..]));
}
