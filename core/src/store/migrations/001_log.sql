-- The logs, their leaves and hashes, and what events name by hash. This is the record: it is only ever added to.

-- One row a branch of a log. A log that was forked has two.
CREATE TABLE logs (
    id         INTEGER PRIMARY KEY,
    name       TEXT    NOT NULL,
    public     BLOB    NOT NULL,           -- Ed25519 public key, 32 bytes; the name is made from it
    own        INTEGER NOT NULL DEFAULT 0, -- 1: this phone writes it
    size       INTEGER NOT NULL DEFAULT 0, -- leaves
    lam        INTEGER NOT NULL DEFAULT 0, -- highest Lamport number in it
    head       BLOB                        -- newest signed head (C2SP checkpoint); null while empty
) STRICT;
CREATE UNIQUE INDEX logs_own ON logs (own) WHERE own = 1;
CREATE INDEX logs_name ON logs (name);

-- place = log id * 2^40 + number in the log, so that a log lies together and grows at its end.
CREATE TABLE leaves (
    place      INTEGER PRIMARY KEY,
    job        BLOB,                       -- 16 bytes, null for events about logs and for what cannot be read
    bytes      BLOB    NOT NULL            -- canonical event, as signed
) STRICT;
CREATE INDEX leaves_job ON leaves (job) WHERE job IS NOT NULL;

-- place = log id * 2^40 + place in the tree of RFC 6962, stored level by level as its nodes become complete.
CREATE TABLE hashes (
    place      INTEGER PRIMARY KEY,
    hash       BLOB    NOT NULL
) STRICT;

-- Every input that was answered by this phone. print = SHA-256(salt, canonical input): tells a repetition from a reuse.
CREATE TABLE inputs (
    input      BLOB    PRIMARY KEY,
    first      INTEGER NOT NULL,           -- number of its first event in this phone's log
    events     INTEGER NOT NULL,
    salt       BLOB    NOT NULL,
    print      BLOB    NOT NULL
) STRICT, WITHOUT ROWID;

-- What events name by hash. Small ones are kept here, photos as files.
CREATE TABLE blobs (
    id         INTEGER PRIMARY KEY,
    sha256     BLOB    NOT NULL UNIQUE,
    len        INTEGER NOT NULL,
    file       INTEGER NOT NULL,           -- 1: kept as a file (photos), 0: kept here
    state      TEXT    NOT NULL,           -- here, elsewhere, erased, lost
    bytes      BLOB                        -- null: a file, or not here
) STRICT;
CREATE INDEX blobs_away ON blobs (state) WHERE state <> 'here';

-- Small facts of the store itself: which tables across jobs are built, how far the full check came.
CREATE TABLE meta (
    key        TEXT    PRIMARY KEY,
    value      TEXT    NOT NULL
) STRICT, WITHOUT ROWID;
