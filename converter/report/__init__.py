"""What a run found, to be read: a page for people and a table for spreadsheets."""
