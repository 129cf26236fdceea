package report

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"pegcard/prescribe"
	"pegcard/store"
)

// Book is a block of cards as a workbook shows it.
type Book struct {
	Title string
	Cards []BookCard // in the order they are shown
	// Words puts a card's reasons into words, one line each; nil: none are shown.
	Words func([]prescribe.Reason) []string
}

// BookCard is one player's card of one day.
type BookCard struct {
	Key, Name string
	store.Worked
}

// Workbook gathers the cards of the days from..to, of the players the viewer
// may see as a coach or as medical staff, by (day, player). Whose cards were
// read is written to the audit, so it wants a write transaction.
func Workbook(tx *store.Tx, v store.Viewer, players []store.Person, from, to prescribe.Day, now prescribe.Instant) (Book, error) {
	var b Book
	for day := from; day <= to; day++ {
		for _, p := range players {
			w, err := tx.ViewWorking(v, p.ID, day)
			if err != nil {
				return b, fmt.Errorf("player %s on %s: %w", p.Key, day, err)
			}
			if len(w.Card.Items) > 0 {
				b.Cards = append(b.Cards, BookCard{p.Key, p.Name, w})
			}
		}
	}
	for _, p := range players {
		if err := tx.Audit(v.Person, p.ID, "workbook", from.String()+".."+to.String(), now); err != nil {
			return b, err
		}
	}
	return b, nil
}

// The sheets, in the order a coach turns them.
const (
	sheetRead    = "Read me"
	sheetCards   = "Cards"
	sheetWork    = "Working"
	sheetRecords = "Records"
	sheetSets    = "Sets"
	sheetPlates  = "Plates"
	sheetTable   = "Table"
	sheetRules   = "Rules"
)

// bookWriter fills the sheets. A row of the working refers to the cells of the
// other sheets, which are written as they are first needed.
type bookWriter struct {
	f       *excelize.File
	book    Book
	err     error
	style   styles
	records map[string]int    // row of sheetRecords by player, day and lift
	lists   map[string]string // range of sheetPlates by its contents
	rules   map[string]string // column of sheetRules by hash of the rules
	ruleRow map[string]int
	next    map[string]int // next free row, or column of sheetPlates
	work    []workColumn
	col     map[string]string // letter of a working column by its key
}

type styles struct{ title, head, input, plain, one, two, check, note int }

// Write writes the workbook. Every load in it is a formula over the records,
// the table, the rules and the plates on the other sheets; the loads that were
// issued stand beside them as numbers.
func (b Book) Write(w io.Writer) error {
	x := &bookWriter{f: excelize.NewFile(), book: b, records: map[string]int{}, lists: map[string]string{},
		rules: map[string]string{}, ruleRow: map[string]int{}, next: map[string]int{}, col: map[string]string{}}
	defer x.f.Close()
	x.work = workColumns()
	for i, c := range x.work {
		x.col[c.key] = columnName(i + 1)
	}
	x.makeStyles()
	for i, name := range []string{sheetRead, sheetCards, sheetWork, sheetRecords, sheetSets, sheetPlates, sheetTable, sheetRules} {
		if i == 0 {
			x.do(x.f.SetSheetName("Sheet1", name))
			continue
		}
		_, err := x.f.NewSheet(name)
		x.do(err)
	}
	x.readMe()
	x.table()
	x.heads()
	for _, c := range b.Cards {
		x.card(c)
	}
	x.finish()
	if x.err != nil {
		return fmt.Errorf("workbook: %w", x.err)
	}
	return x.f.Write(w)
}

func (x *bookWriter) do(err error) {
	if x.err == nil {
		x.err = err
	}
}

func columnName(n int) string {
	s, err := excelize.ColumnNumberToName(n)
	if err != nil {
		panic(err) // n is a small positive number
	}
	return s
}

func at(col string, row int) string { return col + strconv.Itoa(row) }

// set writes a value, or a formula when it begins with "=".
func (x *bookWriter) set(sheet, cell string, v any, style int) {
	if s, ok := v.(string); ok && strings.HasPrefix(s, "=") {
		x.do(x.f.SetCellFormula(sheet, cell, s[1:]))
	} else {
		x.do(x.f.SetCellValue(sheet, cell, v))
	}
	x.do(x.f.SetCellStyle(sheet, cell, cell, style))
}

// row writes values from column A on.
func (x *bookWriter) row(sheet string, row, style int, values ...any) {
	for i, v := range values {
		x.set(sheet, at(columnName(i+1), row), v, style)
	}
}

func (x *bookWriter) take(sheet string) int {
	x.next[sheet]++
	return x.next[sheet]
}

func (x *bookWriter) makeStyles() {
	border := []excelize.Border{{Type: "bottom", Color: "BFBFBF", Style: 1}, {Type: "right", Color: "BFBFBF", Style: 1}}
	mk := func(s excelize.Style) int {
		id, err := x.f.NewStyle(&s)
		x.do(err)
		return id
	}
	one, two := "0.0", "0.00"
	fill := func(c string) excelize.Fill { return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{c}} }
	x.style = styles{
		title: mk(excelize.Style{Font: &excelize.Font{Bold: true, Size: 14}}),
		head: mk(excelize.Style{Font: &excelize.Font{Bold: true}, Fill: fill("D9D9D9"), Border: border,
			Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}),
		input: mk(excelize.Style{Fill: fill("FFF2CC"), Border: border, Font: &excelize.Font{Italic: true}}),
		plain: mk(excelize.Style{Border: border}),
		one:   mk(excelize.Style{Border: border, CustomNumFmt: &one}),
		two:   mk(excelize.Style{Border: border, CustomNumFmt: &two}),
		check: mk(excelize.Style{Border: border, Font: &excelize.Font{Bold: true}, CustomNumFmt: &two}),
		note:  mk(excelize.Style{Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}),
	}
}

// readMe says how the workbook hangs together, for whom, and with what care.
func (x *bookWriter) readMe() {
	lines := []string{
		"Each load on the sheet Cards is a formula. It follows the chain on the sheet Working, one line an exercise, from left to right: record, percentage, step limit, other limits, plates.",
		"Cells in yellow and italics are inputs. Change one, such as a record's median on the sheet Records, a rule on the sheet Rules or the coach's load on the sheet Working, and the loads that rest on it change. Nothing goes back to the program: what you try here stays here.",
		"Records: what is believed of a lift on the card's day, one repetition, in kg. The load rests on the cautious value, the percentile that the rule record.quantile names, so a thin or old record gives a lighter card.",
		"Sets: the last sets behind each record, and how each was read.",
		"Plates: every load that can be built where the session takes place, lightest first. A load is rounded down to one of them, never up.",
		"Table: per cent of one repetition by repetitions to failure. Rules: every threshold with its unit and source; \"ours\" and \"prac\" have no publication behind them.",
		"Exercise, sets, repetitions and the day itself are taken as they are on the card: changing a number here does not choose another exercise. Flywheel inertias and loads that the player finds are not worked out here.",
		"\"Ask medical staff\" marks a limit whose reason is medical. The load is on the card; the reason is theirs to tell.",
		"Loads are worked out from what was reported. They are a tool for qualified strength staff and no substitute for looking at the player, for medical staff or for local rules. A player may always stop.",
	}
	x.set(sheetRead, "A1", x.book.Title, x.style.title)
	for i, s := range lines {
		x.set(sheetRead, at("A", i+3), s, x.style.note)
	}
	row := len(lines) + 4
	x.set(sheetRead, at("A", row), "Sources", x.style.head)
	books := prescribe.Bibliography()
	keys := make([]string, 0, len(books))
	for k := range books {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for _, k := range keys {
		row++
		x.set(sheetRead, at("A", row), k+": "+books[k], x.style.note)
	}
	x.do(x.f.SetColWidth(sheetRead, "A", "A", 110))
}

// tableFirst is the row of one repetition on sheetTable.
const tableFirst = 3

func (x *bookWriter) table() {
	x.set(sheetTable, "A1", "% of one repetition maximum by repetitions to failure ("+prescribe.Bibliography()[prescribe.TableSource]+")", x.style.title)
	x.row(sheetTable, 2, x.style.head, "Repetitions", "%")
	for n := 1; n <= prescribe.TableReps; n++ {
		p, _ := prescribe.Fraction(n)
		x.set(sheetTable, at("A", tableFirst+n-1), n, x.style.plain)
		x.set(sheetTable, at("B", tableFirst+n-1), float64(p), x.style.input)
	}
	x.set(sheetTable, at("A", tableFirst+prescribe.TableReps+1),
		"A player's own curve bends it: % = 100 × (table ÷ 100) ^ curve. Beyond the last row it falls by the rule load.beyond_table a repetition, to 20 at least.", x.style.note)
	x.do(x.f.SetColWidth(sheetTable, "A", "A", 14))
}

// fractionOf is a formula for the table at n repetitions, bent by a curve; both
// are cells or expressions.
func fractionOf(n, curve, beyond string) string {
	last := tableFirst + prescribe.TableReps - 1
	bent := func(n string) string {
		return fmt.Sprintf("100*(INDEX(%s!$B$%d:$B$%d,%s)/100)^%s", sheetTable, tableFirst, last, n, curve)
	}
	return fmt.Sprintf("IF(%s<=%d,%s,MAX(%s-%s*(%s-%d),20))", n, prescribe.TableReps, bent(fmt.Sprintf("MIN(%s,%d)", n, prescribe.TableReps)),
		bent(strconv.Itoa(prescribe.TableReps)), beyond, n, prescribe.TableReps)
}

func (x *bookWriter) heads() {
	x.row(sheetRecords, 1, x.style.head, "Player", "Day", "Lift", "Median, kg", "Spread (of the logarithm)", "Player's own curve (1 = the table)",
		"Cautious value, kg", "Low end, kg", "High end, kg", "Sets behind it", "Days since an exact set", "Percentile", "Range, %",
		"Spread of the curve", "Cautious curve")
	x.row(sheetSets, 1, x.style.head, "Player", "Day of the card", "Lift", "Day of the set", "Total, kg", "Repetitions", "In reserve", "Read as",
		"One repetition as read, kg", "One repetition by the table, kg")
	x.row(sheetCards, 1, x.style.head, "Player", "Day", "Match day", "Exercise", "Sets", "Repetitions", "Load", "", "Plates a side, or what it is",
		"% of the record", "In reserve", "Rest, s", "Warm-up sets", "Why")
	x.set(sheetRules, "A1", "Rule", x.style.head)
	for i, h := range []string{"Unit", "Source", "What it is"} {
		x.set(sheetRules, at(columnName(i+2), 1), h, x.style.head)
	}
	for i, r := range prescribe.RuleTable() {
		row := i + 2
		x.ruleRow[r.ID] = row
		source := map[string]string{prescribe.MarkPractice: "prac", prescribe.MarkOurs: "ours"}[r.Mark]
		switch r.Mark {
		case prescribe.MarkPublished:
			source = r.Source
		case prescribe.MarkMemory:
			source = r.Source + " (from memory)"
		}
		x.row(sheetRules, row, x.style.plain, r.ID, r.Unit, source, r.Note)
	}
	for i, c := range x.work {
		x.set(sheetWork, at(columnName(i+1), 1), c.group, x.style.head)
		x.set(sheetWork, at(columnName(i+1), 2), c.head, x.style.head)
	}
	x.next[sheetRecords], x.next[sheetSets], x.next[sheetCards], x.next[sheetWork] = 1, 1, 1, 2
}

// rule is the cell of a rule in force for a card.
func (x *bookWriter) rule(r prescribe.Rules, id string) string {
	hash := r.Hash()
	col, ok := x.rules[hash]
	if !ok {
		col = columnName(5 + len(x.rules))
		x.rules[hash] = col
		x.set(sheetRules, at(col, 1), "Value (rules "+hash[:8]+")", x.style.head)
		for _, rule := range prescribe.RuleTable() {
			x.set(sheetRules, at(col, x.ruleRow[rule.ID]), r.Num(rule.ID), x.style.input)
		}
	}
	return fmt.Sprintf("%s!$%s$%d", sheetRules, col, x.ruleRow[id])
}

// record is the row of a record on sheetRecords, with its sets on sheetSets.
func (x *bookWriter) record(c BookCard, r prescribe.WorkingRecord) int {
	key := fmt.Sprintf("%s %d %s", c.Key, c.Card.Day, r.Lift)
	if row, ok := x.records[key]; ok {
		return row
	}
	row := x.take(sheetRecords)
	x.records[key] = row
	shape := r.Shape
	if shape == 0 {
		shape = 1
	}
	s := sheetRecords
	x.row(s, row, x.style.plain, c.Name, c.Card.Day.String(), r.Lift)
	x.set(s, at("D", row), float64(r.Median), x.style.input)
	x.set(s, at("E", row), r.SD, x.style.input)
	x.set(s, at("F", row), shape, x.style.input)
	quantile := func(p string) string { return fmt.Sprintf("=D%d*EXP(NORMSINV(%s)*E%d)", row, p, row) }
	x.set(s, at("G", row), quantile(at("L", row)+"/100"), x.style.one)
	x.set(s, at("H", row), quantile(fmt.Sprintf("(1-M%d/100)/2", row)), x.style.one)
	x.set(s, at("I", row), quantile(fmt.Sprintf("1-(1-M%d/100)/2", row)), x.style.one)
	x.set(s, at("J", row), r.Sets, x.style.plain)
	x.set(s, at("K", row), r.Days, x.style.plain)
	x.set(s, at("L", row), "="+x.rule(c.Rules, "record.quantile"), x.style.plain)
	x.set(s, at("M", row), "="+x.rule(c.Rules, "record.interval"), x.style.plain)
	x.set(s, at("N", row), r.CurveSpread, x.style.input)
	x.set(s, at("O", row), fmt.Sprintf("=F%d-NORMSINV(L%d/100)*N%d", row, row, row), x.style.plain)
	for _, k := range r.Recent {
		n := x.take(sheetSets)
		x.row(sheetSets, n, x.style.plain, c.Name, c.Card.Day.String(), r.Lift, k.Day.String(), float64(k.Total), k.Reps)
		if k.RIR != nil {
			x.set(sheetSets, at("G", n), int(*k.RIR), x.style.plain)
		}
		x.set(sheetSets, at("H", n), readAs[k.As], x.style.plain)
		if k.OneRM > 0 {
			x.set(sheetSets, at("I", n), float64(k.OneRM), x.style.one)
		}
		if k.Reps > 0 {
			x.set(sheetSets, at("J", n), fmt.Sprintf("=IF(F%d+G%d>%d,\"\",E%d*100/(%s))", n, n, prescribe.TableReps, n,
				fractionOf(fmt.Sprintf("(F%d+G%d)", n, n), at("Records!F", row), "0")), x.style.one)
		}
	}
	return row
}

var readAs = map[prescribe.ReadAs]string{
	prescribe.ReadExact:   "so much",
	prescribe.ReadAtLeast: "at least",
	prescribe.ReadBelow:   "less than",
	prescribe.ReadNothing: "says nothing",
	prescribe.ReadWaiting: "waits for an answer",
	prescribe.ReadWrong:   "was not so",
}

// plates is the range of all loads of an exercise that can be built.
func (x *bookWriter) plates(c BookCard, ex prescribe.Exercise) (loads, texts string) {
	var built []prescribe.Built
	if b, ok := prescribe.Build(0, ex, c.Equipment); ok {
		built = append(built, b)
	}
	last := prescribe.Kg(0)
	for {
		b, ok := prescribe.NextUp(last, ex, c.Equipment)
		if !ok {
			break
		}
		last = b.Load
		built = append(built, b)
	}
	id := fmt.Sprint(ex.LoadKind, ex.BarKind, built)
	if r, ok := x.lists[id]; ok {
		loads, texts, _ = strings.Cut(r, " ")
		return loads, texts
	}
	n := 2*len(x.lists) + 1
	a, b := columnName(n), columnName(n+1)
	what := string(ex.LoadKind)
	if ex.BarKind != "" {
		what += ", " + ex.BarKind
	}
	x.set(sheetPlates, at(a, 1), fmt.Sprintf("%s (%s)", c.Card.Setting, what), x.style.head)
	x.row(sheetPlates, 2, x.style.head)
	x.set(sheetPlates, at(a, 2), "Load, kg", x.style.head)
	x.set(sheetPlates, at(b, 2), "Plates a side", x.style.head)
	for i, l := range built {
		x.set(sheetPlates, at(a, i+3), float64(l.Load), x.style.plain)
		x.set(sheetPlates, at(b, i+3), platesText(l, ex), x.style.plain)
	}
	x.do(x.f.SetColWidth(sheetPlates, b, b, 22))
	span := func(col string) string {
		return fmt.Sprintf("%s!$%s$3:$%s$%d", sheetPlates, col, col, max(len(built), 1)+2)
	}
	loads, texts = span(a), span(b)
	x.lists[id] = loads + " " + texts
	return loads, texts
}

func platesText(b prescribe.Built, ex prescribe.Exercise) string {
	if ex.LoadKind == prescribe.LoadDumbbells {
		return "each hand"
	}
	if ex.LoadKind == prescribe.LoadBodyweight {
		return "added"
	}
	parts := make([]string, len(b.Plates))
	for i, p := range b.Plates {
		parts[i] = kg(p)
	}
	s := "bar " + kg(b.Bar)
	if len(parts) > 0 {
		s += " + " + strings.Join(parts, " · ")
	}
	return s
}

func kg(k prescribe.Kg) string { return strconv.FormatFloat(float64(k), 'f', -1, 64) }

func (x *bookWriter) card(c BookCard) {
	for i, it := range c.Card.Items {
		ex, ok := prescribe.Lookup(it.Exercise)
		if !ok {
			x.do(fmt.Errorf("card of %s on %s: there is no exercise %q", c.Key, c.Card.Day, it.Exercise))
			return
		}
		row := x.take(sheetCards)
		x.row(sheetCards, row, x.style.plain, c.Name, c.Card.Day.String(), c.Card.MatchDay, ex.Name, it.Sets, repsText(it))
		set := func(col string, v any, style int) { x.set(sheetCards, at(col, row), v, style) }
		if it.RIR != nil {
			set("K", int(*it.RIR), x.style.plain)
		}
		set("L", int(it.Rest), x.style.plain)
		if x.book.Words != nil {
			set("N", strings.Join(x.book.Words(it.Reasons), "\n"), x.style.note)
		}
		w := prescribe.Working{}
		if i < len(c.Items) {
			w = c.Items[i]
		}
		if !w.Loaded {
			set("G", loadValue(it), x.style.check)
			set("H", unitOf(it), x.style.plain)
			set("I", unworked(c, it), x.style.plain)
			set("M", warmupText(it), x.style.plain)
			continue
		}
		n := x.working(c, it, ex, w)
		_, texts := x.plates(c, ex)
		loads, _ := x.plates(c, ex)
		cell := func(key string) string { return fmt.Sprintf("%s!%s", sheetWork, at(x.col[key], n)) }
		set("G", "="+cell("load"), x.style.check)
		set("H", unitOf(it), x.style.plain)
		set("I", fmt.Sprintf("=IFERROR(INDEX(%s,MATCH(%s+0.0005,%s,1)),\"\")", texts, cell("load"), loads), x.style.plain)
		set("J", "="+cell("pct"), x.style.one)
		set("M", fmt.Sprintf(`=IF(%[1]s="","",%[2]d&" x "&%[1]s)&IF(%[3]s="","",", %[4]d x "&%[3]s)&IF(%[5]s="","",", %[6]d x "&%[5]s)`,
			cell("w1"), c.Rules.Int("warmup.first_reps"), cell("w2"), c.Rules.Int("warmup.second_reps"), cell("w3"), c.Rules.Int("warmup.third_reps")), x.style.plain)
	}
}

func repsText(it prescribe.Item) string {
	s := strconv.Itoa(it.Reps)
	switch {
	case it.Seconds > 0:
		s = fmt.Sprintf("%d s", it.Seconds)
	case len(it.Cluster) > 0:
		parts := make([]string, len(it.Cluster))
		for i, n := range it.Cluster {
			parts[i] = strconv.Itoa(n)
		}
		s = strings.Join(parts, " + ")
	}
	if it.PerSide {
		s += " a side"
	}
	return s
}

func loadValue(it prescribe.Item) any {
	switch {
	case it.Inertia > 0:
		return float64(it.Inertia)
	case it.Load > 0:
		return float64(it.Load)
	}
	return ""
}

func unitOf(it prescribe.Item) string {
	switch it.LoadKind {
	case prescribe.LoadBar:
		return "kg"
	case prescribe.LoadDumbbells:
		return "kg each hand"
	case prescribe.LoadBodyweight:
		return "kg added"
	case prescribe.LoadFlywheel:
		return "kg·m²"
	}
	return ""
}

// unworked says why a line has no working.
func unworked(c BookCard, it prescribe.Item) string {
	switch {
	case c.Items == nil:
		return "as issued, by engine version " + c.Card.Engine
	case it.Finding:
		return "found by the player"
	case it.LoadKind == prescribe.LoadFlywheel:
		return it.Device
	case it.LoadKind == prescribe.LoadBodyweight:
		return "own body"
	case it.LoadKind == prescribe.LoadBar, it.LoadKind == prescribe.LoadDumbbells:
		return "by effort: no record"
	}
	return ""
}

func warmupText(it prescribe.Item) string {
	parts := make([]string, len(it.Warmup))
	for i, w := range it.Warmup {
		parts[i] = fmt.Sprintf("%d x %s", w.Reps, kg(w.Load))
	}
	return strings.Join(parts, ", ")
}

// finish sets widths, frozen heads and the printed page.
func (x *bookWriter) finish() {
	if x.err != nil {
		return
	}
	landscape, a4, wide, tall, fit := "landscape", 9, 1, 0, true
	heads := map[string]int{sheetCards: 1, sheetWork: 2, sheetRecords: 1, sheetSets: 1, sheetPlates: 2, sheetTable: 2, sheetRules: 1}
	for _, s := range []string{sheetRead, sheetCards, sheetWork, sheetRecords, sheetSets, sheetPlates, sheetTable, sheetRules} {
		x.do(x.f.SetSheetProps(s, &excelize.SheetPropsOptions{FitToPage: &fit}))
		x.do(x.f.SetPageLayout(s, &excelize.PageLayoutOptions{Orientation: &landscape, Size: &a4, FitToWidth: &wide, FitToHeight: &tall}))
		x.do(x.f.SetHeaderFooter(s, &excelize.HeaderFooterOptions{
			OddHeader: "&L" + strings.ReplaceAll(x.book.Title, "&", "&&") + "&R&A",
			OddFooter: "&LFor qualified strength staff. A player may always stop; medical staff decide.&RPage &P of &N",
		}))
		if n := heads[s]; n > 0 {
			x.do(x.f.SetPanes(s, &excelize.Panes{Freeze: true, YSplit: n, TopLeftCell: at("A", n+1), ActivePane: "bottomLeft"}))
			x.do(x.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: fmt.Sprintf("'%s'!$1:$%d", s, n), Scope: s}))
		}
	}
	widths := map[string][]float64{
		sheetCards:   {20, 11, 10, 28, 6, 12, 9, 13, 26, 9, 9, 8, 26, 70},
		sheetRecords: {20, 11, 40, 11, 11, 11, 11, 11, 11, 9, 11, 10, 9},
		sheetSets:    {20, 11, 40, 11, 10, 11, 9, 20, 12, 12},
		sheetRules:   {26, 18, 24, 90},
	}
	for s, list := range widths {
		for i, w := range list {
			x.do(x.f.SetColWidth(s, columnName(i+1), columnName(i+1), w))
		}
	}
	x.do(x.f.SetColWidth(sheetWork, "A", "A", 20))
	x.do(x.f.SetColWidth(sheetWork, "C", "C", 28))
	full := true
	x.do(x.f.SetCalcProps(&excelize.CalcPropsOptions{FullCalcOnLoad: &full}))
	x.f.SetActiveSheet(1)
}
