-- What the shop lets calendars show. The row is written when it is first needed.
CREATE TABLE calendar_rules (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    uid TEXT NOT NULL, -- behind the name of every event, so that it is the shop's alone
    shows_tag BOOLEAN NOT NULL DEFAULT FALSE,
    shows_work BOOLEAN NOT NULL DEFAULT FALSE,
    shows_place BOOLEAN NOT NULL DEFAULT FALSE,
    version INTEGER NOT NULL DEFAULT 1
);

-- Calendars that people subscribed to, each under a secret address.
CREATE TABLE feeds (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    kind TEXT NOT NULL CHECK (kind IN ('own', 'due', 'shop')),
    token_hash TEXT NOT NULL, -- SHA-256 of the address's secret, so that a stolen database opens nothing
    made_at INTEGER NOT NULL,
    asked_at INTEGER -- when a calendar last asked, within ten minutes
);
CREATE UNIQUE INDEX feeds_token_idx ON feeds (token_hash) WHERE token_hash <> '';
CREATE UNIQUE INDEX feeds_person_idx ON feeds (person_id, kind);

-- What a feed has told: needed to say what changed and what was called off.
CREATE TABLE feed_events (
    feed_id INTEGER NOT NULL REFERENCES feeds (id) ON DELETE CASCADE,
    thing TEXT NOT NULL CHECK (thing IN ('job', 'due')),
    thing_id INTEGER NOT NULL,
    on_day DATE NOT NULL,
    summary TEXT NOT NULL,
    place TEXT NOT NULL,
    waits BOOLEAN NOT NULL,
    cancelled BOOLEAN NOT NULL,
    sequence INTEGER NOT NULL,
    changed_at INTEGER NOT NULL,
    PRIMARY KEY (feed_id, thing, thing_id)
);
