-- Files of documents, and photos of a machine, a motor or a part itself rather than of a job.
ALTER TABLE machine_documents ADD COLUMN dated_on DATE; -- the day on the document; null: none is known
ALTER TABLE machine_documents ADD COLUMN file_name TEXT NOT NULL DEFAULT ''; -- as it was sent

CREATE TABLE thing_photos (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    machine_id INTEGER REFERENCES machines (id) ON DELETE RESTRICT,
    motor_id INTEGER REFERENCES motors (id) ON DELETE RESTRICT,
    part_id INTEGER REFERENCES parts (id) ON DELETE RESTRICT,
    sha TEXT NOT NULL, -- SHA-256 of the file, which has it as its name
    thumb TEXT NOT NULL, -- the same of the small one
    width INTEGER NOT NULL,
    height INTEGER NOT NULL,
    bytes INTEGER NOT NULL,
    caption TEXT NOT NULL DEFAULT '',
    taken_by INTEGER REFERENCES people (id) ON DELETE RESTRICT,
    taken_at INTEGER NOT NULL, -- when it was received
    withdrawn_at INTEGER, -- null: it is shown
    CHECK ((machine_id IS NOT NULL AND motor_id IS NULL AND part_id IS NULL)
        OR (machine_id IS NULL AND motor_id IS NOT NULL AND part_id IS NULL)
        OR (machine_id IS NULL AND motor_id IS NULL AND part_id IS NOT NULL))
);
CREATE INDEX thing_photos_machine_idx ON thing_photos (machine_id);
CREATE INDEX thing_photos_motor_idx ON thing_photos (motor_id);
CREATE INDEX thing_photos_part_idx ON thing_photos (part_id);
CREATE INDEX thing_photos_sha_idx ON thing_photos (sha);
CREATE INDEX thing_photos_thumb_idx ON thing_photos (thumb);

CREATE INDEX temporary_fixes_machine_idx ON temporary_fixes (machine_id, ended_by);
