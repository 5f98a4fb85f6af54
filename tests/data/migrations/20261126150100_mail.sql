-- A person who is told by mail, one news in one mail.
INSERT INTO mail_people (person_id, address) VALUES (101, 'shop@example.org');
INSERT INTO mail_ways (person_id, kind, way) VALUES (101, 'handed', 'digest');
INSERT INTO mails (id, message_id, person_id, address, subject, words, made_at, next_at)
    VALUES (101, '019ac000-0000-7000-8000-000000000002@example.org', 101, 'shop@example.org', 'Job 101', 'Handed to you.', 1795600000000, 1795600000000);
INSERT INTO news (id, word, person_id, kind, subject, words, made_at, tell_at, mail_id, told)
    VALUES (101, 'handed:101:101', 101, 'handed', 'Job 101', 'Handed to you.', 1795600000000, 1795600000000, 101, TRUE);
INSERT INTO mail_stops (word, person_id) VALUES ('stopword', 101);
INSERT INTO shift_end (id, minutes) VALUES (1, 960);
