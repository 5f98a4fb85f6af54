-- A tester of the shop's own, a calibration that found it wrong, and what was read with it.
INSERT INTO instruments (id, number, kind, due_on, found_off_on, created_at)
VALUES (101, 'V-3', 'voltage_tester', '2027-03-31', '2026-11-20', 1795600000000);
INSERT INTO calibrations (id, instrument_id, done_on, found, by_whom, person_id, recorded_at)
VALUES (102, 101, '2026-11-20', 'off', 'Meter room', 101, 1795600000000);
INSERT INTO instrument_uses (entry_id, job_id, instrument_id, number, due_on, used_at)
SELECT entry_id, job_id, 101, 'V-3', '2027-03-31', 1795600280000 FROM locks WHERE job_id = 101;
