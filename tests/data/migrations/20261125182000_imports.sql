-- A file of places that waits for its person; valid on both databases.
INSERT INTO imports (id, person_id, register, file_name, sheet, fields, made_at)
VALUES ('a-file-read', 102, 'places', 'places.csv',
    '{"heads":["name","kind"],"rows":[{"number":2,"cells":["Mill","site"]}]}', '["name","kind"]',
    1795600000000);
