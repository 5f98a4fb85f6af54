-- The photo that a motor's plate was read from.
CREATE TABLE plate_photos (
    motor_id INTEGER PRIMARY KEY REFERENCES motors (id) ON DELETE CASCADE,
    sha TEXT NOT NULL, -- the file's name
    noted_by INTEGER NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    noted_at INTEGER NOT NULL
);
