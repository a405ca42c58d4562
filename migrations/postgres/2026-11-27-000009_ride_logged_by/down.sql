DROP INDEX ride_logged_by;
ALTER TABLE ride DROP CONSTRAINT ride_barn_id_logged_by_fkey;
