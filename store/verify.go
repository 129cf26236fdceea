package store

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"pegcard/prescribe"
)

// VerifyReport is what Verify found.
type VerifyReport struct {
	Integrity  []string // what SQLite finds wrong with the file; empty: sound
	Cards      int      // card revisions whose hash was checked
	Recomputed int      // of them, those of this engine version, worked out again
	States     int      // players whose record was folded again from the first event
	Bad        []string // tables and rows that are not as they were written, a sentence each
	Differs    []string // cards and states that come out otherwise when they are worked out again
}

// OK reports whether nothing was found.
func (r VerifyReport) OK() bool {
	return len(r.Integrity) == 0 && len(r.Bad) == 0 && len(r.Differs) == 0
}

// Verify checks the file, the row sums, the hash of every card revision, checkpoint and
// programme, works out every card of this engine version again, and folds every
// player again from the first event. It changes nothing.
func (s *Store) Verify(ctx context.Context) (r VerifyReport, err error) {
	err = s.Read(ctx, func(tx *Tx) error { return tx.verify(&r) })
	return r, err
}

func (tx *Tx) verify(r *VerifyReport) (err error) {
	defer wrap(&err, "verify")
	if r.Integrity, err = integrity(tx.ctx, tx.sql); err != nil {
		return err
	}
	if r.Bad, err = wrongSums(tx.ctx, tx.sql); err != nil {
		return err
	}
	bad := func(format string, args ...any) { r.Bad = append(r.Bad, fmt.Sprintf(format, args...)) }
	differs := func(format string, args ...any) { r.Differs = append(r.Differs, fmt.Sprintf(format, args...)) }

	type rev struct {
		card                                              int64
		rev                                               int
		engine, rules, programme, inputs, content, stored string
		at                                                int64
	}
	// Ids first, rows one at a time: inputs are large.
	ids, err := all(tx, one[int64], `SELECT id FROM card_rev ORDER BY id`)
	if err != nil {
		return err
	}
	for _, id := range ids {
		var v rev
		if err := tx.row(`SELECT card, rev, engine, rules, programme, inputs, content, created_at, hash FROM card_rev WHERE id = ?`, id).
			Scan(&v.card, &v.rev, &v.engine, &v.rules, &v.programme, &v.inputs, &v.content, &v.at, &v.stored); err != nil {
			return err
		}
		r.Cards++
		if rowHash(v.card, v.rev, v.engine, v.rules, v.programme, v.inputs, v.content, v.at) != v.stored {
			bad("card %d revision %d: the row is not the one that was written", v.card, v.rev)
			continue
		}
		if v.engine != prescribe.EngineVersion {
			continue
		}
		r.Recomputed++
		same, _, _, err := tx.Recompute(v.card, v.rev)
		if err != nil {
			return err
		}
		if !same {
			differs("card %d revision %d: the same inputs give another card now", v.card, v.rev)
		}
	}

	programmes, err := all(tx, func(s scanner) (p [2]string, err error) {
		err = s.Scan(&p[0], &p[1])
		return p, err
	}, `SELECT hash, programme FROM programme_version ORDER BY hash`)
	if err != nil {
		return err
	}
	for _, p := range programmes {
		if rowHash(p[1])[:32] != p[0] {
			bad("programme %s: the row is not the one that was written", p[0])
		}
	}

	ids, err = all(tx, one[int64], `SELECT id FROM checkpoint ORDER BY id`)
	if err != nil {
		return err
	}
	for _, id := range ids {
		var c checkpoint
		var person int64
		var engine, rules, state, stored string
		if err := tx.row(`SELECT person, at, key, day, engine, rules, state, hash FROM checkpoint WHERE id = ?`, id).
			Scan(&person, &c.at, &c.key, intoDay(&c.day), &engine, &rules, &state, &stored); err != nil {
			return err
		}
		if rowHash(person, c.at, c.key, c.day, engine, rules, state) != stored {
			bad("person %d: the checkpoint at %s is not the one that was written", person, c.at.Time())
		}
	}

	rules, _, err := tx.Rules()
	if err != nil {
		return err
	}
	people, err := all(tx, one[int64], `SELECT DISTINCT person FROM entry ORDER BY person`)
	if err != nil {
		return err
	}
	for _, p := range people {
		r.States++
		kept, err := tx.State(p)
		if err != nil {
			return err
		}
		events, err := tx.events(p, `TRUE`)
		if err != nil {
			return err
		}
		var s prescribe.State
		for _, e := range events {
			s = prescribe.Fold(s, e, rules)
		}
		a, err := json.Marshal(kept)
		if err != nil {
			return err
		}
		b, err := json.Marshal(s)
		if err != nil {
			return err
		}
		if string(a) != string(b) {
			differs("person %d: folding all events again gives another state", p)
		}
	}
	return nil
}

// integrity is what SQLite itself finds wrong.
func integrity(ctx context.Context, db querier) (found []string, err error) {
	for _, q := range []string{
		`SELECT integrity_check FROM pragma_integrity_check WHERE integrity_check <> 'ok'`,
		`SELECT 'a row of ' || "table" || ' refers to a missing row of ' || parent FROM pragma_foreign_key_check`,
	} {
		bad, err := texts(ctx, db, q)
		if err != nil {
			return nil, err
		}
		found = append(found, bad...)
	}
	return found, nil
}

// sound is an error that says what is wrong with a file: how it hangs together
// and, if it has them, its row sums.
func sound(ctx context.Context, db querier, summed bool) error {
	bad, err := integrity(ctx, db)
	if err == nil && len(bad) == 0 && summed {
		bad, err = wrongSums(ctx, db)
	}
	if err == nil && len(bad) > 0 {
		err = fmt.Errorf("%w: %s", ErrDamaged, strings.Join(bad[:min(len(bad), 5)], "; "))
	}
	return err
}
