-- The second wall: the service works under a role that owns nothing, and sees the rows of one barn at a time.
-- Whose, is said at the beginning of each transaction (stridewright.barn, .account, .email). A new table needs
-- the same four: enabled, forced, `whole` to the owner, and a policy of its own with just the rights it needs.
DO $$
BEGIN
  -- roles belong to the cluster: another database's migration may be making it at the same moment
  IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'stridewright_service') THEN
    BEGIN
      CREATE ROLE stridewright_service NOLOGIN NOINHERIT NOSUPERUSER NOCREATEDB NOCREATEROLE NOBYPASSRLS;
    EXCEPTION
      WHEN duplicate_object OR unique_violation THEN NULL;
      WHEN insufficient_privilege THEN
        RAISE EXCEPTION 'the role stridewright_service is missing, and % may not make it; let an administrator run: CREATE ROLE stridewright_service NOLOGIN; GRANT stridewright_service TO %; and then migrate again',
          quote_ident(current_user), quote_ident(current_user);
    END;
  END IF;
END
$$;
DO $$
BEGIN
  -- tried rather than looked up: from PostgreSQL 16 on one may be a member and yet not become it
  BEGIN
    SET LOCAL ROLE stridewright_service;
    RESET ROLE;
  EXCEPTION WHEN insufficient_privilege THEN
    BEGIN
      EXECUTE format('GRANT stridewright_service TO %I', current_user);
    EXCEPTION
      WHEN unique_violation THEN NULL;
      WHEN insufficient_privilege THEN
        RAISE EXCEPTION '% may not act as the role stridewright_service; let an administrator run: GRANT stridewright_service TO %; and then migrate again',
          quote_ident(current_user), quote_ident(current_user);
    END;
  END;
  IF NOT has_schema_privilege('stridewright_service', current_schema(), 'USAGE') THEN
    EXECUTE format('GRANT USAGE ON SCHEMA %I TO stridewright_service', current_schema());
  END IF;
END
$$;
DO $$
DECLARE
  barn constant text := 'nullif(current_setting(''stridewright.barn'', true), '''')::uuid';
  t text;
  rights text;
BEGIN
  FOR t, rights IN VALUES
    ('account', 'SELECT, INSERT, UPDATE'), ('guess', 'SELECT, INSERT, UPDATE, DELETE'),
    ('sign_in', 'SELECT, INSERT, UPDATE'), ('refresh_token', 'SELECT, INSERT, UPDATE, DELETE'),
    ('signing_key', 'SELECT, INSERT'), ('account_answer', 'SELECT, INSERT, DELETE'),
    ('barn', 'SELECT, INSERT, UPDATE'), ('person', 'SELECT, INSERT, UPDATE'),
    ('guardian', 'SELECT, INSERT, DELETE'), ('invitation', 'SELECT, INSERT, UPDATE'),
    ('barn_answer', 'SELECT, INSERT, DELETE'), ('audit', 'SELECT, INSERT'),
    ('horse', 'SELECT, INSERT, UPDATE'), ('normal_stride', 'SELECT, INSERT, UPDATE'),
    ('ownership', 'SELECT, INSERT, UPDATE'), ('pairing', 'SELECT, INSERT, UPDATE'),
    ('workload_limit', 'SELECT, INSERT, UPDATE'), ('stand_down', 'SELECT, INSERT, UPDATE'),
    ('outing', 'SELECT, INSERT, UPDATE'), ('arena', 'SELECT, INSERT, UPDATE'),
    ('fence_set', 'SELECT, INSERT, UPDATE'), ('exercise', 'SELECT, INSERT, UPDATE'),
    ('exercise_revision', 'SELECT, INSERT'), ('session', 'SELECT, INSERT, UPDATE'),
    ('entry', 'SELECT, INSERT, UPDATE'), ('rail_link', 'SELECT, INSERT, UPDATE'),
    ('occupancy', 'SELECT, INSERT, DELETE'), ('ride', 'SELECT, INSERT, UPDATE'), ('attempt', 'SELECT, INSERT')
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY whole ON %I TO CURRENT_USER USING (true) WITH CHECK (true)', t);
    EXECUTE format('GRANT %s ON %I TO stridewright_service', rights, t);
    IF EXISTS (SELECT FROM pg_attribute WHERE attrelid = t::regclass AND attname = 'barn_id') THEN
      EXECUTE format('CREATE POLICY of_barn ON %I TO stridewright_service USING (barn_id = %s) WITH CHECK (barn_id = %s)', t, barn, barn);
    END IF;
  END LOOP;
END
$$;

-- a membership is also read by its account, and with it the barn
CREATE POLICY own_membership ON person FOR SELECT TO stridewright_service
  USING (account_id = nullif(current_setting('stridewright.account', true), '')::uuid);
CREATE POLICY of_member ON barn FOR SELECT TO stridewright_service
  USING (EXISTS (SELECT FROM person p WHERE p.barn_id = barn.barn_id
    AND p.account_id = nullif(current_setting('stridewright.account', true), '')::uuid));

-- what is an account's
CREATE POLICY own ON account TO stridewright_service
  USING (id = nullif(current_setting('stridewright.account', true), '')::uuid)
  WITH CHECK (id = nullif(current_setting('stridewright.account', true), '')::uuid);
CREATE POLICY own ON sign_in TO stridewright_service
  USING (account_id = nullif(current_setting('stridewright.account', true), '')::uuid)
  WITH CHECK (account_id = nullif(current_setting('stridewright.account', true), '')::uuid);
CREATE POLICY own ON refresh_token TO stridewright_service
  USING (account_id = nullif(current_setting('stridewright.account', true), '')::uuid)
  WITH CHECK (account_id = nullif(current_setting('stridewright.account', true), '')::uuid);
CREATE POLICY own ON account_answer TO stridewright_service
  USING (account_id = nullif(current_setting('stridewright.account', true), '')::uuid)
  WITH CHECK (account_id = nullif(current_setting('stridewright.account', true), '')::uuid);

-- whoever signs in or up names an address before they are known: the one account of that address, by its digest
CREATE POLICY by_address ON account FOR SELECT TO stridewright_service
  USING (encode(sha256(convert_to(email_key, 'UTF8')), 'hex') = nullif(current_setting('stridewright.email', true), ''));
-- a barn keeps a trainer who can sign in, so it asks whose account is disabled
CREATE POLICY of_member ON account FOR SELECT TO stridewright_service
  USING (EXISTS (SELECT FROM person p WHERE p.account_id = account.id
    AND p.barn_id = nullif(current_setting('stridewright.barn', true), '')::uuid));
-- counts by the digest of an address; those whose time is over are let go together, whoever they are of
CREATE POLICY anybody ON guess TO stridewright_service USING (true) WITH CHECK (true);
-- a token is proved before anybody is known
CREATE POLICY anybody ON signing_key TO stridewright_service USING (true) WITH CHECK (true);
