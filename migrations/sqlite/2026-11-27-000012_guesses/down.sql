ALTER TABLE account DROP COLUMN links_void_before;
ALTER TABLE guess DROP COLUMN last;
