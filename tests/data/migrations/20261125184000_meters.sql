-- A meter that was changed for another, a reading that was asked about and one that was wrong.
INSERT INTO meters (id, machine_id, name, unit, hours, full_at) VALUES (102, 101, 'Starts', 'starts', FALSE, 100000);
INSERT INTO meter_readings (id, meter_id, read_on, value, person_id, noted_at, same_as_last)
VALUES (103, 102, '2026-11-20', 310, 101, 1795600000000, TRUE);
INSERT INTO meter_readings (id, meter_id, read_on, value, person_id, noted_at, struck_at, struck_by, struck_why)
VALUES (104, 102, '2026-11-21', 31000, 101, 1795600000000, 1795600000000, 101, 'One nought too many');
INSERT INTO meter_changes (id, meter_id, changed_on, old_final, new_start, person_id, noted_at)
VALUES (101, 102, '2026-11-22', 312, 0, 101, 1795600000000);
