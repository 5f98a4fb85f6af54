-- A part on two machines' lists, moved, bought, under warranty, with an alternate; valid on both.
INSERT INTO parts (id, name, kind, unit, bins, standing, lead_days, price_minor, on_hand, reserved, created_at)
VALUES (101, 'Sample belt', 'belt', 'piece', 'B-1', 'held', 5, 900, 1000, 0, 1795600000000),
    (102, 'Sample bearing', 'bearing', 'piece', '', 'ended', NULL, NULL, 0, 0, 1795600000000);
INSERT INTO machine_parts (id, machine_id, place, part_id, amount)
VALUES (101, 101, 'belt 1', 101, 1000), (102, 102, 'belt 1', 101, 2000);
INSERT INTO stock_moves (id, part_id, motor_id, kind, amount, cost_minor, job_id, machine_id, expires_on, why, person_id, moved_at)
VALUES (1001, 101, NULL, 'received', 2000, 1800, NULL, NULL, '2030-01-01', '', 102, 1795600000000),
    (1002, 101, NULL, 'issued', -1000, 900, 101, 101, NULL, '', 102, 1795600100000),
    (1003, NULL, 102, 'counted', -1000, NULL, NULL, NULL, NULL, 'unexplained', 102, 1795600200000);
INSERT INTO purchases (id, job_id, part_id, what, amount, state, needed_by, needed_at, expected_on)
VALUES (101, 101, 102, 'Sample bearing', 2000, 'ordered', 102, 1795600000000, '2026-12-01');
INSERT INTO warranties (id, machine_id, covers, until_on) VALUES (101, 101, 'The whole unit', '2027-01-01');
INSERT INTO warranty_answers (entry_id, job_id, warranty_id, answer, why)
SELECT id, job_id, 101, 'go_on', 'Storm damage' FROM entries WHERE number = 2 AND job_id = 101;
INSERT INTO removed_units (entry_id, job_id, machine_id, what, goes, sent_to, back_by)
SELECT id, job_id, 101, 'Old motor', 'core', 'Rewinder', '2026-12-24' FROM entries WHERE number = 3 AND job_id = 101;
INSERT INTO alternates (id, of_motor_id, motor_id, limits, approved_by, approved_at)
VALUES (101, 101, 102, 'Not above 40 °C', 101, 1795600000000);
INSERT INTO alternates (id, of_part_id, part_id, limits, approved_by, approved_at)
VALUES (102, 102, 101, 'Dry places only', 101, 1795600000000);
