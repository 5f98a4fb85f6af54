-- Forms whose session ended before they were sent, for the person who typed them.
CREATE TABLE kept_forms (
    id TEXT PRIMARY KEY, -- random, so that it cannot be guessed
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    path TEXT NOT NULL, -- where it was going
    fields TEXT NOT NULL, -- as a form encodes them; never a password
    had_files BOOLEAN NOT NULL,
    kept_at INTEGER NOT NULL,
    sent_at INTEGER -- null: not yet
);
CREATE INDEX kept_forms_person_idx ON kept_forms (person_id);

-- Whose session it was, kept after it has ended.
CREATE TABLE begun_sessions (
    token_hash TEXT PRIMARY KEY,
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    begun_at INTEGER NOT NULL
);
CREATE INDEX begun_sessions_begun_idx ON begun_sessions (begun_at);
INSERT INTO begun_sessions (token_hash, person_id, begun_at)
    SELECT token_hash, person_id, created_at FROM sessions;
