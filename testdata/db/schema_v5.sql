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

CREATE TRIGGER warning_sign_consent BEFORE INSERT ON warning_sign
WHEN EXISTS (SELECT 1 FROM membership WHERE person = NEW.person AND from_day <= NEW.day AND (until_day = '' OR until_day >= NEW.day))
  AND COALESCE((SELECT given FROM consent WHERE person = NEW.person AND guardian = 0 ORDER BY id DESC LIMIT 1), 0) = 0
BEGIN SELECT RAISE (ABORT, 'warning_sign: the player has not agreed'); END;

CREATE TRIGGER warning_sign_no_delete BEFORE DELETE ON warning_sign WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'warning_sign rows are never deleted'); END;

CREATE TRIGGER warning_sign_no_update BEFORE UPDATE ON warning_sign
BEGIN SELECT RAISE (ABORT, 'warning_sign rows are never changed'); END;

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
