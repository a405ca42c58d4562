-- What was ridden. A log is a fact: a correction is a new version that names the old.
CREATE TABLE ride (
  barn_id uuid NOT NULL,
  id uuid NOT NULL,
  entry_id uuid NOT NULL,
  go integer NOT NULL CHECK (go BETWEEN 0 AND 500),
  kind text NOT NULL CHECK (kind IN ('go', 'extra_fence', 'about', 'closing')),
  at timestamptz,
  fences text NOT NULL,
  efforts integer NOT NULL CHECK (efforts BETWEEN 0 AND 500),
  pole_passes integer NOT NULL CHECK (pole_passes BETWEEN 0 AND 500),
  height_cm integer CHECK (height_cm BETWEEN 0 AND 250),
  standing text NOT NULL CHECK (standing IN ('counted', 'superseded', 'disputed', 'withdrawn')),
  supersedes uuid,
  note text,
  logged_by uuid NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, entry_id) REFERENCES entry (barn_id, id),
  FOREIGN KEY (barn_id, supersedes) REFERENCES ride (barn_id, id)
);
CREATE UNIQUE INDEX ride_go_once ON ride (barn_id, entry_id, go) WHERE standing = 'counted' AND kind = 'go';
CREATE INDEX ride_entry ON ride (barn_id, entry_id);
CREATE INDEX ride_supersedes ON ride (barn_id, supersedes);
CREATE TABLE attempt (
  barn_id uuid NOT NULL,
  ride_id uuid NOT NULL,
  n integer NOT NULL CHECK (n BETWEEN 0 AND 99),
  line text NOT NULL,
  asked integer CHECK (asked BETWEEN 0 AND 40),
  ridden integer CHECK (ridden BETWEEN 0 AND 40),
  distance_m double precision NOT NULL,
  first_height_cm integer NOT NULL CHECK (first_height_cm BETWEEN 0 AND 250),
  second_height_cm integer NOT NULL CHECK (second_height_cm BETWEEN 0 AND 250),
  poles boolean NOT NULL,
  combination boolean NOT NULL,
  circle boolean NOT NULL,
  fault text,
  approach text,
  lost_first text,
  seconds double precision,
  PRIMARY KEY (barn_id, ride_id, n),
  FOREIGN KEY (barn_id, ride_id) REFERENCES ride (barn_id, id)
);
