-- Links for a first or a new password, one use each; the link itself is in nobody's database.
CREATE TABLE password_links (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    token_hash TEXT NOT NULL UNIQUE,
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    made_by INTEGER REFERENCES people (id) ON DELETE SET NULL,
    made_at INTEGER NOT NULL,
    ends_at INTEGER NOT NULL,
    used_at INTEGER -- or taken back
);
CREATE INDEX password_links_person_idx ON password_links (person_id);

-- Wrong tries at signing in, by a hash of whom or from where; forgotten after a day.
CREATE TABLE sign_in_tries (
    key_hash TEXT PRIMARY KEY,
    misses INTEGER NOT NULL,
    last_at INTEGER NOT NULL,
    next_at INTEGER NOT NULL -- not before this
);
CREATE INDEX sign_in_tries_last_idx ON sign_in_tries (last_at);

-- Browsers in which a person has signed in with the password before.
CREATE TABLE known_devices (
    token_hash TEXT NOT NULL,
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    seen_at INTEGER NOT NULL,
    PRIMARY KEY (token_hash, person_id)
);
CREATE INDEX known_devices_person_idx ON known_devices (person_id, seen_at);

-- The second factor: codes by the clock (RFC 6238).
CREATE TABLE second_factors (
    person_id INTEGER PRIMARY KEY REFERENCES people (id) ON DELETE CASCADE,
    secret TEXT NOT NULL, -- base32; blank opens nothing
    confirmed_at INTEGER, -- null: shown, not yet confirmed by a code
    last_step INTEGER NOT NULL DEFAULT 0 -- the step of the last code taken: none counts twice
);
CREATE TABLE recovery_codes (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    code_hash TEXT NOT NULL,
    used_at INTEGER
);
CREATE INDEX recovery_codes_person_idx ON recovery_codes (person_id);
-- The password was right, the code is still asked for.
CREATE TABLE begun_sign_ins (
    token_hash TEXT PRIMARY KEY,
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    visit TEXT NOT NULL, -- the visit that began it
    tries INTEGER NOT NULL DEFAULT 0,
    ends_at INTEGER NOT NULL
);
CREATE INDEX begun_sign_ins_ends_idx ON begun_sign_ins (ends_at);
ALTER TABLE shop ADD COLUMN second_factor BOOLEAN NOT NULL DEFAULT FALSE; -- asked of supervisor and keeper

-- Tablets that several people use, and their PINs there.
CREATE TABLE tablets (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    token_hash TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    made_by INTEGER NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    made_at INTEGER NOT NULL,
    ended_at INTEGER
);
CREATE TABLE tablet_pins (
    tablet_id INTEGER NOT NULL REFERENCES tablets (id) ON DELETE CASCADE,
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    pin_hash TEXT NOT NULL,
    misses INTEGER NOT NULL DEFAULT 0,
    set_at INTEGER NOT NULL,
    PRIMARY KEY (tablet_id, person_id)
);
CREATE INDEX tablet_pins_person_idx ON tablet_pins (person_id);

-- full: signed in with the password. factor: the second factor is to be set up first. pin: on a tablet.
ALTER TABLE sessions ADD COLUMN kind TEXT NOT NULL DEFAULT 'full' CHECK (kind IN ('full', 'factor', 'pin'));
ALTER TABLE sessions ADD COLUMN tablet_id INTEGER REFERENCES tablets (id) ON DELETE CASCADE;
ALTER TABLE sessions ADD COLUMN address TEXT NOT NULL DEFAULT '';
CREATE INDEX sessions_tablet_idx ON sessions (tablet_id);

-- The audit list only grows. It is emptied only where there is no shop any more (the demo starting over).
CREATE INDEX audit_at_idx ON audit (at, id);
CREATE INDEX audit_person_idx ON audit (person_id, id);
CREATE TRIGGER audit_never_changed BEFORE UPDATE ON audit
BEGIN
    SELECT RAISE(ABORT, 'the audit list is only added to');
END;
CREATE TRIGGER audit_never_deleted BEFORE DELETE ON audit WHEN EXISTS (SELECT 1 FROM shop)
BEGIN
    SELECT RAISE(ABORT, 'the audit list is only added to');
END;
