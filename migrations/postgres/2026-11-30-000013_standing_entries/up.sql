-- A horse's book passes over what was called off: over the years there is much of it.
CREATE INDEX entry_horse_stands ON entry (barn_id, horse_id) WHERE status IN ('booked', 'open', 'unresolved', 'closed');
