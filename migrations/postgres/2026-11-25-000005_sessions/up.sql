-- Arena time, who and what is in it, and what that occupies.
CREATE TABLE session (
  barn_id uuid NOT NULL REFERENCES barn (barn_id),
  id uuid NOT NULL,
  kind text NOT NULL CHECK (kind IN ('jumping', 'flat', 'appointment')),
  title text NOT NULL,
  arena_id uuid,
  trainer_id uuid,
  fence_set_id uuid,
  exercise_id uuid,
  revision integer,
  adult_id uuid,
  starts_at timestamptz NOT NULL,
  ends_at timestamptz NOT NULL,
  places integer NOT NULL CHECK (places BETWEEN 0 AND 12),
  status text NOT NULL CHECK (status IN ('requested', 'declined', 'booked', 'open', 'closed', 'cancelled')),
  note text,
  created_by uuid NOT NULL,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, arena_id) REFERENCES arena (barn_id, id),
  FOREIGN KEY (barn_id, trainer_id) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, fence_set_id) REFERENCES fence_set (barn_id, id),
  FOREIGN KEY (barn_id, exercise_id, revision) REFERENCES exercise_revision (barn_id, exercise_id, revision),
  FOREIGN KEY (barn_id, adult_id) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, created_by) REFERENCES person (barn_id, id),
  CHECK (ends_at > starts_at),
  CHECK ((exercise_id IS NULL) = (revision IS NULL))
);
CREATE INDEX session_when ON session (barn_id, starts_at, id);
CREATE INDEX session_arena ON session (barn_id, arena_id);
CREATE INDEX session_trainer ON session (barn_id, trainer_id);
CREATE INDEX session_fence_set ON session (barn_id, fence_set_id);
CREATE INDEX session_exercise ON session (barn_id, exercise_id, revision);
CREATE INDEX session_adult ON session (barn_id, adult_id);
CREATE INDEX session_created_by ON session (barn_id, created_by);
CREATE TABLE entry (
  barn_id uuid NOT NULL,
  id uuid NOT NULL,
  session_id uuid NOT NULL,
  horse_id uuid,
  rider_id uuid,
  status text NOT NULL CHECK (status IN ('requested', 'declined', 'cancelled', 'booked', 'open', 'unresolved', 'closed')),
  planned_efforts integer NOT NULL CHECK (planned_efforts BETWEEN 0 AND 500),
  planned_height_cm integer CHECK (planned_height_cm BETWEEN 0 AND 250),
  planned_pole_passes integer NOT NULL CHECK (planned_pole_passes BETWEEN 0 AND 500),
  asks text NOT NULL,
  reason text,
  override_reason text,
  overridden text,
  flags text,
  closing text CHECK (closing IN ('not_jumped', 'as_planned', 'efforts')),
  requested_by uuid NOT NULL,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, session_id) REFERENCES session (barn_id, id),
  FOREIGN KEY (barn_id, horse_id) REFERENCES horse (barn_id, id),
  FOREIGN KEY (barn_id, rider_id) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, requested_by) REFERENCES person (barn_id, id)
);
CREATE INDEX entry_session ON entry (barn_id, session_id);
CREATE INDEX entry_horse ON entry (barn_id, horse_id);
CREATE INDEX entry_rider ON entry (barn_id, rider_id);
CREATE INDEX entry_requested_by ON entry (barn_id, requested_by);
CREATE TABLE rail_link (
  barn_id uuid NOT NULL,
  id uuid NOT NULL,
  session_id uuid NOT NULL,
  label text NOT NULL,
  secret_hash text NOT NULL,
  expires_at timestamptz NOT NULL,
  revoked_at timestamptz,
  created_by uuid NOT NULL,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, session_id) REFERENCES session (barn_id, id),
  FOREIGN KEY (barn_id, created_by) REFERENCES person (barn_id, id)
);
CREATE INDEX rail_link_session ON rail_link (barn_id, session_id);
CREATE INDEX rail_link_created_by ON rail_link (barn_id, created_by);
CREATE EXTENSION IF NOT EXISTS btree_gist;
CREATE TABLE occupancy (
  barn_id uuid NOT NULL,
  session_id uuid NOT NULL,
  kind text NOT NULL CHECK (kind IN ('arena', 'horse', 'person', 'fence_set')),
  resource_id uuid NOT NULL,
  place integer NOT NULL CHECK (place BETWEEN 0 AND 9),
  starts_at timestamptz NOT NULL,
  ends_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, session_id, kind, resource_id),
  FOREIGN KEY (barn_id, session_id) REFERENCES session (barn_id, id),
  CHECK (ends_at > starts_at),
  CONSTRAINT occupancy_no_overlap EXCLUDE USING gist (barn_id WITH =, kind WITH =, resource_id WITH =, place WITH =, tstzrange(starts_at, ends_at) WITH &&)
);
