DROP TABLE outing;
DROP TABLE stand_down;
DROP TABLE workload_limit;
DROP TABLE pairing;
DROP TABLE ownership;
DROP TABLE normal_stride;
DROP TABLE horse;
