//! The demo's papers and purchases beside its jobs: warranties, documents, one thing in every stage of
//! buying, an approved alternate.

use super::queries;
use super::ways::{Story, sql};
use crate::clock::DAY;
use crate::machines::papers::queries::{self as papers, NewDocument};
use crate::stores::amount::Amount;
use crate::stores::queries::{self as stock, NewAlternate, NewPurchase, NewWarranty, Step};
use crate::stores::{Item, PartId};
use time::Duration;

impl Story<'_> {
    /// Until when somebody answers for what.
    pub(super) async fn warranties(&mut self) -> Result<(), String> {
        let today = self.app.zone().date(self.now);
        for (tag, motor, covers, days, terms) in [
            (
                "A-01",
                false,
                "Pump end and pressure switch, by Weir Street Air",
                240,
                "Call before the head is opened, or it ends",
            ),
            (
                "U-04",
                true,
                "The motor fitted last winter, by the counter it came from",
                380,
                "Back whole, with its capacitor",
            ),
            ("O-01", false, "The coil, by its builder", -60, ""),
        ] {
            let machine = self.machine(tag)?;
            let motor_id = match motor {
                true => queries::fitted_motor(self.tx, machine).await.map_err(sql)?,
                false => None,
            };
            let new = NewWarranty {
                motor_id,
                part_id: None,
                covers: covers.to_owned(),
                until_on: Some(today + Duration::days(days)),
                terms: terms.to_owned(),
            };
            stock::insert_warranty(self.tx, machine, &new)
                .await
                .map_err(sql)?;
        }
        Ok(())
    }

    /// What lies in drawers and covers.
    pub(super) async fn documents(&mut self) -> Result<(), String> {
        let by = self.person("ilse")?.id;
        for (tag, name, revision, kept) in [
            (
                "K-04",
                "Wiring diagram",
                "B",
                "Inside the cover of the junction box",
            ),
            ("K-04", "Parts list", "", "Green binder, plant room"),
            ("A-01", "Manual", "2", "Workshop, drawer 3"),
        ] {
            let machine = self.machine(tag)?;
            let new = NewDocument {
                name: name.to_owned(),
                revision: revision.to_owned(),
                kept: kept.to_owned(),
                dated_on: None,
                file: None,
            };
            papers::insert_document(self.tx, machine, &new, by, self.now - 200 * DAY)
                .await
                .map_err(sql)?;
        }
        Ok(())
    }

    /// One in every stage; the waiting and the late one are there already.
    pub(super) async fn buying(&mut self) -> Result<(), String> {
        let today = self.app.zone().date(self.now);
        let ordered = |number: &str, days: i64, cost: i64| Step::Ordered {
            number: number.to_owned(),
            supplier: "Millside Drives".to_owned(),
            expected_on: today + Duration::days(days),
            cost_minor: Some(cost),
        };
        let cancelled = Step::Cancelled {
            why: "The old one was found in the attic".to_owned(),
        };
        let bags = "Filter bag, dust collector";
        self.buy(bags, 4, 6, vec![Step::Approved]).await?;
        let on_the_way = vec![Step::Approved, ordered("H-124", 5, 1380)];
        self.buy("Run capacitor 5 µF", 2, 4, on_the_way).await?;
        let here = vec![Step::Approved, ordered("H-109", -9, 2580), Step::Arrived];
        self.buy("Door seal for the spray booth, 3 m", 1, 24, here)
            .await?;
        self.buy("Ladder hook", 1, 12, vec![cancelled]).await
    }
    async fn buy(&mut self, what: &str, n: i64, days: i64, steps: Vec<Step>) -> Result<(), String> {
        let by = self.person("maren")?.id;
        let at = self.now - days * DAY;
        let new = NewPurchase {
            job: None,
            part: queries::part_named(self.tx, what).await.map_err(sql)?,
            what: what.to_owned(),
            amount: Amount(n * 1000),
            why: "The last one is out".to_owned(),
        };
        let id = stock::insert_purchase(self.tx, &new, by, at)
            .await
            .map_err(sql)?;
        for (version, step) in (1..).zip(steps) {
            let at = at + version * DAY;
            stock::step_purchase(self.tx, id, version, &step, by, at)
                .await
                .map_err(sql)?;
        }
        Ok(())
    }

    /// The seal that is no longer made has one that may stand in.
    pub(super) async fn alternate(&mut self) -> Result<(), String> {
        let by = self.person("maren")?.id;
        let mut ids: Vec<PartId> = Vec::new();
        for name in ["Pump seal 1/2, old style", "Pump seal 5/8"] {
            let id = queries::part_named(self.tx, name).await.map_err(sql)?;
            ids.push(id.ok_or(format!("no part {name:?}"))?);
        }
        let new = NewAlternate {
            of: Item::Part(ids[0]),
            other: Item::Part(ids[1]),
            limits: "With the 5/8 in sleeve on the shaft; water below 80 °C".to_owned(),
            verdict: String::new(),
            job: None,
        };
        stock::insert_alternate(self.tx, &new, by, self.now - 90 * DAY)
            .await
            .map_err(sql)?;
        Ok(())
    }
}
