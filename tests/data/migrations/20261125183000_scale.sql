-- Indexes only: a job and a lock of the samples before are found by them.
UPDATE jobs SET version = version + 1 WHERE id = (SELECT min(id) FROM jobs);
