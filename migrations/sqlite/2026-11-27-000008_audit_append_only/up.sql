-- The audit log only grows.
CREATE TRIGGER audit_no_update BEFORE UPDATE ON audit
BEGIN
  SELECT RAISE(ABORT, 'the audit log is append-only: UPDATE is refused');
END;
CREATE TRIGGER audit_no_delete BEFORE DELETE ON audit
BEGIN
  SELECT RAISE(ABORT, 'the audit log is append-only: DELETE is refused');
END;
-- REPLACE deletes without asking the trigger above
CREATE TRIGGER audit_no_replace BEFORE INSERT ON audit
WHEN EXISTS (SELECT 1 FROM audit WHERE barn_id = NEW.barn_id AND seq = NEW.seq)
BEGIN
  SELECT RAISE(ABORT, 'the audit log is append-only: REPLACE is refused');
END;
