-- A warranty of one motor on a machine and one that was written down wrongly; valid on both.
INSERT INTO warranties (id, machine_id, motor_id, covers, until_on, terms)
VALUES (1861, 101, 101, 'The motor alone', '2028-01-01', 'Void when opened');
INSERT INTO warranties (id, machine_id, covers, until_on, ended)
VALUES (1862, 102, 'The whole machine', '2026-01-01', TRUE);
