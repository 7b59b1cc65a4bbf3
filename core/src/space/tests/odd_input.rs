//! dbg
use super::*;
#[test]
fn dbg142() {
    let mut dice = Dice::new(1);
    for n in 0..400 {
        let solid = dice.solid(0, 120.0);
        let shape = PlacedShape::new(&dice.shape(n), &dice.pose(200.0));
        if n == 142 {
            println!("{:?}", gap_to_shape(&solid, &shape, f64::INFINITY));
        }
    }
}
