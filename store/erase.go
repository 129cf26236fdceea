package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"pegcard/prescribe"
)

// JournalName is the file beside the database that lists who was erased, by
// pseudonym, so that a restored backup can be erased again.
const JournalName = "erased.journal"

// owned is a table with rows that belong to people, and which of its rows are
// those of the person ?1.
type owned struct{ table, where string }

// ownedTables reads out of the schema which rows are whose: those whose column
// person or recipient refers to the person, and those that refer to such rows.
// Columns called by_person or the like only say who acted. Tables that know a
// person by chat or pseudonym are added at the end. By name.
func (tx *Tx) ownedTables() ([]owned, error) {
	type ref struct{ table, from, parent, to string }
	refs, err := all(tx, func(r scanner) (x ref, err error) {
		err = r.Scan(&x.table, &x.from, &x.parent, &x.to)
		return x, err
	}, `SELECT m.name, f."from", f."table", COALESCE(f."to", 'id') FROM sqlite_schema m, pragma_foreign_key_list(m.name) f
WHERE m.type = 'table' ORDER BY m.name, f."from"`)
	if err != nil {
		return nil, err
	}
	where := map[string]string{}
	// What went to a chat of the person, also where it was sent to the chat alone.
	const chats = ` OR recipient IS NULL AND chat IN (SELECT chat FROM person_account WHERE person = ?1)`
	for _, x := range refs {
		if x.parent == "person" && (x.from == "person" || x.from == "recipient") {
			where[x.table] = x.from + ` = ?1`
			if x.table == "outbox" || x.table == "message" {
				where[x.table] += chats
			}
		}
	}
	for found := true; found; {
		found = false
		for _, x := range refs {
			if _, ok := where[x.table]; ok || where[x.parent] == "" {
				continue
			}
			where[x.table] = fmt.Sprintf(`%s IN (SELECT %s FROM %s WHERE %s)`, x.from, x.to, x.parent, where[x.parent])
			found = true
		}
	}
	var out []owned
	for t, w := range where {
		out = append(out, owned{t, w})
	}
	out = append(out,
		owned{"dialog", `chat IN (SELECT chat FROM person_account WHERE person = ?1)`},
		owned{"quarantine", `EXISTS (SELECT 1 FROM person_account a WHERE a.person = ?1 AND
  (instr(CAST(raw AS TEXT), CAST(a.user_id AS TEXT)) > 0 OR instr(CAST(raw AS TEXT), CAST(a.chat AS TEXT)) > 0))`},
	)
	slices.SortFunc(out, func(a, b owned) int { return strings.Compare(a.table, b.table) })
	return out, nil
}

// Export writes all that is kept of a person as one JSON object: the person,
// and each table with their rows. Values are as stored: times in Unix
// milliseconds, days as text.
func (tx *Tx) Export(person int64, w io.Writer) (err error) {
	defer wrap(&err, "export %d", person)
	if _, err := tx.Person(person); err != nil {
		return err
	}
	tables, err := tx.ownedTables()
	if err != nil {
		return err
	}
	tables = append(tables,
		owned{"person", `id = ?1`},
		owned{"audit", `target = (SELECT pseudo FROM person WHERE id = ?1) OR actor = (SELECT pseudo FROM person WHERE id = ?1)`},
	)
	out := make(map[string][]map[string]any, len(tables))
	for _, t := range tables {
		if out[t.table], err = tx.rows(`SELECT * FROM `+t.table+` WHERE `+t.where+` ORDER BY 1`, person); err != nil {
			return fmt.Errorf("%s: %w", t.table, err)
		}
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(out)
}

// rows are whole rows, by column name.
func (tx *Tx) rows(q string, args ...any) ([]map[string]any, error) {
	rows, err := tx.sql.QueryContext(tx.ctx, q, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	cols, err := rows.Columns()
	if err != nil {
		return nil, err
	}
	out := []map[string]any{}
	for rows.Next() {
		vals := make([]any, len(cols))
		for i := range vals {
			vals[i] = new(any)
		}
		if err := rows.Scan(vals...); err != nil {
			return nil, err
		}
		m := make(map[string]any, len(cols))
		for i, c := range cols {
			v := *(vals[i].(*any))
			if b, ok := v.([]byte); ok {
				v = string(b)
			}
			m[c] = v
		}
		out = append(out, m)
	}
	return out, rows.Err()
}

// Erase removes all that is kept of a person. The row of the person stays,
// empty but for the pseudonym, for what they did to others' data; so does the
// audit, by pseudonym. The journal is written first, so an erasure that a crash
// cut short is done again at the next Open. When Erase returns nil, no byte of
// the person is left in the database or its log. Copies made earlier are not
// reached; a restored one is erased again when it is opened beside the journal.
func (s *Store) Erase(ctx context.Context, person int64, now prescribe.Instant) (err error) {
	defer wrap(&err, "erase %d", person)
	return s.eraseAll(ctx, now, person)
}

// scrubbed stands in the journal in the place of a pseudonym when the files
// were rewritten after the erasures above it.
const scrubbed = "scrubbed"

// journal appends a pseudonym and makes sure that it is on the disk.
func (s *Store) journal(pseudo string, now time.Time) error {
	return appendJournal(filepath.Join(s.dir, JournalName), fmt.Sprintf("%s %s\n", pseudo, now.UTC().Format(time.RFC3339)))
}

func (tx *Tx) erase(person int64, now prescribe.Instant) error {
	tables, err := tx.ownedTables()
	if err != nil {
		return err
	}
	if err := tx.exec(`PRAGMA defer_foreign_keys = ON`); err != nil {
		return err
	}
	tx.states = nil
	if err := tx.exec(`INSERT INTO erasing (one) VALUES (1)`); err != nil {
		return err
	}
	if err := tx.eraseKeys(person); err != nil {
		return err
	}
	// Rows are found through the rows they refer to, so those go last, and the
	// accounts, through which rows are found too, at the very end.
	for i := range tables {
		for _, t := range tables {
			if t.table != accounts && depth(t.where) == len(tables)-1-i {
				if err := tx.exec(`DELETE FROM `+t.table+` WHERE `+t.where, person); err != nil {
					return fmt.Errorf("%s: %w", t.table, err)
				}
			}
		}
	}
	if err := tx.exec(`DELETE FROM `+accounts+` WHERE person = ?1`, person); err != nil {
		return fmt.Errorf("%s: %w", accounts, err)
	}
	if err := tx.exec(`UPDATE person SET key = 'erased-' || pseudo, name = '', language = '', phone = '', user_id = NULL, chat = NULL,
  chosen = 0, reachable = 0, left_at = ?1, erased_at = ?1 WHERE id = ?2`, now, person); err != nil {
		return err
	}
	if err := tx.Audit(0, person, "erase", "", now); err != nil {
		return err
	}
	return tx.exec(`DELETE FROM erasing`)
}

// accounts is the table of the chat accounts people have had.
const accounts = "person_account"

// depth is how many tables stand between a row and its person.
func depth(where string) int { return strings.Count(where, "IN (SELECT id FROM") }

// eraseKeys drops idempotency keys that name a chat or an account the person has
// had. The schedule's own are by civil date and id, and lapse by themselves.
func (tx *Tx) eraseKeys(person int64) error {
	ids, err := all(tx, one[int64], `SELECT user_id FROM person_account WHERE person = ?1 UNION SELECT chat FROM person_account WHERE person = ?1`, person)
	if err != nil || len(ids) == 0 {
		return err
	}
	keys, err := all(tx, one[string], `SELECT key FROM once_key WHERE key NOT LIKE 'due/%'`)
	if err != nil {
		return err
	}
	for _, k := range keys {
		words := strings.FieldsFunc(k, func(r rune) bool { return r < '0' || r > '9' })
		if slices.ContainsFunc(ids, func(id int64) bool { return slices.Contains(words, strconv.FormatInt(max(id, -id), 10)) }) {
			if err := tx.exec(`DELETE FROM once_key WHERE key = ?`, k); err != nil {
				return err
			}
		}
	}
	return nil
}

// scrub rewrites the database and empties its log, so that pages which were
// freed or moved keep nothing of what was deleted.
func (s *Store) scrub(ctx context.Context, now time.Time) error {
	s.point("erase.scrub")
	if _, err := s.w.ExecContext(ctx, `VACUUM`); err != nil {
		return fmt.Errorf("vacuum: %w", err)
	}
	const tries = 50
	for range tries {
		var busy, log, done int
		if err := s.w.QueryRowContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`).Scan(&busy, &log, &done); err != nil {
			return fmt.Errorf("checkpoint: %w", err)
		}
		if busy == 0 {
			return s.journal(scrubbed, now)
		}
		t := time.NewTimer(100 * time.Millisecond) // a reader still looks at the old pages
		select {
		case <-ctx.Done():
			t.Stop()
			return ctx.Err()
		case <-t.C:
		}
	}
	return errors.New("erased, but somebody is still reading the log; it is emptied when the program is stopped")
}

// eraseAgain erases whoever the journal names and the database still shows, and
// finishes an erasure that a stop cut short.
func (s *Store) eraseAgain(ctx context.Context) error {
	// A line that cannot be read was cut short by a stop: then the erasure was not
	// begun, and whoever asked for it was told of the failure.
	lines, err := journalLines(filepath.Join(s.dir, JournalName))
	if err != nil {
		return fmt.Errorf("erase again: %w", err)
	}
	var people []int64
	var last time.Time
	cut := false
	for _, l := range lines {
		pseudo, when, _ := strings.Cut(l, " ")
		if last, err = time.Parse(time.RFC3339, when); err != nil {
			return fmt.Errorf("erase again: %w", err)
		}
		if cut = pseudo != scrubbed; !cut {
			continue
		}
		if err := s.Read(ctx, func(tx *Tx) error {
			ids, err := all(tx, one[int64], `SELECT id FROM person WHERE pseudo = ? AND erased_at IS NULL`, pseudo)
			people = append(people, ids...)
			return err
		}); err != nil {
			return fmt.Errorf("erase again: %w", err)
		}
	}
	switch {
	case len(people) > 0:
		slices.Sort(people)
		err = s.eraseAll(ctx, prescribe.InstantOf(last), slices.Compact(people)...)
	case cut:
		err = s.scrub(ctx, last)
	}
	if err != nil {
		return fmt.Errorf("erase again: %w", err)
	}
	return nil
}
