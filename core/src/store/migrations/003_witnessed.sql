-- Co-signatures of heads: by this phone of the logs that it took in, and by others, as they came along. Only added to.
-- Beside the logs and not in their rows: a head that its log does not hold any more is what a co-signature is kept for.
CREATE TABLE witnessed (
    log        TEXT    NOT NULL,           -- whose head
    witness    TEXT    NOT NULL,           -- name of the log with whose key it was co-signed
    size       INTEGER NOT NULL,           -- leaves under that head
    note       BLOB    NOT NULL,           -- C2SP signed note: the log's own signature and the witness's, no other line
    PRIMARY KEY (log, witness, size, note)
) STRICT, WITHOUT ROWID;
