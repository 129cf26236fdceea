package store

import (
	"errors"
	"fmt"
)

// ErrNotFound is returned for what is not there and for what the asker may not
// see: the two look the same.
var ErrNotFound = errors.New("not found")

// ErrNotAllowed is returned for what the asker may see but not do.
var ErrNotAllowed = errors.New("not allowed")

// The ways an invitation can fail.
var (
	ErrInvitationUnknown = errors.New("the invitation is not known")
	ErrInvitationUsed    = errors.New("the invitation was used before")
	ErrInvitationExpired = errors.New("the invitation has expired")
)

// ErrLocked is returned by Open when another process holds the data directory.
var ErrLocked = errors.New("the data directory is in use by another process")

// ErrDamaged is returned where a database file is not as it was written.
var ErrDamaged = errors.New("the database is damaged; restore a backup")

// Problem is something the user can mend: where it stands, what is wrong and
// what to write instead.
type Problem struct {
	At   At
	What string
	Mend string
}

func (p *Problem) Error() string {
	s := p.What
	if p.Mend != "" {
		s += "; " + p.Mend
	}
	switch {
	case p.At.File == "":
		return s
	case p.At.Line == 0:
		return p.At.File + ": " + s
	case p.At.Column == 0:
		return fmt.Sprintf("%s:%d: %s", p.At.File, p.At.Line, s)
	}
	return fmt.Sprintf("%s:%d:%d: %s", p.At.File, p.At.Line, p.At.Column, s)
}

func isNotFound(err error) bool { return errors.Is(err, ErrNotFound) }
