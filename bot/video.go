package bot

import (
	"slices"
	"strings"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"pegcard/bot/telegram"
	"pegcard/bot/understand"
	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// A video is passed on by reference, and only when the player says that it
// shows technique: to the strength coach, who cannot pass it further. What shows
// something that hurts is nobody's to see here; the pain is asked about instead.
// Videos of under-18s are not passed on: no adult gets one in a private chat.

// What a video shows.
const (
	videoTechnique = "tech"
	videoHealth    = "pain"
	videoNothing   = "none"
)

// video reads what stands under it as any text, unless it says nothing that is
// recorded, then asks what it shows.
func (h *hand) video(m *tgbotapi.Message) error {
	if caption := strings.TrimSpace(m.Caption); caption != "" {
		read := understand.Read(caption, understand.Context{Lang: h.sp.Lang()})
		says := slices.ContainsFunc(read.Meanings, func(m understand.Meaning) bool {
			return m.Kind != understand.Yes && m.Kind != understand.No && m.Kind != understand.Thanks
		})
		if says || len(read.Unclear) > 0 {
			if err := h.playerText(caption); err != nil {
				return err
			}
			if health, err := h.toldHealth(); err != nil || health {
				return err // then the video is no coach's
			}
		}
	}
	if h.edited {
		return nil
	}
	youth, err := h.youth()
	if err != nil {
		return err
	}
	if youth {
		return h.say("player.video_youth")
	}
	return h.ask(askVideo, 0, question{Media: h.message})
}

// toldHealth reports whether the message has told of the body, or a question
// about it is open.
func (h *hand) toldHealth() (bool, error) {
	es, err := h.tx.Recorded(h.person.ID, h.source)
	if err != nil {
		return false, err
	}
	if slices.ContainsFunc(es, func(e prescribe.Event) bool { return e.Pain != nil || e.Soreness != nil || e.Warning != nil }) {
		return true, nil
	}
	d, _, ok, err := h.open()
	return ok && (d.Kind == askPain || d.Kind == askSore || d.Kind == askIll || d.Kind == askWhich), err
}

// youth reports whether the player is under 18, or may be.
func (h *hand) youth() (bool, error) {
	age, known, err := h.tx.Age(h.person.ID, h.day)
	if err != nil || known {
		return age < 18, err
	}
	sq, in, err := h.tx.SquadOf(h.person.ID, h.day)
	return in && sq.Youth, err
}

// tapVideo: what it shows.
func (h *hand) tapVideo(t tap) error {
	d, q, ok, err := h.open()
	if err != nil {
		return err
	}
	if !ok || d.Kind != askVideo {
		return h.stale()
	}
	switch t.str(0) {
	case videoTechnique:
		return h.passVideo(q.Media)
	case videoHealth:
		if err := h.replySay("player.video_health"); err != nil {
			return err
		}
		h.tap = false // asked in a message of its own
		return h.cmdPain("")
	case videoNothing:
		if err := h.replySay("player.video_nobody"); err != nil {
			return err
		}
		return h.close()
	}
	return h.stale()
}

// passVideo sends the first strength coach of the squad who can be reached word
// of the video and a copy of it.
func (h *hand) passVideo(message int) error {
	sq, in, err := h.tx.SquadOf(h.person.ID, h.day)
	if err != nil {
		return err
	}
	var coaches []store.Person
	if in {
		if coaches, err = h.b.joined(h.tx, sq.ID, store.RoleCoach, h.day); err != nil {
			return err
		}
	}
	if len(coaches) == 0 {
		if err := h.replySay("player.video_no_coach"); err != nil {
			return err
		}
		return h.close()
	}
	coach := coaches[0]
	at := prescribe.InstantOf(schedule.AfterQuiet(h.now.Time(), sq.QuietFrom, sq.QuietTo, h.b.location(coach.Zone)))
	for _, o := range []store.Out{
		{Kind: outView, Args: newTap("videofrom", h.person.ID)},
		{Kind: outVideo, Ref: h.person.ID, Args: newTap("x", h.chat, message)},
	} {
		o.Recipient, o.Priority, o.NotBefore, o.Expires = coach.ID, prioAlert, at, at+hours(48)
		if _, _, err := h.tx.Enqueue(o); err != nil {
			return err
		}
	}
	if err := h.replyView("videopassed", coach.ID); err != nil {
		return err
	}
	return h.close()
}

func (r *rendering) askVideo(d store.Dialog, q question) (telegram.Outgoing, error) {
	return telegram.Outgoing{Text: r.sp.T("player.video_what"), Buttons: [][]telegram.Button{
		{r.button("video_technique", newTap("vid", videoTechnique))},
		{r.button("video_health", newTap("vid", videoHealth))},
		{r.button("video_nobody", newTap("vid", videoNothing))},
	}}, nil
}

// mayWatch reports whether the reader still is a coach of the player's.
func (r *rendering) mayWatch(player int64) (bool, error) {
	sq, in, err := r.tx.SquadOf(player, r.day)
	return in && r.viewer.May(sq.ID, store.RoleCoach), err
}

// video is the copy of a player's video.
func (r *rendering) video() (telegram.Outgoing, error) {
	if ok, err := r.mayWatch(r.out.Ref); err != nil || !ok {
		return telegram.Outgoing{}, orNothing(err)
	}
	t := readTap(r.out.Args)
	message, ok := t.int(1)
	if !ok {
		return telegram.Outgoing{}, errNothing
	}
	return telegram.Outgoing{Copy: &telegram.MessageRef{ChatID: t.id(0), MessageID: message}, Protect: true}, nil
}

func init() {
	// t: coach.
	pages["videopassed"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		p, err := r.tx.Person(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		return telegram.Outgoing{Text: r.sp.T("player.video_passed", "name", p.Name)}, nil
	}
	// t: player.
	pages["videofrom"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		if ok, err := r.mayWatch(t.id(0)); err != nil || !ok {
			return telegram.Outgoing{}, orNothing(err)
		}
		p, err := r.tx.Person(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		return telegram.Outgoing{Text: r.sp.T("staff.player_video", "name", p.Name)}, nil
	}
}
