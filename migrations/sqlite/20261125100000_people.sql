-- The one row that says which shop this is. Written by set-up; its absence means an empty shop.
CREATE TABLE shop (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    name TEXT NOT NULL,
    time_zone TEXT NOT NULL, -- IANA name
    rule_set TEXT NOT NULL, -- NEC 2017, NEC 2020, NEC 2023, IEC 60364
    rule_note TEXT NOT NULL DEFAULT '', -- local amendments, in the shop's words
    units TEXT NOT NULL CHECK (units IN ('us', 'si')),
    currency TEXT NOT NULL,
    created_at INTEGER NOT NULL, -- instants are milliseconds since 1970 UTC, in both databases
    version INTEGER NOT NULL DEFAULT 1
);

CREATE TABLE people (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    sign_in_name TEXT NOT NULL,
    name TEXT NOT NULL,
    role TEXT NOT NULL CHECK (role IN
        ('reporter', 'technician', 'storekeeper', 'supervisor', 'auditor', 'keeper')),
    password_hash TEXT NOT NULL,
    authorised_on DATE, -- trained for energy control, 29 CFR 1910.147(c)(7)
    qualified_on DATE, -- qualified for work on or near live parts, 29 CFR 1910.332
    hours_a_day REAL, -- null: not known
    created_at INTEGER NOT NULL,
    closed_at INTEGER,
    version INTEGER NOT NULL DEFAULT 1
);
CREATE UNIQUE INDEX people_sign_in_name_idx ON people (lower(sign_in_name));

CREATE TABLE sessions (
    token_hash TEXT PRIMARY KEY, -- SHA-256 of the cookie, so that a stolen database opens nothing
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    device TEXT NOT NULL,
    created_at INTEGER NOT NULL,
    seen_at INTEGER NOT NULL,
    ends_at INTEGER NOT NULL
);
CREATE INDEX sessions_person_idx ON sessions (person_id);

-- What was changed in the registers and in the installation. Only ever added to.
CREATE TABLE audit (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    person_id INTEGER REFERENCES people (id) ON DELETE RESTRICT, -- null: the program itself
    thing TEXT NOT NULL, -- table name
    thing_id INTEGER NOT NULL,
    act TEXT NOT NULL,
    detail TEXT NOT NULL -- JSON: what it was, what it is
);
CREATE INDEX audit_thing_idx ON audit (thing, thing_id);
