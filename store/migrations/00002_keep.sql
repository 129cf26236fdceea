-- +goose Up

-- For each table the sum of the hashes of its rows, kept by triggers; see
-- rowsum.go.
CREATE TABLE row_sum (
  name TEXT PRIMARY KEY,
  sum  INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- What a player says of their own health is kept only while they agree to it.

-- +goose StatementBegin
CREATE TRIGGER soreness_consent BEFORE INSERT ON soreness
WHEN EXISTS (SELECT 1 FROM membership WHERE person = NEW.person AND from_day <= NEW.day AND (until_day = '' OR until_day >= NEW.day))
  AND COALESCE((SELECT given FROM consent WHERE person = NEW.person AND guardian = 0 ORDER BY id DESC LIMIT 1), 0) = 0
BEGIN SELECT RAISE (ABORT, 'soreness: the player has not agreed'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER pain_consent BEFORE INSERT ON pain
WHEN EXISTS (SELECT 1 FROM membership WHERE person = NEW.person AND from_day <= NEW.day AND (until_day = '' OR until_day >= NEW.day))
  AND COALESCE((SELECT given FROM consent WHERE person = NEW.person AND guardian = 0 ORDER BY id DESC LIMIT 1), 0) = 0
BEGIN SELECT RAISE (ABORT, 'pain: the player has not agreed'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER warning_sign_consent BEFORE INSERT ON warning_sign
WHEN EXISTS (SELECT 1 FROM membership WHERE person = NEW.person AND from_day <= NEW.day AND (until_day = '' OR until_day >= NEW.day))
  AND COALESCE((SELECT given FROM consent WHERE person = NEW.person AND guardian = 0 ORDER BY id DESC LIMIT 1), 0) = 0
BEGIN SELECT RAISE (ABORT, 'warning_sign: the player has not agreed'); END;
-- +goose StatementEnd

-- The audit lapses too, in the nightly pass; see retention.go.
DROP TRIGGER audit_no_delete;
-- +goose StatementBegin
CREATE TRIGGER audit_no_delete BEFORE DELETE ON audit WHEN NOT EXISTS (SELECT 1 FROM erasing)
BEGIN SELECT RAISE (ABORT, 'audit rows are never deleted'); END;
-- +goose StatementEnd
