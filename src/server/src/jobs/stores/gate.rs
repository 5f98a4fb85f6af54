//! When the entries of the shelf are taken: pure, as the rest of the gate.

use super::body::{ANSWERS, GOES, Moved, Stores};
use crate::jobs::gate::{Refusal, Surroundings, refuse};
use crate::stores::Item;
use crate::stores::amount::Amount;
use crate::stores::queries::Balance;

/// What the gate looks at for these entries, read under the lock of the balance.
#[derive(Clone, Debug, Default)]
pub struct Around {
    pub balance: Option<Balance>,
    /// Out with this job.
    pub out: Amount,
    /// Kept for this job.
    pub kept: Amount,
    /// The warranty is one of this job's machine.
    pub warranty_stands: bool,
    /// The unit was taken off on this job and is not settled.
    pub unit_is_owed: bool,
}

/// # Errors
/// [`Refusal`]: what to do instead, and the field it belongs beside.
pub fn check(stores: &Stores, around: &Surroundings) -> Result<(), Refusal> {
    let around = &around.stores;
    let Some(moved) = stores.moved() else {
        return other_gate(stores, around);
    };
    let Some(balance) = &around.balance else {
        return refuse("item", "This is not on the shelf any more. Reload the page");
    };
    if moved.amount.0 <= 0 {
        return refuse("amount", "Enter more than nothing");
    }
    if matches!(moved.item, Item::Motor(_)) && moved.amount.0 % 1000 != 0 {
        return refuse("amount", "Motors move whole");
    }
    match stores {
        Stores::PartIssued { .. } => issue_gate(moved, balance, around.kept),
        Stores::PartReserved { .. } => reserve_gate(moved, balance),
        Stores::PartReturned { .. } if moved.amount > around.out => refuse(
            "amount",
            format!(
                "{} of it is out with this job",
                around.out.with_unit(&balance.unit)
            ),
        ),
        Stores::PartReleased { .. } if moved.amount > around.kept => refuse(
            "amount",
            format!(
                "{} of it is kept for this job",
                around.kept.with_unit(&balance.unit)
            ),
        ),
        _ => Ok(()),
    }
}

fn other_gate(stores: &Stores, around: &Around) -> Result<(), Refusal> {
    let known = |list: &[(&str, &str)], word: &str| list.iter().any(|(known, _)| *known == word);
    match stores {
        Stores::WarrantyAnswered { answer, .. } if !known(ANSWERS, answer) => {
            refuse("answer", "Choose what was agreed")
        }
        Stores::WarrantyAnswered { answer, why, .. } if answer != "claim" && why.is_empty() => {
            refuse("why", "Say why, so that nobody asks again")
        }
        Stores::WarrantyAnswered { .. } if !around.warranty_stands => refuse(
            "form",
            "This warranty is not one of this job's machine any more. Reload the page",
        ),
        Stores::UnitRemoved { what, .. } if what.is_empty() => {
            refuse("what", "Say what was taken off")
        }
        Stores::UnitRemoved { goes, .. } if !known(GOES, goes) => {
            refuse("goes", "Choose where it goes")
        }
        Stores::UnitRemoved { goes, sent_to, .. }
            if matches!(goes.as_str(), "core" | "warranty") && sent_to.is_empty() =>
        {
            refuse("sent_to", "Say to whom it goes back")
        }
        Stores::UnitSettled { .. } if !around.unit_is_owed => {
            refuse("form", "This unit is settled already. Reload the page")
        }
        Stores::UnitSettled { how, .. } if how.is_empty() => refuse("how", "Say how it ended"),
        _ => Ok(()),
    }
}

/// Never below zero: who stands before the shelf and sees more than the list counts first.
fn issue_gate(moved: &Moved, balance: &Balance, kept: Amount) -> Result<(), Refusal> {
    if moved.amount > balance.on_hand {
        return refuse(
            "amount",
            format!(
                "The list says {} of {}. If more is there, count first; then take it",
                balance.on_hand.with_unit(&balance.unit),
                balance.name
            ),
        );
    }
    let for_others = balance.reserved.0 - kept.0;
    if moved.amount.0 > balance.on_hand.0 - for_others {
        return refuse(
            "amount",
            format!(
                "{} of it is kept for other jobs. Ask there, or the storekeeper",
                Amount(for_others).with_unit(&balance.unit)
            ),
        );
    }
    Ok(())
}

fn reserve_gate(moved: &Moved, balance: &Balance) -> Result<(), Refusal> {
    if matches!(moved.item, Item::Motor(_)) {
        return refuse("item", "A motor is kept by choosing it on the fit page");
    }
    let free = Amount(balance.on_hand.0 - balance.reserved.0);
    if moved.amount > free {
        return refuse(
            "amount",
            format!("Free on the shelf: {}", free.with_unit(&balance.unit)),
        );
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stores::PartId;

    fn moved(amount: i64) -> Moved {
        Moved {
            item: Item::Part(PartId(1)),
            name: "Belt".to_owned(),
            amount: Amount(amount),
            unit: "piece".to_owned(),
            cost_minor: None,
        }
    }

    fn around(on_hand: i64, reserved: i64, out: i64, kept: i64) -> Surroundings {
        let balance = Balance {
            name: "Belt".to_owned(),
            unit: "piece".to_owned(),
            on_hand: Amount(on_hand),
            reserved: Amount(reserved),
            price_minor: None,
        };
        Surroundings {
            stores: Around {
                warranty_stands: false,
                unit_is_owed: false,
                balance: Some(balance),
                out: Amount(out),
                kept: Amount(kept),
            },
            ..Surroundings::default()
        }
    }

    #[test]
    fn nothing_leaves_that_is_not_there_or_is_kept_for_others() {
        let issue = |n| Stores::PartIssued { moved: moved(n) };
        assert!(check(&issue(2000), &around(2000, 0, 0, 0)).is_ok());
        let refusal = check(&issue(3000), &around(2000, 0, 0, 0)).unwrap_err();
        assert_eq!(refusal.field, "amount");
        assert!(refusal.message.contains("count first"));
        assert!(check(&issue(2000), &around(2000, 1000, 0, 0)).is_err());
        assert!(check(&issue(2000), &around(2000, 1000, 0, 1000)).is_ok());
        assert!(check(&issue(0), &around(2000, 0, 0, 0)).is_err());
        assert!(check(&issue(1000), &Surroundings::default()).is_err());
    }

    #[test]
    fn only_what_is_out_comes_back() {
        let back = |n| Stores::PartReturned {
            moved: moved(n),
            note: String::new(),
        };
        assert!(check(&back(1000), &around(0, 0, 1000, 0)).is_ok());
        assert!(check(&back(2000), &around(0, 0, 1000, 0)).is_err());
        let release = Stores::PartReleased { moved: moved(1000) };
        assert!(check(&release, &around(1000, 1000, 0, 0)).is_err());
    }
}
