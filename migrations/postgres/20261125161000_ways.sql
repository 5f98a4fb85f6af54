-- What a job touches and how far hands went, the exception that stands in place of isolation, the
-- outside firm and who accepted the work: made from entries, like the rest of the row.
ALTER TABLE jobs ADD COLUMN touches TEXT
    CHECK (touches IN ('nothing', 'guard', 'like_for_like', 'full')); -- null: nobody has chosen
ALTER TABLE jobs ADD COLUMN hands TEXT
    CHECK (hands IN ('nothing', 'guard', 'like_for_like', 'full'));
ALTER TABLE jobs ADD COLUMN exception TEXT
    CHECK (exception IN ('cord_and_plug', 'minor_servicing'));
ALTER TABLE jobs ADD COLUMN exception_by BIGINT REFERENCES people (id) ON DELETE RESTRICT;
ALTER TABLE jobs ADD COLUMN short_proof BOOLEAN NOT NULL DEFAULT FALSE;
ALTER TABLE jobs ADD COLUMN finished BOOLEAN NOT NULL DEFAULT FALSE;
ALTER TABLE jobs ADD COLUMN accepted_by TEXT NOT NULL DEFAULT '';
ALTER TABLE jobs ADD COLUMN saw_working TEXT NOT NULL DEFAULT '';
ALTER TABLE jobs ADD COLUMN outside_firm TEXT NOT NULL DEFAULT '';
ALTER TABLE jobs ADD COLUMN outside_exchanged BOOLEAN NOT NULL DEFAULT FALSE;
-- What was locked, energised or fitted before this column was is taken as full work.
UPDATE jobs SET hands = 'full'
WHERE dead_at IS NOT NULL OR energised_at IS NOT NULL OR fitted_motor_id IS NOT NULL;

-- Locks of an outside firm's people: they stand in the way of power as any other.
CREATE TABLE outside_locks (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id BIGINT NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    machine_id BIGINT NOT NULL REFERENCES machines (id) ON DELETE RESTRICT,
    source_id BIGINT NOT NULL REFERENCES energy_sources (id) ON DELETE RESTRICT,
    firm TEXT NOT NULL,
    owner TEXT NOT NULL,
    lock_number TEXT NOT NULL,
    recorded_by BIGINT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    on_at BIGINT NOT NULL,
    off_entry_id TEXT REFERENCES entries (id) ON DELETE RESTRICT,
    off_at BIGINT
);
CREATE INDEX outside_locks_machine_idx ON outside_locks (machine_id, off_at);
CREATE INDEX outside_locks_source_idx ON outside_locks (source_id, off_at);
CREATE INDEX outside_locks_job_idx ON outside_locks (job_id);

-- Started at a job because it was missing from the register, and not completed yet.
ALTER TABLE machines ADD COLUMN to_complete BOOLEAN NOT NULL DEFAULT FALSE;
CREATE INDEX machines_to_complete_idx ON machines (to_complete) WHERE to_complete;
