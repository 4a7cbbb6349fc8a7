-- Format 1. Entries and blobs are the data; summary and tag are derived from
-- them and can be made anew.

CREATE TABLE entry (
	book  TEXT    NOT NULL,
	seq   INTEGER NOT NULL,
	id    TEXT    NOT NULL,
	bytes BLOB    NOT NULL, -- as sent, never encoded again
	PRIMARY KEY (book, seq),
	UNIQUE (book, id)
) STRICT;

CREATE TRIGGER entry_next BEFORE INSERT ON entry
WHEN NEW.seq <> 1 + (SELECT coalesce(max(seq), 0) FROM entry WHERE book = NEW.book)
BEGIN SELECT RAISE(ABORT, 'entries are only added at the end'); END;

CREATE TRIGGER entry_fixed BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'entries are only added'); END;

-- Also fires for INSERT OR REPLACE, if recursive_triggers is on.
CREATE TRIGGER entry_kept BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'entries are only added'); END;

CREATE TABLE summary (
	book TEXT    NOT NULL PRIMARY KEY,
	seq  INTEGER NOT NULL,
	body BLOB
) STRICT;

CREATE TABLE tag (
	book TEXT NOT NULL,
	tag  TEXT NOT NULL,
	PRIMARY KEY (book, tag)
) STRICT, WITHOUT ROWID;

CREATE INDEX tag_tag ON tag (tag);

CREATE TABLE blob (
	key  TEXT NOT NULL PRIMARY KEY,
	salt BLOB NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE chunk (
	key   TEXT    NOT NULL REFERENCES blob ON DELETE CASCADE,
	n     INTEGER NOT NULL,
	bytes BLOB    NOT NULL,
	PRIMARY KEY (key, n)
) STRICT;
