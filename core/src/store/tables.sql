-- Tables for questions across jobs. They say nothing that the log does not say, and can be dropped and built again.
CREATE TABLE jobs (
    job        BLOB    PRIMARY KEY,
    opened_at  INTEGER NOT NULL,           -- UTC milliseconds
    off_min    INTEGER NOT NULL,
    last_at    INTEGER NOT NULL,
    form       TEXT    NOT NULL,
    plate      TEXT,
    vin        TEXT,
    stock      TEXT,
    plate_key  TEXT,                       -- as `identity_key` gives it: what is read alike is equal
    vin_key    TEXT,
    stock_key  TEXT,
    stage      TEXT,                       -- of the latest walk-around
    marks      INTEGER NOT NULL,
    photos     INTEGER NOT NULL,
    phones     INTEGER NOT NULL,           -- logs with events on it
    closed     INTEGER NOT NULL,
    answer     TEXT,                       -- where the owner's answer stands
    voided     INTEGER NOT NULL,           -- 1: opened by mistake
    disputed   INTEGER NOT NULL            -- 1: a dispute is open
) STRICT, WITHOUT ROWID;
CREATE INDEX jobs_opened ON jobs (opened_at DESC, job);
CREATE INDEX jobs_plate ON jobs (plate_key) WHERE plate_key IS NOT NULL;
CREATE INDEX jobs_vin ON jobs (vin_key) WHERE vin_key IS NOT NULL;
CREATE INDEX jobs_stock ON jobs (stock_key) WHERE stock_key IS NOT NULL;

-- One row an event with typed text; rowid = its place among the leaves.
CREATE TABLE word_jobs (
    place      INTEGER PRIMARY KEY,
    job        BLOB    NOT NULL
) STRICT;
CREATE VIRTUAL TABLE words USING fts5 (
    text, content = '', contentless_delete = 1, tokenize = "unicode61 remove_diacritics 2"
);
INSERT INTO words (words, rank) VALUES ('secure-delete', 1);
