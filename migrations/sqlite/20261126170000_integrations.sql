-- Programs that have a token. Each has a row among the people, closed from its first day: its role, and
-- the name beside what it wrote.
CREATE TABLE integrations (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    scopes TEXT NOT NULL, -- words with blanks between
    token_hash TEXT NOT NULL, -- SHA-256, so that a stolen database opens nothing
    token_end TEXT NOT NULL, -- its last letters, to tell tokens apart
    a_minute INTEGER NOT NULL, -- how often it may ask
    created_at INTEGER NOT NULL,
    created_by INTEGER NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    expires_at INTEGER NOT NULL,
    used_at INTEGER, -- null: never
    revoked_at INTEGER, -- null: not ended
    revoked_by INTEGER REFERENCES people (id) ON DELETE RESTRICT
);
CREATE UNIQUE INDEX integrations_person_idx ON integrations (person_id);
CREATE INDEX integrations_token_idx ON integrations (token_hash);

-- What a request with an Idempotency-Key was answered, a day long.
CREATE TABLE api_answers (
    integration_id INTEGER NOT NULL REFERENCES integrations (id) ON DELETE CASCADE,
    idempotency_key TEXT NOT NULL,
    asked_hash TEXT NOT NULL, -- SHA-256 of method, address and body
    status INTEGER NOT NULL, -- 0 until it is answered
    headers TEXT NOT NULL, -- JSON
    body TEXT NOT NULL, -- JSON
    at INTEGER NOT NULL,
    PRIMARY KEY (integration_id, idempotency_key)
);
CREATE INDEX api_answers_at_idx ON api_answers (at);
