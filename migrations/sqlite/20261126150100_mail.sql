-- How a person is told by mail. No address, no mail.
CREATE TABLE mail_people (
    person_id INTEGER PRIMARY KEY REFERENCES people (id) ON DELETE CASCADE,
    address TEXT NOT NULL DEFAULT '', -- confirmed by its owner, or given by the keeper
    asked_address TEXT NOT NULL DEFAULT '', -- waits for the code that was mailed to it
    code_hash TEXT NOT NULL DEFAULT '',
    code_until INTEGER NOT NULL DEFAULT 0,
    code_tries INTEGER NOT NULL DEFAULT 0,
    digest_hour INTEGER NOT NULL DEFAULT 6 CHECK (digest_hour BETWEEN 0 AND 23), -- on the shop's clock
    version INTEGER NOT NULL DEFAULT 1
);

-- What a person chose for each kind of news; without a row the usual way of that kind.
CREATE TABLE mail_ways (
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    kind TEXT NOT NULL,
    way TEXT NOT NULL CHECK (way IN ('at_once', 'digest', 'nothing')),
    PRIMARY KEY (person_id, kind)
);

-- Mails, written in the transaction of what they tell of and sent afterwards.
CREATE TABLE mails (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    message_id TEXT NOT NULL, -- the same however often it is sent
    person_id INTEGER REFERENCES people (id) ON DELETE CASCADE, -- null: a reporter
    entry_id TEXT REFERENCES entries (id) ON DELETE CASCADE, -- the report of that reporter
    address TEXT NOT NULL,
    subject TEXT NOT NULL,
    words TEXT NOT NULL,
    stop TEXT NOT NULL DEFAULT '', -- the word in the address that stops such mail; empty: none
    made_at INTEGER NOT NULL,
    next_at INTEGER NOT NULL,
    tries INTEGER NOT NULL DEFAULT 0,
    state TEXT NOT NULL DEFAULT 'waits' CHECK (state IN ('waits', 'sent', 'given_up', 'dropped')),
    problem TEXT NOT NULL DEFAULT '',
    ended_at INTEGER
);
CREATE INDEX mails_waiting_idx ON mails (state, next_at);
CREATE INDEX mails_entry_idx ON mails (entry_id) WHERE entry_id IS NOT NULL;
CREATE INDEX mails_person_idx ON mails (person_id) WHERE person_id IS NOT NULL;

-- News for a person: at the time it becomes part of a mail.
CREATE TABLE news (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    word TEXT NOT NULL, -- what it tells and to whom: told once
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    kind TEXT NOT NULL,
    subject TEXT NOT NULL,
    words TEXT NOT NULL,
    made_at INTEGER NOT NULL,
    tell_at INTEGER NOT NULL,
    mail_id INTEGER REFERENCES mails (id) ON DELETE SET NULL,
    told BOOLEAN NOT NULL DEFAULT FALSE
);
CREATE UNIQUE INDEX news_word_idx ON news (word);
CREATE INDEX news_waiting_idx ON news (told, tell_at);
CREATE INDEX news_person_idx ON news (person_id);
CREATE INDEX news_mail_idx ON news (mail_id) WHERE mail_id IS NOT NULL;

-- Addresses that stop mail with one click: of a report's sender or of a person.
CREATE TABLE mail_stops (
    word TEXT PRIMARY KEY, -- random; it can only stop
    person_id INTEGER REFERENCES people (id) ON DELETE CASCADE,
    entry_id TEXT REFERENCES entries (id) ON DELETE CASCADE,
    stopped_at INTEGER
);
CREATE UNIQUE INDEX mail_stops_person_idx ON mail_stops (person_id) WHERE person_id IS NOT NULL;
CREATE UNIQUE INDEX mail_stops_entry_idx ON mail_stops (entry_id) WHERE entry_id IS NOT NULL;

-- When the shift ends on the shop's clock, in minutes after midnight; no row: nobody has said.
CREATE TABLE shift_end (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    minutes INTEGER NOT NULL CHECK (minutes BETWEEN 0 AND 1439)
);
