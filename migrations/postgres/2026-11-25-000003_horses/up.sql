-- Horses, whose they are, who rides them, and what limits their work.
CREATE TABLE horse (
  barn_id uuid NOT NULL REFERENCES barn (barn_id),
  id uuid NOT NULL,
  name text NOT NULL,
  profile text NOT NULL CHECK (profile IN ('horse', 'small_pony', 'medium_pony', 'large_pony')),
  mover text NOT NULL CHECK (mover IN ('short', 'usual', 'big')),
  green boolean NOT NULL,
  calibration double precision NOT NULL,
  limit_preset text NOT NULL CHECK (limit_preset IN ('young', 'established', 'competing', 'lesson_pony')),
  removed_at timestamptz,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id)
);
CREATE TABLE normal_stride (
  barn_id uuid NOT NULL,
  horse_id uuid NOT NULL,
  measured_on date NOT NULL,
  stride_m double precision NOT NULL,
  source text NOT NULL CHECK (source IN ('guess', 'counted', 'taped')),
  recorded_by uuid NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, horse_id, measured_on),
  FOREIGN KEY (barn_id, horse_id) REFERENCES horse (barn_id, id),
  FOREIGN KEY (barn_id, recorded_by) REFERENCES person (barn_id, id)
);
CREATE INDEX normal_stride_recorded_by ON normal_stride (barn_id, recorded_by);
CREATE TABLE ownership (
  barn_id uuid NOT NULL,
  id uuid NOT NULL,
  horse_id uuid NOT NULL,
  person_id uuid NOT NULL,
  kind text NOT NULL CHECK (kind IN ('owner', 'lessee')),
  ended_at timestamptz,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, horse_id) REFERENCES horse (barn_id, id),
  FOREIGN KEY (barn_id, person_id) REFERENCES person (barn_id, id)
);
CREATE UNIQUE INDEX ownership_one_live ON ownership (barn_id, horse_id, person_id) WHERE ended_at IS NULL;
CREATE INDEX ownership_person ON ownership (barn_id, person_id);
CREATE TABLE pairing (
  barn_id uuid NOT NULL,
  id uuid NOT NULL,
  horse_id uuid NOT NULL,
  rider_id uuid NOT NULL,
  level text NOT NULL CHECK (level IN ('novice', 'usual', 'schooled')),
  up_to_height_cm integer NOT NULL CHECK (up_to_height_cm BETWEEN 0 AND 250),
  ended_at timestamptz,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, horse_id) REFERENCES horse (barn_id, id),
  FOREIGN KEY (barn_id, rider_id) REFERENCES person (barn_id, id)
);
CREATE UNIQUE INDEX pairing_one_live ON pairing (barn_id, horse_id, rider_id) WHERE ended_at IS NULL;
CREATE INDEX pairing_rider ON pairing (barn_id, rider_id);
CREATE TABLE workload_limit (
  barn_id uuid NOT NULL,
  id uuid NOT NULL,
  horse_id uuid NOT NULL,
  kind text NOT NULL,
  value integer,
  min_efforts integer,
  clear_days integer,
  after_gap_days integer,
  ramp_days integer,
  max_per_session integer,
  max_per_7_days integer,
  source text NOT NULL CHECK (source IN ('barn_default', 'trainer', 'owner', 'vet')),
  hard boolean NOT NULL,
  valid_from date,
  valid_to date,
  from_height_cm integer,
  note text,
  set_by uuid NOT NULL,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, horse_id) REFERENCES horse (barn_id, id),
  FOREIGN KEY (barn_id, set_by) REFERENCES person (barn_id, id),
  CHECK (NOT (hard AND source = 'barn_default'))
);
CREATE INDEX workload_limit_horse ON workload_limit (barn_id, horse_id);
CREATE INDEX workload_limit_set_by ON workload_limit (barn_id, set_by);
CREATE TABLE stand_down (
  barn_id uuid NOT NULL,
  id uuid NOT NULL,
  horse_id uuid,
  rider_id uuid,
  source text NOT NULL CHECK (source IN ('trainer', 'owner', 'vet', 'farrier', 'rule')),
  scope text NOT NULL CHECK (scope IN ('jumping', 'jumping_and_poles', 'riding')),
  from_date date NOT NULL,
  free_from_date date,
  cleared_on date,
  clearance_note text,
  cleared_by uuid,
  reason text NOT NULL,
  recorded_by uuid NOT NULL,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, horse_id) REFERENCES horse (barn_id, id),
  FOREIGN KEY (barn_id, rider_id) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, cleared_by) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, recorded_by) REFERENCES person (barn_id, id),
  CHECK ((horse_id IS NULL) <> (rider_id IS NULL))
);
CREATE INDEX stand_down_horse ON stand_down (barn_id, horse_id);
CREATE INDEX stand_down_rider ON stand_down (barn_id, rider_id);
CREATE INDEX stand_down_cleared_by ON stand_down (barn_id, cleared_by);
CREATE INDEX stand_down_recorded_by ON stand_down (barn_id, recorded_by);
CREATE TABLE outing (
  barn_id uuid NOT NULL,
  id uuid NOT NULL,
  horse_id uuid NOT NULL,
  rider_id uuid,
  kind text NOT NULL CHECK (kind IN ('competition_round', 'warm_up', 'lesson', 'other')),
  show_id text,
  at timestamptz,
  on_date date,
  status text NOT NULL CHECK (status IN ('booked', 'closed', 'cancelled', 'superseded')),
  planned_efforts integer NOT NULL CHECK (planned_efforts BETWEEN 0 AND 500),
  planned_height_cm integer,
  efforts integer CHECK (efforts BETWEEN 0 AND 500),
  height_cm integer,
  note text,
  recorded_by uuid NOT NULL,
  superseded_by uuid,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, horse_id) REFERENCES horse (barn_id, id),
  FOREIGN KEY (barn_id, rider_id) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, recorded_by) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, superseded_by) REFERENCES outing (barn_id, id),
  CHECK ((at IS NULL) <> (on_date IS NULL))
);
CREATE INDEX outing_horse ON outing (barn_id, horse_id);
CREATE INDEX outing_rider ON outing (barn_id, rider_id);
CREATE INDEX outing_recorded_by ON outing (barn_id, recorded_by);
CREATE INDEX outing_superseded_by ON outing (barn_id, superseded_by);
