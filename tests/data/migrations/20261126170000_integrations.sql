INSERT INTO people (id, sign_in_name, name, role, password_hash, created_at, closed_at) VALUES
    (7001, 'integration 00ff00ff00ff00ff', 'Building control', 'technician', '', 1795572600000, 1795572600000);
INSERT INTO integrations (person_id, scopes, token_hash, token_end, a_minute, created_at, created_by,
    expires_at, used_at)
    SELECT 7001, 'jobs:write meters:write', 'f00d', 'x9Yz', 600, 1795572600000, min(id), 1827108600000,
        1795659000000 FROM people;
INSERT INTO api_answers (integration_id, idempotency_key, asked_hash, status, headers, body, at)
    SELECT id, 'reading-17', 'beef', 201, '{}', '{"id": 4}', 1795659000000 FROM integrations;
