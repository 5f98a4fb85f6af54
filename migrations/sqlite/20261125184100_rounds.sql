-- Rounds: due items that one person walks to.
CREATE TABLE rounds (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    title TEXT NOT NULL, -- the place, or what the shutdown is called
    made_at INTEGER NOT NULL,
    made_by INTEGER NOT NULL REFERENCES people (id) ON DELETE RESTRICT
);
CREATE INDEX rounds_made_by_idx ON rounds (made_by);

CREATE TABLE round_lines (
    round_id INTEGER NOT NULL REFERENCES rounds (id) ON DELETE CASCADE,
    position INTEGER NOT NULL, -- the order of the walk
    item_id INTEGER NOT NULL REFERENCES due_items (id) ON DELETE CASCADE, -- a plan that changes takes back what is to come
    PRIMARY KEY (round_id, position)
);
CREATE UNIQUE INDEX round_lines_item_idx ON round_lines (item_id, round_id);
CREATE INDEX due_items_done_idx ON due_items (state, done_on);
