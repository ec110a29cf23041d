-- The journal and, underneath, the ledger. Never edited: what comes later comes in a later file.
-- Times are RFC 3339 in UTC, masses whole micrograms, ticks whole microseconds of bench time.

-- One run's jar. Only its state moves; the rest is a snapshot of the moment it was opened.
CREATE TABLE batch (
    id           INTEGER PRIMARY KEY,
    mark         TEXT    NOT NULL UNIQUE,
    bench        TEXT    NOT NULL,
    recipe       TEXT    NOT NULL,
    rehearsal    INTEGER NOT NULL CHECK (rehearsal IN (0, 1)),
    state        TEXT    NOT NULL
        CHECK (state IN ('idle', 'running', 'held', 'paused', 'complete', 'aborted')),
    planned_ug   INTEGER NOT NULL
        CONSTRAINT "a planned mass is not below zero" CHECK (0 <= planned_ug),
    opened       TEXT    NOT NULL
        CONSTRAINT "opened is a time in UTC" CHECK (opened GLOB '[0-9][0-9][0-9][0-9]-??-??T??:??:*Z'),
    closed       TEXT
        CONSTRAINT "closed is a time in UTC" CHECK (closed GLOB '[0-9][0-9][0-9][0-9]-??-??T??:??:*Z'),
    procedure    TEXT    NOT NULL CONSTRAINT "a procedure is JSON" CHECK (json_valid(procedure)),
    recipe_text  TEXT    NOT NULL,
    shelf_text   TEXT    NOT NULL,
    profile_text TEXT    NOT NULL,
    CHECK ((state IN ('complete', 'aborted')) = (closed IS NOT NULL))
) STRICT;

CREATE INDEX batch_unfinished ON batch (bench) WHERE closed IS NULL;

-- The journal: facts, commands and choices of a batch, in order.
CREATE TABLE entry (
    batch   INTEGER NOT NULL REFERENCES batch (id),
    seq     INTEGER NOT NULL,
    tick_us INTEGER NOT NULL CHECK (0 <= tick_us),
    at      TEXT    NOT NULL
        CONSTRAINT "an entry has a time in UTC" CHECK (at GLOB '[0-9][0-9][0-9][0-9]-??-??T??:??:*Z'),
    kind    TEXT    NOT NULL CONSTRAINT "an entry has a kind" CHECK (kind <> ''),
    body    TEXT    NOT NULL CONSTRAINT "a body is JSON" CHECK (json_valid(body)),
    PRIMARY KEY (batch, seq)
) STRICT, WITHOUT ROWID;

-- Where mass can be. A jar of a batch goes by its batch, everything else by kind and key.
CREATE TABLE vessel (
    id    INTEGER PRIMARY KEY,
    kind  TEXT    NOT NULL CHECK (kind IN ('shelf', 'jar', 'waste', 'unknown')),
    key   TEXT    NOT NULL CONSTRAINT "a vessel has a name" CHECK (key <> ''),
    batch INTEGER REFERENCES batch (id) CHECK (batch IS NULL OR kind = 'jar')
) STRICT;

CREATE UNIQUE INDEX vessel_by_key ON vessel (kind, key) WHERE batch IS NULL;
CREATE UNIQUE INDEX vessel_by_batch ON vessel (batch) WHERE batch IS NOT NULL;

INSERT INTO vessel (kind, key) VALUES ('waste', 'waste'), ('unknown', 'unknown');

-- The ledger: mass that went from one vessel to another. Taking back is a transfer the other way.
CREATE TABLE transfer (
    batch       INTEGER NOT NULL,
    entry       INTEGER NOT NULL,
    nth         INTEGER NOT NULL,
    from_vessel INTEGER NOT NULL REFERENCES vessel (id),
    to_vessel   INTEGER NOT NULL REFERENCES vessel (id),
    substance   TEXT    NOT NULL CONSTRAINT "a transfer names its substance" CHECK (substance <> ''),
    mass_ug     INTEGER NOT NULL
        CONSTRAINT "a transfer is above zero and at most a thousand tonnes" CHECK (mass_ug BETWEEN 1 AND 1000000000000000),
    seen        TEXT    NOT NULL CHECK (seen IN ('seen', 'unseen')),
    PRIMARY KEY (batch, entry, nth),
    FOREIGN KEY (batch, entry) REFERENCES entry (batch, seq),
    CONSTRAINT "a transfer goes from one vessel to another" CHECK (from_vessel <> to_vessel)
) STRICT, WITHOUT ROWID;

CREATE INDEX transfer_from ON transfer (from_vessel);
CREATE INDEX transfer_to ON transfer (to_vessel);

-- Every transfer twice, as each of its vessels sees it.
CREATE VIEW movement AS
SELECT to_vessel AS vessel, batch, substance, mass_ug,
    CASE seen WHEN 'unseen' THEN mass_ug ELSE 0 END AS unseen_ug
FROM transfer
UNION ALL
SELECT from_vessel, batch, substance, -mass_ug,
    CASE seen WHEN 'unseen' THEN -mass_ug ELSE 0 END
FROM transfer;

-- The ledger: what the jar of every batch holds.
CREATE VIEW ledger AS
SELECT vessel.batch, movement.substance, sum(movement.mass_ug) AS mass_ug, sum(movement.unseen_ug) AS unseen_ug
FROM vessel JOIN movement ON movement.vessel = vessel.id
WHERE vessel.batch IS NOT NULL
GROUP BY vessel.batch, movement.substance;

-- The weight over time. No law depends on it: it may be thinned and deleted.
CREATE TABLE trace (
    batch   INTEGER NOT NULL REFERENCES batch (id),
    chunk   INTEGER NOT NULL,
    samples BLOB    NOT NULL,
    PRIMARY KEY (batch, chunk)
) STRICT;

-- What the person told once about a scale.
CREATE TABLE device (
    key       TEXT NOT NULL PRIMARY KEY CONSTRAINT "a device has a key" CHECK (key <> ''),
    told_unit TEXT,
    profile   TEXT NOT NULL,
    last_seen TEXT NOT NULL
        CONSTRAINT "last seen is a time in UTC" CHECK (last_seen GLOB '[0-9][0-9][0-9][0-9]-??-??T??:??:*Z')
) STRICT, WITHOUT ROWID;

-- Which scale a bench reads, as the bench says it: a restarted bench finds its scale again.
CREATE TABLE bench (
    name       TEXT NOT NULL PRIMARY KEY CONSTRAINT "a bench has a name" CHECK (name <> ''),
    attachment TEXT NOT NULL CONSTRAINT "an attachment is JSON" CHECK (json_valid(attachment))
) STRICT, WITHOUT ROWID;

-- Append only. The guards before an insert are there for INSERT OR REPLACE, which deletes a row
-- without asking the guards before a delete.
CREATE TRIGGER entry_comes_next BEFORE INSERT ON entry
WHEN NEW.seq <> (SELECT coalesce(max(seq) + 1, 0) FROM entry WHERE batch = NEW.batch)
BEGIN SELECT raise(ABORT, 'an entry comes after the last one of its batch'); END;
CREATE TRIGGER entry_stays BEFORE UPDATE ON entry
BEGIN SELECT raise(ABORT, 'an entry of the journal is never changed'); END;
CREATE TRIGGER entry_is_kept BEFORE DELETE ON entry
BEGIN SELECT raise(ABORT, 'an entry of the journal is never deleted'); END;

CREATE TRIGGER transfer_is_new BEFORE INSERT ON transfer
WHEN EXISTS (SELECT 1 FROM transfer WHERE batch = NEW.batch AND entry = NEW.entry AND nth = NEW.nth)
BEGIN SELECT raise(ABORT, 'a transfer is never replaced'); END;
CREATE TRIGGER transfer_stays BEFORE UPDATE ON transfer
BEGIN SELECT raise(ABORT, 'a transfer is never changed: book one the other way'); END;
CREATE TRIGGER transfer_is_kept BEFORE DELETE ON transfer
BEGIN SELECT raise(ABORT, 'a transfer is never deleted: book one the other way'); END;

CREATE TRIGGER vessel_is_new BEFORE INSERT ON vessel
WHEN EXISTS (
    SELECT 1 FROM vessel
    WHERE id = NEW.id OR batch = NEW.batch OR (batch IS NULL AND NEW.batch IS NULL AND kind = NEW.kind AND key = NEW.key)
)
BEGIN SELECT raise(ABORT, 'a vessel is never replaced'); END;
CREATE TRIGGER vessel_stays BEFORE UPDATE ON vessel
BEGIN SELECT raise(ABORT, 'a vessel is never changed'); END;
CREATE TRIGGER vessel_is_kept BEFORE DELETE ON vessel
BEGIN SELECT raise(ABORT, 'a vessel is never deleted'); END;

CREATE TRIGGER batch_is_new BEFORE INSERT ON batch
WHEN EXISTS (SELECT 1 FROM batch WHERE id = NEW.id OR mark = NEW.mark)
BEGIN SELECT raise(ABORT, 'a batch is never replaced'); END;
CREATE TRIGGER batch_snapshot_stays BEFORE UPDATE OF
    id, mark, bench, recipe, rehearsal, planned_ug, opened, procedure, recipe_text, shelf_text, profile_text ON batch
BEGIN SELECT raise(ABORT, 'of a batch only the state changes'); END;
CREATE TRIGGER batch_is_kept BEFORE DELETE ON batch
BEGIN SELECT raise(ABORT, 'the record of a batch is kept for ever'); END;
