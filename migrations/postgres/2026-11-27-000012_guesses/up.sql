-- Each wrong guess makes the next one wait longer: from when.
ALTER TABLE guess ADD COLUMN last timestamptz NOT NULL DEFAULT 'epoch';
-- Rail links that the account handed out before this open nothing.
ALTER TABLE account ADD COLUMN links_void_before timestamptz;
