-- What a plan's work needs: isolation, procedure, people, parts, access, and its hard limit; JSON.
ALTER TABLE plans ADD COLUMN needs TEXT NOT NULL DEFAULT '{}';
ALTER TABLE wide_plans ADD COLUMN needs TEXT NOT NULL DEFAULT '{}';
ALTER TABLE plan_revisions ADD COLUMN needs TEXT NOT NULL DEFAULT '{}';
