-- Files that somebody reads into a register: kept a day, so that looking and writing are two steps.
CREATE TABLE imports (
    id TEXT PRIMARY KEY, -- random, so that it cannot be guessed
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    register TEXT NOT NULL,
    file_name TEXT NOT NULL,
    sheet TEXT NOT NULL, -- JSON: the names of the columns and the rows, as read
    fields TEXT NOT NULL, -- JSON: what each column is
    made_at INTEGER NOT NULL,
    begun_at INTEGER, -- null: nobody is writing it
    done_at INTEGER, -- null: not written
    said TEXT NOT NULL DEFAULT '' -- what became of it, in words
);
CREATE INDEX imports_person_idx ON imports (person_id);
CREATE INDEX imports_made_idx ON imports (made_at);
