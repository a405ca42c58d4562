DROP TABLE audit;
DROP TABLE barn_answer;
DROP TABLE invitation;
DROP TABLE guardian;
DROP TABLE person;
DROP TABLE barn;
