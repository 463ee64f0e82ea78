-- Who noted that the pain an athlete told of, at sessions up to a day, is over.
CREATE TABLE pain_over (
  id      INTEGER PRIMARY KEY,
  athlete INTEGER NOT NULL REFERENCES athlete ON DELETE CASCADE,
  date    TEXT NOT NULL, -- YYYY-MM-DD
  by_whom TEXT NOT NULL,
  made    TEXT NOT NULL
) STRICT;
CREATE INDEX pain_over_athlete ON pain_over (athlete, date);
