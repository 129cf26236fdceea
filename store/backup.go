package store

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
)

// Backup writes a copy of the database to path: into a temporary file beside
// it, checked, on the disk, and only then under its name. An earlier file of
// that name is replaced. The journal of erasures is not part of it: keep it
// beside the database when a backup is restored.
func (s *Store) Backup(ctx context.Context, path string) (err error) {
	defer wrap(&err, "backup to %s", path)
	if path, err = filepath.Abs(path); err != nil {
		return err
	}
	if filepath.Dir(path) == s.dir && filepath.Base(path) == FileName {
		return &Problem{What: "a backup cannot be written over the database", Mend: "give another path"}
	}
	tmp := path + ".part"
	f, err := os.OpenFile(tmp, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	defer os.Remove(tmp) // nothing to remove once it is renamed
	if err := f.Close(); err != nil {
		return err
	}
	if _, err := s.w.ExecContext(ctx, `VACUUM INTO ?`, tmp); err != nil {
		return err
	}
	if err := checkCopy(ctx, tmp); err != nil {
		return err
	}
	if f, err = os.OpenFile(tmp, os.O_RDWR, 0); err != nil {
		return err
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return err
	}
	s.point("backup.rename")
	if err := os.Rename(tmp, path); err != nil {
		return err
	}
	return syncDir(filepath.Dir(path))
}

func checkCopy(ctx context.Context, path string) error {
	db, err := sql.Open("sqlite", dsn(path, false))
	if err != nil {
		return err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	return sound(ctx, db, true)
}
