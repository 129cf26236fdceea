package clubfile

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
	"time"

	"pegcard/prescribe"
	"pegcard/store"
)

// The files of a club, in the order in which they are read: a later one may
// name what an earlier one defines.
const (
	ClubFile      = "club.toml"
	ProgrammeFile = "programme.toml"
	RulesFile     = "rules.toml"
	PlayersFile   = "players.csv"
	TestsFile     = "tests.csv"
	MinutesFile   = "minutes.csv"
	FixturesFile  = "fixtures.ics"
)

// Files lists the names of the files that are read.
func Files() []string {
	return []string{ClubFile, ProgrammeFile, RulesFile, PlayersFile, TestsFile, MinutesFile, FixturesFile}
}

// Options is what the files are read against: the present, and what the club
// has already. Where club.toml is read in the same call, it wins.
type Options struct {
	Now    time.Time // ages, dates to come, and how far fixtures are worked out
	Zone   string    // the club's IANA zone; empty is UTC
	Squads []SquadZone
	Gyms   []string // slugs; empty: not checked
}

// SquadZone is a squad that the club has. The first one gets the fixtures that
// name no squad.
type SquadZone struct {
	Slug string
	Zone string // empty: the club's
}

func (o Options) today() prescribe.Day { return prescribe.DayOf(o.Now.In(o.location(""))) }

func (o Options) slugs() []string {
	var s []string
	for _, q := range o.Squads {
		s = append(s, q.Slug)
	}
	return s
}

// location is the zone of a squad, or the club's for an unknown one.
func (o Options) location(slug string) *time.Location {
	zone := o.Zone
	for _, q := range o.Squads {
		if q.Slug == slug && q.Zone != "" {
			zone = q.Zone
		}
	}
	if loc, err := loadZone(zone); err == nil {
		return loc
	}
	return time.UTC
}

// with takes over what a club.toml defines.
func (o Options) with(c *store.ClubDef) Options {
	if c == nil {
		return o
	}
	if c.Zone != "" {
		o.Zone = c.Zone
	}
	if len(c.Squads) > 0 {
		o.Squads = nil
		for _, s := range c.Squads {
			o.Squads = append(o.Squads, SquadZone{s.Slug, s.Zone})
		}
	}
	if len(c.Gyms) > 0 {
		o.Gyms = nil
		for _, g := range c.Gyms {
			o.Gyms = append(o.Gyms, g.Slug)
		}
	}
	return o
}

// ReadDir reads the files of a folder; see Read.
func ReadDir(dir string, o Options) (store.Import, []*Problem) {
	in, ps := Read(os.DirFS(dir), o)
	for _, p := range ps {
		if p.At.File == "." {
			p.At.File = dir
		}
	}
	return in, ps
}

// Read reads whichever of the club's files lie at the top of fsys. Every
// problem of every file is reported; what could be read of the rest comes back
// all the same. Hidden files and folders are passed over; any other file that
// is not one of Files is a problem, so that a misspelt name loses nothing.
func Read(fsys fs.FS, o Options) (store.Import, []*Problem) {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return store.Import{}, []*Problem{{At: store.At{File: "."}, What: "the folder cannot be read: " + reason(err), Mend: "check its name and that it may be read"}}
	}
	var in store.Import
	var out []*Problem
	present := map[string]bool{}
	for _, e := range entries {
		name := e.Name()
		switch {
		case strings.HasPrefix(name, ".") || e.IsDir() || passedOver(name):
		case slices.Contains(Files(), name):
			present[name] = true
		default:
			out = append(out, &Problem{At: store.At{File: name}, What: "this is not one of the club's files", Mend: nameHint(name)})
		}
	}
	if len(present) == 0 && len(out) == 0 {
		return in, []*Problem{{At: store.At{File: "."}, What: "there is no club's file here", Mend: "put at least one of " + strings.Join(Files(), ", ") + " into it"}}
	}
	for _, name := range Files() {
		if !present[name] {
			continue
		}
		f, err := fsys.Open(name)
		if err != nil {
			out = append(out, &Problem{At: store.At{File: name}, What: "the file cannot be read: " + reason(err), Mend: "check that it may be read"})
			continue
		}
		out = append(out, readInto(&in, name, name, f, &o)...)
		f.Close()
	}
	return in, out
}

// ReadOne reads a single file, such as one sent by chat. Its name decides what
// it is taken for; a number that a download put after the name is ignored, as in
// "tests (2).csv".
func ReadOne(name string, r io.Reader, o Options) (store.Import, []*Problem) {
	var in store.Import
	kind, ok := FileOf(name)
	if !ok {
		return in, []*Problem{{At: store.At{File: name}, What: "this is not one of the club's files", Mend: nameHint(kind)}}
	}
	return in, readInto(&in, kind, name, r, &o)
}

// FileOf is which of Files a file of that name is taken for.
func FileOf(name string) (file string, ok bool) {
	kind := path.Base(strings.ReplaceAll(name, `\`, "/"))
	ext := path.Ext(kind)
	stem := strings.TrimSuffix(kind, ext)
	if i := strings.LastIndex(stem, "("); i > 0 && strings.HasSuffix(stem, ")") && strings.Trim(stem[i+1:len(stem)-1], "0123456789") == "" {
		stem = strings.TrimSpace(stem[:i])
	}
	kind = strings.ToLower(stem + ext)
	return kind, slices.Contains(Files(), kind)
}

func readInto(in *store.Import, kind, name string, r io.Reader, o *Options) (ps []*Problem) {
	switch kind {
	case ClubFile:
		in.Club, ps = ReadClub(r, name)
		*o = o.with(in.Club)
	case ProgrammeFile:
		in.Programme, ps = ReadProgramme(r, name)
	case RulesFile:
		in.Rules, ps = ReadRules(r, name)
	case PlayersFile:
		in.Players, ps = ReadPlayers(r, name, *o)
	case TestsFile:
		in.Tests, ps = ReadTests(r, name, *o)
	case MinutesFile:
		in.Minutes, ps = ReadMinutes(r, name, *o)
	case FixturesFile:
		var f Fixtures
		f, ps = ReadFixtures(r, name, *o)
		in.Fixtures, in.FixturesFrom, in.FixturesTo = f.Rows, f.From, f.To
	}
	return ps
}

// passedOver are files that may lie beside the club's without being read.
func passedOver(name string) bool {
	switch strings.ToLower(path.Ext(name)) {
	case ".md", ".txt", ".go":
		return true
	}
	return strings.HasSuffix(name, "~")
}

func nameHint(name string) string {
	switch strings.ToLower(path.Ext(name)) {
	case ".xlsx", ".xls", ".ods", ".numbers":
		return "save each sheet as “CSV UTF-8” under one of the names " + strings.Join(Files(), ", ")
	}
	if n := nearest(name, Files()); n != "" {
		return fmt.Sprintf("name it %q", n)
	}
	return "take it out of the folder; the files read are " + strings.Join(Files(), ", ")
}

// reason is an operating-system error without the path, which the place names.
func reason(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	return err.Error()
}
