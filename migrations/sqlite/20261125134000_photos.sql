-- Photos of jobs: made by entries, withdrawn by later ones. The files lie in the shop's folder.
CREATE TABLE photos (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT, -- its machine is the job's
    person_id INTEGER REFERENCES people (id) ON DELETE RESTRICT, -- null: a report without sign-in
    sha TEXT NOT NULL, -- SHA-256 of the file, which has it as its name
    thumb TEXT NOT NULL, -- the same of the small one
    width INTEGER NOT NULL,
    height INTEGER NOT NULL,
    bytes INTEGER NOT NULL,
    caption TEXT NOT NULL DEFAULT '',
    about TEXT NOT NULL, -- as_found, plate, label, damage, as_left, other, report
    taken_at INTEGER NOT NULL, -- when it was received
    withdrawn_by TEXT REFERENCES entries (id) ON DELETE RESTRICT -- null: it is shown
);
CREATE INDEX photos_job_idx ON photos (job_id);
CREATE INDEX photos_sha_idx ON photos (sha);
CREATE INDEX photos_thumb_idx ON photos (thumb);
CREATE INDEX photos_person_idx ON photos (person_id, taken_at);
