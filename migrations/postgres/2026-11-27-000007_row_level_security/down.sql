-- The role stays: it belongs to the cluster, and other databases of it may use it.
DO $$
DECLARE
  p record;
  t text;
BEGIN
  FOR p IN SELECT tablename, policyname FROM pg_policies WHERE schemaname = current_schema() LOOP
    EXECUTE format('DROP POLICY %I ON %I', p.policyname, p.tablename);
  END LOOP;
  FOR t IN SELECT relname FROM pg_class WHERE relnamespace = current_schema()::regnamespace AND relrowsecurity LOOP
    EXECUTE format('ALTER TABLE %I NO FORCE ROW LEVEL SECURITY, DISABLE ROW LEVEL SECURITY', t);
    EXECUTE format('REVOKE ALL ON %I FROM stridewright_service', t);
  END LOOP;
END
$$;
