-- Procedures: written steps, kept by revision. A job takes a copy of one revision.
CREATE TABLE procedures (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL,
    for_kind TEXT NOT NULL DEFAULT '', -- the kind of machine it is for; empty: any
    revision INTEGER NOT NULL DEFAULT 1, -- the newest
    made_at INTEGER NOT NULL,
    version INTEGER NOT NULL DEFAULT 1
);
CREATE UNIQUE INDEX procedures_name_idx ON procedures (lower(name));

CREATE TABLE procedure_revisions (
    procedure_id INTEGER NOT NULL REFERENCES procedures (id) ON DELETE RESTRICT,
    revision INTEGER NOT NULL,
    made_at INTEGER NOT NULL,
    made_by INTEGER REFERENCES people (id) ON DELETE RESTRICT, -- null: came with the program
    PRIMARY KEY (procedure_id, revision)
);

CREATE TABLE procedure_steps (
    procedure_id INTEGER NOT NULL,
    revision INTEGER NOT NULL,
    position INTEGER NOT NULL, -- 1, 2, 3 …
    text TEXT NOT NULL,
    takes TEXT NOT NULL CHECK (takes IN ('tick', 'reading', 'choice')),
    quantity TEXT NOT NULL DEFAULT '',
    unit TEXT NOT NULL DEFAULT '',
    low REAL,
    high REAL,
    choices TEXT NOT NULL DEFAULT '', -- the words to choose from, one a line
    source TEXT NOT NULL DEFAULT '',
    caution TEXT NOT NULL DEFAULT '',
    locked BOOLEAN NOT NULL DEFAULT FALSE, -- work on the machine: only while it is isolated
    PRIMARY KEY (procedure_id, revision, position),
    FOREIGN KEY (procedure_id, revision)
        REFERENCES procedure_revisions (procedure_id, revision) ON DELETE RESTRICT
);

-- A procedure taken by a job, and its steps as they were then.
CREATE TABLE job_procedures (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    procedure_id INTEGER NOT NULL REFERENCES procedures (id) ON DELETE RESTRICT,
    revision INTEGER NOT NULL,
    name TEXT NOT NULL,
    dropped_by TEXT REFERENCES entries (id) ON DELETE RESTRICT -- null: it counts
);
CREATE INDEX job_procedures_job_idx ON job_procedures (job_id);

CREATE TABLE job_steps (
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    position INTEGER NOT NULL, -- runs on through all procedures of the job
    taken TEXT NOT NULL REFERENCES job_procedures (entry_id) ON DELETE RESTRICT,
    text TEXT NOT NULL,
    takes TEXT NOT NULL CHECK (takes IN ('tick', 'reading', 'choice')),
    quantity TEXT NOT NULL DEFAULT '',
    unit TEXT NOT NULL DEFAULT '',
    low REAL,
    high REAL,
    choices TEXT NOT NULL DEFAULT '',
    source TEXT NOT NULL DEFAULT '',
    caution TEXT NOT NULL DEFAULT '',
    locked BOOLEAN NOT NULL DEFAULT FALSE,
    PRIMARY KEY (job_id, position)
);

-- Answers to steps: only ever added to; the newest of a step counts.
CREATE TABLE job_step_answers (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id INTEGER NOT NULL,
    position INTEGER NOT NULL,
    answer TEXT NOT NULL CHECK (answer IN
        ('done', 'reading', 'choice', 'not_looked_at', 'does_not_apply')),
    shown TEXT NOT NULL DEFAULT '', -- the reading as shown, or the word chosen
    outside BOOLEAN NOT NULL DEFAULT FALSE, -- outside its limits, or not to be judged by them
    as_found BOOLEAN NOT NULL DEFAULT FALSE, -- taken before anything was changed
    why TEXT NOT NULL DEFAULT '',
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    answered_at INTEGER NOT NULL,
    FOREIGN KEY (job_id, position) REFERENCES job_steps (job_id, position) ON DELETE RESTRICT
);
CREATE INDEX job_step_answers_step_idx ON job_step_answers (job_id, position, answered_at);

-- What was found part by part.
CREATE TABLE part_conditions (
    entry_id TEXT NOT NULL REFERENCES entries (id) ON DELETE RESTRICT,
    position INTEGER NOT NULL,
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    machine_id INTEGER NOT NULL REFERENCES machines (id) ON DELETE RESTRICT,
    part TEXT NOT NULL,
    found TEXT NOT NULL CHECK (found IN
        ('good', 'cleaned', 'adjusted', 'replaced', 'bad_and_left', 'not_looked_at')),
    reason TEXT NOT NULL DEFAULT '', -- why it was left
    note TEXT NOT NULL DEFAULT '',
    found_at INTEGER NOT NULL,
    PRIMARY KEY (entry_id, position)
);
CREATE INDEX part_conditions_machine_idx ON part_conditions (machine_id, part, found_at);

-- A supervisor's look at why something fails again.
CREATE TABLE cause_reviews (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    finding TEXT NOT NULL,
    action TEXT NOT NULL,
    reviewed_at INTEGER NOT NULL
);
CREATE INDEX cause_reviews_job_idx ON cause_reviews (job_id);

-- A job made from something found in another.
CREATE TABLE follow_ups (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    follow_job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    made_from TEXT NOT NULL DEFAULT '' -- the step or part it was found at, in words
);
CREATE INDEX follow_ups_job_idx ON follow_ups (job_id);
CREATE UNIQUE INDEX follow_ups_follow_idx ON follow_ups (follow_job_id);

-- Fixes that are not to stay: open until an entry ends them.
CREATE TABLE temporary_fixes (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    machine_id INTEGER REFERENCES machines (id) ON DELETE RESTRICT,
    what TEXT NOT NULL,
    until_on DATE NOT NULL,
    made_at INTEGER NOT NULL,
    ended_by TEXT REFERENCES entries (id) ON DELETE RESTRICT, -- null: it is still there
    ended_how TEXT NOT NULL DEFAULT ''
);
CREATE INDEX temporary_fixes_open_idx ON temporary_fixes (ended_by, until_on);
CREATE INDEX temporary_fixes_job_idx ON temporary_fixes (job_id);
