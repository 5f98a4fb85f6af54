-- A procedure with two steps, taken by the sample job and answered; a part, a review, a follow-up and
-- a temporary fix; valid on both databases.
INSERT INTO procedures (id, name, for_kind, revision, made_at)
VALUES (101, 'Grease it', 'fan', 1, 1795600000000);
INSERT INTO procedure_revisions (procedure_id, revision, made_at, made_by)
VALUES (101, 1, 1795600000000, NULL);
INSERT INTO procedure_steps (procedure_id, revision, position, text, takes, quantity, unit, low, high, locked)
VALUES (101, 1, 1, 'Guard off', 'tick', '', '', NULL, NULL, TRUE),
    (101, 1, 2, 'Insulation to earth', 'reading', 'megohm', 'MΩ', 5.0, NULL, TRUE);
INSERT INTO job_procedures (entry_id, job_id, procedure_id, revision, name)
SELECT id, job_id, 101, 1, 'Grease it' FROM entries WHERE number = 1 AND job_id = 101;
INSERT INTO job_steps (job_id, position, taken, text, takes, locked)
SELECT job_id, 1, id, 'Guard off', 'tick', TRUE FROM entries WHERE number = 1 AND job_id = 101;
INSERT INTO job_step_answers (entry_id, job_id, position, answer, person_id, answered_at)
SELECT id, job_id, 1, 'done', 102, 1795600400000 FROM entries WHERE number = 2 AND job_id = 101;
INSERT INTO part_conditions (entry_id, position, job_id, machine_id, part, found, reason, note, found_at)
SELECT id, 0, 101, 101, 'belt', 'bad_and_left', 'part', 'Cracked', 1795600400000
FROM entries WHERE number = 2 AND job_id = 101;
INSERT INTO cause_reviews (entry_id, job_id, finding, action, reviewed_at)
SELECT id, 101, 'Dust', 'Clean it monthly', 1795600500000 FROM entries WHERE number = 3 AND job_id = 101;
INSERT INTO follow_ups (entry_id, job_id, follow_job_id, made_from)
SELECT id, 101, 102, 'belt' FROM entries WHERE number = 3 AND job_id = 101;
INSERT INTO temporary_fixes (entry_id, job_id, machine_id, what, until_on, made_at)
SELECT id, 101, 101, 'Taped lead', '2026-12-01', 1795600500000 FROM entries WHERE number = 3 AND job_id = 101;
