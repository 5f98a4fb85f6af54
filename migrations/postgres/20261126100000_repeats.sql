-- How many days back a repeat is looked for: small machines, and all others.
ALTER TABLE shop ADD COLUMN repeat_small_days BIGINT NOT NULL DEFAULT 30
    CHECK (repeat_small_days BETWEEN 1 AND 730);
ALTER TABLE shop ADD COLUMN repeat_large_days BIGINT NOT NULL DEFAULT 90
    CHECK (repeat_large_days BETWEEN 1 AND 730);

-- The Desk asks for the reviews since a day.
CREATE INDEX cause_reviews_at_idx ON cause_reviews (reviewed_at);
