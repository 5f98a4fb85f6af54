-- An outside firm on the sample job with a lock of its own; valid on both databases.
UPDATE jobs SET touches = 'full', hands = 'full', outside_firm = 'Northbank Duct Care',
    accepted_by = 'Front desk', saw_working = 'Fan running' WHERE id = 101;
INSERT INTO outside_locks (entry_id, job_id, machine_id, source_id, firm, owner, lock_number,
    recorded_by, on_at)
SELECT entry_id, job_id, machine_id, source_id, 'Northbank Duct Care', 'Their fitter', 'N3',
    person_id, 1795600280000 FROM locks WHERE job_id = 101;
