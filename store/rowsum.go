package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"encoding/binary"
	"fmt"
	"hash"
	"hash/fnv"
	"math"
	"strings"

	"modernc.org/sqlite"
)

// Row sums tell a row that was written from one that a failing disk made of
// it. SQLite checks how its pages hang together, not what stands in the rows.
//
// For each table, row_sum keeps the sum, modulo 2^64, of the hashes of all its
// rows. Triggers, made from the schema, add the hash of a row that is written
// and take away that of a row that goes. A sum can be kept without reading the
// rest of the table, and does not depend on the order. A change of a single bit
// always changes it (each step of FNV-1a is a bijection); of several, but for
// one in 2^64. It is no protection against somebody who means to change rows.

// addRow is the SQL function of the triggers: the sum, 1 or -1, and the row.
const addRow = "add_row"

// schemaSum is the entry of the schema itself. It stands only when all sums do.
const schemaSum = "sqlite_schema"

func init() {
	sqlite.MustRegisterDeterministicScalarFunction(addRow, -1, func(_ *sqlite.FunctionContext, args []driver.Value) (driver.Value, error) {
		if len(args) < 2 {
			return nil, fmt.Errorf("%s takes a sum, a sign and a row", addRow)
		}
		sum, ok1 := args[0].(int64)
		sign, ok2 := args[1].(int64)
		if !ok1 || !ok2 {
			return nil, fmt.Errorf("%s takes a whole sum and sign", addRow)
		}
		h := fnv.New64a()
		for _, v := range args[2:] {
			if err := hashValue(h, v); err != nil {
				return nil, err
			}
		}
		return sum + sign*int64(h.Sum64()), nil
	})
}

// hashValue writes kind, length and bytes, so that no two rows look alike.
func hashValue(h hash.Hash64, v any) error {
	var b [9]byte
	put := func(kind byte, n uint64) {
		b[0] = kind
		binary.LittleEndian.PutUint64(b[1:], n)
		h.Write(b[:])
	}
	switch v := v.(type) {
	case nil:
		put('n', 0)
	case int64:
		put('i', uint64(v))
	case float64:
		put('f', math.Float64bits(v))
	case string:
		put('s', uint64(len(v)))
		h.Write([]byte(v))
	case []byte:
		put('b', uint64(len(v)))
		h.Write(v)
	default:
		return fmt.Errorf("%s cannot hash %T", addRow, v)
	}
	return nil
}

// querier is a transaction or a database.
type querier interface {
	QueryContext(ctx context.Context, q string, args ...any) (*sql.Rows, error)
}

// texts are the rows of a query of one column.
func texts(ctx context.Context, db querier, q string, args ...any) (out []string, err error) {
	rows, err := db.QueryContext(ctx, q, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, rows.Err()
}

// summedTables are all tables but that of the sums and SQLite's own.
func summedTables(ctx context.Context, db querier) ([]string, error) {
	return texts(ctx, db, `SELECT name FROM sqlite_schema WHERE type = 'table' AND name <> 'row_sum' AND name NOT LIKE 'sqlite\_%' ESCAPE '\' ORDER BY name`)
}

// columns of a table, each with the prefix.
func columns(ctx context.Context, db querier, table, prefix string) (string, error) {
	cols, err := texts(ctx, db, `SELECT ? || '"' || name || '"' FROM pragma_table_info(?) ORDER BY cid`, prefix, table)
	return strings.Join(cols, ", "), err
}

// sumOf works the sum of a table, or of the schema, out from its rows.
func sumOf(ctx context.Context, db querier, table string) (int64, error) {
	cols, from := "type, name, tbl_name, sql", schemaSum
	if table != schemaSum {
		var err error
		if cols, err = columns(ctx, db, table, ""); err != nil {
			return 0, err
		}
		from = `"` + table + `"`
	}
	// Not an aggregate: SQLite's sum gives up where an addition overflows.
	rows, err := db.QueryContext(ctx, `SELECT `+addRow+`(0, 1, `+cols+`) FROM `+from)
	if err != nil {
		return 0, err
	}
	defer rows.Close()
	var sum int64
	for rows.Next() {
		var h int64
		if err := rows.Scan(&h); err != nil {
			return 0, err
		}
		sum += h
	}
	return sum, rows.Err()
}

// wrongSums names the tables whose rows are not those that were written.
func wrongSums(ctx context.Context, db querier) (found []string, err error) {
	tables, err := summedTables(ctx, db)
	if err != nil {
		return nil, err
	}
	for _, t := range append(tables, schemaSum) {
		sum, err := sumOf(ctx, db, t)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", t, err)
		}
		kept, err := texts(ctx, db, `SELECT sum FROM row_sum WHERE name = ?`, t)
		if err != nil {
			return nil, err
		}
		if len(kept) != 1 || kept[0] != fmt.Sprint(sum) {
			found = append(found, fmt.Sprintf("table %s: its rows are not those that were written", t))
		}
	}
	return found, nil
}

// dropSums takes the triggers away before the schema changes.
func dropSums(ctx context.Context, db *sql.DB) error {
	return inTx(ctx, db, func(t *sql.Tx) error {
		names, err := texts(ctx, t, `SELECT name FROM sqlite_schema WHERE type = 'trigger' AND name LIKE 'sum\_%' ESCAPE '\' ORDER BY name`)
		if err != nil || len(names) == 0 {
			return err
		}
		for _, n := range names {
			if _, err := t.ExecContext(ctx, `DROP TRIGGER "`+n+`"`); err != nil {
				return err
			}
		}
		_, err = t.ExecContext(ctx, `DELETE FROM row_sum`)
		return err
	})
}

// makeSums makes triggers and sums from the schema, unless they stand.
func makeSums(ctx context.Context, db *sql.DB) error {
	return inTx(ctx, db, func(t *sql.Tx) error {
		have, err := texts(ctx, t, `SELECT name FROM row_sum WHERE name = ?`, schemaSum)
		if err != nil || len(have) > 0 {
			return err
		}
		tables, err := summedTables(ctx, t)
		if err != nil {
			return err
		}
		put := func(table string) error {
			sum, err := sumOf(ctx, t, table)
			if err != nil {
				return err
			}
			_, err = t.ExecContext(ctx, `INSERT INTO row_sum (name, sum) VALUES (?, ?)`, table, sum)
			return err
		}
		for _, name := range tables {
			was, err := columns(ctx, t, name, "OLD.")
			if err != nil {
				return err
			}
			is, err := columns(ctx, t, name, "NEW.")
			if err != nil {
				return err
			}
			less, more := addRow+"(sum, -1, "+was+")", addRow+"(sum, 1, "+is+")"
			for event, sum := range map[string]string{
				"insert": more, "delete": less, "update": addRow + "(" + less + ", 1, " + is + ")",
			} {
				if _, err := t.ExecContext(ctx, fmt.Sprintf(
					`CREATE TRIGGER "sum_%s_%s" AFTER %s ON "%s" BEGIN UPDATE row_sum SET sum = %s WHERE name = '%s'; END`,
					name, event, strings.ToUpper(event), name, sum, name)); err != nil {
					return err
				}
			}
			if err := put(name); err != nil {
				return err
			}
		}
		return put(schemaSum)
	})
}

func inTx(ctx context.Context, db *sql.DB, fn func(*sql.Tx) error) error {
	t, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer t.Rollback() // nothing to roll back after the commit
	if err := fn(t); err != nil {
		return err
	}
	return t.Commit()
}
