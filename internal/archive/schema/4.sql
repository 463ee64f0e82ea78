-- Filming at the desk: what was uploaded and what became of it, and points that people
-- placed.

-- One landing as it was filmed, from one phone or two.
CREATE TABLE take (
  id      INTEGER PRIMARY KEY,
  key     TEXT NOT NULL UNIQUE, -- made by the phone, so that an upload sent twice is one
  session INTEGER NOT NULL REFERENCES session ON DELETE CASCADE,
  athlete INTEGER NOT NULL REFERENCES athlete ON DELETE CASCADE,
  task    TEXT NOT NULL,
  limb    TEXT NOT NULL,
  wants   TEXT NOT NULL CHECK (wants IN ('front', 'side', 'both')), -- the views it is filmed in
  options TEXT NOT NULL,        -- box, slow motion, mirror: JSON
  state   TEXT NOT NULL CHECK (state IN ('uploading', 'uploaded', 'checking', 'placing', 'scored', 'look', 'refused')),
  why     TEXT NOT NULL DEFAULT '', -- a look is needed, or it was refused
  by_whom TEXT NOT NULL,
  made    TEXT NOT NULL
) STRICT;
CREATE INDEX take_session ON take (session, id);
CREATE INDEX take_athlete ON take (athlete);

-- Its clips in incoming/, until they are scored.
CREATE TABLE take_file (
  take  INTEGER NOT NULL REFERENCES take ON DELETE CASCADE,
  view  TEXT NOT NULL CHECK (view IN ('front', 'side')),
  file  TEXT NOT NULL UNIQUE,
  whole INTEGER NOT NULL DEFAULT 0, -- 1: all of it has come
  PRIMARY KEY (take, view)
) STRICT, WITHOUT ROWID;

-- The trials it gave.
CREATE TABLE take_trial (
  trial INTEGER PRIMARY KEY REFERENCES trial ON DELETE CASCADE,
  take  INTEGER NOT NULL REFERENCES take ON DELETE CASCADE
) STRICT;
CREATE INDEX take_trial_take ON take_trial (take);

-- A point that a person placed on a frame, in pixels of the clip as it is.
CREATE TABLE placement (
  trial    INTEGER NOT NULL REFERENCES trial ON DELETE CASCADE,
  view     TEXT NOT NULL,
  frame    INTEGER NOT NULL,
  landmark TEXT NOT NULL,
  x        REAL NOT NULL,
  y        REAL NOT NULL,
  by_whom  TEXT NOT NULL,
  made     TEXT NOT NULL,
  PRIMARY KEY (trial, view, frame, landmark)
) STRICT, WITHOUT ROWID;

-- Trials that are to be measured again with those points, or could not be.
CREATE TABLE again (
  trial INTEGER PRIMARY KEY REFERENCES trial ON DELETE CASCADE,
  state TEXT NOT NULL CHECK (state IN ('waiting', 'placing', 'failed')),
  why   TEXT NOT NULL DEFAULT ''
) STRICT;
