-- +goose Up

-- A player's days are looked up among the years before them.
CREATE INDEX set_record_by_day ON set_record (person, day);
CREATE INDEX session_report_by_day ON session_report (person, day);
CREATE INDEX soreness_by_day ON soreness (person, day);
CREATE INDEX pain_by_day ON pain (person, day);
CREATE INDEX match_minutes_by_day ON match_minutes (person, day);
