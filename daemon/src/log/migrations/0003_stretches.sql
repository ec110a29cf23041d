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
