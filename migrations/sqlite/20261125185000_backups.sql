-- Backups that were tried: what the keeper's page and `brasstag check` tell of them.
CREATE TABLE backups (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    tried_at INTEGER NOT NULL,
    file TEXT NOT NULL,
    bytes INTEGER,
    row_count INTEGER,
    problem TEXT
);
