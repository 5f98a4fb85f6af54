-- Two machines that share one breaker, with everything around them; valid on both databases.
INSERT INTO places (id, parent_id, kind, name, access_note)
VALUES (101, NULL, 'site', 'Sample site', ''),
    (102, 101, 'roof', 'Sample roof', 'Ladder, key 2');
INSERT INTO panels (id, name, place_id, supply) VALUES (101, 'S-1', 101, '230/400 V three-phase');
INSERT INTO circuits (id, panel_id, number, label_read, label_wrong, label_note, facts)
VALUES (101, 101, '1', 'Fans', FALSE, '', '{}'),
    (102, 101, '2', 'Lights', TRUE, 'Feeds the pump', '{"volts":230.0,"phases":1}');
INSERT INTO motors (id, name, plate, plate_text, made, note)
VALUES (101, 'Sample motor', '{"power":{"known":{"value":180.0,"how":"read"}}}', '180 W', 'ended', ''),
    (102, 'Shelf motor', '{}', '', 'made', ''),
    (103, 'Listed motor', '{"power":"unreadable"}', '', 'unknown', '');
INSERT INTO shelf_motors (motor_id, bin, held, price_minor) VALUES (102, 'A1', 2, NULL);
INSERT INTO supplier_lists (id, name, read_on) VALUES (101, 'Sample list', '2026-10-01');
INSERT INTO supplier_motors (list_id, motor_id, price_minor, lead_days) VALUES (101, 103, 12900, 4);
INSERT INTO machines (id, tag, name, kind, place_id, facts, circuit_id, feed_proved_on,
    design_motor_id, fitted_motor_id, installed_on, created_at)
VALUES (101, 'F-1', 'Sample fan', 'fan', 102, '{}', 101, '2026-05-05', 101, 101, '2011-01-01', 1795600000000),
    (102, 'F-2', 'Other fan', 'fan', 102, '{}', 101, NULL, NULL, NULL, NULL, 1795600000000);
INSERT INTO energy_sources (id, kind, name, device, dead_test, circuit_id, relieved_how)
VALUES (101, 'electrical', 'Panel S-1, breaker 1', 'Breaker', 'single_phase', 101, ''),
    (102, 'draught', 'Wind', 'Wheel block', 'none', NULL, 'Wheel wedged');
INSERT INTO isolation_sheets (id, machine_id, revision, steps, made_at, made_by, inspected_on)
VALUES (101, 101, 1, 'Lock it', 1795600000000, 101, '2026-06-06'),
    (102, 102, 1, 'Lock it', 1795600000000, NULL, NULL);
INSERT INTO isolation_sheet_sources (sheet_id, source_id, position)
VALUES (101, 101, 1), (101, 102, 2), (102, 101, 1);
