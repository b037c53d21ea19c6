"""The house as numbers: layers, glass, air, sun, plant, hourly engine. No files, database or window."""
