//! Vibration of a fan against its category, r.m.s. held against r.m.s.

use crate::shown::{Fill, ask, figure, line};
use crate::tables::{number, rows};
use crate::units::{MillimetresPerSecond, Watts};
use crate::working::{Line, Verdict, Working};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// Fan application category. Source: ISO 14694, AMCA 204.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Category {
    /// BV-1.
    #[serde(rename = "BV-1")]
    Bv1,
    /// BV-2.
    #[serde(rename = "BV-2")]
    Bv2,
    /// BV-3.
    #[serde(rename = "BV-3")]
    Bv3,
    /// BV-4.
    #[serde(rename = "BV-4")]
    Bv4,
    /// BV-5.
    #[serde(rename = "BV-5")]
    Bv5,
}

impl Category {
    /// The name as the standards write it.
    pub fn words(self) -> &'static str {
        match self {
            Category::Bv1 => "BV-1",
            Category::Bv2 => "BV-2",
            Category::Bv3 => "BV-3",
            Category::Bv4 => "BV-4",
            Category::Bv5 => "BV-5",
        }
    }
}

/// How the fan stands: on a stiff base, or on springs and rubbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Support {
    /// On a stiff base.
    Rigid,
    /// On springs or rubbers.
    Flexible,
}

/// When the limit counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// Test at the manufacturer's works.
    WorksTest,
    /// Start-up where it stands.
    StartUp,
    /// From here on the cause is looked for.
    Alarm,
    /// From here on it is stopped.
    Shutdown,
}

/// A limit with how well it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Limit of the r.m.s. velocity.
    pub rms: MillimetresPerSecond,
    /// How well the figure is known.
    pub confidence: String,
}

/// Category of a building fan: BV-2 to 3.7 kW of driver power, BV-3 above.
/// Source: ISO 14694 / AMCA 204, heating and ventilation row.
pub fn building_category(power: Watts) -> Option<Category> {
    let kilowatts = crate::shown::positive(power.0)? / 1000.0;
    // 5 hp is 3.73 kW and named beside 3.7 kW.
    Some(if kilowatts <= 3.73 {
        Category::Bv2
    } else {
        Category::Bv3
    })
}

/// Stage, category, support, r.m.s. limit and how well it is known.
type Row = (String, String, String, Option<f64>, String);

/// Limit in mm/s r.m.s.; `None` where the standard has no figure (shutdown of BV-1 and BV-2 is set
/// from the machine's own history). Source: ISO 14694 tables.
pub fn limit(stage: Stage, category: Category, support: Support) -> Option<Limit> {
    static TABLE: LazyLock<Vec<Row>> = LazyLock::new(|| {
        rows(include_str!("tables/fan_vibration_limits_iso14694.csv"))
            .into_iter()
            .filter_map(|row| {
                Some((
                    row.first()?.clone(),
                    row.get(1)?.clone(),
                    row.get(2)?.clone(),
                    number(row.get(4)?),
                    row.get(7)?.clone(),
                ))
            })
            .collect()
    });
    let stage = match stage {
        Stage::WorksTest => "manufacturer works test",
        Stage::StartUp => "in-situ start-up",
        Stage::Alarm => "in-situ alarm",
        Stage::Shutdown => "in-situ shutdown",
    };
    let support = match support {
        Support::Rigid => "rigid",
        Support::Flexible => "flexible",
    };
    let (.., rms, confidence) = TABLE
        .iter()
        .find(|(s, c, p, ..)| s.starts_with(stage) && c == category.words() && p == support)?;
    Some(Limit {
        rms: MillimetresPerSecond((*rms)?),
        confidence: confidence.clone(),
    })
}

/// What was measured; the highest r.m.s. velocity of all points and directions.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct VibrationInput {
    /// Highest r.m.s. velocity measured.
    pub velocity: Option<MillimetresPerSecond>,
    /// Category of the fan; `None` leaves it to the power.
    pub category: Option<Category>,
    /// How the fan stands.
    pub support: Option<Support>,
    /// Driver power; gives the category of a building fan where none is named.
    pub power: Option<Watts>,
    /// Limit of the shop's own, from the machine's history.
    pub own_shutdown: Option<MillimetresPerSecond>,
}

/// A measured velocity, mm/s r.m.s., against start-up, alarm and shutdown limits.
/// Source: ISO 14694.
pub fn check(input: &VibrationInput) -> Working {
    let mut working = Working::new("Vibration");
    working
        .cautions
        .push("Compare r.m.s. with r.m.s.; a peak reading is higher by about 1.4.".into());
    judge(&mut working, input);
    working
}

fn shown() -> Line {
    line("vibration", "Vibration velocity, r.m.s.").rule(
        "start-up, alarm and shutdown limits of the category",
        "ISO 14694",
    )
}

/// Up to start-up: within. To alarm: within, note. Above alarm, or above shutdown: beyond.
pub(crate) fn judge(working: &mut Working, input: &VibrationInput) {
    let velocity = input
        .velocity
        .filter(|v| v.0.is_finite() && v.0 >= 0.0 && v.0 < 1e6);
    let category = input
        .category
        .or_else(|| input.power.and_then(building_category));
    let (Some(velocity), Some(category), Some(support)) = (velocity, category, input.support)
    else {
        let what = if velocity.is_none() {
            "highest vibration velocity, mm/s r.m.s."
        } else if category.is_none() {
            "fan category, or the driver's power"
        } else {
            "rigid or flexible support"
        };
        return ask(
            working,
            shown(),
            what,
            "the limit follows from category and support",
            "measure at the bearings in three directions; look for springs or rubbers under the fan",
        );
    };
    let start = limit(Stage::StartUp, category, support);
    let alarm = limit(Stage::Alarm, category, support);
    let (Some(start), Some(alarm)) = (start, alarm) else {
        return;
    };
    let listed = limit(Stage::Shutdown, category, support).map(|l| l.rms.0);
    let own = input.own_shutdown.and_then(|v| crate::shown::positive(v.0));
    let shutdown = match (listed, own) {
        (Some(listed), Some(own)) => Some(listed.min(own)),
        (listed, own) => listed.or(own),
    };
    let known = if start.confidence.starts_with("confirmed") {
        "confirmed"
    } else {
        "from memory"
    };
    let mut shown = shown()
        .value(figure(velocity.0, 2), "mm/s")
        .limit(format!(
            "start-up {}, alarm {}, shutdown {}",
            figure(start.rms.0, 1),
            figure(alarm.rms.0, 1),
            shutdown.map_or("from history".into(), |v| figure(v, 1))
        ))
        .margin(format!(
            "{} mm/s to start-up",
            figure(start.rms.0 - velocity.0, 2)
        ));
    shown.source = format!("ISO 14694, {}, {known}", category.words()).into();
    working.lines.push(if shutdown.is_some_and(|limit| velocity.0 > limit) {
        shown.judge(Verdict::Beyond, "Stop the fan now and find the cause before it runs again.")
    } else if velocity.0 > alarm.rms.0 {
        shown.judge(Verdict::Beyond, "Plan the repair now: balance, bearings, looseness, alignment.")
    } else if velocity.0 > start.rms.0 {
        shown.judge(
            Verdict::WithinNote,
            "Above the start-up limit: clean and balance the wheel, check set screws, measure again.",
        )
    } else {
        shown.judge(Verdict::Within, "Inside the start-up limit.")
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(velocity: f64, category: Category, support: Support) -> Option<Verdict> {
        let input = VibrationInput {
            velocity: Some(MillimetresPerSecond(velocity)),
            category: Some(category),
            support: Some(support),
            ..VibrationInput::default()
        };
        check(&input).verdict()
    }

    #[test]
    fn limits_belong_to_the_better_side() {
        assert_eq!(
            at(4.5, Category::Bv3, Support::Rigid),
            Some(Verdict::Within)
        );
        assert_eq!(
            at(4.51, Category::Bv3, Support::Rigid),
            Some(Verdict::WithinNote)
        );
        assert_eq!(
            at(7.1, Category::Bv3, Support::Rigid),
            Some(Verdict::WithinNote)
        );
        assert_eq!(
            at(7.2, Category::Bv3, Support::Rigid),
            Some(Verdict::Beyond)
        );
        assert_eq!(
            at(9.0, Category::Bv2, Support::Flexible),
            Some(Verdict::Within)
        );
    }

    #[test]
    fn every_category_has_start_and_alarm_and_two_lack_a_shutdown() {
        use Category::{Bv1, Bv2, Bv3, Bv4, Bv5};
        for category in [Bv1, Bv2, Bv3, Bv4, Bv5] {
            for support in [Support::Rigid, Support::Flexible] {
                let start = limit(Stage::StartUp, category, support).map(|l| l.rms);
                let alarm = limit(Stage::Alarm, category, support).map(|l| l.rms);
                assert!(start.is_some() && start < alarm, "{category:?}");
                let shutdown = limit(Stage::Shutdown, category, support);
                assert_eq!(
                    shutdown.is_none(),
                    matches!(category, Bv1 | Bv2),
                    "{category:?}"
                );
            }
        }
    }

    #[test]
    fn a_small_building_fan_is_bv_2() {
        assert_eq!(building_category(Watts::from_hp(5.0)), Some(Category::Bv2));
        assert_eq!(building_category(Watts(4000.0)), Some(Category::Bv3));
        assert_eq!(building_category(Watts(f64::NAN)), None);
    }
}
