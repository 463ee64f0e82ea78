-- A squad's archive. Times are UTC as text, dates are YYYY-MM-DD.

CREATE TABLE squad (
  name     TEXT NOT NULL,
  invented INTEGER NOT NULL DEFAULT 0,
  made     TEXT NOT NULL
) STRICT;

CREATE TABLE athlete (
  id         INTEGER PRIMARY KEY,
  code       TEXT NOT NULL UNIQUE COLLATE NOCASE,
  name       TEXT NOT NULL DEFAULT '',
  sex        TEXT NOT NULL DEFAULT '' CHECK (sex IN ('', 'female', 'male', 'other')),
  birth_year INTEGER NOT NULL DEFAULT 0,
  leg        TEXT NOT NULL DEFAULT '' CHECK (leg IN ('', 'left', 'right')), -- the dominant one
  height_cm  REAL NOT NULL DEFAULT 0,
  mass_kg    REAL NOT NULL DEFAULT 0,
  notes      TEXT NOT NULL DEFAULT '',
  made       TEXT NOT NULL
) STRICT;

-- The newest row of an athlete counts.
CREATE TABLE consent (
  id      INTEGER PRIMARY KEY,
  athlete INTEGER NOT NULL REFERENCES athlete ON DELETE CASCADE,
  given   INTEGER NOT NULL, -- 1 given, 0 withdrawn
  date    TEXT NOT NULL,
  by_whom TEXT NOT NULL     -- the athlete, or a minor's guardian
) STRICT;
CREATE INDEX consent_athlete ON consent (athlete, id);

CREATE TABLE session (
  id    INTEGER PRIMARY KEY,
  date  TEXT NOT NULL,
  title TEXT NOT NULL DEFAULT '',
  UNIQUE (date, title)
) STRICT;

CREATE TABLE attendance (
  session INTEGER NOT NULL REFERENCES session ON DELETE CASCADE,
  athlete INTEGER NOT NULL REFERENCES athlete ON DELETE CASCADE,
  pain    INTEGER,                  -- 0 to 10 as told when asked; null: not asked
  absent  TEXT NOT NULL DEFAULT '', -- why, when not there
  PRIMARY KEY (session, athlete)
) STRICT, WITHOUT ROWID;
CREATE INDEX attendance_athlete ON attendance (athlete);

CREATE TABLE trial (
  id      INTEGER PRIMARY KEY,
  blind   TEXT NOT NULL UNIQUE, -- what raters know it by
  session INTEGER NOT NULL REFERENCES session ON DELETE CASCADE,
  athlete INTEGER NOT NULL REFERENCES athlete ON DELETE CASCADE,
  task    TEXT NOT NULL,
  limb    TEXT NOT NULL,        -- left, right, or both
  number  INTEGER NOT NULL,
  landing INTEGER NOT NULL DEFAULT 1, -- of the clips, where they hold several
  made    TEXT NOT NULL,
  UNIQUE (athlete, session, task, limb, number, landing)
) STRICT;
CREATE INDEX trial_session ON trial (session);
CREATE INDEX trial_task ON trial (athlete, task, session);

-- One view of a trial. Everything that a new measuring needs.
CREATE TABLE view (
  trial   INTEGER NOT NULL REFERENCES trial ON DELETE CASCADE,
  view    TEXT NOT NULL,
  hash    TEXT NOT NULL,           -- of the file that came in, SHA-256
  clip    TEXT NOT NULL DEFAULT '', -- its copy in clips/; empty where none is kept
  points  TEXT NOT NULL,           -- how they were placed
  width   INTEGER NOT NULL,
  height  INTEGER NOT NULL,
  options TEXT NOT NULL,           -- of the measuring, JSON
  track   BLOB NOT NULL,           -- CSV, gzip
  PRIMARY KEY (trial, view)
) STRICT;
CREATE INDEX view_hash ON view (hash);
CREATE INDEX view_clip ON view (clip);

CREATE TABLE picture (
  trial   INTEGER NOT NULL REFERENCES trial ON DELETE CASCADE,
  view    TEXT NOT NULL,
  moment  TEXT NOT NULL,
  frame   INTEGER NOT NULL,
  time_s  REAL NOT NULL,
  caption TEXT NOT NULL,
  file    TEXT NOT NULL, -- in pictures/
  PRIMARY KEY (trial, view, moment)
) STRICT;

-- A trial measured by one version of the tool; the newest counts, older ones stay.
CREATE TABLE measurement (
  id      INTEGER PRIMARY KEY,
  trial   INTEGER NOT NULL REFERENCES trial ON DELETE CASCADE,
  made    TEXT NOT NULL,
  tool    TEXT NOT NULL,
  jump    TEXT NOT NULL DEFAULT '', -- whether it was done as asked: a finding, or empty
  missing TEXT NOT NULL, -- what could not be measured, JSON
  detail  BLOB NOT NULL, -- the rest of the result but the score: JSON, gzip
  draws   BLOB NOT NULL  -- of the measures, in their order
) STRICT;
CREATE INDEX measurement_trial ON measurement (trial, id);

CREATE TABLE measure (
  measurement INTEGER NOT NULL REFERENCES measurement ON DELETE CASCADE,
  place       INTEGER NOT NULL, -- in the result
  name        TEXT NOT NULL,
  side        TEXT NOT NULL,
  view        TEXT NOT NULL,
  value       REAL NOT NULL,
  sd          REAL NOT NULL,
  unit        TEXT NOT NULL,
  frame       INTEGER NOT NULL,
  time_s      REAL NOT NULL,
  at_least    INTEGER NOT NULL,
  PRIMARY KEY (measurement, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE checklist (
  id   INTEGER PRIMARY KEY,
  hash TEXT NOT NULL UNIQUE, -- SHA-256 of the body
  name TEXT NOT NULL,
  body TEXT NOT NULL         -- JSON
) STRICT;

-- A measurement scored by one checklist; all stay.
CREATE TABLE score (
  id          INTEGER PRIMARY KEY,
  measurement INTEGER NOT NULL REFERENCES measurement ON DELETE CASCADE,
  checklist   INTEGER NOT NULL REFERENCES checklist,
  made        TEXT NOT NULL,
  tool        TEXT NOT NULL,
  errors      INTEGER NOT NULL,
  expected    REAL NOT NULL,
  low         INTEGER NOT NULL,
  high        INTEGER NOT NULL,
  most        INTEGER NOT NULL
) STRICT;
CREATE INDEX score_measurement ON score (measurement, checklist, id);
CREATE INDEX score_checklist ON score (checklist);

CREATE TABLE finding (
  score       INTEGER NOT NULL REFERENCES score ON DELETE CASCADE,
  place       INTEGER NOT NULL, -- in the score
  item        TEXT NOT NULL,
  side        TEXT NOT NULL,
  finding     TEXT NOT NULL,
  points      INTEGER NOT NULL,
  probability REAL,
  value       REAL,
  sd          REAL,
  view        TEXT NOT NULL,
  frame       INTEGER,
  time_s      REAL,
  why         TEXT NOT NULL,
  PRIMARY KEY (score, place)
) STRICT, WITHOUT ROWID;

-- What a person decided about a step of the ladder; the newest of an athlete counts.
CREATE TABLE decision (
  id      INTEGER PRIMARY KEY,
  athlete INTEGER NOT NULL REFERENCES athlete ON DELETE CASCADE,
  step    TEXT NOT NULL, -- the step the athlete works on from now; empty: all are done
  told    TEXT NOT NULL, -- what the rules said of the step before
  reason  TEXT NOT NULL,
  by_whom TEXT NOT NULL,
  made    TEXT NOT NULL
) STRICT;
CREATE INDEX decision_athlete ON decision (athlete, id);

CREATE TABLE backup (
  id   INTEGER PRIMARY KEY,
  file TEXT NOT NULL,
  made TEXT NOT NULL
) STRICT;

-- Who is in which backup.
CREATE TABLE backup_athlete (
  backup  INTEGER NOT NULL REFERENCES backup ON DELETE CASCADE,
  athlete INTEGER NOT NULL REFERENCES athlete ON DELETE CASCADE,
  PRIMARY KEY (backup, athlete)
) STRICT, WITHOUT ROWID;
CREATE INDEX backup_athlete_athlete ON backup_athlete (athlete);

-- What is still to be wiped after a deletion: files, and the free pages when empty.
CREATE TABLE wipe (
  file TEXT PRIMARY KEY
) STRICT;
