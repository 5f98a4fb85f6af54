-- A motor that moved between machines, a note, documents, a panel fed from another.
INSERT INTO motor_units (id, motor_id, mark, state) VALUES (101, 101, 'M-101', 'fitted');
INSERT INTO motor_stays (id, unit_id, machine_id, on_at, off_at)
VALUES (101, 101, 102, NULL, 1795600000000), (102, 101, 101, 1795600100000, NULL);
INSERT INTO machine_notes (id, machine_id, text, written_by, written_at)
VALUES (101, 101, 'Tell the kitchen', 101, 1795600000000), (102, 101, 'Old note', NULL, NULL);
INSERT INTO machine_documents (id, machine_id, name, revision, kept, noted_by, noted_at, stale)
VALUES (101, 101, 'Manual', 'B', 'Drawer 3', 101, 1795600000000, ''),
    (102, 101, 'Diagram', '', '', NULL, 1795600000000, 'Starter was changed');
INSERT INTO panels (id, name, place_id, supply, fed_from_id)
VALUES (102, 'S-2', 101, '230 V single-phase', 102);
UPDATE circuits SET label_proved_on = '2026-11-01', label_proved_by = 'Ana', label_proved_how = 'Tracer'
WHERE id = 101;
