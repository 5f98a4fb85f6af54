-- A job that waits and one that is isolated, with its lock and readings; valid on both databases.
INSERT INTO jobs (id, place_id, machine_id, state, words, reporter, reported_at, assigned_to,
    planned_on, confirmed_at, dead_at, lifting, entry_count, last_entry_at)
VALUES (101, 102, 101, 'isolated', 'It hums', 'Porter', 1795600000000, 102, '2026-11-20',
        1795600100000, 1795600300000, FALSE, 3, 1795600300000),
    (102, 102, NULL, 'reported', 'Cold', '', 1795600000000, NULL, NULL, NULL, NULL, FALSE, 1, 1795600000000);
INSERT INTO entries (id, job_id, number, person_id, received_at, kind, body, corrects, set_aside)
VALUES ('01936000-0000-7000-8000-000000000001', 101, 1, NULL, 1795600000000, 'reported', '{}', NULL, NULL),
    ('01936000-0000-7000-8000-000000000002', 101, 2, 102, 1795600200000, 'lock_on', '{}', NULL, NULL),
    ('01936000-0000-7000-8000-000000000003', 101, 3, 102, 1795600300000, 'dead_test', '{}',
     '01936000-0000-7000-8000-000000000002', NULL),
    ('01936000-0000-7000-8000-000000000004', 102, 1, 102, 1795600000000, 'reported', '{}', NULL, 'too late');
INSERT INTO locks (entry_id, job_id, machine_id, source_id, person_id, lock_number, on_at)
VALUES ('01936000-0000-7000-8000-000000000002', 101, 101, 101, 102, 'B7', 1795600200000);
INSERT INTO readings (entry_id, position, job_id, machine_id, point, quantity, as_shown, value, taken_at)
VALUES ('01936000-0000-7000-8000-000000000003', 0, 101, 101, 'L-N', 'volts', '0.1', 0.1, 1795600300000),
    ('01936000-0000-7000-8000-000000000003', 1, 101, 101, 'L-E', 'volts', 'OL', NULL, 1795600300000);
