-- A jar of a batch that is not in this log goes by that batch's mark, and is the jar of the batch once it comes.
-- By its mark goes the jar of every batch, here or not; a cup that a person happens to call the same is another vessel.
DROP TRIGGER vessel_is_new;
DROP TRIGGER vessel_stays;
DROP INDEX vessel_by_key;

ALTER TABLE vessel ADD COLUMN by_mark INTEGER NOT NULL DEFAULT 0
    CONSTRAINT "only a jar goes by a mark" CHECK (by_mark = 0 OR (by_mark = 1 AND kind = 'jar'));

UPDATE vessel SET by_mark = 1 WHERE batch IS NOT NULL;

-- Until now such a jar was a cup called `jar K7F2M`. The journals tell it from a cup that a person called so: they name the
-- mark, and nowhere a vessel of that name. Where the batch came meanwhile there are two vessels, which stay as they are.
UPDATE vessel SET by_mark = 1, key = substr(key, 5)
WHERE kind = 'jar' AND batch IS NULL AND key GLOB 'jar ?*'
    AND NOT EXISTS (SELECT 1 FROM batch WHERE mark = substr(vessel.key, 5))
    AND NOT EXISTS (
        SELECT 1 FROM transfer WHERE vessel.id IN (from_vessel, to_vessel)
            AND (EXISTS (SELECT 1 FROM entry JOIN json_tree(entry.body) AS said
                         WHERE entry.batch = transfer.batch AND said.type = 'text' AND said.value = vessel.key)
                 OR NOT EXISTS (SELECT 1 FROM entry JOIN json_tree(entry.body) AS said
                         WHERE entry.batch = transfer.batch AND said.type = 'text' AND said.value = substr(vessel.key, 5)))
    );

CREATE UNIQUE INDEX vessel_by_key ON vessel (kind, key, by_mark);

CREATE TRIGGER vessel_is_new BEFORE INSERT ON vessel
WHEN EXISTS (
    SELECT 1 FROM vessel
    WHERE id = NEW.id OR batch = NEW.batch OR (kind = NEW.kind AND key = NEW.key AND by_mark = NEW.by_mark)
)
BEGIN SELECT raise(ABORT, 'a vessel is never replaced'); END;

-- A jar waits only for a batch that is not here.
CREATE TRIGGER vessel_goes_by_its_mark BEFORE INSERT ON vessel
WHEN NEW.batch IS NOT CASE NEW.by_mark WHEN 1 THEN (SELECT id FROM batch WHERE mark = NEW.key) END
BEGIN SELECT raise(ABORT, 'the jar of a batch goes by its mark'); END;

-- The one change there is: a jar that waits for its batch gets it.
CREATE TRIGGER vessel_stays BEFORE UPDATE ON vessel
WHEN NOT (
    OLD.by_mark = 1 AND OLD.batch IS NULL AND NEW.batch IS NOT NULL
    AND NEW.batch IS (SELECT id FROM batch WHERE mark = OLD.key)
    AND NOT EXISTS (SELECT 1 FROM vessel WHERE batch = NEW.batch)
    AND NEW.id = OLD.id AND NEW.kind = OLD.kind AND NEW.key = OLD.key AND NEW.by_mark = OLD.by_mark
)
BEGIN SELECT raise(ABORT, 'a vessel is never changed'); END;

-- What each batch drew of each thing on the shelf, from its first draw to its last: a pack's last weeks are found by it
-- in a log of years. Derived from the transfers, and never the only place of anything. Rehearsals draw nothing.
-- Moments stand without their Z, so that they sort as moments whether or not they have a fraction.
CREATE TABLE stretch (
    vessel   INTEGER NOT NULL REFERENCES vessel (id),
    batch    INTEGER NOT NULL REFERENCES batch (id),
    first_at TEXT    NOT NULL,
    last_at  TEXT    NOT NULL,
    out_ug   INTEGER NOT NULL,
    back_ug  INTEGER NOT NULL,
    PRIMARY KEY (vessel, batch)
) STRICT, WITHOUT ROWID;

INSERT INTO stretch (vessel, batch, first_at, last_at, out_ug, back_ug)
SELECT v.id, t.batch, min(rtrim(e.at, 'Z')), max(rtrim(e.at, 'Z')),
    sum(CASE t.from_vessel WHEN v.id THEN t.mass_ug ELSE 0 END),
    sum(CASE t.to_vessel WHEN v.id THEN t.mass_ug ELSE 0 END)
FROM transfer t
JOIN batch b ON b.id = t.batch AND b.rehearsal = 0
JOIN entry e ON e.batch = t.batch AND e.seq = t.entry
JOIN vessel v ON v.kind = 'shelf' AND v.id IN (t.from_vessel, t.to_vessel)
GROUP BY v.id, t.batch;

CREATE TRIGGER transfer_lengthens_stretch AFTER INSERT ON transfer
BEGIN
    INSERT INTO stretch (vessel, batch, first_at, last_at, out_ug, back_ug)
    SELECT v.id, e.batch, rtrim(e.at, 'Z'), rtrim(e.at, 'Z'),
        CASE NEW.from_vessel WHEN v.id THEN NEW.mass_ug ELSE 0 END,
        CASE NEW.to_vessel WHEN v.id THEN NEW.mass_ug ELSE 0 END
    FROM vessel v, batch b, entry e
    WHERE v.id IN (NEW.from_vessel, NEW.to_vessel) AND v.kind = 'shelf'
        AND b.id = NEW.batch AND b.rehearsal = 0
        AND e.batch = NEW.batch AND e.seq = NEW.entry
    ON CONFLICT (vessel, batch) DO UPDATE SET
        first_at = min(first_at, excluded.first_at), last_at = max(last_at, excluded.last_at),
        out_ug = out_ug + excluded.out_ug, back_ug = back_ug + excluded.back_ug;
END;

-- The earlier batches of a recipe, and those of a week. Without their Z moments sort as they came, with a fraction or none.
CREATE INDEX batch_recipe ON batch (recipe);
DROP INDEX batch_opened;
CREATE INDEX batch_opened ON batch (rtrim(opened, 'Z'));

-- The transfers of each cup, and of each place on the shelf that a mix was put on, by their moments. One cup serves for years, and what is in a jar comes to no more than what was in
-- the cup by then. Derived from the transfers, and never the only place of anything.
CREATE TABLE through_cup (
    cup   INTEGER NOT NULL REFERENCES vessel (id),
    at    TEXT    NOT NULL,
    batch INTEGER NOT NULL,
    entry INTEGER NOT NULL,
    nth   INTEGER NOT NULL,
    PRIMARY KEY (cup, at, batch, entry, nth)
) STRICT, WITHOUT ROWID;

INSERT INTO through_cup (cup, at, batch, entry, nth)
SELECT v.id, rtrim(e.at, 'Z'), t.batch, t.entry, t.nth
FROM transfer t
JOIN entry e ON e.batch = t.batch AND e.seq = t.entry
JOIN vessel v ON v.kind = 'jar' AND v.by_mark = 0 AND v.id IN (t.from_vessel, t.to_vessel);

CREATE TRIGGER transfer_goes_through_cup AFTER INSERT ON transfer
BEGIN
    -- A mix that is put on the shelf makes its place there a cup, whatever was poured from it before by this log's numbers:
    -- batches of another log come in any order.
    INSERT OR IGNORE INTO through_cup (cup, at, batch, entry, nth)
    SELECT v.id, rtrim(e.at, 'Z'), t.batch, t.entry, t.nth
    FROM vessel v CROSS JOIN transfer t ON t.from_vessel = v.id CROSS JOIN entry e ON e.batch = t.batch AND e.seq = t.entry
    WHERE v.id = NEW.to_vessel AND v.kind = 'shelf' AND NEW.substance = 'the mixture';
    INSERT OR IGNORE INTO through_cup (cup, at, batch, entry, nth)
    SELECT v.id, rtrim(e.at, 'Z'), t.batch, t.entry, t.nth
    FROM vessel v CROSS JOIN transfer t ON t.to_vessel = v.id CROSS JOIN entry e ON e.batch = t.batch AND e.seq = t.entry
    WHERE v.id = NEW.to_vessel AND v.kind = 'shelf' AND NEW.substance = 'the mixture';
    INSERT OR IGNORE INTO through_cup (cup, at, batch, entry, nth)
    SELECT v.id, rtrim(e.at, 'Z'), NEW.batch, NEW.entry, NEW.nth
    FROM vessel v, entry e
    WHERE v.id IN (NEW.from_vessel, NEW.to_vessel)
        AND ((v.kind = 'jar' AND v.by_mark = 0)
             OR (v.kind = 'shelf' AND EXISTS (SELECT 1 FROM through_cup WHERE cup = v.id)))
        AND e.batch = NEW.batch AND e.seq = NEW.entry;
END;
