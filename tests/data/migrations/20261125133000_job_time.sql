-- A stretch of work that counts, of the sample job's report entry; valid on both databases.
INSERT INTO job_spells (entry_id, job_id, person_id, spent, from_at, to_at, note, withdrawn_by)
SELECT id, job_id, NULL, 'part', 1795600000000, 1795607200000, '', NULL FROM entries WHERE number = 1 AND job_id = 101;
