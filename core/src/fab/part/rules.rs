//! Where sensors and taps should stand: rules of the trade, each said to be that.

use crate::finding::PartFault;
use crate::geom::Frame;
use crate::geom::vector::half_open_turn;
use crate::model::{BungUse, Service};
use std::f64::consts::PI;

/// A sensor in exhaust gas stands at least this far above level, rad (10°; common practice, no source).
const SENSOR_RISE_RAD: f64 = 10.0 * PI / 180.0;
/// Pipe between a turbine and a sensor in its exhaust, mm (common practice, no source).
const SENSOR_FROM_START_MM: f64 = 600.0;
/// Straight pipe between a bend and a pressure tap, in outside diameters (common practice, no source).
const TAP_DIAMETERS: f64 = 3.0;
/// Angles this near to a rule keep it, rad: rounding of clocks as typed.
const KEPT_RAD: f64 = 1e-9;

/// Where a bung stands, for the rules.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stand {
    /// The centre line there.
    pub(super) frame: Frame,
    /// Its clock, rad.
    pub(super) clock_rad: f64,
    /// Centre line from the run's start, mm.
    pub(super) from_start_mm: f64,
    /// Straight since the bend before, mm; none on the first leg.
    pub(super) from_bend_mm: Option<f64>,
    /// Straight that is left after it, mm.
    pub(super) left_mm: f64,
    /// Its station as entered, mm.
    pub(super) station_mm: f64,
    /// Outside diameter of the tube, mm.
    pub(super) od_mm: f64,
}

/// What the rules say of a bung.
pub(super) fn of_bung(purpose: BungUse, service: Service, at: &Stand) -> Vec<PartFault> {
    match purpose {
        BungUse::Plain | BungUse::Temperature => Vec::new(),
        BungUse::ExhaustSensor => sensor(service, at),
        BungUse::PressureTap => tap(at).into_iter().collect(),
    }
}

fn sensor(service: Service, at: &Stand) -> Vec<PartFault> {
    let mut out = Vec::new();
    let out_of_pipe = at.frame.at_clock(at.clock_rad);
    let stands_rad = out_of_pipe.z.clamp(-1.0, 1.0).asin();
    if stands_rad < SENSOR_RISE_RAD - KEPT_RAD {
        out.push(PartFault::SensorLow {
            stands_rad,
            least_rad: SENSOR_RISE_RAD,
            fits_rad: rising_clock(&at.frame, at.clock_rad),
        });
    }
    if service == Service::Exhaust && at.from_start_mm < SENSOR_FROM_START_MM {
        let (from_start_mm, least_mm) = (at.from_start_mm, SENSOR_FROM_START_MM);
        out.push(PartFault::SensorNear { from_start_mm, least_mm });
    }
    out
}

/// The clock next to `clock_rad` at which a part rises enough, in tenths of a degree on the safe side where there is room
/// for that; `None` where the pipe is too steep.
///
/// At clock φ it rises by `a·cos(φ − top)`, `a` the sine of the angle between pipe and plumb line.
fn rising_clock(frame: &Frame, clock_rad: f64) -> Option<f64> {
    let three = frame.travel.cross(frame.index);
    let (top, most) = (three.z.atan2(frame.index.z), three.z.hypot(frame.index.z));
    let least = SENSOR_RISE_RAD.sin();
    if most < least {
        return None;
    }
    let half_rad = (least / most).clamp(-1.0, 1.0).acos();
    let off = half_open_turn(clock_rad - top);
    let edge = top + off.clamp(-half_rad, half_rad);
    // towards the top
    let tenth = 0.1 * PI / 180.0;
    let tenths = edge / tenth;
    let rounded = if off > 0.0 { (tenths + 1e-6).floor() } else { (tenths - 1e-6).ceil() } * tenth;
    Some(if half_open_turn(rounded - top).abs() <= half_rad + KEPT_RAD { rounded } else { edge })
}

fn tap(at: &Stand) -> Option<PartFault> {
    let from_bend_mm = at.from_bend_mm?;
    let least_mm = TAP_DIAMETERS * at.od_mm;
    let more_mm = least_mm - from_bend_mm;
    let fits = (more_mm <= at.left_mm).then_some(at.station_mm + more_mm);
    (more_mm > 1e-6).then_some(PartFault::TapNear { from_bend_mm, least_mm, fits })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::vector::unit;
    use approx::assert_relative_eq;
    use glam::DVec3;

    fn stand(travel: DVec3, clock_deg: f64) -> Stand {
        let frame = Frame::new(DVec3::ZERO, travel, DVec3::Z);
        let clock_rad = f64::to_radians(clock_deg);
        Stand {
            frame,
            clock_rad,
            from_start_mm: 700.0,
            from_bend_mm: Some(50.0),
            left_mm: 300.0,
            station_mm: 50.0,
            od_mm: 50.0,
        }
    }

    #[test]
    fn a_sensor_on_a_level_pipe_may_lean_to_80_degrees_and_no_further() {
        for (clock, kept) in
            [(0.0, true), (79.9, true), (80.0, true), (80.1, false), (280.0, true), (279.0, false)]
        {
            let said = of_bung(BungUse::ExhaustSensor, Service::Exhaust, &stand(DVec3::X, clock));
            assert_eq!(said.is_empty(), kept, "{clock}: {said:?}");
        }
        // the nearer side is told
        for (clock, nearest) in [(120.0, 80.0), (181.0, 280.0), (200.0, 280.0)] {
            let said = of_bung(BungUse::ExhaustSensor, Service::Exhaust, &stand(DVec3::X, clock));
            let [PartFault::SensorLow { stands_rad, fits_rad: Some(fits), .. }] = said[..] else {
                panic!("{said:?}")
            };
            assert_relative_eq!(fits.to_degrees().rem_euclid(360.0), nearest, epsilon = 1e-9);
            assert_relative_eq!(stands_rad, (clock.to_radians().cos()).asin(), epsilon = 1e-12);
        }
    }

    #[test]
    fn on_a_sloping_pipe_the_clock_that_is_told_keeps_the_rule_and_on_an_upright_one_none_does() {
        let slope = unit(DVec3::new(0.4, 0.3, 0.75)).unwrap();
        let at = stand(slope, 170.0);
        let said = of_bung(BungUse::ExhaustSensor, Service::Other, &at);
        let [PartFault::SensorLow { fits_rad: Some(fits), .. }] = said[..] else { panic!("{said:?}") };
        let rise = |clock: f64| at.frame.at_clock(clock).z.asin().to_degrees();
        assert!(rise(fits) >= 10.0 && rise(fits) < 10.1, "{}", rise(fits));
        let up = of_bung(BungUse::ExhaustSensor, Service::Other, &stand(DVec3::Z, 0.0));
        assert!(matches!(up[..], [PartFault::SensorLow { fits_rad: None, .. }]), "{up:?}");
    }

    #[test]
    fn a_sensor_right_behind_the_turbine_is_noted_only_in_an_exhaust() {
        let near = Stand { from_start_mm: 599.0, ..stand(DVec3::X, 0.0) };
        let said = of_bung(BungUse::ExhaustSensor, Service::Exhaust, &near);
        assert!(matches!(said[..], [PartFault::SensorNear { .. }]), "{said:?}");
        assert_eq!(of_bung(BungUse::ExhaustSensor, Service::WastegateDump, &near), []);
        let far = Stand { from_start_mm: 600.0, ..near };
        assert_eq!(of_bung(BungUse::ExhaustSensor, Service::Exhaust, &far), []);
    }

    #[test]
    fn a_pressure_tap_wants_three_diameters_after_a_bend() {
        let at = stand(DVec3::X, 0.0);
        let said = of_bung(BungUse::PressureTap, Service::ChargeAir, &at);
        let [PartFault::TapNear { fits: Some(fits), .. }] = said[..] else { panic!("{said:?}") };
        assert_relative_eq!(fits, 150.0);
        let far = Stand { from_bend_mm: Some(150.0), ..at };
        assert_eq!(of_bung(BungUse::PressureTap, Service::ChargeAir, &far), []);
        let first = Stand { from_bend_mm: None, ..at };
        assert_eq!(of_bung(BungUse::PressureTap, Service::ChargeAir, &first), []);
        let short = Stand { left_mm: 99.0, ..at };
        let said = of_bung(BungUse::PressureTap, Service::ChargeAir, &short);
        assert!(matches!(said[..], [PartFault::TapNear { fits: None, .. }]), "{said:?}");
    }
}
