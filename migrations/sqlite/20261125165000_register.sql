-- A motor that can be held in the hand, apart from the row that says what such a motor is: it keeps
-- its own history while machines keep theirs.
CREATE TABLE motor_units (
    id INTEGER PRIMARY KEY AUTOINCREMENT, -- the number people mark on it
    motor_id INTEGER NOT NULL REFERENCES motors (id) ON DELETE RESTRICT,
    mark TEXT NOT NULL DEFAULT '', -- what is stamped or painted on it
    state TEXT NOT NULL CHECK (state IN ('fitted', 'removed', 'shelf', 'away', 'scrapped')),
    first_entry TEXT REFERENCES entries (id) ON DELETE RESTRICT, -- null: it was there before
    version INTEGER NOT NULL DEFAULT 1
);
CREATE INDEX motor_units_motor_idx ON motor_units (motor_id);

-- From when to when a unit was on a machine, and by which entry of which job.
CREATE TABLE motor_stays (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    unit_id INTEGER NOT NULL REFERENCES motor_units (id) ON DELETE RESTRICT,
    machine_id INTEGER NOT NULL REFERENCES machines (id) ON DELETE RESTRICT,
    on_at INTEGER, -- null: nobody knows since when
    on_entry TEXT REFERENCES entries (id) ON DELETE RESTRICT, -- null: no job fitted it
    off_at INTEGER, -- null: it is on the machine
    off_entry TEXT REFERENCES entries (id) ON DELETE RESTRICT
);
CREATE INDEX motor_stays_unit_idx ON motor_stays (unit_id);
CREATE UNIQUE INDEX motor_stays_machine_idx ON motor_stays (machine_id) WHERE off_at IS NULL;
CREATE INDEX motor_stays_past_idx ON motor_stays (machine_id, off_at);

-- Motors fitted by jobs so far.
INSERT INTO motor_units (motor_id, state, first_entry)
SELECT j.fitted_motor_id, 'fitted', e.id
FROM entries e JOIN jobs j ON j.id = e.job_id
WHERE e.kind = 'motor_fitted' AND e.set_aside IS NULL AND j.machine_id IS NOT NULL
    AND j.fitted_motor_id IS NOT NULL
ORDER BY e.received_at, e.id;
INSERT INTO motor_stays (unit_id, machine_id, on_at, on_entry, off_at, off_entry)
SELECT u.id, j.machine_id, e.received_at, e.id,
    LEAD(e.received_at) OVER (PARTITION BY j.machine_id ORDER BY e.received_at, e.id),
    LEAD(e.id) OVER (PARTITION BY j.machine_id ORDER BY e.received_at, e.id)
FROM motor_units u JOIN entries e ON e.id = u.first_entry JOIN jobs j ON j.id = e.job_id;
UPDATE motor_units SET state = 'removed'
WHERE id IN (SELECT unit_id FROM motor_stays WHERE off_at IS NOT NULL);

-- What to know before going, dated and signed. machines.before_you_go holds the standing ones.
CREATE TABLE machine_notes (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    machine_id INTEGER NOT NULL REFERENCES machines (id) ON DELETE RESTRICT,
    text TEXT NOT NULL,
    written_by INTEGER REFERENCES people (id) ON DELETE RESTRICT, -- null: not known
    written_at INTEGER, -- null: not known
    ended_by INTEGER REFERENCES people (id) ON DELETE RESTRICT,
    ended_at INTEGER -- null: it stands
);
CREATE INDEX machine_notes_machine_idx ON machine_notes (machine_id, ended_at);
INSERT INTO machine_notes (machine_id, text)
SELECT id, before_you_go FROM machines WHERE before_you_go <> '';

-- Manuals, diagrams, settings: by name and revision, where kept or as a file.
CREATE TABLE machine_documents (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    machine_id INTEGER NOT NULL REFERENCES machines (id) ON DELETE RESTRICT,
    name TEXT NOT NULL,
    revision TEXT NOT NULL DEFAULT '', -- empty: none is marked
    kept TEXT NOT NULL DEFAULT '', -- where the paper or the file is
    sha TEXT, -- SHA-256 of the uploaded file; null: none
    file_type TEXT NOT NULL DEFAULT '', -- pdf, jpg, png
    bytes INTEGER NOT NULL DEFAULT 0,
    stale TEXT NOT NULL DEFAULT '', -- why it is out of date; empty: nobody found it so
    noted_by INTEGER REFERENCES people (id) ON DELETE RESTRICT,
    noted_at INTEGER NOT NULL,
    ended_at INTEGER, -- null: it counts; else a newer revision took its place, or it was taken off
    version INTEGER NOT NULL DEFAULT 1
);
CREATE INDEX machine_documents_machine_idx ON machine_documents (machine_id, ended_at);
CREATE INDEX machine_documents_sha_idx ON machine_documents (sha);

ALTER TABLE machines ADD COLUMN warranty_until DATE; -- null: not known
ALTER TABLE machines ADD COLUMN warranty_note TEXT NOT NULL DEFAULT '';
CREATE INDEX machines_parent_idx ON machines (parent_id);

-- The circuit of another panel that feeds this one.
ALTER TABLE panels ADD COLUMN fed_from_id INTEGER REFERENCES circuits (id) ON DELETE RESTRICT;
CREATE INDEX panels_fed_from_idx ON panels (fed_from_id);
ALTER TABLE circuits ADD COLUMN wire_type TEXT NOT NULL DEFAULT ''; -- as marked on the insulation
ALTER TABLE circuits ADD COLUMN raceway TEXT NOT NULL DEFAULT ''; -- conduit, cable, tray
ALTER TABLE circuits ADD COLUMN feeds TEXT NOT NULL DEFAULT ''; -- what else it is found to feed
-- The label as it is proved: null where nobody has.
ALTER TABLE circuits ADD COLUMN label_proved_on DATE;
ALTER TABLE circuits ADD COLUMN label_proved_by TEXT NOT NULL DEFAULT '';
ALTER TABLE circuits ADD COLUMN label_proved_how TEXT NOT NULL DEFAULT '';
