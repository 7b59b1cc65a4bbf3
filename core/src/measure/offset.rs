//! A point by offsets from another: along the axes of the space, or along the frame of a port.

use super::trust::{Good, Trust};
use super::{MeasureError, check_direction, check_length, check_point};
use crate::geom::Frame;
use crate::geom::vector::across;
use glam::DVec3;

/// A point that was reached by offsets.
#[derive(Debug, Clone, PartialEq)]
pub struct Offset {
    /// Where it is, mm.
    pub position_mm: DVec3,
    /// How far it is from where the offsets start, mm.
    pub distance_mm: f64,
    /// Good: offsets are taken as entered.
    pub trust: Trust,
}

/// Offsets along a port: out of the part, and across it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PortOffset {
    /// Along the port's direction, out of the part, mm.
    pub out_mm: f64,
    /// Towards 12 o'clock, mm.
    pub twelve_mm: f64,
    /// Towards 3 o'clock (to the right of who looks along the direction, 12 o'clock up), mm.
    pub three_mm: f64,
}

/// The point `offset_mm` from `base_mm`: forward, left and up, negative for backward, right and down.
///
/// Refused where a number is none, or the point lies beyond [`FARTHEST_MM`](super::FARTHEST_MM).
pub fn along_axes(base_mm: DVec3, offset_mm: DVec3) -> Result<Offset, MeasureError> {
    check_point("the point measured from", base_mm)?;
    check_length("The offset forward", offset_mm.x)?;
    check_length("The offset to the left", offset_mm.y)?;
    check_length("The offset up", offset_mm.z)?;
    placed(base_mm, base_mm + offset_mm)
}

/// The point at `offset` from the origin of `port`, along its own directions.
///
/// Refused where a number is none, the port has no direction, or the point lies beyond
/// [`FARTHEST_MM`](super::FARTHEST_MM). The frame's vectors need not be quite of unit length or square.
pub fn along_port(port: &Frame, offset: PortOffset) -> Result<Offset, MeasureError> {
    let (out, twelve, three) = directions(port)?;
    check_length("The offset out", offset.out_mm)?;
    check_length("The offset to 12 o'clock", offset.twelve_mm)?;
    check_length("The offset to 3 o'clock", offset.three_mm)?;
    let step = out * offset.out_mm + twelve * offset.twelve_mm + three * offset.three_mm;
    placed(port.origin, port.origin + step)
}

/// The offsets along `port` at which `position_mm` lies: what [`along_port`] undoes.
pub fn seen_from_port(port: &Frame, position_mm: DVec3) -> Result<PortOffset, MeasureError> {
    let (out, twelve, three) = directions(port)?;
    check_point("the point", position_mm)?;
    let step = position_mm - port.origin;
    Ok(PortOffset { out_mm: step.dot(out), twelve_mm: step.dot(twelve), three_mm: step.dot(three) })
}

/// Unit directions of a port: out, 12 and 3 o'clock.
fn directions(port: &Frame) -> Result<(DVec3, DVec3, DVec3), MeasureError> {
    check_point("the port", port.origin)?;
    let out = check_direction("The port measured from", port.travel)?;
    let twelve = across(port.index, out).ok_or_else(|| MeasureError::NoDirection {
        what: "12 o'clock of the port measured from".to_owned(),
    })?;
    Ok((out, twelve, out.cross(twelve)))
}

fn placed(base_mm: DVec3, position_mm: DVec3) -> Result<Offset, MeasureError> {
    check_point("the point reached", position_mm)?;
    Ok(Offset {
        position_mm,
        distance_mm: (position_mm - base_mm).length(),
        trust: Trust::new(Vec::new(), Good::AsEntered),
    })
}

#[cfg(test)]
mod tests {
    use super::super::Level;
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn offsets_along_the_axes_add_up() {
        let got = along_axes(DVec3::new(100.0, -20.0, 5.0), DVec3::new(-3.0, 4.0, 12.0)).unwrap();
        assert_relative_eq!(got.position_mm, DVec3::new(97.0, -16.0, 17.0));
        assert_relative_eq!(got.distance_mm, 13.0);
        assert_eq!(got.trust.level(), Level::Good);
    }

    #[test]
    fn three_o_clock_of_a_port_that_looks_forward_is_to_the_right() {
        // Y is left in ISO 8855
        let port = Frame::new(DVec3::new(10.0, 20.0, 30.0), DVec3::X, DVec3::Z);
        let offset = PortOffset { out_mm: 1.0, twelve_mm: 2.0, three_mm: 3.0 };
        let got = along_port(&port, offset).unwrap();
        assert_relative_eq!(got.position_mm, DVec3::new(11.0, 17.0, 32.0), epsilon = 1e-12);
        let back = seen_from_port(&port, got.position_mm).unwrap();
        assert_relative_eq!(back.three_mm, 3.0, epsilon = 1e-12);
        assert_relative_eq!(back.out_mm, 1.0, epsilon = 1e-12);
    }

    proptest::proptest! {
        #![proptest_config(proptest::prelude::ProptestConfig::with_cases(300))]
        #[test]
        fn going_there_and_looking_back_gives_the_offsets(
            o in proptest::array::uniform3(-2e3..2e3_f64),
            d in proptest::array::uniform3(-1.0..1.0_f64),
            c in proptest::array::uniform3(-1.0..1.0_f64),
        ) {
            let (d, c) = (DVec3::from_array(d), DVec3::from_array(c));
            proptest::prop_assume!(d.length() > 0.1 && d.cross(c).length() > 0.05);
            let port = Frame { origin: DVec3::new(7.0, -8.0, 9.0), travel: d, index: c };
            let offset = PortOffset { out_mm: o[0], twelve_mm: o[1], three_mm: o[2] };
            let got = along_port(&port, offset).unwrap();
            let back = seen_from_port(&port, got.position_mm).unwrap();
            proptest::prop_assert!((back.out_mm - o[0]).abs() < 1e-9);
            proptest::prop_assert!((back.twelve_mm - o[1]).abs() < 1e-9);
            proptest::prop_assert!((back.three_mm - o[2]).abs() < 1e-9);
        }
    }

    #[test]
    fn what_is_no_place_is_refused() {
        let nan = DVec3::new(f64::NAN, 0.0, 0.0);
        assert!(along_axes(nan, DVec3::ZERO).is_err());
        assert!(along_axes(DVec3::ZERO, nan).is_err());
        assert!(along_axes(DVec3::splat(4e4), DVec3::splat(2e4)).is_err());
        let offset = PortOffset { out_mm: 1.0, twelve_mm: 0.0, three_mm: 0.0 };
        for (travel, index) in
            [(DVec3::ZERO, DVec3::Z), (DVec3::X, DVec3::X), (nan, DVec3::Z), (DVec3::X, nan)]
        {
            let port = Frame { origin: DVec3::ZERO, travel, index };
            assert!(along_port(&port, offset).is_err(), "{travel} {index}");
        }
    }
}
