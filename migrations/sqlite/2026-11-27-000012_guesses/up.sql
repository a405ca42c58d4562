-- Each wrong guess makes the next one wait longer: from when.
ALTER TABLE guess ADD COLUMN last INTEGER NOT NULL DEFAULT 0;
-- Rail links that the account handed out before this open nothing.
ALTER TABLE account ADD COLUMN links_void_before INTEGER;
