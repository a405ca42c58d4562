-- SQLite has neither roles nor policies: there the barn in every key and foreign key is the wall.
SELECT 1;
