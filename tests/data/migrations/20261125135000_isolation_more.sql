-- The sample job's lock in a box with a personal lock, a removal and a permit; valid on both databases.
INSERT INTO lock_boxes (entry_id, job_id, name, coordinator_id, locked_at)
SELECT entry_id, job_id, 'Box 2', person_id, 1795600250000 FROM locks WHERE job_id = 101;
INSERT INTO lock_box_keys (box_entry_id, lock_entry_id)
SELECT entry_id, entry_id FROM locks WHERE job_id = 101;
INSERT INTO box_locks (entry_id, box_entry_id, job_id, person_id, lock_number, on_at)
SELECT entry_id, entry_id, job_id, person_id, 'B8', 1795600260000 FROM locks WHERE job_id = 101;
INSERT INTO lock_removals (entry_id, lock_entry_id, job_id, owner_id, lock_number, point,
    removed_by, removed_at)
SELECT entry_id, entry_id, job_id, person_id, 'B6', 'Breaker 7', person_id, 1795600270000
FROM locks WHERE job_id = 101;
INSERT INTO permits (entry_id, job_id, permit_kind, number, issued_by, issued_to, valid_from,
    valid_to, conditions)
SELECT entry_id, job_id, 'hot_work', 'HW-12', 'Keeper', 'Fox', 1795600000000, 1795640000000,
    'fire watch' FROM locks WHERE job_id = 101;
UPDATE isolation_sheets SET tell_first = 'Front desk', keys_needed = 'Key 4',
    interlocks = 'Fire alarm zone 3: tell the front desk, put back in service';
