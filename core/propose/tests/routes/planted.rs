//! Scenes with a pipe hidden among obstacles that were put around it: there is a route, and it has to be found.

use super::hidden::{Hidden, TUBE_MM, hide};
use super::shapes::distance_mm;
use super::walk::{walk, worked_s};
use pipeloft_core::report::{Effort, Report};
use pipeloft_core::space::scan::Scans;
use pipeloft_core::watch::Unwatched;
use pipeloft_propose::routes::{Ask, Before, Proposal, Way, propose};

fn scenes() -> u64 {
    std::env::var("PIPELOFT_SCENES").ok().and_then(|n| n.parse().ok()).unwrap_or(20)
}

/// What the sampler finds wrong with a route.
fn faults(scene: &Hidden, route: &Proposal) -> Vec<String> {
    let mut out = Vec::new();
    let vertices = &route.vertices_mm;
    let radius_mm = route.bends.first().map_or(95.25, |b| b.clr_mm);
    let points = walk(vertices, radius_mm);
    for (obstacle, gap_mm) in scene.project.obstacles.iter().map(|o| (o, o.gap_mm)) {
        let need_mm = TUBE_MM / 2.0 + gap_mm;
        let worst = points.iter().map(|p| distance_mm(obstacle, *p)).fold(f64::INFINITY, f64::min);
        if worst < need_mm - 0.01 {
            out.push(format!("{} is {:.3} mm too near", obstacle.name, need_mm - worst));
        }
    }
    let [from, to] = scene.ends();
    let n = vertices.len();
    let leaves = (vertices[1] - vertices[0]).try_normalize().unwrap();
    let arrives = (vertices[n - 1] - vertices[n - 2]).try_normalize().unwrap();
    if vertices[0].distance(from.0) > 1e-6 || vertices[n - 1].distance(to.0) > 1e-6 {
        out.push("it does not go from port to port".to_owned());
    }
    if leaves.distance(from.1) > 1e-6 || arrives.distance(-to.1) > 1e-6 {
        out.push("it does not leave its ports square".to_owned());
    }
    out
}

pub(crate) fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

#[test]
fn a_hidden_pipe_is_found_and_no_dearer_than_it_was_hidden() {
    let count = scenes();
    let times = std::env::var("PIPELOFT_TIMES").is_ok();
    let (mut found, mut ratios, mut firsts) = (0, Vec::new(), Vec::new());
    let mut lost = Vec::new();
    for seed in 0..count {
        let scene = hide(seed);
        let scans = Scans::default();
        let report = Report::of(&scene.project, &scans, Effort::Quick);
        let before = Before { project: &scene.project, scans: &scans, report: &report };
        let ask = Ask {
            ways: vec![Way::Elbows { clr_mm: 95.25 }],
            shortest_mm: Some(20.0),
            most_bends: 8,
            ..Ask::of(scene.run)
        };
        let begun = worked_s();
        let mut first = None;
        let out = propose(before, &ask, &Unwatched, &mut |_| {
            first.get_or_insert(worked_s() - begun);
        });
        let all = worked_s() - begun;
        let Some(best) = out.routes.first() else {
            lost.push((seed, out.none_because(&scene.project)));
            assert!(
                !out.none.as_ref().is_some_and(pipeloft_core::finding::NoRoute::is_proved),
                "scene {seed}"
            );
            continue;
        };
        found += 1;
        for route in &out.routes {
            assert_eq!(faults(&scene, route), Vec::<String>::new(), "scene {seed}");
            let next = pipeloft_core::edit::apply(&scene.project, &route.edit()).unwrap();
            let fresh = Report::new(&next);
            let tight: Vec<_> = fresh.clearance.iter().filter(|c| !c.ok).collect();
            assert!(tight.is_empty(), "scene {seed}: {tight:?}");
            let stop = fresh.findings.iter().find(|f| f.severity == pipeloft_core::finding::Severity::Stop);
            assert_eq!(stop, None, "scene {seed}");
        }
        let ratio = best.cost / scene.cost;
        if times {
            let first = first.unwrap_or_default();
            firsts.push(first);
            eprintln!(
                "scene {seed}: {} bends, {} obstacles: first {first:.4} s, all {all:.3} s, {} routes, cost {ratio:.3}",
                scene.bends,
                scene.project.obstacles.len(),
                out.routes.len()
            );
        }
        ratios.push(ratio);
    }
    if times {
        eprintln!(
            "{found} of {count}; median cost {:.3}, first {:.4} s",
            median(ratios.clone()),
            median(firsts)
        );
    }
    assert!(found * 100 >= count * 99, "{found} of {count}: {lost:?}");
    let middle = median(ratios);
    assert!(middle <= 1.05, "median cost {middle}");
}
