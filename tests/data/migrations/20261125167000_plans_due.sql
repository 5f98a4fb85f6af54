-- A plan on a kind, the plan a machine has of it, its past, and an item that another covers.
INSERT INTO wide_plans (id, machine_kind, action, rule, floats, anchor_on, window_days, made_at)
VALUES (101, 'fan', 'Look at it', '{"kind":"calendar","every":{"months":3}}', FALSE, '2026-01-15', 5, 1795600000000);
INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at, wide_id, since_on, included_in)
VALUES (103, 101, 'Look at it', '{"kind":"calendar","every":{"months":3}}', '2026-01-15', 5, 1795600000000, 101, '2026-11-25', 101);
INSERT INTO plan_revisions (plan_id, version, until_at, person_id, action, rule, anchor_on, window_days, steps, reason)
VALUES (101, 1, 1795600000000, 101, 'Clean it', '{"kind":"calendar","every":{"months":4}}', '2026-01-15', 5, '', 'Found dirty');
INSERT INTO due_items (id, plan_id, due_on, reason, state, revision, covered_by)
VALUES (104, 103, '2026-10-15', 'every 3 months', 'open', 1, 103);
