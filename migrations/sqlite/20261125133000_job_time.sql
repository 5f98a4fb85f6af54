-- Stretches of time on a job: made by entries, withdrawn by later ones.
CREATE TABLE job_spells (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    person_id INTEGER REFERENCES people (id) ON DELETE RESTRICT, -- null: the job waited
    spent TEXT NOT NULL, -- travel, repair, part, access …
    from_at INTEGER NOT NULL,
    to_at INTEGER NOT NULL,
    note TEXT NOT NULL DEFAULT '',
    withdrawn_by TEXT REFERENCES entries (id) ON DELETE RESTRICT -- null: it counts
);
CREATE INDEX job_spells_job_idx ON job_spells (job_id, from_at);
CREATE INDEX job_spells_person_idx ON job_spells (person_id, from_at);
