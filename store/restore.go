package store

import (
	"bufio"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"pegcard/prescribe"
)

// DailyBackup writes the day's copy into dir, checked, unless it is there, and
// then removes the oldest beyond keep. The journal of erasures is copied too,
// so that the copies can be restored elsewhere. A copy that fails removes
// nothing. path is empty when there was nothing to do.
func (s *Store) DailyBackup(ctx context.Context, dir string, keep int, day prescribe.Day) (path string, err error) {
	defer wrap(&err, "daily backup")
	if keep < 1 {
		return "", errors.New("at least one copy is kept")
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", err
	}
	if err := copyFile(filepath.Join(s.dir, JournalName), filepath.Join(dir, JournalName)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", err
	}
	files, err := os.ReadDir(dir)
	if err != nil {
		return "", err
	}
	name := "pegcard-" + day.String() + ".db"
	var copies []string
	for _, f := range files {
		switch base, part := strings.CutSuffix(f.Name(), ".part"); {
		case !dailyName.MatchString(base):
		case part:
			os.Remove(filepath.Join(dir, f.Name())) // a stop left it
		default:
			copies = append(copies, base)
		}
	}
	if !slices.Contains(copies, name) {
		path = filepath.Join(dir, name)
		if err := s.Backup(ctx, path); err != nil {
			return "", err
		}
		copies = append(copies, name)
	}
	slices.Sort(copies)
	for len(copies) > keep {
		if err := os.Remove(filepath.Join(dir, copies[0])); err != nil {
			return path, err
		}
		copies = copies[1:]
	}
	return path, nil
}

var dailyName = regexp.MustCompile(`^pegcard-\d{4}-\d{2}-\d{2}\.db$`)

// Restored says what a restore put in place.
type Restored struct {
	Until  prescribe.Instant // the latest thing the copy knows of
	Aside  string            // where the database before it lies now; empty: there was none
	Report VerifyReport
}

// Restore puts the copy at path in the place of the database in the directory,
// which no process may hold (ErrLocked). The copy is checked before anything is
// touched; one that is not sound is ErrDamaged. The database that was there is
// kept under another name. Erasures in the journal of the directory, and in the
// one beside the copy, are done again. A stop at any moment leaves the old
// database or the new one.
func Restore(ctx context.Context, o Options, path string) (r Restored, err error) {
	defer wrap(&err, "restore %s", path)
	dir, err := filepath.Abs(o.Dir)
	if err != nil {
		return r, err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return r, err
	}
	lock, err := lockDir(dir)
	if err != nil {
		return r, err
	}
	defer func() {
		if lock != nil {
			lock.Close()
		}
	}()
	file := filepath.Join(dir, FileName)
	if same(path, file) {
		return r, &Problem{What: "that is the database itself", Mend: "name a copy that pegcard backup or the nightly pass wrote"}
	}
	if info, err := os.Stat(path + "-wal"); err == nil && info.Size() > 0 {
		return r, &Problem{What: "beside it lies a log with changes that are not in it: it is no backup but a database in use, or what is left of one",
			Mend: "name a copy that pegcard backup or the nightly pass wrote"}
	}
	part := file + ".part"
	for _, suffix := range []string{"-wal", "-shm"} {
		os.Remove(part + suffix)
	}
	if err := copyFile(path, part); err != nil {
		return r, err
	}
	defer os.Remove(part) // nothing to remove once it has its name
	if r.Until, err = checkRestored(ctx, part); err != nil {
		return r, err
	}
	if err := mergeJournal(filepath.Join(filepath.Dir(path), JournalName), filepath.Join(dir, JournalName)); err != nil {
		return r, err
	}
	if r.Aside, err = setAside(ctx, file); err != nil {
		return r, err
	}
	if o.Hooks.Point != nil {
		o.Hooks.Point("restore.rename")
	}
	if err := os.Rename(part, file); err != nil {
		return r, err
	}
	if err := syncDir(dir); err != nil {
		return r, err
	}
	held := lock
	lock = nil
	s, err := openWith(ctx, o, held)
	if err != nil {
		return r, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	if r.Report, err = s.Verify(ctx); err != nil {
		return r, err
	}
	return r, s.write(ctx, func(tx *Tx) error { return tx.Audit(0, 0, "restore", "", r.Until) })
}

// checkRestored checks a copy and finds the latest thing it knows of.
func checkRestored(ctx context.Context, path string) (until prescribe.Instant, err error) {
	db, err := sql.Open("sqlite", dsn(path, false))
	if err != nil {
		return 0, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	found, err := texts(ctx, db, `SELECT name FROM sqlite_schema WHERE name IN ('person', 'entry', 'once_key') ORDER BY name`)
	if err != nil {
		return 0, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	if len(found) < 3 {
		return 0, &Problem{What: "it is no database of pegcard", Mend: "name a copy that pegcard backup or the nightly pass wrote"}
	}
	summed, err := texts(ctx, db, `SELECT name FROM sqlite_schema WHERE name = 'row_sum'`)
	if err != nil {
		return 0, err
	}
	if err := sound(ctx, db, len(summed) > 0); err != nil {
		return 0, err
	}
	err = db.QueryRowContext(ctx, `SELECT MAX(COALESCE((SELECT MAX(received_at) FROM entry), 0), COALESCE((SELECT MAX(at) FROM once_key), 0))`).Scan(&until)
	return until, err
}

// setAside gives the database a second name, with all that its log holds.
func setAside(ctx context.Context, file string) (aside string, err error) {
	info, err := os.Stat(file)
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	} else if err != nil {
		return "", err
	}
	aside = strings.TrimSuffix(file, ".db") + "-replaced-" + info.ModTime().UTC().Format("20060102T150405") + ".db"
	if err := emptyLog(ctx, file); err != nil {
		// It cannot be read any more: the log goes with it as it is.
		if err := os.Rename(file+"-wal", aside+"-wal"); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
	}
	for _, suffix := range []string{"-wal", "-shm"} {
		if err := os.Remove(file + suffix); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
	}
	if err := os.Remove(aside); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", err
	}
	if err := os.Link(file, aside); err != nil {
		// A file system without second names: a copy does.
		return aside, copyFile(file, aside)
	}
	return aside, nil
}

// emptyLog moves what stands in the log into the database.
func emptyLog(ctx context.Context, file string) error {
	db, err := sql.Open("sqlite", dsn(file, true))
	if err != nil {
		return err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	var busy, log, done int
	if err := db.QueryRowContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`).Scan(&busy, &log, &done); err != nil {
		return err
	}
	if busy != 0 {
		return errors.New("somebody still reads the database")
	}
	return nil
}

// mergeJournal adds to the second journal the erasures of the first that it
// does not have.
func mergeJournal(from, into string) error {
	if same(from, into) {
		return nil
	}
	theirs, err := journalLines(from)
	if err != nil {
		return err
	}
	ours, err := journalLines(into)
	if err != nil {
		return err
	}
	var add strings.Builder
	for _, l := range theirs {
		if pseudo, _, _ := strings.Cut(l, " "); pseudo != scrubbed && !slices.Contains(ours, l) {
			add.WriteString(l + "\n")
		}
	}
	if add.Len() == 0 {
		return nil
	}
	return appendJournal(into, add.String())
}

// appendJournal appends whole lines and makes sure that they are on the disk.
// A line before them that a stop cut short is ended first.
func appendJournal(path, lines string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_APPEND|os.O_RDWR, 0o600)
	if err != nil {
		return err
	}
	if info, e := f.Stat(); e == nil && info.Size() > 0 {
		var end [1]byte
		if _, err = f.ReadAt(end[:], info.Size()-1); err == nil && end[0] != '\n' {
			lines = "\n" + lines
		}
	} else {
		err = e
	}
	if err == nil {
		_, err = io.WriteString(f, lines)
	}
	return errors.Join(err, f.Sync(), f.Close(), syncDir(filepath.Dir(path)))
}

// journalLines are the whole lines of a journal; none where there is none.
func journalLines(path string) (lines []string, err error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	} else if err != nil {
		return nil, err
	}
	defer f.Close()
	in := bufio.NewScanner(f)
	for in.Scan() {
		if _, when, _ := strings.Cut(in.Text(), " "); when != "" {
			if _, err := time.Parse(time.RFC3339, when); err == nil {
				lines = append(lines, in.Text())
			}
		}
	}
	return lines, in.Err()
}

func same(a, b string) bool {
	x, err1 := os.Stat(a)
	y, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && os.SameFile(x, y)
}

// copyFile copies a file to the disk, for its owner only, under its name when
// it is whole.
func copyFile(from, to string) (err error) {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	tmp := to + ".copy"
	out, err := os.OpenFile(tmp, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	defer os.Remove(tmp) // nothing to remove once it has its name
	_, err = io.Copy(out, in)
	if err := errors.Join(err, out.Sync(), out.Close()); err != nil {
		return err
	}
	return os.Rename(tmp, to)
}
