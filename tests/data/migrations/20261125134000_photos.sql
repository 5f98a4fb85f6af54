-- A photo that came with a report and one that was withdrawn.
INSERT INTO photos (entry_id, job_id, person_id, sha, thumb, width, height, bytes, caption, about,
    taken_at, withdrawn_by)
VALUES ('01936000-0000-7000-8000-000000000001', 101, NULL, 'aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa',
        'bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb', 1600, 1200, 300000, '', 'report',
        1795600000000, NULL),
    ('01936000-0000-7000-8000-000000000002', 101, 102, 'cccccccccccccccccccccccccccccccccccccccccccccccccccccccccccccccc',
        'dddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddd', 1200, 1600, 280000, 'The plate', 'plate',
        1795600200000, '01936000-0000-7000-8000-000000000003');
