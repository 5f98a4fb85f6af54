-- What the pages sort and filter by, so that none of them reads a large table through.
CREATE INDEX jobs_machine_newest_idx ON jobs (machine_id, id);
CREATE INDEX jobs_machine_reported_idx ON jobs (machine_id, reported_at, id);
CREATE INDEX jobs_place_newest_idx ON jobs (place_id, id);
CREATE INDEX jobs_state_reported_idx ON jobs (state, reported_at, id);
CREATE INDEX jobs_reported_idx ON jobs (reported_at, id);
CREATE INDEX jobs_handover_idx ON jobs (handover_to) WHERE handover_to IS NOT NULL;
CREATE INDEX jobs_due_item_idx ON jobs (due_item_id) WHERE due_item_id IS NOT NULL;
CREATE INDEX due_items_judged_idx ON due_items (due_on, plan_id, state, done_on);
CREATE INDEX locks_standing_idx ON locks (on_at, entry_id) WHERE off_at IS NULL;
CREATE INDEX locks_person_idx ON locks (person_id, off_at);
CREATE INDEX box_locks_standing_idx ON box_locks (on_at, entry_id) WHERE off_at IS NULL;
CREATE INDEX outside_locks_standing_idx ON outside_locks (on_at) WHERE off_at IS NULL;
CREATE INDEX lock_removals_untold_idx ON lock_removals (removed_at, entry_id) WHERE told_at IS NULL;
CREATE INDEX readings_newest_idx ON readings (machine_id, taken_at);
CREATE INDEX machines_kind_idx ON machines (kind, lower(tag));
CREATE INDEX machines_criticality_idx ON machines (criticality, lower(tag));
CREATE INDEX jobs_joined_idx ON jobs (joined_to) WHERE joined_to IS NOT NULL;
