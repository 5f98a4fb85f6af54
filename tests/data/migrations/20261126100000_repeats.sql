UPDATE shop SET repeat_small_days = 21, repeat_large_days = 120;
