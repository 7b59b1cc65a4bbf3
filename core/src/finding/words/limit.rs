//! What is said about numbers and texts that are out of their limits.

use crate::model::limits::Fault;
use crate::units::{UnitSystem, length, plain_number};

/// Where it is, in words.
pub(super) fn place(fault: &Fault) -> String {
    match fault {
        Fault::Length { what, .. } | Fault::Number { what, .. } => what.clone(),
        Fault::Wall { of, .. } => of.clone(),
        Fault::SameId { id } => format!("id {id}"),
        Fault::SameInnerId { run, .. } | Fault::InnerIdTooLarge { run, .. } => run.clone(),
        Fault::HardpointWithoutDirection { name } | Fault::MergeWithoutDirection { name } => name.clone(),
        Fault::Ring { names } => names.first().cloned().unwrap_or_default(),
        Fault::TextTooLong { begins, .. } => begins.clone(),
        Fault::NoChecksum { scan, .. } => scan.clone(),
        Fault::TooMany { .. } | Fault::IdsTooLarge { .. } => String::new(),
    }
}

/// The sentence a person reads.
pub(super) fn text(fault: &Fault, units: UnitSystem) -> String {
    let len = |mm: f64| if mm.is_finite() { length(mm, units) } else { NO_NUMBER.to_owned() };
    match fault {
        Fault::Length { what, mm, least_mm, most_mm } => {
            must(what, &len(*mm), &format!("from {} to {}", len(*least_mm), len(*most_mm)))
        }
        Fault::Number { what, value, least, most, unit } => {
            let number = |x: f64| plain_number(x, 4);
            let value = if value.is_finite() { number(*value) + unit } else { NO_NUMBER.to_owned() };
            must(what, &value, &format!("from {} to {}{unit}", number(*least), number(*most)))
        }
        Fault::Wall { of, wall_mm, od_mm } => must(
            &format!("The wall of {of}"),
            &len(*wall_mm),
            &format!("more than nothing and less than half the diameter ({})", len(od_mm / 2.0)),
        ),
        Fault::TooMany { what, count, most } => {
            format!("There are {count} {what}; at most {most} can be handled: delete or split some.")
        }
        Fault::SameId { id } => must(
            &format!("id {id}"),
            "used more than once",
            "different for every body, datum, tube, elbow, joint, hardpoint, obstacle, run, merge and bar",
        ),
        Fault::IdsTooLarge { below } => must("The largest id", "too large", &format!("below {below}")),
        Fault::SameInnerId { what, id, run } => must(
            &format!("{what} id {id} of {run}"),
            "used more than once",
            &format!("different for every {what} of the run"),
        ),
        Fault::InnerIdTooLarge { what, id, run, below } => {
            must(&format!("{what} id {id} of {run}"), "too large", &format!("below {below}"))
        }
        Fault::HardpointWithoutDirection { name } => without_direction(name),
        Fault::MergeWithoutDirection { name } => {
            format!("{name} has no direction: enter which way its outlet points.")
        }
        Fault::Ring { names } => ring(names),
        Fault::TextTooLong { what, begins, count, most } => must(
            &format!("{what} ({begins})"),
            &format!("{count} characters long"),
            &format!("at most {most}"),
        ),
        Fault::NoChecksum { scan, begins } => must(
            &format!("The checksum (SHA-256) of {scan}"),
            &format!("\"{begins}\""),
            "64 hexadecimal digits; bring the scan in again to have it taken anew",
        ),
    }
}

const NO_NUMBER: &str = "not a number";

fn must(what: &str, value: &str, allowed: &str) -> String {
    format!("{what} is {value}; it must be {allowed}.")
}

/// Of a hardpoint that does not say which way it points.
pub(super) fn without_direction(name: &str) -> String {
    format!("Hardpoint {name} has no direction: give the way out of the part, for example 1, 0, 0.")
}

fn ring(names: &[String]) -> String {
    let Some((name, others)) = names.split_first() else { return String::new() };
    let how = if others.is_empty() {
        "it begins or ends itself".to_owned()
    } else {
        format!("depends on {}, and so on {name} again", others.join(", which depends on "))
    };
    format!("{name} sits on a run that {how}: let it sit on another run, or on nothing.")
}
