//! What holds of every rule, whatever it is asked.

use super::rrule::Recurrence;
use super::zone::{Clock, Zone};
use super::*;
use proptest::prelude::*;
use time::macros::date;
use time::{Date, Duration, PrimitiveDateTime, Time, Weekday};

fn any_every() -> impl Strategy<Value = Every> {
    (any::<u32>(), 0..4).prop_map(|(n, kind)| step(n, kind))
}

fn common_every() -> impl Strategy<Value = Every> {
    (1u32..60, 0..4).prop_map(|(n, kind)| step(n, kind))
}

fn step(n: u32, kind: i32) -> Every {
    match kind {
        0 => Every::Days(n),
        1 => Every::Weeks(n),
        2 => Every::Months(n),
        _ => Every::Years(n),
    }
}

fn any_date() -> impl Strategy<Value = Date> {
    (Date::MIN.to_julian_day()..=Date::MAX.to_julian_day()).prop_map(julian)
}

fn common_date() -> impl Strategy<Value = Date> {
    let (first, last) = (date!(1990 - 01 - 01), date!(2060 - 12 - 31));
    (first.to_julian_day()..=last.to_julian_day()).prop_map(julian)
}

fn julian(day: i32) -> Date {
    Date::from_julian_day(day).expect("inside the calendar")
}

fn month_day() -> impl Strategy<Value = MonthDay> {
    (1u8..=12, 1u8..=31).prop_map(|(month, day)| MonthDay { month, day })
}

/// Rules as people set them up.
fn common_rule() -> impl Strategy<Value = Rule> {
    let plain = prop_oneof![
        common_every().prop_map(|every| Rule::Calendar { every }),
        common_every().prop_map(|every| Rule::AfterDone { every }),
        (common_every(), month_day(), month_day()).prop_map(|(every, start, end)| {
            let season = Season { start, end };
            Rule::InSeason { every, season }
        }),
        (proptest::collection::vec(1u8..=12, 1..5), 1u8..=31)
            .prop_map(|(months, day)| Rule::Months { months, day }),
        (month_day(), 0u32..=366)
            .prop_map(|(start, lead_days)| Rule::BeforeSeason { start, lead_days }),
        (-5i8..=5, 0u8..7, 1u32..24).prop_map(|(nth, day, every_months)| {
            let weekday = Weekday::Monday.nth_next(day);
            let nth = if nth == 0 { 1 } else { nth };
            Rule::NthWeekday {
                nth,
                weekday,
                every_months,
            }
        }),
        (1.0..2000.0).prop_map(|every| Rule::Meter { every }),
        prop_oneof![
            Just("FREQ=MONTHLY"),
            Just("FREQ=MONTHLY;BYMONTHDAY=28,29,30,31;BYSETPOS=-1"),
            Just("FREQ=WEEKLY;INTERVAL=2;BYDAY=MO,TH"),
            Just("FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO"),
            Just("FREQ=DAILY;INTERVAL=10;COUNT=7"),
        ]
        .prop_map(|rule| Rule::Recurrence { rule: rule.into() }),
    ];
    plain.clone().prop_recursive(1, 4, 3, move |_| {
        proptest::collection::vec(plain.clone(), 1..4).prop_map(|rules| Rule::FirstOf { rules })
    })
}

fn running_meter(on: Date, rate: f64) -> Meter {
    let before = on.checked_sub(Duration::days(30)).unwrap_or(on);
    let at = |on, value| MeterReading { on, value };
    Meter {
        readings: vec![at(before, 1000.0), at(on, 1000.0 + 30.0 * rate)],
        last_service: Some(1000.0),
    }
}

/// A part of a recurrence rule, right or wrong.
fn rule_text() -> impl Strategy<Value = String> {
    let part = prop_oneof![
        "FREQ=(SECONDLY|MINUTELY|HOURLY|DAILY|WEEKLY|MONTHLY|YEARLY)",
        "INTERVAL=[0-9]{1,10}",
        "COUNT=[0-9]{1,3}",
        "UNTIL=(20[0-9]{6}|20[0-9]{6}T[0-9]{6}Z?)",
        "BY(SECOND|MINUTE|HOUR)=[0-9]{1,2}(,[0-9]{1,2}){0,4}",
        "BY(MONTHDAY|YEARDAY|WEEKNO|MONTH|SETPOS)=-?[0-9]{1,3}(,-?[0-9]{1,3}){0,4}",
        "BYDAY=(-?[0-9]{1,2})?(MO|TU|WE|TH|FR|SA|SU)",
        "WKST=(MO|SU|TH)",
        "[A-Z=;,é0-9]{0,12}",
    ];
    proptest::collection::vec(part, 1..6).prop_map(|parts| parts.join(";"))
}

proptest! {
    /// Any rule from any date answers or says why not; a grid date is always later.
    #[test]
    fn rules_never_panic(
        every in any_every(), small in 0u32..40, anchor in any_date(), done in any_date(),
        after in any_date(), nth in any::<i8>(), month in any::<u8>(), day in any::<u8>(),
        reading in any::<f64>(), service in any::<f64>(), text in rule_text(),
    ) {
        let at = MonthDay { month, day };
        let meter = Meter {
            readings: vec![
                MeterReading { on: anchor, value: 0.0 },
                MeterReading { on: after, value: reading },
            ],
            last_service: Some(service),
        };
        let season = Season { start: at, end: MonthDay { month: 4, day: 30 } };
        let rules = [
            Rule::Calendar { every },
            Rule::Calendar { every: Every::Months(small) },
            Rule::AfterDone { every },
            Rule::InSeason { every, season },
            Rule::Months { months: vec![month], day },
            Rule::BeforeSeason { start: at, lead_days: small },
            Rule::NthWeekday { nth, weekday: Weekday::Monday, every_months: small },
            Rule::Meter { every: reading },
            Rule::Recurrence { rule: text },
            Rule::FirstOf { rules: vec![Rule::Meter { every: 10.0 }, Rule::AfterDone { every }] },
        ];
        for rule in &rules {
            let found = next(rule, anchor, Some(done), after, &meter);
            if let (Rule::Calendar { .. }, Ok(due)) = (rule, &found) {
                prop_assert!(due.on > after && due.on > done);
            }
            let list = upcoming(rule, anchor, None, after, &meter, 5);
            prop_assert!(list.windows(2).all(|pair| pair[0].on < pair[1].on));
        }
    }

    /// The list is what one gets by asking for the next date again and again.
    #[test]
    fn upcoming_is_next_repeated(
        rule in common_rule(), anchor in common_date(), done in proptest::option::of(common_date()),
        rate in 0.0..24.0,
    ) {
        let mut meter = running_meter(anchor, rate);
        let mut after = anchor.previous_day().unwrap_or(anchor);
        let list = upcoming(&rule, anchor, done, after, &meter, 12);
        let (mut done, mut one_by_one) = (done, Vec::<Due>::new());
        while one_by_one.len() < 12 {
            let Ok(due) = next(&rule, anchor, done, after, &meter) else { break };
            if one_by_one.last().is_some_and(|last| due.on <= last.on) { break }
            let last = meter.readings[1];
            let days = (due.on - last.on).whole_days().max(0) as f64;
            let per_day = (last.value - meter.readings[0].value) / 30.0;
            meter.last_service = Some(last.value + per_day * days);
            done = done.max(Some(due.on));
            after = after.max(due.on);
            one_by_one.push(due);
        }
        prop_assert_eq!(list, one_by_one);
    }

    /// Work done late or early does not move a grid.
    #[test]
    fn a_fixed_grid_does_not_move(
        every in common_every(), anchor in common_date(), done in common_date(),
    ) {
        let rule = Rule::Calendar { every };
        let none = Meter::default();
        let due = next(&rule, anchor, Some(done), done, &none).expect("a date").on;
        let at = (0..60_000).map(|i| add(anchor, every, i).expect("a date"))
            .find(|on| *on > done);
        prop_assert_eq!(Some(due), at);
        let (fixed, missed) = fixed_next(anchor, every, anchor, done).expect("a date");
        prop_assert_eq!(fixed, due.max(grid_after(anchor, every, anchor).expect("a date")));
        prop_assert!(missed.iter().all(|on| *on > anchor && *on <= done));
    }

    /// The day of the anchor comes back in every month that has it.
    #[test]
    fn the_month_end_is_never_lost(anchor in common_date(), months in 1u32..30, at in 1u32..200) {
        let on = add(anchor, Every::Months(months), at).expect("a date");
        let length = on.month().length(on.year());
        prop_assert_eq!(on.day(), anchor.day().min(length));
    }

    /// Outside gaps a wall-clock time is shown again as it was.
    #[test]
    fn wall_clocks_come_back(
        day in common_date(), second in 0u32..86_400,
        name in prop_oneof![
            Just("America/New_York"), Just("Europe/London"), Just("Australia/Lord_Howe"),
            Just("Pacific/Apia"), Just("Asia/Kolkata"), Just("America/Sao_Paulo"),
        ],
    ) {
        let time = Time::MIDNIGHT + Duration::seconds(i64::from(second));
        let wall = PrimitiveDateTime::new(day, time);
        let shown = Zone::named(name).expect("a zone").to_utc(wall).expect("a time");
        let back = PrimitiveDateTime::new(shown.local.date(), shown.local.time());
        if shown.clock == Clock::Gap {
            prop_assert!(back > wall);
        } else {
            prop_assert_eq!(back, wall);
        }
    }

    /// Any text is read or refused, and what is read stays bounded.
    #[test]
    fn recurrence_text_never_panics(
        text in prop_oneof![rule_text(), any::<String>()], start in any_date(), second in 0u32..86_400,
    ) {
        if let Ok(rule) = text.parse::<Recurrence>() {
            let time = Time::MIDNIGHT + Duration::seconds(i64::from(second));
            let start = PrimitiveDateTime::new(start, time);
            let walls: Vec<_> = rule.walls(start).take(20).map_while(Result::ok).collect();
            prop_assert!(walls.windows(2).all(|pair| pair[0] < pair[1]));
            prop_assert!(walls.iter().all(|at| *at >= start));
            let zone = Zone::named("America/New_York").expect("a zone");
            if let Ok(instants) = rule.instants(start, &zone) {
                let utc: Vec<_> = instants.take(20).map_while(Result::ok).map(|(_, at)| at.utc).collect();
                prop_assert!(utc.windows(2).all(|pair| pair[0] < pair[1]));
            }
        }
    }

    /// A running total never falls and ends where the usage says.
    #[test]
    fn totals_never_fall(values in proptest::collection::vec(-10.0..100_000.0, 0..8), full in proptest::option::of(1.0..100_000.0)) {
        let day = date!(2024 - 01 - 01);
        let readings: Vec<MeterReading> = values
            .iter()
            .enumerate()
            .map(|(at, value)| MeterReading { on: day + Duration::days(at as i64), value: *value })
            .collect();
        if let Ok(total) = continuous(&readings, &[], full) {
            prop_assert_eq!(total.len(), readings.len());
            prop_assert!(total.windows(2).all(|pair| pair[0].value <= pair[1].value));
        }
    }

    /// Work moves to an open day, to the side that was asked for.
    #[test]
    fn shifts_land_on_open_days(due in common_date(), closed in 0u8..127, holiday in common_date()) {
        let weekend = (0..7).filter(|day| closed >> day & 1 == 1)
            .map(|day| Weekday::Monday.nth_next(day)).collect();
        let closed = Closed { weekend, holidays: vec![holiday] };
        let at = |mode| shift(due, mode, &closed).expect("an open day");
        prop_assert!(at(Shift::Following) >= due && at(Shift::Previous) <= due);
        for mode in [Shift::Following, Shift::Previous, Shift::Nearest, Shift::ModifiedFollowing] {
            prop_assert!(!closed.holds(at(mode)));
        }
        let away = |on: Date| (on - due).whole_days().abs();
        prop_assert!(away(at(Shift::Nearest)) <= away(at(Shift::Following)));
        prop_assert!(away(at(Shift::Nearest)) <= away(at(Shift::Previous)));
    }

    /// Done later, work never stands better once it is late.
    #[test]
    fn late_stays_late(due in common_date(), side in 0u32..40, done in common_date(), more in 0i64..100) {
        let window = window(due, side, side).expect("a window");
        let later = done + Duration::days(more);
        if timing(done, window) == Timing::Late {
            prop_assert_eq!(timing(later, window), Timing::Late);
        }
    }
}

#[test]
fn stored_rules_keep_their_form() {
    let forms = [
        r#"{"kind":"calendar","every":{"months":3}}"#,
        r#"{"kind":"after_done","every":{"days":90}}"#,
        r#"{"kind":"in_season","every":{"days":30},"season":{"start":{"month":5,"day":1},"end":{"month":9,"day":30}}}"#,
        r#"{"kind":"months","months":[5,9],"day":1}"#,
        r#"{"kind":"before_season","start":{"month":10,"day":1},"lead_days":30}"#,
        r#"{"kind":"nth_weekday","nth":-1,"weekday":5,"every_months":3}"#,
        r#"{"kind":"meter","every":500.0}"#,
        r#"{"kind":"recurrence","rule":"FREQ=MONTHLY;BYDAY=1MO"}"#,
        r#"{"kind":"first_of","rules":[{"kind":"meter","every":250.0}]}"#,
    ];
    for form in forms {
        let rule: Rule = serde_json::from_str(form).expect(form);
        assert_eq!(serde_json::to_string(&rule).expect("json"), form);
    }
    let by_name = r#"{"kind":"nth_weekday","nth":-1,"weekday":"friday","every_months":3}"#;
    let rule: Rule = serde_json::from_str(by_name).expect(by_name);
    assert_eq!(serde_json::to_string(&rule).expect("json"), forms[5]);
}

#[test]
fn a_recurrence_in_a_plan_follows_its_rule_and_ends_with_it() {
    let rule = Rule::Recurrence {
        rule: "FREQ=MONTHLY;BYDAY=1MO;COUNT=3".into(),
    };
    let anchor = date!(2024 - 01 - 01);
    let none = Meter::default();
    let list = upcoming(&rule, anchor, None, date!(2023 - 12 - 31), &none, 10);
    let days: Vec<Date> = list.iter().map(|due| due.on).collect();
    let want = [
        date!(2024 - 01 - 01),
        date!(2024 - 02 - 05),
        date!(2024 - 03 - 04),
    ];
    assert_eq!(days, want);
    let after = next(&rule, anchor, None, date!(2024 - 03 - 04), &none);
    assert_eq!(after, Err(NoDue::Ended));
    let hourly = Rule::Recurrence {
        rule: "FREQ=HOURLY".into(),
    };
    let refused = next(&hourly, anchor, None, anchor, &none);
    assert!(matches!(refused, Err(NoDue::Recurrence(_))));
}

#[test]
fn whichever_comes_first_says_which() {
    let anchor = date!(2024 - 01 - 01);
    let meter = running_meter(anchor, 10.0);
    let rule = Rule::FirstOf {
        rules: vec![
            Rule::Calendar {
                every: Every::Months(3),
            },
            Rule::Meter { every: 500.0 },
        ],
    };
    let due = next(&rule, anchor, Some(anchor), anchor, &meter).expect("a date");
    assert_eq!(due.on, date!(2024 - 01 - 21));
    assert_eq!(
        due.reason,
        "the meter should reach 1500 on this day, at 10 a day, which comes first"
    );
}
