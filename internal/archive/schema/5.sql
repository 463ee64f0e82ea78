-- What tells that the database and the files beside it belong together: the same stands in
-- squad.mark, which no copy of an older database brings along.
CREATE TABLE mark (
  name  TEXT NOT NULL,   -- random
  files INTEGER NOT NULL -- how often files were added
) STRICT;
INSERT INTO mark VALUES (lower(hex(randomblob(16))), 0);

-- 0: it is being made, or was cut off.
ALTER TABLE backup ADD COLUMN whole INTEGER NOT NULL DEFAULT 1;
