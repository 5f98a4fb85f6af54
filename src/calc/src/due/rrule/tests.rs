//! Rules beyond the examples of the standard. Lists without a word about them agree with a second
//! program (python-dateutil 2.9).

use super::*;
use crate::due::zone::{Zone, local_text, wall_text};
use time::macros::{date, datetime};

fn walls(rule: &str, start: PrimitiveDateTime, n: usize) -> Vec<String> {
    let rule: Recurrence = rule.parse().expect(rule);
    rule.walls(start)
        .take(n)
        .map(|at| wall_text(at.expect("a time")))
        .collect()
}

fn dates(rule: &str, start: Date, n: usize) -> Vec<String> {
    let rule: Recurrence = rule.parse().expect(rule);
    let dates = rule.dates(start).expect("dates");
    dates
        .take(n)
        .map(|at| at.expect("a date").to_string())
        .collect()
}

fn refused(rule: &str) -> String {
    let why = rule.parse::<Recurrence>().unwrap_err();
    why.to_string()
}

#[test]
fn set_positions_count_times_as_well() {
    let found = walls(
        "FREQ=DAILY;BYHOUR=9,15;BYMINUTE=0,30;BYSETPOS=1,-1",
        datetime!(2024-01-01 10:00),
        3,
    );
    let want = [
        "2024-01-01T15:30:00",
        "2024-01-02T09:00:00",
        "2024-01-02T15:30:00",
    ];
    assert_eq!(found, want);
}

#[test]
fn hours_go_on_over_midnight() {
    let found = walls("FREQ=HOURLY;INTERVAL=7", datetime!(2024-01-01 20:15), 3);
    let want = [
        "2024-01-01T20:15:00",
        "2024-01-02T03:15:00",
        "2024-01-02T10:15:00",
    ];
    assert_eq!(found, want);
    let found = walls(
        "FREQ=SECONDLY;BYSECOND=0;BYMINUTE=0;BYHOUR=0;BYMONTHDAY=1",
        datetime!(2024-01-01 00:00),
        2,
    );
    assert_eq!(found, ["2024-01-01T00:00:00", "2024-02-01T00:00:00"]);
}

#[test]
fn days_of_the_year_count_from_the_end() {
    let found = dates("FREQ=YEARLY;BYYEARDAY=-366,-1", date!(2023 - 06 - 01), 4);
    let want = ["2023-12-31", "2024-01-01", "2024-12-31", "2025-12-31"];
    assert_eq!(found, want);
}

/// Our reading: a list of days is a union. The other program takes days that are both.
#[test]
fn days_with_and_without_a_number_add_up() {
    let found = dates("FREQ=MONTHLY;BYDAY=MO,1TU", date!(2024 - 01 - 01), 6);
    let want = [
        "2024-01-01",
        "2024-01-02",
        "2024-01-08",
        "2024-01-15",
        "2024-01-22",
        "2024-01-29",
    ];
    assert_eq!(found, want);
}

/// Our reading of 3.3.10: what the rule does not say comes from the start, here the weekday. The
/// other program takes all seven days.
#[test]
fn a_week_without_a_day_takes_that_of_the_start() {
    let found = dates("FREQ=YEARLY;BYWEEKNO=20", date!(2024 - 01 - 03), 2);
    assert_eq!(found, ["2024-05-15", "2025-05-14"]);
}

#[test]
fn weeks_that_belong_to_the_next_year_are_found_from_either_side() {
    let last = dates("FREQ=YEARLY;BYWEEKNO=-1;BYDAY=SU", date!(2020 - 01 - 01), 3);
    assert_eq!(last, ["2021-01-03", "2022-01-02", "2023-01-01"]);
    let sunday_weeks = dates(
        "FREQ=YEARLY;BYWEEKNO=1;BYDAY=SU;WKST=SU",
        date!(2024 - 06 - 01),
        3,
    );
    assert_eq!(sunday_weeks, ["2024-12-29", "2026-01-04", "2027-01-03"]);
}

#[test]
fn a_leap_second_is_the_second_before() {
    let found = walls("FREQ=MINUTELY;BYSECOND=60", datetime!(2024-01-01 09:00), 1);
    assert_eq!(found, ["2024-01-01T09:00:59"]);
}

#[test]
fn a_rule_that_names_no_day_says_so() {
    for rule in [
        "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=MONTHLY;BYDAY=MO;BYSETPOS=6",
    ] {
        let rule: Recurrence = rule.parse().expect(rule);
        let mut times = rule.walls(datetime!(2024-01-01 09:00));
        let first = times.next().expect("an answer");
        assert_eq!(first.unwrap_err().part, "the rule");
        assert_eq!(times.next(), None);
    }
}

#[test]
fn the_calendar_has_an_end() {
    let found = dates("FREQ=YEARLY", date!(9998 - 05 - 01), 9);
    assert_eq!(found, ["9998-05-01", "9999-05-01"]);
    let found = dates("FREQ=WEEKLY", date!(9999 - 12 - 30), 9);
    assert_eq!(found, ["9999-12-30"]);
}

#[test]
fn what_the_standard_forbids_is_refused_in_words() {
    assert_eq!(refused("COUNT=3"), "FREQ is missing");
    assert_eq!(refused("FREQ=DAILY;FREQ=DAILY"), "FREQ is given twice");
    assert_eq!(
        refused("FREQ=DAILY;BYHOUR=24"),
        "BYHOUR takes numbers from 0 to 23"
    );
    assert_eq!(
        refused("FREQ=DAILY;COUNT=0"),
        "COUNT takes a whole number from 1 to 4294967295"
    );
    for rule in [
        "",
        "FREQ",
        "FREQ=FORTNIGHTLY",
        "FREQ=DAILY;SIZE=3",
        "FREQ=DAILY;COUNT=2;UNTIL=20250101",
        "FREQ=DAILY;UNTIL=20251301",
        "FREQ=DAILY;UNTIL=20250101Z",
        "FREQ=MONTHLY;BYWEEKNO=2",
        "FREQ=DAILY;BYYEARDAY=2",
        "FREQ=WEEKLY;BYMONTHDAY=2",
        "FREQ=WEEKLY;BYDAY=1MO",
        "FREQ=YEARLY;BYWEEKNO=2;BYDAY=1MO",
        "FREQ=MONTHLY;BYDAY=0MO",
        "FREQ=MONTHLY;BYDAY=é",
        "FREQ=MONTHLY;BYMONTHDAY=0",
        "FREQ=MONTHLY;BYSETPOS=1",
        "FREQ=DAILY;INTERVAL=-1",
        "FREQ=DAILY;INTERVAL=+1",
        "FREQ=DAILY;WKST=XX",
    ] {
        assert!(rule.parse::<Recurrence>().is_err(), "{rule}");
    }
    let spaced = " rrule:freq=daily; count=2; ".parse::<Recurrence>();
    assert_eq!(spaced.expect("a rule").count(), Some(2));
}

#[test]
fn until_may_be_a_day_a_wall_clock_time_or_utc() {
    let start = datetime!(2024-03-08 20:00);
    let zone = Zone::named("America/New_York").expect("a zone");
    let last = |until: &str| {
        let rule: Recurrence = format!("FREQ=DAILY;UNTIL={until}").parse().expect(until);
        let times = rule.instants(start, &zone).expect("times");
        times
            .map(|at| local_text(at.expect("a time").1.local))
            .last()
    };
    let tenth = Some("2024-03-10T20:00:00-04:00".to_owned());
    assert_eq!(last("20240310"), tenth);
    assert_eq!(last("20240310T200000"), tenth);
    // Eight in the evening of the 10th is midnight of the 11th in UTC.
    assert_eq!(last("20240311T000000Z"), tenth);
    let ninth = Some("2024-03-09T20:00:00-05:00".to_owned());
    assert_eq!(last("20240310T235959Z"), ninth);
}

#[test]
fn a_gap_gives_an_instant_once() {
    let zone = Zone::named("America/New_York").expect("a zone");
    let rule: Recurrence = "FREQ=HOURLY;COUNT=4".parse().expect("a rule");
    let times = rule
        .instants(datetime!(2024-03-10 01:30), &zone)
        .expect("times");
    let found: Vec<String> = times
        .map(|at| local_text(at.expect("a time").1.local))
        .collect();
    let want = [
        "2024-03-10T01:30:00-05:00",
        "2024-03-10T03:30:00-04:00",
        "2024-03-10T04:30:00-04:00",
        "2024-03-10T05:30:00-04:00",
    ];
    assert_eq!(found, want);
}
