CREATE TABLE alert (
  id           INTEGER PRIMARY KEY,
  person       INTEGER NOT NULL REFERENCES person (id),
  squad        INTEGER REFERENCES squad (id),
  kind         TEXT NOT NULL,
  region       TEXT NOT NULL,
  notice       TEXT NOT NULL, -- JSON
  state        TEXT NOT NULL,
  level        INTEGER NOT NULL,
  created_at   INTEGER NOT NULL,
  refreshed_at INTEGER NOT NULL,
  ack_by       INTEGER REFERENCES person (id),
  next_at      INTEGER NOT NULL
) STRICT;
CREATE TABLE alert_transition (
  id        INTEGER PRIMARY KEY,
  alert     INTEGER NOT NULL REFERENCES alert (id),
  state     TEXT NOT NULL,
  by_person INTEGER REFERENCES person (id),
  note      TEXT NOT NULL,
  at        INTEGER NOT NULL
) STRICT;
CREATE TABLE audit (
  id      INTEGER PRIMARY KEY,
  at      INTEGER NOT NULL,
  actor   TEXT NOT NULL, -- empty: the program
  target  TEXT NOT NULL, -- empty: nobody
  action  TEXT NOT NULL,
  detail  TEXT NOT NULL
) STRICT;
CREATE TABLE away (
  id        INTEGER PRIMARY KEY, -- a later row wins over an earlier one
  person    INTEGER NOT NULL REFERENCES person (id),
  from_day  TEXT NOT NULL,
  until_day TEXT NOT NULL,
  place     TEXT NOT NULL, -- empty: the usual place again
  gym       TEXT NOT NULL,
  at        INTEGER NOT NULL
, zone TEXT NOT NULL DEFAULT '') STRICT;
CREATE TABLE card (
  id         INTEGER PRIMARY KEY,
  person     INTEGER NOT NULL REFERENCES person (id),
  day        TEXT NOT NULL,
  slot       TEXT NOT NULL,
  state      TEXT NOT NULL,
  created_at INTEGER NOT NULL,
  UNIQUE (person, day, slot)
) STRICT;
CREATE TABLE card_edit (
  id        INTEGER PRIMARY KEY,
  card      INTEGER NOT NULL REFERENCES card (id),
  rev       INTEGER NOT NULL, -- the latest revision when it was made
  by_person INTEGER REFERENCES person (id),
  at        INTEGER NOT NULL,
  kind      TEXT NOT NULL,
  edit      TEXT NOT NULL -- JSON
) STRICT;
CREATE TABLE card_item (
  id        INTEGER PRIMARY KEY,
  card_rev  INTEGER NOT NULL REFERENCES card_rev (id),
  n         INTEGER NOT NULL,
  slot      TEXT NOT NULL,
  exercise  TEXT NOT NULL,
  method    TEXT NOT NULL,
  scheme    TEXT NOT NULL,
  sets      INTEGER NOT NULL,
  reps      INTEGER NOT NULL,
  load_kind TEXT NOT NULL,
  load      REAL NOT NULL,
  ecc_load  REAL NOT NULL,
  inertia   REAL NOT NULL,
  device    TEXT NOT NULL,
  percent   REAL NOT NULL,
  rir       INTEGER,
  heavy     INTEGER NOT NULL,
  UNIQUE (card_rev, n)
) STRICT;
CREATE TABLE card_rev (
  id         INTEGER PRIMARY KEY,
  card       INTEGER NOT NULL REFERENCES card (id),
  rev        INTEGER NOT NULL,
  engine     TEXT NOT NULL,
  rules      TEXT NOT NULL REFERENCES rules_version (hash),
  programme  TEXT NOT NULL REFERENCES programme_version (hash),
  inputs     TEXT NOT NULL, -- JSON: day, state, calendar, edits
  content    TEXT NOT NULL, -- JSON: the card with its derivation
  created_at INTEGER NOT NULL,
  hash       TEXT NOT NULL, -- SHA-256 of the row
  UNIQUE (card, rev)
) STRICT;
CREATE TABLE change_log (
  id        INTEGER PRIMARY KEY,
  at        INTEGER NOT NULL,
  by_person INTEGER REFERENCES person (id), -- null: an import
  person    INTEGER REFERENCES person (id), -- whose data; null: nobody's
  kind      TEXT NOT NULL,
  what      TEXT NOT NULL,
  was       TEXT NOT NULL,
  became    TEXT NOT NULL
) STRICT;
CREATE TABLE checkpoint (
  id     INTEGER PRIMARY KEY,
  person INTEGER NOT NULL REFERENCES person (id),
  at     INTEGER NOT NULL,
  key    TEXT NOT NULL,
  day    TEXT NOT NULL,
  engine TEXT NOT NULL,
  rules  TEXT NOT NULL,
  state  TEXT NOT NULL, -- JSON
  hash   TEXT NOT NULL, -- SHA-256 of the row
  UNIQUE (person, at, key)
) STRICT;
CREATE TABLE clock (
  one       INTEGER PRIMARY KEY CHECK (one = 1),
  offset_ms INTEGER NOT NULL
) STRICT;
CREATE TABLE club (
  one       INTEGER PRIMARY KEY CHECK (one = 1),
  name      TEXT NOT NULL,
  zone      TEXT NOT NULL,
  language  TEXT NOT NULL,
  emergency TEXT NOT NULL
) STRICT;
CREATE TABLE club_version (
  one INTEGER PRIMARY KEY CHECK (one = 1),
  n   INTEGER NOT NULL
) STRICT;
CREATE TABLE consent (
  id        INTEGER PRIMARY KEY,
  person    INTEGER NOT NULL REFERENCES person (id),
  guardian  INTEGER NOT NULL, -- 1: a parent's or guardian's, for an under-18
  by_person INTEGER REFERENCES person (id), -- who recorded the guardian's
  version   TEXT NOT NULL,
  language  TEXT NOT NULL,
  given     INTEGER NOT NULL, -- 0: withdrawn
  at        INTEGER NOT NULL
) STRICT;
CREATE TABLE dialog (
  chat     INTEGER PRIMARY KEY,
  kind     TEXT NOT NULL,
  args     TEXT NOT NULL,
  card     INTEGER NOT NULL,
  asked_at INTEGER NOT NULL
) STRICT;
CREATE TABLE entry (
  id          INTEGER PRIMARY KEY,
  person      INTEGER NOT NULL REFERENCES person (id),
  source      TEXT NOT NULL,
  received_at INTEGER NOT NULL,
  replaces    INTEGER UNIQUE REFERENCES entry (id)
) STRICT;
CREATE TABLE erasing (
  one INTEGER PRIMARY KEY CHECK (one = 1)
) STRICT;
CREATE TABLE fixture (
  id         INTEGER PRIMARY KEY,
  squad      INTEGER NOT NULL REFERENCES squad (id),
  source     TEXT NOT NULL, -- file it came from; empty: added by hand
  uid        TEXT NOT NULL,
  recurrence TEXT NOT NULL,
  summary    TEXT NOT NULL,
  day        TEXT NOT NULL,
  kickoff_at INTEGER NOT NULL,
  end_at     INTEGER NOT NULL,
  known      INTEGER NOT NULL,
  travel     INTEGER NOT NULL,
  until_day  TEXT NOT NULL,
  cancelled  INTEGER NOT NULL,
  UNIQUE (squad, uid, recurrence)
) STRICT;
CREATE TABLE flywheel_test (
  id       INTEGER PRIMARY KEY,
  person   INTEGER NOT NULL REFERENCES person (id),
  entry    INTEGER NOT NULL REFERENCES entry (id),
  key      TEXT NOT NULL,
  at       INTEGER NOT NULL,
  day      TEXT NOT NULL,
  exercise TEXT NOT NULL,
  device   TEXT NOT NULL,
  inertia  REAL NOT NULL,
  power    REAL NOT NULL -- mean concentric, W
) STRICT;
CREATE TABLE goose_db_version (
		id INTEGER PRIMARY KEY AUTOINCREMENT,
		version_id INTEGER NOT NULL,
		is_applied INTEGER NOT NULL,
		tstamp TIMESTAMP DEFAULT (datetime('now'))
	);
CREATE TABLE gym (
  id   INTEGER PRIMARY KEY,
  slug TEXT NOT NULL UNIQUE,
  name TEXT NOT NULL
) STRICT;
CREATE TABLE gym_setting (
  id       INTEGER PRIMARY KEY,
  gym      INTEGER NOT NULL REFERENCES gym (id),
  from_day TEXT NOT NULL, -- empty: always
  setting  TEXT NOT NULL, -- JSON
  UNIQUE (gym, from_day)
) STRICT;
CREATE TABLE hold (
  id        INTEGER PRIMARY KEY,
  person    INTEGER NOT NULL REFERENCES person (id),
  entry     INTEGER NOT NULL REFERENCES entry (id),
  key       TEXT NOT NULL,
  at        INTEGER NOT NULL,
  day       TEXT NOT NULL,
  hold      TEXT NOT NULL,
  medical   INTEGER NOT NULL,
  region    TEXT NOT NULL,
  max_load  REAL NOT NULL, -- percent of the record; 0 stop
  until_day TEXT NOT NULL
) STRICT;
CREATE TABLE invitation (
  id         INTEGER PRIMARY KEY,
  person     INTEGER NOT NULL REFERENCES person (id),
  by_person  INTEGER REFERENCES person (id),
  code_hash  TEXT NOT NULL UNIQUE,
  created_at INTEGER NOT NULL,
  expires_at INTEGER NOT NULL,
  used_at    INTEGER
) STRICT;
CREATE TABLE match_minutes (
  id      INTEGER PRIMARY KEY,
  person  INTEGER NOT NULL REFERENCES person (id),
  entry   INTEGER NOT NULL REFERENCES entry (id),
  key     TEXT NOT NULL,
  at      INTEGER NOT NULL,
  day     TEXT NOT NULL,
  match   TEXT NOT NULL,
  minutes INTEGER NOT NULL,
  end_at  INTEGER NOT NULL
) STRICT;
CREATE TABLE membership (
  id        INTEGER PRIMARY KEY,
  person    INTEGER NOT NULL REFERENCES person (id),
  squad     INTEGER NOT NULL REFERENCES squad (id),
  from_day  TEXT NOT NULL,
  until_day TEXT NOT NULL -- inclusive; empty: still
) STRICT;
CREATE TABLE message (
  id         INTEGER PRIMARY KEY,
  recipient  INTEGER REFERENCES person (id),
  kind       TEXT NOT NULL,
  ref        INTEGER NOT NULL,
  chat       INTEGER NOT NULL,
  message_id INTEGER NOT NULL,
  at         INTEGER NOT NULL
) STRICT;
CREATE TABLE once_key (
  key TEXT PRIMARY KEY,
  at  INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE outbox (
  id         INTEGER PRIMARY KEY,
  kind       TEXT NOT NULL,
  recipient  INTEGER REFERENCES person (id),
  chat       INTEGER NOT NULL,
  ref        INTEGER NOT NULL,
  rev        INTEGER NOT NULL,
  args       TEXT NOT NULL CHECK (length(args) <= 200),
  priority   INTEGER NOT NULL CHECK (priority BETWEEN 0 AND 9),
  not_before INTEGER NOT NULL,
  expires_at INTEGER NOT NULL, -- 0: never
  dedup      TEXT UNIQUE,
  edit       INTEGER NOT NULL,
  message_id INTEGER NOT NULL,
  attempts   INTEGER NOT NULL DEFAULT 0,
  repeated   INTEGER NOT NULL DEFAULT 0, -- how often it was sent again without knowing
  parts      INTEGER NOT NULL DEFAULT 0, -- of a long message, that have arrived
  state      TEXT NOT NULL DEFAULT 'pending', -- pending, claimed, sent, buried
  reason     TEXT NOT NULL DEFAULT '',
  settled_at INTEGER NOT NULL DEFAULT 0 -- sent or buried
) STRICT;
CREATE TABLE pain (
  id     INTEGER PRIMARY KEY,
  person INTEGER NOT NULL REFERENCES person (id),
  entry  INTEGER NOT NULL REFERENCES entry (id),
  key    TEXT NOT NULL,
  at     INTEGER NOT NULL,
  day    TEXT NOT NULL,
  region TEXT NOT NULL,
  side   TEXT NOT NULL,
  score  INTEGER NOT NULL, -- 0–10
  timing TEXT NOT NULL,
  muscle INTEGER NOT NULL,
  unclear INTEGER NOT NULL -- said to hurt, and not yet where or how much
) STRICT;
CREATE TABLE pause (
  id        INTEGER PRIMARY KEY,
  person    INTEGER NOT NULL REFERENCES person (id),
  from_day  TEXT NOT NULL,
  until_day TEXT NOT NULL,
  at        INTEGER NOT NULL
) STRICT;
CREATE TABLE pending_notice (
  id     INTEGER PRIMARY KEY,
  person INTEGER NOT NULL REFERENCES person (id),
  notice TEXT NOT NULL, -- JSON
  at     INTEGER NOT NULL
) STRICT;
CREATE TABLE person (
  id        INTEGER PRIMARY KEY,
  key       TEXT NOT NULL UNIQUE, -- the club's own id
  pseudo    TEXT NOT NULL UNIQUE,
  name      TEXT NOT NULL,
  language  TEXT NOT NULL, -- empty: the club's
  chosen    INTEGER NOT NULL DEFAULT 0, -- the language was chosen by the person: imports leave it
  user_id   INTEGER UNIQUE,
  chat      INTEGER UNIQUE,
  reachable INTEGER NOT NULL DEFAULT 1,
  phone     TEXT NOT NULL DEFAULT '', -- of staff
  left_at   INTEGER,
  erased_at INTEGER
) STRICT;
CREATE TABLE person_account (
  person  INTEGER NOT NULL REFERENCES person (id),
  user_id INTEGER NOT NULL,
  chat    INTEGER NOT NULL,
  PRIMARY KEY (person, user_id, chat)
) STRICT, WITHOUT ROWID;
CREATE TABLE person_gym (
  id       INTEGER PRIMARY KEY,
  person   INTEGER NOT NULL REFERENCES person (id),
  from_day TEXT NOT NULL,
  gym      TEXT NOT NULL, -- empty: the squad's again
  UNIQUE (person, from_day)
) STRICT;
CREATE TABLE person_zone (
  id       INTEGER PRIMARY KEY,
  person   INTEGER NOT NULL REFERENCES person (id),
  from_day TEXT NOT NULL,
  zone     TEXT NOT NULL, -- empty: the squad's again
  UNIQUE (person, from_day)
) STRICT;
CREATE TABLE phase (
  id        INTEGER PRIMARY KEY,
  squad     INTEGER NOT NULL REFERENCES squad (id),
  phase     TEXT NOT NULL,
  from_day  TEXT NOT NULL,
  until_day TEXT NOT NULL
) STRICT;
CREATE TABLE profile (
  id             INTEGER PRIMARY KEY,
  person         INTEGER NOT NULL REFERENCES person (id),
  entry          INTEGER NOT NULL REFERENCES entry (id),
  key            TEXT NOT NULL,
  at             INTEGER NOT NULL,
  day            TEXT NOT NULL,
  born           TEXT NOT NULL,
  body_mass      REAL NOT NULL, -- kg, 0 unknown
  training_age   INTEGER NOT NULL,
  youth_sign_off INTEGER NOT NULL
) STRICT;
CREATE TABLE programme_use (
  id   INTEGER PRIMARY KEY,
  hash TEXT NOT NULL REFERENCES programme_version (hash),
  at   INTEGER NOT NULL
) STRICT;
CREATE TABLE programme_version (
  hash       TEXT PRIMARY KEY,
  programme  TEXT NOT NULL,
  source     TEXT NOT NULL,
  created_at INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE quarantine (
  id        INTEGER PRIMARY KEY,
  update_id INTEGER NOT NULL,
  raw       BLOB NOT NULL,
  reason    TEXT NOT NULL,
  at        INTEGER NOT NULL
) STRICT;
CREATE TABLE record_answer (
  id       INTEGER PRIMARY KEY,
  person   INTEGER NOT NULL REFERENCES person (id),
  entry    INTEGER NOT NULL REFERENCES entry (id),
  key      TEXT NOT NULL,
  at       INTEGER NOT NULL,
  day      TEXT NOT NULL,
  exercise TEXT NOT NULL,
  side     TEXT NOT NULL,
  set_key  TEXT NOT NULL,
  is_right INTEGER NOT NULL
) STRICT;
CREATE TABLE release (
  id         INTEGER PRIMARY KEY,
  person     INTEGER NOT NULL REFERENCES person (id),
  entry      INTEGER NOT NULL REFERENCES entry (id),
  key        TEXT NOT NULL,
  at         INTEGER NOT NULL,
  day        TEXT NOT NULL,
  medical    INTEGER NOT NULL,
  hold       TEXT NOT NULL,
  region     TEXT NOT NULL,
  max_load   REAL NOT NULL,
  review_day TEXT NOT NULL,
  classified INTEGER NOT NULL,
  reason     TEXT NOT NULL -- of a full release after a warning sign
) STRICT;
CREATE TABLE replan (
  person INTEGER NOT NULL REFERENCES person (id),
  day    TEXT NOT NULL,
  PRIMARY KEY (person, day)
) STRICT, WITHOUT ROWID;
CREATE TABLE row_sum (
  name TEXT PRIMARY KEY,
  sum  INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE rules_use (
  id   INTEGER PRIMARY KEY,
  hash TEXT NOT NULL REFERENCES rules_version (hash),
  at   INTEGER NOT NULL
) STRICT;
CREATE TABLE rules_version (
  hash       TEXT PRIMARY KEY,
  rules      TEXT NOT NULL,
  source     TEXT NOT NULL,
  created_at INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE session_report (
  id       INTEGER PRIMARY KEY,
  person   INTEGER NOT NULL REFERENCES person (id),
  entry    INTEGER NOT NULL REFERENCES entry (id),
  key      TEXT NOT NULL,
  at       INTEGER NOT NULL,
  day      TEXT NOT NULL,
  template TEXT NOT NULL,
  outcome  TEXT NOT NULL,
  reason   TEXT NOT NULL,
  rpe      INTEGER, -- 0–10
  minutes  INTEGER NOT NULL,
  patterns TEXT NOT NULL, -- JSON list
  sets     INTEGER NOT NULL
) STRICT;
CREATE TABLE set_record (
  id         INTEGER PRIMARY KEY,
  person     INTEGER NOT NULL REFERENCES person (id),
  entry      INTEGER NOT NULL REFERENCES entry (id),
  key        TEXT NOT NULL,
  at         INTEGER NOT NULL,
  day        TEXT NOT NULL,
  card_item  INTEGER REFERENCES card_item (id),
  exercise   TEXT NOT NULL,
  side       TEXT NOT NULL,
  load       REAL NOT NULL, -- kg
  unit       TEXT NOT NULL, -- as it was reported: kg or lb
  inertia    REAL NOT NULL, -- kg·m²
  device     TEXT NOT NULL,
  reps       INTEGER NOT NULL,
  asked      INTEGER NOT NULL,
  rir        INTEGER,
  to_fail    INTEGER NOT NULL,
  ordinal    INTEGER NOT NULL,
  test       INTEGER NOT NULL,
  stopped    INTEGER NOT NULL,
  as_written INTEGER NOT NULL,
  unbroken   INTEGER NOT NULL,
  slow       INTEGER NOT NULL,
  scheme     TEXT NOT NULL, -- of the card's item it answers
  intended   REAL NOT NULL  -- percent
) STRICT;
CREATE TABLE soreness (
  id     INTEGER PRIMARY KEY,
  person INTEGER NOT NULL REFERENCES person (id),
  entry  INTEGER NOT NULL REFERENCES entry (id),
  key    TEXT NOT NULL,
  at     INTEGER NOT NULL,
  day    TEXT NOT NULL,
  region TEXT NOT NULL,
  side   TEXT NOT NULL,
  score  INTEGER NOT NULL -- 0–10
) STRICT;
CREATE TABLE squad (
  id          INTEGER PRIMARY KEY,
  slug        TEXT NOT NULL UNIQUE,
  name        TEXT NOT NULL,
  zone        TEXT NOT NULL, -- empty: the club's
  youth       INTEGER NOT NULL,
  gym         TEXT NOT NULL,
  cards_at    INTEGER NOT NULL, -- minutes after midnight, as all times of day here
  evening_at  INTEGER NOT NULL,
  digest_at   INTEGER NOT NULL,
  strength_at INTEGER NOT NULL,
  cut_off     INTEGER NOT NULL,
  quiet_from  INTEGER NOT NULL,
  quiet_to    INTEGER NOT NULL,
  review      TEXT NOT NULL,
  unapproved  TEXT NOT NULL,
  off_days    TEXT NOT NULL, -- weekdays, 0 Sunday, as "0,6"
  pitch_days  TEXT NOT NULL,
  md1_option  INTEGER NOT NULL
, weekly_on TEXT NOT NULL DEFAULT 'monday', monthly INTEGER NOT NULL DEFAULT 1) STRICT;
CREATE TABLE staff_role (
  id        INTEGER PRIMARY KEY,
  person    INTEGER NOT NULL REFERENCES person (id),
  squad     INTEGER NOT NULL REFERENCES squad (id),
  role      TEXT NOT NULL,
  ord       INTEGER NOT NULL,
  from_day  TEXT NOT NULL,
  until_day TEXT NOT NULL
) STRICT;
CREATE TABLE warning_sign (
  id     INTEGER PRIMARY KEY,
  person INTEGER NOT NULL REFERENCES person (id),
  entry  INTEGER NOT NULL REFERENCES entry (id),
  key    TEXT NOT NULL,
  at     INTEGER NOT NULL,
  day    TEXT NOT NULL,
  sign   TEXT NOT NULL,
  region TEXT NOT NULL
) STRICT;
INSERT INTO alert VALUES (1, 7, 1, 'pain', 'knee', '{"kind":"pain","region":"knee","urgent":false,"to":4,"args":[{"name":"score","kind":"score","num":7}]}', 'open', 0, 1772607600000, 1772607600000, NULL, 0);
INSERT INTO alert_transition VALUES (1, 1, 'open', NULL, '', 1772607600000);
INSERT INTO audit VALUES (1, 1772607600000, '', 'p8e4a270c7028bc88', 'invite', '');
INSERT INTO audit VALUES (2, 1772607600000, 'p8e4a270c7028bc88', 'p8e4a270c7028bc88', 'join', '');
INSERT INTO away VALUES (1, 7, '2026-03-06', '2026-03-07', 'hotel', 'hotel', 1772607600000, '');
INSERT INTO card VALUES (1, 7, '2026-03-04', 'main', 'draft', 1772607600000);
INSERT INTO card_edit VALUES (1, 1, 1, NULL, 1772607600000, 'approve', '{"at":1772607600000,"kind":"approve"}');
INSERT INTO card_rev VALUES (1, 1, 1, '1', 'f1a14a2b12f44a524691b9275a7e694b', '2a3fdde368198b9ee8ba7fe9a845903d', '{"state":{"profile":{"born":"2000-05-06","body_mass":78},"lifts":{"back_squat":{"mean":4.910938988266316,"var":0.004231741372317485,"day":"2026-03-04","seen":"2026-03-04","exact":{"key":"m:700001:1#000","y":4.816192376769957,"r":0.004986836192596435,"n":7,"min":4.7163233507821944,"rep":true,"day":"2026-03-04"},"on_curve":0.10536051565782628,"on_report":0.03334568724933614,"exact_day":"2026-03-04","sets":3,"exacts":2,"reported":0.030312310908217385,"curve":{"sets":1,"low":7,"high":7,"w":1,"t":-0.18632957819149348,"e":-0.0947466114963591,"tt":0.034718711709019884,"te":0.0176540961551899},"recent":[{"key":"import:tests:9:2026-02-12:back_squat:1#000","day":"2026-02-12","total":120,"reps":3,"rir":1,"as":"exact","one_rm":133.33333333333326},{"key":"import:tests:9:2026-02-12:back_squat:2#000","day":"2026-02-12","total":125,"reps":2,"rir":0,"as":"exact","one_rm":131.57894736842104},{"key":"m:700001:1#000","day":"2026-03-04","total":102.5,"reps":5,"rir":2,"as":"exact","one_rm":123.4939759036145}]}},"sore":{"hamstring":{"region":"hamstring","score":5,"at":1772607600000}},"pain":{"knee":{"region":"knee","score":4,"day":"2026-03-04","weeks":[{"monday":"2026-03-02","max":4}],"high":[{"score":4,"day":"2026-03-04","at":1772607600000}],"open":true}},"matches":[{"id":"m2","day":"2026-02-28","end":1772311500000,"minutes":90}],"exposed":{"back_squat":[{"day":"2026-02-12","sets":2,"reps":5},{"day":"2026-03-04","sets":1,"reps":5}]},"heavy":"2026-02-12","last":{"back_squat":[{"day":"2026-03-04","load":102.5,"sets":1,"reps":5,"rir":2}]},"rir_day":"2026-03-04","trained":"2026-03-04","now":"2026-03-04"},"calendar":{"days":[{"day":"2026-02-18","phase":"season","setting":"main","start":1771410600000},{"day":"2026-02-19","phase":"season","setting":"main","start":1771497000000,"pitch":true},{"day":"2026-02-20","phase":"season","setting":"main","start":1771583400000},{"day":"2026-02-21","phase":"season","setting":"main","start":1771669800000},{"day":"2026-02-22","phase":"season","setting":"main","start":1771756200000,"off":true},{"day":"2026-02-23","phase":"season","setting":"main","start":1771842600000},{"day":"2026-02-24","phase":"season","setting":"main","start":1771929000000,"pitch":true},{"day":"2026-02-25","phase":"season","setting":"main","start":1772015400000},{"day":"2026-02-26","phase":"season","setting":"main","start":1772101800000,"pitch":true},{"day":"2026-02-27","phase":"season","setting":"main","start":1772188200000},{"day":"2026-02-28","phase":"season","setting":"main","start":1772274600000},{"day":"2026-03-01","phase":"season","setting":"main","start":1772361000000,"off":true},{"day":"2026-03-02","phase":"season","setting":"main","start":1772447400000},{"day":"2026-03-03","phase":"season","setting":"main","start":1772533800000,"pitch":true},{"day":"2026-03-04","phase":"season","setting":"main","start":1772620200000},{"day":"2026-03-05","phase":"season","setting":"main","start":1772706600000,"pitch":true},{"day":"2026-03-06","phase":"season","setting":"main","start":1772793000000},{"day":"2026-03-07","phase":"season","setting":"main","start":1772879400000},{"day":"2026-03-08","phase":"season","setting":"main","start":1772965800000,"off":true},{"day":"2026-03-09","phase":"season","setting":"main","start":1773052200000},{"day":"2026-03-10","phase":"season","setting":"main","start":1773138600000,"pitch":true},{"day":"2026-03-11","phase":"season","setting":"main","start":1773225000000},{"day":"2026-03-12","phase":"season","setting":"main","start":1773311400000,"pitch":true},{"day":"2026-03-13","phase":"season","setting":"main","start":1773397800000},{"day":"2026-03-14","phase":"season","setting":"main","start":1773484200000},{"day":"2026-03-15","phase":"season","setting":"main","start":1773570600000,"off":true},{"day":"2026-03-16","phase":"season","setting":"main","start":1773657000000},{"day":"2026-03-17","phase":"season","setting":"main","start":1773743400000,"pitch":true},{"day":"2026-03-18","phase":"season","setting":"main","start":1773829800000},{"day":"2026-03-19","phase":"season","setting":"main","start":1773916200000,"pitch":true},{"day":"2026-03-20","phase":"season","setting":"main","start":1774002600000},{"day":"2026-03-21","phase":"season","setting":"main","start":1774089000000},{"day":"2026-03-22","phase":"season","setting":"main","start":1774175400000,"off":true},{"day":"2026-03-23","phase":"season","setting":"main","start":1774261800000},{"day":"2026-03-24","phase":"season","setting":"main","start":1774348200000,"pitch":true},{"day":"2026-03-25","phase":"season","setting":"main","start":1774434600000}],"matches":[{"id":"m2","day":"2026-02-28","kickoff":1772305200000,"end":1772311500000,"known":true},{"id":"m1","day":"2026-03-07","kickoff":1772895600000,"end":1772901900000,"known":true}],"settings":{"main":{"place":"gym","supervised":true,"equipment":{"bars":[{"kind":"straight","mass":20},{"kind":"trap","mass":25}],"plates":[{"mass":25,"pairs":4},{"mass":10,"pairs":2},{"mass":5,"pairs":2},{"mass":2.5,"pairs":2},{"mass":1.25,"pairs":1}],"dumbbells":[10,12.5,15,20],"flywheels":[{"device":"box","inertias":[0.05,0.1]}],"has":["rack","bench","ankle_anchor"]}}}},"day":"2026-03-04"}', '{"day":"2026-03-04","engine":"1","rules_hash":"f1a14a2b12f44a524691b9275a7e694b","kind":"withheld","match_day":"MD-3","setting":"main","supervised":true,"reasons":[{"code":"slot.dropped","args":[{"name":"slot","kind":"id","id":"squat"},{"name":"exercise","kind":"exercise","id":"back_squat"},{"name":"cause","kind":"id","id":"restricted"}],"see":7},{"code":"stop.reported","rules":["pain.ask_from"],"args":[{"name":"region","kind":"region","id":"knee"},{"name":"score","kind":"score","num":4}],"see":5},{"code":"stop.restricted","see":10},{"code":"slot.dropped","args":[{"name":"slot","kind":"id","id":"nordic"},{"name":"exercise","kind":"exercise","id":"nordic_hamstring"},{"name":"cause","kind":"id","id":"restricted"}],"see":7},{"code":"rest.nothing_left","see":7}]}', 1772607600000, '983aec6c782269d97ddb60c0ca2d1d0669835744558703866319030e3f5982fb');
INSERT INTO change_log VALUES (1, 1772607600000, NULL, NULL, 'club', 'club Brackwater Rovers', '', 'new');
INSERT INTO change_log VALUES (2, 1772607600000, NULL, NULL, 'gym', 'gym main', '', 'new');
INSERT INTO change_log VALUES (3, 1772607600000, NULL, NULL, 'gym', 'gym hotel', '', 'new');
INSERT INTO change_log VALUES (4, 1772607600000, NULL, NULL, 'squad', 'squad first', '', 'new');
INSERT INTO change_log VALUES (5, 1772607600000, NULL, NULL, 'squad', 'squad academy', '', 'new');
INSERT INTO change_log VALUES (6, 1772607600000, NULL, 1, 'staff', 'staff sc', '', 'Orla Strand');
INSERT INTO change_log VALUES (7, 1772607600000, NULL, 1, 'staff', 'staff sc', '', 'strength_coach of academy');
INSERT INTO change_log VALUES (8, 1772607600000, NULL, 1, 'staff', 'staff sc', '', 'strength_coach of first');
INSERT INTO change_log VALUES (9, 1772607600000, NULL, 2, 'staff', 'staff doc', '', 'Ines Quay');
INSERT INTO change_log VALUES (10, 1772607600000, NULL, 2, 'staff', 'staff doc', '', 'medical of academy');
INSERT INTO change_log VALUES (11, 1772607600000, NULL, 2, 'staff', 'staff doc', '', 'medical of first');
INSERT INTO change_log VALUES (12, 1772607600000, NULL, 3, 'staff', 'staff phys', '', 'Bram Oarsman');
INSERT INTO change_log VALUES (13, 1772607600000, NULL, 3, 'staff', 'staff phys', '', 'medical of first');
INSERT INTO change_log VALUES (14, 1772607600000, NULL, 4, 'staff', 'staff head', '', 'Piet Harbourer');
INSERT INTO change_log VALUES (15, 1772607600000, NULL, 4, 'staff', 'staff head', '', 'head_coach of academy');
INSERT INTO change_log VALUES (16, 1772607600000, NULL, 4, 'staff', 'staff head', '', 'head_coach of first');
INSERT INTO change_log VALUES (17, 1772607600000, NULL, 5, 'staff', 'staff safe', '', 'Una Keel');
INSERT INTO change_log VALUES (18, 1772607600000, NULL, 5, 'staff', 'staff safe', '', 'safeguarding of academy');
INSERT INTO change_log VALUES (19, 1772607600000, NULL, 5, 'staff', 'staff safe', '', 'safeguarding of first');
INSERT INTO change_log VALUES (20, 1772607600000, NULL, 6, 'staff', 'staff adm', '', 'Rosa Ledger');
INSERT INTO change_log VALUES (21, 1772607600000, NULL, 6, 'staff', 'staff adm', '', 'administrator of academy');
INSERT INTO change_log VALUES (22, 1772607600000, NULL, 6, 'staff', 'staff adm', '', 'administrator of first');
INSERT INTO change_log VALUES (23, 1772607600000, NULL, NULL, 'programme', 'programme Season', '', 'new');
INSERT INTO change_log VALUES (24, 1772607600000, NULL, NULL, 'rules', 'rule pain.stop_above', '5 of 10', '4 of 10');
INSERT INTO change_log VALUES (25, 1772607600000, NULL, 7, 'player', 'player 9', '', 'Tomas Windlass, first');
INSERT INTO change_log VALUES (26, 1772607600000, NULL, 8, 'player', 'player 10', '', 'Ivo Bollard, first');
INSERT INTO change_log VALUES (27, 1772607600000, NULL, 9, 'player', 'player 41', '', 'Sami Capstan, academy');
INSERT INTO change_log VALUES (28, 1772607600000, NULL, NULL, 'fixture', 'fixture v Saltmarsh', '', '2026-03-07, 15:00 UTC to 16:45');
INSERT INTO change_log VALUES (29, 1772607600000, NULL, NULL, 'fixture', 'fixture v Kelpford', '', '2026-02-28, 19:00 UTC to 20:45');
INSERT INTO change_log VALUES (30, 1772607600000, NULL, 7, 'test', 'player 9 · 2026-02-12 · back_squat', '', '3 × 120 kg, 1 in reserve');
INSERT INTO change_log VALUES (31, 1772607600000, NULL, 7, 'test', 'player 9 · 2026-02-12 · back_squat', '', '2 × 125 kg, 0 in reserve');
INSERT INTO change_log VALUES (32, 1772607600000, NULL, 8, 'test', 'player 10 · 2026-02-12 · flywheel_squat', '', '700 W on box, 0.05 kg·m²');
INSERT INTO change_log VALUES (33, 1772607600000, NULL, 7, 'minutes', 'player 9 · 2026-02-28 · v Kelpford', '', '90 min');
INSERT INTO checkpoint VALUES (1, 7, 957571200000, 'import:profile:9#000', '2000-05-06', '1', 'f1a14a2b12f44a524691b9275a7e694b', '{"profile":{"born":"2000-05-06","body_mass":78},"now":"2000-05-06"}', '03d1491c4d5614d94f87a43b176e2960fb64b1777c92e3737fe546cb6d6d2f1b');
INSERT INTO checkpoint VALUES (2, 8, 883699200000, 'import:profile:10#000', '1998-01-02', '1', 'f1a14a2b12f44a524691b9275a7e694b', '{"profile":{"born":"1998-01-02","body_mass":82.5},"now":"1998-01-02"}', '45a94eb6106930af9163e1276b21a512d73c59870fbab97b52a8bf8afa407453');
INSERT INTO checkpoint VALUES (3, 9, 1252454400000, 'import:profile:41#000', '2009-09-09', '1', 'f1a14a2b12f44a524691b9275a7e694b', '{"profile":{"born":"2009-09-09","body_mass":66},"now":"2009-09-09"}', 'd1339365966d8a1017f1dd6e276f9bf7ff618df5825c87a66724303b5e883d32');
INSERT INTO checkpoint VALUES (5, 7, 1770892320000, 'import:tests:9:2026-02-12:back_squat:2#000', '2026-02-12', '1', 'f1a14a2b12f44a524691b9275a7e694b', '{"profile":{"born":"2000-05-06","body_mass":78},"lifts":{"back_squat":{"day":"2026-02-12","seen":"2026-02-12","exact":{"key":"import:tests:9:2026-02-12:back_squat:1#000","y":4.892852258439872,"r":0.003451934858130539,"n":4,"min":4.815118025508393,"test":true,"rep":true,"day":"2026-02-12"},"atleast":{"key":"import:tests:9:2026-02-12:back_squat:2#000","y":4.836851915036988,"r":0.0004,"n":2,"min":4.836851915036988,"test":true,"fail":true,"day":"2026-02-12"},"exact_day":"2026-02-12","sets":2,"exacts":1,"reported":0.03334568724933614,"recent":[{"key":"import:tests:9:2026-02-12:back_squat:1#000","day":"2026-02-12","total":120,"reps":3,"rir":1,"as":"exact","one_rm":133.33333333333326},{"key":"import:tests:9:2026-02-12:back_squat:2#000","day":"2026-02-12","total":125,"reps":2,"rir":0,"as":"exact","one_rm":131.57894736842104}]}},"exposed":{"back_squat":[{"day":"2026-02-12","sets":2,"reps":5}]},"heavy":"2026-02-12","last":{"back_squat":[{"day":"2026-02-12","load":120,"sets":2,"reps":2,"rir":1}]},"rir_day":"2026-02-12","now":"2026-02-12"}', '47090001ff0109af6821af208aa8160cbf5adae5fb23fdc789917ae41b4cfa0b');
INSERT INTO checkpoint VALUES (6, 8, 1770888660000, 'import:tests:10:2026-02-12:flywheel_squat:1#000', '2026-02-12', '1', 'f1a14a2b12f44a524691b9275a7e694b', '{"profile":{"born":"1998-01-02","body_mass":82.5},"power":{"flywheel_squat@box":{"device":"box","tests":[{"inertia":0.05,"power":700,"day":"2026-02-12"}]}},"now":"2026-02-12"}', '3655f89a5806f6af78e683534c37ab2a34cf34f6d7846f8acd712f04095f4dc6');
INSERT INTO checkpoint VALUES (7, 7, 1772311500000, 'minutes:m2#000', '2026-02-28', '1', 'f1a14a2b12f44a524691b9275a7e694b', '{"profile":{"born":"2000-05-06","body_mass":78},"lifts":{"back_squat":{"day":"2026-02-12","seen":"2026-02-12","exact":{"key":"import:tests:9:2026-02-12:back_squat:1#000","y":4.892852258439872,"r":0.003451934858130539,"n":4,"min":4.815118025508393,"test":true,"rep":true,"day":"2026-02-12"},"atleast":{"key":"import:tests:9:2026-02-12:back_squat:2#000","y":4.836851915036988,"r":0.0004,"n":2,"min":4.836851915036988,"test":true,"fail":true,"day":"2026-02-12"},"exact_day":"2026-02-12","sets":2,"exacts":1,"reported":0.03334568724933614,"recent":[{"key":"import:tests:9:2026-02-12:back_squat:1#000","day":"2026-02-12","total":120,"reps":3,"rir":1,"as":"exact","one_rm":133.33333333333326},{"key":"import:tests:9:2026-02-12:back_squat:2#000","day":"2026-02-12","total":125,"reps":2,"rir":0,"as":"exact","one_rm":131.57894736842104}]}},"matches":[{"id":"m2","day":"2026-02-28","end":1772311500000,"minutes":90}],"exposed":{"back_squat":[{"day":"2026-02-12","sets":2,"reps":5}]},"heavy":"2026-02-12","last":{"back_squat":[{"day":"2026-02-12","load":120,"sets":2,"reps":2,"rir":1}]},"rir_day":"2026-02-12","now":"2026-02-28"}', '83b78664025680d588351b82cb0468e98b54da89e6bbdb282a38e1c20751c974');
INSERT INTO checkpoint VALUES (8, 7, 1772607600000, 'm:700001:1#002', '2026-03-04', '1', 'f1a14a2b12f44a524691b9275a7e694b', '{"profile":{"born":"2000-05-06","body_mass":78},"lifts":{"back_squat":{"mean":4.910938988266316,"var":0.004231741372317485,"day":"2026-03-04","seen":"2026-03-04","exact":{"key":"m:700001:1#000","y":4.816192376769957,"r":0.004986836192596435,"n":7,"min":4.7163233507821944,"rep":true,"day":"2026-03-04"},"on_curve":0.10536051565782628,"on_report":0.03334568724933614,"exact_day":"2026-03-04","sets":3,"exacts":2,"reported":0.030312310908217385,"curve":{"sets":1,"low":7,"high":7,"w":1,"t":-0.18632957819149348,"e":-0.0947466114963591,"tt":0.034718711709019884,"te":0.0176540961551899},"recent":[{"key":"import:tests:9:2026-02-12:back_squat:1#000","day":"2026-02-12","total":120,"reps":3,"rir":1,"as":"exact","one_rm":133.33333333333326},{"key":"import:tests:9:2026-02-12:back_squat:2#000","day":"2026-02-12","total":125,"reps":2,"rir":0,"as":"exact","one_rm":131.57894736842104},{"key":"m:700001:1#000","day":"2026-03-04","total":102.5,"reps":5,"rir":2,"as":"exact","one_rm":123.4939759036145}]}},"sore":{"hamstring":{"region":"hamstring","score":5,"at":1772607600000}},"pain":{"knee":{"region":"knee","score":4,"day":"2026-03-04","weeks":[{"monday":"2026-03-02","max":4}],"high":[{"score":4,"day":"2026-03-04","at":1772607600000}],"open":true}},"matches":[{"id":"m2","day":"2026-02-28","end":1772311500000,"minutes":90}],"exposed":{"back_squat":[{"day":"2026-02-12","sets":2,"reps":5},{"day":"2026-03-04","sets":1,"reps":5}]},"heavy":"2026-02-12","last":{"back_squat":[{"day":"2026-03-04","load":102.5,"sets":1,"reps":5,"rir":2}]},"rir_day":"2026-03-04","trained":"2026-03-04","now":"2026-03-04"}', '77146889f89d359765a655855f2bb3e5f931ad5f77eb615858bc24d1d5a27810');
INSERT INTO club VALUES (1, 'Brackwater Rovers', 'Europe/Dublin', 'en', '112');
INSERT INTO consent VALUES (1, 7, 0, NULL, '1', 'en', 1, 1772607600000);
INSERT INTO dialog VALUES (700001, 'rpe', '{}', 1, 1772607600000);
INSERT INTO entry VALUES (1, 7, 'import:profile:9', 1772607600000, NULL);
INSERT INTO entry VALUES (2, 8, 'import:profile:10', 1772607600000, NULL);
INSERT INTO entry VALUES (3, 9, 'import:profile:41', 1772607600000, NULL);
INSERT INTO entry VALUES (4, 7, 'import:tests:9:2026-02-12:back_squat:1', 1772607600000, NULL);
INSERT INTO entry VALUES (5, 7, 'import:tests:9:2026-02-12:back_squat:2', 1772607600000, NULL);
INSERT INTO entry VALUES (6, 8, 'import:tests:10:2026-02-12:flywheel_squat:1', 1772607600000, NULL);
INSERT INTO entry VALUES (7, 7, 'minutes:m2', 1772607600000, NULL);
INSERT INTO entry VALUES (8, 7, 'm:700001:1', 1772607600000, NULL);
INSERT INTO entry VALUES (9, 7, 'm:700001:1', 1772607660000, 8);
INSERT INTO fixture VALUES (1, 1, 'fixtures.ics', 'Saltmarsh', '', 'v Saltmarsh', '2026-03-07', 1772895600000, 1772901900000, 1, 0, '', 0);
INSERT INTO fixture VALUES (2, 1, 'fixtures.ics', 'Kelpford', '', 'v Kelpford', '2026-02-28', 1772305200000, 1772311500000, 1, 0, '', 0);
INSERT INTO flywheel_test VALUES (1, 8, 6, 'import:tests:10:2026-02-12:flywheel_squat:1#000', 1770888660000, '2026-02-12', 'flywheel_squat', 'box', 0.05, 700.0);
INSERT INTO gym VALUES (1, 'main', 'Main gym');
INSERT INTO gym VALUES (2, 'hotel', 'Hotel');
INSERT INTO gym_setting VALUES (1, 1, '', '{"place":"gym","supervised":true,"equipment":{"bars":[{"kind":"straight","mass":20},{"kind":"trap","mass":25}],"plates":[{"mass":25,"pairs":4},{"mass":10,"pairs":2},{"mass":5,"pairs":2},{"mass":2.5,"pairs":2},{"mass":1.25,"pairs":1}],"dumbbells":[10,12.5,15,20],"flywheels":[{"device":"box","inertias":[0.05,0.1]}],"has":["rack","bench","ankle_anchor"]}}');
INSERT INTO gym_setting VALUES (2, 2, '', '{"place":"hotel","supervised":false,"equipment":{"dumbbells":[10]}}');
INSERT INTO invitation VALUES (1, 7, NULL, 'c941c414f739955fcdfedef6afc80c087aea240747dfea0353d6c096aab6edbb', 1772607600000, 1772694000000, 1772607600000);
INSERT INTO match_minutes VALUES (1, 7, 7, 'minutes:m2#000', 1772311500000, '2026-02-28', 'm2', 90, 1772311500000);
INSERT INTO membership VALUES (1, 7, 1, '2025-07-01', '');
INSERT INTO membership VALUES (2, 8, 1, '2025-07-01', '');
INSERT INTO membership VALUES (3, 9, 2, '2025-07-01', '');
INSERT INTO message VALUES (1, 7, 'card', 1, 700001, 11, 1772607600000);
INSERT INTO once_key VALUES ('m:700001:1', 1772607600000);
INSERT INTO outbox VALUES (1, 'card', 7, 700001, 1, 1, '', 0, 0, 0, 'card/1', 0, 11, 0, 0, 0, 'sent', '', 1772607600000);
INSERT INTO pain VALUES (1, 7, 8, 'm:700001:1#002', 1772607600000, '2026-03-04', 'knee', '', 4, '', 0, 0);
INSERT INTO pain VALUES (2, 7, 9, 'm:700001:1#002', 1772607600000, '2026-03-04', 'knee', '', 4, '', 0, 0);
INSERT INTO person VALUES (1, 'sc', 'p0e42d4cae8864908', 'Orla Strand', '', 0, NULL, NULL, 1, '', NULL, NULL);
INSERT INTO person VALUES (2, 'doc', 'pe0b8c7520e360aa4', 'Ines Quay', '', 0, NULL, NULL, 1, '', NULL, NULL);
INSERT INTO person VALUES (3, 'phys', 'p04427c9053d9a667', 'Bram Oarsman', '', 0, NULL, NULL, 1, '', NULL, NULL);
INSERT INTO person VALUES (4, 'head', 'pbe544c14e69fa482', 'Piet Harbourer', '', 0, NULL, NULL, 1, '', NULL, NULL);
INSERT INTO person VALUES (5, 'safe', 'p33703b7158a07611', 'Una Keel', '', 0, NULL, NULL, 1, '', NULL, NULL);
INSERT INTO person VALUES (6, 'adm', 'pce9337376b0e4da8', 'Rosa Ledger', '', 0, NULL, NULL, 1, '', NULL, NULL);
INSERT INTO person VALUES (7, '9', 'p8e4a270c7028bc88', 'Tomas Windlass', '', 0, 700001, 700001, 1, '', NULL, NULL);
INSERT INTO person VALUES (8, '10', 'p4f8f789f44ebb18e', 'Ivo Bollard', '', 0, NULL, NULL, 1, '', NULL, NULL);
INSERT INTO person VALUES (9, '41', 'paefca77286015ec2', 'Sami Capstan', 'pt', 0, NULL, NULL, 1, '', NULL, NULL);
INSERT INTO person_account VALUES (7, 700001, 700001);
INSERT INTO person_zone VALUES (1, 8, '', 'Europe/Madrid');
INSERT INTO phase VALUES (1, 1, 'pre_season', '2025-07-01', '2025-08-08');
INSERT INTO phase VALUES (2, 1, 'season', '2025-08-09', '2026-05-24');
INSERT INTO phase VALUES (3, 2, 'pre_season', '2025-07-01', '2025-08-08');
INSERT INTO phase VALUES (4, 2, 'season', '2025-08-09', '2026-05-24');
INSERT INTO profile VALUES (1, 7, 1, 'import:profile:9#000', 957571200000, '2000-05-06', '2000-05-06', 78.0, 0, 0);
INSERT INTO profile VALUES (2, 8, 2, 'import:profile:10#000', 883699200000, '1998-01-02', '1998-01-02', 82.5, 0, 0);
INSERT INTO profile VALUES (3, 9, 3, 'import:profile:41#000', 1252454400000, '2009-09-09', '2009-09-09', 66.0, 0, 0);
INSERT INTO programme_use VALUES (1, '2a3fdde368198b9ee8ba7fe9a845903d', 1772607600000);
INSERT INTO programme_version VALUES ('2a3fdde368198b9ee8ba7fe9a845903d', '{"name":"Season","doses":[{"phase":"season","sessions":2,"crowded":1,"working_sets":4,"exercises":2,"nordic_weekly":1,"flywheel_weekly":0}],"sessions":[{"id":"main-a","phase":"season","slots":[{"id":"squat","pattern":"squat","method":"traditional","scheme":"percent","candidates":["back_squat"],"sets":4,"min_sets":2,"reps":5,"intensity":85,"rir":1},{"id":"nordic","pattern":"knee_flexion","method":"eccentric","scheme":"nordic","candidates":["nordic_hamstring"],"sets":2,"min_sets":1,"reps":5,"rir":0}]}]}', 'name = "Season"', 1772607600000);
INSERT INTO rules_use VALUES (1, 'f1a14a2b12f44a524691b9275a7e694b', 1772607600000);
INSERT INTO rules_version VALUES ('f1a14a2b12f44a524691b9275a7e694b', '{"pain.stop_above":4}', 'pain', 1772607600000);
INSERT INTO set_record VALUES (1, 7, 4, 'import:tests:9:2026-02-12:back_squat:1#000', 1770892260000, '2026-02-12', NULL, 'back_squat', '', 120.0, 'kg', 0.0, '', 3, 0, 1, 0, 1, 1, 0, 0, 0, 0, '', 0.0);
INSERT INTO set_record VALUES (2, 7, 5, 'import:tests:9:2026-02-12:back_squat:2#000', 1770892320000, '2026-02-12', NULL, 'back_squat', '', 125.0, 'lb', 0.0, '', 2, 0, 0, 0, 2, 1, 0, 0, 0, 0, '', 0.0);
INSERT INTO set_record VALUES (3, 7, 8, 'm:700001:1#000', 1772607600000, '2026-03-04', NULL, 'back_squat', '', 100.0, 'kg', 0.0, '', 5, 0, 2, 0, 1, 0, 0, 0, 0, 0, '', 0.0);
INSERT INTO set_record VALUES (4, 7, 9, 'm:700001:1#000', 1772607600000, '2026-03-04', NULL, 'back_squat', '', 102.5, 'kg', 0.0, '', 5, 0, 2, 0, 1, 0, 0, 0, 0, 0, '', 0.0);
INSERT INTO soreness VALUES (1, 7, 8, 'm:700001:1#001', 1772607600000, '2026-03-04', 'hamstring', '', 5);
INSERT INTO soreness VALUES (2, 7, 9, 'm:700001:1#001', 1772607600000, '2026-03-04', 'hamstring', '', 5);
INSERT INTO squad VALUES (1, 'first', 'First team', '', 0, 'main', 420, 1080, 1200, 630, 840, 1320, 420, 'look', 'go', '0', '2,4', 0, '', 0);
INSERT INTO squad VALUES (2, 'academy', 'Academy', 'Atlantic/Azores', 1, 'main', 420, 1080, 1200, 630, 840, 1320, 420, 'look', 'go', '0', '2,4', 1, '', 0);
INSERT INTO staff_role VALUES (1, 1, 2, 'strength_coach', 0, '2026-03-04', '');
INSERT INTO staff_role VALUES (2, 1, 1, 'strength_coach', 0, '2026-03-04', '');
INSERT INTO staff_role VALUES (3, 2, 2, 'medical', 1, '2026-03-04', '');
INSERT INTO staff_role VALUES (4, 2, 1, 'medical', 1, '2026-03-04', '');
INSERT INTO staff_role VALUES (5, 3, 1, 'medical', 2, '2026-03-04', '');
INSERT INTO staff_role VALUES (6, 4, 2, 'head_coach', 0, '2026-03-04', '');
INSERT INTO staff_role VALUES (7, 4, 1, 'head_coach', 0, '2026-03-04', '');
INSERT INTO staff_role VALUES (8, 5, 2, 'safeguarding', 0, '2026-03-04', '');
INSERT INTO staff_role VALUES (9, 5, 1, 'safeguarding', 0, '2026-03-04', '');
INSERT INTO staff_role VALUES (10, 6, 2, 'administrator', 0, '2026-03-04', '');
INSERT INTO staff_role VALUES (11, 6, 1, 'administrator', 0, '2026-03-04', '');
INSERT INTO club_version VALUES (1, 15);
INSERT INTO row_sum VALUES ('alert', -7756010028385700061);
INSERT INTO row_sum VALUES ('alert_transition', 657674633854072596);
INSERT INTO row_sum VALUES ('audit', -8976857007237469511);
INSERT INTO row_sum VALUES ('away', -5285578682010241756);
INSERT INTO row_sum VALUES ('card', -5194552827476336817);
INSERT INTO row_sum VALUES ('card_edit', 1022341340146992275);
INSERT INTO row_sum VALUES ('card_item', 0);
INSERT INTO row_sum VALUES ('card_rev', -6005157641545965229);
INSERT INTO row_sum VALUES ('change_log', 2443363507525373412);
INSERT INTO row_sum VALUES ('checkpoint', -4779151106676688114);
INSERT INTO row_sum VALUES ('clock', 0);
INSERT INTO row_sum VALUES ('club', -5580208473573112823);
INSERT INTO row_sum VALUES ('club_version', -1580842861370790997);
INSERT INTO row_sum VALUES ('consent', -6850225787637646396);
INSERT INTO row_sum VALUES ('dialog', 8688998878051871904);
INSERT INTO row_sum VALUES ('entry', -3197305543174373742);
INSERT INTO row_sum VALUES ('erasing', 0);
INSERT INTO row_sum VALUES ('fixture', -5746334261881692205);
INSERT INTO row_sum VALUES ('flywheel_test', 580381159060887412);
INSERT INTO row_sum VALUES ('goose_db_version', 7096997122246090876);
INSERT INTO row_sum VALUES ('gym', 6189122954103300672);
INSERT INTO row_sum VALUES ('gym_setting', 6215289047221001408);
INSERT INTO row_sum VALUES ('hold', 0);
INSERT INTO row_sum VALUES ('invitation', -364773353671413879);
INSERT INTO row_sum VALUES ('match_minutes', 4067431891887336757);
INSERT INTO row_sum VALUES ('membership', -5315404586841589899);
INSERT INTO row_sum VALUES ('message', 4038387709328051581);
INSERT INTO row_sum VALUES ('once_key', 3203697862620059361);
INSERT INTO row_sum VALUES ('outbox', -231486641186582460);
INSERT INTO row_sum VALUES ('pain', -5740687836591451682);
INSERT INTO row_sum VALUES ('pause', 0);
INSERT INTO row_sum VALUES ('pending_notice', 0);
INSERT INTO row_sum VALUES ('person', -3919527947066928247);
INSERT INTO row_sum VALUES ('person_account', -5033171662541936333);
INSERT INTO row_sum VALUES ('person_gym', 0);
INSERT INTO row_sum VALUES ('person_zone', -6850337332111074557);
INSERT INTO row_sum VALUES ('phase', 4679320341882796374);
INSERT INTO row_sum VALUES ('profile', 7100114485935347439);
INSERT INTO row_sum VALUES ('programme_use', 458889441039813284);
INSERT INTO row_sum VALUES ('programme_version', 376318291983732407);
INSERT INTO row_sum VALUES ('quarantine', 0);
INSERT INTO row_sum VALUES ('record_answer', 0);
INSERT INTO row_sum VALUES ('release', 0);
INSERT INTO row_sum VALUES ('replan', 0);
INSERT INTO row_sum VALUES ('rules_use', -5524929354017240861);
INSERT INTO row_sum VALUES ('rules_version', -2794810746093207696);
INSERT INTO row_sum VALUES ('session_report', 0);
INSERT INTO row_sum VALUES ('set_record', -4216775233110868631);
INSERT INTO row_sum VALUES ('soreness', 5882141483803094682);
INSERT INTO row_sum VALUES ('sqlite_schema', -3160005173477124083);
INSERT INTO row_sum VALUES ('squad', 3279067212116154039);
INSERT INTO row_sum VALUES ('staff_role', 5867924430869873270);
INSERT INTO row_sum VALUES ('warning_sign', 0);
INSERT INTO goose_db_version VALUES (1, 0, 1, '2026-11-25 07:45:01');
INSERT INTO goose_db_version VALUES (2, 1, 1, '2026-11-25 07:45:01');
INSERT INTO goose_db_version VALUES (3, 2, 1, '2026-11-25 07:45:01');
INSERT INTO goose_db_version VALUES (4, 3, 1, '2026-11-25 07:45:01');
INSERT INTO goose_db_version VALUES (5, 4, 1, '2026-11-25 07:45:01');
INSERT INTO goose_db_version VALUES (6, 5, 1, '2026-11-25 07:45:01');
CREATE INDEX alert_due ON alert (next_at) WHERE state = 'open';
CREATE UNIQUE INDEX alert_open ON alert (person, kind, region) WHERE state = 'open';
CREATE INDEX alert_transition_by_alert ON alert_transition (alert);
CREATE INDEX away_by_person ON away (person, from_day);
CREATE INDEX card_by_day ON card (day);
CREATE INDEX card_edit_by_card ON card_edit (card);
CREATE INDEX card_open ON card (day) WHERE state IN ('sent', 'started');
CREATE INDEX change_log_by_person ON change_log (person);
CREATE INDEX consent_by_person ON consent (person);
CREATE INDEX entry_by_source ON entry (person, source);
CREATE INDEX fixture_by_day ON fixture (squad, day);
CREATE INDEX flywheel_test_by_entry ON flywheel_test (entry);
CREATE INDEX flywheel_test_by_person ON flywheel_test (person, at);
CREATE INDEX hold_by_entry ON hold (entry);
CREATE INDEX hold_by_person ON hold (person, at);
CREATE INDEX invitation_by_person ON invitation (person);
CREATE INDEX match_minutes_by_day ON match_minutes (person, day);
CREATE INDEX match_minutes_by_entry ON match_minutes (entry);
CREATE INDEX match_minutes_by_person ON match_minutes (person, at);
CREATE INDEX membership_by_person ON membership (person, from_day);
CREATE INDEX membership_by_squad ON membership (squad, from_day);
CREATE INDEX message_by_recipient ON message (recipient, at);
CREATE INDEX message_by_ref ON message (kind, ref);
CREATE INDEX once_key_by_at ON once_key (at);
CREATE INDEX outbox_by_recipient ON outbox (recipient);
CREATE INDEX outbox_claimed ON outbox (chat) WHERE state = 'claimed';
CREATE INDEX outbox_pending ON outbox (priority, not_before, id) WHERE state = 'pending';
CREATE INDEX pain_by_day ON pain (person, day);
CREATE INDEX pain_by_entry ON pain (entry);
CREATE INDEX pain_by_person ON pain (person, at);
CREATE INDEX pause_by_person ON pause (person);
CREATE INDEX pending_notice_by_person ON pending_notice (person);
CREATE INDEX phase_by_squad ON phase (squad, from_day);
CREATE INDEX profile_by_entry ON profile (entry);
CREATE INDEX profile_by_person ON profile (person, at);
CREATE INDEX record_answer_by_entry ON record_answer (entry);
CREATE INDEX record_answer_by_person ON record_answer (person, at);
CREATE INDEX release_by_entry ON release (entry);
CREATE INDEX release_by_person ON release (person, at);
CREATE INDEX session_report_by_day ON session_report (person, day);
CREATE INDEX session_report_by_entry ON session_report (entry);
CREATE INDEX session_report_by_person ON session_report (person, at);
CREATE INDEX set_record_by_day ON set_record (person, day);
CREATE INDEX set_record_by_entry ON set_record (entry);
CREATE INDEX set_record_by_item ON set_record (card_item);
CREATE INDEX set_record_by_person ON set_record (person, at);
CREATE INDEX soreness_by_day ON soreness (person, day);
CREATE INDEX soreness_by_entry ON soreness (entry);
CREATE INDEX soreness_by_person ON soreness (person, at);
CREATE INDEX staff_role_by_person ON staff_role (person);
CREATE INDEX staff_role_by_squad ON staff_role (squad, role);
CREATE INDEX warning_sign_by_entry ON warning_sign (entry);
CREATE INDEX warning_sign_by_person ON warning_sign (person, at);
CREATE TRIGGER alert_transition_no_delete BEFORE DELETE ON alert_transition WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'alert_transition rows are never deleted'); END;
CREATE TRIGGER alert_transition_no_update BEFORE UPDATE ON alert_transition
BEGIN SELECT RAISE (ABORT, 'alert_transition rows are never changed'); END;
CREATE TRIGGER audit_no_delete BEFORE DELETE ON audit WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'audit rows are never deleted'); END;
CREATE TRIGGER audit_no_update BEFORE UPDATE ON audit
BEGIN SELECT RAISE (ABORT, 'audit rows are never changed'); END;
CREATE TRIGGER card_edit_no_delete BEFORE DELETE ON card_edit WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'card_edit rows are never deleted'); END;
CREATE TRIGGER card_edit_no_update BEFORE UPDATE ON card_edit
BEGIN SELECT RAISE (ABORT, 'card_edit rows are never changed'); END;
CREATE TRIGGER card_item_no_delete BEFORE DELETE ON card_item WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'card_item rows are never deleted'); END;
CREATE TRIGGER card_item_no_update BEFORE UPDATE ON card_item
BEGIN SELECT RAISE (ABORT, 'card_item rows are never changed'); END;
CREATE TRIGGER card_rev_no_delete BEFORE DELETE ON card_rev WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'card_rev rows are never deleted'); END;
CREATE TRIGGER card_rev_no_update BEFORE UPDATE ON card_rev
BEGIN SELECT RAISE (ABORT, 'card_rev rows are never changed'); END;
CREATE TRIGGER change_log_no_delete BEFORE DELETE ON change_log WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'change_log rows are never deleted'); END;
CREATE TRIGGER change_log_no_update BEFORE UPDATE ON change_log
BEGIN SELECT RAISE (ABORT, 'change_log rows are never changed'); END;
CREATE TRIGGER club_version_club_delete AFTER DELETE ON club
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_club_insert AFTER INSERT ON club
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_club_update AFTER UPDATE ON club
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_fixture_delete AFTER DELETE ON fixture
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_fixture_insert AFTER INSERT ON fixture
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_fixture_update AFTER UPDATE ON fixture
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_gym_delete AFTER DELETE ON gym
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_gym_insert AFTER INSERT ON gym
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_gym_setting_delete AFTER DELETE ON gym_setting
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_gym_setting_insert AFTER INSERT ON gym_setting
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_gym_setting_update AFTER UPDATE ON gym_setting
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_gym_update AFTER UPDATE ON gym
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_phase_delete AFTER DELETE ON phase
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_phase_insert AFTER INSERT ON phase
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_phase_update AFTER UPDATE ON phase
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_programme_use_insert AFTER INSERT ON programme_use
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_rules_use_insert AFTER INSERT ON rules_use
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_squad_delete AFTER DELETE ON squad
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_squad_insert AFTER INSERT ON squad
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER club_version_squad_update AFTER UPDATE ON squad
BEGIN UPDATE club_version SET n = n + 1; END;
CREATE TRIGGER consent_no_delete BEFORE DELETE ON consent WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'consent rows are never deleted'); END;
CREATE TRIGGER consent_no_update BEFORE UPDATE ON consent
BEGIN SELECT RAISE (ABORT, 'consent rows are never changed'); END;
CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'entry rows are never deleted'); END;
CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry
BEGIN SELECT RAISE (ABORT, 'entry rows are never changed'); END;
CREATE TRIGGER flywheel_test_no_delete BEFORE DELETE ON flywheel_test WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'flywheel_test rows are never deleted'); END;
CREATE TRIGGER flywheel_test_no_update BEFORE UPDATE ON flywheel_test
BEGIN SELECT RAISE (ABORT, 'flywheel_test rows are never changed'); END;
CREATE TRIGGER hold_no_delete BEFORE DELETE ON hold WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'hold rows are never deleted'); END;
CREATE TRIGGER hold_no_update BEFORE UPDATE ON hold
BEGIN SELECT RAISE (ABORT, 'hold rows are never changed'); END;
CREATE TRIGGER match_minutes_no_delete BEFORE DELETE ON match_minutes WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'match_minutes rows are never deleted'); END;
CREATE TRIGGER match_minutes_no_update BEFORE UPDATE ON match_minutes
BEGIN SELECT RAISE (ABORT, 'match_minutes rows are never changed'); END;
CREATE TRIGGER pain_consent BEFORE INSERT ON pain
WHEN EXISTS (SELECT 1 FROM membership WHERE person = NEW.person AND from_day <= NEW.day AND (until_day = '' OR until_day >= NEW.day))
  AND COALESCE((SELECT given FROM consent WHERE person = NEW.person AND guardian = 0 ORDER BY id DESC LIMIT 1), 0) = 0
BEGIN SELECT RAISE (ABORT, 'pain: the player has not agreed'); END;
CREATE TRIGGER pain_no_delete BEFORE DELETE ON pain WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'pain rows are never deleted'); END;
CREATE TRIGGER pain_no_update BEFORE UPDATE ON pain
BEGIN SELECT RAISE (ABORT, 'pain rows are never changed'); END;
CREATE TRIGGER profile_no_delete BEFORE DELETE ON profile WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'profile rows are never deleted'); END;
CREATE TRIGGER profile_no_update BEFORE UPDATE ON profile
BEGIN SELECT RAISE (ABORT, 'profile rows are never changed'); END;
CREATE TRIGGER programme_use_no_delete BEFORE DELETE ON programme_use
BEGIN SELECT RAISE (ABORT, 'programme_use rows are never deleted'); END;
CREATE TRIGGER programme_use_no_update BEFORE UPDATE ON programme_use
BEGIN SELECT RAISE (ABORT, 'programme_use rows are never changed'); END;
CREATE TRIGGER programme_version_no_delete BEFORE DELETE ON programme_version
BEGIN SELECT RAISE (ABORT, 'programme_version rows are never deleted'); END;
CREATE TRIGGER programme_version_no_update BEFORE UPDATE ON programme_version
BEGIN SELECT RAISE (ABORT, 'programme_version rows are never changed'); END;
CREATE TRIGGER record_answer_no_delete BEFORE DELETE ON record_answer WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'record_answer rows are never deleted'); END;
CREATE TRIGGER record_answer_no_update BEFORE UPDATE ON record_answer
BEGIN SELECT RAISE (ABORT, 'record_answer rows are never changed'); END;
CREATE TRIGGER release_no_delete BEFORE DELETE ON release WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'release rows are never deleted'); END;
CREATE TRIGGER release_no_update BEFORE UPDATE ON release
BEGIN SELECT RAISE (ABORT, 'release rows are never changed'); END;
CREATE TRIGGER rules_use_no_delete BEFORE DELETE ON rules_use
BEGIN SELECT RAISE (ABORT, 'rules_use rows are never deleted'); END;
CREATE TRIGGER rules_use_no_update BEFORE UPDATE ON rules_use
BEGIN SELECT RAISE (ABORT, 'rules_use rows are never changed'); END;
CREATE TRIGGER rules_version_no_delete BEFORE DELETE ON rules_version
BEGIN SELECT RAISE (ABORT, 'rules_version rows are never deleted'); END;
CREATE TRIGGER rules_version_no_update BEFORE UPDATE ON rules_version
BEGIN SELECT RAISE (ABORT, 'rules_version rows are never changed'); END;
CREATE TRIGGER session_report_no_delete BEFORE DELETE ON session_report WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'session_report rows are never deleted'); END;
CREATE TRIGGER session_report_no_update BEFORE UPDATE ON session_report
BEGIN SELECT RAISE (ABORT, 'session_report rows are never changed'); END;
CREATE TRIGGER set_record_no_delete BEFORE DELETE ON set_record WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'set_record rows are never deleted'); END;
CREATE TRIGGER set_record_no_update BEFORE UPDATE ON set_record
BEGIN SELECT RAISE (ABORT, 'set_record rows are never changed'); END;
CREATE TRIGGER soreness_consent BEFORE INSERT ON soreness
WHEN EXISTS (SELECT 1 FROM membership WHERE person = NEW.person AND from_day <= NEW.day AND (until_day = '' OR until_day >= NEW.day))
  AND COALESCE((SELECT given FROM consent WHERE person = NEW.person AND guardian = 0 ORDER BY id DESC LIMIT 1), 0) = 0
BEGIN SELECT RAISE (ABORT, 'soreness: the player has not agreed'); END;
CREATE TRIGGER soreness_no_delete BEFORE DELETE ON soreness WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'soreness rows are never deleted'); END;
CREATE TRIGGER soreness_no_update BEFORE UPDATE ON soreness
BEGIN SELECT RAISE (ABORT, 'soreness rows are never changed'); END;
CREATE TRIGGER "sum_alert_delete" AFTER DELETE ON "alert" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."squad", OLD."kind", OLD."region", OLD."notice", OLD."state", OLD."level", OLD."created_at", OLD."refreshed_at", OLD."ack_by", OLD."next_at") WHERE name = 'alert'; END;
CREATE TRIGGER "sum_alert_insert" AFTER INSERT ON "alert" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."squad", NEW."kind", NEW."region", NEW."notice", NEW."state", NEW."level", NEW."created_at", NEW."refreshed_at", NEW."ack_by", NEW."next_at") WHERE name = 'alert'; END;
CREATE TRIGGER "sum_alert_transition_delete" AFTER DELETE ON "alert_transition" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."alert", OLD."state", OLD."by_person", OLD."note", OLD."at") WHERE name = 'alert_transition'; END;
CREATE TRIGGER "sum_alert_transition_insert" AFTER INSERT ON "alert_transition" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."alert", NEW."state", NEW."by_person", NEW."note", NEW."at") WHERE name = 'alert_transition'; END;
CREATE TRIGGER "sum_alert_transition_update" AFTER UPDATE ON "alert_transition" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."alert", OLD."state", OLD."by_person", OLD."note", OLD."at"), 1, NEW."id", NEW."alert", NEW."state", NEW."by_person", NEW."note", NEW."at") WHERE name = 'alert_transition'; END;
CREATE TRIGGER "sum_alert_update" AFTER UPDATE ON "alert" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."squad", OLD."kind", OLD."region", OLD."notice", OLD."state", OLD."level", OLD."created_at", OLD."refreshed_at", OLD."ack_by", OLD."next_at"), 1, NEW."id", NEW."person", NEW."squad", NEW."kind", NEW."region", NEW."notice", NEW."state", NEW."level", NEW."created_at", NEW."refreshed_at", NEW."ack_by", NEW."next_at") WHERE name = 'alert'; END;
CREATE TRIGGER "sum_audit_delete" AFTER DELETE ON "audit" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."at", OLD."actor", OLD."target", OLD."action", OLD."detail") WHERE name = 'audit'; END;
CREATE TRIGGER "sum_audit_insert" AFTER INSERT ON "audit" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."at", NEW."actor", NEW."target", NEW."action", NEW."detail") WHERE name = 'audit'; END;
CREATE TRIGGER "sum_audit_update" AFTER UPDATE ON "audit" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."at", OLD."actor", OLD."target", OLD."action", OLD."detail"), 1, NEW."id", NEW."at", NEW."actor", NEW."target", NEW."action", NEW."detail") WHERE name = 'audit'; END;
CREATE TRIGGER "sum_away_delete" AFTER DELETE ON "away" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."from_day", OLD."until_day", OLD."place", OLD."gym", OLD."at", OLD."zone") WHERE name = 'away'; END;
CREATE TRIGGER "sum_away_insert" AFTER INSERT ON "away" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."from_day", NEW."until_day", NEW."place", NEW."gym", NEW."at", NEW."zone") WHERE name = 'away'; END;
CREATE TRIGGER "sum_away_update" AFTER UPDATE ON "away" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."from_day", OLD."until_day", OLD."place", OLD."gym", OLD."at", OLD."zone"), 1, NEW."id", NEW."person", NEW."from_day", NEW."until_day", NEW."place", NEW."gym", NEW."at", NEW."zone") WHERE name = 'away'; END;
CREATE TRIGGER "sum_card_delete" AFTER DELETE ON "card" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."day", OLD."slot", OLD."state", OLD."created_at") WHERE name = 'card'; END;
CREATE TRIGGER "sum_card_edit_delete" AFTER DELETE ON "card_edit" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."card", OLD."rev", OLD."by_person", OLD."at", OLD."kind", OLD."edit") WHERE name = 'card_edit'; END;
CREATE TRIGGER "sum_card_edit_insert" AFTER INSERT ON "card_edit" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."card", NEW."rev", NEW."by_person", NEW."at", NEW."kind", NEW."edit") WHERE name = 'card_edit'; END;
CREATE TRIGGER "sum_card_edit_update" AFTER UPDATE ON "card_edit" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."card", OLD."rev", OLD."by_person", OLD."at", OLD."kind", OLD."edit"), 1, NEW."id", NEW."card", NEW."rev", NEW."by_person", NEW."at", NEW."kind", NEW."edit") WHERE name = 'card_edit'; END;
CREATE TRIGGER "sum_card_insert" AFTER INSERT ON "card" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."day", NEW."slot", NEW."state", NEW."created_at") WHERE name = 'card'; END;
CREATE TRIGGER "sum_card_item_delete" AFTER DELETE ON "card_item" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."card_rev", OLD."n", OLD."slot", OLD."exercise", OLD."method", OLD."scheme", OLD."sets", OLD."reps", OLD."load_kind", OLD."load", OLD."ecc_load", OLD."inertia", OLD."device", OLD."percent", OLD."rir", OLD."heavy") WHERE name = 'card_item'; END;
CREATE TRIGGER "sum_card_item_insert" AFTER INSERT ON "card_item" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."card_rev", NEW."n", NEW."slot", NEW."exercise", NEW."method", NEW."scheme", NEW."sets", NEW."reps", NEW."load_kind", NEW."load", NEW."ecc_load", NEW."inertia", NEW."device", NEW."percent", NEW."rir", NEW."heavy") WHERE name = 'card_item'; END;
CREATE TRIGGER "sum_card_item_update" AFTER UPDATE ON "card_item" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."card_rev", OLD."n", OLD."slot", OLD."exercise", OLD."method", OLD."scheme", OLD."sets", OLD."reps", OLD."load_kind", OLD."load", OLD."ecc_load", OLD."inertia", OLD."device", OLD."percent", OLD."rir", OLD."heavy"), 1, NEW."id", NEW."card_rev", NEW."n", NEW."slot", NEW."exercise", NEW."method", NEW."scheme", NEW."sets", NEW."reps", NEW."load_kind", NEW."load", NEW."ecc_load", NEW."inertia", NEW."device", NEW."percent", NEW."rir", NEW."heavy") WHERE name = 'card_item'; END;
CREATE TRIGGER "sum_card_rev_delete" AFTER DELETE ON "card_rev" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."card", OLD."rev", OLD."engine", OLD."rules", OLD."programme", OLD."inputs", OLD."content", OLD."created_at", OLD."hash") WHERE name = 'card_rev'; END;
CREATE TRIGGER "sum_card_rev_insert" AFTER INSERT ON "card_rev" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."card", NEW."rev", NEW."engine", NEW."rules", NEW."programme", NEW."inputs", NEW."content", NEW."created_at", NEW."hash") WHERE name = 'card_rev'; END;
CREATE TRIGGER "sum_card_rev_update" AFTER UPDATE ON "card_rev" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."card", OLD."rev", OLD."engine", OLD."rules", OLD."programme", OLD."inputs", OLD."content", OLD."created_at", OLD."hash"), 1, NEW."id", NEW."card", NEW."rev", NEW."engine", NEW."rules", NEW."programme", NEW."inputs", NEW."content", NEW."created_at", NEW."hash") WHERE name = 'card_rev'; END;
CREATE TRIGGER "sum_card_update" AFTER UPDATE ON "card" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."day", OLD."slot", OLD."state", OLD."created_at"), 1, NEW."id", NEW."person", NEW."day", NEW."slot", NEW."state", NEW."created_at") WHERE name = 'card'; END;
CREATE TRIGGER "sum_change_log_delete" AFTER DELETE ON "change_log" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."at", OLD."by_person", OLD."person", OLD."kind", OLD."what", OLD."was", OLD."became") WHERE name = 'change_log'; END;
CREATE TRIGGER "sum_change_log_insert" AFTER INSERT ON "change_log" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."at", NEW."by_person", NEW."person", NEW."kind", NEW."what", NEW."was", NEW."became") WHERE name = 'change_log'; END;
CREATE TRIGGER "sum_change_log_update" AFTER UPDATE ON "change_log" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."at", OLD."by_person", OLD."person", OLD."kind", OLD."what", OLD."was", OLD."became"), 1, NEW."id", NEW."at", NEW."by_person", NEW."person", NEW."kind", NEW."what", NEW."was", NEW."became") WHERE name = 'change_log'; END;
CREATE TRIGGER "sum_checkpoint_delete" AFTER DELETE ON "checkpoint" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."at", OLD."key", OLD."day", OLD."engine", OLD."rules", OLD."state", OLD."hash") WHERE name = 'checkpoint'; END;
CREATE TRIGGER "sum_checkpoint_insert" AFTER INSERT ON "checkpoint" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."at", NEW."key", NEW."day", NEW."engine", NEW."rules", NEW."state", NEW."hash") WHERE name = 'checkpoint'; END;
CREATE TRIGGER "sum_checkpoint_update" AFTER UPDATE ON "checkpoint" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."at", OLD."key", OLD."day", OLD."engine", OLD."rules", OLD."state", OLD."hash"), 1, NEW."id", NEW."person", NEW."at", NEW."key", NEW."day", NEW."engine", NEW."rules", NEW."state", NEW."hash") WHERE name = 'checkpoint'; END;
CREATE TRIGGER "sum_clock_delete" AFTER DELETE ON "clock" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."one", OLD."offset_ms") WHERE name = 'clock'; END;
CREATE TRIGGER "sum_clock_insert" AFTER INSERT ON "clock" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."one", NEW."offset_ms") WHERE name = 'clock'; END;
CREATE TRIGGER "sum_clock_update" AFTER UPDATE ON "clock" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."one", OLD."offset_ms"), 1, NEW."one", NEW."offset_ms") WHERE name = 'clock'; END;
CREATE TRIGGER "sum_club_delete" AFTER DELETE ON "club" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."one", OLD."name", OLD."zone", OLD."language", OLD."emergency") WHERE name = 'club'; END;
CREATE TRIGGER "sum_club_insert" AFTER INSERT ON "club" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."one", NEW."name", NEW."zone", NEW."language", NEW."emergency") WHERE name = 'club'; END;
CREATE TRIGGER "sum_club_update" AFTER UPDATE ON "club" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."one", OLD."name", OLD."zone", OLD."language", OLD."emergency"), 1, NEW."one", NEW."name", NEW."zone", NEW."language", NEW."emergency") WHERE name = 'club'; END;
CREATE TRIGGER "sum_club_version_delete" AFTER DELETE ON "club_version" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."one", OLD."n") WHERE name = 'club_version'; END;
CREATE TRIGGER "sum_club_version_insert" AFTER INSERT ON "club_version" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."one", NEW."n") WHERE name = 'club_version'; END;
CREATE TRIGGER "sum_club_version_update" AFTER UPDATE ON "club_version" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."one", OLD."n"), 1, NEW."one", NEW."n") WHERE name = 'club_version'; END;
CREATE TRIGGER "sum_consent_delete" AFTER DELETE ON "consent" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."guardian", OLD."by_person", OLD."version", OLD."language", OLD."given", OLD."at") WHERE name = 'consent'; END;
CREATE TRIGGER "sum_consent_insert" AFTER INSERT ON "consent" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."guardian", NEW."by_person", NEW."version", NEW."language", NEW."given", NEW."at") WHERE name = 'consent'; END;
CREATE TRIGGER "sum_consent_update" AFTER UPDATE ON "consent" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."guardian", OLD."by_person", OLD."version", OLD."language", OLD."given", OLD."at"), 1, NEW."id", NEW."person", NEW."guardian", NEW."by_person", NEW."version", NEW."language", NEW."given", NEW."at") WHERE name = 'consent'; END;
CREATE TRIGGER "sum_dialog_delete" AFTER DELETE ON "dialog" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."chat", OLD."kind", OLD."args", OLD."card", OLD."asked_at") WHERE name = 'dialog'; END;
CREATE TRIGGER "sum_dialog_insert" AFTER INSERT ON "dialog" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."chat", NEW."kind", NEW."args", NEW."card", NEW."asked_at") WHERE name = 'dialog'; END;
CREATE TRIGGER "sum_dialog_update" AFTER UPDATE ON "dialog" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."chat", OLD."kind", OLD."args", OLD."card", OLD."asked_at"), 1, NEW."chat", NEW."kind", NEW."args", NEW."card", NEW."asked_at") WHERE name = 'dialog'; END;
CREATE TRIGGER "sum_entry_delete" AFTER DELETE ON "entry" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."source", OLD."received_at", OLD."replaces") WHERE name = 'entry'; END;
CREATE TRIGGER "sum_entry_insert" AFTER INSERT ON "entry" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."source", NEW."received_at", NEW."replaces") WHERE name = 'entry'; END;
CREATE TRIGGER "sum_entry_update" AFTER UPDATE ON "entry" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."source", OLD."received_at", OLD."replaces"), 1, NEW."id", NEW."person", NEW."source", NEW."received_at", NEW."replaces") WHERE name = 'entry'; END;
CREATE TRIGGER "sum_erasing_delete" AFTER DELETE ON "erasing" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."one") WHERE name = 'erasing'; END;
CREATE TRIGGER "sum_erasing_insert" AFTER INSERT ON "erasing" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."one") WHERE name = 'erasing'; END;
CREATE TRIGGER "sum_erasing_update" AFTER UPDATE ON "erasing" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."one"), 1, NEW."one") WHERE name = 'erasing'; END;
CREATE TRIGGER "sum_fixture_delete" AFTER DELETE ON "fixture" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."squad", OLD."source", OLD."uid", OLD."recurrence", OLD."summary", OLD."day", OLD."kickoff_at", OLD."end_at", OLD."known", OLD."travel", OLD."until_day", OLD."cancelled") WHERE name = 'fixture'; END;
CREATE TRIGGER "sum_fixture_insert" AFTER INSERT ON "fixture" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."squad", NEW."source", NEW."uid", NEW."recurrence", NEW."summary", NEW."day", NEW."kickoff_at", NEW."end_at", NEW."known", NEW."travel", NEW."until_day", NEW."cancelled") WHERE name = 'fixture'; END;
CREATE TRIGGER "sum_fixture_update" AFTER UPDATE ON "fixture" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."squad", OLD."source", OLD."uid", OLD."recurrence", OLD."summary", OLD."day", OLD."kickoff_at", OLD."end_at", OLD."known", OLD."travel", OLD."until_day", OLD."cancelled"), 1, NEW."id", NEW."squad", NEW."source", NEW."uid", NEW."recurrence", NEW."summary", NEW."day", NEW."kickoff_at", NEW."end_at", NEW."known", NEW."travel", NEW."until_day", NEW."cancelled") WHERE name = 'fixture'; END;
CREATE TRIGGER "sum_flywheel_test_delete" AFTER DELETE ON "flywheel_test" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."exercise", OLD."device", OLD."inertia", OLD."power") WHERE name = 'flywheel_test'; END;
CREATE TRIGGER "sum_flywheel_test_insert" AFTER INSERT ON "flywheel_test" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."exercise", NEW."device", NEW."inertia", NEW."power") WHERE name = 'flywheel_test'; END;
CREATE TRIGGER "sum_flywheel_test_update" AFTER UPDATE ON "flywheel_test" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."exercise", OLD."device", OLD."inertia", OLD."power"), 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."exercise", NEW."device", NEW."inertia", NEW."power") WHERE name = 'flywheel_test'; END;
CREATE TRIGGER "sum_goose_db_version_delete" AFTER DELETE ON "goose_db_version" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."version_id", OLD."is_applied", OLD."tstamp") WHERE name = 'goose_db_version'; END;
CREATE TRIGGER "sum_goose_db_version_insert" AFTER INSERT ON "goose_db_version" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."version_id", NEW."is_applied", NEW."tstamp") WHERE name = 'goose_db_version'; END;
CREATE TRIGGER "sum_goose_db_version_update" AFTER UPDATE ON "goose_db_version" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."version_id", OLD."is_applied", OLD."tstamp"), 1, NEW."id", NEW."version_id", NEW."is_applied", NEW."tstamp") WHERE name = 'goose_db_version'; END;
CREATE TRIGGER "sum_gym_delete" AFTER DELETE ON "gym" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."slug", OLD."name") WHERE name = 'gym'; END;
CREATE TRIGGER "sum_gym_insert" AFTER INSERT ON "gym" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."slug", NEW."name") WHERE name = 'gym'; END;
CREATE TRIGGER "sum_gym_setting_delete" AFTER DELETE ON "gym_setting" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."gym", OLD."from_day", OLD."setting") WHERE name = 'gym_setting'; END;
CREATE TRIGGER "sum_gym_setting_insert" AFTER INSERT ON "gym_setting" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."gym", NEW."from_day", NEW."setting") WHERE name = 'gym_setting'; END;
CREATE TRIGGER "sum_gym_setting_update" AFTER UPDATE ON "gym_setting" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."gym", OLD."from_day", OLD."setting"), 1, NEW."id", NEW."gym", NEW."from_day", NEW."setting") WHERE name = 'gym_setting'; END;
CREATE TRIGGER "sum_gym_update" AFTER UPDATE ON "gym" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."slug", OLD."name"), 1, NEW."id", NEW."slug", NEW."name") WHERE name = 'gym'; END;
CREATE TRIGGER "sum_hold_delete" AFTER DELETE ON "hold" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."hold", OLD."medical", OLD."region", OLD."max_load", OLD."until_day") WHERE name = 'hold'; END;
CREATE TRIGGER "sum_hold_insert" AFTER INSERT ON "hold" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."hold", NEW."medical", NEW."region", NEW."max_load", NEW."until_day") WHERE name = 'hold'; END;
CREATE TRIGGER "sum_hold_update" AFTER UPDATE ON "hold" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."hold", OLD."medical", OLD."region", OLD."max_load", OLD."until_day"), 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."hold", NEW."medical", NEW."region", NEW."max_load", NEW."until_day") WHERE name = 'hold'; END;
CREATE TRIGGER "sum_invitation_delete" AFTER DELETE ON "invitation" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."by_person", OLD."code_hash", OLD."created_at", OLD."expires_at", OLD."used_at") WHERE name = 'invitation'; END;
CREATE TRIGGER "sum_invitation_insert" AFTER INSERT ON "invitation" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."by_person", NEW."code_hash", NEW."created_at", NEW."expires_at", NEW."used_at") WHERE name = 'invitation'; END;
CREATE TRIGGER "sum_invitation_update" AFTER UPDATE ON "invitation" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."by_person", OLD."code_hash", OLD."created_at", OLD."expires_at", OLD."used_at"), 1, NEW."id", NEW."person", NEW."by_person", NEW."code_hash", NEW."created_at", NEW."expires_at", NEW."used_at") WHERE name = 'invitation'; END;
CREATE TRIGGER "sum_match_minutes_delete" AFTER DELETE ON "match_minutes" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."match", OLD."minutes", OLD."end_at") WHERE name = 'match_minutes'; END;
CREATE TRIGGER "sum_match_minutes_insert" AFTER INSERT ON "match_minutes" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."match", NEW."minutes", NEW."end_at") WHERE name = 'match_minutes'; END;
CREATE TRIGGER "sum_match_minutes_update" AFTER UPDATE ON "match_minutes" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."match", OLD."minutes", OLD."end_at"), 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."match", NEW."minutes", NEW."end_at") WHERE name = 'match_minutes'; END;
CREATE TRIGGER "sum_membership_delete" AFTER DELETE ON "membership" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."squad", OLD."from_day", OLD."until_day") WHERE name = 'membership'; END;
CREATE TRIGGER "sum_membership_insert" AFTER INSERT ON "membership" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."squad", NEW."from_day", NEW."until_day") WHERE name = 'membership'; END;
CREATE TRIGGER "sum_membership_update" AFTER UPDATE ON "membership" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."squad", OLD."from_day", OLD."until_day"), 1, NEW."id", NEW."person", NEW."squad", NEW."from_day", NEW."until_day") WHERE name = 'membership'; END;
CREATE TRIGGER "sum_message_delete" AFTER DELETE ON "message" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."recipient", OLD."kind", OLD."ref", OLD."chat", OLD."message_id", OLD."at") WHERE name = 'message'; END;
CREATE TRIGGER "sum_message_insert" AFTER INSERT ON "message" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."recipient", NEW."kind", NEW."ref", NEW."chat", NEW."message_id", NEW."at") WHERE name = 'message'; END;
CREATE TRIGGER "sum_message_update" AFTER UPDATE ON "message" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."recipient", OLD."kind", OLD."ref", OLD."chat", OLD."message_id", OLD."at"), 1, NEW."id", NEW."recipient", NEW."kind", NEW."ref", NEW."chat", NEW."message_id", NEW."at") WHERE name = 'message'; END;
CREATE TRIGGER "sum_once_key_delete" AFTER DELETE ON "once_key" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."key", OLD."at") WHERE name = 'once_key'; END;
CREATE TRIGGER "sum_once_key_insert" AFTER INSERT ON "once_key" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."key", NEW."at") WHERE name = 'once_key'; END;
CREATE TRIGGER "sum_once_key_update" AFTER UPDATE ON "once_key" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."key", OLD."at"), 1, NEW."key", NEW."at") WHERE name = 'once_key'; END;
CREATE TRIGGER "sum_outbox_delete" AFTER DELETE ON "outbox" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."kind", OLD."recipient", OLD."chat", OLD."ref", OLD."rev", OLD."args", OLD."priority", OLD."not_before", OLD."expires_at", OLD."dedup", OLD."edit", OLD."message_id", OLD."attempts", OLD."repeated", OLD."parts", OLD."state", OLD."reason", OLD."settled_at") WHERE name = 'outbox'; END;
CREATE TRIGGER "sum_outbox_insert" AFTER INSERT ON "outbox" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."kind", NEW."recipient", NEW."chat", NEW."ref", NEW."rev", NEW."args", NEW."priority", NEW."not_before", NEW."expires_at", NEW."dedup", NEW."edit", NEW."message_id", NEW."attempts", NEW."repeated", NEW."parts", NEW."state", NEW."reason", NEW."settled_at") WHERE name = 'outbox'; END;
CREATE TRIGGER "sum_outbox_update" AFTER UPDATE ON "outbox" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."kind", OLD."recipient", OLD."chat", OLD."ref", OLD."rev", OLD."args", OLD."priority", OLD."not_before", OLD."expires_at", OLD."dedup", OLD."edit", OLD."message_id", OLD."attempts", OLD."repeated", OLD."parts", OLD."state", OLD."reason", OLD."settled_at"), 1, NEW."id", NEW."kind", NEW."recipient", NEW."chat", NEW."ref", NEW."rev", NEW."args", NEW."priority", NEW."not_before", NEW."expires_at", NEW."dedup", NEW."edit", NEW."message_id", NEW."attempts", NEW."repeated", NEW."parts", NEW."state", NEW."reason", NEW."settled_at") WHERE name = 'outbox'; END;
CREATE TRIGGER "sum_pain_delete" AFTER DELETE ON "pain" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."region", OLD."side", OLD."score", OLD."timing", OLD."muscle", OLD."unclear") WHERE name = 'pain'; END;
CREATE TRIGGER "sum_pain_insert" AFTER INSERT ON "pain" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."region", NEW."side", NEW."score", NEW."timing", NEW."muscle", NEW."unclear") WHERE name = 'pain'; END;
CREATE TRIGGER "sum_pain_update" AFTER UPDATE ON "pain" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."region", OLD."side", OLD."score", OLD."timing", OLD."muscle", OLD."unclear"), 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."region", NEW."side", NEW."score", NEW."timing", NEW."muscle", NEW."unclear") WHERE name = 'pain'; END;
CREATE TRIGGER "sum_pause_delete" AFTER DELETE ON "pause" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."from_day", OLD."until_day", OLD."at") WHERE name = 'pause'; END;
CREATE TRIGGER "sum_pause_insert" AFTER INSERT ON "pause" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."from_day", NEW."until_day", NEW."at") WHERE name = 'pause'; END;
CREATE TRIGGER "sum_pause_update" AFTER UPDATE ON "pause" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."from_day", OLD."until_day", OLD."at"), 1, NEW."id", NEW."person", NEW."from_day", NEW."until_day", NEW."at") WHERE name = 'pause'; END;
CREATE TRIGGER "sum_pending_notice_delete" AFTER DELETE ON "pending_notice" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."notice", OLD."at") WHERE name = 'pending_notice'; END;
CREATE TRIGGER "sum_pending_notice_insert" AFTER INSERT ON "pending_notice" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."notice", NEW."at") WHERE name = 'pending_notice'; END;
CREATE TRIGGER "sum_pending_notice_update" AFTER UPDATE ON "pending_notice" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."notice", OLD."at"), 1, NEW."id", NEW."person", NEW."notice", NEW."at") WHERE name = 'pending_notice'; END;
CREATE TRIGGER "sum_person_account_delete" AFTER DELETE ON "person_account" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."person", OLD."user_id", OLD."chat") WHERE name = 'person_account'; END;
CREATE TRIGGER "sum_person_account_insert" AFTER INSERT ON "person_account" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."person", NEW."user_id", NEW."chat") WHERE name = 'person_account'; END;
CREATE TRIGGER "sum_person_account_update" AFTER UPDATE ON "person_account" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."person", OLD."user_id", OLD."chat"), 1, NEW."person", NEW."user_id", NEW."chat") WHERE name = 'person_account'; END;
CREATE TRIGGER "sum_person_delete" AFTER DELETE ON "person" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."key", OLD."pseudo", OLD."name", OLD."language", OLD."chosen", OLD."user_id", OLD."chat", OLD."reachable", OLD."phone", OLD."left_at", OLD."erased_at") WHERE name = 'person'; END;
CREATE TRIGGER "sum_person_gym_delete" AFTER DELETE ON "person_gym" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."from_day", OLD."gym") WHERE name = 'person_gym'; END;
CREATE TRIGGER "sum_person_gym_insert" AFTER INSERT ON "person_gym" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."from_day", NEW."gym") WHERE name = 'person_gym'; END;
CREATE TRIGGER "sum_person_gym_update" AFTER UPDATE ON "person_gym" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."from_day", OLD."gym"), 1, NEW."id", NEW."person", NEW."from_day", NEW."gym") WHERE name = 'person_gym'; END;
CREATE TRIGGER "sum_person_insert" AFTER INSERT ON "person" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."key", NEW."pseudo", NEW."name", NEW."language", NEW."chosen", NEW."user_id", NEW."chat", NEW."reachable", NEW."phone", NEW."left_at", NEW."erased_at") WHERE name = 'person'; END;
CREATE TRIGGER "sum_person_update" AFTER UPDATE ON "person" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."key", OLD."pseudo", OLD."name", OLD."language", OLD."chosen", OLD."user_id", OLD."chat", OLD."reachable", OLD."phone", OLD."left_at", OLD."erased_at"), 1, NEW."id", NEW."key", NEW."pseudo", NEW."name", NEW."language", NEW."chosen", NEW."user_id", NEW."chat", NEW."reachable", NEW."phone", NEW."left_at", NEW."erased_at") WHERE name = 'person'; END;
CREATE TRIGGER "sum_person_zone_delete" AFTER DELETE ON "person_zone" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."from_day", OLD."zone") WHERE name = 'person_zone'; END;
CREATE TRIGGER "sum_person_zone_insert" AFTER INSERT ON "person_zone" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."from_day", NEW."zone") WHERE name = 'person_zone'; END;
CREATE TRIGGER "sum_person_zone_update" AFTER UPDATE ON "person_zone" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."from_day", OLD."zone"), 1, NEW."id", NEW."person", NEW."from_day", NEW."zone") WHERE name = 'person_zone'; END;
CREATE TRIGGER "sum_phase_delete" AFTER DELETE ON "phase" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."squad", OLD."phase", OLD."from_day", OLD."until_day") WHERE name = 'phase'; END;
CREATE TRIGGER "sum_phase_insert" AFTER INSERT ON "phase" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."squad", NEW."phase", NEW."from_day", NEW."until_day") WHERE name = 'phase'; END;
CREATE TRIGGER "sum_phase_update" AFTER UPDATE ON "phase" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."squad", OLD."phase", OLD."from_day", OLD."until_day"), 1, NEW."id", NEW."squad", NEW."phase", NEW."from_day", NEW."until_day") WHERE name = 'phase'; END;
CREATE TRIGGER "sum_profile_delete" AFTER DELETE ON "profile" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."born", OLD."body_mass", OLD."training_age", OLD."youth_sign_off") WHERE name = 'profile'; END;
CREATE TRIGGER "sum_profile_insert" AFTER INSERT ON "profile" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."born", NEW."body_mass", NEW."training_age", NEW."youth_sign_off") WHERE name = 'profile'; END;
CREATE TRIGGER "sum_profile_update" AFTER UPDATE ON "profile" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."born", OLD."body_mass", OLD."training_age", OLD."youth_sign_off"), 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."born", NEW."body_mass", NEW."training_age", NEW."youth_sign_off") WHERE name = 'profile'; END;
CREATE TRIGGER "sum_programme_use_delete" AFTER DELETE ON "programme_use" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."hash", OLD."at") WHERE name = 'programme_use'; END;
CREATE TRIGGER "sum_programme_use_insert" AFTER INSERT ON "programme_use" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."hash", NEW."at") WHERE name = 'programme_use'; END;
CREATE TRIGGER "sum_programme_use_update" AFTER UPDATE ON "programme_use" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."hash", OLD."at"), 1, NEW."id", NEW."hash", NEW."at") WHERE name = 'programme_use'; END;
CREATE TRIGGER "sum_programme_version_delete" AFTER DELETE ON "programme_version" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."hash", OLD."programme", OLD."source", OLD."created_at") WHERE name = 'programme_version'; END;
CREATE TRIGGER "sum_programme_version_insert" AFTER INSERT ON "programme_version" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."hash", NEW."programme", NEW."source", NEW."created_at") WHERE name = 'programme_version'; END;
CREATE TRIGGER "sum_programme_version_update" AFTER UPDATE ON "programme_version" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."hash", OLD."programme", OLD."source", OLD."created_at"), 1, NEW."hash", NEW."programme", NEW."source", NEW."created_at") WHERE name = 'programme_version'; END;
CREATE TRIGGER "sum_quarantine_delete" AFTER DELETE ON "quarantine" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."update_id", OLD."raw", OLD."reason", OLD."at") WHERE name = 'quarantine'; END;
CREATE TRIGGER "sum_quarantine_insert" AFTER INSERT ON "quarantine" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."update_id", NEW."raw", NEW."reason", NEW."at") WHERE name = 'quarantine'; END;
CREATE TRIGGER "sum_quarantine_update" AFTER UPDATE ON "quarantine" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."update_id", OLD."raw", OLD."reason", OLD."at"), 1, NEW."id", NEW."update_id", NEW."raw", NEW."reason", NEW."at") WHERE name = 'quarantine'; END;
CREATE TRIGGER "sum_record_answer_delete" AFTER DELETE ON "record_answer" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."exercise", OLD."side", OLD."set_key", OLD."is_right") WHERE name = 'record_answer'; END;
CREATE TRIGGER "sum_record_answer_insert" AFTER INSERT ON "record_answer" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."exercise", NEW."side", NEW."set_key", NEW."is_right") WHERE name = 'record_answer'; END;
CREATE TRIGGER "sum_record_answer_update" AFTER UPDATE ON "record_answer" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."exercise", OLD."side", OLD."set_key", OLD."is_right"), 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."exercise", NEW."side", NEW."set_key", NEW."is_right") WHERE name = 'record_answer'; END;
CREATE TRIGGER "sum_release_delete" AFTER DELETE ON "release" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."medical", OLD."hold", OLD."region", OLD."max_load", OLD."review_day", OLD."classified", OLD."reason") WHERE name = 'release'; END;
CREATE TRIGGER "sum_release_insert" AFTER INSERT ON "release" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."medical", NEW."hold", NEW."region", NEW."max_load", NEW."review_day", NEW."classified", NEW."reason") WHERE name = 'release'; END;
CREATE TRIGGER "sum_release_update" AFTER UPDATE ON "release" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."medical", OLD."hold", OLD."region", OLD."max_load", OLD."review_day", OLD."classified", OLD."reason"), 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."medical", NEW."hold", NEW."region", NEW."max_load", NEW."review_day", NEW."classified", NEW."reason") WHERE name = 'release'; END;
CREATE TRIGGER "sum_replan_delete" AFTER DELETE ON "replan" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."person", OLD."day") WHERE name = 'replan'; END;
CREATE TRIGGER "sum_replan_insert" AFTER INSERT ON "replan" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."person", NEW."day") WHERE name = 'replan'; END;
CREATE TRIGGER "sum_replan_update" AFTER UPDATE ON "replan" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."person", OLD."day"), 1, NEW."person", NEW."day") WHERE name = 'replan'; END;
CREATE TRIGGER "sum_rules_use_delete" AFTER DELETE ON "rules_use" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."hash", OLD."at") WHERE name = 'rules_use'; END;
CREATE TRIGGER "sum_rules_use_insert" AFTER INSERT ON "rules_use" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."hash", NEW."at") WHERE name = 'rules_use'; END;
CREATE TRIGGER "sum_rules_use_update" AFTER UPDATE ON "rules_use" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."hash", OLD."at"), 1, NEW."id", NEW."hash", NEW."at") WHERE name = 'rules_use'; END;
CREATE TRIGGER "sum_rules_version_delete" AFTER DELETE ON "rules_version" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."hash", OLD."rules", OLD."source", OLD."created_at") WHERE name = 'rules_version'; END;
CREATE TRIGGER "sum_rules_version_insert" AFTER INSERT ON "rules_version" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."hash", NEW."rules", NEW."source", NEW."created_at") WHERE name = 'rules_version'; END;
CREATE TRIGGER "sum_rules_version_update" AFTER UPDATE ON "rules_version" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."hash", OLD."rules", OLD."source", OLD."created_at"), 1, NEW."hash", NEW."rules", NEW."source", NEW."created_at") WHERE name = 'rules_version'; END;
CREATE TRIGGER "sum_session_report_delete" AFTER DELETE ON "session_report" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."template", OLD."outcome", OLD."reason", OLD."rpe", OLD."minutes", OLD."patterns", OLD."sets") WHERE name = 'session_report'; END;
CREATE TRIGGER "sum_session_report_insert" AFTER INSERT ON "session_report" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."template", NEW."outcome", NEW."reason", NEW."rpe", NEW."minutes", NEW."patterns", NEW."sets") WHERE name = 'session_report'; END;
CREATE TRIGGER "sum_session_report_update" AFTER UPDATE ON "session_report" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."template", OLD."outcome", OLD."reason", OLD."rpe", OLD."minutes", OLD."patterns", OLD."sets"), 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."template", NEW."outcome", NEW."reason", NEW."rpe", NEW."minutes", NEW."patterns", NEW."sets") WHERE name = 'session_report'; END;
CREATE TRIGGER "sum_set_record_delete" AFTER DELETE ON "set_record" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."card_item", OLD."exercise", OLD."side", OLD."load", OLD."unit", OLD."inertia", OLD."device", OLD."reps", OLD."asked", OLD."rir", OLD."to_fail", OLD."ordinal", OLD."test", OLD."stopped", OLD."as_written", OLD."unbroken", OLD."slow", OLD."scheme", OLD."intended") WHERE name = 'set_record'; END;
CREATE TRIGGER "sum_set_record_insert" AFTER INSERT ON "set_record" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."card_item", NEW."exercise", NEW."side", NEW."load", NEW."unit", NEW."inertia", NEW."device", NEW."reps", NEW."asked", NEW."rir", NEW."to_fail", NEW."ordinal", NEW."test", NEW."stopped", NEW."as_written", NEW."unbroken", NEW."slow", NEW."scheme", NEW."intended") WHERE name = 'set_record'; END;
CREATE TRIGGER "sum_set_record_update" AFTER UPDATE ON "set_record" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."card_item", OLD."exercise", OLD."side", OLD."load", OLD."unit", OLD."inertia", OLD."device", OLD."reps", OLD."asked", OLD."rir", OLD."to_fail", OLD."ordinal", OLD."test", OLD."stopped", OLD."as_written", OLD."unbroken", OLD."slow", OLD."scheme", OLD."intended"), 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."card_item", NEW."exercise", NEW."side", NEW."load", NEW."unit", NEW."inertia", NEW."device", NEW."reps", NEW."asked", NEW."rir", NEW."to_fail", NEW."ordinal", NEW."test", NEW."stopped", NEW."as_written", NEW."unbroken", NEW."slow", NEW."scheme", NEW."intended") WHERE name = 'set_record'; END;
CREATE TRIGGER "sum_soreness_delete" AFTER DELETE ON "soreness" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."region", OLD."side", OLD."score") WHERE name = 'soreness'; END;
CREATE TRIGGER "sum_soreness_insert" AFTER INSERT ON "soreness" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."region", NEW."side", NEW."score") WHERE name = 'soreness'; END;
CREATE TRIGGER "sum_soreness_update" AFTER UPDATE ON "soreness" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."region", OLD."side", OLD."score"), 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."region", NEW."side", NEW."score") WHERE name = 'soreness'; END;
CREATE TRIGGER "sum_squad_delete" AFTER DELETE ON "squad" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."slug", OLD."name", OLD."zone", OLD."youth", OLD."gym", OLD."cards_at", OLD."evening_at", OLD."digest_at", OLD."strength_at", OLD."cut_off", OLD."quiet_from", OLD."quiet_to", OLD."review", OLD."unapproved", OLD."off_days", OLD."pitch_days", OLD."md1_option", OLD."weekly_on", OLD."monthly") WHERE name = 'squad'; END;
CREATE TRIGGER "sum_squad_insert" AFTER INSERT ON "squad" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."slug", NEW."name", NEW."zone", NEW."youth", NEW."gym", NEW."cards_at", NEW."evening_at", NEW."digest_at", NEW."strength_at", NEW."cut_off", NEW."quiet_from", NEW."quiet_to", NEW."review", NEW."unapproved", NEW."off_days", NEW."pitch_days", NEW."md1_option", NEW."weekly_on", NEW."monthly") WHERE name = 'squad'; END;
CREATE TRIGGER "sum_squad_update" AFTER UPDATE ON "squad" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."slug", OLD."name", OLD."zone", OLD."youth", OLD."gym", OLD."cards_at", OLD."evening_at", OLD."digest_at", OLD."strength_at", OLD."cut_off", OLD."quiet_from", OLD."quiet_to", OLD."review", OLD."unapproved", OLD."off_days", OLD."pitch_days", OLD."md1_option", OLD."weekly_on", OLD."monthly"), 1, NEW."id", NEW."slug", NEW."name", NEW."zone", NEW."youth", NEW."gym", NEW."cards_at", NEW."evening_at", NEW."digest_at", NEW."strength_at", NEW."cut_off", NEW."quiet_from", NEW."quiet_to", NEW."review", NEW."unapproved", NEW."off_days", NEW."pitch_days", NEW."md1_option", NEW."weekly_on", NEW."monthly") WHERE name = 'squad'; END;
CREATE TRIGGER "sum_staff_role_delete" AFTER DELETE ON "staff_role" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."squad", OLD."role", OLD."ord", OLD."from_day", OLD."until_day") WHERE name = 'staff_role'; END;
CREATE TRIGGER "sum_staff_role_insert" AFTER INSERT ON "staff_role" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."squad", NEW."role", NEW."ord", NEW."from_day", NEW."until_day") WHERE name = 'staff_role'; END;
CREATE TRIGGER "sum_staff_role_update" AFTER UPDATE ON "staff_role" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."squad", OLD."role", OLD."ord", OLD."from_day", OLD."until_day"), 1, NEW."id", NEW."person", NEW."squad", NEW."role", NEW."ord", NEW."from_day", NEW."until_day") WHERE name = 'staff_role'; END;
CREATE TRIGGER "sum_warning_sign_delete" AFTER DELETE ON "warning_sign" BEGIN UPDATE row_sum SET sum = add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."sign", OLD."region") WHERE name = 'warning_sign'; END;
CREATE TRIGGER "sum_warning_sign_insert" AFTER INSERT ON "warning_sign" BEGIN UPDATE row_sum SET sum = add_row(sum, 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."sign", NEW."region") WHERE name = 'warning_sign'; END;
CREATE TRIGGER "sum_warning_sign_update" AFTER UPDATE ON "warning_sign" BEGIN UPDATE row_sum SET sum = add_row(add_row(sum, -1, OLD."id", OLD."person", OLD."entry", OLD."key", OLD."at", OLD."day", OLD."sign", OLD."region"), 1, NEW."id", NEW."person", NEW."entry", NEW."key", NEW."at", NEW."day", NEW."sign", NEW."region") WHERE name = 'warning_sign'; END;
CREATE TRIGGER warning_sign_consent BEFORE INSERT ON warning_sign
WHEN EXISTS (SELECT 1 FROM membership WHERE person = NEW.person AND from_day <= NEW.day AND (until_day = '' OR until_day >= NEW.day))
  AND COALESCE((SELECT given FROM consent WHERE person = NEW.person AND guardian = 0 ORDER BY id DESC LIMIT 1), 0) = 0
BEGIN SELECT RAISE (ABORT, 'warning_sign: the player has not agreed'); END;
CREATE TRIGGER warning_sign_no_delete BEFORE DELETE ON warning_sign WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'warning_sign rows are never deleted'); END;
CREATE TRIGGER warning_sign_no_update BEFORE UPDATE ON warning_sign
BEGIN SELECT RAISE (ABORT, 'warning_sign rows are never changed'); END;
