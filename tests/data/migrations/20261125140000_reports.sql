-- A target of the shop's own and a code of the sample job's report; valid on both databases.
INSERT INTO response_targets (level, minutes) VALUES ('damage', 720);
INSERT INTO report_codes (entry_id, job_id, code)
SELECT id, job_id, 'K7M2QX' FROM entries WHERE number = 1 AND job_id = 101;
UPDATE jobs SET level = 'service_lost', level_why = 'what it serves is needed now' WHERE id = 101;
