-- What a record needs beside the ledger's tables: the calls that write it are in functions.sql.

-- +goose Up

-- Counts what changes the catalogue or the plan, so that a program may keep both in
-- memory between records and know when to read them again.
CREATE TABLE plan_version (
    only_row boolean PRIMARY KEY DEFAULT true CHECK (only_row),
    version  bigint NOT NULL DEFAULT 1
);
INSERT INTO plan_version DEFAULT VALUES;

CREATE INDEX job_assembly ON job (assembly, service);
