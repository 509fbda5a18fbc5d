-- SPDX-License-Identifier: GPL-3.0-or-later
-- Version 3: lists by name go by the size of the numbers in the names: 50 before 105.

-- A name's place among the others, as text that sorts so; worked out by the store, which lends shim_sort_key () to this step.
ALTER TABLE search_text ADD COLUMN sort_key TEXT NOT NULL DEFAULT '';
UPDATE search_text SET sort_key = shim_sort_key (title);
DROP INDEX search_text_by_title;
-- A list by name is read from this index alone, one entry after the other, also when it is looked through for words.
CREATE INDEX search_text_by_sort_key ON search_text (kind, sort_key, id, archived, words);
