//! Exact quantities: thousandths of a unit, so that 0.25 m of cable and 3 belts both add up.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::{Deserialize, Serialize};

/// Thousandths of the unit.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, sqlx::Type,
)]
#[sqlx(transparent)]
#[serde(transparent)]
pub struct Amount(pub i64);

/// Beyond this no shelf holds anything.
const MOST: i64 = 1_000_000_000;

impl Amount {
    pub const ONE: Amount = Amount(1000);

    /// `3`, `0.25`, `-1.5`
    pub fn words(self) -> String {
        Decimal::new(self.0, 3).normalize().to_string()
    }

    /// `1 piece`, `3 pieces`, `0.25 m`
    pub fn with_unit(self, unit: &str) -> String {
        let plural = unit == "piece" && self != Amount::ONE;
        format!("{} {unit}{}", self.words(), if plural { "s" } else { "" })
    }

    pub fn figure(self) -> f64 {
        self.0 as f64 / 1000.0
    }

    /// What this many cost at a price for one, in hundredths, a half rounded up.
    pub fn cost(self, price_minor: Option<i64>) -> Option<i64> {
        let price = i128::from(price_minor?);
        let thousandths = price * i128::from(self.0.abs());
        i64::try_from((thousandths + 500) / 1000).ok()
    }
}

/// An amount as typed, zero allowed; blank is an error of its own.
///
/// # Errors
/// What to type instead.
pub fn counted(text: &str, blank: &str) -> Result<Amount, String> {
    const ASK: &str = "Enter an amount, as 3 or 0.25";
    let amount = crate::form::optional_decimal(text).map_err(|_| ASK.to_owned())?;
    let amount = amount.ok_or_else(|| blank.to_owned())?;
    let thousandths = amount
        .checked_mul(Decimal::ONE_THOUSAND)
        .ok_or_else(|| ASK.to_owned())?
        .normalize();
    match thousandths.to_i64() {
        Some(n) if thousandths.scale() == 0 && (0..=MOST).contains(&n) => Ok(Amount(n)),
        _ => Err(ASK.to_owned()),
    }
}

/// The same above zero.
///
/// # Errors
/// What to type instead.
pub fn moved(text: &str, blank: &str) -> Result<Amount, String> {
    match counted(text, blank)? {
        Amount(0) => Err("Enter more than nothing".to_owned()),
        amount => Ok(amount),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_exact_and_blank_is_not_zero() {
        assert_eq!(counted("0", "How many"), Ok(Amount(0)));
        assert_eq!(counted("0,25", "How many"), Ok(Amount(250)));
        assert_eq!(counted("", "How many"), Err("How many".to_owned()));
        for bad in ["-1", "0.0005", "two", "1e30", "2000000"] {
            assert!(counted(bad, "").is_err(), "{bad}");
        }
        assert!(moved("0", "").is_err());
    }

    #[test]
    fn words_and_money() {
        assert_eq!(Amount(3000).with_unit("piece"), "3 pieces");
        assert_eq!(Amount::ONE.with_unit("piece"), "1 piece");
        assert_eq!(Amount(250).with_unit("m"), "0.25 m");
        assert_eq!(Amount(-1500).words(), "-1.5");
        assert_eq!(Amount(250).cost(Some(199)), Some(50)); // 0.4975 rounds to 0.50
        assert_eq!(Amount(-2000).cost(Some(450)), Some(900));
        assert_eq!(Amount(2000).cost(None), None);
    }
}
