-- Days on which the shop is closed: of the week, and single ones.
CREATE TABLE closed_weekdays (
    weekday BIGINT PRIMARY KEY, -- 1 Monday to 7 Sunday
    CHECK (weekday BETWEEN 1 AND 7)
);
CREATE TABLE closed_days (
    day DATE PRIMARY KEY,
    name TEXT NOT NULL DEFAULT ''
);
