package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"pegcard/prescribe"
)

// Change is one line of what an import changes, fit to be read: What, then From
// → To. An empty From is something new, an empty To something that ends.
type Change struct{ Kind, What, From, To string }

func (c Change) String() string {
	switch {
	case c.From == "" && c.To == "":
		return c.What
	case c.From == "":
		return c.What + " · " + c.To
	case c.To == "":
		return c.What + " · " + c.From + " → none"
	}
	return c.What + " · " + c.From + " → " + c.To
}

// ImportResult is what an import did, or would do.
type ImportResult struct {
	Changes  []Change
	Replan   []PersonDay
	Problems []*Problem // any: nothing was written
}

// Import compares the files with what is stored and applies what differs, in
// one transaction. Importing the same files twice changes nothing. Every
// problem is collected, and with any nothing is written. A dry run is the same
// transaction, rolled back. The cards to be planned again are noted for the bot.
func (s *Store) Import(ctx context.Context, im Import, now prescribe.Instant, dryRun bool) (ImportResult, error) {
	var res ImportResult
	err := s.write(ctx, func(tx *Tx) (err error) {
		if res, err = tx.Import(im, now); err != nil {
			return err
		}
		if dryRun || len(res.Problems) > 0 {
			return errDiscard
		}
		return tx.PutReplan(res.Replan...)
	})
	if err != nil && !errors.Is(err, errDiscard) {
		return ImportResult{}, err
	}
	return res, nil
}

// Import is Store.Import inside a transaction that does more. With any problem
// in the result the caller rolls back: part of the files may be written.
func (tx *Tx) Import(im Import, now prescribe.Instant) (res ImportResult, err error) {
	defer wrap(&err, "import")
	a := applier{tx: tx, im: im, now: now, replan: map[PersonDay]bool{}, starts: map[PersonDay]prescribe.Instant{}}
	if err := a.apply(); err != nil {
		return res, err
	}
	a.result.Replan = sortedDays(a.replan)
	return a.result, nil
}

var errDiscard = errors.New("nothing is to be kept")

type applier struct {
	tx     *Tx
	im     Import
	now    prescribe.Instant
	result ImportResult
	replan map[PersonDay]bool
	today  prescribe.Day // in the club's zone
	starts map[PersonDay]prescribe.Instant
}

// apply goes from what others refer to, to what refers.
func (a *applier) apply() error {
	if a.im.Club == nil {
		if _, err := a.tx.Club(); isNotFound(err) {
			a.problem(At{}, "the club is not known yet", "import club.toml first, or together with the other files")
			return nil
		} else if err != nil {
			return err
		}
	} else if err := a.club(*a.im.Club); err != nil {
		return err
	}
	club, err := a.tx.Club()
	if err != nil {
		return err
	}
	if a.today, err = dayIn(a.now, club.Zone); err != nil {
		return err
	}
	if a.im.Club != nil {
		if err := a.gyms(a.im.Club.Gyms); err != nil {
			return err
		}
		if err := a.squads(a.im.Club.Squads); err != nil {
			return err
		}
		if err := a.staff(a.im.Club.Staff); err != nil {
			return err
		}
	}
	for _, step := range []func() error{a.programme, a.rules, a.players, a.fixtures, a.tests, a.minutes} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

func (a *applier) problem(at At, what, mend string) {
	a.result.Problems = append(a.result.Problems, &Problem{At: at, What: what, Mend: mend})
}

// change notes a line and logs it; whose is the person it is about, 0 nobody.
func (a *applier) change(whose int64, kind, what, from, to string) error {
	c := Change{Kind: kind, What: what, From: from, To: to}
	a.result.Changes = append(a.result.Changes, c)
	return a.tx.logChange(c, 0, whose, a.now)
}

// field is one value of a thing, as text before and after.
type field struct{ name, from, to string }

func (a *applier) fields(whose int64, kind, what string, fs ...field) (changed bool, err error) {
	for _, f := range fs {
		if f.from == f.to {
			continue
		}
		changed = true
		if err := a.change(whose, kind, what+" · "+f.name, firstWord(f.from, "none"), firstWord(f.to, "none")); err != nil {
			return true, err
		}
	}
	return changed, nil
}

// planAgain marks today and tomorrow of the squad's members; later days are
// planned when they come.
func (a *applier) planAgain(squad int64) error {
	for d := a.today; d <= a.today+1; d++ {
		members, err := a.tx.Members(squad, d)
		if err != nil {
			return err
		}
		for _, p := range members {
			a.replan[PersonDay{p.ID, d}] = true
		}
	}
	return nil
}

func (a *applier) planAllAgain() error {
	squads, err := a.tx.Squads()
	if err != nil {
		return err
	}
	for _, s := range squads {
		if err := a.planAgain(s.ID); err != nil {
			return err
		}
	}
	return nil
}

func (a *applier) club(d ClubDef) error {
	was, err := a.tx.Club()
	fresh := isNotFound(err)
	if err != nil && !fresh {
		return err
	}
	if err := a.tx.exec(`INSERT INTO club (one, name, zone, language, emergency) VALUES (1, ?, ?, ?, ?)
ON CONFLICT (one) DO UPDATE SET name = excluded.name, zone = excluded.zone, language = excluded.language, emergency = excluded.emergency`,
		d.Name, d.Zone, d.Language, d.Emergency); err != nil {
		return err
	}
	if fresh {
		return a.change(0, "club", "club "+d.Name, "", "new")
	}
	_, err = a.fields(0, "club", "club",
		field{"name", was.Name, d.Name}, field{"time zone", was.Zone, d.Zone},
		field{"language", was.Language, d.Language}, field{"emergency number", was.Emergency, d.Emergency})
	return err
}

func (a *applier) gyms(defs []GymDef) error {
	for _, g := range defs {
		text, err := json.Marshal(g.Setting)
		if err != nil {
			return err
		}
		ids, err := all(a.tx, one[int64], `SELECT id FROM gym WHERE slug = ?`, g.Slug)
		if err != nil {
			return err
		}
		if len(ids) == 0 {
			id, err := a.tx.insert(`INSERT INTO gym (slug, name) VALUES (?, ?)`, g.Slug, g.Name)
			if err != nil {
				return err
			}
			if err := a.tx.exec(`INSERT INTO gym_setting (gym, from_day, setting) VALUES (?, '', ?)`, id, string(text)); err != nil {
				return err
			}
			if err := a.change(0, "gym", "gym "+g.Slug, "", "new"); err != nil {
				return err
			}
			continue
		}
		var name, setting string
		if err := a.tx.row(`SELECT g.name, s.setting FROM gym g JOIN gym_setting s ON s.gym = g.id
WHERE g.id = ? ORDER BY s.from_day DESC LIMIT 1`, ids[0]).Scan(&name, &setting); err != nil {
			return err
		}
		if _, err := a.fields(0, "gym", "gym "+g.Slug, field{"name", name, g.Name}); err != nil {
			return err
		}
		if err := a.tx.exec(`UPDATE gym SET name = ? WHERE id = ?`, g.Name, ids[0]); err != nil {
			return err
		}
		if setting == string(text) {
			continue
		}
		var was prescribe.Setting
		if err := json.Unmarshal([]byte(setting), &was); err != nil {
			return err
		}
		// From today on: what was planned before keeps what stood there then.
		if err := a.tx.exec(`INSERT INTO gym_setting (gym, from_day, setting) VALUES (?, ?, ?)
ON CONFLICT (gym, from_day) DO UPDATE SET setting = excluded.setting`, ids[0], a.today.String(), string(text)); err != nil {
			return err
		}
		if _, err := a.fields(0, "gym", "gym "+g.Slug, settingFields(was, g.Setting)...); err != nil {
			return err
		}
		if err := a.planAllAgain(); err != nil {
			return err
		}
	}
	return nil
}

func settingFields(was, is prescribe.Setting) []field {
	w, i := was.Equipment, is.Equipment
	return []field{
		{"place", was.Place, is.Place},
		{"supervised", yesNo(was.Supervised), yesNo(is.Supervised)},
		{"bars", list(w.Bars, barText), list(i.Bars, barText)},
		{"plates", list(w.Plates, plateText), list(i.Plates, plateText)},
		{"dumbbells", list(w.Dumbbells, kgText), list(i.Dumbbells, kgText)},
		{"flywheels", list(w.Flywheels, wheelText), list(i.Flywheels, wheelText)},
		{"added mass", list(w.Added, kgText), list(i.Added, kgText)},
		{"gear", list(w.Has, wordText), list(i.Has, wordText)},
	}
}

func list[T any](vs []T, text func(T) string) string {
	words := make([]string, len(vs))
	for i, v := range vs {
		words[i] = text(v)
	}
	return strings.Join(words, ", ")
}

func wordText[T ~string](w T) string { return string(w) }
func number[T ~float64](v T) string {
	return strconv.FormatFloat(math.Round(float64(v)*1e6)/1e6, 'f', -1, 64)
}
func kgText(v prescribe.Kg) string           { return number(v) + " kg" }
func barText(b prescribe.Bar) string         { return b.Kind + " " + kgText(b.Mass) }
func plateText(p prescribe.Plate) string     { return fmt.Sprintf("%d × %s", p.Pairs, kgText(p.Mass)) }
func inertiaText(v prescribe.Inertia) string { return number(v) + " kg·m²" }
func wheelText(w prescribe.Wheel) string {
	return w.Device + " (" + list(w.Inertias, inertiaText) + ")"
}
func weekdayText(d time.Weekday) string { return d.String() }
func phaseText(p PhaseDef) string       { return fmt.Sprintf("%s %s to %s", p.Phase, p.From, p.To) }
func clockText(c Clock) string          { return fmt.Sprintf("%02d:%02d", int(c)/60, int(c)%60) }

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func (a *applier) squads(defs []SquadDef) error {
	for _, d := range defs {
		if d.Gym != "" {
			if there, err := a.tx.isGym(d.Gym); err != nil {
				return err
			} else if !there {
				a.problem(At{File: "club.toml"}, fmt.Sprintf("squad %q trains in the gym %q, which is not there", d.Slug, d.Gym), "write the slug of a gym, or add that gym")
			}
		}
		was, err := a.tx.SquadBySlug(d.Slug)
		fresh := isNotFound(err)
		if err != nil && !fresh {
			return err
		}
		var storedZone string
		if !fresh {
			if err := a.tx.row(`SELECT zone FROM squad WHERE id = ?`, was.ID).Scan(&storedZone); err != nil {
				return err
			}
		}
		if err := a.tx.exec(`INSERT INTO squad (slug, name, zone, youth, gym, cards_at, evening_at, digest_at, strength_at, cut_off,
  quiet_from, quiet_to, review, unapproved, off_days, pitch_days, md1_option, weekly_on, monthly)
VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
ON CONFLICT (slug) DO UPDATE SET name = excluded.name, zone = excluded.zone, youth = excluded.youth, gym = excluded.gym,
  cards_at = excluded.cards_at, evening_at = excluded.evening_at, digest_at = excluded.digest_at, strength_at = excluded.strength_at,
  cut_off = excluded.cut_off, quiet_from = excluded.quiet_from, quiet_to = excluded.quiet_to, review = excluded.review,
  unapproved = excluded.unapproved, off_days = excluded.off_days, pitch_days = excluded.pitch_days, md1_option = excluded.md1_option,
  weekly_on = excluded.weekly_on, monthly = excluded.monthly`,
			d.Slug, d.Name, d.Zone, d.Youth, d.Gym, d.CardsAt, d.EveningAt, d.DigestAt, d.StrengthAt, d.CutOff,
			d.QuietFrom, d.QuietTo, d.Review, d.Unapproved, formatWeekdays(d.OffDays), formatWeekdays(d.PitchDays), d.MD1Option, d.WeeklyOn, d.Monthly); err != nil {
			return err
		}
		stored, err := a.tx.SquadBySlug(d.Slug)
		if err != nil {
			return err
		}
		phasesChanged := list(was.Phases, phaseText) != list(sortedPhases(d.Phases), phaseText)
		if phasesChanged {
			if err := a.tx.exec(`DELETE FROM phase WHERE squad = ?`, stored.ID); err != nil {
				return err
			}
			for _, p := range sortedPhases(d.Phases) {
				if err := a.tx.exec(`INSERT INTO phase (squad, phase, from_day, until_day) VALUES (?, ?, ?, ?)`,
					stored.ID, p.Phase, p.From.String(), p.To.String()); err != nil {
					return err
				}
			}
		}
		if fresh {
			if err := a.change(0, "squad", "squad "+d.Slug, "", "new"); err != nil {
				return err
			}
			continue
		}
		changed, err := a.fields(0, "squad", "squad "+d.Slug,
			field{"name", was.Name, d.Name},
			field{"time zone", storedZone, d.Zone},
			field{"youth", yesNo(was.Youth), yesNo(d.Youth)},
			field{"gym", was.Gym, d.Gym},
			field{"cards at", clockText(was.CardsAt), clockText(d.CardsAt)},
			field{"look-over at", clockText(was.EveningAt), clockText(d.EveningAt)},
			field{"digest at", clockText(was.DigestAt), clockText(d.DigestAt)},
			field{"strength at", clockText(was.StrengthAt), clockText(d.StrengthAt)},
			field{"cut-off", clockText(was.CutOff), clockText(d.CutOff)},
			field{"quiet from", clockText(was.QuietFrom), clockText(d.QuietFrom)},
			field{"quiet to", clockText(was.QuietTo), clockText(d.QuietTo)},
			field{"review", was.Review, d.Review},
			field{"unapproved cards", was.Unapproved, d.Unapproved},
			field{"off days", list(was.OffDays, weekdayText), list(sortedWeekdays(d.OffDays), weekdayText)},
			field{"pitch days", list(was.PitchDays, weekdayText), list(sortedWeekdays(d.PitchDays), weekdayText)},
			field{"lower body on the day after a match", yesNo(was.MD1Option), yesNo(d.MD1Option)},
			field{"report of the week on", was.WeeklyOn, d.WeeklyOn},
			field{"report of the month", yesNo(was.Monthly), yesNo(d.Monthly)},
			field{"phases", list(was.Phases, phaseText), list(sortedPhases(d.Phases), phaseText)},
		)
		if err != nil {
			return err
		}
		if changed {
			if err := a.planAgain(stored.ID); err != nil {
				return err
			}
		}
	}
	return nil
}

func sortedPhases(ps []PhaseDef) []PhaseDef {
	ps = slices.Clone(ps)
	slices.SortStableFunc(ps, func(a, b PhaseDef) int { return int(a.From - b.From) })
	return ps
}

func sortedWeekdays(ds []time.Weekday) []time.Weekday {
	ds = slices.Clone(ds)
	slices.Sort(ds)
	return slices.Compact(ds)
}

// staff makes the roles those of club.toml. Who is not named any more loses the
// role from today on; the person stays.
func (a *applier) staff(defs []StaffDef) error {
	type held struct {
		person, squad int64
		role          Role
	}
	want := map[held]bool{}
	for _, d := range defs {
		if audiences[d.Role] == 0 && d.Role != RoleAdmin {
			a.problem(d.At, fmt.Sprintf("%q is not a role", d.Role), "write one of strength_coach, medical, head_coach, safeguarding, administrator")
			continue
		}
		p, err := a.tx.PersonByKey(d.Key)
		switch {
		case isNotFound(err):
			id, err := a.tx.addPerson(d.Key, d.Name, d.Language)
			if err != nil {
				return err
			}
			p.ID = id
			if err := a.change(id, "staff", "staff "+d.Key, "", d.Name); err != nil {
				return err
			}
		case err != nil:
			return err
		default:
			player, err := a.isPlayer(p.ID)
			if err != nil {
				return err
			}
			if player {
				a.problem(d.At, fmt.Sprintf("the key %q is a player's", d.Key), "give every person in the club a key of their own")
				continue
			}
			if err := a.person(p, "staff", d.Name, d.Language); err != nil {
				return err
			}
		}
		if _, err := a.fields(p.ID, "staff", "staff "+d.Key, field{"phone", p.Phone, d.Phone}); err != nil {
			return err
		}
		if err := a.tx.exec(`UPDATE person SET phone = ? WHERE id = ?`, d.Phone, p.ID); err != nil {
			return err
		}
		squads := d.Squads
		if len(squads) == 0 {
			all, err := a.tx.Squads()
			if err != nil {
				return err
			}
			for _, s := range all {
				squads = append(squads, s.Slug)
			}
		}
		for _, slug := range squads {
			s, err := a.tx.SquadBySlug(slug)
			if isNotFound(err) {
				a.problem(d.At, fmt.Sprintf("there is no squad %q", slug), a.squadNames())
				continue
			} else if err != nil {
				return err
			}
			want[held{p.ID, s.ID, d.Role}] = true
			ords, err := all(a.tx, one[int], `SELECT ord FROM staff_role WHERE person = ? AND squad = ? AND role = ? AND (until_day = '' OR until_day >= ?)`,
				p.ID, s.ID, d.Role, a.today.String())
			if err != nil {
				return err
			}
			if len(ords) > 0 {
				if _, err := a.fields(p.ID, "staff", fmt.Sprintf("staff %s · %s of %s", d.Key, d.Role, slug),
					field{"order", strconv.Itoa(ords[0]), strconv.Itoa(d.Order)}); err != nil {
					return err
				}
				if err := a.tx.exec(`UPDATE staff_role SET ord = ?, until_day = '' WHERE person = ? AND squad = ? AND role = ? AND (until_day = '' OR until_day >= ?)`,
					d.Order, p.ID, s.ID, d.Role, a.today.String()); err != nil {
					return err
				}
				continue
			}
			if err := a.tx.exec(`INSERT INTO staff_role (person, squad, role, ord, from_day, until_day) VALUES (?, ?, ?, ?, ?, '')`,
				p.ID, s.ID, d.Role, d.Order, a.today.String()); err != nil {
				return err
			}
			if err := a.change(p.ID, "staff", "staff "+d.Key, "", fmt.Sprintf("%s of %s", d.Role, slug)); err != nil {
				return err
			}
		}
	}
	type row struct {
		id         int64
		h          held
		key, squad string
	}
	rows, err := all(a.tx, func(r scanner) (x row, err error) {
		err = r.Scan(&x.id, &x.h.person, &x.h.squad, &x.h.role, &x.key, &x.squad)
		return x, err
	}, `SELECT r.id, r.person, r.squad, r.role, p.key, s.slug FROM staff_role r JOIN person p ON p.id = r.person JOIN squad s ON s.id = r.squad
WHERE r.until_day = '' OR r.until_day >= ? ORDER BY r.id`, a.today.String())
	if err != nil {
		return err
	}
	for _, x := range rows {
		if want[x.h] {
			continue
		}
		if err := a.tx.exec(`UPDATE staff_role SET until_day = ? WHERE id = ?`, (a.today - 1).String(), x.id); err != nil {
			return err
		}
		if err := a.change(x.h.person, "staff", "staff "+x.key, fmt.Sprintf("%s of %s", x.h.role, x.squad), ""); err != nil {
			return err
		}
	}
	return nil
}

// isPlayer reports whether the person is or was in a squad, isStaff whether
// they have or had a role.
func (a *applier) isPlayer(person int64) (yes bool, err error) {
	err = a.tx.row(`SELECT EXISTS (SELECT 1 FROM membership WHERE person = ?)`, person).Scan(&yes)
	return yes, err
}

func (a *applier) isStaff(person int64) (yes bool, err error) {
	err = a.tx.row(`SELECT EXISTS (SELECT 1 FROM staff_role WHERE person = ?)`, person).Scan(&yes)
	return yes, err
}

func (a *applier) squadNames() string {
	squads, err := a.tx.Squads()
	if err != nil || len(squads) == 0 {
		return "add the squad to club.toml"
	}
	return "write one of " + list(squads, func(s Squad) string { return s.Slug })
}

// person brings name and language up to date. A language chosen in the chat
// stays, and an empty one in the file changes nothing.
func (a *applier) person(p Person, kind, name, language string) error {
	fs := []field{{"name", p.Name, name}}
	var chosen bool
	if err := a.tx.row(`SELECT chosen FROM person WHERE id = ?`, p.ID).Scan(&chosen); err != nil {
		return err
	}
	if language != "" && !chosen {
		fs = append(fs, field{"language", p.Language, language})
		if err := a.tx.exec(`UPDATE person SET language = ? WHERE id = ?`, language, p.ID); err != nil {
			return err
		}
	}
	if err := a.tx.exec(`UPDATE person SET name = ? WHERE id = ?`, name, p.ID); err != nil {
		return err
	}
	_, err := a.fields(p.ID, kind, kind+" "+p.Key, fs...)
	return err
}

func (a *applier) programme() error {
	if a.im.Programme == nil {
		return nil
	}
	was, wasHash, err := a.tx.Programme()
	if err != nil {
		return err
	}
	text, hash, err := programmeText(a.im.Programme.Programme)
	if err != nil || hash == wasHash {
		return err
	}
	if err := a.tx.putProgramme(hash, text, a.im.Programme.Source, a.now); err != nil {
		return err
	}
	if err := a.tx.exec(`INSERT INTO programme_use (hash, at) VALUES (?, ?)`, hash, a.now); err != nil {
		return err
	}
	is := a.im.Programme.Programme
	if was.Name == "" && len(was.Sessions) == 0 {
		return errors.Join(a.change(0, "programme", "programme "+is.Name, "", "new"), a.planAllAgain())
	}
	changed, err := a.fields(0, "programme", "programme", field{"name", was.Name, is.Name})
	if err != nil {
		return err
	}
	doses, err := a.fields(0, "programme", "programme", field{"minimum doses", jsonText(was.Doses), jsonText(is.Doses)})
	if err != nil {
		return err
	}
	changed = changed || doses
	before := map[string]prescribe.SessionTemplate{}
	for _, t := range was.Sessions {
		before[t.ID] = t
	}
	for _, t := range is.Sessions {
		b, ok := before[t.ID]
		delete(before, t.ID)
		switch {
		case !ok:
			changed = true
			err = a.change(0, "programme", "session "+t.ID, "", "new")
		case jsonText(b) != jsonText(t):
			changed = true
			err = a.session(b, t)
		}
		if err != nil {
			return err
		}
	}
	for _, id := range slices.Sorted(maps.Keys(before)) {
		changed = true
		if err := a.change(0, "programme", "session "+id, "in the programme", ""); err != nil {
			return err
		}
	}
	if !changed {
		if err := a.change(0, "programme", "programme", "", "sessions in another order"); err != nil {
			return err
		}
	}
	return a.planAllAgain()
}

// session tells which slots of a session changed.
func (a *applier) session(was, is prescribe.SessionTemplate) error {
	before := map[string]prescribe.Slot{}
	for _, s := range was.Slots {
		before[s.ID] = s
	}
	told := false
	for _, s := range is.Slots {
		b, ok := before[s.ID]
		delete(before, s.ID)
		from, to := slotText(b), slotText(s)
		if !ok {
			from = ""
		}
		if ok && jsonText(b) == jsonText(s) {
			continue
		}
		if from == to {
			to += ", details"
		}
		told = true
		if err := a.change(0, "programme", "session "+is.ID+" · "+s.ID, from, to); err != nil {
			return err
		}
	}
	for _, id := range slices.Sorted(maps.Keys(before)) {
		told = true
		if err := a.change(0, "programme", "session "+is.ID+" · "+id, slotText(before[id]), ""); err != nil {
			return err
		}
	}
	if !told {
		return a.change(0, "programme", "session "+is.ID, "", "phase, kind or order of slots")
	}
	return nil
}

func slotText(s prescribe.Slot) string {
	t := fmt.Sprintf("%s %s %d × %d", s.Method, s.Scheme, s.Sets, s.Reps)
	if s.Intensity != 0 {
		t += " at " + number(s.Intensity) + " %"
	}
	if s.RIR != 0 {
		t += fmt.Sprintf(", %d in reserve", s.RIR)
	}
	return t + " (" + list(s.Candidates, wordText) + ")"
}

// jsonText is for telling values apart; both sides come from the same types.
func jsonText(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		return err.Error()
	}
	return string(b)
}

func (a *applier) rules() error {
	if a.im.Rules == nil {
		return nil
	}
	was, wasHash, err := a.tx.Rules()
	if err != nil {
		return err
	}
	is := prescribe.DefaultRules()
	for _, id := range slices.Sorted(maps.Keys(a.im.Rules.Values)) {
		next, err := is.With(id, a.im.Rules.Values[id])
		if err != nil {
			a.problem(At{File: "rules.toml"}, err.Error(), "")
			continue
		}
		is = next
	}
	if is.Hash() == wasHash {
		return nil
	}
	if err := a.tx.putRules(is, is.Hash(), a.im.Rules.Source, a.now); err != nil {
		return err
	}
	a.tx.states = nil
	if err := a.tx.exec(`INSERT INTO rules_use (hash, at) VALUES (?, ?)`, is.Hash(), a.now); err != nil {
		return err
	}
	for _, rule := range prescribe.RuleTable() {
		from, to := was.Num(rule.ID), is.Num(rule.ID)
		if from == to {
			continue
		}
		if err := a.change(0, "rules", "rule "+rule.ID, number(from)+" "+rule.Unit, number(to)+" "+rule.Unit); err != nil {
			return err
		}
	}
	// The records are judged by the new rules from the first event on.
	if err := a.tx.foldStale(); err != nil {
		return err
	}
	return a.planAllAgain()
}

func (a *applier) players() error {
	seen := map[string]At{}
	for _, row := range a.im.Players {
		if first, ok := seen[row.Key]; ok {
			a.problem(row.At, fmt.Sprintf("player %q stands here a second time", row.Key), fmt.Sprintf("keep this line or line %d", first.Line))
			continue
		}
		seen[row.Key] = row.At
		if err := a.player(row); err != nil {
			return fmt.Errorf("player %q: %w", row.Key, err)
		}
	}
	return nil
}

func (a *applier) player(row PlayerRow) error {
	squad, err := a.tx.SquadBySlug(row.Squad)
	if isNotFound(err) {
		a.problem(row.At, fmt.Sprintf("there is no squad %q", row.Squad), a.squadNames())
		return nil
	} else if err != nil {
		return err
	}
	if row.Gym != "" {
		if there, err := a.tx.isGym(row.Gym); err != nil {
			return err
		} else if !there {
			a.problem(row.At, fmt.Sprintf("there is no gym %q", row.Gym), "write the slug of a gym in club.toml, or leave it empty")
			return nil
		}
	}
	if row.Zone != "" {
		if _, err := Zone(row.Zone); err != nil {
			a.problem(row.At, fmt.Sprintf("%q is not a time zone", row.Zone), "write a name such as Europe/Dublin, or leave it empty")
			return nil
		}
	}
	what := "player " + row.Key
	p, err := a.tx.PersonByKey(row.Key)
	fresh := isNotFound(err)
	switch {
	case fresh:
		if p.ID, err = a.tx.addPerson(row.Key, row.Name, row.Language); err != nil {
			return err
		}
		if err := a.change(p.ID, "player", what, "", row.Name+", "+squad.Slug); err != nil {
			return err
		}
	case err != nil:
		return err
	default:
		staff, err := a.isStaff(p.ID)
		if err != nil {
			return err
		}
		player, err := a.isPlayer(p.ID)
		if err != nil {
			return err
		}
		if staff && !player {
			a.problem(row.At, fmt.Sprintf("the key %q is a staff member's", row.Key), "give every person in the club a key of their own")
			return nil
		}
		if err := a.person(p, "player", row.Name, row.Language); err != nil {
			return err
		}
	}
	moved, err := a.membership(p.ID, what, squad, row, fresh)
	if err != nil {
		return err
	}
	zone, err := a.datedWord(p.ID, what, "person_zone", "zone", "time zone", row.Zone, fresh)
	if err != nil {
		return err
	}
	gym, err := a.datedWord(p.ID, what, "person_gym", "gym", "gym", row.Gym, fresh)
	if err != nil {
		return err
	}
	profile, err := a.profile(p.ID, what, row)
	if err != nil {
		return err
	}
	if fresh || moved || zone || gym || profile {
		for d := a.today; d <= a.today+1; d++ {
			a.replan[PersonDay{p.ID, d}] = true
		}
	}
	return nil
}

// membership makes the player one of the squad's. Another squad's ends the day
// before; what is past stays as it was.
func (a *applier) membership(person int64, what string, squad Squad, row PlayerRow, fresh bool) (bool, error) {
	type member struct {
		id, squad   int64
		slug        string
		from, until prescribe.Day
	}
	found, err := all(a.tx, func(r scanner) (m member, err error) {
		err = r.Scan(&m.id, &m.squad, &m.slug, intoDay(&m.from), intoDay(&m.until))
		return m, err
	}, `SELECT m.id, m.squad, s.slug, m.from_day, m.until_day FROM membership m JOIN squad s ON s.id = m.squad
WHERE m.person = ? ORDER BY m.from_day DESC, m.id DESC LIMIT 1`, person)
	if err != nil {
		return false, err
	}
	from := row.From
	if from == 0 {
		from = a.today
	}
	if row.Until != 0 && row.Until < from && len(found) == 0 {
		a.problem(row.At, fmt.Sprintf("player %q leaves on %s, before joining on %s", row.Key, row.Until, from), "swap the dates, or leave one empty")
		return false, nil
	}
	if len(found) > 0 && found[0].squad == squad.ID && (found[0].until == 0 || found[0].until >= a.today || row.Until != 0 || row.From == found[0].from) {
		m := found[0]
		if row.From == 0 {
			from = m.from
		}
		if m.from == from && m.until == row.Until {
			return false, nil
		}
		if row.Until != 0 && row.Until < from {
			a.problem(row.At, fmt.Sprintf("player %q leaves on %s, before joining on %s", row.Key, row.Until, from), "swap the dates, or leave one empty")
			return false, nil
		}
		if err := a.tx.exec(`UPDATE membership SET from_day = ?, until_day = ? WHERE id = ?`, from.String(), row.Until.String(), m.id); err != nil {
			return false, err
		}
		return a.fields(person, "player", what, field{"member from", m.from.String(), from.String()}, field{"member until", m.until.String(), row.Until.String()})
	}
	if len(found) > 0 {
		m := found[0]
		if from <= m.from {
			a.problem(row.At, fmt.Sprintf("player %q is in squad %q from %s", row.Key, m.slug, m.from), "write a later day as the first one in squad "+squad.Slug)
			return false, nil
		}
		if m.until == 0 || m.until >= from {
			if err := a.tx.exec(`UPDATE membership SET until_day = ? WHERE id = ?`, (from - 1).String(), m.id); err != nil {
				return false, err
			}
		}
		if err := a.change(person, "player", what+" · squad", m.slug, squad.Slug+" from "+from.String()); err != nil {
			return false, err
		}
	}
	// Somebody who had left is back.
	if err := a.tx.exec(`UPDATE person SET left_at = NULL WHERE id = ?`, person); err != nil {
		return false, err
	}
	return true, a.tx.exec(`INSERT INTO membership (person, squad, from_day, until_day) VALUES (?, ?, ?, ?)`,
		person, squad.ID, from.String(), row.Until.String())
}

// datedWord keeps a word from today on, of a new person always.
func (a *applier) datedWord(person int64, what, table, column, name, word string, fresh bool) (bool, error) {
	found, err := all(a.tx, one[string], `SELECT `+column+` FROM `+table+` WHERE person = ? ORDER BY from_day DESC LIMIT 1`, person)
	if err != nil {
		return false, err
	}
	was := ""
	if len(found) > 0 {
		was = found[0]
	}
	if was == word {
		return false, nil
	}
	from := a.today.String()
	if fresh {
		from = ""
	}
	if err := a.tx.exec(`INSERT INTO `+table+` (person, from_day, `+column+`) VALUES (?, ?, ?)
ON CONFLICT (person, from_day) DO UPDATE SET `+column+` = excluded.`+column, person, from, word); err != nil {
		return false, err
	}
	if fresh {
		return true, nil
	}
	return a.fields(person, "player", what, field{name, was, word})
}

// profile records what changes slowly. The first one counts from the beginning,
// so that older tests find a body mass; later ones from now.
func (a *applier) profile(person int64, what string, row PlayerRow) (bool, error) {
	was, ok, err := a.tx.profile(person)
	if err != nil {
		return false, err
	}
	is := was // what the file does not give stays
	if row.Born != 0 {
		is.Born = row.Born
	}
	if row.BodyMass != 0 {
		is.BodyMass = row.BodyMass
	}
	if row.TrainingAge != 0 {
		is.TrainingAge = row.TrainingAge
	}
	if ok && is == was {
		return false, nil
	}
	e := prescribe.Event{At: a.now, Profile: &is}
	source := "import:profile:" + row.Key + ":" + a.today.String()
	if !ok {
		e.Day = max(is.Born, 1)
		e.At = prescribe.InstantOf(e.Day.Time())
		source = "import:profile:" + row.Key
	}
	if _, err := a.tx.record(person, source, a.now, "kg", []prescribe.Event{e}); err != nil {
		return false, err
	}
	if !ok {
		return true, nil
	}
	return a.fields(person, "player", what,
		field{"born", was.Born.String(), is.Born.String()},
		field{"body mass", massText(was.BodyMass), massText(is.BodyMass)},
		field{"training age", yearsText(was.TrainingAge), yearsText(is.TrainingAge)})
}

func massText(m prescribe.Kg) string {
	if m == 0 {
		return ""
	}
	return kgText(m)
}

func yearsText(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n) + " years"
}

func (a *applier) fixtures() error {
	named := map[int64]bool{}
	sources := map[string]bool{}
	for _, row := range a.im.Fixtures {
		squad, err := a.tx.SquadBySlug(row.Squad)
		if isNotFound(err) {
			a.problem(row.At, fmt.Sprintf("there is no squad %q", row.Squad), a.squadNames())
			continue
		} else if err != nil {
			return err
		}
		source := filepath.Base(row.At.File)
		sources[source] = true
		f := Fixture{
			Squad: squad.ID, UID: row.UID, Recurrence: row.Recurrence, Summary: row.Summary, Day: row.Day,
			Kickoff: prescribe.InstantOf(row.Kickoff), End: prescribe.InstantOf(row.End),
			Known: row.Known, Travel: row.Travel, Until: row.Until, Cancelled: row.Cancelled,
		}
		found, err := all(a.tx, scanFixture, selectFixture+`WHERE squad = ? AND uid = ? AND recurrence = ?`, f.Squad, f.UID, f.Recurrence)
		if err != nil {
			return err
		}
		if len(found) == 0 {
			if f.Cancelled {
				continue
			}
			if f.ID, err = a.tx.insertFixture(f, source); err != nil {
				return err
			}
			named[f.ID] = true
			if err := a.fixtureChanged(f.Summary, "", fixtureText(f), f); err != nil {
				return err
			}
			continue
		}
		was := found[0]
		f.ID = was.ID
		if named[f.ID] {
			a.problem(row.At, fmt.Sprintf("the event %q stands here a second time", firstWord(row.Summary, row.UID)), "give every event a UID of its own")
			continue
		}
		named[f.ID] = true
		if f == was {
			continue
		}
		if err := a.tx.updateFixture(f); err != nil {
			return err
		}
		if fixtureText(f) == fixtureText(was) {
			if err := a.change(0, "fixture", "fixture "+was.Summary, was.Summary, f.Summary); err != nil {
				return err
			}
			continue
		}
		if err := a.fixtureChanged(f.Summary, fixtureText(was), fixtureText(f), was, f); err != nil {
			return err
		}
	}
	return a.dropFixtures(named, sources)
}

// dropFixtures takes off what the same file named before and does not name any
// more, inside the span it covers and not before today.
func (a *applier) dropFixtures(named map[int64]bool, sources map[string]bool) error {
	for _, source := range slices.Sorted(maps.Keys(sources)) {
		stored, err := all(a.tx, scanFixture, selectFixture+`WHERE source = ? AND NOT cancelled AND day >= ? AND day BETWEEN ? AND ? ORDER BY day, id`,
			source, a.today.String(), a.im.FixturesFrom.String(), a.im.FixturesTo.String())
		if err != nil {
			return err
		}
		for _, was := range stored {
			if named[was.ID] {
				continue
			}
			f := was
			f.Cancelled = true
			if err := a.tx.updateFixture(f); err != nil {
				return err
			}
			if err := a.fixtureChanged(f.Summary, fixtureText(was), fixtureText(f), was); err != nil {
				return err
			}
		}
	}
	return nil
}

func (a *applier) fixtureChanged(summary, from, to string, touched ...Fixture) error {
	if err := a.change(0, "fixture", "fixture "+summary, from, to); err != nil {
		return err
	}
	days, err := a.tx.affected(a.now, touched...)
	if err != nil {
		return err
	}
	for _, d := range days {
		a.replan[d] = true
	}
	return nil
}

func fixtureText(f Fixture) string {
	switch {
	case f.Cancelled:
		return "cancelled"
	case f.Travel:
		return fmt.Sprintf("away %s to %s", f.Day, f.Until)
	case !f.Known:
		return f.Day.String() + ", kick-off not known"
	}
	// In UTC: one instant, whatever zone the file wrote it in.
	return fmt.Sprintf("%s, %s UTC to %s", f.Day, f.Kickoff.Time().Format("15:04"), f.End.Time().Format("15:04"))
}

// tests become events, one entry a line, so that a corrected line supersedes.
func (a *applier) tests() error {
	count := map[string]int{}
	for _, row := range a.im.Tests {
		p, ok, err := a.knownPlayer(row.At, row.Player, row.Day)
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		e := prescribe.Event{Day: row.Day}
		var exercise prescribe.ExerciseID
		var side prescribe.Side
		var value string
		switch {
		case row.Set != nil:
			set := *row.Set
			exercise, side = set.Exercise, set.Side
			value = setText(set)
			e.Set = &set
		case row.Power != nil:
			power := *row.Power
			exercise = power.Exercise
			value = fmt.Sprintf("%s on %s, %s", wattsText(power.Power), power.Device, inertiaText(power.Inertia))
			e.Power = &power
		default:
			continue
		}
		group := fmt.Sprintf("import:tests:%s:%s:%s", row.Player, row.Day, prescribe.LiftKey(exercise, side))
		count[group]++
		n := count[group]
		if e.Set != nil && e.Set.Ordinal == 0 {
			e.Set.Ordinal = n
		}
		if e.At, err = a.usualStart(p.ID, row.Day); err != nil {
			return err
		}
		e.At += prescribe.Instant(n) * 60_000 // one after another, as they stand in the file
		source := group + ":" + strconv.Itoa(n)
		before, err := a.tx.Recorded(p.ID, source)
		if err != nil {
			return err
		}
		changed, err := a.record(p.ID, source, firstWord(row.Unit, "kg"), before, e)
		if err != nil {
			return fmt.Errorf("%s line %d: %w", row.At.File, row.At.Line, err)
		}
		if !changed {
			continue
		}
		from := ""
		if len(before) > 0 && before[0].Set != nil {
			from = setText(*before[0].Set)
		} else if len(before) > 0 && before[0].Power != nil {
			from = wattsText(before[0].Power.Power)
		}
		if err := a.change(p.ID, "test", fmt.Sprintf("player %s · %s · %s", row.Player, row.Day, prescribe.LiftKey(exercise, side)), from, value); err != nil {
			return err
		}
		a.planPlayerAgain(p.ID)
	}
	return nil
}

// record is Record of one event, told what the source said before, so that a
// line that says the same costs no fold.
func (a *applier) record(person int64, source, unit string, before []prescribe.Event, e prescribe.Event) (changed bool, err error) {
	e.Key = eventKey(source, 0)
	if same, err := equalJSON(before, []prescribe.Event{e}); err != nil || same {
		return false, err
	}
	f, err := a.tx.record(person, source, a.now, unit, []prescribe.Event{e})
	return f.Changed, err
}

func (a *applier) planPlayerAgain(person int64) {
	for d := a.today; d <= a.today+1; d++ {
		a.replan[PersonDay{person, d}] = true
	}
}

func setText(s prescribe.Set) string {
	t := fmt.Sprintf("%d × %s", s.Reps, kgText(s.Load))
	if s.RIR != nil {
		t += fmt.Sprintf(", %d in reserve", *s.RIR)
	}
	if s.ToFail {
		t += ", to failure"
	}
	return t
}

func wattsText(w prescribe.Watts) string { return number(w) + " W" }

// usualStart is when the player's strength session usually begins that day.
func (a *applier) usualStart(person int64, day prescribe.Day) (prescribe.Instant, error) {
	pd := PersonDay{person, day}
	if at, ok := a.starts[pd]; ok {
		return at, nil
	}
	c, err := a.tx.Calendar(person, day, day)
	if err != nil {
		return 0, err
	}
	a.starts[pd] = c.Days[0].Start
	return c.Days[0].Start, nil
}

func (a *applier) knownPlayer(at At, key string, day prescribe.Day) (Person, bool, error) {
	p, err := a.tx.PersonByKey(key)
	player := false
	if err == nil {
		player, err = a.isPlayer(p.ID)
	}
	if isNotFound(err) || err == nil && !player {
		a.problem(at, fmt.Sprintf("there is no player %q", key), "write the key as it stands in players.csv, or add the player there")
		return p, false, nil
	}
	if err == nil && day > a.today {
		a.problem(at, fmt.Sprintf("%s lies ahead", day), "write the day on which it was done")
		return p, false, nil
	}
	return p, err == nil, err
}

func (a *applier) minutes() error {
	seen := map[string]At{}
	for _, row := range a.im.Minutes {
		p, ok, err := a.knownPlayer(row.At, row.Player, row.Day)
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		squad, ok, err := a.tx.SquadOf(p.ID, row.Day)
		if err != nil {
			return err
		}
		if !ok {
			// Matches before the player was entered here still count.
			if squad, ok, err = a.tx.SquadOf(p.ID, a.today); err != nil {
				return err
			}
		}
		var matches []Fixture
		if ok {
			if matches, err = a.tx.matchesOn(squad.ID, row.Day); err != nil {
				return err
			}
		}
		switch len(matches) {
		case 0:
			a.problem(row.At, fmt.Sprintf("player %q has no match on %s", row.Player, row.Day), "check the day, or import the fixture first or together with this")
			continue
		case 1:
		default:
			a.problem(row.At, fmt.Sprintf("player %q has %d matches on %s", row.Player, len(matches), row.Day), "record these minutes by chat, where the match can be chosen")
			continue
		}
		m := matches[0]
		if first, ok := seen[row.Player+"/"+MatchID(m.ID)]; ok {
			a.problem(row.At, fmt.Sprintf("player %q and this match stand here a second time", row.Player), fmt.Sprintf("keep this line or line %d", first.Line))
			continue
		}
		seen[row.Player+"/"+MatchID(m.ID)] = row.At
		before, err := a.tx.Recorded(p.ID, MinutesSource(m.ID))
		if err != nil {
			return err
		}
		changed, err := a.record(p.ID, MinutesSource(m.ID), "kg", before, MinutesEvent(m, row.Minutes))
		if err != nil {
			return fmt.Errorf("%s line %d: %w", row.At.File, row.At.Line, err)
		}
		if !changed {
			continue
		}
		from := ""
		if len(before) > 0 && before[0].Match != nil {
			from = strconv.Itoa(before[0].Match.Minutes) + " min"
		}
		if err := a.change(p.ID, "minutes", fmt.Sprintf("player %s · %s · %s", row.Player, row.Day, m.Summary), from, strconv.Itoa(row.Minutes)+" min"); err != nil {
			return err
		}
		a.planPlayerAgain(p.ID)
	}
	return nil
}

func (tx *Tx) matchesOn(squad int64, day prescribe.Day) ([]Fixture, error) {
	fs, err := tx.Fixtures(squad, day, day)
	return slices.DeleteFunc(fs, func(f Fixture) bool { return f.Travel || f.Day != day }), err
}

// MinutesEvent is the event that the player was on the pitch for so long in the
// match, to be recorded under MinutesSource.
func MinutesEvent(f Fixture, minutes int) prescribe.Event {
	return prescribe.Event{At: f.End, Day: f.Day, Match: &prescribe.MatchPlayed{MatchID: MatchID(f.ID), Minutes: minutes, End: f.End}}
}
