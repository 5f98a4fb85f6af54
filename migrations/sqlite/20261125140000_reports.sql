-- How urgent a job is, its response clock, and the codes that show a report to whoever made it.
ALTER TABLE jobs ADD COLUMN level TEXT; -- danger, damage, service_lost, when_it_suits; null: not judged
ALTER TABLE jobs ADD COLUMN level_why TEXT NOT NULL DEFAULT '';
ALTER TABLE jobs ADD COLUMN clock_from INTEGER NOT NULL DEFAULT 0; -- the target counts from here
ALTER TABLE jobs ADD COLUMN attended_at INTEGER; -- somebody was at the machine
ALTER TABLE jobs ADD COLUMN held_at INTEGER; -- a hold pauses the clock since then
ALTER TABLE jobs ADD COLUMN paused_ms INTEGER NOT NULL DEFAULT 0; -- earlier pauses together
ALTER TABLE jobs ADD COLUMN emergency BOOLEAN NOT NULL DEFAULT FALSE; -- work began before the paper

-- What the entries of earlier jobs say. Holds and taking up again alternate, so that the pauses
-- together are the sum of the ones less the sum of the others.
UPDATE jobs SET clock_from = reported_at;
UPDATE jobs SET attended_at = (SELECT min(e.received_at) FROM entries e WHERE e.job_id = jobs.id
    AND e.set_aside IS NULL AND e.kind IN ('unit_confirmed', 'as_found', 'lock_on'));
UPDATE jobs SET held_at = (SELECT max(e.received_at) FROM entries e WHERE e.job_id = jobs.id
    AND e.set_aside IS NULL AND e.kind = 'held')
    WHERE state = 'held' AND held_for <> 'circuit' AND attended_at IS NULL;
UPDATE jobs SET paused_ms = COALESCE((SELECT sum(CASE e.kind WHEN 'resumed' THEN e.received_at
        ELSE -e.received_at END)
    FROM entries e WHERE e.job_id = jobs.id AND e.set_aside IS NULL AND e.kind IN ('held', 'resumed')
    AND (jobs.attended_at IS NULL OR e.received_at < jobs.attended_at)), 0) + COALESCE(held_at, 0);

-- How long each level may wait for the first attendance, where the shop sets its own.
CREATE TABLE response_targets (
    level TEXT PRIMARY KEY,
    minutes INTEGER NOT NULL CHECK (minutes > 0)
);

-- What shows a report to whoever made it. A report made before this has none.
CREATE TABLE report_codes (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    code TEXT NOT NULL
);
CREATE INDEX report_codes_job_idx ON report_codes (job_id);
