DROP TABLE occupancy;
DROP TABLE rail_link;
DROP TABLE entry;
DROP TABLE session;
