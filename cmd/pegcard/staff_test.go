package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/clubfile"
)

// desk is a data directory with the demo club and the command line beside it.
type desk struct {
	t   *testing.T
	dir string
	now time.Time
}

func newDesk(t *testing.T) *desk {
	d := &desk{t: t, dir: filepath.Join(t.TempDir(), "data"), now: democlub.Start()}
	s, err := store.Open(t.Context(), store.Options{Dir: d.dir})
	require.NoError(t, err)
	in, problems := clubfile.Read(democlub.Files, clubfile.Options{Now: d.now})
	require.Empty(t, problems)
	res, err := s.Import(t.Context(), in, prescribe.InstantOf(d.now), false)
	require.NoError(t, err)
	require.Empty(t, res.Problems)
	require.NoError(t, s.Close())
	d.read(func(tx *store.Tx) {
		days, err := tx.Replans()
		require.NoError(t, err)
		require.Empty(t, days, "the import found no card to be planned again")
		p, err := tx.PersonByKey("1")
		require.NoError(t, err)
		require.NoError(t, tx.Consent(p.ID, bot.NoticeVersion, p.Language, prescribe.InstantOf(d.now)))
		today := prescribe.DayOf(d.now)
		for _, day := range []prescribe.Day{today, today + 1} {
			_, _, err := tx.IssueCard(p.ID, day, prescribe.InstantOf(d.now))
			require.NoError(t, err)
		}
	})
	return d
}

func (d *desk) read(fn func(tx *store.Tx)) {
	d.t.Helper()
	s, err := store.Open(d.t.Context(), store.Options{Dir: d.dir, Shared: true})
	require.NoError(d.t, err)
	require.NoError(d.t, s.Write(d.t.Context(), func(tx *store.Tx) error { fn(tx); return nil }))
	require.NoError(d.t, s.Close())
}

// run is a command a minute later than the last one.
func (d *desk) run(args ...string) (out string, err error) {
	d.now = d.now.Add(time.Minute)
	var b, e bytes.Buffer
	a := &app{out: &b, err: &e, env: func(string) string { return "" }, now: func() time.Time { return d.now }}
	root := a.root()
	root.SetArgs(append(args, "--data", d.dir))
	err = root.ExecuteContext(d.t.Context())
	return b.String(), err
}

func (d *desk) must(args ...string) string {
	d.t.Helper()
	out, err := d.run(args...)
	require.NoError(d.t, err, "%v", args)
	return out
}

// refused is the sentence with which a command does nothing.
func (d *desk) refused(args ...string) string {
	d.t.Helper()
	_, err := d.run(args...)
	require.Error(d.t, err, "%v", args)
	return err.Error()
}

func (d *desk) report(key string, e prescribe.Event) {
	d.t.Helper()
	d.now = d.now.Add(time.Minute)
	d.read(func(tx *store.Tx) {
		p, err := tx.PersonByKey(key)
		require.NoError(d.t, err)
		e.At = prescribe.InstantOf(d.now)
		_, err = tx.Record(p.ID, "msg:1:"+d.now.Format("1504"), e.At, e)
		require.NoError(d.t, err)
	})
}

// A hold by the command line is the same hold as by chat: the cards of today and
// tomorrow are planned again by the bot, and the audit names no place.
func TestHoldAndReleaseAtTheDesk(t *testing.T) {
	d := newDesk(t)
	require.Contains(t, d.refused("hold", "1", "--by", "s-coach", "--region", "knee"), "a coach holds the session as a whole")
	require.Contains(t, d.refused("hold", "1", "--by", "s-doctor", "--region", "knee"), "needs a review day")
	require.Contains(t, d.refused("hold", "1", "--by", "s-doctor", "--region", "knee", "--until", "2026-05-30"), "must lie between")
	require.Contains(t, d.refused("hold", "1", "--by", "s-doctor", "--cap", "100"), "less than 100")
	day := prescribe.DayOf(d.now)
	d.must("hold", "1", "--by", "s-doctor", "--region", "knee", "--until", (day + 5).String())
	d.read(func(tx *store.Tx) {
		p, err := tx.PersonByKey("1")
		require.NoError(t, err)
		days, err := tx.Replans()
		require.NoError(t, err)
		require.Equal(t, []store.PersonDay{{Person: p.ID, Day: day}, {Person: p.ID, Day: day + 1}}, days)
		var b bytes.Buffer
		require.NoError(t, tx.Export(p.ID, &b))
		_, audit, _ := strings.Cut(b.String(), `"audit"`)
		audit, _, _ = strings.Cut(audit, "]")
		require.Contains(t, audit, `"hold"`)
		require.NotContains(t, audit, "knee")
	})
	require.Contains(t, d.refused("release", "1", "--by", "s-coach"), "only medical staff")
	d.must("release", "1", "--by", "s-doctor", "--region", "knee")

	d.report("1", prescribe.Event{Warning: &prescribe.Warning{Sign: prescribe.SignFever}})
	require.Contains(t, d.refused("release", "1", "--by", "s-doctor", "--reason", "well again"), "--no-fever")
	require.Contains(t, d.refused("release", "1", "--by", "s-doctor", "--no-fever"), "--reason")
	require.Contains(t, d.refused("release", "1", "--by", "s-doctor", "--no-fever", "--cap", "50"), "--review")
	require.Contains(t, d.refused("release", "1", "--by", "s-doctor", "--no-fever", "--reason", "well", "--classified"), "held for pain")
	require.Contains(t, d.must("player", "1", "--by", "s-doctor"), "fever")
	d.must("release", "1", "--by", "s-doctor", "--no-fever", "--reason", "well for two days")
	require.NotContains(t, d.must("player", "1", "--by", "s-doctor"), "held since")
}

// What is recorded and needs people is left for the bot to tell.
func TestTestAtTheDesk(t *testing.T) {
	d := newDesk(t)
	d.must("test", "1", "back_squat", "140x3", "--rir", "1", "--by", "s-coach")
	d.read(func(tx *store.Tx) {
		days, err := tx.Replans()
		require.NoError(t, err)
		require.Len(t, days, 2)
	})
}

// The guardian's word reaches the player, and may be taken back.
func TestGuardianAtTheDesk(t *testing.T) {
	d := newDesk(t)
	var id int64
	now := prescribe.InstantOf(d.now)
	asked := func() (yes bool) {
		d.read(func(tx *store.Tx) {
			var err error
			yes, err = tx.MayBeAsked(id, prescribe.InstantOf(d.now))
			require.NoError(t, err)
		})
		return yes
	}
	d.read(func(tx *store.Tx) {
		p, err := tx.PersonByKey("a5")
		require.NoError(t, err)
		id = p.ID
		code, err := tx.Invite(p.ID, 0, now, now+3600_000)
		require.NoError(t, err)
		_, err = tx.Join(code, 501, 501, now)
		require.NoError(t, err)
		require.ErrorIs(t, tx.Consent(p.ID, "2", "en", now), store.ErrNotAllowed)
	})
	require.Contains(t, d.refused("guardian", "a5", "--by", "s-coach"), "may not do this")
	d.must("guardian", "a5", "--by", "s-admin")
	d.read(func(tx *store.Tx) {
		n, err := tx.OutPending(prescribe.InstantOf(d.now))
		require.NoError(t, err)
		require.Equal(t, 1, n, "the player is told")
		require.NoError(t, tx.Consent(id, "2", "en", now))
	})
	require.True(t, asked())
	require.Contains(t, d.must("guardian", "a5", "--by", "s-admin", "--withdraw"), "no longer agrees")
	require.False(t, asked())
}
