package store

import (
	"sync"
	"time"
)

// zones caches what LoadLocation parses anew each time: a morning asks for the
// same few zones once a player.
var zones sync.Map

// Zone is time.LoadLocation, parsed once. name is an IANA name.
func Zone(name string) (*time.Location, error) {
	if loc, ok := zones.Load(name); ok {
		return loc.(*time.Location), nil
	}
	loc, err := time.LoadLocation(name)
	if err == nil {
		zones.Store(name, loc)
	}
	return loc, err
}
