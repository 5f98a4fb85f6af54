//! The one list of a job's columns.

/// The columns of a job, in the order of [`JobRow`]; used by every statement that reads one.
macro_rules! job_sql {
    ($rest:literal) => {
        concat!(
            "SELECT id, place_id, machine_id, due_item_id, state, held_from, held_for, held_note, \
             words, reporter, contact, reported_at, scope, minutes_planned, steps, assigned_to, \
             planned_on, confirmed_at, as_found_at, told_at, dead_at, lifting, energised_at, \
             chosen_motor_id, fit_verdict, circuit_motor_id, circuit_verdict, circuit_decided_at, \
             fitted_motor_id, proof_verdict, proof_at, test_owed_on, component, mode, mechanism, \
             cause, cause_at, back_at, signed_by, signed_at, turned_down_why, joined_to, level, \
             level_why, clock_from, attended_at, held_at, paused_ms, emergency, entry_count, \
             last_entry_at, version, handover_from, handover_to, permits_needed, \
             interlocks_restored, touches, hands, exception, exception_by, short_proof, finished, \
             accepted_by, saw_working, outside_firm, outside_exchanged FROM jobs ",
            $rest
        )
    };
}
