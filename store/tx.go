package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"time"

	"pegcard/prescribe"
)

// Tx is one transaction. It is valid only inside the function it was given to.
type Tx struct {
	ctx context.Context
	s   *Store
	sql *sql.Tx
	// points are hook points to pass once it is committed.
	points []string
	ready  *stmts   // prepared statements of the pool
	wanted []string // queries to be prepared when it is over
	began  int64    // version of the club's common data when it began
	common *shared  // as this transaction sees them; see shared
	wrote  bool     // something was written since common was looked up
	// states are those of players asked for before; nil after a change of events
	// or rules.
	states map[int64]prescribe.State
}

// beginTries bounds how often a transaction that found the database busy is
// begun again; each try has already waited for the connection's busy timeout.
const beginTries = 3

// Once runs fn in a write transaction unless key was committed before; then
// fn is not run and done is false. Key, rows and messages of fn are committed
// together or not at all. When fn panics, the transaction is rolled back and
// the panic goes on.
func (s *Store) Once(ctx context.Context, key string, now prescribe.Instant, fn func(*Tx) error) (done bool, err error) {
	if key == "" {
		return false, errors.New("once: the key is empty")
	}
	err = s.write(ctx, func(tx *Tx) error {
		r, err := tx.execContext(`INSERT INTO once_key (key, at) VALUES (?, ?) ON CONFLICT DO NOTHING`, []any{key, now})
		if err != nil {
			return fmt.Errorf("once: %w", err)
		}
		n, err := r.RowsAffected()
		if err != nil {
			return fmt.Errorf("once: %w", err)
		}
		if n == 0 {
			return errSeen
		}
		return fn(tx)
	})
	if errors.Is(err, errSeen) {
		return false, nil
	}
	return err == nil, err
}

var errSeen = errors.New("the key was there before")

// Write runs fn in a write transaction.
func (s *Store) Write(ctx context.Context, fn func(*Tx) error) error { return s.write(ctx, fn) }

func (s *Store) write(ctx context.Context, fn func(*Tx) error) (err error) {
	t, err := s.begin(ctx)
	if err != nil {
		return fmt.Errorf("begin: %w", err)
	}
	committed := false
	defer func() {
		if !committed {
			// Also on the way of a panic, which then goes on.
			err = errors.Join(err, t.end())
		}
	}()
	s.point("tx.begin")
	tx := &Tx{ctx: ctx, s: s, sql: t.Tx, ready: s.wready}
	if tx.began, err = tx.clubVersion(); err != nil {
		return fmt.Errorf("begin: %w", err)
	}
	if err := fn(tx); err != nil {
		return err
	}
	s.point("tx.before_commit")
	if err := t.Commit(); err != nil {
		return fmt.Errorf("commit: %w", err)
	}
	committed = true
	t.conn.Close() // back to the pool: prepare wants it
	s.point("tx.after_commit")
	s.wready.prepare(ctx, tx.wanted)
	for _, p := range tx.points {
		s.point(p)
	}
	return nil
}

// begin takes the write lock at once, so busy can only be met here, before
// anything ran.
func (s *Store) begin(ctx context.Context) (*held, error) {
	var err error
	for try := range beginTries {
		if try > 0 {
			t := time.NewTimer(time.Duration(try) * 100 * time.Millisecond)
			select {
			case <-ctx.Done():
				t.Stop()
				return nil, ctx.Err()
			case <-t.C:
			}
		}
		var t *held
		if t, err = hold(ctx, s.w); err == nil || !isBusy(err) {
			return t, err
		}
	}
	return nil, err
}

// held is a transaction with the connection it runs on.
type held struct {
	*sql.Tx
	conn *sql.Conn
}

func hold(ctx context.Context, db *sql.DB) (*held, error) {
	c, err := db.Conn(ctx)
	if err != nil {
		return nil, err
	}
	t, err := c.BeginTx(ctx, nil)
	if err != nil {
		c.Close()
		return nil, err
	}
	return &held{t, c}, nil
}

// end rolls back. A connection that cannot do even that still stands in its
// transaction, and each later one would fail on it: it is closed for good.
func (h *held) end() error {
	defer h.conn.Close()
	err := h.Rollback()
	if err == nil || errors.Is(err, sql.ErrTxDone) {
		return nil
	}
	h.conn.Raw(func(any) error { return driver.ErrBadConn })
	return fmt.Errorf("roll back: %w", err)
}

// Read runs fn on one snapshot. Methods that write fail in it.
func (s *Store) Read(ctx context.Context, fn func(*Tx) error) error {
	t, err := hold(ctx, s.r)
	if err != nil {
		return fmt.Errorf("begin: %w", err)
	}
	tx := &Tx{ctx: ctx, s: s, sql: t.Tx, ready: s.rready}
	defer func() {
		t.end() // nothing was written
		s.rready.prepare(ctx, tx.wanted)
	}()
	if tx.began, err = tx.clubVersion(); err != nil {
		return fmt.Errorf("begin: %w", err)
	}
	return fn(tx)
}

func (tx *Tx) exec(q string, args ...any) error {
	_, err := tx.execContext(q, args)
	return err
}

// changed is exec that reports how many rows it touched.
func (tx *Tx) changed(q string, args ...any) (int, error) {
	r, err := tx.execContext(q, args)
	if err != nil {
		return 0, err
	}
	n, err := r.RowsAffected()
	return int(n), err
}

func (tx *Tx) insert(q string, args ...any) (int64, error) {
	r, err := tx.execContext(q, args)
	if err != nil {
		return 0, err
	}
	return r.LastInsertId()
}

func (tx *Tx) row(q string, args ...any) *sql.Row {
	if st := tx.stmt(q); st != nil {
		return st.QueryRowContext(tx.ctx, args...)
	}
	return tx.sql.QueryRowContext(tx.ctx, q, args...)
}

// scanner is a row of either kind.
type scanner interface{ Scan(...any) error }

// all reads every row before it returns: there is one connection, and the
// caller may want it for the next statement.
func all[T any](tx *Tx, scan func(scanner) (T, error), q string, args ...any) ([]T, error) {
	rows, err := tx.queryContext(q, args)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []T
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, rows.Err()
}

// each is all for as long as more wants the next row.
func each[T any](tx *Tx, scan func(scanner) (T, error), more func(T) bool, q string, args ...any) error {
	rows, err := tx.queryContext(q, args)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return err
		}
		if !more(v) {
			return nil
		}
	}
	return rows.Err()
}

func one[T any](r scanner) (T, error) {
	var v T
	err := r.Scan(&v)
	return v, err
}

// wrap names the operation in *err and turns "no row" into ErrNotFound.
func wrap(err *error, format string, args ...any) {
	if *err == nil {
		return
	}
	if errors.Is(*err, sql.ErrNoRows) {
		*err = ErrNotFound
	}
	*err = fmt.Errorf("%s: %w", fmt.Sprintf(format, args...), *err)
}

// intoDay scans a civil date column into d.
type dayScan struct{ d *prescribe.Day }

func intoDay(d *prescribe.Day) dayScan { return dayScan{d} }

func (s dayScan) Scan(src any) error {
	switch v := src.(type) {
	case nil:
		*s.d = 0
		return nil
	case string:
		return s.d.UnmarshalText([]byte(v))
	case []byte:
		return s.d.UnmarshalText(v)
	}
	return fmt.Errorf("a civil date is stored as %T", src)
}

// none gives NULL for the id 0.
func none(id int64) sql.NullInt64 { return sql.NullInt64{Int64: id, Valid: id != 0} }

const (
	lastDay = "9999-12-31" // after every civil date
)
