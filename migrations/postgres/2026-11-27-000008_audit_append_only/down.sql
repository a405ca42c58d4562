DROP TRIGGER audit_append_only ON audit;
DROP TRIGGER audit_not_truncated ON audit;
DROP FUNCTION audit_refuse();
