INSERT INTO backups (tried_at, file, bytes, row_count, problem) VALUES
    (1795572603000, '/backups/brasstag-2026-11-25-021003Z.zip', 48213, 512, NULL),
    (1795659003000, '/backups/brasstag-2026-11-26-021003Z.zip', NULL, NULL, 'No space left on device');
