-- Who logged a ride is a person of the same barn: the key that says so was forgotten.
ALTER TABLE ride ADD CONSTRAINT ride_barn_id_logged_by_fkey FOREIGN KEY (barn_id, logged_by) REFERENCES person (barn_id, id);
CREATE INDEX ride_logged_by ON ride (barn_id, logged_by);
