DROP TRIGGER audit_no_replace;
DROP TRIGGER audit_no_delete;
DROP TRIGGER audit_no_update;
