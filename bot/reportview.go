package bot

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/report"
)

// The week's and the month's reports, one for each role: a picture, the words
// beside it, and a file to print. What a role may not see is not in the values
// (report.Period), so it is in none of the three.

// outReport is a report. Ref: the squad; Args: what:role:from:to, where what is
// text, picture or file.
const outReport = "report"

// verbReport is a button that sends one: rp:squad:role:from:to.
const verbReport = "rp"

// reporters are the roles that get reports.
var reporters = []store.Role{store.RoleCoach, store.RoleMedical, store.RoleHeadCoach}

// reportParts are sent in this order.
var reportParts = []string{"picture", "text", "file"}

func init() {
	renderers[outReport] = (*rendering).reportPart
	pages["report"] = (*rendering).reportPage
	pages["dose"] = (*rendering).dosePage
}

func rounded(p prescribe.Percent) prescribe.Percent {
	return prescribe.Percent(math.Round(float64(p)))
}

// cmdReport offers the reports of each squad and role of the asker.
func (h *hand) cmdReport(string) error {
	for _, x := range h.roles {
		if slices.Contains(reporters, x.Role) {
			if err := h.view("report", x.Squad, x.Role); err != nil {
				return err
			}
		}
	}
	return nil
}

// reportPage: squad, role.
func (r *rendering) reportPage(t tap) (telegram.Outgoing, error) {
	squad, role := t.id(0), store.Role(t.str(1))
	if !slices.Contains(reporters, role) || !r.viewer.May(squad, role) {
		return telegram.Outgoing{}, store.ErrNotFound
	}
	sq, err := r.tx.Squad(squad)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	of := func(name string, from, to prescribe.Day) telegram.Button {
		return r.button(name, newTap(verbReport, squad, role, from, to))
	}
	monday := r.day.Monday()
	first := firstOfMonth(r.day)
	return telegram.Outgoing{
		Text: r.sp.T("report.which", "squad", sq.Name, "role", wording.HTML(r.sp.Role(string(role)))),
		Buttons: rows(2, of("this_week", monday, monday+6), of("last_week", monday-7, monday-1),
			of("this_month", first, lastOfMonth(first)), of("last_month", firstOfMonth(first-1), first-1)),
	}, nil
}

func firstOfMonth(d prescribe.Day) prescribe.Day { return d - prescribe.Day(d.Time().Day()) + 1 }

func lastOfMonth(d prescribe.Day) prescribe.Day {
	return prescribe.DayOf(firstOfMonth(d).Time().AddDate(0, 1, -1))
}

// longestReport bounds the days of a report.
const longestReport = 31

func (h *hand) tapReport(t tap) error {
	squad, role := t.id(0), store.Role(t.str(1))
	from, errFrom := prescribe.ParseDay(t.str(2))
	to, errTo := prescribe.ParseDay(t.str(3))
	if errFrom != nil || errTo != nil || to < from || to >= from+longestReport || !slices.Contains(reporters, role) || !h.viewer.May(squad, role) {
		return h.say("player.stale_button")
	}
	for _, part := range reportParts {
		if err := h.answer(store.Out{Kind: outReport, Ref: squad, Args: newTap(part, role, from, to)}); err != nil {
			return err
		}
	}
	return nil
}

// period reads role:from:to of the row.
func (r *rendering) period(t tap) (report.Period, error) {
	from, err := prescribe.ParseDay(t.str(1))
	if err != nil {
		return report.Period{}, err
	}
	to, err := prescribe.ParseDay(t.str(2))
	if err != nil {
		return report.Period{}, err
	}
	return report.PeriodOf(r.tx, r.viewer, r.out.Ref, from, to, r.day, store.AudienceOf(store.Role(t.str(0))))
}

func (r *rendering) reportPart() (telegram.Outgoing, error) {
	t := readTap(r.out.Args)
	p, err := r.period(t)
	if errors.Is(err, store.ErrNotFound) {
		return telegram.Outgoing{}, errNothing // the role has gone since
	}
	if err != nil {
		return telegram.Outgoing{}, err
	}
	medical := p.For == prescribe.ForMedical
	if medical && t.verb == "text" {
		for _, x := range p.Players {
			if x.Restricted {
				if err := r.tx.Audit(r.person.ID, x.Person, "report.shown", p.From.String()+".."+p.To.String(), r.now); err != nil {
					return telegram.Outgoing{}, err
				}
			}
		}
	}
	if empty(p) && t.verb != "text" {
		return telegram.Outgoing{}, errNothing
	}
	switch t.verb {
	case "picture":
		b := r.periodBoard(p)
		if len(b.Rows) == 0 {
			return telegram.Outgoing{}, errNothing
		}
		return r.drawn("report", report.Frame{Title: b.Title, Lines: b.Lines, Keys: b.Keys}, medical, func() ([]byte, error) { return report.DrawBoard(b) }), nil
	case "file":
		return r.reportFile(p, medical), nil
	}
	text := "<b>" + r.reportTitle(p) + "</b>"
	for _, l := range r.reportLines(p) {
		text += "\n" + l
	}
	return telegram.Outgoing{Text: text, Protect: medical}, nil
}

func (r *rendering) reportTitle(p report.Period) string {
	return r.sp.T("report.title", "squad", p.Squad.Name, "from", p.From, "to", p.To)
}

// empty reports whether nobody had a session in the period: before the club
// began, and in holidays, there is nothing to report.
func empty(p report.Period) bool {
	return !slices.ContainsFunc(p.Players, func(x report.PlayerPeriod) bool {
		return slices.ContainsFunc(x.Days, func(d report.DayMark) bool { return d.State != "" })
	})
}

// share writes k of n with its interval by the message id.
func (r *rendering) share(id string, s report.Share) string {
	percent, _ := s.Percent()
	low, high := s.Wilson()
	return r.sp.T(id, "done", s.K, "planned", s.N, "percent", rounded(percent), "low", rounded(low), "high", rounded(high))
}

// reportLines are the words of a report, for its reader.
func (r *rendering) reportLines(p report.Period) []string {
	var lines []string
	add := func(id string, args ...any) { lines = append(lines, r.sp.T(id, args...)) }
	if empty(p) {
		add("report.none")
		return lines
	}
	if p.Sessions.N > 0 {
		lines = append(lines, r.share("report.done", p.Sessions))
	}
	if p.HasDose && p.For != prescribe.ForHeadCoach {
		if p.Dose.N > 1 {
			add("report.dose", "sums", rounded(p.Dose.OfSums), "sumsLow", rounded(p.Dose.SumsLow), "sumsHigh", rounded(p.Dose.SumsHigh),
				"mean", rounded(p.Dose.Mean), "meanLow", rounded(p.Dose.MeanLow), "meanHigh", rounded(p.Dose.MeanHigh))
		} else {
			add("digest.relative_dose", "percent", rounded(p.Dose.OfSums))
		}
	}
	if p.Weeks.N > 0 {
		lines = append(lines, r.share("report.weeks", p.Weeks))
	}
	if x, ok := p.Available.Percent(); ok {
		add("report.available", "percent", rounded(x), "days", p.Available.N)
	}
	if p.For == prescribe.ForHeadCoach {
		return lines
	}
	lines = append(lines, r.shortLines(p)...)
	lines = append(lines, r.gapLines(p)...)
	return append(lines, r.medicalLines(p)...)
}

// shortLines say who was under the minimum, in which week and why.
func (r *rendering) shortLines(p report.Period) []string {
	var lines []string
	for _, x := range p.Players {
		for _, w := range x.Weeks {
			if what := r.shortOf(w); what != "" && w.Over {
				lines = append(lines, r.sp.T("report.short_line", "name", x.Name, "day", w.Monday, "what", wording.HTML(what)))
			}
		}
	}
	if len(lines) == 0 {
		return nil
	}
	return append([]string{"", "<b>" + r.sp.T("report.short") + "</b>"}, lines...)
}

// shortOf is what a week lacks, with the reasons, plain; "" for nothing.
func (r *rendering) shortOf(w report.WeekDose) string {
	var parts []string
	var why []report.Cause
	for _, m := range w.Methods {
		if m.Done < m.Due {
			parts = append(parts, r.sp.Method(m.Method)+" "+fraction(m.Done, m.Due))
			why = m.Short
		}
	}
	what := strings.Join(parts, ", ")
	if len(why) > 0 {
		what += " (" + r.causes(why) + ")"
	}
	return what
}

func fraction(done, of int) string { return strconv.Itoa(done) + "/" + strconv.Itoa(of) }

func (r *rendering) causes(list []report.Cause) string {
	words := make([]string, len(list))
	for i, c := range list {
		words[i] = r.sp.T("report.cause_" + string(c))
	}
	return strings.Join(words, ", ")
}

// gapLines name who has gone without Nordics or heavy work for too long: more
// than nordic.recent and dose.heavy_gap days, as the engine warns.
func (r *rendering) gapLines(p report.Period) []string {
	rules, _, err := r.tx.Rules()
	if err != nil {
		return nil
	}
	longest := func(id, rule string, since func(report.PlayerPeriod) int) (lines []string) {
		xs := slices.Clone(p.Players)
		slices.SortStableFunc(xs, func(a, b report.PlayerPeriod) int { return cmp.Compare(since(b), since(a)) })
		var names []string
		for _, x := range xs {
			if since(x) > rules.Int(rule) {
				names = append(names, r.sp.Format(x.Name)+" ("+r.sp.Days(since(x))+")")
			}
		}
		if len(names) > 0 {
			lines = append(lines, r.sp.T(id, "limit", wording.HTML(r.sp.Days(rules.Int(rule))), "names", wording.HTML(strings.Join(names, ", "))))
		}
		return lines
	}
	lines := longest("report.gap_nordic", "nordic.recent", func(x report.PlayerPeriod) int { return x.SinceNordic })
	lines = append(lines, longest("report.gap_heavy", "dose.heavy_gap", func(x report.PlayerPeriod) int { return x.SinceHeavy })...)
	if len(lines) > 0 {
		lines = append([]string{""}, lines...)
	}
	return lines
}

// medicalLines are the counts and rates of restrictions; nil to others than
// medical staff.
func (r *rendering) medicalLines(p report.Period) []string {
	if p.Medical == nil {
		return nil
	}
	e := *p.Medical
	lines := []string{"", r.sp.T("report.restrictions", "count", e.Episodes, "loss", e.TimeLoss, "days", e.DaysLost)}
	lines = append(lines, r.sp.T("report.bins", "a", e.Bins[0], "b", e.Bins[1], "c", e.Bins[2], "d", e.Bins[3]))
	if all, loss, ok := e.Incidence(); ok {
		burden, _ := e.Burden()
		lines = append(lines, r.sp.T("report.rates", "all", tenth(all), "loss", tenth(loss), "burden", tenth(burden), "hours", int(math.Round(e.Hours))))
	}
	if days, ok := e.Severity(); ok {
		lines = append(lines, r.sp.T("report.severity", "days", tenth(days)))
	}
	return append(lines, r.sp.T("report.scale", "player", report.ExpectedPerPlayerSeason, "squad", report.ExpectedPerSquadSeason, "rate", report.ExpectedPerThousand))
}

func tenth(v float64) float64 { return math.Round(10*v) / 10 }

// periodBoard is a period as a picture: up to a week a mark for each day, above
// that sessions done of prescribed for each week.
func (r *rendering) periodBoard(p report.Period) report.Board {
	b := report.Board{Title: plainly(r.reportTitle(p))}
	if p.Sessions.N > 0 {
		b.Lines = []string{plainly(r.share("report.done", p.Sessions))}
	}
	var marks []report.Mark
	weekly := p.To-p.From > 7
	for d := p.From; !weekly && d <= p.To; d++ {
		b.Heads = append(b.Heads, plainly(r.sp.Weekday(d)))
	}
	if weekly {
		for d := p.From.Monday(); d <= p.To; d += 7 {
			b.Heads = append(b.Heads, plainly(r.sp.Short(max(d, p.From))))
		}
	}
	for _, x := range p.Players {
		row := report.Row{Name: x.Name, Short: x.Key}
		if x.Sessions.N > 0 {
			row.Value = fraction(x.Sessions.K, x.Sessions.N)
		}
		if weekly {
			row.Cells = weekCells(x, p)
		} else {
			for _, d := range x.Days {
				m := dayMark(d.State)
				if d.Match && d.State == "" {
					m = report.MarkMatch
				}
				if d.Day > p.Today && d.State == "" && !d.Match {
					m = report.MarkNone
				}
				row.Cells = append(row.Cells, report.Cell{Mark: m})
			}
		}
		for _, c := range row.Cells {
			marks = append(marks, c.Mark)
		}
		b.Rows = append(b.Rows, row)
	}
	if weekly {
		for _, k := range []struct {
			mark report.Mark
			id   string
		}{{report.MarkDone, "pic.all"}, {report.MarkChanged, "pic.some"}, {report.MarkMissed, "pic.nothing"}, {report.MarkHeld, "pic.held"}} {
			if slices.Contains(marks, k.mark) {
				b.Keys = append(b.Keys, report.Key{Mark: k.mark, Words: plainly(r.sp.T(k.id))})
			}
		}
		return b
	}
	b.Keys = r.markWords(marks)
	return b
}

// weekCells are the sessions done of prescribed, week by week.
func weekCells(x report.PlayerPeriod, p report.Period) []report.Cell {
	var cells []report.Cell
	for monday := p.From.Monday(); monday <= p.To; monday += 7 {
		var s report.Share
		held := false
		for _, d := range x.Days {
			if d.Day < monday || d.Day >= monday+7 {
				continue
			}
			switch d.State {
			case store.CardDone, store.CardChanged:
				s.K++
				s.N++
			case store.CardMissed, store.CardUnanswered:
				s.N++
			case store.CardWithheld:
				held = true
			}
		}
		c := report.Cell{Mark: report.MarkRest}
		switch {
		case s.N == 0 && held:
			c.Mark = report.MarkHeld
		case s.N > 0:
			c.Mark, c.Text = report.MarkChanged, fraction(s.K, s.N)
			if s.K == s.N {
				c.Mark = report.MarkDone
			} else if s.K == 0 {
				c.Mark = report.MarkMissed
			}
		}
		cells = append(cells, c)
	}
	return cells
}

// reportFile is a report to print.
func (r *rendering) reportFile(p report.Period, medical bool) telegram.Outgoing {
	out := report.Print{Lang: r.sp.Lang(), RightToLeft: r.sp.RightToLeft(), Title: plainly(r.reportTitle(p))}
	out.Alt = out.Title
	for _, l := range r.reportLines(p) {
		if l = plainly(l); l != "" {
			out.Lines = append(out.Lines, l)
		}
	}
	if p.For != prescribe.ForHeadCoach {
		// The tables say it player by player; the lines need not.
		head := []string{plainly(r.sp.T("report.col_player")), plainly(r.sp.T("report.col_week")), plainly(r.sp.Method(prescribe.Traditional)),
			plainly(r.sp.Method(prescribe.Eccentric)), plainly(r.sp.Method(prescribe.Flywheel)), plainly(r.sp.T("report.col_why")),
			plainly(r.sp.T("report.col_load")), plainly(r.sp.T("report.col_monotony")), plainly(r.sp.T("report.col_strain"))}
		table := report.PrintTable{Title: plainly(r.sp.T("report.dose_table")), Head: head}
		gaps := report.PrintTable{Title: plainly(r.sp.T("report.gap_table")), Head: []string{head[0], plainly(r.sp.T("report.col_nordic")), plainly(r.sp.T("report.col_heavy"))}}
		for _, x := range p.Players {
			for i, w := range x.Weeks {
				row := []string{x.Name, plainly(r.sp.Short(w.Monday))}
				var why []report.Cause
				for _, m := range w.Methods {
					row = append(row, fraction(m.Done, m.Due))
					if len(m.Short) > 0 {
						why = m.Short
					}
				}
				l := x.Loads[i]
				row = append(row, plainly(r.causes(why)), r.sp.Number(math.Round(l.Sum)), "–", "–")
				if l.OK {
					row[len(row)-2], row[len(row)-1] = fmt.Sprintf("%.2f", l.Monotony), fmt.Sprintf("%.0f", l.Strain)
				}
				table.Rows = append(table.Rows, row)
			}
			gaps.Rows = append(gaps.Rows, []string{x.Name, r.gapCell(x.SinceNordic, x.LongestNordic), r.gapCell(x.SinceHeavy, x.LongestHeavy)})
		}
		out.Tables = []report.PrintTable{table, gaps}
		out.Foot = []string{plainly(r.sp.T("report.load_note")), plainly(r.sp.T("report.ratio_note"))}
	}
	b := r.periodBoard(p)
	for _, k := range b.Keys {
		out.Foot = append(out.Foot, k.Mark.String()+" "+k.Words)
	}
	draw := func() ([]byte, error) {
		var err error
		if len(b.Rows) > 0 {
			if out.Picture, err = report.DrawBoard(b); err != nil {
				return nil, err
			}
		}
		return out.HTML()
	}
	return telegram.Outgoing{Text: r.sp.T("report.print"), Protect: medical,
		File: &telegram.Attachment{Name: "report-" + p.From.String() + ".html", Draw: draw}}
}

func (r *rendering) gapCell(since, longest int) string {
	if since < 0 {
		return "–"
	}
	return strconv.Itoa(since) + " (" + strconv.Itoa(longest) + ")"
}

// cmdDose shows the week so far, player by player, in each squad of the asker's.
func (h *hand) cmdDose(string) error {
	for _, x := range h.roles {
		if x.Role == store.RoleCoach || x.Role == store.RoleMedical {
			if err := h.view("dose", x.Squad, x.Role); err != nil {
				return err
			}
		}
	}
	return nil
}

// dosePage: squad, role. This week so far, and last week's shortfalls.
func (r *rendering) dosePage(t tap) (telegram.Outgoing, error) {
	role := store.Role(t.str(1))
	if role != store.RoleCoach && role != store.RoleMedical {
		return telegram.Outgoing{}, store.ErrNotFound
	}
	monday := r.day.Monday()
	p, err := report.PeriodOf(r.tx, r.viewer, t.id(0), monday-7, monday+6, r.day, store.AudienceOf(role))
	if err != nil {
		return telegram.Outgoing{}, err
	}
	var met, open, none []string
	for _, x := range p.Players {
		for _, w := range x.Weeks {
			if w.Monday != monday {
				continue
			}
			switch what := r.shortOf(w); {
			case w.Methods[0].Due == 0:
				none = append(none, r.sp.Format(x.Name))
			case what == "":
				met = append(met, r.sp.Format(x.Name))
			default:
				open = append(open, r.sp.T("report.to_come", "name", x.Name, "what", wording.HTML(what)))
			}
		}
	}
	lines := []string{"<b>" + r.sp.T("report.title", "squad", p.Squad.Name, "from", monday, "to", monday+6) + "</b>"}
	if len(met) > 0 {
		lines = append(lines, r.sp.T("report.met", "names", wording.HTML(strings.Join(met, ", "))))
	}
	if len(none) > 0 {
		lines = append(lines, r.sp.T("report.no_minimum", "names", wording.HTML(strings.Join(none, ", "))))
	}
	lines = append(lines, open...)
	p.From = monday - 7
	lines = append(lines, r.shortLines(p)...)
	lines = append(lines, r.gapLines(p)...)
	return telegram.Outgoing{Text: joinLines(lines), Protect: role == store.RoleMedical}, nil
}

// sendReport puts the three parts of a report into the outbox.
func (b *Bot) sendReport(tx *store.Tx, person, squad int64, role store.Role, from, to prescribe.Day, key string, now prescribe.Instant) error {
	for _, part := range reportParts {
		if _, _, err := tx.Enqueue(store.Out{
			Kind: outReport, Recipient: person, Ref: squad, Args: newTap(part, role, from, to),
			Priority: prioDigest, Expires: now + hours(20), Dedup: key + "/" + part,
		}); err != nil {
			return err
		}
	}
	return nil
}
