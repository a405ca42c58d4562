-- Where one jumps, with what, and which exercise. Revisions are never changed.
CREATE TABLE arena (
  barn_id BLOB NOT NULL REFERENCES barn (barn_id),
  id BLOB NOT NULL,
  name TEXT NOT NULL,
  length_m REAL NOT NULL,
  width_m REAL NOT NULL,
  indoor INTEGER NOT NULL,
  footing TEXT NOT NULL,
  lights INTEGER NOT NULL,
  letters TEXT NOT NULL CHECK (letters IN ('none', '20x40', '20x60')),
  hours TEXT NOT NULL,
  obstructions TEXT NOT NULL,
  sessions_at_once INTEGER NOT NULL CHECK (sessions_at_once BETWEEN 1 AND 10),
  removed_at INTEGER,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id)
) STRICT, WITHOUT ROWID;
CREATE TABLE fence_set (
  barn_id BLOB NOT NULL REFERENCES barn (barn_id),
  id BLOB NOT NULL,
  name TEXT NOT NULL,
  items TEXT NOT NULL,
  removed_at INTEGER,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id)
) STRICT, WITHOUT ROWID;
CREATE TABLE exercise (
  barn_id BLOB NOT NULL REFERENCES barn (barn_id),
  id BLOB NOT NULL,
  name TEXT NOT NULL,
  purpose TEXT NOT NULL,
  latest_revision INTEGER NOT NULL,
  removed_at INTEGER,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id)
) STRICT, WITHOUT ROWID;
CREATE TABLE exercise_revision (
  barn_id BLOB NOT NULL,
  exercise_id BLOB NOT NULL,
  revision INTEGER NOT NULL CHECK (revision >= 1),
  arena_id BLOB,
  level TEXT NOT NULL CHECK (level IN ('novice', 'usual', 'schooled')),
  layout TEXT NOT NULL,
  efforts INTEGER NOT NULL,
  pole_passes INTEGER NOT NULL,
  height_cm INTEGER NOT NULL,
  created_by BLOB NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, exercise_id, revision),
  FOREIGN KEY (barn_id, exercise_id) REFERENCES exercise (barn_id, id),
  FOREIGN KEY (barn_id, arena_id) REFERENCES arena (barn_id, id),
  FOREIGN KEY (barn_id, created_by) REFERENCES person (barn_id, id)
) STRICT, WITHOUT ROWID;
CREATE INDEX exercise_revision_arena ON exercise_revision (barn_id, arena_id);
CREATE INDEX exercise_revision_created_by ON exercise_revision (barn_id, created_by);
