package localchat

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"
)

// Options say who the bot is and what the page shows.
type Options struct {
	// Token as in production, "digits:secret". Empty: a random one is made;
	// read it with Server.Token.
	Token       string
	BotName     string // shown name; "Bot" when empty
	BotUsername string // without @; "local_bot" when empty
	// ReadsGroups lifts privacy mode: without it the bot sees of a group only
	// commands, mentions, replies to itself and service messages.
	ReadsGroups bool

	// Now is the civil clock; time.Now when nil. It is called with the server
	// locked, so it must not call the Server's methods.
	Now  func() time.Time
	Zone *time.Location // for display and for "evening"; UTC when nil

	Title  string  // heading of the page
	Clock  Clock   // nil funcs hide the clock panel
	Scenes []Scene // the guided strip; see SetScenes

	Limits          Limits        // zero = off
	KeepMessages    int           // a chat; 5000 when 0
	FirstUpdateID   int           // 1 when 0
	FilesInMemory   int           // bytes kept of uploaded files; 256 MB when 0
	EveningAt       time.Duration // since midnight, for the evening button; 21 h when 0
	MoveHorizonDays int           // farthest single move of the clock; 400 when 0
}

// Server is a Bot API server and its page. Make it with New.
type Server struct {
	opt   Options
	token string
	bot   User
	page  http.Handler

	closeOnce sync.Once
	closing   chan struct{}
	board     boardState

	mu       sync.Mutex
	fault    func(string, *http.Request) *Fault
	limiter  *limiter
	people   map[int64]*person
	order    []int64 // people in the order they were added
	chats    map[int64]*chat
	groups   []int64
	queue    queue
	queries  map[string]query
	nextID   int64 // callback queries
	files    fileStore
	commands map[commandKey][]BotCommand
	events   hub
}

// New makes a server. People and groups are added afterwards.
func New(o Options) *Server {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Zone == nil {
		o.Zone = time.UTC
	}
	if o.BotName == "" {
		o.BotName = "Bot"
	}
	if o.BotUsername == "" {
		o.BotUsername = "local_bot"
	}
	if o.KeepMessages <= 0 {
		o.KeepMessages = 5000
	}
	if o.FirstUpdateID <= 0 {
		o.FirstUpdateID = 1
	}
	if o.FilesInMemory <= 0 {
		o.FilesInMemory = 256 << 20
	}
	if o.EveningAt <= 0 {
		o.EveningAt = 21 * time.Hour
	}
	if o.MoveHorizonDays <= 0 {
		o.MoveHorizonDays = 400
	}
	if o.Token == "" {
		o.Token = randomToken()
	}
	s := &Server{
		opt:      o,
		token:    o.Token,
		closing:  make(chan struct{}),
		limiter:  newLimiter(o.Limits),
		people:   map[int64]*person{},
		chats:    map[int64]*chat{},
		queries:  map[string]query{},
		commands: map[commandKey][]BotCommand{},
	}
	s.bot = User{ID: botID(o.Token), IsBot: true, FirstName: o.BotName, Username: o.BotUsername}
	s.queue.next = o.FirstUpdateID
	s.queue.wake = make(chan struct{})
	s.files.room = o.FilesInMemory
	s.events.wake = make(chan struct{})
	s.board.clock = o.Clock
	s.SetScenes(o.Scenes)
	s.page = s.pageHandler()
	return s
}

func randomToken() string {
	var b [18]byte
	rand.Read(b[:]) // never fails: crypto/rand ends the process instead
	return "7000000001:" + hex.EncodeToString(b[:])
}

// botID is the number before the colon of a token, which is the bot's own id.
func botID(token string) int64 {
	digits, _, _ := strings.Cut(token, ":")
	id, err := strconv.ParseInt(digits, 10, 64)
	if err != nil || id <= 0 {
		return 7000000001
	}
	return id
}

// Token is what the bot signs in with.
func (s *Server) Token() string { return s.token }

// Bot is the bot as people see it.
func (s *Server) Bot() User { return s.bot }

// Close ends long polls and page streams at once and refuses new polls; other
// requests are still answered. It may be called more than once.
func (s *Server) Close() { s.closeOnce.Do(func() { close(s.closing) }) }

// Listen opens a port on the loopback interface; port 0 picks a free one.
func Listen(port int) (net.Listener, error) {
	l, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
	if err != nil {
		return nil, fmt.Errorf("localchat: %w", err)
	}
	return l, nil
}

// Serve answers on a listener until ctx ends, then closes the server, lets
// running requests finish for up to five seconds, and returns nil. A
// listener that is not on the loopback interface is refused.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	tcp, ok := l.Addr().(*net.TCPAddr)
	if !ok || !tcp.IP.IsLoopback() {
		return errors.Join(fmt.Errorf("localchat: refusing to listen on %s: this server is for this computer alone; use 127.0.0.1", l.Addr()), l.Close())
	}
	srv := &http.Server{
		Handler:           s,
		ReadHeaderTimeout: 10 * time.Second,
		ReadTimeout:       60 * time.Second,
		WriteTimeout:      60 * time.Second,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    64 << 10,
		ErrorLog:          slog.NewLogLogger(slog.Default().Handler(), slog.LevelDebug),
	}
	ended := make(chan error, 1)
	go func() { ended <- srv.Serve(l) }()
	select {
	case err := <-ended:
		s.Close()
		return fmt.Errorf("localchat: %w", err)
	case <-ctx.Done():
	}
	s.Close()
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer cancel()
	err := srv.Shutdown(grace)
	if errors.Is(err, context.DeadlineExceeded) {
		// A browser keeps connections ready that never carried a request, and they
		// count as busy at first.
		err = srv.Close()
	}
	<-ended
	if err != nil {
		return fmt.Errorf("localchat: stop: %w", err)
	}
	return nil
}

// patience lengthens the read and write deadlines of one long request beyond
// the server's own. Under Transport there are none to lengthen.
func patience(w http.ResponseWriter, d time.Duration) {
	c := http.NewResponseController(w)
	var until time.Time
	if d > 0 {
		until = time.Now().Add(d)
	}
	_ = c.SetReadDeadline(until)
	_ = c.SetWriteDeadline(until)
}

// ServeHTTP answers the bot under /bot<token>/ and /file/bot<token>/, and
// the page everywhere else.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if !loopbackHost(r.Host) {
		http.Error(w, "This server answers only to 127.0.0.1, localhost and [::1].", http.StatusForbidden)
		return
	}
	if rest, ok := strings.CutPrefix(r.URL.Path, "/file/bot"); ok {
		s.serveFile(w, r, rest)
		return
	}
	if rest, ok := strings.CutPrefix(r.URL.Path, "/bot"); ok {
		s.serveMethod(w, r, rest)
		return
	}
	s.page.ServeHTTP(w, r)
}

// loopbackHost guards against DNS rebinding: a foreign page whose name is
// made to point here still sends its own name in Host.
func loopbackHost(host string) bool {
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	}
	switch strings.ToLower(strings.Trim(name, "[]")) {
	case "127.0.0.1", "localhost", "::1":
		return true
	}
	return false
}
