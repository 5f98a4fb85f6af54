-- The photo that a motor's plate was read from.
CREATE TABLE plate_photos (
    motor_id BIGINT PRIMARY KEY REFERENCES motors (id) ON DELETE CASCADE,
    sha TEXT NOT NULL, -- the file's name
    noted_by BIGINT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
    noted_at BIGINT NOT NULL
);
