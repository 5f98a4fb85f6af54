-- A few rows of every table this migration made; valid on both databases.
INSERT INTO password_links (id, token_hash, person_id, made_by, made_at, ends_at)
VALUES (101, 'hash-of-a-link', 102, 101, 1795600000000, 1795700000000);
INSERT INTO sign_in_tries (key_hash, misses, last_at, next_at)
VALUES ('hash-of-a-name', 3, 1795600000000, 1795600000000);
INSERT INTO known_devices (token_hash, person_id, seen_at)
VALUES ('hash-of-a-device', 102, 1795600000000);
INSERT INTO second_factors (person_id, secret, confirmed_at, last_step)
VALUES (101, 'JBSWY3DPEHPK3PXPJBSWY3DPEHPK3PXP', 1795600000000, 59853333);
INSERT INTO recovery_codes (code_hash, person_id, used_at) VALUES ('hash-of-a-code', 101, NULL);
INSERT INTO begun_sign_ins (token_hash, person_id, visit, ends_at)
VALUES ('hash-of-a-step', 101, 'a visit', 1795600600000);
INSERT INTO tablets (id, token_hash, name, made_by, made_at)
VALUES (101, 'hash-of-a-tablet', 'Bench tablet', 101, 1795600000000);
INSERT INTO tablet_pins (tablet_id, person_id, pin_hash, set_at)
VALUES (101, 102, 'x', 1795600000000);
INSERT INTO sessions (token_hash, person_id, device, created_at, seen_at, ends_at, kind, tablet_id,
    address)
VALUES ('hash-of-a-pin-token', 102, 'a tablet', 1795600000000, 1795600000000, 1796600000000, 'pin',
    101, '192.0.2.7');
