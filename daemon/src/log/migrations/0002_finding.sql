-- Finding a batch by a part of any word that belongs to it. Derived from the rest, and never the only place of anything.
-- Its rowid is the batch's id; trigrams find parts of words in any case of letters.
CREATE VIRTUAL TABLE found USING fts5 (name, things, words, tokenize = 'trigram');

INSERT INTO found (rowid, name, things, words)
SELECT batch.id, batch.mark || ' ' || batch.recipe,
    coalesce((SELECT group_concat(DISTINCT value) FROM json_tree(batch.procedure)
              WHERE type = 'text' AND json_tree.key IN ('key', 'name')), ''),
    coalesce((SELECT group_concat(json_extract(body, '$.text'), char(10)) FROM entry
              WHERE entry.batch = batch.id AND kind = 'remarked'), '')
FROM batch;

CREATE INDEX batch_opened ON batch (opened);
