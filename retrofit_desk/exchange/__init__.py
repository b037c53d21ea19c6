"""Files in and out: weather, bills, house description, spreadsheets, calendar."""
