-- A few rows of every table this migration made; valid on both databases.
INSERT INTO shop (id, name, time_zone, rule_set, units, currency, created_at)
VALUES (1, 'Sample shop', 'Europe/Lisbon', 'IEC 60364', 'si', 'EUR', 1795600000000);
INSERT INTO people (id, sign_in_name, name, role, password_hash, authorised_on, qualified_on,
    hours_a_day, created_at)
VALUES (101, 'anna', 'Anna Brill', 'supervisor', 'x', '2026-01-05', '2026-01-05', 8, 1795600000000),
    (102, 'ben', 'Ben Corr', 'technician', 'x', '2026-02-01', NULL, 7.5, 1795600000000),
    (103, 'cleo', 'Cleo Dane', 'auditor', 'x', NULL, NULL, 8, 1795600000000);
INSERT INTO sessions (token_hash, person_id, device, created_at, seen_at, ends_at)
VALUES ('hash-of-a-token', 102, 'a phone', 1795600000000, 1795600000000, 1796600000000);
INSERT INTO audit (id, at, person_id, thing, thing_id, act, detail)
VALUES (101, 1795600000000, 101, 'people', 102, 'added', '{}'),
    (102, 1795600000000, NULL, 'people', 101, 'set up', '{}');
