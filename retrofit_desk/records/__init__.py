"""The record: models, the project folder, units of work, history, backups, the papers store."""
