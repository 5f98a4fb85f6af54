-- One calendar with one event.
INSERT INTO calendar_rules (id, uid, shows_tag) VALUES (1, '019ac000-0000-7000-8000-000000000001', TRUE);
INSERT INTO feeds (id, person_id, kind, token_hash, made_at) VALUES (101, 101, 'own', 'c0ffee', 1795600000000);
INSERT INTO feed_events (feed_id, thing, thing_id, on_day, summary, place, waits, cancelled, sequence, changed_at)
    VALUES (101, 'job', 101, '2026-11-25', 'Job 101', '', FALSE, FALSE, 0, 1795600000000);
