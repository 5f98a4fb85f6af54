-- Test instruments: known by the number on their own label.
CREATE TABLE instruments (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    number TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('voltage_tester', 'multimeter', 'clamp_meter',
        'insulation_tester', 'vibration_meter', 'tachometer', 'thermometer', 'air_meter', 'other')),
    measures TEXT NOT NULL DEFAULT '',
    due_on DATE, -- null: nobody knows
    found_off_on DATE, -- found wrong, and not put right since
    withdrawn_on DATE,
    note TEXT NOT NULL DEFAULT '',
    created_at INTEGER NOT NULL,
    version INTEGER NOT NULL DEFAULT 1
);
CREATE UNIQUE INDEX instruments_number_idx ON instruments (lower(number));

CREATE TABLE calibrations (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    instrument_id INTEGER NOT NULL REFERENCES instruments (id) ON DELETE CASCADE,
    done_on DATE NOT NULL,
    found TEXT NOT NULL CHECK (found IN ('within', 'adjusted', 'off')),
    by_whom TEXT NOT NULL,
    certificate TEXT NOT NULL DEFAULT '',
    due_on DATE,
    note TEXT NOT NULL DEFAULT '',
    person_id INTEGER REFERENCES people (id) ON DELETE RESTRICT,
    recorded_at INTEGER NOT NULL
);
CREATE INDEX calibrations_instrument_idx ON calibrations (instrument_id, done_on);

-- Which instrument an entry's readings were taken with: made by the entry.
CREATE TABLE instrument_uses (
    entry_id TEXT PRIMARY KEY REFERENCES entries (id) ON DELETE RESTRICT,
    job_id INTEGER NOT NULL REFERENCES jobs (id) ON DELETE RESTRICT,
    machine_id INTEGER REFERENCES machines (id) ON DELETE RESTRICT,
    instrument_id INTEGER REFERENCES instruments (id) ON DELETE RESTRICT, -- null: not the shop's own
    number TEXT NOT NULL, -- as it was typed that day
    due_on DATE, -- null: nobody knew
    used_at INTEGER NOT NULL
);
CREATE INDEX instrument_uses_number_idx ON instrument_uses (lower(number), used_at);
CREATE INDEX instrument_uses_instrument_idx ON instrument_uses (instrument_id);

-- What was read before there was a register is found by the number that was typed.
INSERT INTO instrument_uses (entry_id, job_id, machine_id, number, used_at)
SELECT e.id, e.job_id, j.machine_id,
    COALESCE(json_extract(e.body, '$.instrument'), json_extract(e.body, '$.live.instrument')),
    e.received_at
FROM entries e JOIN jobs j ON j.id = e.job_id
WHERE e.set_aside IS NULL AND e.kind IN ('dead_test', 'proof', 'as_found', 'step_done')
    AND COALESCE(json_extract(e.body, '$.instrument'), json_extract(e.body, '$.live.instrument'))
        IS NOT NULL
    AND (e.kind <> 'dead_test' OR json_array_length(e.body, '$.pairs') > 0);
