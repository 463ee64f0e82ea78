-- What is to be worked on: noted with what asks for it, in one transaction, and taken off once it
-- is in a queue.
CREATE TABLE todo (
  id    INTEGER PRIMARY KEY,
  take  INTEGER REFERENCES take ON DELETE CASCADE,  -- to be scored
  trial INTEGER REFERENCES trial ON DELETE CASCADE, -- to be measured again
  CHECK ((take IS NULL) <> (trial IS NULL))
) STRICT;
CREATE INDEX todo_take ON todo (take);
CREATE INDEX todo_trial ON todo (trial);
