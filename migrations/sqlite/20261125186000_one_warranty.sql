-- One record of warranties: what stood in a machine's own columns becomes a row like all others.
INSERT INTO warranties (machine_id, covers, until_on)
SELECT id, CASE WHEN warranty_note = '' THEN 'The whole machine' ELSE warranty_note END, warranty_until
FROM machines WHERE warranty_until IS NOT NULL;
ALTER TABLE machines DROP COLUMN warranty_until;
ALTER TABLE machines DROP COLUMN warranty_note;
