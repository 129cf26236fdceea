-- +goose Up

-- Mornings move to where the player is: the zone there; empty: the usual one.
ALTER TABLE away ADD COLUMN zone TEXT NOT NULL DEFAULT '';

-- Days on which the player wants no card by itself. A later row wins over an
-- earlier one; until_day before from_day: none.
CREATE TABLE pause (
  id        INTEGER PRIMARY KEY,
  person    INTEGER NOT NULL REFERENCES person (id),
  from_day  TEXT NOT NULL,
  until_day TEXT NOT NULL,
  at        INTEGER NOT NULL
) STRICT;
CREATE INDEX pause_by_person ON pause (person);
