-- Meters that count other things than hours, that were changed for new ones, and readings that were marked.
ALTER TABLE meters ADD COLUMN hours BOOLEAN NOT NULL DEFAULT FALSE; -- counts run hours: 24 a day at most
ALTER TABLE meters ADD COLUMN full_at REAL; -- goes back to zero at this figure; null: not known to
UPDATE meters SET hours = TRUE WHERE lower(unit) IN ('h', 'hour', 'hours', 'hrs');

ALTER TABLE meter_readings ADD COLUMN noted_at INTEGER;
ALTER TABLE meter_readings ADD COLUMN same_as_last BOOLEAN NOT NULL DEFAULT FALSE; -- asked about, and taken
ALTER TABLE meter_readings ADD COLUMN struck_at INTEGER; -- found wrong: shown, never counted
ALTER TABLE meter_readings ADD COLUMN struck_by INTEGER REFERENCES people (id) ON DELETE RESTRICT;
ALTER TABLE meter_readings ADD COLUMN struck_why TEXT NOT NULL DEFAULT '';
CREATE INDEX meter_readings_struck_by_idx ON meter_readings (struck_by);
CREATE INDEX meter_readings_person_idx ON meter_readings (person_id, read_on);

CREATE TABLE meter_changes (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    meter_id INTEGER NOT NULL REFERENCES meters (id) ON DELETE CASCADE,
    changed_on DATE NOT NULL,
    old_final REAL NOT NULL, -- what the old one showed at the end
    new_start REAL NOT NULL,
    person_id INTEGER REFERENCES people (id) ON DELETE RESTRICT,
    noted_at INTEGER NOT NULL
);
CREATE INDEX meter_changes_meter_idx ON meter_changes (meter_id, changed_on);
CREATE INDEX meter_changes_person_idx ON meter_changes (person_id);
