DROP TABLE attempt;
DROP TABLE ride;
