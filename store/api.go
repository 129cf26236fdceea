package store

import (
	"context"
	"encoding/json"
	"io"
	"log/slog"
	"time"

	"pegcard/prescribe"
)

// Hooks are places where a test can stop the process. Nil in production.
type Hooks struct {
	// Point is called with "tx.begin", "tx.before_commit", "tx.after_commit",
	// "out.claimed", "out.sent", "erase.journal".
	Point func(name string)
}

// Options say where the data are.
type Options struct {
	Dir    string // made if missing, mode 0700
	Logger *slog.Logger
	Hooks  Hooks
	Rand   io.Reader // invitation codes and pseudonyms; nil: crypto/rand
}

// Store is an open data directory. Safe for concurrent use.
type Store struct{}

// Tx is one transaction. It is valid only inside the function it was given to.
type Tx struct{}

func Open(ctx context.Context, o Options) (*Store, error) { panic("unwritten") }
func (s *Store) Close() error                             { panic("unwritten") }

// Once runs fn in a write transaction unless key was committed before; then
// done is false.
func (s *Store) Once(ctx context.Context, key string, now prescribe.Instant, fn func(*Tx) error) (done bool, err error) {
	panic("unwritten")
}
func (s *Store) Write(ctx context.Context, fn func(*Tx) error) error { panic("unwritten") }
func (s *Store) Read(ctx context.Context, fn func(*Tx) error) error  { panic("unwritten") }

// People.

// Club is the club itself.
type Club struct{ Name, Zone, Language, Emergency string }

// Person is a player or a member of staff.
type Person struct {
	ID        int64
	Key       string // the club's own id
	Pseudo    string // stands for the person in logs and the audit
	Name      string
	Language  string // BCP 47, never empty
	Zone      string // IANA, never empty; the latest dated one
	Chat      int64  // 0: not joined
	Reachable bool
	Left      bool
}

// RoleAt is a role in a squad.
type RoleAt struct {
	Role  Role
	Squad int64
}

// Squad is a squad as stored; Zone and Gym are filled in.
type Squad struct {
	ID int64
	SquadDef
}

// Viewer is somebody who asks to see a player's data.
type Viewer struct {
	Person int64
	Roles  []RoleAt
}

// May reports whether the viewer has one of roles in squad.
func (v Viewer) May(squad int64, roles ...Role) bool { panic("unwritten") }

func (tx *Tx) Club() (Club, error)                                      { panic("unwritten") }
func (tx *Tx) PersonByUser(userID int64) (Person, error)                { panic("unwritten") }
func (tx *Tx) Person(id int64) (Person, error)                          { panic("unwritten") }
func (tx *Tx) PersonByKey(key string) (Person, error)                   { panic("unwritten") }
func (tx *Tx) Roles(person int64, day prescribe.Day) ([]RoleAt, error)  { panic("unwritten") }
func (tx *Tx) Squads() ([]Squad, error)                                 { panic("unwritten") }
func (tx *Tx) Squad(id int64) (Squad, error)                            { panic("unwritten") }
func (tx *Tx) SquadBySlug(slug string) (Squad, error)                   { panic("unwritten") }
func (tx *Tx) Members(squad int64, day prescribe.Day) ([]Person, error) { panic("unwritten") }
func (tx *Tx) Staff(squad int64, role Role, day prescribe.Day) ([]Person, error) {
	panic("unwritten")
}
func (tx *Tx) SquadOf(person int64, day prescribe.Day) (Squad, bool, error) { panic("unwritten") }

// FindPlayers: name or key prefix, only those the viewer's roles cover.
func (tx *Tx) FindPlayers(v Viewer, query string, day prescribe.Day) ([]Person, error) {
	panic("unwritten")
}

// Age in whole years; ok is false when the date of birth is not known.
func (tx *Tx) Age(person int64, day prescribe.Day) (years int, ok bool, err error) {
	panic("unwritten")
}
func (tx *Tx) Viewer(person int64, day prescribe.Day) (Viewer, error)      { panic("unwritten") }
func (tx *Tx) ZoneOn(person int64, day prescribe.Day) (string, error)      { panic("unwritten") }
func (tx *Tx) SetZone(person int64, zone string, from prescribe.Day) error { panic("unwritten") }

// What a viewer is shown of a player. Who may not see it gets ErrNotFound.

// Sees is what audience the viewer is to the player; ErrNotFound when none.
func (tx *Tx) Sees(v Viewer, person int64, day prescribe.Day) (prescribe.Audience, error) {
	panic("unwritten")
}

// ViewCard is the card with the reasons the viewer may read.
func (tx *Tx) ViewCard(v Viewer, person int64, day prescribe.Day) (CardRev, error) {
	panic("unwritten")
}

// Restriction is a hold as its reader may see it. To anybody but medical staff
// and the player, a medical one says only that there is one (AskMedical) with
// the load cap.
type Restriction struct {
	prescribe.HoldView
	AskMedical bool
}

func (tx *Tx) ViewHolds(v Viewer, person int64, day prescribe.Day) ([]Restriction, error) {
	panic("unwritten")
}

// ViewEvents is the player's events of from..to that the viewer may read:
// medical staff and the player all; a strength coach sets, sessions, matches,
// soreness (not of an under-18) and his own holds; nobody else any. Reading
// health data writes the audit, so it wants a write transaction.
func (tx *Tx) ViewEvents(v Viewer, person int64, from, to prescribe.Day, now prescribe.Instant) ([]prescribe.Event, error) {
	panic("unwritten")
}

// ChatEntry is one message of a chat without its content.
type ChatEntry struct {
	At     prescribe.Instant
	Kind   string // outbox kind, or "answer"
	ToThem bool
}

// ViewChat is the traffic of an under-18's chat, for safeguarding.
func (tx *Tx) ViewChat(v Viewer, person int64, from, to prescribe.Instant, day prescribe.Day) ([]ChatEntry, error) {
	panic("unwritten")
}

// Joining.

func (tx *Tx) Invite(person, by int64, now, expires prescribe.Instant) (code string, err error) {
	panic("unwritten")
}
func (tx *Tx) Invitation(code string, now prescribe.Instant) (Person, error) { panic("unwritten") }
func (tx *Tx) Join(code string, userID, chatID int64, now prescribe.Instant) (Person, error) {
	panic("unwritten")
}
func (tx *Tx) SetLanguage(person int64, lang string) error { panic("unwritten") }
func (tx *Tx) Consent(person int64, version, lang string, now prescribe.Instant) error {
	panic("unwritten")
}
func (tx *Tx) WithdrawConsent(person int64, now prescribe.Instant) error { panic("unwritten") }
func (tx *Tx) Consented(person int64) (bool, error)                      { panic("unwritten") }
func (tx *Tx) SetReachable(chat int64, reachable bool) error             { panic("unwritten") }

// SetChat follows a chat that changed its id.
func (tx *Tx) SetChat(from, to int64) error                    { panic("unwritten") }
func (tx *Tx) Leave(person int64, now prescribe.Instant) error { panic("unwritten") }

// Dialog is the open question of a chat.
type Dialog struct {
	Chat  int64
	Kind  string
	Args  json.RawMessage
	Card  int64
	Asked prescribe.Instant
}

func (tx *Tx) Dialog(chat int64) (Dialog, bool, error) { panic("unwritten") }
func (tx *Tx) PutDialog(d Dialog) error                { panic("unwritten") }
func (tx *Tx) ClearDialog(chat int64) error            { panic("unwritten") }

// Records.

// Folded is what recording did.
type Folded struct {
	Before, After prescribe.State
	Notices       []prescribe.Notice
	Changed       bool // false: the same was recorded before
}

func (tx *Tx) Record(person int64, source string, received prescribe.Instant, events ...prescribe.Event) (Folded, error) {
	panic("unwritten")
}
func (tx *Tx) Undo(person int64, source string, now prescribe.Instant) (Folded, error) {
	panic("unwritten")
}
func (tx *Tx) State(person int64) (prescribe.State, error) { panic("unwritten") }

// Events of the civil days from..to, both inclusive, in fold order.
func (tx *Tx) Events(person int64, from, to prescribe.Day) ([]prescribe.Event, error) {
	panic("unwritten")
}

// Recorded are the events that source stands for now; none when undone.
func (tx *Tx) Recorded(person int64, source string) ([]prescribe.Event, error) {
	panic("unwritten")
}

// Cards.

// CardState is how far a card has come.
type CardState string

const (
	CardDraft      CardState = "draft"
	CardApproved   CardState = "approved"
	CardSent       CardState = "sent"
	CardStarted    CardState = "started"
	CardDone       CardState = "done"
	CardChanged    CardState = "changed"
	CardMissed     CardState = "missed"
	CardUnanswered CardState = "unanswered"
	CardWithheld   CardState = "withheld"
	CardReplaced   CardState = "replaced"
)

// CardRev is one revision of a player's card.
type CardRev struct {
	ID          int64 // of the card, the same for all revisions
	Person      int64
	Day         prescribe.Day
	Rev         int // from 1
	State       CardState
	Card        prescribe.Card
	SentMessage int // message id in the player's chat; 0 not sent
	CreatedAt   prescribe.Instant
	Approved    int // latest revision that staff approved; 0 none
}

// Inputs are what a card is worked out from.
type Inputs struct {
	State     prescribe.State
	Calendar  prescribe.Calendar
	Programme prescribe.Programme
	Rules     prescribe.Rules
	Day       prescribe.Day
	Edits     []prescribe.Edit
}

func (tx *Tx) Inputs(person int64, day prescribe.Day) (Inputs, error)       { panic("unwritten") }
func (tx *Tx) Plan(person int64, day prescribe.Day) (prescribe.Card, error) { panic("unwritten") }
func (tx *Tx) IssueCard(person int64, day prescribe.Day, now prescribe.Instant) (c CardRev, changed bool, err error) {
	panic("unwritten")
}
func (tx *Tx) Card(person int64, day prescribe.Day) (CardRev, bool, error)   { panic("unwritten") }
func (tx *Tx) Cards(person int64, from, to prescribe.Day) ([]CardRev, error) { panic("unwritten") }
func (tx *Tx) CardByID(id int64) (CardRev, error)                            { panic("unwritten") }
func (tx *Tx) CardRevision(id int64, rev int) (CardRev, error)               { panic("unwritten") }
func (tx *Tx) SetCardState(id int64, state CardState) error                  { panic("unwritten") }
func (tx *Tx) AddEdit(card, by int64, e prescribe.Edit) error                { panic("unwritten") }
func (tx *Tx) CardsOn(squad int64, day prescribe.Day) ([]CardRev, error)     { panic("unwritten") }

// OpenCards are cards sent or started of days before day.
func (tx *Tx) OpenCards(before prescribe.Day) ([]CardRev, error) { panic("unwritten") }
func (tx *Tx) Recompute(id int64, rev int) (same bool, stored, now prescribe.Card, err error) {
	panic("unwritten")
}

// VerifyReport is what Verify found.
type VerifyReport struct {
	Integrity  []string // of PRAGMA integrity_check and foreign_key_check; empty: sound
	Cards      int      // revisions whose hash was checked
	Recomputed int      // of them, by this engine version
	Checked    int      // checkpoints whose hash was checked
	Bad        []string // what does not agree, a sentence each
}

func (s *Store) Verify(ctx context.Context) (VerifyReport, error) { panic("unwritten") }

// Alerts.

// AlertState is how far an alert has come.
type AlertState string

const (
	AlertOpen         AlertState = "open"
	AlertAcknowledged AlertState = "acknowledged"
	AlertClosed       AlertState = "closed"
)

// Alert is something staff have been told.
type Alert struct {
	ID, Person, Squad int64
	Kind              prescribe.NoticeKind
	Notice            prescribe.Notice
	State             AlertState
	Level             int // of escalation, from 0
	CreatedAt         prescribe.Instant
	AckBy             int64
	NextAt            prescribe.Instant // when it is due to be sent again; 0 never
}

func (tx *Tx) RaiseAlert(person int64, n prescribe.Notice, now prescribe.Instant) (a Alert, fresh bool, err error) {
	panic("unwritten")
}
func (tx *Tx) Alert(id int64) (Alert, error) { panic("unwritten") }
func (tx *Tx) Acknowledge(id, by int64, now prescribe.Instant) (changed bool, err error) {
	panic("unwritten")
}
func (tx *Tx) CloseAlert(id, by int64, note string, now prescribe.Instant) error { panic("unwritten") }
func (tx *Tx) OpenAlerts(v Viewer) ([]Alert, error)                              { panic("unwritten") }
func (tx *Tx) DueAlerts(now prescribe.Instant) ([]Alert, error)                  { panic("unwritten") }
func (tx *Tx) Escalate(id int64, level int, nextAt prescribe.Instant) error      { panic("unwritten") }

// Out is a message to be sent: references, never text or scores.
type Out struct {
	ID                 int64
	Kind               string
	Recipient          int64 // person
	Chat               int64 // 0: the person's chat when it is claimed
	Ref                int64
	Rev                int
	Args               string // a short key, such as a question's kind
	Priority           int    // 0 urgent … 9
	NotBefore, Expires prescribe.Instant
	Dedup              string // unique when set
	Edit               bool   // edit MessageID instead of sending
	MessageID          int
	Attempts           int
	Repeat             bool // it may have been sent before a crash
}

func (tx *Tx) Enqueue(o Out) (id int64, fresh bool, err error) { panic("unwritten") }

// ClaimOut marks up to limit messages claimed, at most one a chat and none of
// the chats in busy, most urgent first.
func (tx *Tx) ClaimOut(now prescribe.Instant, limit int, busy []int64) ([]Out, error) {
	panic("unwritten")
}
func (tx *Tx) OutSent(id, chat int64, messageID int, now prescribe.Instant) error {
	panic("unwritten")
}
func (tx *Tx) OutRetry(id int64, at prescribe.Instant, reason string) error { panic("unwritten") }
func (tx *Tx) OutBury(id int64, reason string) error                        { panic("unwritten") }
func (tx *Tx) OutPending(now prescribe.Instant) (int, error)                { panic("unwritten") }
func (tx *Tx) NextOut() (prescribe.Instant, bool, error)                    { panic("unwritten") }
func (tx *Tx) Reclaim(now prescribe.Instant) (int, error)                   { panic("unwritten") }
func (tx *Tx) MessageOf(kind string, ref int64) (chat int64, messageID int, err error) {
	panic("unwritten")
}

// Fixtures.

// Fixture is a match or a trip of a squad.
type Fixture struct {
	ID           int64
	Squad        int64
	Summary      string
	Day          prescribe.Day
	Kickoff, End prescribe.Instant
	Known        bool
	Travel       bool
	Until        prescribe.Day // of a trip
	Cancelled    bool
}

// PersonDay is a player's day that has to be planned again.
type PersonDay struct {
	Person int64
	Day    prescribe.Day
}

// Fixtures that are not cancelled, touching from..to, by (kick-off, id).
func (tx *Tx) Fixtures(squad int64, from, to prescribe.Day) ([]Fixture, error) { panic("unwritten") }
func (tx *Tx) Fixture(id int64) (Fixture, error)                               { panic("unwritten") }

// MoveFixture gives the fixture another day and time. Its end moves along.
func (tx *Tx) MoveFixture(id int64, day prescribe.Day, kickoff prescribe.Instant, known bool, by int64, now prescribe.Instant) ([]PersonDay, error) {
	panic("unwritten")
}
func (tx *Tx) CancelFixture(id, by int64, now prescribe.Instant) ([]PersonDay, error) {
	panic("unwritten")
}

// AddFixture adds a match or trip by hand; an import never cancels it.
func (tx *Tx) AddFixture(f Fixture, by int64, now prescribe.Instant) (int64, []PersonDay, error) {
	panic("unwritten")
}

// SetAway: the player trains elsewhere from..to. equipment is a gym's slug,
// empty: nothing but the floor. An empty place means the usual one again.
func (tx *Tx) SetAway(person int64, from, to prescribe.Day, place, equipment string, now prescribe.Instant) ([]PersonDay, error) {
	panic("unwritten")
}

// Clock.

func (tx *Tx) ClockOffset() (time.Duration, error)  { panic("unwritten") }
func (tx *Tx) SetClockOffset(d time.Duration) error { panic("unwritten") }

// Quarantine keeps an update that could not be handled, 7 days.
func (tx *Tx) Quarantine(raw []byte, updateID int64, reason string, now prescribe.Instant) error {
	panic("unwritten")
}
func (tx *Tx) PurgeQuarantine(now prescribe.Instant) (int, error) { panic("unwritten") }

// Audit appends who did what to whose data. actor 0 is the program itself.
func (tx *Tx) Audit(actor, subject int64, action, detail string, now prescribe.Instant) error {
	panic("unwritten")
}

// Import.

// Change is one line of what an import changes, fit to be read.
type Change struct{ Kind, What, From, To string }

// ImportResult is what an import did or would do.
type ImportResult struct {
	Changes  []Change
	Replan   []PersonDay
	Problems []*Problem // any: nothing was written
}

func (s *Store) Import(ctx context.Context, im Import, now prescribe.Instant, dryRun bool) (ImportResult, error) {
	panic("unwritten")
}

// Export writes all that is kept of a person as JSON.
func (tx *Tx) Export(person int64, w io.Writer) error { panic("unwritten") }

// Erase removes all that is kept of a person.
func (s *Store) Erase(ctx context.Context, person int64, now prescribe.Instant) error {
	panic("unwritten")
}

// Backup writes a verified copy of the database to path.
func (s *Store) Backup(ctx context.Context, path string) error { panic("unwritten") }

// Housekeep drops what is no longer needed: old keys, quarantine, sent messages.
func (s *Store) Housekeep(ctx context.Context, now prescribe.Instant) error { panic("unwritten") }

// Due.

// DueInputs is all that the schedule needs to say what is due.
type DueInputs struct {
	Squads []DueSquad // by slug
	// Done are the keys beginning "due/" that Once committed in the last 4 days.
	Done map[string]bool
}

// DueSquad is one squad.
type DueSquad struct {
	Squad   Squad
	Players []DuePlayer // members on any day from yesterday to tomorrow, by key
	Staff   []DueStaff  // by (role, order, id)
}

// DuePlayer is one player.
type DuePlayer struct {
	Person    int64
	Zone      string // IANA, today's
	Joined    bool
	Reachable bool
	Consented bool
	Cards     []DueCard // from two days ago to tomorrow, by day
}

// DueCard is a card already issued.
type DueCard struct {
	Card     int64
	Day      prescribe.Day
	Rev      int
	Approved int
	State    CardState
	Kind     prescribe.CardKind
	Approval bool // must be approved before it goes out
}

// DueStaff is one staff member in one role.
type DueStaff struct {
	Person    int64
	Role      Role
	Zone      string
	Order     int
	Joined    bool
	Reachable bool
}

func (tx *Tx) DueInputs(now prescribe.Instant) (DueInputs, error) { panic("unwritten") }
