-- SPDX-License-Identifier: GPL-3.0-or-later
-- Version 2: lists know which values the rest of the kit contradicts.

-- Worked out, like pair_now: a measured decision that the kit model cannot explain and that no second test confirmed.
CREATE TABLE contradicted (
  pair TEXT NOT NULL PRIMARY KEY,
  decision TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- Names what was never worked out in this register, because an older program kept it. Emptied when it was.
CREATE TABLE outstanding (
  what TEXT NOT NULL PRIMARY KEY
) STRICT, WITHOUT ROWID;
INSERT INTO outstanding VALUES ('contradicted');
