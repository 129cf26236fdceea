package store

import (
	"context"
	"database/sql"
	"sync"
)

// stmts keeps the statements of one pool prepared. Parsing them anew took
// about half of the time of a transaction. All queries are literals of this
// package, so there are few; the bound is for those that are put together.
type stmts struct {
	db *sql.DB
	mu sync.Mutex
	of map[string]*sql.Stmt
}

const stmtsMax = 600

func newStmts(db *sql.DB) *stmts { return &stmts{db: db, of: map[string]*sql.Stmt{}} }

func (c *stmts) get(q string) *sql.Stmt {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.of[q]
}

// prepare makes statements ready for the next transaction. It must run outside
// of one: the writer's pool has a single connection.
func (c *stmts) prepare(ctx context.Context, queries []string) {
	for _, q := range queries {
		c.mu.Lock()
		have := c.of[q] != nil || len(c.of) >= stmtsMax
		c.mu.Unlock()
		if have {
			continue
		}
		// Best effort: what cannot be prepared is parsed each time, and says then
		// what is wrong with it.
		st, err := c.db.PrepareContext(ctx, q)
		if err != nil {
			return
		}
		c.mu.Lock()
		if c.of[q] == nil {
			c.of[q], st = st, nil
		}
		c.mu.Unlock()
		if st != nil {
			st.Close()
		}
	}
}

// stmt is the prepared statement of q on this transaction's connection, nil
// when there is none yet. Rows of one must be read to their end before the same
// query runs again: all and row see to that.
func (tx *Tx) stmt(q string) *sql.Stmt {
	if tx.ready == nil {
		return nil
	}
	st := tx.ready.get(q)
	if st == nil {
		tx.wanted = append(tx.wanted, q)
		return nil
	}
	return tx.sql.StmtContext(tx.ctx, st)
}

func (tx *Tx) execContext(q string, args []any) (sql.Result, error) {
	if touchesClub(q) {
		tx.wrote = true
	}
	if st := tx.stmt(q); st != nil {
		return st.ExecContext(tx.ctx, args...)
	}
	return tx.sql.ExecContext(tx.ctx, q, args...)
}

func (tx *Tx) queryContext(q string, args []any) (*sql.Rows, error) {
	if st := tx.stmt(q); st != nil {
		return st.QueryContext(tx.ctx, args...)
	}
	return tx.sql.QueryContext(tx.ctx, q, args...)
}
