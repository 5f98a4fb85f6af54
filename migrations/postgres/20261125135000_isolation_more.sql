-- The lock of somebody absent taken off for them: made by an entry, settled when the owner is told.
CREATE TABLE lock_removals (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    lock_entry_id TEXT NOT NULL REFERENCES entries (id) ON DELETE RESTRICT, -- a lock or a box lock
    job_id BIGINT NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    owner_id BIGINT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    lock_number TEXT NOT NULL,
    point TEXT NOT NULL, -- the source or box it was on
    removed_by BIGINT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    removed_at BIGINT NOT NULL,
    told_entry_id TEXT REFERENCES entries (id) ON DELETE RESTRICT, -- null: not told yet
    told_at BIGINT
);
CREATE INDEX lock_removals_owner_idx ON lock_removals (owner_id, told_at);
CREATE INDEX lock_removals_job_idx ON lock_removals (job_id);

-- A box that holds the keys of source locks; it stands while one of those locks does.
CREATE TABLE lock_boxes (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id BIGINT NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    name TEXT NOT NULL,
    coordinator_id BIGINT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    locked_at BIGINT NOT NULL
);
CREATE INDEX lock_boxes_job_idx ON lock_boxes (job_id);

CREATE TABLE lock_box_keys (
    box_entry_id TEXT NOT NULL REFERENCES lock_boxes (entry_id) ON DELETE RESTRICT,
    lock_entry_id TEXT NOT NULL REFERENCES locks (entry_id) ON DELETE RESTRICT,
    PRIMARY KEY (box_entry_id, lock_entry_id)
);
CREATE INDEX lock_box_keys_lock_idx ON lock_box_keys (lock_entry_id);

-- Personal locks on a box.
CREATE TABLE box_locks (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    box_entry_id TEXT NOT NULL REFERENCES lock_boxes (entry_id) ON DELETE RESTRICT,
    job_id BIGINT NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    person_id BIGINT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    lock_number TEXT NOT NULL,
    on_at BIGINT NOT NULL,
    off_entry_id TEXT REFERENCES entries (id) ON DELETE RESTRICT,
    off_at BIGINT
);
CREATE INDEX box_locks_box_idx ON box_locks (box_entry_id, off_at);
CREATE INDEX box_locks_person_idx ON box_locks (person_id, off_at);

-- Permits: opened and closed by entries.
CREATE TABLE permits (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id BIGINT NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    permit_kind TEXT NOT NULL, -- hot_work, confined_space, asbestos, energised_work, roof, other
    number TEXT NOT NULL,
    issued_by TEXT NOT NULL,
    issued_to TEXT NOT NULL,
    valid_from BIGINT NOT NULL,
    valid_to BIGINT NOT NULL,
    conditions TEXT NOT NULL,
    closed_entry_id TEXT REFERENCES entries (id) ON DELETE RESTRICT, -- null: not closed
    closed_at BIGINT
);
CREATE INDEX permits_job_idx ON permits (job_id);

-- Handed over and not proved dead again by who took it over.
ALTER TABLE jobs ADD COLUMN handover_from BIGINT REFERENCES people (id) ON DELETE RESTRICT;
ALTER TABLE jobs ADD COLUMN handover_to BIGINT REFERENCES people (id) ON DELETE RESTRICT;
-- Kinds of permit that work on this job needs, with blanks between.
ALTER TABLE jobs ADD COLUMN permits_needed TEXT NOT NULL DEFAULT '';
-- Interlocks recorded as restored since power was last put on, one a line.
ALTER TABLE jobs ADD COLUMN interlocks_restored TEXT NOT NULL DEFAULT '';

-- Before shut-down, with each revision of the sheet; one a line.
ALTER TABLE isolation_sheets ADD COLUMN tell_first TEXT NOT NULL DEFAULT ''; -- who must be told
ALTER TABLE isolation_sheets ADD COLUMN keys_needed TEXT NOT NULL DEFAULT '';
ALTER TABLE isolation_sheets ADD COLUMN interlocks TEXT NOT NULL DEFAULT ''; -- fire alarm, building controls, gas
