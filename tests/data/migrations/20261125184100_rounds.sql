-- A round of one line.
INSERT INTO rounds (id, title, made_at, made_by) VALUES (101, 'Flat roof', 1795600000000, 101);
INSERT INTO round_lines (round_id, position, item_id) VALUES (101, 1, 104);
