-- SPDX-License-Identifier: GPL-3.0-or-later
-- Version 1: the first register.
--
-- How it is meant:
-- * One table for each kind of record, named as the kind, its columns named and ORDERED as the kind's field table after
--   the id. The history keeps changes by column number, so a later version may add columns at the end, never move one.
-- * Ids are UUIDs of version 7 (RFC 9562): unique between registers, so that two can be merged, and sorted by the time
--   of entry, so that "newest" is settled also within one second.
-- * Nothing is ever deleted. Evidence (what was measured or decided) is not changed either: triggers see to that. What
--   was undone or removed is named in "retraction"; everything that shows the present leaves it out.
-- * Which choices a field allows is the field table's affair, not a CHECK, so that a new kind of event needs no rebuild.
-- * Tables under "Worked out" hold nothing of their own; "shimbookctl check --rebuild" makes them anew.

-- --- This register -------------------------------------------------------------------------------------------------

CREATE TABLE book (
  only INTEGER NOT NULL PRIMARY KEY CHECK (only = 1),
  id TEXT NOT NULL,
  created_at TEXT NOT NULL
) STRICT;

-- --- The kit -------------------------------------------------------------------------------------------------------

-- Items name their mount by its designation: that is what people read in a CSV file, and it is unique in the trade.
CREATE TABLE mount (
  id TEXT NOT NULL PRIMARY KEY,
  name TEXT NOT NULL UNIQUE,
  flange_mm REAL CHECK (flange_mm > 0),
  electronic INTEGER NOT NULL CHECK (electronic IN (0, 1)),
  source TEXT,
  note TEXT
) STRICT;

CREATE TABLE adapter (
  id TEXT NOT NULL PRIMARY KEY,
  label TEXT NOT NULL,
  lens_mount TEXT NOT NULL REFERENCES mount (name),
  body_mount TEXT NOT NULL REFERENCES mount (name),
  optics INTEGER NOT NULL CHECK (optics IN (0, 1)),
  passes_data INTEGER NOT NULL CHECK (passes_data IN (0, 1)),
  serial TEXT,
  note TEXT,
  archived INTEGER NOT NULL CHECK (archived IN (0, 1))
) STRICT;
CREATE INDEX adapter_by_label ON adapter (label COLLATE NOCASE, id, archived);
CREATE INDEX adapter_by_serial ON adapter (serial) WHERE serial IS NOT NULL;
CREATE INDEX adapter_by_mounts ON adapter (body_mount, lens_mount);
CREATE INDEX adapter_by_lens_mount ON adapter (lens_mount);

-- Serials are text: leading zeros count. They are not unique: two makers may use one number. The indexes by name hold all
-- that counting and paging look at, so that skipped rows are not read.
CREATE TABLE body (
  id TEXT NOT NULL PRIMARY KEY,
  label TEXT NOT NULL,
  maker TEXT,
  model TEXT,
  serial TEXT,
  mount TEXT NOT NULL REFERENCES mount (name),
  format_width_mm REAL,
  format_height_mm REAL,
  pixel_pitch_um REAL,
  range_min INTEGER,
  range_max INTEGER,
  direction TEXT,
  slot_count INTEGER,
  zoom_values INTEGER,
  tells_lenses_by TEXT,
  all_lens_value INTEGER,
  firmware TEXT,
  holder TEXT,
  place TEXT,
  worth REAL,
  currency TEXT,
  bought_on TEXT,
  weight_g REAL,
  note TEXT,
  picture TEXT,
  archived INTEGER NOT NULL CHECK (archived IN (0, 1)),
  CHECK (range_min IS NULL OR range_max IS NULL OR range_min <= range_max)
) STRICT;
CREATE INDEX body_by_label ON body (label COLLATE NOCASE, id, archived);
CREATE INDEX body_by_serial ON body (serial) WHERE serial IS NOT NULL;
CREATE INDEX body_by_mount ON body (mount, label COLLATE NOCASE, id, archived);

CREATE TABLE lens (
  id TEXT NOT NULL PRIMARY KEY,
  label TEXT NOT NULL,
  maker TEXT,
  model TEXT,
  serial TEXT,
  mount TEXT NOT NULL REFERENCES mount (name),
  focal_min_mm REAL NOT NULL,
  focal_max_mm REAL,
  aperture_wide REAL,
  aperture_long REAL,
  nearest_mm REAL,
  own_table INTEGER NOT NULL CHECK (own_table IN (0, 1)),
  table_focals_mm TEXT,
  table_distances_m TEXT,
  holder TEXT,
  place TEXT,
  worth REAL,
  currency TEXT,
  bought_on TEXT,
  weight_g REAL,
  note TEXT,
  picture TEXT,
  archived INTEGER NOT NULL CHECK (archived IN (0, 1)),
  CHECK (focal_max_mm IS NULL OR focal_max_mm >= focal_min_mm)
) STRICT;
CREATE INDEX lens_by_label ON lens (label COLLATE NOCASE, id, archived);
CREATE INDEX lens_by_serial ON lens (serial) WHERE serial IS NOT NULL;
CREATE INDEX lens_by_mount ON lens (mount, label COLLATE NOCASE, id, archived);

CREATE TABLE converter (
  id TEXT NOT NULL PRIMARY KEY,
  label TEXT NOT NULL,
  maker TEXT,
  model TEXT,
  serial TEXT,
  mount TEXT NOT NULL REFERENCES mount (name),
  factor REAL NOT NULL CHECK (factor >= 1),
  holder TEXT,
  place TEXT,
  worth REAL,
  currency TEXT,
  bought_on TEXT,
  weight_g REAL,
  note TEXT,
  picture TEXT,
  archived INTEGER NOT NULL CHECK (archived IN (0, 1))
) STRICT;
CREATE INDEX converter_by_label ON converter (label COLLATE NOCASE, id, archived);
CREATE INDEX converter_by_serial ON converter (serial) WHERE serial IS NOT NULL;
CREATE INDEX converter_by_mount ON converter (mount, label COLLATE NOCASE, id, archived);

-- One lens on one body, with or without a converter. Rows exist only for pairs that somebody has touched: the other
-- forty million combinations of a large kit are untested.
CREATE TABLE pair (
  id TEXT NOT NULL PRIMARY KEY,
  body TEXT NOT NULL REFERENCES body (id),
  lens TEXT NOT NULL REFERENCES lens (id),
  converter TEXT REFERENCES converter (id),
  adapter TEXT REFERENCES adapter (id),
  not_needed INTEGER NOT NULL CHECK (not_needed IN (0, 1)),
  note TEXT
) STRICT;
CREATE UNIQUE INDEX pair_by_items ON pair (body, lens, ifnull (converter, ''));
CREATE INDEX pair_by_lens ON pair (lens);
CREATE INDEX pair_by_converter ON pair (converter) WHERE converter IS NOT NULL;
CREATE INDEX pair_by_adapter ON pair (adapter) WHERE adapter IS NOT NULL;

-- What happened to an item. May be corrected or taken back, so it is no evidence.
CREATE TABLE event (
  id TEXT NOT NULL PRIMARY KEY,
  item_kind TEXT NOT NULL,
  item TEXT NOT NULL,
  happened_on TEXT NOT NULL CHECK (happened_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  noted_at TEXT NOT NULL,
  kind TEXT NOT NULL,
  casts_doubt INTEGER NOT NULL CHECK (casts_doubt IN (0, 1)),
  taken_back INTEGER NOT NULL CHECK (taken_back IN (0, 1)),
  who TEXT,
  note TEXT
) STRICT;
CREATE INDEX event_by_item ON event (item, happened_on, noted_at);

CREATE TABLE job (
  id TEXT NOT NULL PRIMARY KEY,
  name TEXT NOT NULL,
  on_date TEXT,
  until_date TEXT,
  place TEXT,
  holder TEXT,
  note TEXT,
  archived INTEGER NOT NULL CHECK (archived IN (0, 1))
) STRICT;
CREATE INDEX job_by_date ON job (on_date);

CREATE TABLE job_item (
  id TEXT NOT NULL PRIMARY KEY,
  job TEXT NOT NULL REFERENCES job (id),
  item_kind TEXT NOT NULL,
  item TEXT NOT NULL,
  note TEXT
) STRICT;
CREATE UNIQUE INDEX job_item_by_job ON job_item (job, item);
CREATE INDEX job_item_by_item ON job_item (item);

-- --- Evidence: what was measured and decided -------------------------------------------------------------------------

CREATE TABLE test (
  id TEXT NOT NULL PRIMARY KEY,
  pair TEXT NOT NULL REFERENCES pair (id),
  started_at TEXT NOT NULL,
  focal_mm REAL,
  distance_mm REAL,
  f_number REAL,
  angle_deg REAL,
  tick_mm REAL,
  coc_mm REAL,
  tolerance_share REAL,
  light_lx REAL,
  folder TEXT,
  note TEXT
) STRICT;
CREATE INDEX test_by_pair ON test (pair, started_at, id);

CREATE TABLE round (
  id TEXT NOT NULL PRIMARY KEY,
  test TEXT NOT NULL REFERENCES test (id),
  started_at TEXT NOT NULL,
  kind TEXT NOT NULL,
  setting INTEGER,
  note TEXT
) STRICT;
CREATE INDEX round_by_test ON round (test, started_at, id);

CREATE TABLE frame (
  id TEXT NOT NULL PRIMARY KEY,
  round TEXT NOT NULL REFERENCES round (id),
  added_at TEXT NOT NULL,
  path TEXT NOT NULL,
  sha256 TEXT NOT NULL CHECK (length (sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
  taken TEXT,
  make TEXT,
  model TEXT,
  body_serial TEXT,
  lens_model TEXT,
  lens_serial TEXT,
  focal_mm REAL,
  f_number REAL,
  exposure_s REAL,
  iso REAL,
  distance_m REAL,
  adjustment INTEGER,
  width_px INTEGER,
  height_px INTEGER,
  approach TEXT,
  override INTEGER NOT NULL CHECK (override IN (0, 1)),
  evidence BLOB
) STRICT;
CREATE INDEX frame_by_round ON frame (round, id);
CREATE INDEX frame_by_sha256 ON frame (sha256);

CREATE TABLE reading (
  id TEXT NOT NULL PRIMARY KEY,
  frame TEXT NOT NULL REFERENCES frame (id),
  read_at TEXT NOT NULL,
  method TEXT NOT NULL,
  refusal TEXT,
  reason TEXT,
  warnings TEXT,
  offset_mm REAL,
  offset_se_mm REAL,
  common_se_mm REAL,
  ruler_mm REAL,
  depth_of_field_mm REAL,
  coc_mm REAL,
  angle_deg REAL,
  distance_mm REAL,
  mm_per_px REAL,
  details TEXT
) STRICT;
CREATE INDEX reading_by_frame ON reading (frame, method, read_at, id);

CREATE TABLE verdict (
  id TEXT NOT NULL PRIMARY KEY,
  frame TEXT NOT NULL REFERENCES frame (id),
  decided_at TEXT NOT NULL,
  use INTEGER NOT NULL CHECK (use IN (0, 1)),
  reason TEXT
) STRICT;
CREATE INDEX verdict_by_frame ON verdict (frame, decided_at, id);

CREATE TABLE decision (
  id TEXT NOT NULL PRIMARY KEY,
  pair TEXT NOT NULL REFERENCES pair (id),
  test TEXT REFERENCES test (id),
  decided_at TEXT NOT NULL,
  end TEXT NOT NULL,
  table_focal_mm REAL,
  table_distance_m REAL,
  value INTEGER,
  origin TEXT NOT NULL,
  residual_mm REAL,
  residual_se_mm REAL,
  slope_mm_per_step REAL,
  slope_se_mm_per_step REAL,
  tolerance_mm REAL,
  focal_mm REAL,
  distance_mm REAL,
  out_of_reach INTEGER NOT NULL CHECK (out_of_reach IN (0, 1)),
  firmware TEXT,
  note TEXT,
  CHECK (value IS NOT NULL OR origin = 'none' OR out_of_reach = 1)
) STRICT;
CREATE INDEX decision_by_pair ON decision (pair, decided_at, id);
CREATE INDEX decision_by_test ON decision (test) WHERE test IS NOT NULL;

CREATE TABLE slot_entry (
  id TEXT NOT NULL PRIMARY KEY,
  body TEXT NOT NULL REFERENCES body (id),
  number INTEGER NOT NULL CHECK (number >= 0),
  pair TEXT REFERENCES pair (id),
  decision TEXT REFERENCES decision (id),
  value INTEGER,
  value_long INTEGER,
  action TEXT NOT NULL,
  done_at TEXT NOT NULL,
  note TEXT,
  CHECK (action <> 'keyed' OR (pair IS NOT NULL AND (value IS NOT NULL OR number = 0)))
) STRICT;
CREATE INDEX slot_entry_by_body ON slot_entry (body, number, done_at, id);
CREATE INDEX slot_entry_by_pair ON slot_entry (pair, done_at, id) WHERE pair IS NOT NULL;
CREATE INDEX slot_entry_by_decision ON slot_entry (decision) WHERE decision IS NOT NULL;

-- --- Undoing and history ---------------------------------------------------------------------------------------------

-- The newest entry for a row says whether it counts. A row without an entry counts.
CREATE TABLE retraction (
  id TEXT NOT NULL PRIMARY KEY,
  kind TEXT NOT NULL,
  row TEXT NOT NULL,
  retracted INTEGER NOT NULL CHECK (retracted IN (0, 1)),
  at TEXT NOT NULL
) STRICT;
CREATE INDEX retraction_by_row ON retraction (row, at, id);

-- One line for each change by hand. "changeset" is what SQLite's session extension recorded of changed rows; what was
-- added or removed stands in history_row alone. "own" is 0 for lines that came with another register: they are read,
-- but not undone here.
CREATE TABLE history (
  n INTEGER PRIMARY KEY AUTOINCREMENT,
  id TEXT NOT NULL UNIQUE,
  at TEXT NOT NULL,
  who TEXT,
  summary TEXT NOT NULL,
  action TEXT NOT NULL CHECK (action IN ('change', 'undo', 'redo', 'merge')),
  changeset BLOB,
  own INTEGER NOT NULL CHECK (own IN (0, 1)),
  undone INTEGER NOT NULL DEFAULT 0 CHECK (undone IN (0, 1))
) STRICT;
-- For the question "what can be undone, what redone?" on a long history.
CREATE INDEX history_by_undone ON history (undone, n) WHERE own = 1 AND action IN ('change', 'merge');

CREATE TABLE history_row (
  history INTEGER NOT NULL REFERENCES history (n),
  position INTEGER NOT NULL,
  kind TEXT NOT NULL,
  row TEXT NOT NULL,
  action TEXT NOT NULL CHECK (action IN ('added', 'changed', 'removed', 'restored')),
  PRIMARY KEY (history, position)
) STRICT, WITHOUT ROWID;
CREATE INDEX history_row_by_row ON history_row (row, history);

-- --- Worked out ------------------------------------------------------------------------------------------------------

CREATE TABLE retracted (
  row TEXT NOT NULL PRIMARY KEY
) STRICT, WITHOUT ROWID;

-- What is true of each pair now, but for its age, so that a matrix, a filter or a sorting need not look at evidence.
CREATE TABLE pair_now (
  pair TEXT NOT NULL PRIMARY KEY,
  body TEXT NOT NULL,
  lens TEXT NOT NULL,
  converter TEXT,
  adapter TEXT,
  body_mount TEXT NOT NULL,
  lens_mount TEXT NOT NULL,
  state INTEGER NOT NULL,
  reasons INTEGER NOT NULL,
  value INTEGER,
  value_long INTEGER,
  n_table_cells INTEGER NOT NULL,
  decision TEXT,
  decided_at TEXT,
  tested_at TEXT,
  predicted INTEGER NOT NULL,
  residual_mm REAL,
  residual_se_mm REAL,
  tolerance_mm REAL,
  error_tolerances REAL,
  out_of_reach INTEGER NOT NULL,
  slot INTEGER,
  slot_state INTEGER NOT NULL,
  slot_value INTEGER,
  slot_value_long INTEGER,
  conflict INTEGER NOT NULL DEFAULT 0,
  not_needed INTEGER NOT NULL
) STRICT;
CREATE INDEX pair_now_by_body ON pair_now (body, lens);
CREATE INDEX pair_now_by_lens ON pair_now (lens);
CREATE INDEX pair_now_by_body_mount ON pair_now (body_mount);
CREATE INDEX pair_now_by_lens_mount ON pair_now (lens_mount);
CREATE INDEX pair_now_by_age ON pair_now (tested_at, pair);
CREATE INDEX pair_now_by_error ON pair_now (error_tolerances, pair);
CREATE INDEX pair_now_by_state_age ON pair_now (state, tested_at, pair);
CREATE INDEX pair_now_by_state_error ON pair_now (state, error_tolerances, pair);

-- The words of a record's searched fields without accents and capitals, one blank between two, and every ending of its
-- serial, so that part of a serial is found too. The store keeps "search" in step itself: triggers may not touch a virtual table where the schema is not trusted.
CREATE TABLE search_text (
  n INTEGER PRIMARY KEY,
  kind TEXT NOT NULL,
  id TEXT NOT NULL UNIQUE,
  title TEXT,
  archived INTEGER NOT NULL,
  words TEXT NOT NULL
) STRICT;
-- A list by name is read from this index alone, one entry after the other, also when it is looked through for words.
CREATE INDEX search_text_by_title ON search_text (kind, title COLLATE NOCASE, id, archived, words);
CREATE VIRTUAL TABLE search USING fts5 (
  kind, words,
  content = 'search_text', content_rowid = 'n',
  tokenize = 'unicode61 remove_diacritics 2', prefix = '1 2 3', detail = 'column'
);

-- --- Rules -----------------------------------------------------------------------------------------------------------
-- A message "shim:…" is turned into a sentence by the store.

CREATE TRIGGER test_kept BEFORE DELETE ON test BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER test_same BEFORE UPDATE ON test BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER test_once BEFORE INSERT ON test WHEN EXISTS (SELECT 1 FROM test WHERE id = NEW.id) BEGIN
  SELECT RAISE (ABORT, 'shim:id-twice');
END;
CREATE TRIGGER round_kept BEFORE DELETE ON round BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER round_same BEFORE UPDATE ON round BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER round_once BEFORE INSERT ON round WHEN EXISTS (SELECT 1 FROM round WHERE id = NEW.id) BEGIN
  SELECT RAISE (ABORT, 'shim:id-twice');
END;
CREATE TRIGGER frame_kept BEFORE DELETE ON frame BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER frame_same BEFORE UPDATE ON frame BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER frame_once BEFORE INSERT ON frame WHEN EXISTS (SELECT 1 FROM frame WHERE id = NEW.id) BEGIN
  SELECT RAISE (ABORT, 'shim:id-twice');
END;
CREATE TRIGGER reading_kept BEFORE DELETE ON reading BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER reading_same BEFORE UPDATE ON reading BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER reading_once BEFORE INSERT ON reading WHEN EXISTS (SELECT 1 FROM reading WHERE id = NEW.id) BEGIN
  SELECT RAISE (ABORT, 'shim:id-twice');
END;
CREATE TRIGGER verdict_kept BEFORE DELETE ON verdict BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER verdict_same BEFORE UPDATE ON verdict BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER verdict_once BEFORE INSERT ON verdict WHEN EXISTS (SELECT 1 FROM verdict WHERE id = NEW.id) BEGIN
  SELECT RAISE (ABORT, 'shim:id-twice');
END;
CREATE TRIGGER decision_kept BEFORE DELETE ON decision BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER decision_same BEFORE UPDATE ON decision BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER decision_once BEFORE INSERT ON decision WHEN EXISTS (SELECT 1 FROM decision WHERE id = NEW.id) BEGIN
  SELECT RAISE (ABORT, 'shim:id-twice');
END;
CREATE TRIGGER slot_entry_kept BEFORE DELETE ON slot_entry BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER slot_entry_same BEFORE UPDATE ON slot_entry BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER slot_entry_once BEFORE INSERT ON slot_entry WHEN EXISTS (SELECT 1 FROM slot_entry WHERE id = NEW.id) BEGIN
  SELECT RAISE (ABORT, 'shim:id-twice');
END;
CREATE TRIGGER retraction_kept BEFORE DELETE ON retraction BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER retraction_same BEFORE UPDATE ON retraction BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER retraction_once BEFORE INSERT ON retraction WHEN EXISTS (SELECT 1 FROM retraction WHERE id = NEW.id) BEGIN
  SELECT RAISE (ABORT, 'shim:id-twice');
END;

CREATE TRIGGER history_kept BEFORE DELETE ON history BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;
CREATE TRIGGER history_same BEFORE UPDATE OF n, id, at, who, summary, action, changeset, own ON history BEGIN
  SELECT RAISE (ABORT, 'shim:evidence');
END;

-- The same photograph twice in one test would count twice.
CREATE TRIGGER frame_once_in_test BEFORE INSERT ON frame
WHEN EXISTS (
  SELECT 1 FROM frame AS f JOIN round AS r ON r.id = f.round
  WHERE f.sha256 = NEW.sha256 AND r.test = (SELECT test FROM round WHERE id = NEW.round)
    AND NOT EXISTS (SELECT 1 FROM retracted WHERE row = f.id)
    AND NOT EXISTS (SELECT 1 FROM retracted WHERE row = r.id))
BEGIN
  SELECT RAISE (ABORT, 'shim:frame-twice');
END;

-- Events and job items may belong to any kind of item, which a foreign key cannot say.
CREATE TRIGGER event_item BEFORE INSERT ON event
WHEN NOT CASE NEW.item_kind
  WHEN 'body' THEN EXISTS (SELECT 1 FROM body WHERE id = NEW.item)
  WHEN 'lens' THEN EXISTS (SELECT 1 FROM lens WHERE id = NEW.item)
  WHEN 'converter' THEN EXISTS (SELECT 1 FROM converter WHERE id = NEW.item)
  ELSE 0 END
BEGIN
  SELECT RAISE (ABORT, 'shim:no-item');
END;
CREATE TRIGGER job_item_item BEFORE INSERT ON job_item
WHEN NOT CASE NEW.item_kind
  WHEN 'body' THEN EXISTS (SELECT 1 FROM body WHERE id = NEW.item)
  WHEN 'lens' THEN EXISTS (SELECT 1 FROM lens WHERE id = NEW.item)
  WHEN 'converter' THEN EXISTS (SELECT 1 FROM converter WHERE id = NEW.item)
  WHEN 'adapter' THEN EXISTS (SELECT 1 FROM adapter WHERE id = NEW.item)
  ELSE 0 END
BEGIN
  SELECT RAISE (ABORT, 'shim:no-item');
END;

-- --- What the trade calls its mounts -----------------------------------------------------------------------------------
-- Flange distances in mm. Where two sources disagree the note says so. "electronic" (whether a lens on it can tell the
-- body what it is) is from memory throughout.

INSERT INTO mount (id, name, flange_mm, electronic, source, note) VALUES
  ('00000000-0000-7000-8000-000000000001', 'T2 (42x0.75 screw)', 55.0, 0, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000002', 'R', 47.0, 0, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000003', 'F', 46.5, 1, 'two published tables', NULL),
  ('00000000-0000-7000-8000-000000000004', 'OM', 46.0, 0, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000005', 'C/Y', 45.5, 0, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000006', 'K', 45.46, 1, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000007', 'M42 (42x1 screw)', 45.46, 0, 'flange distance table of 2011 (camerabilia.blogspot.com)', 'A second row of that table says 28.8, an error of the table'),
  ('00000000-0000-7000-8000-000000000008', 'M39x1 SLR screw', 45.2, 0, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000009', 'A', 44.5, 1, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000010', 'EF / EF-S', 44.0, 1, 'two published tables', NULL),
  ('00000000-0000-7000-8000-000000000011', 'SA', 44.0, 1, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000012', 'SR', 43.5, 0, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000013', 'X (old SLR bayonet)', 43.5, 0, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000014', 'FD / FL', 42.0, 0, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000015', 'AR', 40.7, 0, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000016', 'Four Thirds', 38.67, 1, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000017', 'G (rangefinder)', 29.0, 1, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000018', 'M39 rangefinder screw', 28.8, 0, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000019', 'M', 27.8, 0, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000020', 'NX', 25.5, 1, 'flange distance table of 2011 (camerabilia.blogspot.com)', NULL),
  ('00000000-0000-7000-8000-000000000021', 'RF', 20.0, 1, 'web article', NULL),
  ('00000000-0000-7000-8000-000000000022', 'L', 20.0, 1, 'from memory', 'The one table seen says 19'),
  ('00000000-0000-7000-8000-000000000023', 'Micro Four Thirds', 19.25, 1, 'table of 2018 (blog.photoshelter.com)', 'The table of 2011 rounds to 20'),
  ('00000000-0000-7000-8000-000000000024', 'EF-M', 18.0, 1, 'from memory', NULL),
  ('00000000-0000-7000-8000-000000000025', 'E', 18.0, 1, 'three published tables', NULL),
  ('00000000-0000-7000-8000-000000000026', 'X (mirrorless)', 17.7, 1, 'table of 2018 (blog.photoshelter.com)', NULL),
  ('00000000-0000-7000-8000-000000000027', 'Z', 16.0, 1, 'table of 2018 (blog.photoshelter.com)', NULL),
  ('00000000-0000-7000-8000-000000000028', 'D (cine)', 12.29, 0, 'encyclopaedia table', NULL),
  ('00000000-0000-7000-8000-000000000029', 'Q', 9.2, 1, 'two published tables', NULL),
  ('00000000-0000-7000-8000-000000000030', 'C (cine/industrial)', 17.526, 0, 'from memory', NULL);
