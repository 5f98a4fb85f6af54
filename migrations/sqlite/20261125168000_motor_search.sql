-- What the sieve before a fit reads of each plate: narrow rows, apart from the plates themselves, so
-- that two hundred thousand of them are gone through at once. A blank is not known and rules
-- nothing out. The program writes a row with the plate; the triggers make sure that a row is there
-- for every motor and that it is blank, never stale, where something else wrote the plate.
CREATE TABLE motor_search (
    motor_id INTEGER PRIMARY KEY REFERENCES motors (id) ON DELETE CASCADE,
    changed INTEGER NOT NULL DEFAULT 0, -- counts the plates this row was blanked for
    revision INTEGER, -- how the columns were made; null: not yet
    stamp INTEGER, -- of the plate's text: equal plates, equal stamps
    phases INTEGER,
    power_w REAL,
    volts_low REAL,
    volts_high REAL,
    hertz_low REAL,
    hertz_high REAL,
    speed_rpm REAL,
    taps INTEGER,
    poles INTEGER,
    kind INTEGER,
    turning INTEGER,
    mount INTEGER,
    foot_height_mm REAL,
    shaft_diameter_mm REAL,
    shaft_length_mm REAL,
    double_shaft INTEGER,
    body_diameter_mm REAL,
    body_length_mm REAL,
    enclosure INTEGER,
    ambient_c REAL,
    duty INTEGER,
    protection INTEGER,
    bearing INTEGER,
    listing TEXT -- for a hazardous location; empty: none marked
);
CREATE INDEX motor_search_revision_idx ON motor_search (revision);
INSERT INTO motor_search (motor_id) SELECT id FROM motors;

CREATE TRIGGER motor_search_added AFTER INSERT ON motors
BEGIN
    INSERT INTO motor_search (motor_id) VALUES (NEW.id);
END;
CREATE TRIGGER motor_search_changed AFTER UPDATE OF plate ON motors WHEN NEW.plate <> OLD.plate
BEGIN
    UPDATE motor_search SET changed = changed + 1, revision = NULL, stamp = NULL
    WHERE motor_id = NEW.id;
END;
