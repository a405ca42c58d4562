-- The tenant, the people it knows, and the ways in.
CREATE TABLE barn (
  barn_id BLOB NOT NULL PRIMARY KEY,
  name TEXT NOT NULL,
  time_zone TEXT NOT NULL,
  units TEXT NOT NULL CHECK (units IN ('metric', 'imperial')),
  labels TEXT NOT NULL CHECK (labels IN ('british', 'american')),
  riders_confirm INTEGER NOT NULL,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE person (
  barn_id BLOB NOT NULL REFERENCES barn (barn_id),
  id BLOB NOT NULL,
  account_id BLOB REFERENCES account (id),
  name TEXT NOT NULL,
  trainer INTEGER NOT NULL,
  rider INTEGER NOT NULL,
  owner INTEGER NOT NULL,
  birth_date INTEGER,
  minor INTEGER NOT NULL,
  step_m REAL,
  removed_at INTEGER,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX person_one_per_account ON person (barn_id, account_id) WHERE account_id IS NOT NULL AND removed_at IS NULL;
CREATE INDEX person_account ON person (account_id);
CREATE TABLE guardian (
  barn_id BLOB NOT NULL,
  minor_id BLOB NOT NULL,
  guardian_id BLOB NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, minor_id, guardian_id),
  FOREIGN KEY (barn_id, minor_id) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, guardian_id) REFERENCES person (barn_id, id),
  CHECK (minor_id <> guardian_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX guardian_guardian ON guardian (barn_id, guardian_id);
CREATE TABLE invitation (
  barn_id BLOB NOT NULL REFERENCES barn (barn_id),
  id BLOB NOT NULL,
  secret_hash TEXT NOT NULL,
  name TEXT NOT NULL,
  trainer INTEGER NOT NULL,
  rider INTEGER NOT NULL,
  owner INTEGER NOT NULL,
  person_id BLOB,
  guardian_of BLOB,
  expires_at INTEGER NOT NULL,
  accepted_at INTEGER,
  accepted_by BLOB,
  revoked_at INTEGER,
  created_by BLOB NOT NULL,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, id),
  FOREIGN KEY (barn_id, person_id) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, guardian_of) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, accepted_by) REFERENCES person (barn_id, id),
  FOREIGN KEY (barn_id, created_by) REFERENCES person (barn_id, id)
) STRICT, WITHOUT ROWID;
CREATE INDEX invitation_person ON invitation (barn_id, person_id);
CREATE INDEX invitation_guardian_of ON invitation (barn_id, guardian_of);
CREATE INDEX invitation_accepted_by ON invitation (barn_id, accepted_by);
CREATE INDEX invitation_created_by ON invitation (barn_id, created_by);
CREATE TABLE barn_answer (
  barn_id BLOB NOT NULL REFERENCES barn (barn_id),
  caller_id BLOB NOT NULL,
  key TEXT NOT NULL,
  fingerprint TEXT NOT NULL,
  body TEXT NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (barn_id, caller_id, key)
) STRICT, WITHOUT ROWID;
CREATE INDEX barn_answer_age ON barn_answer (barn_id, created_at);
CREATE TABLE audit (
  barn_id BLOB NOT NULL REFERENCES barn (barn_id),
  seq INTEGER NOT NULL,
  at INTEGER NOT NULL,
  caller_id BLOB NOT NULL,
  action TEXT NOT NULL,
  resource TEXT NOT NULL,
  resource_id TEXT NOT NULL,
  status INTEGER NOT NULL,
  digest TEXT NOT NULL,
  previous TEXT NOT NULL,
  hash TEXT NOT NULL,
  PRIMARY KEY (barn_id, seq)
) STRICT, WITHOUT ROWID;
