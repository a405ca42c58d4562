DROP INDEX entry_horse_stands;
