-- A machine that the triggers put into the search; valid on both databases.
INSERT INTO motors (id, name, plate, plate_text, made)
VALUES (164, 'Searched motor', '{}', 'HP 1/4 V 115', 'made');
UPDATE motors SET plate_text = 'HP 1/4 V 230' WHERE id = 164;
UPDATE places SET name = 'Sample roof, north' WHERE id = 102;
