-- What the Ledger's figures and the auditor's query go over, and what an hour of work costs.
ALTER TABLE shop ADD COLUMN hour_rate_minor BIGINT; -- hundredths; null: not known
CREATE INDEX jobs_figures_idx ON jobs (reported_at, id, machine_id, due_item_id, state, place_id, level,
    clock_from, paused_ms, attended_at, held_at, back_at, emergency, proof_verdict, finished, touches);
CREATE INDEX jobs_failures_idx ON jobs (machine_id, reported_at, id)
    WHERE due_item_id IS NULL AND state NOT IN ('turned_down', 'joined');
CREATE INDEX jobs_signed_idx ON jobs (signed_at);
CREATE INDEX jobs_back_idx ON jobs (back_at);
CREATE INDEX machines_place_kind_idx ON machines (place_id, kind);
CREATE INDEX locks_on_idx ON locks (on_at);
CREATE INDEX permits_from_idx ON permits (valid_from);
CREATE INDEX temporary_fixes_made_idx ON temporary_fixes (made_at);
CREATE INDEX stock_moves_machine_idx ON stock_moves (machine_id, moved_at);
CREATE INDEX part_conditions_job_idx ON part_conditions (job_id);
