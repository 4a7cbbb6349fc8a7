-- Format 3. Entries lie in the order in which they were added, whatever their book,
-- so that those of many benches which are written together lie together. Where each
-- book has its entries is derived from them, and so is written later, many at once,
-- while many benches write at once.

DROP TRIGGER entry_next;
DROP TRIGGER entry_fixed;
DROP TRIGGER entry_kept;
ALTER TABLE entry RENAME TO older;

CREATE TABLE line (
	n     INTEGER NOT NULL PRIMARY KEY, -- in the order they were added
	book  TEXT    NOT NULL,
	seq   INTEGER NOT NULL,
	id    TEXT    NOT NULL,
	bytes BLOB    NOT NULL, -- as sent, never encoded again
	UNIQUE (id, book) -- id first: ids follow the clock, and so their index grows at its end
) STRICT;

CREATE TABLE place (
	book TEXT    NOT NULL,
	seq  INTEGER NOT NULL,
	n    INTEGER NOT NULL, -- of its line
	PRIMARY KEY (book, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE late (
	first INTEGER NOT NULL -- line that has no place yet, nor have those after it; no row if all have
) STRICT;

INSERT INTO line (n, book, seq, id, bytes) SELECT rowid, book, seq, id, bytes FROM older ORDER BY rowid;
INSERT INTO place (book, seq, n) SELECT book, seq, rowid FROM older ORDER BY book, seq;
DROP TABLE older;

CREATE VIEW entry AS
SELECT place.book, place.seq, line.id, line.bytes
FROM place CROSS JOIN line ON line.n = place.n AND line.book = place.book AND line.seq = place.seq
UNION ALL
SELECT book, seq, id, bytes FROM line WHERE n >= (SELECT first FROM late);

-- Lines that are late have been counted by the program that adds them; the key of
-- place refuses one that is there.
CREATE TRIGGER line_placed AFTER INSERT ON line WHEN NOT EXISTS (SELECT 1 FROM late)
BEGIN
	SELECT RAISE(ABORT, 'entries are only added at the end')
	WHERE NEW.seq <> 1 + (SELECT coalesce(max(seq), 0) FROM place WHERE book = NEW.book);
	INSERT INTO place (book, seq, n) VALUES (NEW.book, NEW.seq, NEW.n);
END;

CREATE TRIGGER line_fixed BEFORE UPDATE ON line
BEGIN SELECT RAISE(ABORT, 'entries are only added'); END;

-- Also fires for INSERT OR REPLACE, if recursive_triggers is on.
CREATE TRIGGER line_kept BEFORE DELETE ON line
BEGIN SELECT RAISE(ABORT, 'entries are only added'); END;
