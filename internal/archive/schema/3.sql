-- The desk: who may sign in, who is signed in, links for athletes, and who did what.

CREATE TABLE staff (
  id       INTEGER PRIMARY KEY,
  name     TEXT NOT NULL UNIQUE COLLATE NOCASE,
  role     TEXT NOT NULL CHECK (role IN ('coach', 'physio', 'admin')),
  password TEXT NOT NULL, -- argon2id, never the password
  made     TEXT NOT NULL
) STRICT;

-- Only hashes of tokens are kept, so that a copy of the archive opens no door.
CREATE TABLE login (
  token   TEXT PRIMARY KEY,
  staff   INTEGER NOT NULL REFERENCES staff ON DELETE CASCADE,
  csrf    TEXT NOT NULL,
  expires INTEGER NOT NULL -- Unix seconds
) STRICT, WITHOUT ROWID;

CREATE TABLE share (
  id      INTEGER PRIMARY KEY,
  token   TEXT NOT NULL UNIQUE,
  athlete INTEGER NOT NULL REFERENCES athlete ON DELETE CASCADE,
  by_whom TEXT NOT NULL,
  made    TEXT NOT NULL,
  expires INTEGER NOT NULL,
  revoked INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX share_athlete ON share (athlete);

-- What a person said of a finding, against the tool or where it could not tell; the newest
-- of an item and leg counts.
CREATE TABLE overrule (
  id      INTEGER PRIMARY KEY,
  trial   INTEGER NOT NULL REFERENCES trial ON DELETE CASCADE,
  item    TEXT NOT NULL,
  side    TEXT NOT NULL,
  finding TEXT NOT NULL CHECK (finding IN ('clear', 'error')),
  reason  TEXT NOT NULL,
  by_whom TEXT NOT NULL,
  made    TEXT NOT NULL
) STRICT;
CREATE INDEX overrule_trial ON overrule (trial, item, side, id);

-- Who looked a trial over and stands by it.
CREATE TABLE signed (
  trial   INTEGER PRIMARY KEY REFERENCES trial ON DELETE CASCADE,
  by_whom TEXT NOT NULL,
  made    TEXT NOT NULL
) STRICT;

-- Holds no name of an athlete: what they were called goes with them.
CREATE TABLE audit (
  id      INTEGER PRIMARY KEY,
  at      TEXT NOT NULL,
  who     TEXT NOT NULL, -- of the staff, or a share link by its number
  did     TEXT NOT NULL,
  athlete INTEGER REFERENCES athlete ON DELETE CASCADE
) STRICT;
CREATE INDEX audit_athlete ON audit (athlete);
