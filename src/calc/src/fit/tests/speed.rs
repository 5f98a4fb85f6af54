//! How long ranking takes. The bound is loose, for an unoptimised build on a shared machine: it
//! catches work per candidate growing by an order, not a slow day. Release prints the real figure.

use super::*;
use std::time::Instant;

#[test]
fn judging_ten_thousand_candidates() {
    let (old, machine) = (fan_motor(), fan_machine());
    let need = Need {
        old: &old,
        installation: &machine,
    };
    let plates: Vec<Plate> = (0..10_000)
        .map(|i| {
            let mut plate = if i % 3 == 0 {
                belt_motor()
            } else {
                fan_motor()
            };
            plate.power = read(Watts(100.0 + f64::from(i % 50) * 10.0));
            plate.shaft_length = read(Millimetres(60.0 + f64::from(i % 90)));
            plate
        })
        .collect();
    // The best of a few runs: the first one also reads the tables, and others share the machine.
    let run = || {
        let began = Instant::now();
        assert_eq!(rank(&need, plates.iter().enumerate()).len(), 10_000);
        began.elapsed()
    };
    let took = (0..9).map(|_| run()).min().unwrap_or_default();
    println!("10 000 candidates judged and ranked in {took:?}");
    assert!(took.as_secs_f64() < 2.0, "took {took:?}");
}
