-- Format 1. Entries and blobs are the data; summary, seal and tag are derived
-- from them. No sequences, no large objects: keys are chosen by who writes, so
-- that a statement may be sent again. Names sort by their bytes, as in SQLite.

CREATE TABLE endfloat_format (
	one    boolean PRIMARY KEY DEFAULT true CHECK (one),
	format integer NOT NULL
);

-- One row per book, locked by whoever adds to it.
CREATE TABLE head (
	book text COLLATE "C" PRIMARY KEY,
	seq  bigint NOT NULL,
	body bytea,
	seal bytea
);

CREATE TABLE entry (
	book  text COLLATE "C" NOT NULL,
	seq   bigint NOT NULL CHECK (seq > 0),
	id    text COLLATE "C" NOT NULL,
	bytes bytea NOT NULL, -- as sent, never encoded again
	PRIMARY KEY (book, seq),
	UNIQUE (book, id)
);

CREATE TABLE tag (
	book text COLLATE "C" NOT NULL,
	tag  text COLLATE "C" NOT NULL,
	PRIMARY KEY (book, tag)
);

CREATE INDEX tag_tag ON tag (tag, book);

CREATE TABLE blob (
	key  text COLLATE "C" PRIMARY KEY,
	salt bytea NOT NULL
);

CREATE TABLE chunk (
	key   text COLLATE "C" NOT NULL REFERENCES blob ON DELETE CASCADE,
	n     integer NOT NULL,
	bytes bytea NOT NULL,
	PRIMARY KEY (key, n)
);

CREATE TABLE care (
	what text COLLATE "C" PRIMARY KEY,
	at   text NOT NULL, -- RFC 3339
	note text NOT NULL
);

CREATE FUNCTION entries_are_only_added() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION 'entries are only added'; END $$;

CREATE TRIGGER entry_fixed BEFORE UPDATE OR DELETE ON entry
FOR EACH ROW EXECUTE FUNCTION entries_are_only_added();

CREATE TRIGGER entry_kept BEFORE TRUNCATE ON entry
FOR EACH STATEMENT EXECUTE FUNCTION entries_are_only_added();
