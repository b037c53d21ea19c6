"""The house as numbers: layers, glass, air, sun, plant and the hourly engine. No files, database or window."""
