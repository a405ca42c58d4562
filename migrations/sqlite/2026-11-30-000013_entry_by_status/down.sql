CREATE INDEX entry_horse ON entry (barn_id, horse_id);
DROP INDEX entry_horse_status;
