"""A whole shop in memory, under a nemesis that doubles, delays, reorders, unplugs, restarts and sets clocks."""
