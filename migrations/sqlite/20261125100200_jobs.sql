-- One row a job: the summary of its entries, never changed but by an entry.
CREATE TABLE jobs (
    id INTEGER PRIMARY KEY AUTOINCREMENT, -- the number people say; never reused
    place_id INTEGER REFERENCES places (id) ON DELETE RESTRICT,
    machine_id INTEGER REFERENCES machines (id) ON DELETE RESTRICT,
    due_item_id INTEGER, -- the due item it was made from, if any
    state TEXT NOT NULL CHECK (state IN
        ('reported', 'planned', 'handed_out', 'isolated', 'on_test', 'back_in_service',
         'signed_off', 'held', 'test_owed', 'turned_down', 'joined')),
    held_from TEXT, -- the state to go back to when the hold ends
    held_for TEXT, -- part, access, weather, outside_firm, circuit, other
    held_note TEXT NOT NULL DEFAULT '',
    words TEXT NOT NULL, -- the reporter's own, never altered
    reporter TEXT NOT NULL DEFAULT '',
    contact TEXT NOT NULL DEFAULT '',
    reported_at INTEGER NOT NULL,
    scope TEXT NOT NULL DEFAULT '',
    minutes_planned INTEGER,
    steps TEXT NOT NULL DEFAULT '', -- the sheet: one step a line
    assigned_to INTEGER REFERENCES people (id) ON DELETE RESTRICT,
    planned_on DATE,
    confirmed_at INTEGER, -- the unit was confirmed at the machine
    as_found_at INTEGER,
    told_at INTEGER, -- affected people told before locks went on
    dead_at INTEGER, -- the last accepted dead test of the isolation that stands
    lifting BOOLEAN NOT NULL DEFAULT FALSE, -- tools and people clear, locks coming off
    energised_at INTEGER,
    chosen_motor_id INTEGER REFERENCES motors (id) ON DELETE RESTRICT,
    fit_verdict TEXT,
    circuit_motor_id INTEGER REFERENCES motors (id) ON DELETE RESTRICT,
    circuit_verdict TEXT,
    circuit_decided_at INTEGER, -- a licensed person's decision stands for that motor
    fitted_motor_id INTEGER REFERENCES motors (id) ON DELETE RESTRICT,
    proof_verdict TEXT,
    proof_at INTEGER,
    test_owed_on DATE,
    component TEXT NOT NULL DEFAULT '',
    mode TEXT NOT NULL DEFAULT '',
    mechanism TEXT NOT NULL DEFAULT '',
    cause TEXT NOT NULL DEFAULT '',
    cause_at INTEGER,
    back_at INTEGER,
    signed_by INTEGER REFERENCES people (id) ON DELETE RESTRICT,
    signed_at INTEGER,
    turned_down_why TEXT NOT NULL DEFAULT '',
    joined_to INTEGER REFERENCES jobs (id) ON DELETE RESTRICT,
    entry_count INTEGER NOT NULL,
    last_entry_at INTEGER NOT NULL,
    version INTEGER NOT NULL DEFAULT 1
);
CREATE INDEX jobs_machine_idx ON jobs (machine_id);
CREATE INDEX jobs_state_idx ON jobs (state);
CREATE INDEX jobs_assigned_idx ON jobs (assigned_to, planned_on);

-- What happened. Only ever added to; a mistake is put right by a later entry naming the earlier.
CREATE TABLE entries (
    id TEXT PRIMARY KEY, -- UUIDv7, put in the form by the server or made by the device
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    number INTEGER NOT NULL, -- 1, 2, 3 … in its job
    person_id INTEGER REFERENCES people (id) ON DELETE RESTRICT, -- null: not signed in
    device_at INTEGER, -- the device's own clock
    received_at INTEGER NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL, -- versioned JSON
    corrects TEXT REFERENCES entries (id) ON DELETE RESTRICT,
    set_aside TEXT -- why it was kept but not acted on; null: it counts
);
CREATE UNIQUE INDEX entries_number_idx ON entries (job_id, number);
CREATE INDEX entries_kind_idx ON entries (kind, received_at);

-- Locks on a machine's sources: made by lock entries, held across all jobs.
CREATE TABLE locks (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    machine_id INTEGER NOT NULL REFERENCES machines (id) ON DELETE RESTRICT,
    source_id INTEGER NOT NULL REFERENCES energy_sources (id) ON DELETE RESTRICT,
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    lock_number TEXT NOT NULL,
    on_at INTEGER NOT NULL,
    off_entry_id TEXT REFERENCES entries (id) ON DELETE RESTRICT,
    off_at INTEGER
);
CREATE INDEX locks_job_idx ON locks (job_id);
CREATE INDEX locks_source_idx ON locks (source_id, off_at);
CREATE INDEX locks_machine_idx ON locks (machine_id, off_at);

-- Readings made by entries: as found, dead tests, proofs.
CREATE TABLE readings (
    entry_id TEXT NOT NULL REFERENCES entries (id) ON DELETE RESTRICT,
    position INTEGER NOT NULL,
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    machine_id INTEGER REFERENCES machines (id) ON DELETE RESTRICT,
    point TEXT NOT NULL, -- L1-L2, L1, drive end
    quantity TEXT NOT NULL, -- volts, amps, mm_s, rpm, megohm, celsius
    as_shown TEXT NOT NULL, -- as the instrument showed it
    value REAL, -- null where what it showed is not a number (OL)
    taken_at INTEGER NOT NULL,
    PRIMARY KEY (entry_id, position)
);
CREATE INDEX readings_machine_idx ON readings (machine_id, quantity, taken_at);
