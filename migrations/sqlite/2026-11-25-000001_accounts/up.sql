-- Tables without a barn: accounts and their sign-ins, signing keys, answers to repeated requests.
CREATE TABLE account (
  id BLOB NOT NULL PRIMARY KEY,
  email TEXT NOT NULL,
  email_key TEXT NOT NULL UNIQUE,
  name TEXT NOT NULL,
  password_hash TEXT NOT NULL,
  disabled_at INTEGER,
  version INTEGER NOT NULL,
  created_at INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
-- guesses at passwords, of addresses without an account too, so that nobody can tell which have one
CREATE TABLE guess (
  email_digest TEXT NOT NULL PRIMARY KEY,
  guesses INTEGER NOT NULL CHECK (guesses >= 0),
  since INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX guess_since ON guess (since);
CREATE TABLE sign_in (
  account_id BLOB NOT NULL REFERENCES account (id),
  id BLOB NOT NULL,
  created_at INTEGER NOT NULL,
  ended_at INTEGER,
  PRIMARY KEY (account_id, id)
) STRICT, WITHOUT ROWID;
CREATE TABLE refresh_token (
  account_id BLOB NOT NULL,
  id BLOB NOT NULL,
  sign_in_id BLOB NOT NULL,
  secret_hash TEXT NOT NULL,
  expires_at INTEGER NOT NULL,
  used_at INTEGER,
  PRIMARY KEY (account_id, id),
  FOREIGN KEY (account_id, sign_in_id) REFERENCES sign_in (account_id, id)
) STRICT, WITHOUT ROWID;
CREATE INDEX refresh_token_sign_in ON refresh_token (account_id, sign_in_id);
CREATE TABLE signing_key (
  kid TEXT NOT NULL PRIMARY KEY,
  secret TEXT NOT NULL,
  created_at INTEGER NOT NULL,
  retires_at INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE account_answer (
  account_id BLOB NOT NULL,
  key TEXT NOT NULL,
  fingerprint TEXT NOT NULL,
  body TEXT NOT NULL,
  created_at INTEGER NOT NULL,
  PRIMARY KEY (account_id, key)
) STRICT, WITHOUT ROWID;
