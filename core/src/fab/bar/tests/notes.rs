//! Unsupported lengths, masses, and hot runs.

use super::expansion::expansion;
use super::note::{notes, unsupported};
use super::*;
use approx::assert_relative_eq;
use proptest::prelude::*;

/// 50.8 × 1.65 steel is 1.99998619 kg a metre (own arithmetic to 30 digits); solid 16 mm steel bar 1.58 kg (trade
/// tables, from memory).
#[test]
fn tube_and_solid_bar_weigh_what_tables_say() {
    let steel = |od_mm: f64, wall_mm: Option<f64>| BarStock { material: Material::MildSteel, od_mm, wall_mm };
    assert_relative_eq!(steel(50.8, Some(1.65)).mass_kg_per_m(), 1.99998619, max_relative = 1e-8);
    assert_relative_eq!(steel(16.0, None).mass_kg_per_m(), 1.58, epsilon = 0.005);
    // a tube whose wall meets in the middle is solid
    assert_relative_eq!(
        steel(16.0, Some(8.0)).mass_kg_per_m(),
        steel(16.0, None).mass_kg_per_m(),
        max_relative = 1e-12
    );
}

#[test]
fn parts_without_a_support_are_between_neighbours_and_beyond_the_last() {
    let parts = unsupported(1000.0, &[900.0, 100.0, 400.0, 400.0]).unwrap();
    let told: Vec<_> = parts.iter().map(|p| (p.from_mm, p.to_mm, p.overhang)).collect();
    assert_eq!(
        told,
        [(0.0, 100.0, true), (100.0, 400.0, false), (400.0, 900.0, false), (900.0, 1000.0, true)]
    );
    let held: Vec<_> = unsupported(700.0, &[0.0, 700.0]).unwrap();
    assert_eq!((held.len(), held[0].overhang), (1, false));
    let loose = unsupported(700.0, &[]).unwrap();
    assert_eq!((loose.len(), loose[0].overhang), (1, true));
}

#[test]
fn the_notes_of_a_bar_end_with_who_decides() {
    let parts = unsupported(1000.0, &[0.0, 600.0]).unwrap();
    let all = notes(&stock(), 500.0, &parts, Some(12.0)).unwrap();
    let kg = stock().mass_kg_per_m() / 2.0;
    assert_eq!(
        all,
        [
            BarNote::Unsupported { length_mm: 600.0, overhang: false },
            BarNote::Mass { kg },
            BarNote::Carries { kg: 12.0 },
            BarNote::SizesNothing
        ]
    );
    let bare = notes(&stock(), 500.0, &[], None).unwrap();
    assert_eq!(bare, [BarNote::Mass { kg }, BarNote::SizesNothing]);
}

fn hot(length_mm: f64, supports: &[(f64, Hold)], flexible: &[f64]) -> HotRun {
    HotRun {
        length_mm,
        supports: supports
            .iter()
            .map(|(station_mm, hold)| Support { station_mm: *station_mm, hold: *hold })
            .collect(),
        flexible_mm: flexible.to_vec(),
        per_k: 18.4e-6,
        cold_c: 20.0,
        hot_c: 538.0,
    }
}

/// Growth worked out apart from this program, to nine digits, from the published coefficients.
#[test]
fn growth_between_two_fixed_ends_is_that_of_the_published_coefficients() {
    let known = [
        (Material::Stainless304, 1500.0, 538.0, 14.2968),
        (Material::Stainless321, 1800.0, 538.0, 17.34264),
        (Material::Stainless409, 1800.0, 500.0, 10.368),
        (Material::MildSteel, 1800.0, 100.0, 1.6848),
        (Material::TitaniumGrade2, 1800.0, 315.0, 4.8852),
        (Material::Aluminium6061, 900.0, 120.0, 2.124),
    ];
    for (material, length_mm, hot_c, growth) in known {
        let mut run = hot(length_mm, &[(0.0, Hold::Fixed), (length_mm, Hold::Fixed)], &[]);
        run.per_k = expansion(material, hot_c).per_k;
        run.hot_c = hot_c;
        let spans = run.spans().unwrap();
        assert_eq!(spans.len(), 1);
        assert_relative_eq!(spans[0].growth_mm, growth, max_relative = 1e-9);
        assert!(spans[0].held());
    }
}

/// ASME II-D, table TE-1, as published beside the coefficients: total growth of 100 ft of carbon steel from 70 °F, in
/// inches, to one decimal.
#[test]
fn carbon_steel_grows_as_the_published_table_of_totals_says() {
    for (fahrenheit, inches) in [(300.0, 1.9), (600.0, 4.7), (800.0, 6.8), (1000.0, 9.0), (1200.0, 11.3)] {
        let hot_c = (fahrenheit - 32.0) / 1.8;
        let e = expansion(Material::MildSteel, hot_c);
        let grown = e.per_k * (fahrenheit - 70.0) / 1.8 * 1200.0;
        assert!((grown - inches).abs() <= 0.05, "{fahrenheit}: {grown}");
        assert!(!e.beyond);
    }
}

#[test]
fn hotter_never_grows_less_and_past_the_table_it_says_so() {
    for material in Material::ALL {
        let mut before = 0.0;
        for c in 0..240 {
            let e = expansion(material, f64::from(c) * 5.0);
            assert!(e.per_k >= before, "{material:?} {c}");
            assert!(e.per_k > 8e-6 && e.per_k < 25e-6 && !e.source.is_empty());
            before = e.per_k;
        }
        assert!(expansion(material, 1195.0).beyond && !expansion(material, 80.0).beyond);
    }
}

#[test]
fn a_sliding_support_parts_nothing_and_a_joint_frees_only_its_own_span() {
    let supports = [(1800.0, Hold::Fixed), (0.0, Hold::Fixed), (500.0, Hold::Sliding), (1000.0, Hold::Fixed)];
    let spans = hot(2000.0, &supports, &[1400.0]).spans().unwrap();
    let told: Vec<_> = spans.iter().map(|s| (s.from_mm, s.to_mm, s.held())).collect();
    assert_eq!(told, [(0.0, 1000.0, true), (1000.0, 1800.0, false)]);
    // at a support it is on neither side
    let spans = hot(2000.0, &supports, &[1000.0]).spans().unwrap();
    assert!(spans.iter().all(HotSpan::held));
    // beyond the last support it frees nothing
    assert!(hot(2000.0, &supports, &[1900.0]).spans().unwrap().iter().all(HotSpan::held));
}

#[test]
fn a_run_with_fewer_than_two_fixed_places_or_no_heat_is_held_nowhere() {
    let one = [(0.0, Hold::Fixed), (900.0, Hold::Sliding)];
    assert_eq!(hot(1000.0, &one, &[]).spans().unwrap(), []);
    assert_eq!(hot(1000.0, &[], &[]).spans().unwrap(), []);
    assert_eq!(hot(1000.0, &[(300.0, Hold::Fixed), (300.0, Hold::Fixed)], &[]).spans().unwrap(), []);
    let mut cool = hot(1000.0, &[(0.0, Hold::Fixed), (900.0, Hold::Fixed)], &[]);
    cool.hot_c = cool.cold_c;
    assert!(!cool.spans().unwrap()[0].held());
    cool.hot_c = -30.0;
    assert!(cool.spans().unwrap()[0].growth_mm < 0.0);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    /// Walks along the run in whole millimetres and counts what it passes: every span is between two fixed places
    /// with none between, and held just where no joint was passed.
    #[test]
    fn spans_are_what_one_passes_walking_along_the_run(
        places in proptest::collection::vec((0..100_u32, any::<bool>()), 0..8),
        joints in proptest::collection::vec(0..100_u32, 0..4),
    ) {
        let supports: Vec<(f64, Hold)> = places
            .iter()
            .map(|(at, fixed)| (f64::from(*at), if *fixed { Hold::Fixed } else { Hold::Sliding }))
            .collect();
        let flexible: Vec<f64> = joints.iter().map(|at| f64::from(*at)).collect();
        let spans = hot(100.0, &supports, &flexible).spans().unwrap();
        let mut expected = Vec::new();
        let (mut from, mut passed) = (None, 0);
        for at in 0..=100 {
            if places.contains(&(at, true)) {
                if let Some(from) = from {
                    expected.push((from, at, passed));
                }
                (from, passed) = (Some(at), 0);
            } else {
                passed += joints.iter().filter(|j| **j == at).count();
            }
        }
        let found: Vec<_> =
            spans.iter().map(|s| (s.from_mm.round() as u32, s.to_mm.round() as u32, s.flexible)).collect();
        prop_assert_eq!(found, expected);
        let grown: f64 = spans.iter().map(|s| s.growth_mm).sum();
        let along: f64 = spans.iter().map(HotSpan::length_mm).sum();
        prop_assert!((grown - 18.4e-6 * 518.0 * along).abs() < 1e-12);
    }
}
