-- Format 2. The seal of each book (filled in by the program), and when the file
-- was last looked after.

ALTER TABLE summary ADD COLUMN seal BLOB;

CREATE TABLE care (
	what TEXT NOT NULL PRIMARY KEY,
	at   TEXT NOT NULL, -- RFC 3339
	note TEXT NOT NULL
) STRICT, WITHOUT ROWID;
