//! Spares and reorder points: how many to keep, when to order, how much at a time.

pub mod spares;

pub use spares::{Spares, spares, spares_working};

use crate::life::{Refused, dist, finite, refuse, sig};
use crate::shown::{Fill, figure, line};
use crate::working::{Verdict, Working};

/// A reorder point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reorder {
    /// Normal quantile of the service.
    pub z: f64,
    /// Stock against the spread of demand and lead time.
    pub safety_stock: f64,
    /// Position at which to order.
    pub reorder_point: f64,
    /// The same in whole pieces, never below zero.
    pub units: u64,
}

/// What demand and lead time are like, days for both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// Mean demand a day, `d`.
    pub daily: f64,
    /// Standard deviation of a day's demand, `s`.
    pub daily_sd: f64,
    /// Mean lead time in days, `L`.
    pub lead_days: f64,
    /// Standard deviation of the lead time in days, `sL`.
    pub lead_sd: f64,
}

/// Reorder point `d L + z sqrt(L s^2 + d^2 sL^2)`.
///
/// `z` is the normal quantile of the service, the chance of no stock-out in an order cycle, above 0
/// and below 1. Whole pieces are rounded up, less a hair for binary fractions. For parts that move
/// often; for rare ones use [`spares()`], since their demand is nothing like normal.
/// # Errors
/// An input below zero or out of range. Source: textbook, reorder point.
pub fn reorder(demand: Demand, service: f64) -> Result<Reorder, Refused> {
    let Demand {
        daily,
        daily_sd,
        lead_days,
        lead_sd,
    } = demand;
    for (field, value) in [
        ("daily_demand", daily),
        ("daily_sd", daily_sd),
        ("lead_days", lead_days),
        ("lead_sd", lead_sd),
    ] {
        if !(0.0..=1e9).contains(&value) {
            return refuse(field, "Give zero or a number above it, at most 1e9");
        }
    }
    let Some(z) = dist::normal_quantile(service) else {
        return refuse(
            "service",
            "Give a share between 0 and 1, such as 0.95; nothing reaches 1",
        );
    };
    let spread = (lead_days * daily_sd * daily_sd + (daily * lead_sd).powi(2)).sqrt();
    let safety_stock = z * spread;
    let reorder_point = daily * lead_days + safety_stock;
    Ok(Reorder {
        z,
        safety_stock,
        reorder_point,
        units: (reorder_point - 1e-9 * reorder_point.abs().max(1.0))
            .ceil()
            .max(0.0) as u64,
    })
}

/// The reorder point as lines.
pub fn reorder_working(demand: Demand, service: f64, found: &Reorder) -> Working {
    let mut working = Working::new("When to order");
    let lead = line("lead_demand", "Demand in the lead time")
        .value(sig(demand.daily * demand.lead_days), "")
        .rule("daily demand x lead time", "textbook");
    working.lines.push(if demand.daily == 0.0 {
        lead.note("Demand given as zero. Unknown demand is not zero demand.")
    } else {
        lead
    });
    working.lines.push(
        line("safety_stock", "Safety stock")
            .value(sig(found.safety_stock), "")
            .limit(format!(
                "{} % service, z {}",
                figure(100.0 * service, 4),
                figure(found.z, 4)
            ))
            .rule("z sqrt(L s^2 + d^2 sL^2)", "textbook")
            .note(if service < 0.5 {
                "Below 50 % service the safety stock is negative: most orders come too late."
            } else {
                "Service is the chance of no stock-out in one order cycle."
            }),
    );
    working.lines.push(
        line("reorder_point", "Order when the position is at or below")
            .value(found.units.to_string(), "")
            .margin(format!("{} before rounding up", sig(found.reorder_point)))
            .rule("demand in the lead time + safety stock", "textbook"),
    );
    working
}

/// Economic lot `sqrt(2 D S / H)`.
///
/// `D` pieces a year, `S` cost of one order, `H` cost of holding one piece a year, all above zero.
/// # Errors
/// An input that is not above zero: without demand there is no lot. Source: textbook.
pub fn economic_lot(yearly: f64, order_cost: f64, holding: f64) -> Result<f64, Refused> {
    if !(yearly > 0.0 && yearly <= 1e12) {
        return refuse(
            "annual_demand",
            "Give the pieces used in a year, above zero; without demand there is no lot",
        );
    }
    if !(order_cost > 0.0 && order_cost <= 1e12) {
        return refuse("order_cost", "Give the cost of one order, above zero");
    }
    if !(holding > 0.0 && holding <= 1e12) {
        return refuse(
            "holding_cost",
            "Give the cost of holding one piece a year, above zero",
        );
    }
    match finite((2.0 * yearly * order_cost / holding).sqrt()) {
        Some(lot) => Ok(lot),
        None => refuse("holding_cost", "The lot is beyond the range of numbers"),
    }
}

/// The lot as lines.
pub fn lot_working(lot: f64) -> Working {
    let mut working = Working::new("How much to order at a time");
    working.lines.push(
        line("lot", "Economic lot")
            .value(sig(lot), "")
            .rule(
                "sqrt(2 x yearly demand x cost of an order / holding cost)",
                "textbook",
            )
            .note("The cost is flat about it: round to a box, and to what the shelf life allows."),
    );
    working
}

/// What is on the shelf, on its way and promised.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shelf {
    /// On the shelf.
    pub on_hand: f64,
    /// Ordered, not yet in.
    pub on_order: f64,
    /// Promised to jobs.
    pub reserved: f64,
    /// Order at or below this position.
    pub reorder_point: f64,
    /// Order up to this position.
    pub max_level: f64,
}

/// What the shelf asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// On hand + on order - reserved.
    pub position: f64,
    /// On hand - reserved; below zero more is promised than there is.
    pub available_now: f64,
    /// Whether to order now.
    pub should_order: bool,
    /// How much; 0 where nothing is to be ordered.
    pub order_quantity: f64,
}

/// Stock position, and what to order: up to the maximum when the position is at or below the
/// reorder point (`<=`).
///
/// Pieces from 0 to 1e9. Source: common practice.
/// # Errors
/// A count below zero or out of range; a maximum below the reorder point.
pub fn position(shelf: Shelf) -> Result<Position, Refused> {
    for (field, value) in [
        ("on_hand", shelf.on_hand),
        ("on_order", shelf.on_order),
        ("reserved", shelf.reserved),
        ("reorder_point", shelf.reorder_point),
        ("max_level", shelf.max_level),
    ] {
        if !(0.0..=1e9).contains(&value) {
            return refuse(field, "Give zero or a number above it, at most 1e9");
        }
    }
    if shelf.max_level < shelf.reorder_point {
        return refuse("max_level", "The maximum lies below the reorder point");
    }
    let position = shelf.on_hand + shelf.on_order - shelf.reserved;
    let should_order = position <= shelf.reorder_point;
    Ok(Position {
        position,
        available_now: shelf.on_hand - shelf.reserved,
        should_order,
        order_quantity: if should_order {
            shelf.max_level - position
        } else {
            0.0
        },
    })
}

/// The position as lines.
pub fn position_working(shelf: Shelf, found: &Position) -> Working {
    let mut working = Working::new("Stock position");
    let available = line("available_now", "Free on the shelf")
        .value(sig(found.available_now), "")
        .rule("on hand - reserved", "common practice");
    working.lines.push(if found.available_now < 0.0 {
        available.judge(
            Verdict::Beyond,
            "More is promised to jobs than lies on the shelf.",
        )
    } else {
        available
    });
    let shown = line("position", "Position")
        .value(sig(found.position), "")
        .limit(format!("order at {} or below", sig(shelf.reorder_point)))
        .margin(sig(found.position - shelf.reorder_point))
        .rule("on hand + on order - reserved", "common practice");
    working.lines.push(if found.should_order {
        shown.judge(
            Verdict::WithinNote,
            format!(
                "Order {} to come up to {}.",
                sig(found.order_quantity),
                sig(shelf.max_level)
            ),
        )
    } else {
        shown.judge(Verdict::Within, "Nothing to order now.")
    });
    working
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn without_demand_there_is_no_lot() {
        assert!(economic_lot(0.0, 10.0, 2.0).is_err());
        assert_eq!(economic_lot(100.0, 36.0, 2.0), Ok(60.0));
    }

    #[test]
    fn at_the_reorder_point_one_orders() {
        let shelf = Shelf {
            on_hand: 3.0,
            on_order: 4.0,
            reserved: 2.0,
            reorder_point: 5.0,
            max_level: 12.0,
        };
        assert!(position(shelf).expect("counts").should_order);
        let above = position(Shelf {
            on_hand: 4.0,
            ..shelf
        })
        .expect("counts");
        assert_eq!((above.should_order, above.order_quantity), (false, 0.0));
        assert!(
            position(Shelf {
                max_level: 4.0,
                ..shelf
            })
            .is_err()
        );
    }

    proptest! {
        #[test]
        fn more_service_never_orders_later(
            daily in 0.0f64..50.0, sd in 0.0f64..20.0, lead in 0.0f64..90.0, a in 0.01f64..0.999, b in 0.01f64..0.999,
        ) {
            let demand = Demand { daily, daily_sd: sd, lead_days: lead, lead_sd: 3.0 };
            let at = |service| reorder(demand, service).expect("in range").units;
            prop_assert!(at(a.min(b)) <= at(a.max(b)));
        }

        #[test]
        fn no_input_panics(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>()) {
            let demand = Demand { daily: a, daily_sd: b, lead_days: c, lead_sd: d };
            if let Ok(found) = reorder(demand, d) {
                prop_assert!(found.reorder_point.is_finite());
                reorder_working(demand, d, &found);
            }
            let shelf = Shelf { on_hand: a, on_order: b, reserved: c, reorder_point: d, max_level: a };
            if let Ok(found) = position(shelf) {
                position_working(shelf, &found);
            }
            prop_assert!(economic_lot(a, b, c).is_ok_and(f64::is_finite) || economic_lot(a, b, c).is_err());
        }
    }
}
