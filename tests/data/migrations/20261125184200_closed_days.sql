-- Closed on Sundays and on one day of the year.
INSERT INTO closed_weekdays (weekday) VALUES (7);
INSERT INTO closed_days (day, name) VALUES ('2026-12-25', 'Winter closing');
