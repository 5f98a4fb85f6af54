INSERT INTO thing_photos (machine_id, sha, thumb, width, height, bytes, caption, taken_at)
SELECT min(id), 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad', 'cb8379ac2098aa165029e3938a51da0bcecfc008fd6795f401178647f96c5b34', 1600, 1200, 200000, 'From the hatch', 0 FROM machines;
