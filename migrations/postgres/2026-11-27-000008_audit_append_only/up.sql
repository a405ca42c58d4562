-- The audit log only grows, whoever asks: the owner's statements are refused too.
CREATE FUNCTION audit_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'the audit log is append-only: % is refused', TG_OP USING ERRCODE = 'insufficient_privilege';
END
$$;
CREATE TRIGGER audit_append_only BEFORE UPDATE OR DELETE ON audit FOR EACH ROW EXECUTE FUNCTION audit_refuse();
CREATE TRIGGER audit_not_truncated BEFORE TRUNCATE ON audit FOR EACH STATEMENT EXECUTE FUNCTION audit_refuse();
-- also where a session says that it replays what happened elsewhere
ALTER TABLE audit ENABLE ALWAYS TRIGGER audit_append_only, ENABLE ALWAYS TRIGGER audit_not_truncated;
