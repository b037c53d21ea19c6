"""Fields, tables and lists that every page uses."""
