-- Where one jumps, with what, and which exercise. Revisions are never changed.
CREATE TABLE arena (
  barn_id uuid NOT NULL REFERENCES barn (barn_id),
  id uuid NOT NULL,
  name text NOT NULL,
  length_m double precision NOT NULL,
  width_m double precision NOT NULL,
  indoor boolean NOT NULL,
  footing text NOT NULL,
  lights boolean NOT NULL,
  letters text NOT NULL CHECK (letters IN ('none', '20x40', '20x60')),
  hours text NOT NULL,
  obstructions text NOT NULL,
  sessions_at_once integer NOT NULL CHECK (sessions_at_once BETWEEN 1 AND 10),
  removed_at timestamptz,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id)
);
CREATE TABLE fence_set (
  barn_id uuid NOT NULL REFERENCES barn (barn_id),
  id uuid NOT NULL,
  name text NOT NULL,
  items text NOT NULL,
  removed_at timestamptz,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id)
);
CREATE TABLE exercise (
  barn_id uuid NOT NULL REFERENCES barn (barn_id),
  id uuid NOT NULL,
  name text NOT NULL,
  purpose text NOT NULL,
  latest_revision integer NOT NULL,
  removed_at timestamptz,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id)
);
CREATE TABLE exercise_revision (
  barn_id uuid NOT NULL,
  exercise_id uuid NOT NULL,
  revision integer NOT NULL CHECK (revision >= 1),
  arena_id uuid,
  level text NOT NULL CHECK (level IN ('novice', 'usual', 'schooled')),
  layout text NOT NULL,
  efforts integer NOT NULL,
  pole_passes integer NOT NULL,
  height_cm integer NOT NULL,
  created_by uuid NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, exercise_id, revision),
  FOREIGN KEY (barn_id, exercise_id) REFERENCES exercise (barn_id, id),
  FOREIGN KEY (barn_id, arena_id) REFERENCES arena (barn_id, id),
  FOREIGN KEY (barn_id, created_by) REFERENCES person (barn_id, id)
);
CREATE INDEX exercise_revision_arena ON exercise_revision (barn_id, arena_id);
CREATE INDEX exercise_revision_created_by ON exercise_revision (barn_id, created_by);
