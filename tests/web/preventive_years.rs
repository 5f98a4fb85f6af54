//! Due work over years: restarts, weeks switched off, a clock that jumps, two workers at once. No date is
//! lost and none is doubled.

use crate::app::TestApp;
use brasstag::clock::{DAY, HOUR, Millis};
use brasstag::preventive::{ahead::after_item, make_ahead};
use brasstag::{on_db, on_tx};
use calc::due::{self, Meter, Rule};
use std::collections::BTreeMap;
use time::{Date, Duration};

const RULES: &[&str] = &[
    r#"{"kind":"calendar","every":{"weeks":1}}"#,
    r#"{"kind":"calendar","every":{"months":1}}"#,
    r#"{"kind":"nth_weekday","nth":-1,"weekday":5,"every_months":1}"#,
    r#"{"kind":"months","months":[1,4,7,10],"day":31}"#,
    r#"{"kind":"before_season","start":{"month":10,"day":1},"lead_days":21}"#,
    r#"{"kind":"after_done","every":{"days":30}}"#,
];

/// The same numbers every time.
struct Chance(u64);

impl Chance {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (self.0 >> 33) % n
    }
}

async fn lay_out(app: &TestApp) {
    app.run(
        "INSERT INTO places (id, kind, name) VALUES (1, 'site', 'Mill');
         INSERT INTO machines (id, tag, name, kind, place_id, facts, created_at)
         VALUES (1, 'F-1', 'Hall fan', 'fan', 1, '{}', 0)",
    )
    .await;
    let mut tx = app.db().begin_write().await.expect("a transaction");
    for (number, rule) in (1_i64..).zip(RULES) {
        let sql =
            "INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at)
            VALUES ($1, 1, 'Look', $2, '2026-11-27', 3, 0)";
        on_tx!(&mut tx, conn => sqlx::query(sql).bind(100 + number).bind(*rule)
            .execute(conn).await.map(|_| ()))
        .expect("a plan");
    }
    tx.commit().await.expect("commit");
}

/// Somebody does the oldest open item of a plan today.
async fn serve(app: &TestApp, plan: i64, today: Date) {
    let mut tx = app.db().begin_write().await.expect("a transaction");
    brasstag::preventive::ahead_queries::alone(&mut tx)
        .await
        .expect("alone");
    let sql = "UPDATE due_items SET state = 'done', done_on = $2
        WHERE plan_id = $1 AND state = 'open' AND due_on <= $2 RETURNING id";
    let item: Option<i64> = on_tx!(&mut tx, conn =>
        sqlx::query_scalar(sql).bind(plan).bind(today).fetch_optional(conn).await)
    .expect("served");
    if let Some(item) = item {
        after_item(&mut tx, item, today).await.expect("the next");
    }
    tx.commit().await.expect("commit");
}

async fn rows(app: &TestApp) -> BTreeMap<i64, Vec<(Date, String, Option<Date>)>> {
    let sql = "SELECT plan_id, due_on, state, done_on FROM due_items ORDER BY plan_id, due_on";
    let rows: Vec<(i64, Date, String, Option<Date>)> =
        on_db!(app.db(), pool => sqlx::query_as(sql).fetch_all(pool).await).expect("rows");
    let mut by_plan = BTreeMap::<_, Vec<_>>::new();
    for (plan, due, state, done) in rows {
        by_plan.entry(plan).or_default().push((due, state, done));
    }
    by_plan
}

/// The rule's own dates, one after another, with nothing but the rule.
fn grid(rule: &Rule, upto: Date) -> Vec<Date> {
    let anchor = time::macros::date!(2026 - 11 - 27);
    let (mut after, mut list) = (anchor.previous_day().expect("a day"), Vec::new());
    while after < upto {
        let next = due::next(rule, anchor, None, after, &Meter::default()).expect("a date");
        list.push(next.on);
        after = next.on;
    }
    list
}

async fn one_day(app: &TestApp, chance: &mut Chance) {
    match chance.below(40) {
        // A week or two switched off.
        0 => app
            .state
            .clock
            .advance((7 + chance.below(8)) as Millis * DAY),
        // The clock jumps back two days, the task runs, and the clock is put right.
        1 => {
            app.state.clock.advance(-2 * DAY);
            make_ahead(&app.state).await.expect("made");
            app.state.clock.advance(2 * DAY);
        }
        // Two servers at the same moment.
        2..=9 => {
            let (one, two) = tokio::join!(make_ahead(&app.state), make_ahead(&app.state));
            one.expect("made");
            two.expect("made");
        }
        // Switched off that day.
        10..=12 => return,
        _ => {
            make_ahead(&app.state).await.expect("made");
        }
    }
    for plan in 101..=106 {
        if chance.below(9) == 0 {
            serve(app, plan, app.state.today()).await;
        }
    }
}

#[tokio::test]
async fn over_four_years_no_date_is_lost_and_none_doubled() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let mut chance = Chance(20261125);
    let end = app.state.clock.now() + 4 * 365 * DAY;
    while app.state.clock.now() < end {
        one_day(&app, &mut chance).await;
        // Days of 23 to 25 hours, as in weeks in which the clocks change.
        app.state
            .clock
            .advance(23 * HOUR + chance.below(3) as Millis * HOUR);
    }
    make_ahead(&app.state).await.expect("made");
    let today = app.state.today();
    let by_plan = rows(&app).await;
    for (number, text) in (1_i64..).zip(RULES) {
        let items = &by_plan[&(100 + number)];
        let open: Vec<_> = items
            .iter()
            .filter(|(_, state, _)| state == "open")
            .collect();
        assert_eq!(open.len(), 1, "one stands open: {text}");
        let rule: Rule = serde_json::from_str(text).expect("a rule");
        if let Rule::AfterDone { .. } = rule {
            for pair in items.windows(2) {
                let done = pair[0].2.expect("closed");
                assert_eq!(pair[1].0, done + Duration::days(30), "{text}");
            }
            assert!(items.len() > 20, "{} items", items.len());
            continue;
        }
        let dates: Vec<Date> = items.iter().map(|(due, ..)| *due).collect();
        let last = *dates.last().expect("items");
        assert!(
            last > today || open[0].0 == last,
            "it reaches today: {text}"
        );
        assert_eq!(dates, grid(&rule, last), "{text}");
        // What was not done is missed, never waived.
        assert!(
            items
                .iter()
                .all(|(_, s, _)| ["open", "done", "missed"].contains(&s.as_str()))
        );
    }
    let missed = app
        .count("SELECT count(*) FROM due_items WHERE state = 'missed'")
        .await;
    assert!(missed > 10, "{missed} missed");
}

/// The nightly run over 2,000 plans with five years behind them. The budget is wide here, because tests run
/// unoptimised and beside each other.
#[tokio::test]
async fn two_thousand_plans_are_brought_up_to_date_in_one_run() {
    let app = TestApp::start().await;
    app.run(
        "INSERT INTO places (id, kind, name) VALUES (1, 'site', 'Mill');
         WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 2000)
         INSERT INTO machines (id, tag, name, kind, place_id, facts, created_at)
         SELECT i, 'M-' || i, 'Fan', 'fan', 1, '{}', 0 FROM n;
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at)
         SELECT id + 5000, id, 'Look', '{\"kind\":\"calendar\",\"every\":{\"months\":1}}',
             '2021-12-01', 5, 0 FROM machines",
    )
    .await;
    // The first night makes the whole past, as after five years switched off; the second is a plain one.
    make_ahead(&app.state).await.expect("made");
    assert_eq!(
        app.count("SELECT count(*) FROM due_items WHERE state = 'open'")
            .await,
        2000
    );
    assert_eq!(app.count("SELECT count(*) FROM due_items").await, 2000 * 60);
    app.state.clock.advance(7 * DAY);
    let begun = std::time::Instant::now();
    assert_eq!(make_ahead(&app.state).await.expect("made"), 2000);
    let took = begun.elapsed();
    println!("the nightly run in which all 2,000 plans fell due took {took:?}");
    assert!(took < std::time::Duration::from_secs(60), "took {took:?}");
}
