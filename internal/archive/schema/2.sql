-- Two raters: what a person saw in a trial, without knowing whose it is.

CREATE TABLE rating (
  trial     INTEGER NOT NULL REFERENCES trial ON DELETE CASCADE,
  rater     TEXT NOT NULL COLLATE NOCASE,
  checklist TEXT NOT NULL, -- its name
  item      TEXT NOT NULL,
  side      TEXT NOT NULL, -- left, right or both
  error     INTEGER,       -- 1 shown, 0 not shown; null: could not be seen
  made      TEXT NOT NULL,
  PRIMARY KEY (trial, rater, checklist, item, side)
) STRICT, WITHOUT ROWID;
