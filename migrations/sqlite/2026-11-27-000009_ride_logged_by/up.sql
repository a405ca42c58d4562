-- Who logged a ride is a person of the same barn: the key that says so was forgotten. SQLite adds none to a table that is there,
-- so both tables are made anew.
DROP INDEX ride_go_once;
DROP INDEX ride_entry;
DROP INDEX ride_supersedes;
ALTER TABLE attempt RENAME TO attempt_before;
ALTER TABLE ride RENAME TO ride_before;
CREATE TABLE ride (
  barn_id BLOB NOT NULL,
  id BLOB NOT NULL,
  entry_id BLOB NOT NULL,
  go INTEGER NOT NULL CHECK (go BETWEEN 0 AND 500),
  kind TEXT NOT NULL CHECK (kind IN ('go', 'extra_fence', 'about', 'closing')),
  at INTEGER,
  fences TEXT NOT NULL,
  efforts INTEGER NOT NULL CHECK (efforts BETWEEN 0 AND 500),
  pole_passes INTEGER NOT NULL CHECK (pole_passes BETWEEN 0 AND 500),
  height_cm INTEGER CHECK (height_cm BETWEEN 0 AND 250),
  standing TEXT NOT NULL CHECK (standing IN ('counted', 'superseded', 'disputed', 'withdrawn')),
  supersedes BLOB,
  note TEXT,
  logged_by BLOB NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, entry_id) REFERENCES entry (barn_id, id),
  FOREIGN KEY (barn_id, supersedes) REFERENCES ride (barn_id, id),
  FOREIGN KEY (barn_id, logged_by) REFERENCES person (barn_id, id)
) STRICT, WITHOUT ROWID;
INSERT INTO ride SELECT * FROM ride_before;
CREATE TABLE attempt (
  barn_id BLOB NOT NULL,
  ride_id BLOB NOT NULL,
  n INTEGER NOT NULL CHECK (n BETWEEN 0 AND 99),
  line TEXT NOT NULL,
  asked INTEGER CHECK (asked BETWEEN 0 AND 40),
  ridden INTEGER CHECK (ridden BETWEEN 0 AND 40),
  distance_m REAL NOT NULL,
  first_height_cm INTEGER NOT NULL CHECK (first_height_cm BETWEEN 0 AND 250),
  second_height_cm INTEGER NOT NULL CHECK (second_height_cm BETWEEN 0 AND 250),
  poles INTEGER NOT NULL,
  combination INTEGER NOT NULL,
  circle INTEGER NOT NULL,
  fault TEXT,
  approach TEXT,
  lost_first TEXT,
  seconds REAL,
  PRIMARY KEY (barn_id, ride_id, n),
  FOREIGN KEY (barn_id, ride_id) REFERENCES ride (barn_id, id)
) STRICT, WITHOUT ROWID;
INSERT INTO attempt SELECT * FROM attempt_before;
DROP TABLE attempt_before;
DROP TABLE ride_before;
CREATE UNIQUE INDEX ride_go_once ON ride (barn_id, entry_id, go) WHERE standing = 'counted' AND kind = 'go';
CREATE INDEX ride_entry ON ride (barn_id, entry_id);
CREATE INDEX ride_supersedes ON ride (barn_id, supersedes);
CREATE INDEX ride_logged_by ON ride (barn_id, logged_by);
