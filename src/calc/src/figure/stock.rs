//! Topics. Spares and reorder points.

use super::life::whole;
use super::sheet::tidied;
use super::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, want};
use crate::stock::{self, Demand, Shelf};

const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}

pub(super) static TOPICS: &[Topic] = &[
    Topic {
        name: "poisson_spares",
        title: "Spares to keep for chance failures",
        what: "Fewest spares that last through the lead time with the chance wanted.",
        subject: Subject::StockAndEnergy,
        wants: &[
            want("units", "Units in service", Takes::Number).note("that take the part"),
            want(
                "failures_per_unit_year",
                "Failures a unit and year",
                Takes::Number,
            )
            .unit("1/a")
            .note("0 only where it is known never to fail; unknown is not zero"),
            want("lead_time_years", "Lead time", Takes::Number)
                .unit("a")
                .note("order to shelf; zero or above"),
            want("target", "Chance that they are enough", Takes::Number)
                .note("share, above 0 and below 1, such as 0.95"),
        ],
        answers: &[
            answer("mean_demand", "", "failures expected in the lead time"),
            answer("stock", "", "spares to keep"),
            answer("achieved", "", "chance that they are enough"),
            answer("one_less", "", "chance that one less would be"),
        ],
        run: spares,
    },
    Topic {
        name: "reorder_point",
        title: "When to order",
        what: "Stock position at which to order a part that moves often.",
        subject: Subject::StockAndEnergy,
        wants: &[
            want("daily_demand", "Mean demand a day", Takes::Number).note("zero or above"),
            want(
                "daily_sd",
                "Standard deviation of a day's demand",
                Takes::Number,
            )
            .note("zero or above; 0 is the same every day"),
            want("lead_days", "Lead time", Takes::Number)
                .unit("d")
                .note("zero or above"),
            want(
                "lead_sd",
                "Standard deviation of the lead time",
                Takes::Number,
            )
            .unit("d")
            .note("zero or above; 0 is always the same"),
            want("service", "Service", Takes::Number)
                .note("chance of no stock-out in an order cycle, above 0 and below 1"),
        ],
        answers: &[
            answer("z", "", "normal quantile of the service"),
            answer("safety_stock", "", "stock against the spread"),
            answer("reorder_point", "", "position at which to order"),
            answer("reorder_point_units", "", "the same in whole pieces"),
        ],
        run: |given| Ok(tidied(reorder(given)?)),
    },
    Topic {
        name: "economic_lot",
        title: "How much to order at a time",
        what: "The lot at which ordering and holding together cost least.",
        subject: Subject::StockAndEnergy,
        wants: &[
            want("annual_demand", "Pieces used in a year", Takes::Number).note("above zero"),
            want("order_cost", "Cost of one order", Takes::Number).note("above zero"),
            want(
                "holding_cost",
                "Cost of holding one piece a year",
                Takes::Number,
            )
            .note("above zero, same money"),
        ],
        answers: &[answer("lot", "", "pieces at a time")],
        run: |given| {
            let lot = stock::economic_lot(
                given.need_number("annual_demand")?,
                given.need_number("order_cost")?,
                given.need_number("holding_cost")?,
            )?;
            Ok(Figure::new(stock::lot_working(lot)).with("lot", lot))
        },
    },
    Topic {
        name: "stock_position",
        title: "Stock position, and what to order",
        what: "What is free, what is on its way, and whether to order now.",
        subject: Subject::StockAndEnergy,
        wants: &[
            want("on_hand", "On the shelf", Takes::Number).note("zero or above"),
            want("on_order", "Ordered, not yet in", Takes::Number).note("zero or above"),
            want("reserved", "Promised to jobs", Takes::Number).note("zero or above"),
            want("reorder_point", "Reorder point", Takes::Number)
                .note("order when the position is at or below it"),
            want("max_level", "Order up to", Takes::Number).note("not below the reorder point"),
        ],
        answers: &[
            answer("position", "", "on hand + on order - reserved"),
            answer("available_now", "", "on hand - reserved"),
            answer("should_order", "", "whether to order now"),
            answer("order_quantity", "", "how much; 0 where nothing"),
        ],
        run: position,
    },
];

fn spares(given: &Given) -> Result<Figure, Trouble> {
    let found = stock::spares(
        given.need_number("units")?,
        given.need_number("failures_per_unit_year")?,
        given.need_number("lead_time_years")?,
        given.need_number("target")?,
    )?;
    Ok(Figure::new(stock::spares_working(&found))
        .with("mean_demand", found.mean_demand)
        .with("stock", found.stock)
        .with("achieved", found.achieved)
        .with("one_less", found.one_less))
}

fn reorder(given: &Given) -> Result<Figure, Trouble> {
    let demand = Demand {
        daily: given.need_number("daily_demand")?,
        daily_sd: given.need_number("daily_sd")?,
        lead_days: given.need_number("lead_days")?,
        lead_sd: given.need_number("lead_sd")?,
    };
    let service = given.need_number("service")?;
    let found = stock::reorder(demand, service)?;
    Ok(Figure::new(stock::reorder_working(demand, service, &found))
        .with("z", found.z)
        .with("safety_stock", found.safety_stock)
        .with("reorder_point", found.reorder_point)
        .with("reorder_point_units", found.units))
}

fn position(given: &Given) -> Result<Figure, Trouble> {
    let shelf = Shelf {
        on_hand: given.need_number("on_hand")?,
        on_order: given.need_number("on_order")?,
        reserved: given.need_number("reserved")?,
        reorder_point: given.need_number("reorder_point")?,
        max_level: given.need_number("max_level")?,
    };
    let found = stock::position(shelf)?;
    Ok(Figure::new(stock::position_working(shelf, &found))
        .with("position", whole(found.position))
        .with("available_now", whole(found.available_now))
        .with("should_order", found.should_order)
        .with("order_quantity", whole(found.order_quantity)))
}
