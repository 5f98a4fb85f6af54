-- An hour costs 62.50.
UPDATE shop SET hour_rate_minor = 6250;
