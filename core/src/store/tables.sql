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

-- Layers on sections: which cars had a lot, which sections are open. No person's name: see `work.rs`.
CREATE TABLE layers (
    job        BLOB    NOT NULL,
    begun      BLOB    NOT NULL,           -- the entry that began it
    lot_key    TEXT,                       -- as `identity_key` gives it
    lot        TEXT,                       -- as it was typed
    product    TEXT    NOT NULL,
    panel      TEXT    NOT NULL,
    part       INTEGER,
    layer      INTEGER NOT NULL,
    begun_at   INTEGER NOT NULL,           -- UTC milliseconds
    off_min    INTEGER NOT NULL,
    levelled   INTEGER NOT NULL,           -- 0: it waits
    state      TEXT    NOT NULL,           -- how it was levelled, to read
    conditions TEXT    NOT NULL,           -- that held for it, to read
    notes      TEXT    NOT NULL,           -- what lay outside the sheet's limits, a line each
    PRIMARY KEY (job, begun)
) STRICT, WITHOUT ROWID;
CREATE INDEX layers_lot ON layers (lot_key, begun_at) WHERE lot_key IS NOT NULL;
CREATE INDEX layers_open ON layers (job) WHERE levelled = 0;

-- The user's own product sheets.
CREATE TABLE sheets (
    job        BLOB    NOT NULL,
    entry      BLOB    NOT NULL,
    name       TEXT    NOT NULL,
    version    INTEGER NOT NULL,
    kind       TEXT    NOT NULL,
    at         INTEGER NOT NULL,           -- UTC milliseconds
    input      TEXT    NOT NULL,           -- what puts it on record in another job
    PRIMARY KEY (job, entry)
) STRICT, WITHOUT ROWID;
CREATE INDEX sheets_name ON sheets (name, version DESC, at DESC);
