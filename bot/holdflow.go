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
	verbHoldDo  = "hx" // hx:player:release:region:cap:days:classified:asked
	dialogHold  = "hold"

	// reviewMax is how far away a medical review may be, in days.
	reviewMax = 7
	// coachMax is how long a coach's own hold may be, in days.
	coachMax  = 28
	allRegion = "all"
	// whyMax is how much of the reason for a release is kept, in runes.
	whyMax = 300
)

// holdFlow is a hold or a release while it is chosen.
type holdFlow struct {
	Player  int64  `json:"player"`
	Release bool   `json:"release"`
	Region  string `json:"region,omitempty"` // allRegion: everything; "": not chosen
	Cap     string `json:"cap,omitempty"`    // percent; "": not chosen
	Days    string `json:"days,omitempty"`   // days to the review; "0": none
	Class   string `json:"class,omitempty"`  // "1": medical staff have assessed the complaint
	Fever   string `json:"fever,omitempty"`  // "1": a day without symptoms and without medicine
	Why     string `json:"why,omitempty"`    // of a full release after a warning sign
}

func (h *hand) cmdHold(arg string) error    { return h.readHold(arg, false) }
func (h *hand) cmdRelease(arg string) error { return h.readHold(arg, true) }

// startHold is the button that begins the flow for a player.
func startHold(player int64, release bool) string {
	return newTap(verbHoldSet, player, holdFlow{Release: release}.direction(), "start", "")
}

// direction is "1" for a release, "0" for a hold, in a button's data.
func (f holdFlow) direction() string {
	if f.Release {
		return "1"
	}
	return "0"
}

// readHold reads "/hold name [place] [until day]".
func (h *hand) readHold(arg string, release bool) error {
	page := "hold"
	if release {
		page = "release"
	}
	if strings.TrimSpace(arg) == "" {
		return h.view("pick", page, "")
	}
	found, rest, err := h.leadingPlayers(arg)
	if err != nil {
		return err
	}
	switch len(found) {
	case 0:
		return mend("staff.player_none")
	case 1:
	default:
		name := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(arg), rest))
		return h.view("pick", page, strings.ReplaceAll(clip(name, 24), ":", " "))
	}
	f := holdFlow{Player: found[0].ID, Release: release}
	if day, words, ok := lastDay(rest, h.day); ok {
		f.Days, rest = strconv.Itoa(int(day-h.day)), words
	}
	if rest != "" {
		region, ok := h.regionNamed(rest)
		if !ok {
			// The word before a day, "until" in whatever language.
			if i := strings.LastIndex(rest, " "); f.Days != "" && i > 0 {
				region, ok = h.regionNamed(rest[:i])
			} else if f.Days != "" {
				ok = true
			}
		}
		if !ok {
			return mend("staff.region_unknown")
		}
		f.Region = string(region)
	}
	medical, err := h.medicalFor(f.Player)
	if err != nil {
		return err
	}
	if f.Days != "" && !dayInReach(f.Days, medical, release) {
		return mend("staff.hold_too_far")
	}
	return h.askHold(f, false)
}

// lastDay takes a day off the end of the words.
func lastDay(words string, today prescribe.Day) (day prescribe.Day, rest string, ok bool) {
	fields := strings.Fields(words)
	if len(fields) == 0 {
		return 0, words, false
	}
	day, to, ok := readDays(fields[len(fields)-1], today)
	if !ok || day != to {
		return 0, words, false
	}
	return day, strings.Join(fields[:len(fields)-1], " "), true
}

// dayInReach: a medical review is at most reviewMax days away, a coach's hold
// at most coachMax.
func dayInReach(days string, medical, release bool) bool {
	n, err := strconv.Atoi(days)
	most := coachMax
	if medical {
		most = reviewMax
	}
	return err == nil && n >= 0 && n <= most && (n > 0 || !medical || release)
}

// regionNamed is the place that the words name, in the speaker's language or
// by its English id.
func (h *hand) regionNamed(words string) (prescribe.Region, bool) {
	words = strings.ToLower(words)
	for _, r := range prescribe.Regions() {
		if strings.ToLower(plain(h.sp.Region(r, prescribe.Both))) == words || strings.ReplaceAll(string(r), "_", " ") == words {
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
	if ok && d.Kind == dialogHold && t.str(2) != "start" {
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
	case "fever":
		f.Fever = value
		if value != "1" {
			return h.staysHeld(true)
		}
	}
	return h.askHold(f, true)
}

// staysHeld ends a release that comes too early.
func (h *hand) staysHeld(redraw bool) error {
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	return h.answer(store.Out{Kind: outSay, Args: "staff.release_not_yet", Edit: redraw && h.message != 0, MessageID: h.message})
}

func init() {
	pages["holdflow"] = func(r *rendering, _ tap) (telegram.Outgoing, error) {
		d, ok, err := r.tx.Dialog(r.out.Chat)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		var f holdFlow
		if !ok || d.Kind != dialogHold || json.Unmarshal(d.Args, &f) != nil {
			return telegram.Outgoing{}, errNothing
		}
		return r.holdQuestion(f, d.Asked)
	}
}

// holdQuestion is the next question of the flow, or the last one, which stands
// for what was chosen by the instant it was asked.
func (r *rendering) holdQuestion(f holdFlow, asked prescribe.Instant) (telegram.Outgoing, error) {
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
	set := func(field, value, label string) telegram.Button {
		return telegram.Button{Text: clip(capital(plain(label)), 24), Data: newTap(verbHoldSet, f.Player, f.direction(), field, value)}
	}
	m := telegram.Outgoing{Protect: medical}
	cancel := []telegram.Button{r.button("cancel", newTap(verbCancel))}
	lifted, err := lifting(r.tx, r.viewer, f, r.day)
	if err != nil {
		return m, err
	}
	switch f.missing(medical, lifted) {
	case "region":
		if f.Release {
			return r.releaseWhat(f, p, set, medical)
		}
		m.Text = r.sp.T("staff.hold_where", "name", p.Name)
		buttons := []telegram.Button{set("region", allRegion, r.sp.Button("whole_player"))}
		for _, reg := range prescribe.Regions() {
			buttons = append(buttons, set("region", string(reg), r.sp.Region(reg, prescribe.Both)))
		}
		m.Buttons = append(rows(3, buttons...), cancel)
		return m, nil
	case "fever":
		m.Text = r.sp.T("staff.release_fever")
		m.Buttons = rows(2, set("fever", "1", r.sp.Button("yes")), set("fever", "0", r.sp.Button("not_yet")), cancel[0])
		return m, nil
	case "why":
		m.Text = r.sp.T("staff.release_why")
		var buttons []telegram.Button
		for _, c := range capChoices {
			buttons = append(buttons, set("cap", strconv.Itoa(c), r.sp.Percent(prescribe.Percent(c))))
		}
		m.Buttons = append(rows(3, buttons...), cancel)
		return m, nil
	case "cap":
		m.Text = r.sp.T("staff.hold_cap")
		buttons := []telegram.Button{set("cap", "0", r.sp.Button("stop_all"))}
		if f.Release {
			m.Text = r.sp.T("staff.release_cap")
			buttons = []telegram.Button{set("cap", "100", r.sp.Button("full_release"))}
		}
		for _, c := range capChoices {
			buttons = append(buttons, set("cap", strconv.Itoa(c), r.sp.Percent(prescribe.Percent(c))))
		}
		m.Buttons = append(rows(4, buttons...), cancel)
		return m, nil
	case "days":
		m.Text = r.sp.T("staff.hold_until", "n", reviewMax)
		if f.Release {
			m.Text = r.sp.T("staff.release_review", "n", reviewMax)
		}
		var buttons []telegram.Button
		for n := 1; n <= reviewMax; n++ {
			buttons = append(buttons, set("days", strconv.Itoa(n), r.sp.Day(r.day+prescribe.Day(n))))
		}
		m.Buttons = append(rows(2, buttons...), cancel)
		return m, nil
	case "class":
		m.Text = r.sp.T("staff.release_classified")
		m.Buttons = rows(2, set("class", "1", r.sp.Button("yes")), set("class", "0", r.sp.Button("no")), cancel[0])
		return m, nil
	}
	return r.holdConfirm(f, p, sq.ID, m, asked)
}

// capChoices are the limits that are offered, in percent of the record.
var capChoices = []int{50, 70, 85}

// lifting is what a release lifts, as medical staff see it; nothing for a hold
// or where no place has been chosen yet.
func lifting(tx *store.Tx, v store.Viewer, f holdFlow, day prescribe.Day) (store.Lifted, error) {
	if !f.Release || f.Region == "" {
		return store.Lifted{}, nil
	}
	holds, err := tx.ViewHolds(v, f.Player, day)
	if err != nil {
		return store.Lifted{}, err
	}
	region := prescribe.Region(f.Region)
	if f.Region == allRegion {
		region = ""
	}
	return store.Lifting(holds, region), nil
}

// missing fills in what follows from the rest and names the field that is
// asked next; "" when all is there.
func (f *holdFlow) missing(medical bool, lifted store.Lifted) string {
	if !medical {
		// A coach holds the session; a place of the body is medical.
		if !f.Release {
			f.Region = allRegion
		}
		f.Cap, f.Class, f.Fever, f.Why = "0", "0", "", ""
		lifted = store.Lifted{}
		if f.Release {
			f.Cap = "100"
		}
		if f.Days == "" {
			f.Days = "0"
		}
	}
	if f.Release && f.Cap == "100" {
		f.Days = "0"
	}
	if !lifted.Pain {
		f.Class = "0"
	}
	switch {
	case f.Region == "":
		return "region"
	case lifted.Fever && f.Fever != "1":
		return "fever"
	case f.Cap == "":
		return "cap"
	case lifted.Warning && f.Cap == "100" && f.Why == "":
		return "why"
	case f.Days == "":
		return "days"
	case f.Class == "":
		return "class"
	}
	return ""
}

// holdText is an answer in words to the open question of the flow.
func (h *hand) holdText(d store.Dialog, text string) error {
	var f holdFlow
	if err := json.Unmarshal(d.Args, &f); err != nil {
		return fmt.Errorf("dialog %q: %w", d.Kind, err)
	}
	medical, err := h.medicalFor(f.Player)
	if err != nil {
		return err
	}
	yes, said := h.yesOrNo(text)
	lifted, err := lifting(h.tx, h.viewer, f, h.day)
	if err != nil {
		return err
	}
	switch f.missing(medical, lifted) {
	case "region":
		region, ok := h.regionNamed(text)
		switch {
		case ok:
			f.Region = string(region)
		case strings.EqualFold(text, plain(h.sp.T("staff.everything"))), strings.EqualFold(text, h.sp.Button("whole_player")):
			f.Region = allRegion
		default:
			return h.orPlayer(text)
		}
	case "cap":
		n, err := strconv.Atoi(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "%")))
		switch {
		case err == nil && n >= 0 && n <= 100:
			f.Cap = strconv.Itoa(n)
		case strings.EqualFold(text, h.sp.Button("stop_all")):
			f.Cap = "0"
		case strings.EqualFold(text, h.sp.Button("full_release")):
			f.Cap = "100"
		default:
			return h.orPlayer(text)
		}
	case "days":
		day, _, ok := lastDay(text, h.day)
		if !ok {
			return mend("staff.fixture_day_unreadable")
		}
		f.Days = strconv.Itoa(int(day - h.day))
		if !dayInReach(f.Days, medical, f.Release) {
			return mend("staff.hold_too_far")
		}
	case "fever":
		switch {
		case !said:
			return h.orPlayer(text)
		case !yes:
			return h.staysHeld(false)
		}
		f.Fever = "1"
	case "why":
		f.Why = clip(strings.TrimSpace(text), whyMax)
	case "class":
		if !said {
			return h.orPlayer(text)
		}
		f.Class = "0"
		if yes {
			f.Class = "1"
		}
	default:
		switch {
		case !said:
			return h.orPlayer(text)
		case !yes:
			return h.tapCancel(tap{})
		}
		return h.tapHoldDo(tap{args: f.decision(d.Asked)})
	}
	return h.askHold(f, false)
}

// decision is what was chosen with buttons, and when it was put together, as
// the last button carries it.
func (f holdFlow) decision(asked prescribe.Instant) []string {
	return []string{strconv.FormatInt(f.Player, 10), f.direction(), f.Region, f.Cap, f.Days, f.Class, strconv.FormatInt(int64(asked), 10)}
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
	if medical {
		see, err := r.tx.Sees(r.viewer, f.Player, r.day)
		if err != nil {
			return m, err
		}
		if err := r.holdsOf(f.Player, see, func(s string) { m.Text += "\n" + s }); err != nil {
			return m, err
		}
		if err := r.tx.Audit(r.person.ID, f.Player, "holds.shown", "", r.now); err != nil {
			return m, err
		}
	}
	var buttons []telegram.Button
	for _, key := range regions {
		buttons = append(buttons, set("region", key, r.regionWord(key)))
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

func (r *rendering) holdConfirm(f holdFlow, p store.Person, squad int64, m telegram.Outgoing, asked prescribe.Instant) (telegram.Outgoing, error) {
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
	case !r.viewer.May(squad, store.RoleMedical):
		m.Text = r.sp.T("staff.hold_confirm_coach_until", "name", p.Name, "until", until)
	case percent > 0:
		m.Text = r.sp.T("staff.hold_confirm_cap", "name", p.Name, "region", region, "cap", prescribe.Percent(percent), "until", until)
	default:
		m.Text = r.sp.T("staff.hold_confirm", "name", p.Name, "region", region, "until", until)
	}
	if f.Why != "" {
		m.Text += "\n" + r.sp.T("staff.release_reason", "text", f.Why)
	}
	m.Buttons = rows(2,
		r.button("confirm", verbHoldDo+":"+strings.Join(f.decision(asked), ":")),
		r.button("cancel", newTap(verbCancel)))
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

// tapHoldDo carries the decision out that the chat's open question asks about,
// once: who may not lift a medical stop does not.
func (h *hand) tapHoldDo(t tap) error {
	d, ok, err := h.tx.Dialog(h.chat)
	if err != nil {
		return err
	}
	var f holdFlow
	if !ok || d.Kind != dialogHold || json.Unmarshal(d.Args, &f) != nil {
		return h.say("error.old_button")
	}
	medical, err := h.medicalFor(f.Player)
	if err != nil {
		return err
	}
	lifted, err := lifting(h.tx, h.viewer, f, h.day)
	if err != nil {
		return err
	}
	// The days were counted from the day of the question.
	asked := prescribe.DayOf(d.Asked.Time().In(h.loc))
	if f.missing(medical, lifted) != "" || asked != h.day || !slices.Equal(f.decision(d.Asked), t.args) {
		return h.say("error.old_button")
	}
	var region prescribe.Region
	if f.Region != allRegion {
		if !slices.Contains(prescribe.Regions(), prescribe.Region(f.Region)) || !medical {
			return store.ErrNotFound
		}
		region = prescribe.Region(f.Region)
	}
	percent, err1 := strconv.Atoi(f.Cap)
	days, err2 := strconv.Atoi(f.Days)
	if err1 != nil || err2 != nil || percent < 0 || percent > 100 || !dayInReach(f.Days, medical, f.Release) {
		return store.ErrNotFound
	}
	var until prescribe.Day
	if days > 0 {
		until = h.day + prescribe.Day(days)
	}
	// The instant of the question belongs to the source: two decisions that were
	// taken under one message are two.
	source := fmt.Sprintf("staff:%d:%d:%d:%d", h.person.ID, h.chat, h.message, d.Asked)
	e := prescribe.Event{At: h.now, Day: h.day, Key: source + "/0"}
	action := "hold"
	if f.Release {
		if !medical {
			if err := h.coachHoldOf(f.Player); err != nil {
				return err
			}
		}
		action = "release"
		e.Release = &prescribe.Release{Medical: medical, Region: region, MaxLoad: prescribe.Percent(percent), Review: until, Classified: f.Class == "1"}
		if percent >= 100 {
			e.Release.Reason = f.Why
		}
	} else {
		e.Hold = &prescribe.Hold{ID: source, Medical: medical, Region: region, MaxLoad: prescribe.Percent(percent), Until: until}
	}
	folded, err := h.tx.Record(f.Player, source, h.now, e)
	if err != nil {
		return err
	}
	if err := h.tx.Audit(h.person.ID, f.Player, action, "", h.now); err != nil {
		return err
	}
	if e.Release != nil && medical {
		if err := h.liftAlerts(f.Player, region); err != nil {
			return err
		}
	}
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	if err := h.b.tell(h.tx, f.Player, folded.Notices, h.now); err != nil {
		return err
	}
	if err := h.b.replan(h.tx, f.Player, h.day, h.now); err != nil {
		return err
	}
	return h.redraw("holddone", f.Player, action, medical)
}

// stopAlerts are the kinds of alerts that say that work is stopped until
// medical staff lift it.
var stopAlerts = []prescribe.NoticeKind{prescribe.NoticePain, prescribe.NoticeWarning, prescribe.NoticeLapsed}

// liftAlerts closes the alerts whose stop a medical release has just lifted, of
// the place or, for a release of everything, of all: they would go on saying
// that the player is held, and be sent again. Who wrote of distress is not
// answered by a release.
func (h *hand) liftAlerts(player int64, region prescribe.Region) error {
	as, err := h.tx.AlertsOf(player)
	if err != nil {
		return err
	}
	for _, a := range as {
		if a.State == store.AlertClosed || !slices.Contains(stopAlerts, a.Kind) || region != "" && a.Notice.Region != region {
			continue
		}
		if _, err := h.tx.ViewAlert(h.viewer, a); errors.Is(err, store.ErrNotFound) {
			continue // of another squad's time: not this reader's
		} else if err != nil {
			return err
		}
		if err := h.tx.CloseAlert(a.ID, h.person.ID, "release", h.now); err != nil {
			return err
		}
		if err := h.redrawAlert(a.ID); err != nil {
			return err
		}
	}
	return nil
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
		var held []string
		if err := r.holdsOf(p.ID, see, func(s string) { held = append(held, s) }); err != nil {
			return telegram.Outgoing{}, err
		}
		if len(held) == 0 {
			id = "staff.release_all"
		}
		text := r.sp.T(id, "name", p.Name)
		return telegram.Outgoing{Text: joinLines(append([]string{text}, held...)), Protect: see.Has(prescribe.ForMedical)}, nil
	}
}
