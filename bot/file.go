package bot

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/clubfile"
)

// The club's files by chat: what a file would change is shown first, and it is
// taken in with one tap.
//
// A transaction waits for no network, so the file is fetched and read before
// the transaction, for the preview and again for the yes. It is not kept in
// between: what is shown is stored as lines, and the file's hash says that the
// second reading is the first.

const (
	dialogFile = "file"
	verbFileDo = "fi" // fi:asked
	// fileMax is the largest file that is fetched, in bytes: what clubfile takes.
	fileMax = 5 << 20
	// fileLines and fileProblems bound what is shown of a file.
	fileLines    = 20
	fileProblems = 8
	lineMax      = 160
)

// fetched is a file as it was read before the transaction.
type fetched struct {
	id      string // of the file at the server
	name    string // as its sender calls it
	sum     string
	in      store.Import
	result  store.ImportResult // of a dry run
	trouble []*store.Problem
	refused string // message that says why it could not be fetched
}

// filePreview is a file that waits for its yes.
type filePreview struct {
	ID       string   `json:"id"`
	Name     string   `json:"name"`
	Sum      string   `json:"sum"`
	Changes  int      `json:"changes"`
	Lines    []string `json:"lines,omitempty"`
	Problems []string `json:"problems,omitempty"`
	Unknown  bool     `json:"unknown,omitempty"` // not one of the club's files
}

// fetch gets the file that an update is about, if it is about one and its
// sender may send files. Nil: it is not.
func (b *Bot) fetch(ctx context.Context, u telegram.Update) (*fetched, error) {
	from := fromOf(u)
	if from == nil {
		return nil, nil
	}
	var f *fetched
	switch m := messageOf(u); {
	case u.Message != nil && m.Document != nil && m.Chat.IsPrivate():
		f = &fetched{id: m.Document.FileID, name: m.Document.FileName}
		if m.Document.FileSize > fileMax {
			f.refused = "staff.file_large"
		}
	case u.CallbackQuery != nil && m != nil && readTap(u.CallbackQuery.Data).verb == verbFileDo:
		f = &fetched{}
	default:
		return nil, nil
	}
	now := b.now()
	var viewer store.Viewer
	var options clubfile.Options
	err := b.Store.Read(ctx, func(tx *store.Tx) (err error) {
		p, err := tx.PersonByUser(from.ID)
		if err != nil {
			return err
		}
		if viewer, err = tx.Viewer(p.ID, prescribe.DayOf(now.Time().In(b.location(p.Zone)))); err != nil {
			return err
		}
		if u.CallbackQuery != nil {
			d, ok, err := tx.Dialog(messageOf(u).Chat.ID)
			if err != nil {
				return err
			}
			var p filePreview
			if !ok || d.Kind != dialogFile || json.Unmarshal(d.Args, &p) != nil {
				return store.ErrNotFound
			}
			f.id, f.name = p.ID, p.Name
		}
		options, err = b.clubOptions(tx, now)
		return err
	})
	if errors.Is(err, store.ErrNotFound) || err == nil && !viewer.Has(store.RoleCoach, store.RoleAdmin) {
		return nil, nil
	}
	if err != nil || f.refused != "" {
		return f, err
	}
	data, err := b.download(ctx, f.id)
	if err != nil {
		if ctx.Err() != nil {
			return nil, err
		}
		b.Logger.Warn("a file could not be fetched", "event", "file.failed", "class", telegram.ClassOf(err).String())
		f.refused = "staff.file_unloaded"
		if telegram.ClassOf(err) == telegram.Rejected {
			f.refused = "staff.file_gone"
		}
		return f, nil
	}
	sum := sha256.Sum256(data)
	f.sum = hex.EncodeToString(sum[:])
	if f.in, f.trouble = clubfile.ReadOne(f.name, bytes.NewReader(data), options); len(f.trouble) > 0 {
		return f, nil
	}
	err = b.Store.Read(ctx, func(tx *store.Tx) error { return mayImport(tx, viewer, f.in, now) })
	if errors.Is(err, store.ErrNotAllowed) {
		f.refused = "error.not_allowed"
		return f, nil
	}
	if err != nil || u.CallbackQuery != nil {
		return f, err
	}
	f.result, err = b.Store.Import(ctx, f.in, now, true)
	f.trouble = f.result.Problems
	return f, err
}

func (b *Bot) download(ctx context.Context, id string) ([]byte, error) {
	at, err := b.Client.GetFile(ctx, id)
	if err != nil {
		return nil, err
	}
	return b.Client.Download(ctx, at, fileMax)
}

// clubOptions are what the club has already, for files that refer to it.
func (b *Bot) clubOptions(tx *store.Tx, now prescribe.Instant) (clubfile.Options, error) {
	o := clubfile.Options{Now: now.Time()}
	club, err := tx.Club()
	if err != nil {
		return o, err
	}
	o.Zone = club.Zone
	squads, err := tx.Squads()
	if err != nil {
		return o, err
	}
	for _, sq := range squads {
		o.Squads = append(o.Squads, clubfile.SquadZone{Slug: sq.Slug, Zone: sq.Zone})
	}
	gyms, err := tx.Gyms(prescribe.DayOf(now.Time().In(b.location(club.Zone))))
	for _, g := range gyms {
		o.Gyms = append(o.Gyms, g.Slug)
	}
	return o, err
}

// mayImport is ErrNotAllowed unless the viewer's roles cover all that the file
// touches. The roster and the roles are the administrator's; programme, rules,
// tests and minutes are the strength coach's; matches are either's. What holds
// for the whole club, and a list of matches, which calls off what it leaves
// out, wants the role in every squad.
func mayImport(tx *store.Tx, v store.Viewer, in store.Import, now prescribe.Instant) error {
	squads, err := tx.Squads()
	if err != nil {
		return err
	}
	everywhere := func(roles ...store.Role) error {
		for _, sq := range squads {
			if !v.May(sq.ID, roles...) {
				return store.ErrNotAllowed
			}
		}
		return nil
	}
	coaches := func(key string) error {
		p, err := tx.PersonByKey(key)
		if errors.Is(err, store.ErrNotFound) {
			return nil // the import says that it is not known
		}
		if err != nil {
			return err
		}
		day, err := tx.Today(p.ID, now)
		if err != nil {
			return err
		}
		sq, ok, err := tx.SquadOf(p.ID, day)
		if err != nil {
			return err
		}
		if ok && !v.May(sq.ID, store.RoleCoach) {
			return store.ErrNotAllowed
		}
		return nil
	}
	if in.Club != nil || len(in.Players) > 0 {
		if err := everywhere(store.RoleAdmin); err != nil {
			return err
		}
	}
	if in.Programme != nil || in.Rules != nil {
		if err := everywhere(store.RoleCoach); err != nil {
			return err
		}
	}
	if len(in.Fixtures) > 0 || in.FixturesTo != 0 {
		if err := everywhere(store.RoleCoach, store.RoleAdmin); err != nil {
			return err
		}
	}
	for _, row := range in.Tests {
		if err := coaches(row.Player); err != nil {
			return err
		}
	}
	for _, row := range in.Minutes {
		if err := coaches(row.Player); err != nil {
			return err
		}
	}
	if (len(in.Tests) > 0 || len(in.Minutes) > 0) && !v.Has(store.RoleCoach) {
		return store.ErrNotAllowed
	}
	return nil
}

// file is a document that staff have sent: what it would change is shown.
func (h *hand) file(*tgbotapi.Message) error {
	f := h.fetched
	switch {
	case f == nil:
		return h.say("staff.file_unloaded")
	case f.refused != "":
		return h.say(f.refused)
	}
	p := filePreview{ID: f.id, Name: f.name, Sum: f.sum, Changes: len(f.result.Changes)}
	for _, c := range f.result.Changes {
		if len(p.Lines) < fileLines {
			p.Lines = append(p.Lines, clip(c.String(), lineMax))
		}
	}
	_, known := clubfile.FileOf(f.name)
	p.Unknown = !known
	for _, x := range f.trouble {
		if len(p.Problems) < fileProblems {
			p.Problems = append(p.Problems, problemText(x))
		}
	}
	if n := len(f.trouble) - len(p.Problems); n > 0 {
		p.Problems = append(p.Problems, fmt.Sprintf("… +%d", n))
	}
	args, err := json.Marshal(p)
	if err != nil {
		return err
	}
	if err := h.tx.PutDialog(store.Dialog{Chat: h.chat, Kind: dialogFile, Args: args, Asked: h.now}); err != nil {
		return err
	}
	return h.view("file")
}

// problemText is a problem without the file's name, which stands before all.
func problemText(p *store.Problem) string {
	q := *p
	q.At.File = ""
	s := q.Error()
	switch {
	case p.At.Line > 0 && p.At.Column > 0:
		s = fmt.Sprintf("%d:%d: %s", p.At.Line, p.At.Column, s)
	case p.At.Line > 0:
		s = fmt.Sprintf("%d: %s", p.At.Line, s)
	}
	return clip(s, 2*lineMax)
}

// tapFileDo takes the file in that was shown.
func (h *hand) tapFileDo(t tap) error {
	d, ok, err := h.tx.Dialog(h.chat)
	if err != nil {
		return err
	}
	var p filePreview
	f := h.fetched
	if !ok || f == nil || d.Kind != dialogFile || strconv.FormatInt(int64(d.Asked), 10) != t.str(0) || json.Unmarshal(d.Args, &p) != nil {
		return h.say("error.old_button")
	}
	switch {
	case f.refused != "":
		return h.say(f.refused)
	case f.sum != p.Sum || len(f.trouble) > 0:
		return h.say("staff.file_gone")
	}
	if err := mayImport(h.tx, h.viewer, f.in, h.now); err != nil {
		return err
	}
	res, err := h.tx.Import(f.in, h.now)
	if err != nil {
		return err
	}
	if len(res.Problems) > 0 {
		return mend("staff.file_stale") // rolled back: it fitted when it was shown
	}
	kind, _ := clubfile.FileOf(f.name)
	if err := h.tx.Audit(h.person.ID, 0, "import", kind, h.now); err != nil {
		return err
	}
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	n, err := h.b.replanAll(h.tx, res.Replan, h.now)
	if err != nil {
		return err
	}
	return h.redraw("filedone", kind, n)
}

func init() {
	pages["file"] = func(r *rendering, _ tap) (telegram.Outgoing, error) {
		d, ok, err := r.tx.Dialog(r.out.Chat)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		var p filePreview
		if !ok || d.Kind != dialogFile || json.Unmarshal(d.Args, &p) != nil {
			return telegram.Outgoing{}, errNothing
		}
		switch {
		case p.Unknown:
			return telegram.Outgoing{Text: r.sp.T("staff.file_unknown", "file", p.Name) + "\n" + r.sp.T("staff.file_type", "files", strings.Join(clubfile.Files(), ", "))}, nil
		case len(p.Problems) > 0:
			return telegram.Outgoing{Text: r.sp.T("staff.file_problem", "file", p.Name, "problem", strings.Join(p.Problems, "\n"))}, nil
		case p.Changes == 0:
			return telegram.Outgoing{Text: r.sp.T("staff.file_none", "file", p.Name)}, nil
		}
		m := telegram.Outgoing{Text: r.sp.T("staff.file_preview", "file", p.Name, "n", p.Changes)}
		for _, l := range p.Lines {
			m.Text += "\n• " + r.sp.Format(l)
		}
		if p.Changes > len(p.Lines) {
			m.Text += "\n• …"
		}
		m.Buttons = rows(2, r.button("confirm", newTap(verbFileDo, d.Asked)), r.button("cancel", newTap(verbCancel)))
		return m, nil
	}
	pages["filedone"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		n, _ := t.int(1)
		return telegram.Outgoing{Text: r.sp.T("staff.file_done", "file", t.str(0)) + "\n" + r.sp.T("staff.cards_again", "n", n)}, nil
	}
}
