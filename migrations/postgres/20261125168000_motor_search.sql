-- What the sieve before a fit reads of each plate: narrow rows, apart from the plates themselves, so
-- that two hundred thousand of them are gone through at once. A blank is not known and rules
-- nothing out. The program writes a row with the plate; the triggers make sure that a row is there
-- for every motor and that it is blank, never stale, where something else wrote the plate.
CREATE TABLE motor_search (
    motor_id BIGINT PRIMARY KEY REFERENCES motors (id) ON DELETE CASCADE,
    changed BIGINT NOT NULL DEFAULT 0, -- counts the plates this row was blanked for
    revision BIGINT, -- how the columns were made; null: not yet
    stamp BIGINT, -- of the plate's text: equal plates, equal stamps
    phases SMALLINT,
    power_w DOUBLE PRECISION,
    volts_low DOUBLE PRECISION,
    volts_high DOUBLE PRECISION,
    hertz_low DOUBLE PRECISION,
    hertz_high DOUBLE PRECISION,
    speed_rpm DOUBLE PRECISION,
    taps SMALLINT,
    poles SMALLINT,
    kind SMALLINT,
    turning SMALLINT,
    mount SMALLINT,
    foot_height_mm DOUBLE PRECISION,
    shaft_diameter_mm DOUBLE PRECISION,
    shaft_length_mm DOUBLE PRECISION,
    double_shaft SMALLINT,
    body_diameter_mm DOUBLE PRECISION,
    body_length_mm DOUBLE PRECISION,
    enclosure SMALLINT,
    ambient_c DOUBLE PRECISION,
    duty SMALLINT,
    protection SMALLINT,
    bearing SMALLINT,
    listing TEXT -- for a hazardous location; empty: none marked
);
CREATE INDEX motor_search_revision_idx ON motor_search (revision);
INSERT INTO motor_search (motor_id) SELECT id FROM motors;

CREATE FUNCTION motor_search_blank() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF TG_OP = 'INSERT' THEN
        INSERT INTO motor_search (motor_id) VALUES (NEW.id);
    ELSE
        UPDATE motor_search SET changed = changed + 1, revision = NULL, stamp = NULL
        WHERE motor_id = NEW.id;
    END IF;
    RETURN NULL;
END
$$;
CREATE TRIGGER motor_search_added AFTER INSERT ON motors
    FOR EACH ROW EXECUTE FUNCTION motor_search_blank();
CREATE TRIGGER motor_search_changed AFTER UPDATE OF plate ON motors
    FOR EACH ROW WHEN (NEW.plate <> OLD.plate) EXECUTE FUNCTION motor_search_blank();
