-- A plan by the calendar and one by a meter, with what became of them; valid on both databases.
INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, minutes, made_from_job, made_at)
VALUES (101, 101, 'Clean it', '{"kind":"calendar","every":{"months":3}}', '2026-01-15', 5, 30, 101, 1795600000000),
    (102, 101, 'Grease it', '{"kind":"meter","every":500.0}', '2026-01-15', 0, NULL, NULL, 1795600000000);
INSERT INTO due_items (id, plan_id, due_on, reason, state, done_on, person_id, note, job_id)
VALUES (101, 101, '2026-04-15', 'every 3 months', 'done', '2026-04-14', 102, '', NULL),
    (102, 101, '2026-07-15', 'every 3 months', 'could_not', '2026-07-15', 101, 'Hall in use', NULL),
    (103, 101, '2026-10-15', 'every 3 months', 'open', NULL, NULL, '', 101);
INSERT INTO meters (id, machine_id, name, unit) VALUES (101, 101, 'Run hours', 'h');
INSERT INTO meter_readings (id, meter_id, read_on, value, person_id)
VALUES (101, 101, '2026-03-01', 120.5, 102), (102, 101, '2026-09-01', 480, NULL);
