package store_test

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"sync"
)

// faultDriver stands before SQLite's and lets the n-th call of a run fail:
// before it reaches the database, or after the database did what was asked and
// the answer is lost.

const faultName = "sqlite-with-faults"

var (
	errFault = errors.New("the disk said no")
	faults   faultPlan
)

func init() { sql.Register(faultName, faultDriver{}) }

type faultPlan struct {
	mu       sync.Mutex
	on       bool
	after    bool
	n, calls int    // the call that fails, and those so far
	hit      string // what failed; empty: nothing has yet
	setUp    string // run on each new connection
}

// arm lets the n-th call from now on fail, from 1; 0 counts only.
func (f *faultPlan) arm(n int, after bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.on, f.n, f.after, f.calls, f.hit = true, n, after, 0, ""
}

// disarm ends it, and tells how many calls there were and which failed.
func (f *faultPlan) disarm() (calls int, hit string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.on = false
	return f.calls, f.hit
}

// due counts a call and reports whether it is the one.
func (f *faultPlan) due(what string) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	if !f.on {
		return false
	}
	f.calls++
	if f.calls != f.n {
		return false
	}
	f.hit = what
	return true
}

// through makes the call, or one of the two failures of it.
func through[T any](what string, call func() (T, error)) (T, error) {
	var none T
	if !faults.due(what) {
		return call()
	}
	if faults.after {
		if v, err := call(); err == nil {
			if r, ok := any(v).(interface{ Close() error }); ok {
				r.Close() // nobody hears of it
			}
		}
	}
	return none, fmt.Errorf("%s: %w", what, errFault)
}

type faultDriver struct{}

func (faultDriver) Open(name string) (driver.Conn, error) {
	db, err := sql.Open("sqlite", "") // opens nothing; its driver knows the functions that were registered
	if err != nil {
		return nil, err
	}
	defer db.Close()
	c, err := db.Driver().Open(name)
	if err != nil {
		return nil, err
	}
	faults.mu.Lock()
	setUp := faults.setUp
	faults.mu.Unlock()
	if setUp != "" {
		if _, err := c.(driver.ExecerContext).ExecContext(context.Background(), setUp, nil); err != nil {
			return nil, errors.Join(err, c.Close())
		}
	}
	return &faultConn{c}, nil
}

type faultConn struct{ driver.Conn }

func (c *faultConn) PrepareContext(ctx context.Context, q string) (driver.Stmt, error) {
	return through("prepare", func() (driver.Stmt, error) {
		s, err := c.Conn.(driver.ConnPrepareContext).PrepareContext(ctx, q)
		if err != nil {
			return nil, err
		}
		return &faultStmt{s}, nil
	})
}

func (c *faultConn) BeginTx(ctx context.Context, o driver.TxOptions) (driver.Tx, error) {
	t, err := through("begin", func() (driver.Tx, error) { return c.Conn.(driver.ConnBeginTx).BeginTx(ctx, o) })
	if errors.Is(err, errFault) && faults.after {
		// The transaction was begun and the answer lost: the connection is of no
		// more use, and closing it rolls back.
		return nil, errors.Join(err, driver.ErrBadConn)
	}
	if err != nil {
		return nil, err
	}
	return faultTx{t}, nil
}

func (c *faultConn) ExecContext(ctx context.Context, q string, args []driver.NamedValue) (driver.Result, error) {
	return through("exec", func() (driver.Result, error) { return c.Conn.(driver.ExecerContext).ExecContext(ctx, q, args) })
}

func (c *faultConn) QueryContext(ctx context.Context, q string, args []driver.NamedValue) (driver.Rows, error) {
	r, err := through("query", func() (driver.Rows, error) { return c.Conn.(driver.QueryerContext).QueryContext(ctx, q, args) })
	if err != nil {
		return nil, err
	}
	return faultRows{r}, nil
}

func (c *faultConn) ResetSession(ctx context.Context) error {
	return c.Conn.(driver.SessionResetter).ResetSession(ctx)
}

func (c *faultConn) IsValid() bool { return c.Conn.(driver.Validator).IsValid() }

type faultStmt struct{ driver.Stmt }

func (s *faultStmt) ExecContext(ctx context.Context, args []driver.NamedValue) (driver.Result, error) {
	return through("exec", func() (driver.Result, error) { return s.Stmt.(driver.StmtExecContext).ExecContext(ctx, args) })
}

func (s *faultStmt) QueryContext(ctx context.Context, args []driver.NamedValue) (driver.Rows, error) {
	r, err := through("query", func() (driver.Rows, error) { return s.Stmt.(driver.StmtQueryContext).QueryContext(ctx, args) })
	if err != nil {
		return nil, err
	}
	return faultRows{r}, nil
}

type faultTx struct{ driver.Tx }

func (t faultTx) Commit() error {
	_, err := through("commit", func() (struct{}, error) { return struct{}{}, t.Tx.Commit() })
	if errors.Is(err, errFault) && !faults.after {
		// What database/sql does not do after a failed commit.
		return errors.Join(err, t.Tx.Rollback())
	}
	return err
}

func (t faultTx) Rollback() error {
	_, err := through("rollback", func() (struct{}, error) { return struct{}{}, t.Tx.Rollback() })
	if errors.Is(err, errFault) && !faults.after {
		return errors.Join(err, driver.ErrBadConn)
	}
	return err
}

type faultRows struct{ driver.Rows }

func (r faultRows) Next(dest []driver.Value) error {
	_, err := through("next", func() (struct{}, error) { return struct{}{}, r.Rows.Next(dest) })
	return err
}
