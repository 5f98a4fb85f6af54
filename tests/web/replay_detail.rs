//! The rows of the work in detail come from entries alone: replayed, they are found as they stand.

use crate::demo::filled;
use brasstag::jobs;
use brasstag::jobs::body::Body;
use brasstag::jobs::detail::Detail;
use std::collections::BTreeMap;

/// A row as words: what identifies it, then what it says.
type Rows = BTreeMap<String, String>;

#[derive(Default)]
struct Replayed {
    procedures: Rows,
    steps: Rows,
    answers: Rows,
    parts: Rows,
    reviews: Rows,
    follow_ups: Rows,
    fixes: Rows,
}

fn add(found: &mut Replayed, entry: &jobs::queries::Entry, detail: &Detail) {
    let (id, job) = (entry.id.clone(), entry.job_id.0);
    match detail {
        Detail::ProcedureTaken {
            procedure_id,
            revision,
            name,
            steps,
        } => {
            let words = format!("{job} {procedure_id} {revision} {name} none");
            found.procedures.insert(id, words);
            let of_job = format!("{job}:");
            let first = found
                .steps
                .keys()
                .filter(|k| k.starts_with(&of_job))
                .count();
            for (at, step) in steps.iter().enumerate() {
                let key = format!("{job}:{}", first + at + 1);
                let words = format!("{} {} {}", step.text, step.takes.word(), step.quantity);
                found.steps.insert(key, words);
            }
        }
        Detail::ProcedureDropped { taken, .. } => {
            let row = found.procedures.get_mut(taken).expect("it was taken");
            *row = row.replace(" none", &format!(" {id}"));
        }
        Detail::StepDone {
            position,
            answer,
            reading,
            choice,
            why,
            ..
        } => {
            let shown = reading.as_ref().map_or(choice, |r| &r.as_shown);
            let words = format!("{job} {position} {} {shown} {why}", answer.word());
            found.answers.insert(id, words);
        }
        Detail::PartsInspected { parts, .. } => {
            for (at, part) in parts.iter().enumerate() {
                let words = format!("{job} {} {} {}", part.part, part.found, part.reason);
                found.parts.insert(format!("{id}:{at}"), words);
            }
        }
        Detail::CauseReviewed { finding, action } => {
            let words = format!("{job} {finding} {action}");
            found.reviews.insert(id, words);
        }
        Detail::FollowUpMade { job: made, from } => {
            let words = format!("{job} {} {from}", made.0);
            found.follow_ups.insert(id, words);
        }
        Detail::Temporary { what, .. } => {
            found.fixes.insert(id, format!("{job} {what} none"));
        }
        Detail::FromPaper { .. } => {}
        Detail::TemporaryEnded { of, .. } => {
            let row = found.fixes.get_mut(of).expect("it was written down");
            *row = row.replace(" none", &format!(" {id}"));
        }
    }
}

#[tokio::test]
async fn a_replay_finds_the_rows_of_the_work_in_detail() {
    let (db, _guard) = filled().await;
    let mut found = Replayed::default();
    let entries = jobs::queries::all_entries(&db).await.expect("they read");
    for entry in &entries {
        if let (Body::Detail(detail), None) = (&entry.body, &entry.set_aside) {
            add(&mut found, entry, detail);
        }
    }
    for (sql, rows) in [
        (
            "SELECT entry_id, CAST(job_id AS TEXT) || ' ' || CAST(procedure_id AS TEXT) || ' ' ||
                CAST(revision AS TEXT) || ' ' || name || ' ' || COALESCE(dropped_by, 'none')
                FROM job_procedures",
            &found.procedures,
        ),
        (
            "SELECT CAST(job_id AS TEXT) || ':' || CAST(position AS TEXT),
                text || ' ' || takes || ' ' || quantity FROM job_steps",
            &found.steps,
        ),
        (
            "SELECT entry_id, CAST(job_id AS TEXT) || ' ' || CAST(position AS TEXT) || ' ' ||
                answer || ' ' || shown || ' ' || why FROM job_step_answers",
            &found.answers,
        ),
        (
            "SELECT entry_id || ':' || CAST(position AS TEXT), CAST(job_id AS TEXT) || ' ' ||
                part || ' ' || found || ' ' || reason FROM part_conditions",
            &found.parts,
        ),
        (
            "SELECT entry_id, CAST(job_id AS TEXT) || ' ' || finding || ' ' || action
                FROM cause_reviews",
            &found.reviews,
        ),
        (
            "SELECT entry_id, CAST(job_id AS TEXT) || ' ' || CAST(follow_job_id AS TEXT) || ' ' ||
                made_from FROM follow_ups",
            &found.follow_ups,
        ),
        (
            "SELECT entry_id, CAST(job_id AS TEXT) || ' ' || what || ' ' ||
                COALESCE(ended_by, 'none') FROM temporary_fixes",
            &found.fixes,
        ),
    ] {
        let stored: Vec<(String, String)> = brasstag::on_db!(&db, pool =>
            sqlx::query_as(sql).fetch_all(pool).await.expect("the rows read"));
        let stored: Rows = stored.into_iter().collect();
        assert_eq!(&stored, rows, "{sql}");
    }
    assert!(found.answers.len() > 10, "the demo works a procedure");
    assert!(!found.parts.is_empty() && !found.fixes.is_empty());
    assert!(!found.reviews.is_empty());
}
