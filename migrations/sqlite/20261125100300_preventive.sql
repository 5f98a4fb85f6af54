-- Work planned before a failure.
CREATE TABLE plans (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    machine_id INTEGER NOT NULL REFERENCES machines (id) ON DELETE RESTRICT,
    action TEXT NOT NULL,
    why TEXT NOT NULL DEFAULT '',
    rule TEXT NOT NULL, -- JSON: calc::due::Rule
    anchor_on DATE NOT NULL,
    window_days INTEGER NOT NULL DEFAULT 0,
    minutes INTEGER,
    steps TEXT NOT NULL DEFAULT '',
    made_from_job INTEGER REFERENCES jobs (id) ON DELETE RESTRICT,
    made_at INTEGER NOT NULL,
    ended_on DATE,
    version INTEGER NOT NULL DEFAULT 1
);
CREATE INDEX plans_machine_idx ON plans (machine_id);

CREATE TABLE due_items (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    plan_id INTEGER NOT NULL REFERENCES plans (id) ON DELETE RESTRICT,
    due_on DATE NOT NULL,
    reason TEXT NOT NULL, -- why this date, in words
    state TEXT NOT NULL CHECK (state IN ('open', 'done', 'could_not', 'missed', 'waived')),
    done_on DATE,
    person_id INTEGER REFERENCES people (id) ON DELETE RESTRICT,
    note TEXT NOT NULL DEFAULT '',
    job_id INTEGER REFERENCES jobs (id) ON DELETE RESTRICT,
    version INTEGER NOT NULL DEFAULT 1
);
CREATE UNIQUE INDEX due_items_plan_idx ON due_items (plan_id, due_on);
CREATE INDEX due_items_open_idx ON due_items (state, due_on);

CREATE TABLE meters (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    machine_id INTEGER NOT NULL REFERENCES machines (id) ON DELETE RESTRICT,
    name TEXT NOT NULL,
    unit TEXT NOT NULL
);
CREATE INDEX meters_machine_idx ON meters (machine_id);

CREATE TABLE meter_readings (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    meter_id INTEGER NOT NULL REFERENCES meters (id) ON DELETE CASCADE,
    read_on DATE NOT NULL,
    value REAL NOT NULL,
    person_id INTEGER REFERENCES people (id) ON DELETE RESTRICT
);
CREATE INDEX meter_readings_meter_idx ON meter_readings (meter_id, read_on);
