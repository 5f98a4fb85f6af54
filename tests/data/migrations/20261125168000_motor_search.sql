-- The rows of the motors were made by the migration; one of them is filled.
UPDATE motor_search SET revision = 0, stamp = 7, phases = 1, power_w = 186.5, listing = ''
WHERE motor_id = (SELECT min(id) FROM motors);
