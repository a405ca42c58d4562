-- The tenant, the people it knows, and the ways in.
CREATE TABLE barn (
  barn_id uuid NOT NULL PRIMARY KEY,
  name text NOT NULL,
  time_zone text NOT NULL,
  units text NOT NULL CHECK (units IN ('metric', 'imperial')),
  labels text NOT NULL CHECK (labels IN ('british', 'american')),
  riders_confirm boolean NOT NULL,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL
);
CREATE TABLE person (
  barn_id uuid NOT NULL REFERENCES barn (barn_id),
  id uuid NOT NULL,
  account_id uuid REFERENCES account (id),
  name text NOT NULL,
  trainer boolean NOT NULL,
  rider boolean NOT NULL,
  owner boolean NOT NULL,
  birth_date date,
  minor boolean NOT NULL,
  step_m double precision,
  removed_at timestamptz,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id)
);
CREATE UNIQUE INDEX person_one_per_account ON person (barn_id, account_id) WHERE account_id IS NOT NULL AND removed_at IS NULL;
CREATE INDEX person_account ON person (account_id);
CREATE TABLE guardian (
  barn_id uuid NOT NULL,
  minor_id uuid NOT NULL,
  guardian_id uuid NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, minor_id, guardian_id),
  FOREIGN KEY (barn_id, minor_id) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, guardian_id) REFERENCES person (barn_id, id),
  CHECK (minor_id <> guardian_id)
);
CREATE INDEX guardian_guardian ON guardian (barn_id, guardian_id);
CREATE TABLE invitation (
  barn_id uuid NOT NULL REFERENCES barn (barn_id),
  id uuid NOT NULL,
  secret_hash text NOT NULL,
  name text NOT NULL,
  trainer boolean NOT NULL,
  rider boolean NOT NULL,
  owner boolean NOT NULL,
  person_id uuid,
  guardian_of uuid,
  expires_at timestamptz NOT NULL,
  accepted_at timestamptz,
  accepted_by uuid,
  revoked_at timestamptz,
  created_by uuid NOT NULL,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, person_id) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, guardian_of) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, accepted_by) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, created_by) REFERENCES person (barn_id, id)
);
CREATE INDEX invitation_person ON invitation (barn_id, person_id);
CREATE INDEX invitation_guardian_of ON invitation (barn_id, guardian_of);
CREATE INDEX invitation_accepted_by ON invitation (barn_id, accepted_by);
CREATE INDEX invitation_created_by ON invitation (barn_id, created_by);
CREATE TABLE barn_answer (
  barn_id uuid NOT NULL REFERENCES barn (barn_id),
  caller_id uuid NOT NULL,
  key text NOT NULL,
  fingerprint text NOT NULL,
  body text NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (barn_id, caller_id, key)
);
CREATE INDEX barn_answer_age ON barn_answer (barn_id, created_at);
CREATE TABLE audit (
  barn_id uuid NOT NULL REFERENCES barn (barn_id),
  seq bigint NOT NULL,
  at timestamptz NOT NULL,
  caller_id uuid NOT NULL,
  action text NOT NULL,
  resource text NOT NULL,
  resource_id text NOT NULL,
  status integer NOT NULL,
  digest text NOT NULL,
  previous text NOT NULL,
  hash text NOT NULL,
  PRIMARY KEY (barn_id, seq)
);
