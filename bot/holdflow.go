package bot

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// Holding and releasing a player: a few questions with buttons, then one tap
// that carries the whole decision. What is chosen so far lies in the dialog of
// the chat, so that the outbox holds no health data.

const (
	verbHoldSet = "hf" // hf:player:release:field:value
	verbHoldDo  = "hx" // hx:player:release:region:cap:days:classified
	dialogHold  = "hold"

	// reviewMax is how far away a medical review may be, in days.
	reviewMax = 7
	allRegion = "all"
)

// holdFlow is a hold or a release while it is chosen.
type holdFlow struct {
	Player  int64  `json:"player"`
	Release bool   `json:"release"`
	Region  string `json:"region,omitempty"` // allRegion: everything; "": not chosen
	Cap     string `json:"cap,omitempty"`    // percent; "": not chosen
	Days    string `json:"days,omitempty"`   // days to the review; "0": none
	Class   string `json:"class,omitempty"`  // "1": medical staff have assessed the complaint
}

func (h *hand) cmdHold(arg string) error    { return h.startHold(arg, false) }
func (h *hand) cmdRelease(arg string) error { return h.startHold(arg, true) }

// startHold reads "/hold name [place]".
func (h *hand) startHold(arg string, release bool) error {
	name, rest, _ := strings.Cut(arg, " ")
	page := "holdwhat"
	if release {
		page = "freewhat"
	}
	return h.withPlayer(name, page, func(p store.Person) error {
		f := holdFlow{Player: p.ID, Release: release}
		if rest = strings.TrimSpace(rest); rest != "" {
			if region, ok := h.regionNamed(rest); ok {
				f.Region = string(region)
			} else {
				return mend("staff.region_unknown")
			}
		}
		return h.askHold(f, false)
	})
}

// regionNamed is the place that the words name, in the speaker's language or
// by its English id.
func (h *hand) regionNamed(words string) (prescribe.Region, bool) {
	words = strings.ToLower(words)
	for _, r := range prescribe.Regions() {
		if strings.ToLower(telegram.StripHTML(h.sp.Region(r, prescribe.Both))) == words || strings.ReplaceAll(string(r), "_", " ") == words {
			return r, true
		}
	}
	return "", false
}

// medicalFor reports whether the person is medical staff of the player's
// squad; ErrNotFound when neither medical nor coach.
func (h *hand) medicalFor(player int64) (bool, error) {
	sq, ok, err := h.tx.SquadOf(player, h.day)
	if err != nil {
		return false, err
	}
	if !ok || !h.viewer.May(sq.ID, store.RoleCoach, store.RoleMedical) {
		return false, store.ErrNotFound
	}
	return h.viewer.May(sq.ID, store.RoleMedical), nil
}

// askHold keeps what is chosen and asks the next question, or for the last yes.
func (h *hand) askHold(f holdFlow, redraw bool) error {
	if _, err := h.medicalFor(f.Player); err != nil {
		return err
	}
	args, err := json.Marshal(f)
	if err != nil {
		return err
	}
	if err := h.tx.PutDialog(store.Dialog{Chat: h.chat, Kind: dialogHold, Args: args, Asked: h.now}); err != nil {
		return err
	}
	if redraw {
		return h.redraw("holdflow")
	}
	return h.view("holdflow")
}

func (h *hand) tapHoldSet(t tap) error {
	f := holdFlow{Player: t.id(0), Release: t.str(1) == "1"}
	d, ok, err := h.tx.Dialog(h.chat)
	if err != nil {
		return err
	}
	if ok && d.Kind == dialogHold {
		var open holdFlow
		if err := json.Unmarshal(d.Args, &open); err == nil && open.Player == f.Player && open.Release == f.Release {
			f = open
		}
	}
	switch value := t.str(3); t.str(2) {
	case "region":
		f.Region = value
	case "cap":
		f.Cap = value
	case "days":
		f.Days = value
	case "class":
		f.Class = value
	}
	return h.askHold(f, true)
}

func init() {
	start := func(release bool) func(r *rendering, t tap) (telegram.Outgoing, error) {
		return func(r *rendering, t tap) (telegram.Outgoing, error) {
			return r.holdQuestion(holdFlow{Player: t.id(0), Release: release})
		}
	}
	pages["holdwhat"] = start(false)
	pages["freewhat"] = start(true)
	pages["holdflow"] = func(r *rendering, _ tap) (telegram.Outgoing, error) {
		d, ok, err := r.tx.Dialog(r.out.Chat)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		var f holdFlow
		if !ok || d.Kind != dialogHold || json.Unmarshal(d.Args, &f) != nil {
			return telegram.Outgoing{}, errNothing
		}
		return r.holdQuestion(f)
	}
}

// holdQuestion is the next question of the flow.
func (r *rendering) holdQuestion(f holdFlow) (telegram.Outgoing, error) {
	p, err := r.tx.Person(f.Player)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	sq, ok, err := r.tx.SquadOf(f.Player, r.day)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if !ok || !r.viewer.May(sq.ID, store.RoleCoach, store.RoleMedical) {
		return telegram.Outgoing{}, errNothing
	}
	medical := r.viewer.May(sq.ID, store.RoleMedical)
	release := "0"
	if f.Release {
		release = "1"
	}
	set := func(field, value, label string) telegram.Button {
		return telegram.Button{Text: label, Data: newTap(verbHoldSet, f.Player, release, field, value)}
	}
	m := telegram.Outgoing{Protect: medical}
	if f.Region == "" {
		switch {
		case f.Release:
			return r.releaseWhat(f, p, set, medical)
		case medical:
			m.Text = r.sp.T("staff.hold_where", "name", p.Name)
			buttons := []telegram.Button{set("region", allRegion, r.sp.Button("whole_player"))}
			for _, reg := range prescribe.Regions() {
				buttons = append(buttons, set("region", string(reg), clip(telegram.StripHTML(r.sp.Region(reg, prescribe.Both)), 24)))
			}
			m.Buttons = rows(3, buttons...)
			return m, nil
		}
		f.Region = allRegion // a coach holds the session; a place of the body is medical
	}
	if !medical {
		f.Cap, f.Days, f.Class = "0", "0", "0"
		if f.Release {
			f.Cap = "100"
		}
	}
	switch {
	case f.Cap == "":
		id := "staff.hold_cap"
		if f.Release {
			id = "staff.release_cap"
		}
		m.Text = r.sp.T(id)
		if f.Release {
			m.Buttons = rows(2, set("cap", "100", r.sp.Button("full_release")))
		} else {
			m.Buttons = rows(2, set("cap", "0", r.sp.Button("stop_all")))
		}
		for _, c := range []string{"50", "70", "85"} {
			m.Buttons[0] = append(m.Buttons[0], set("cap", c, c+" %"))
		}
		return m, nil
	case f.Release && f.Cap == "100" && f.Days == "":
		f.Days = "0"
	case f.Days == "":
		id, args := "staff.hold_until", []any{"n", reviewMax}
		if f.Release {
			id = "staff.release_review"
		}
		m.Text = r.sp.T(id, args...)
		var buttons []telegram.Button
		for n := 1; n <= reviewMax; n++ {
			buttons = append(buttons, set("days", strconv.Itoa(n), clip(telegram.StripHTML(r.sp.Day(r.day+prescribe.Day(n))), 24)))
		}
		m.Buttons = rows(2, buttons...)
		return m, nil
	}
	if f.Release && f.Class == "" {
		m.Text = r.sp.T("staff.release_classified")
		m.Buttons = rows(2, set("class", "1", r.sp.Button("yes")), set("class", "0", r.sp.Button("no")))
		return m, nil
	}
	if f.Class == "" {
		f.Class = "0"
	}
	return r.holdConfirm(f, p, release, m)
}

// releaseWhat offers what is held now and may be lifted by this person.
func (r *rendering) releaseWhat(f holdFlow, p store.Person, set func(field, value, label string) telegram.Button, medical bool) (telegram.Outgoing, error) {
	holds, err := r.tx.ViewHolds(r.viewer, f.Player, r.day)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	var regions []string
	others := false
	for _, h := range holds {
		if !medical && (h.AskMedical || h.Medical) {
			others = true
			continue
		}
		key := allRegion
		if h.Region != "" {
			key = string(h.Region)
		}
		if !slices.Contains(regions, key) {
			regions = append(regions, key)
		}
	}
	switch {
	case len(regions) == 0 && others:
		return telegram.Outgoing{Text: r.sp.T("staff.release_medical_only")}, nil
	case len(regions) == 0:
		return telegram.Outgoing{Text: r.sp.T("staff.release_nothing", "name", p.Name)}, nil
	}
	m := telegram.Outgoing{Text: r.sp.T("staff.release_what", "name", p.Name), Protect: medical}
	var buttons []telegram.Button
	for _, key := range regions {
		buttons = append(buttons, set("region", key, clip(telegram.StripHTML(r.regionWord(key)), 24)))
	}
	m.Buttons = rows(2, buttons...)
	return m, nil
}

func (r *rendering) regionWord(key string) string {
	if key == allRegion {
		return r.sp.T("staff.everything")
	}
	return r.sp.Region(prescribe.Region(key), prescribe.Both)
}

func (r *rendering) holdConfirm(f holdFlow, p store.Person, release string, m telegram.Outgoing) (telegram.Outgoing, error) {
	days, err := strconv.Atoi(f.Days)
	if err != nil {
		return m, errNothing
	}
	percent, err := strconv.Atoi(f.Cap)
	if err != nil {
		return m, errNothing
	}
	region := wording.HTML(r.regionWord(f.Region))
	until := r.day + prescribe.Day(days)
	switch {
	case f.Release && percent >= 100:
		m.Text = r.sp.T("staff.release_full_confirm", "name", p.Name, "region", region)
	case f.Release:
		m.Text = r.sp.T("staff.release_confirm", "name", p.Name, "region", region, "cap", prescribe.Percent(percent), "until", until)
	case days == 0:
		m.Text = r.sp.T("staff.hold_confirm_coach", "name", p.Name)
	default:
		m.Text = r.sp.T("staff.hold_confirm", "name", p.Name, "region", region, "until", until)
	}
	m.Buttons = rows(2,
		telegram.Button{Text: r.sp.Button("confirm"), Data: newTap(verbHoldDo, f.Player, release, f.Region, f.Cap, f.Days, f.Class)},
		telegram.Button{Text: r.sp.Button("cancel"), Data: newTap(verbCancel)})
	return m, nil
}

// verbCancel ends whatever flow the chat is in.
const verbCancel = "cancel"

func (h *hand) tapCancel(tap) error {
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	return h.answer(store.Out{Kind: outSay, Args: "staff.cancelled", Edit: h.message != 0, MessageID: h.message})
}

// tapHoldDo carries the decision out: who may not lift a medical stop does not.
func (h *hand) tapHoldDo(t tap) error {
	player, release := t.id(0), t.str(1) == "1"
	medical, err := h.medicalFor(player)
	if err != nil {
		return err
	}
	var region prescribe.Region
	if key := t.str(2); key != allRegion {
		if !slices.Contains(prescribe.Regions(), prescribe.Region(key)) || !medical {
			return store.ErrNotFound
		}
		region = prescribe.Region(key)
	}
	percent, ok1 := t.int(3)
	days, ok2 := t.int(4)
	if !ok1 || !ok2 || percent < 0 || percent > 100 || days < 0 || days > reviewMax || medical && !release && days == 0 {
		return store.ErrNotFound
	}
	var until prescribe.Day
	if days > 0 {
		until = h.day + prescribe.Day(days)
	}
	source := fmt.Sprintf("staff:%d:%d:%d", h.person.ID, h.chat, h.message)
	e := prescribe.Event{At: h.now, Day: h.day, Key: source + "/0"}
	action := "hold"
	if release {
		if !medical {
			if err := h.coachHoldOf(player); err != nil {
				return err
			}
		}
		action = "release"
		e.Release = &prescribe.Release{Medical: medical, Region: region, MaxLoad: prescribe.Percent(percent), Review: until, Classified: t.str(5) == "1"}
	} else {
		e.Hold = &prescribe.Hold{ID: source, Medical: medical, Region: region, MaxLoad: prescribe.Percent(percent), Until: until}
	}
	f, err := h.tx.Record(player, source, h.now, e)
	if err != nil {
		return err
	}
	if err := h.tx.Audit(h.person.ID, player, action, string(region), h.now); err != nil {
		return err
	}
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	if err := h.b.tell(h.tx, player, f.Notices, h.now); err != nil {
		return err
	}
	if err := h.b.replan(h.tx, player, h.day, h.now); err != nil {
		return err
	}
	return h.redraw("holddone", player, action, medical)
}

// coachHoldOf is nil when a coach's own hold is there to be lifted.
func (h *hand) coachHoldOf(player int64) error {
	holds, err := h.tx.ViewHolds(h.viewer, player, h.day)
	if err != nil {
		return err
	}
	for _, x := range holds {
		if !x.Medical && !x.AskMedical {
			return nil
		}
	}
	return mend("staff.release_medical_only")
}

func init() {
	pages["holddone"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		p, err := r.tx.Person(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		see, err := r.tx.Sees(r.viewer, p.ID, r.day)
		if errors.Is(err, store.ErrNotFound) {
			return telegram.Outgoing{}, errNothing
		}
		if err != nil {
			return telegram.Outgoing{}, err
		}
		id := "staff.hold_now"
		if t.str(1) == "release" {
			id = "staff.release_now"
		}
		text := r.sp.T(id, "name", p.Name)
		err = r.holdsOf(p.ID, see, func(s string) { text += "\n" + s })
		return telegram.Outgoing{Text: text, Protect: see.Has(prescribe.ForMedical)}, err
	}
}
