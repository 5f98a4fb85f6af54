INSERT INTO plate_photos (motor_id, sha, noted_by, noted_at)
SELECT min(id), 'a1b2', 101, 1795600000000 FROM motors;
