package store

import (
	"cmp"
	"context"
	"crypto/rand"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"github.com/pressly/goose/v3"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

//go:embed migrations/*.sql
var migrations embed.FS

// FileName is the database inside the data directory.
const FileName = "pegcard.db"

// Hooks are places where a test can stop the process. Nil in production.
type Hooks struct {
	// Point is called with "tx.begin", "tx.before_commit" and "tx.after_commit"
	// in every write transaction, after the commit also with "out.claimed" and
	// "out.sent"; with "erase.journal" between journal and erasure and
	// "erase.scrub" between it and the rewriting of the file; with
	// "migrate.step" after each step of an upgrade, and with "backup.rename"
	// before a finished copy gets its name.
	Point func(name string)
	// Driver is a registered database/sql driver that stands before SQLite's;
	// empty: none does.
	Driver string
}

// Options say where the data are.
type Options struct {
	Dir    string // made if missing, mode 0700
	Logger *slog.Logger
	Hooks  Hooks
	Rand   io.Reader // invitation codes and pseudonyms; nil: crypto/rand
	// Shared lets a short command work beside the process that holds the
	// directory: SQLite keeps their transactions apart. The schema must be up to
	// date then, since the holder looks after it.
	Shared bool
}

// Store is an open data directory. Safe for concurrent use.
type Store struct {
	dir   string
	log   *slog.Logger
	hooks Hooks
	rand  io.Reader
	lock  *os.File
	w, r  *sql.DB
	// wready and rready are the prepared statements of w and r.
	wready, rready *stmts

	commonMu sync.Mutex
	common   *shared // of the last version committed
}

// Open opens the data directory, makes it if it is missing, and brings the
// schema up to date. It fails with ErrLocked while another process has it open.
// Erasures in the journal that the database does not show, because it was
// restored from an older backup, are done again before Open returns.
func Open(ctx context.Context, o Options) (*Store, error) { return openWith(ctx, o, nil) }

// openWith is Open by somebody who holds the directory already, or nil. The
// lock goes with the store, also where it is not opened.
func openWith(ctx context.Context, o Options, lock *os.File) (_ *Store, err error) {
	defer func() {
		if err != nil && lock != nil {
			lock.Close() // a second time does no harm
		}
	}()
	s := &Store{dir: o.Dir, log: o.Logger, rand: o.Rand, hooks: o.Hooks}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	if s.rand == nil {
		s.rand = rand.Reader
	}
	if s.dir, err = filepath.Abs(o.Dir); err != nil {
		return nil, fmt.Errorf("open store: %w", err)
	}
	if err := os.MkdirAll(s.dir, 0o700); err != nil {
		return nil, fmt.Errorf("open store: %w", err)
	}
	if err := os.Chmod(s.dir, 0o700); err != nil {
		return nil, fmt.Errorf("open store: %w", err)
	}
	if s.lock = lock; lock == nil {
		s.lock, err = lockDir(s.dir)
	}
	beside := o.Shared && errors.Is(err, ErrLocked)
	if err != nil && !beside {
		return nil, fmt.Errorf("open store: %w", err)
	}
	defer func() {
		if err != nil {
			s.Close()
		}
	}()

	// Made here so that the mode is right from the first byte; SQLite gives the
	// log beside it the same one.
	path := filepath.Join(s.dir, FileName)
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, fmt.Errorf("open store: %w", err)
	}
	if err := errors.Join(f.Chmod(0o600), f.Close()); err != nil {
		return nil, fmt.Errorf("open store: %w", err)
	}

	if s.w, err = sql.Open(s.driver(), dsn(path, true)); err != nil {
		return nil, fmt.Errorf("open store: %w", err)
	}
	s.w.SetMaxOpenConns(1)
	s.wready = newStmts(s.w)
	if err := migrate(ctx, s.w, beside, s.point); err != nil {
		return nil, fmt.Errorf("open store: %s: %w", path, err)
	}
	if s.r, err = sql.Open(s.driver(), dsn(path, false)); err != nil {
		return nil, fmt.Errorf("open store: %w", err)
	}
	s.r.SetMaxOpenConns(4)
	s.rready = newStmts(s.r)
	if beside {
		return s, nil
	}
	if err := s.eraseAgain(ctx); err != nil {
		return nil, fmt.Errorf("open store: %w", err)
	}
	// A new engine judges the records from the first event on.
	if err := s.write(ctx, (*Tx).foldStale); err != nil {
		return nil, fmt.Errorf("open store: %w", err)
	}
	return s, nil
}

// Close ends all connections and gives the directory free.
func (s *Store) Close() error {
	var errs []error
	if s.r != nil {
		errs = append(errs, s.r.Close())
	}
	if s.w != nil {
		errs = append(errs, s.w.Close())
	}
	if s.lock != nil {
		errs = append(errs, s.lock.Close())
	}
	return errors.Join(errs...)
}

// dsn puts every pragma where each connection of the pool gets it.
func dsn(path string, write bool) string {
	q := url.Values{"_pragma": {
		"busy_timeout(5000)",
		"foreign_keys(1)",
		"secure_delete(1)",
		"recursive_triggers(1)", // so that the row sums see what a REPLACE removes
		"synchronous(FULL)",
	}}
	if write {
		q["_pragma"] = append(q["_pragma"], "journal_mode(WAL)")
		q.Set("_txlock", "immediate")
	} else {
		q["_pragma"] = append(q["_pragma"], "query_only(1)")
	}
	path = filepath.ToSlash(path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // a drive letter
	}
	return (&url.URL{Scheme: "file", Path: path, RawQuery: q.Encode()}).String()
}

// migrate brings the schema up to date; beside another process it only checks
// that it is.
func migrate(ctx context.Context, db *sql.DB, beside bool, point func(string)) error {
	dir, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(goose.DialectSQLite3, db, dir)
	if err != nil {
		return err
	}
	if beside {
		pending, err := p.HasPending(ctx)
		if err == nil && pending {
			err = fmt.Errorf("%w, and it is of an older version; stop it first", ErrLocked)
		}
		return err
	}
	if err := upgrade(ctx, db, p, point); err != nil {
		return fmt.Errorf("bring the schema up to date: %w", err)
	}
	return nil
}

// upgrade runs the migrations that are wanting. What it finds damaged it leaves
// alone: new sums would only hide it. A stop at any moment leaves a state that
// the next Open takes up.
func upgrade(ctx context.Context, db *sql.DB, p *goose.Provider, point func(string)) error {
	pending, err := p.HasPending(ctx)
	if err != nil {
		return err
	}
	if pending {
		// An upgrade that was cut short has taken the sums away, and a first
		// version has none.
		summed, err := texts(ctx, db, `SELECT name FROM sqlite_schema WHERE name = 'row_sum'`)
		if err == nil && len(summed) > 0 {
			summed, err = texts(ctx, db, `SELECT name FROM row_sum WHERE name = ?`, schemaSum)
		}
		if err != nil {
			return err
		}
		if err := sound(ctx, db, len(summed) > 0); err != nil {
			return err
		}
		if err := dropSums(ctx, db); err != nil {
			return err
		}
		for {
			r, err := p.UpByOne(ctx)
			if errors.Is(err, goose.ErrNoNextVersion) {
				break
			} else if err != nil {
				return err
			} else if r.Error != nil {
				return r.Error
			}
			point("migrate.step")
		}
	}
	return makeSums(ctx, db)
}

func (s *Store) driver() string { return cmp.Or(s.hooks.Driver, "sqlite") }

func (s *Store) point(name string) {
	if s.hooks.Point != nil {
		s.hooks.Point(name)
	}
}

func isBusy(err error) bool {
	var e *sqlite.Error
	return errors.As(err, &e) && e.Code()&0xff == sqlite3.SQLITE_BUSY
}
