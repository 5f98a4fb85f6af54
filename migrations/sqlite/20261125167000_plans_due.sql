-- Plans on a kind of machine or a place, what a plan was before it was changed, and items that others cover.
CREATE TABLE wide_plans (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    machine_kind TEXT, -- null: by place
    place_id INTEGER REFERENCES places (id) ON DELETE RESTRICT, -- with everything below it
    action TEXT NOT NULL,
    why TEXT NOT NULL DEFAULT '',
    rule TEXT NOT NULL, -- JSON: calc::due::Rule
    floats BOOLEAN NOT NULL, -- counts from work done: a machine that comes later starts on its own day
    anchor_on DATE NOT NULL,
    window_days INTEGER NOT NULL DEFAULT 0,
    minutes INTEGER,
    steps TEXT NOT NULL DEFAULT '',
    made_at INTEGER NOT NULL,
    ended_on DATE,
    version INTEGER NOT NULL DEFAULT 1,
    CHECK ((machine_kind IS NULL) <> (place_id IS NULL))
);
CREATE INDEX wide_plans_place_idx ON wide_plans (place_id);

ALTER TABLE plans ADD COLUMN wide_id INTEGER REFERENCES wide_plans (id);
ALTER TABLE plans ADD COLUMN since_on DATE; -- the present rule's first day; null: as long as the plan
ALTER TABLE plans ADD COLUMN included_in INTEGER REFERENCES plans (id);
CREATE UNIQUE INDEX plans_wide_idx ON plans (wide_id, machine_id);
CREATE INDEX plans_included_idx ON plans (included_in);

CREATE TABLE plan_revisions (
    plan_id INTEGER NOT NULL REFERENCES plans (id) ON DELETE CASCADE,
    version INTEGER NOT NULL,
    until_at INTEGER NOT NULL,
    person_id INTEGER REFERENCES people (id) ON DELETE RESTRICT,
    action TEXT NOT NULL,
    rule TEXT NOT NULL,
    anchor_on DATE NOT NULL,
    window_days INTEGER NOT NULL,
    minutes INTEGER,
    steps TEXT NOT NULL,
    reason TEXT NOT NULL DEFAULT '', -- why it was changed
    PRIMARY KEY (plan_id, version)
);
CREATE INDEX plan_revisions_person_idx ON plan_revisions (person_id);

ALTER TABLE due_items ADD COLUMN revision INTEGER NOT NULL DEFAULT 1; -- the plan's version it was made under
ALTER TABLE due_items ADD COLUMN covered_by INTEGER REFERENCES due_items (id);
CREATE INDEX due_items_covered_idx ON due_items (covered_by);
CREATE INDEX due_items_day_idx ON due_items (due_on);
