-- When people work, when they are away, and what they are qualified for.
CREATE TABLE work_hours (
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    weekday INTEGER NOT NULL, -- 1 Monday to 7 Sunday
    minutes INTEGER NOT NULL, -- 0: does not work on it
    PRIMARY KEY (person_id, weekday),
    CHECK (weekday BETWEEN 1 AND 7 AND minutes BETWEEN 0 AND 1440)
);

CREATE TABLE absences (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    from_on DATE NOT NULL,
    until_on DATE NOT NULL, -- the last day away
    why TEXT NOT NULL DEFAULT '',
    noted_at INTEGER NOT NULL,
    withdrawn_at INTEGER -- null: it counts
);
CREATE INDEX absences_until_idx ON absences (until_on);
CREATE INDEX absences_person_idx ON absences (person_id, until_on);

CREATE TABLE person_skills (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    skill TEXT NOT NULL, -- the shop's word for it
    valid_from DATE NOT NULL,
    valid_until DATE, -- the last day; null: no end is known
    noted_at INTEGER NOT NULL,
    withdrawn_at INTEGER -- null: it counts
);
CREATE INDEX person_skills_person_idx ON person_skills (person_id);
