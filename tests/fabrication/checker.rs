//! An outside checker: rebuilds a run from the report's JSON with its own arithmetic.
//!
//! Nothing of the program but the text of the report comes in here.

use serde_json::Value;
use std::f64::consts::PI;

type V3 = [f64; 3];

fn add(a: V3, b: V3, times: f64) -> V3 {
    [a[0] + b[0] * times, a[1] + b[1] * times, a[2] + b[2] * times]
}

fn dot(a: V3, b: V3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: V3, b: V3) -> V3 {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn size(a: V3) -> f64 {
    dot(a, a).sqrt()
}

fn unit(a: V3) -> V3 {
    let n = size(a);
    a.map(|x| x / n)
}

/// `v` turned right-handed about the unit `axis`.
fn turned(v: V3, axis: V3, angle: f64) -> V3 {
    let (s, c) = angle.sin_cos();
    let along = dot(v, axis) * (1.0 - c);
    add(add(v.map(|x| x * c), cross(axis, v), s), axis, along)
}

/// Angle between two directions, rad.
fn apart(a: V3, b: V3) -> f64 {
    size(cross(a, b)).atan2(dot(a, b))
}

/// The vector at `value`.
pub(crate) fn vector(value: &Value) -> V3 {
    let at = |i: usize| value[i].as_f64().unwrap_or(f64::NAN);
    [at(0), at(1), at(2)]
}

/// The number under `key`; NaN, which no comparison passes, where there is none.
pub(crate) fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or(f64::NAN)
}

/// Perimeter of an ellipse as the length of a fine polygon; good to 1e-7 of itself.
fn perimeter(a: f64, b: f64) -> f64 {
    let n = 4000_u32;
    let point = |i: u32| {
        let t = 2.0 * PI * f64::from(i) / f64::from(n);
        (a * t.cos(), b * t.sin())
    };
    (0..n)
        .map(|i| {
            let (p, q) = (point(i), point(i + 1));
            (p.0 - q.0).hypot(p.1 - q.1)
        })
        .sum()
}

/// A walker along the pipe: where it is, which way it looks, where 12 o'clock is.
struct Walker {
    at: V3,
    way: V3,
    twelve: V3,
}

impl Walker {
    /// Direction at a clock angle: clockwise when looking along the way.
    fn clock(&self, deg: f64) -> V3 {
        let right = cross(self.way, self.twelve);
        let (s, c) = deg.to_radians().sin_cos();
        add(self.twelve.map(|x| x * c), right, s)
    }

    fn turn(&mut self, axis: V3, angle: f64) {
        self.way = turned(self.way, axis, angle);
        self.twelve = turned(self.twelve, axis, angle);
    }

    /// Through a face tilted by `tilt` with its long side at `heel`: the pipe turns away from the long side.
    fn through(&mut self, tilt_deg: f64, heel: &Value) {
        if let Some(heel) = heel.as_f64() {
            let away = self.clock(heel + 180.0);
            self.turn(cross(self.way, away), tilt_deg.to_radians());
        }
    }

    /// How far an offset taper sets the pipe off across the way.
    fn set_off(&self, piece: &Value) -> V3 {
        match piece["taper"]["offset_clock_deg"].as_f64() {
            Some(clock) => self.clock(clock).map(|x| x * number(&piece["taper"], "offset_mm")),
            None => [0.0; 3],
        }
    }

    fn of(run: &Value) -> Self {
        Self {
            at: vector(&run["start"]["position_mm"]),
            way: unit(vector(&run["start"]["direction"])),
            twelve: unit(vector(&run["start"]["clock"])),
        }
    }

    /// From one piece to the next, through both their cuts.
    fn between(&mut self, before: &Value, after: &Value) {
        self.through(number(before, "end_cut_deg"), &before["end_heel_clock_deg"]);
        self.through(number(after, "start_cut_deg"), &after["start_heel_clock_deg"]);
    }

    fn piece(&mut self, piece: &Value) {
        let elbow = &piece["bend"];
        if elbow.is_null() {
            self.at = add(self.at, self.way, number(piece, "centre_mm"));
            self.at = add(self.at, self.set_off(piece), 1.0);
            return;
        }
        self.at = add(self.at, self.way, number(elbow, "lead_mm"));
        let towards = self.clock(number(elbow, "throat_clock_deg"));
        let centre = add(self.at, towards, number(elbow, "clr_mm"));
        let (axis, angle) = (cross(self.way, towards), number(elbow, "angle_deg").to_radians());
        self.at = add(centre, turned(add(self.at, centre, -1.0), axis, angle), 1.0);
        self.turn(axis, angle);
        self.at = add(self.at, self.way, number(elbow, "tail_mm"));
    }
}

/// Outside diameter where a piece ends.
fn end_od(piece: &Value) -> f64 {
    piece["taper"]["end_od_mm"].as_f64().unwrap_or_else(|| number(piece, "od_mm"))
}

/// The corners with what offset tapers set off taken back, so that every leg lies along its pipe.
fn without_offsets(run: &Value, pieces: &[Value], corners: &[V3]) -> Vec<V3> {
    let mut out = corners.to_vec();
    let mut walker = Walker::of(run);
    for (i, piece) in pieces.iter().enumerate() {
        if i > 0 {
            walker.between(&pieces[i - 1], piece);
        }
        let off = walker.set_off(piece);
        // the leg it is on: the one that goes along the pipe once it is taken back
        let leg = corners.windows(2).position(|p| {
            let from_corner = add(walker.at, p[0], -1.0);
            apart(add(add(p[1], p[0], -1.0), off, -1.0), walker.way) < 1e-6
                && size(cross(from_corner, walker.way)) < 0.01
                && dot(from_corner, walker.way) > 0.0
        });
        if let Some(leg) = leg.filter(|_| size(off) > 0.0) {
            out.iter_mut().skip(leg + 1).for_each(|corner| *corner = add(*corner, off, -1.0));
        }
        walker.piece(piece);
    }
    out
}

/// What is wrong with one run of a report; empty where everything agrees.
pub(crate) fn faults(run: &Value) -> Vec<String> {
    let mut faults = Vec::new();
    let mut near = |what: String, got: f64, want: f64, within: f64| {
        let off = (got - want).abs();
        if off.is_nan() || off > within {
            faults.push(format!("{what}: {got}, not {want}"));
        }
    };
    let list = |key: &str| run[key].as_array().cloned().unwrap_or_default();
    let (pieces, welds, bends) = (list("pieces"), list("welds"), list("bends"));
    let corners: Vec<V3> = list("vertices_mm").iter().map(vector).collect();
    let od = number(&run["tube"], "od_mm");

    let plain = without_offsets(run, &pieces, &corners);
    let ways: Vec<V3> = plain.windows(2).map(|p| unit(add(p[1], p[0], -1.0))).collect();
    near("bends".to_owned(), bends.len() as f64, ways.len() as f64 - 1.0, 0.0);
    let mut setback = vec![0.0];
    for (i, bend) in bends.iter().enumerate() {
        let theta = apart(ways[i], ways[i + 1]);
        near(format!("angle of bend {}", i + 1), number(bend, "angle_deg"), theta.to_degrees(), 1e-6);
        setback.push(number(bend, "clr_mm") * (theta / 2.0).tan());
        if bend["make"] == "mitred" {
            mitred(bend, theta, od, &mut near);
        }
    }
    setback.push(0.0);
    for (i, leg) in list("legs").iter().enumerate() {
        let straight = size(add(plain[i + 1], plain[i], -1.0)) - setback[i] - setback[i + 1];
        near(format!("straight of leg {}", i + 1), number(leg, "straight_mm"), straight, 1e-6);
    }

    let mut walker = Walker::of(run);
    near("clock across the start".to_owned(), dot(walker.way, walker.twelve), 0.0, 1e-9);
    for (i, piece) in pieces.iter().enumerate() {
        if i > 0 {
            walker.between(&pieces[i - 1], piece);
        }
        walker.piece(piece);
        sides(piece, &mut near);
    }
    if let (Some(end), Some(way)) = (corners.last(), ways.last()) {
        near("end off the hardpoint".to_owned(), size(add(walker.at, *end, -1.0)), 0.0, 0.01);
        near("end out of line, degrees".to_owned(), apart(walker.way, *way).to_degrees(), 0.0, 0.001);
        let said = vector(&run["end"]["position_mm"]);
        near("end as reported".to_owned(), size(add(walker.at, said, -1.0)), 0.0, 0.01);
    }

    let total: f64 = pieces.iter().map(|p| number(p, "centre_mm")).sum();
    near("centreline".to_owned(), number(run, "centreline_mm"), total, 1e-6);
    let sum: f64 = welds.iter().map(|w| number(w, "length_mm")).sum();
    near("weld length".to_owned(), number(run, "weld_length_mm"), sum, 1e-6);
    for weld in &welds {
        weld_length(weld, &pieces, &mut near);
    }
    faults
}

fn mitred(bend: &Value, theta: f64, od: f64, near: &mut impl FnMut(String, f64, f64, f64)) {
    let (welds, slices) = (number(bend, "welds"), number(bend, "slices"));
    let half = bend["ends"] == "half";
    near("slices".to_owned(), slices, welds - 1.0, 0.0);
    let saw = theta / (2.0 * if half { welds } else { slices });
    near("saw angle".to_owned(), number(bend, "saw_angle_deg"), saw.to_degrees(), 1e-9);
    let centre = 2.0 * number(bend, "clr_mm") * if half { saw.tan() } else { saw.sin() };
    near("slice".to_owned(), number(bend, "centre_mm"), centre, 1e-6);
    near("heel".to_owned(), number(bend, "heel_mm"), centre + od * saw.tan(), 1e-6);
    near("throat".to_owned(), number(bend, "throat_mm"), centre - od * saw.tan(), 1e-6);
}

/// Long and short side of a piece by looking along all its sides.
fn sides(piece: &Value, near: &mut impl FnMut(String, f64, f64, f64)) {
    if !(piece["kind"] == "straight" || piece["kind"] == "slice") {
        return;
    }
    let r = number(piece, "od_mm") / 2.0;
    let cut = |end: &str| {
        let slope = number(piece, &format!("{end}_cut_deg")).to_radians().tan();
        (slope, piece[format!("{end}_heel_clock_deg")].as_f64().unwrap_or(0.0).to_radians())
    };
    let (start, end) = (cut("start"), cut("end"));
    let side = |clock: f64| {
        number(piece, "centre_mm") + r * start.0 * (clock - start.1).cos() + r * end.0 * (clock - end.1).cos()
    };
    let all: Vec<f64> = (0..1440).map(|i| side(f64::from(i) * PI / 720.0)).collect();
    let (long, short) =
        all.iter().fold((f64::MIN, f64::MAX), |(long, short), s| (long.max(*s), short.min(*s)));
    // between two of 1440 sides the true extreme is higher by at most 1 − cos 0.125° of the reach
    let within = 1e-6 + 3e-6 * (long - short);
    let mark = piece["mark"].as_str().unwrap_or("?");
    near(format!("long side of {mark}"), number(piece, "long_mm"), long, within);
    near(format!("short side of {mark}"), number(piece, "short_mm"), short, within);
    for (quarter, said) in piece["quarters_mm"].as_array().into_iter().flatten().enumerate() {
        let want = side(quarter as f64 * PI / 2.0);
        near(format!("quarter line of {mark}"), said.as_f64().unwrap_or(f64::NAN), want, 1e-6);
    }
}

fn weld_length(weld: &Value, pieces: &[Value], near: &mut impl FnMut(String, f64, f64, f64)) {
    let piece = |i: usize| pieces.iter().find(|p| p["mark"] == weld["between"][i]);
    let (Some(before), Some(after)) = (piece(0), piece(1)) else { return };
    let od = end_od(before);
    let tilt = number(before, "end_cut_deg").max(number(after, "start_cut_deg")).to_radians();
    let want = perimeter(od / 2.0 / tilt.cos(), od / 2.0);
    let mark = weld["mark"].as_str().unwrap_or("?");
    near(format!("length of weld {mark}"), number(weld, "length_mm"), want, 1e-4);
    if let (Some(clock), Some(arc)) = (weld["heel_clock_deg"].as_f64(), weld["arc_mm"].as_f64()) {
        let want = clock.rem_euclid(360.0).to_radians() * od / 2.0;
        near(format!("arc of weld {mark}"), arc, want, 1e-6);
    }
}
