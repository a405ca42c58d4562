-- Tables without a barn: accounts and their sign-ins, signing keys, answers to repeated requests.
CREATE TABLE account (
  id uuid NOT NULL PRIMARY KEY,
  email text NOT NULL,
  email_key text NOT NULL UNIQUE,
  name text NOT NULL,
  password_hash text NOT NULL,
  disabled_at timestamptz,
  version bigint NOT NULL,
  created_at timestamptz NOT NULL
);
-- guesses at passwords, of addresses without an account too, so that nobody can tell which have one
CREATE TABLE guess (
  email_digest text NOT NULL PRIMARY KEY,
  guesses integer NOT NULL CHECK (guesses >= 0),
  since timestamptz NOT NULL
);
CREATE INDEX guess_since ON guess (since);
CREATE TABLE sign_in (
  account_id uuid NOT NULL REFERENCES account (id),
  id uuid NOT NULL,
  created_at timestamptz NOT NULL,
  ended_at timestamptz,
  PRIMARY KEY (account_id, id)
);
CREATE TABLE refresh_token (
  account_id uuid NOT NULL,
  id uuid NOT NULL,
  sign_in_id uuid NOT NULL,
  secret_hash text NOT NULL,
  expires_at timestamptz NOT NULL,
  used_at timestamptz,
  PRIMARY KEY (account_id, id),
  FOREIGN KEY (account_id, sign_in_id) REFERENCES sign_in (account_id, id)
);
CREATE INDEX refresh_token_sign_in ON refresh_token (account_id, sign_in_id);
CREATE TABLE signing_key (
  kid text NOT NULL PRIMARY KEY,
  secret text NOT NULL,
  created_at timestamptz NOT NULL,
  retires_at timestamptz NOT NULL
);
CREATE TABLE account_answer (
  account_id uuid NOT NULL,
  key text NOT NULL,
  fingerprint text NOT NULL,
  body text NOT NULL,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (account_id, key)
);
