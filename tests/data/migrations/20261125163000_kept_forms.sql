-- A form that waits for its person, and whose session it was; valid on both databases.
INSERT INTO kept_forms (id, person_id, path, fields, had_files, kept_at)
VALUES ('a-kept-form', 102, '/jobs/101/note', 'text=Belt+worn', FALSE, 1795600000000);
INSERT INTO begun_sessions (token_hash, person_id, begun_at)
VALUES ('hash-of-an-ended-session', 102, 1795600000000);
