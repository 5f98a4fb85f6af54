//! Seating torques of set screws, bolts and taper bushings.

use crate::tables::{number, rows};
use crate::units::{NM_PER_IN_LB, NewtonMetres};
use std::sync::LazyLock;

/// A torque with the span over which charts print it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Torque {
    /// The figure used.
    pub value: NewtonMetres,
    /// Lowest figure in print.
    pub lowest: NewtonMetres,
    /// Highest figure in print.
    pub highest: NewtonMetres,
}

impl Torque {
    fn one(value: NewtonMetres) -> Torque {
        Torque {
            value,
            lowest: value,
            highest: value,
        }
    }

    /// The charts are more than 5 % apart.
    pub fn disagrees(&self) -> bool {
        self.lowest.0 < 0.95 * self.highest.0
    }
}

/// From inch-pounds.
pub fn inch_pounds(torque: f64) -> NewtonMetres {
    NewtonMetres(torque * NM_PER_IN_LB)
}

fn in_lb(cell: Option<&String>) -> Option<NewtonMetres> {
    cell.and_then(|cell| number(cell)).map(inch_pounds)
}

/// A size as the tables write it: `#10-24`, `1/4-20`, `M6`; inch marks, blanks and a leading `#`
/// before a number size do not matter.
fn plain(size: &str) -> String {
    let kept = size
        .chars()
        .filter(|c| !matches!(c, '#' | '"' | ' ' | '\u{2033}'));
    kept.collect::<String>().to_uppercase()
}

fn inch_set_screws() -> &'static [(String, Torque)] {
    static TABLE: LazyLock<Vec<(String, Torque)>> = LazyLock::new(|| {
        rows(include_str!("tables/set_screw_torque.csv"))
            .into_iter()
            .filter_map(|row| {
                let torque = Torque {
                    value: in_lb(row.get(1))?,
                    lowest: in_lb(row.get(2))?,
                    highest: in_lb(row.get(3))?,
                };
                Some((plain(row.first()?), torque))
            })
            .collect()
    });
    &TABLE
}

/// Seating torque of an inch set screw of alloy steel with cup point, with the span of the charts.
///
/// `size` such as `#10-32` or `1/4-20`; without the thread (`#10`, `1/4`) where the table has one
/// torque for the diameter. `None` for a size that is not listed. Charts for #8 and #10 disagree.
/// Holding power is not computed: tables of it differ by a factor of two.
/// Source: set screw charts, common practice.
pub fn set_screw(size: &str) -> Option<Torque> {
    let size = plain(size);
    let table = inch_set_screws();
    let whole = table.iter().find(|(name, _)| *name == size);
    let found = whole.or_else(|| {
        table.iter().find(|(name, _)| {
            name.rsplit_once('-')
                .is_some_and(|(diameter, _)| diameter == size)
        })
    });
    found.map(|(_, torque)| *torque)
}

/// What a metric set screw is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Steel {
    /// Alloy steel.
    Alloy,
    /// Stainless steel.
    Stainless,
}

/// Seating torque of a metric set screw, `M4` to `M10`. `None` for a size that is not listed.
/// Source: shaft collar chart, common practice.
pub fn metric_set_screw(size: &str, steel: Steel) -> Option<Torque> {
    static TABLE: LazyLock<Vec<Vec<String>>> =
        LazyLock::new(|| rows(include_str!("tables/set_screw_torque_metric.csv")));
    let size = plain(size);
    let row = TABLE.iter().find(|row| row.first() == Some(&size))?;
    let column = match steel {
        Steel::Alloy => 1,
        Steel::Stainless => 2,
    };
    let torque = number(row.get(column)?)?;
    Some(Torque::one(NewtonMetres(torque)))
}

/// Tightening torque of a bolt or nut by thread (`5/16-18`) and SAE grade 2 or 5, within 20 %.
///
/// `None` for a size or grade that is not listed. Source: machine hardware chart, common practice.
pub fn bolt(size: &str, grade: u8) -> Option<Torque> {
    static TABLE: LazyLock<Vec<Vec<String>>> =
        LazyLock::new(|| rows(include_str!("tables/bolt_nut_torque.csv")));
    let (size, grade) = (plain(size), grade.to_string());
    let row = TABLE
        .iter()
        .find(|row| row.first() == Some(&size) && row.get(1) == Some(&grade))?;
    let value = in_lb(row.get(2))?;
    Some(Torque {
        value,
        lowest: NewtonMetres(0.8 * value.0),
        highest: NewtonMetres(1.2 * value.0),
    })
}

/// Torques of a quick-detachable bushing.
#[derive(Clone, Debug, PartialEq)]
pub struct Bushing {
    /// Each cap screw.
    pub cap_screws: NewtonMetres,
    /// Size of the set screw over the key, inches.
    pub key_screw_size: Option<String>,
    /// The set screw over the key.
    pub key_screw: Option<NewtonMetres>,
    /// The set screw's row is from memory.
    pub from_memory: bool,
}

/// Torques of a quick-detachable bushing by its letter, `H` to `N`. `None` for other letters.
/// Source: bushing catalogue table, common practice; the set screw of SK from memory.
pub fn bushing(letter: &str) -> Option<Bushing> {
    static TABLE: LazyLock<Vec<Vec<String>>> =
        LazyLock::new(|| rows(include_str!("tables/qd_bushing_torque.csv")));
    let letter = plain(letter);
    let row = TABLE.iter().find(|row| row.first() == Some(&letter))?;
    Some(Bushing {
        cap_screws: in_lb(row.get(1))?,
        key_screw_size: row.get(2).filter(|size| !size.is_empty()).cloned(),
        key_screw: in_lb(row.get(3)),
        from_memory: row.get(4).is_some_and(|word| word == "yes"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn sizes_are_read_as_people_write_them() {
        for size in ["#10-32", "10-32", "#10 - 32", "#10"] {
            let torque = set_screw(size).expect(size);
            assert!((torque.value.0 / NM_PER_IN_LB - 36.0).abs() < 1e-9);
            assert!(torque.disagrees(), "36 and 25 inch-pounds are in print");
        }
        assert_eq!(set_screw("1/4\""), set_screw("1/4-20"));
        assert!(!set_screw("1/4-20").expect("listed").disagrees());
        for bad in ["", "-", "1/4-28", "M6", "#11"] {
            assert_eq!(set_screw(bad), None, "{bad}");
        }
    }

    #[test]
    fn a_grade_that_is_not_listed_has_no_torque() {
        assert!(
            bolt("1/4-20", 5)
                .is_some_and(|five| Some(five.value) > bolt("1/4-20", 2).map(|t| t.value))
        );
        assert_eq!(bolt("1/4-20", 8), None);
        assert_eq!(bolt("M6", 5), None);
    }

    proptest! {
        #[test]
        fn no_size_breaks_it(size in "\\PC{0,10}", grade in any::<u8>()) {
            for torque in [
                set_screw(&size),
                metric_set_screw(&size, Steel::Stainless),
                bolt(&size, grade),
            ].into_iter().flatten() {
                prop_assert!(0.0 < torque.lowest.0 && torque.lowest.0 <= torque.value.0);
                prop_assert!(torque.value.0 <= torque.highest.0);
            }
            let _ = bushing(&size);
        }
    }
}
