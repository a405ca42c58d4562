DROP TABLE exercise_revision;
DROP TABLE exercise;
DROP TABLE fence_set;
DROP TABLE arena;
