//! Measures the scene that `clearance.py` beside it writes, and prints what it finds as JSON.
#![expect(clippy::print_stdout, reason = "what it prints is its result")]

use glam::DVec3;
use pipeloft_core::geom::{Barrel, Block, Drum, Elbow, Frame, Solid};
use pipeloft_core::model::obstacle::Pose;
use pipeloft_core::space::scan::{PlacedScan, ScanTree, Unwatched, read};
use serde_json::{Value, json};
use std::error::Error;
use std::hint::black_box;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

type Outcome<T> = Result<T, Box<dyn Error>>;

/// The entry `key`, as a sentence where it is missing.
fn entry<'a>(value: &'a Value, key: &str) -> Outcome<&'a Value> {
    value.get(key).ok_or_else(|| format!("the scene has no {key} where it should: {value}").into())
}

fn number(value: &Value, key: &str) -> Outcome<f64> {
    let number = entry(value, key)?;
    number.as_f64().ok_or_else(|| format!("{key} is no number: {number}").into())
}

fn list<'a>(value: &'a Value, key: &str) -> Outcome<&'a [Value]> {
    let list = entry(value, key)?;
    list.as_array().map(Vec::as_slice).ok_or_else(|| format!("{key} is no list: {list}").into())
}

fn vector_of(value: &Value) -> Outcome<DVec3> {
    let numbers: Option<Vec<f64>> = value.as_array().and_then(|all| all.iter().map(Value::as_f64).collect());
    match numbers.as_deref() {
        Some(&[x, y, z]) => Ok(DVec3::new(x, y, z)),
        _ => Err(format!("this should be three numbers: {value}").into()),
    }
}

fn vector(value: &Value, key: &str) -> Outcome<DVec3> {
    vector_of(entry(value, key)?)
}

fn solid(value: &Value) -> Outcome<Solid> {
    let start = || -> Outcome<Frame> {
        Ok(Frame {
            origin: vector(value, "origin")?,
            travel: vector(value, "travel")?,
            index: vector(value, "index")?,
        })
    };
    Ok(match entry(value, "kind")?.as_str() {
        Some("barrel") => Solid::Barrel(Barrel {
            start: start()?,
            length_mm: number(value, "length_mm")?,
            radius_mm: number(value, "radius_mm")?,
            start_normal: vector(value, "start_normal")?,
            end_normal: vector(value, "end_normal")?,
        }),
        Some("elbow") => Solid::Elbow(Elbow {
            start: start()?,
            toward: vector(value, "toward")?,
            clr_mm: number(value, "clr_mm")?,
            angle_rad: number(value, "angle_rad")?,
            radius_mm: number(value, "radius_mm")?,
        }),
        Some("drum") => Solid::Drum(Drum {
            start: start()?,
            length_mm: number(value, "length_mm")?,
            radius_mm: number(value, "radius_mm")?,
        }),
        Some("block") => {
            let [a, b, c] = list(value, "axes")? else { return Err("a block has three axes".into()) };
            Solid::Block(Block {
                centre: vector(value, "centre")?,
                axes: [vector_of(a)?, vector_of(b)?, vector_of(c)?],
                half_mm: vector(value, "half_mm")?,
            })
        }
        other => return Err(format!("no solid is of the kind {other:?}").into()),
    })
}

fn solids(value: &Value, key: &str) -> Outcome<Vec<Solid>> {
    list(value, key)?.iter().map(solid).collect()
}

/// Milliseconds of each of `rounds` rounds, least first, after one that does not count.
fn timed_ms(rounds: usize, mut work: impl FnMut()) -> Vec<f64> {
    work();
    let mut all: Vec<f64> = (0..rounds.max(1))
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    all.sort_by(f64::total_cmp);
    all
}

fn main() -> Outcome<()> {
    let path = std::env::args().nth(1).ok_or("Say which scene: gaps SCENE.json")?;
    let path = Path::new(&path);
    let scene: Value = serde_json::from_str(&std::fs::read_to_string(path)?)?;
    let scan_name = entry(&scene, "scan")?.as_str().ok_or("the scene names no scan")?;
    let rounds = number(&scene, "rounds")? as usize;
    let (run, moved) = (solids(&scene, "run")?, solids(&scene, "moved_run")?);

    let start = Instant::now();
    let scan = read(&path.with_file_name(scan_name), &Unwatched)?;
    let read_s = start.elapsed().as_secs_f64();
    let tree = Arc::new(ScanTree::new(scan, &Unwatched)?);
    let ready_s = start.elapsed().as_secs_f64();
    let triangles = tree.scan().len();
    let placed = PlacedScan::new(tree, &Pose::at(DVec3::ZERO), 1.0).ok_or("the scan cannot be placed")?;

    let tightest = |solids: &[Solid]| placed.tightest(solids, f64::INFINITY, None);
    let found = tightest(&run).ok_or("the run has no gap")?;
    let whole_ms = timed_ms(rounds, || {
        black_box(tightest(black_box(&run)));
    });
    let each: Vec<f64> =
        run.iter().map(|one| tightest(&[*one]).map_or(f64::INFINITY, |found| found.gap.gap_mm)).collect();
    let each_ms = timed_ms(rounds, || {
        for one in &run {
            black_box(tightest(black_box(&[*one])));
        }
    });
    // there and back, each beginning where the other was tightest
    let (mut hint, mut is_moved) = (Some(found.hint()), false);
    let drag_ms = timed_ms(rounds, || {
        is_moved = !is_moved;
        let next = placed.tightest(if is_moved { &moved } else { &run }, f64::INFINITY, hint);
        hint = next.map(|found| found.hint());
    });
    let answer = json!({
        "triangles": triangles,
        "read_s": read_s,
        "ready_s": ready_s,
        "gap_mm": found.gap.gap_mm,
        "solid": found.solid,
        "each_gap_mm": each,
        "whole_ms": whole_ms,
        "each_ms": each_ms,
        "drag_ms": drag_ms,
    });
    println!("{answer}");
    Ok(())
}
