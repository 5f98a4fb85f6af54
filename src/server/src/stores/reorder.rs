//! When to order a part, from its use and its lead time: pure, with its working.

use super::Part;
use super::amount::Amount;
use crate::clock::{DAY, Millis};
use calc::stock::{self, Demand, Shelf};
use calc::working::{Line, Missing, Working};

/// Days that use is looked at.
pub const WINDOW: i64 = 365;
/// Days without which use says nothing (common practice: a season at least).
const FEWEST_DAYS: i64 = 90;
/// Issues below which demand is rare and nothing like normal.
const OFTEN: usize = 8;

/// What went out, a day at a time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Use {
    /// The first movement ever; `None`: it never moved.
    pub first_at: Option<Millis>,
    /// Net use of the days on which anything moved for a job, in units.
    pub by_day: Vec<f64>,
    /// Ordered for the shelf and not yet here.
    pub on_order: Amount,
}

/// What is to be done, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    pub working: Working,
    /// How many to order; `None`: none now, or nobody can say.
    pub order: Option<f64>,
    /// One sentence.
    pub reason: String,
}

fn missing(what: &'static str, why: &'static str, how: &'static str) -> Missing {
    Missing {
        what: what.into(),
        why: why.into(),
        how: how.into(),
    }
}

/// The chance of not running out that is aimed at (common practice).
fn service(part: &Part) -> f64 {
    if part.critical { 0.98 } else { 0.95 }
}

/// The point at or below which to order, if it can be said; its lines go into the working.
fn point(part: &Part, used: &Use, now: Millis, working: &mut Working) -> Option<f64> {
    if let Some(set) = part.order_at {
        working.lines.push(Line {
            key: "set".into(),
            label: "Order at, as the shop set it".into(),
            value: set.words().into(),
            ..Line::default()
        });
        return Some(set.figure());
    }
    let Some(lead) = part.lead_days else {
        working.missing.push(missing(
            "Lead time",
            "An order point covers the use until the next delivery.",
            "Ask the supplier, and write it on the part.",
        ));
        return None;
    };
    let days = used
        .first_at
        .map_or(0, |first| (now - first) / DAY)
        .min(WINDOW);
    if days < FEWEST_DAYS {
        working.missing.push(missing(
            "Use over at least 90 days",
            "A short history says nothing about the next one.",
            "Book what goes out, or set an order point on the part until then.",
        ));
        return None;
    }
    let total: f64 = used.by_day.iter().sum();
    if total <= 0.0 {
        working.missing.push(missing(
            "Any use in the last year",
            "Unknown demand is not zero demand: what waiting costs decides.",
            "Set an order point on the part.",
        ));
        return None;
    }
    from_use(part, used, (days as f64, lead as f64), working)
}

/// Rare use is covered by spares, frequent use by a reorder point.
fn from_use(
    part: &Part,
    used: &Use,
    (days, lead): (f64, f64),
    working: &mut Working,
) -> Option<f64> {
    let total: f64 = used.by_day.iter().sum();
    if used.by_day.len() < OFTEN {
        let years = (days / 365.25, lead / 365.25);
        let found = stock::spares(1.0, total / years.0, years.1, service(part)).ok()?;
        working.lines.extend(stock::spares_working(&found).lines);
        // Keep `stock`: order as soon as one of them is gone.
        return Some((found.stock as f64 - 1.0).max(0.0));
    }
    let daily = total / days;
    let squares: f64 = used.by_day.iter().map(|used| used * used).sum();
    let demand = Demand {
        daily,
        daily_sd: (squares / days - daily * daily).max(0.0).sqrt(),
        lead_days: lead,
        lead_sd: 0.0,
    };
    let found = stock::reorder(demand, service(part)).ok()?;
    let lines = stock::reorder_working(demand, service(part), &found).lines;
    working.lines.extend(lines);
    Some(found.units as f64)
}

pub fn judge(part: &Part, used: &Use, now: Millis) -> Judged {
    let mut working = Working::new("When to order");
    let nothing = |working, reason: &str| Judged {
        working,
        order: None,
        reason: reason.to_owned(),
    };
    if part.ended() {
        return nothing(working, "No longer made: look at its alternates");
    }
    if part.standing == "to_buy" && part.order_at.is_none() {
        return nothing(working, "Bought when it is needed");
    }
    let Some(point) = point(part, used, now, &mut working) else {
        return nothing(working, "Cannot be worked out yet");
    };
    let month = used.by_day.iter().sum::<f64>().max(0.0) / 12.0;
    let shelf = Shelf {
        on_hand: part.on_hand.figure(),
        on_order: used.on_order.figure(),
        reserved: part.reserved.figure(),
        reorder_point: point,
        max_level: point + month.ceil().max(1.0),
    };
    let Ok(found) = stock::position(shelf) else {
        return nothing(working, "Cannot be worked out");
    };
    let lines = stock::position_working(shelf, &found).lines;
    working.lines.extend(lines);
    let order = found.should_order.then_some(found.order_quantity);
    let reason = if found.should_order {
        format!("{} left or on order; order at {point}", found.position)
    } else {
        "Enough for now".to_owned()
    };
    Judged {
        working,
        order,
        reason,
    }
}

/// A lot with a date, and what is left of it if the oldest is used first.
#[derive(Clone, Debug, PartialEq)]
pub struct Left<D> {
    pub by: D,
    pub amount: Amount,
}

/// What lies on the shelf belongs to the lots that keep longest, if the oldest is used first; lots
/// are given with the latest date first. What has no date is taken to be used last.
pub fn left<D: Copy>(lots: &[(D, Amount)], on_hand: Amount) -> Vec<Left<D>> {
    let mut rest = on_hand.0;
    let mut all = Vec::new();
    for (by, came) in lots {
        let here = rest.min(came.0).max(0);
        rest -= here;
        if here > 0 {
            let amount = Amount(here);
            all.push(Left { by: *by, amount });
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stores::PartId;

    fn part(on_hand: i64) -> Part {
        Part {
            id: PartId(1),
            name: "Belt".to_owned(),
            kind: "belt".to_owned(),
            description: String::new(),
            maker_number: String::new(),
            unit: "piece".to_owned(),
            bins: "B".to_owned(),
            standing: "held".to_owned(),
            last_buy: String::new(),
            lead_days: Some(10),
            price_minor: None,
            order_at: None,
            critical: false,
            on_hand: Amount(on_hand),
            reserved: Amount(0),
            version: 1,
        }
    }

    fn used(days: i64, by_day: &[f64]) -> Use {
        Use {
            first_at: Some((1000 - days) * DAY),
            by_day: by_day.to_vec(),
            on_order: Amount(0),
        }
    }

    const NOW: Millis = 1000 * DAY;

    #[test]
    fn what_is_missing_is_said_and_nothing_is_ordered_on_it() {
        let short = judge(&part(0), &used(30, &[1.0]), NOW);
        assert_eq!(short.order, None);
        assert_eq!(short.working.missing[0].what, "Use over at least 90 days");
        let never = judge(&part(0), &used(400, &[]), NOW);
        assert!(never.working.missing[0].why.contains("not zero demand"));
        let mut unknown = part(0);
        unknown.lead_days = None;
        let lead = judge(&unknown, &used(400, &[1.0; 12]), NOW);
        assert_eq!(lead.working.missing[0].what, "Lead time");
    }

    #[test]
    fn a_set_point_rules_and_order_fills_above_it() {
        let mut set = part(2000);
        set.order_at = Some(Amount(2000));
        let judged = judge(&set, &used(1, &[]), NOW);
        assert_eq!(judged.order, Some(1.0));
        set.on_hand = Amount(3000);
        assert_eq!(judge(&set, &used(1, &[]), NOW).order, None);
    }

    #[test]
    fn rare_use_keeps_spares_and_frequent_use_a_reorder_point() {
        // Two a year, ten days of lead: m = 0.055, so one is enough 95 times in 100.
        let rare = judge(&part(1000), &used(365, &[1.0, 1.0]), NOW);
        assert!(rare.working.line("mean_demand").is_some());
        assert_eq!(rare.order, None);
        assert_eq!(
            judge(&part(0), &used(365, &[1.0, 1.0]), NOW).order,
            Some(1.0)
        );
        let often = judge(&part(2000), &used(365, &[2.0; 60]), NOW);
        assert!(often.working.line("reorder_point").is_some());
        assert!(often.order.is_some());
    }

    #[test]
    fn what_is_left_is_of_the_lots_that_keep_longest() {
        let lots = [(30, Amount(2000)), (20, Amount(2000)), (10, Amount(2000))];
        let found = left(&lots, Amount(3000));
        let found: Vec<_> = found.iter().map(|l| (l.by, l.amount.0)).collect();
        assert_eq!(found, [(30, 2000), (20, 1000)]);
        assert!(left(&lots, Amount(0)).is_empty());
    }
}
