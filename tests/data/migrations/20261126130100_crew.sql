-- One person's hours, a week away and a skill.
INSERT INTO work_hours (person_id, weekday, minutes) VALUES (102, 1, 480), (102, 6, 0);
INSERT INTO absences (id, person_id, from_on, until_on, why, noted_at)
VALUES (101, 102, '2026-12-21', '2026-12-27', 'leave', 1795600000000);
INSERT INTO person_skills (id, person_id, skill, valid_from, valid_until, noted_at)
VALUES (101, 102, 'gas', '2026-01-01', '2028-12-31', 1795600000000);
