-- Arena time, who and what is in it, and what that occupies.
CREATE TABLE session (
  barn_id BLOB NOT NULL REFERENCES barn (barn_id),
  id BLOB NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('jumping', 'flat', 'appointment')),
  title TEXT NOT NULL,
  arena_id BLOB,
  trainer_id BLOB,
  fence_set_id BLOB,
  exercise_id BLOB,
  revision INTEGER,
  adult_id BLOB,
  starts_at INTEGER NOT NULL,
  ends_at INTEGER NOT NULL,
  places INTEGER NOT NULL CHECK (places BETWEEN 0 AND 12),
  status TEXT NOT NULL CHECK (status IN ('requested', 'declined', 'booked', 'open', 'closed', 'cancelled')),
  note TEXT,
  created_by BLOB NOT NULL,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, arena_id) REFERENCES arena (barn_id, id),
  FOREIGN KEY (barn_id, trainer_id) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, fence_set_id) REFERENCES fence_set (barn_id, id),
  FOREIGN KEY (barn_id, exercise_id, revision) REFERENCES exercise_revision (barn_id, exercise_id, revision),
  FOREIGN KEY (barn_id, adult_id) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, created_by) REFERENCES person (barn_id, id),
  CHECK (ends_at > starts_at),
  CHECK ((exercise_id IS NULL) = (revision IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX session_when ON session (barn_id, starts_at, id);
CREATE INDEX session_arena ON session (barn_id, arena_id);
CREATE INDEX session_trainer ON session (barn_id, trainer_id);
CREATE INDEX session_fence_set ON session (barn_id, fence_set_id);
CREATE INDEX session_exercise ON session (barn_id, exercise_id, revision);
CREATE INDEX session_adult ON session (barn_id, adult_id);
CREATE INDEX session_created_by ON session (barn_id, created_by);
CREATE TABLE entry (
  barn_id BLOB NOT NULL,
  id BLOB NOT NULL,
  session_id BLOB NOT NULL,
  horse_id BLOB,
  rider_id BLOB,
  status TEXT NOT NULL CHECK (status IN ('requested', 'declined', 'cancelled', 'booked', 'open', 'unresolved', 'closed')),
  planned_efforts INTEGER NOT NULL CHECK (planned_efforts BETWEEN 0 AND 500),
  planned_height_cm INTEGER CHECK (planned_height_cm BETWEEN 0 AND 250),
  planned_pole_passes INTEGER NOT NULL CHECK (planned_pole_passes BETWEEN 0 AND 500),
  asks TEXT NOT NULL,
  reason TEXT,
  override_reason TEXT,
  overridden TEXT,
  flags TEXT,
  closing TEXT CHECK (closing IN ('not_jumped', 'as_planned', 'efforts')),
  requested_by BLOB NOT NULL,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, session_id) REFERENCES session (barn_id, id),
  FOREIGN KEY (barn_id, horse_id) REFERENCES horse (barn_id, id),
  FOREIGN KEY (barn_id, rider_id) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, requested_by) REFERENCES person (barn_id, id)
) STRICT, WITHOUT ROWID;
CREATE INDEX entry_session ON entry (barn_id, session_id);
CREATE INDEX entry_horse ON entry (barn_id, horse_id);
CREATE INDEX entry_rider ON entry (barn_id, rider_id);
CREATE INDEX entry_requested_by ON entry (barn_id, requested_by);
CREATE TABLE rail_link (
  barn_id BLOB NOT NULL,
  id BLOB NOT NULL,
  session_id BLOB NOT NULL,
  label TEXT NOT NULL,
  secret_hash TEXT NOT NULL,
  expires_at INTEGER NOT NULL,
  revoked_at INTEGER,
  created_by BLOB NOT NULL,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, session_id) REFERENCES session (barn_id, id),
  FOREIGN KEY (barn_id, created_by) REFERENCES person (barn_id, id)
) STRICT, WITHOUT ROWID;
CREATE INDEX rail_link_session ON rail_link (barn_id, session_id);
CREATE INDEX rail_link_created_by ON rail_link (barn_id, created_by);
CREATE TABLE occupancy (
  barn_id BLOB NOT NULL,
  session_id BLOB NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('arena', 'horse', 'person', 'fence_set')),
  resource_id BLOB NOT NULL,
  place INTEGER NOT NULL CHECK (place BETWEEN 0 AND 9),
  starts_at INTEGER NOT NULL,
  ends_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, session_id, kind, resource_id),
  FOREIGN KEY (barn_id, session_id) REFERENCES session (barn_id, id),
  CHECK (ends_at > starts_at)
) STRICT, WITHOUT ROWID;
CREATE INDEX occupancy_when ON occupancy (barn_id, kind, resource_id, place, starts_at, ends_at);
CREATE TRIGGER occupancy_no_overlap_insert BEFORE INSERT ON occupancy
WHEN EXISTS (
  SELECT 1 FROM occupancy o
  WHERE o.barn_id = NEW.barn_id AND o.kind = NEW.kind AND o.resource_id = NEW.resource_id AND o.place = NEW.place
    AND o.starts_at < NEW.ends_at AND o.ends_at > NEW.starts_at)
BEGIN SELECT RAISE(ABORT, 'occupancy_no_overlap'); END;
CREATE TRIGGER occupancy_no_overlap_update BEFORE UPDATE ON occupancy
WHEN EXISTS (
  SELECT 1 FROM occupancy o
  WHERE o.barn_id = NEW.barn_id AND o.kind = NEW.kind AND o.resource_id = NEW.resource_id AND o.place = NEW.place
    AND o.starts_at < NEW.ends_at AND o.ends_at > NEW.starts_at
    AND NOT (o.session_id = OLD.session_id AND o.kind = OLD.kind AND o.resource_id = OLD.resource_id AND o.barn_id = OLD.barn_id))
BEGIN SELECT RAISE(ABORT, 'occupancy_no_overlap'); END;
