-- Horses, whose they are, who rides them, and what limits their work.
CREATE TABLE horse (
  barn_id BLOB NOT NULL REFERENCES barn (barn_id),
  id BLOB NOT NULL,
  name TEXT NOT NULL,
  profile TEXT NOT NULL CHECK (profile IN ('horse', 'small_pony', 'medium_pony', 'large_pony')),
  mover TEXT NOT NULL CHECK (mover IN ('short', 'usual', 'big')),
  green INTEGER NOT NULL,
  calibration REAL NOT NULL,
  limit_preset TEXT NOT NULL CHECK (limit_preset IN ('young', 'established', 'competing', 'lesson_pony')),
  removed_at INTEGER,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id)
) STRICT, WITHOUT ROWID;
CREATE TABLE normal_stride (
  barn_id BLOB NOT NULL,
  horse_id BLOB NOT NULL,
  measured_on INTEGER NOT NULL,
  stride_m REAL NOT NULL,
  source TEXT NOT NULL CHECK (source IN ('guess', 'counted', 'taped')),
  recorded_by BLOB NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, horse_id, measured_on),
  FOREIGN KEY (barn_id, horse_id) REFERENCES horse (barn_id, id),
  FOREIGN KEY (barn_id, recorded_by) REFERENCES person (barn_id, id)
) STRICT, WITHOUT ROWID;
CREATE INDEX normal_stride_recorded_by ON normal_stride (barn_id, recorded_by);
CREATE TABLE ownership (
  barn_id BLOB NOT NULL,
  id BLOB NOT NULL,
  horse_id BLOB NOT NULL,
  person_id BLOB NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('owner', 'lessee')),
  ended_at INTEGER,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, horse_id) REFERENCES horse (barn_id, id),
  FOREIGN KEY (barn_id, person_id) REFERENCES person (barn_id, id)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX ownership_one_live ON ownership (barn_id, horse_id, person_id) WHERE ended_at IS NULL;
CREATE INDEX ownership_person ON ownership (barn_id, person_id);
CREATE TABLE pairing (
  barn_id BLOB NOT NULL,
  id BLOB NOT NULL,
  horse_id BLOB NOT NULL,
  rider_id BLOB NOT NULL,
  level TEXT NOT NULL CHECK (level IN ('novice', 'usual', 'schooled')),
  up_to_height_cm INTEGER NOT NULL CHECK (up_to_height_cm BETWEEN 0 AND 250),
  ended_at INTEGER,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, horse_id) REFERENCES horse (barn_id, id),
  FOREIGN KEY (barn_id, rider_id) REFERENCES person (barn_id, id)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX pairing_one_live ON pairing (barn_id, horse_id, rider_id) WHERE ended_at IS NULL;
CREATE INDEX pairing_rider ON pairing (barn_id, rider_id);
CREATE TABLE workload_limit (
  barn_id BLOB NOT NULL,
  id BLOB NOT NULL,
  horse_id BLOB NOT NULL,
  kind TEXT NOT NULL,
  value INTEGER,
  min_efforts INTEGER,
  clear_days INTEGER,
  after_gap_days INTEGER,
  ramp_days INTEGER,
  max_per_session INTEGER,
  max_per_7_days INTEGER,
  source TEXT NOT NULL CHECK (source IN ('barn_default', 'trainer', 'owner', 'vet')),
  hard INTEGER NOT NULL,
  valid_from INTEGER,
  valid_to INTEGER,
  from_height_cm INTEGER,
  note TEXT,
  set_by BLOB NOT NULL,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, horse_id) REFERENCES horse (barn_id, id),
  FOREIGN KEY (barn_id, set_by) REFERENCES person (barn_id, id),
  CHECK (NOT (hard AND source = 'barn_default'))
) STRICT, WITHOUT ROWID;
CREATE INDEX workload_limit_horse ON workload_limit (barn_id, horse_id);
CREATE INDEX workload_limit_set_by ON workload_limit (barn_id, set_by);
CREATE TABLE stand_down (
  barn_id BLOB NOT NULL,
  id BLOB NOT NULL,
  horse_id BLOB,
  rider_id BLOB,
  source TEXT NOT NULL CHECK (source IN ('trainer', 'owner', 'vet', 'farrier', 'rule')),
  scope TEXT NOT NULL CHECK (scope IN ('jumping', 'jumping_and_poles', 'riding')),
  from_date INTEGER NOT NULL,
  free_from_date INTEGER,
  cleared_on INTEGER,
  clearance_note TEXT,
  cleared_by BLOB,
  reason TEXT NOT NULL,
  recorded_by BLOB NOT NULL,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, horse_id) REFERENCES horse (barn_id, id),
  FOREIGN KEY (barn_id, rider_id) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, cleared_by) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, recorded_by) REFERENCES person (barn_id, id),
  CHECK ((horse_id IS NULL) <> (rider_id IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX stand_down_horse ON stand_down (barn_id, horse_id);
CREATE INDEX stand_down_rider ON stand_down (barn_id, rider_id);
CREATE INDEX stand_down_cleared_by ON stand_down (barn_id, cleared_by);
CREATE INDEX stand_down_recorded_by ON stand_down (barn_id, recorded_by);
CREATE TABLE outing (
  barn_id BLOB NOT NULL,
  id BLOB NOT NULL,
  horse_id BLOB NOT NULL,
  rider_id BLOB,
  kind TEXT NOT NULL CHECK (kind IN ('competition_round', 'warm_up', 'lesson', 'other')),
  show_id TEXT,
  at INTEGER,
  on_date INTEGER,
  status TEXT NOT NULL CHECK (status IN ('booked', 'closed', 'cancelled', 'superseded')),
  planned_efforts INTEGER NOT NULL CHECK (planned_efforts BETWEEN 0 AND 500),
  planned_height_cm INTEGER,
  efforts INTEGER CHECK (efforts BETWEEN 0 AND 500),
  height_cm INTEGER,
  note TEXT,
  recorded_by BLOB NOT NULL,
  superseded_by BLOB,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, horse_id) REFERENCES horse (barn_id, id),
  FOREIGN KEY (barn_id, rider_id) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, recorded_by) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, superseded_by) REFERENCES outing (barn_id, id),
  CHECK ((at IS NULL) <> (on_date IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX outing_horse ON outing (barn_id, horse_id);
CREATE INDEX outing_rider ON outing (barn_id, rider_id);
CREATE INDEX outing_recorded_by ON outing (barn_id, recorded_by);
CREATE INDEX outing_superseded_by ON outing (barn_id, superseded_by);
