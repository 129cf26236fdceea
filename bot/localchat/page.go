package localchat

import (
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"
	"time"
)

//go:embed page/index.html page/style.css page/page.js
var assets embed.FS

// contentPolicy: nothing but our own three files, our own pictures, our own
// server.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// pageHandler routes the page. Writes must come from the page itself:
// CrossOriginProtection refuses what a browser marks as another origin's.
func (s *Server) pageHandler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", asset("page/index.html", "text/html; charset=utf-8"))
	mux.HandleFunc("GET /page/style.css", asset("page/style.css", "text/css; charset=utf-8"))
	mux.HandleFunc("GET /page/page.js", asset("page/page.js", "text/javascript; charset=utf-8"))
	mux.HandleFunc("GET /page/state", s.serveState)
	mux.HandleFunc("GET /page/chat", s.serveChat)
	mux.HandleFunc("GET /page/events", s.serveEvents)
	mux.HandleFunc("GET /page/file", s.servePageFile)
	mux.HandleFunc("GET /page/clock", func(w http.ResponseWriter, r *http.Request) {
		writeJSON(w, http.StatusOK, s.boardNow())
	})
	mux.HandleFunc("POST /page/clock", s.serveMove)
	for name, do := range deeds {
		mux.HandleFunc("POST /page/"+name, func(w http.ResponseWriter, r *http.Request) { s.serveDeed(w, r, do) })
	}
	guarded := http.NewCrossOriginProtection().Handler(mux)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", contentPolicy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		guarded.ServeHTTP(w, r)
	})
}

func asset(name, kind string) http.HandlerFunc {
	body, err := assets.ReadFile(name)
	if err != nil {
		panic(fmt.Sprintf("localchat: %v", err)) // embedded at build time
	}
	return func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", kind)
		_, _ = w.Write(body)
	}
}

// deed is what a page asks somebody to do.
type deed struct {
	Person  int64  `json:"person"`
	Chat    int64  `json:"chat"`
	Message int    `json:"message"`
	Text    string `json:"text"`
	Data    string `json:"data"`
	Kind    string `json:"kind"`
	Scene   int    `json:"scene"`
	Blocked bool   `json:"blocked"`
}

var deeds = map[string]func(*Server, deed) error{
	"say": func(s *Server, d deed) error {
		_, err := s.SayInReply(d.Person, d.Chat, d.Message, d.Text)
		return err
	},
	"edit": func(s *Server, d deed) error {
		_, err := s.Edit(d.Person, d.Chat, d.Message, d.Text)
		return err
	},
	"tap": func(s *Server, d deed) error {
		_, err := s.Tap(d.Person, d.Chat, d.Message, d.Data)
		return err
	},
	"start": func(s *Server, d deed) error {
		_, err := s.Start(d.Person, d.Text)
		return err
	},
	"block": func(s *Server, d deed) error {
		_, err := s.setBlocked(d.Person, d.Blocked)
		return err
	},
	"attach": func(s *Server, d deed) (err error) {
		switch d.Kind {
		case "photo":
			_, err = s.SendPhotoFrom(d.Person, d.Chat, samplePicture(), d.Text)
		case "voice":
			_, err = s.SendVoiceFrom(d.Person, d.Chat, 4)
		case "video":
			_, err = s.SendVideoFrom(d.Person, d.Chat, 6, d.Text)
		case "sticker":
			_, err = s.SendStickerFrom(d.Person, d.Chat, "💪")
		case "file":
			_, err = s.SendDocumentFrom(d.Person, d.Chat, "note.txt", []byte("A test file from the chat page.\n"), d.Text)
		default:
			err = refused("%q cannot be sent; photo, voice, video, sticker and file can", d.Kind)
		}
		return err
	},
	"seen":  (*Server).markSeen,
	"scene": func(s *Server, d deed) error { return s.tickScene(d.Scene) },
}

func (s *Server) markSeen(d deed) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	p, ch, err := s.in(d.Person, d.Chat)
	if err != nil {
		return err
	}
	if d.Message <= p.seen[ch.id] {
		return nil
	}
	p.seen[ch.id] = min(d.Message, ch.lastID)
	s.publish("seen", seenEvent{Person: p.ID, Chat: ch.id, Unread: s.unread(p, ch)})
	return nil
}

type pageError struct {
	Error string `json:"error"`
}

// readPage reads a JSON body into v. The content type is required because a
// foreign page cannot send it without the browser asking us first.
func readPage(w http.ResponseWriter, r *http.Request, v any) bool {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || kind != "application/json" {
		writeJSON(w, http.StatusUnsupportedMediaType, pageError{"send JSON, with Content-Type: application/json"})
		return false
	}
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxBody))
	if err == nil {
		err = json.Unmarshal(body, v)
	}
	var tooLarge *http.MaxBytesError
	switch {
	case errors.As(err, &tooLarge):
		writeJSON(w, http.StatusRequestEntityTooLarge, pageError{"the request is too large"})
	case err != nil:
		writeJSON(w, http.StatusBadRequest, pageError{"the request cannot be read: " + err.Error()})
	}
	return err == nil
}

func (s *Server) serveDeed(w http.ResponseWriter, r *http.Request, do func(*Server, deed) error) {
	var d deed
	if !readPage(w, r, &d) {
		return
	}
	if err := do(s, d); err != nil {
		status := http.StatusConflict
		if errors.Is(err, ErrUnknown) {
			status = http.StatusNotFound
		}
		writeJSON(w, status, pageError{plain(err)})
		return
	}
	s.board.stale()
	writeJSON(w, http.StatusOK, struct{}{})
}

// plain is an error of the people's side without the package's name and kind.
func plain(err error) string {
	text := strings.TrimPrefix(err.Error(), "localchat: ")
	return strings.TrimSuffix(text, ": "+ErrRefused.Error())
}

func (s *Server) serveMove(w http.ResponseWriter, r *http.Request) {
	var in struct {
		To string `json:"to"`
	}
	if !readPage(w, r, &in) {
		return
	}
	patience(w, moveLimit+30*time.Second)
	if err := s.moveClock(r.Context(), in.To); err != nil {
		writeJSON(w, http.StatusConflict, pageError{err.Error()})
		return
	}
	s.board.stale()
	writeJSON(w, http.StatusOK, s.boardNow())
}

// personView and groupView are what the page draws pegs and rooms from.
type personView struct {
	ID      int64         `json:"id"`
	Name    string        `json:"name"`
	Note    string        `json:"note"`
	Section string        `json:"section"`
	Shirt   int           `json:"shirt"`
	Staff   bool          `json:"staff"`
	Started bool          `json:"started"`
	Blocked bool          `json:"blocked"`
	Lang    string        `json:"lang"`
	Unread  map[int64]int `json:"unread"` // by chat
}

type groupView struct {
	ID      int64   `json:"id"`
	Title   string  `json:"title"`
	Members []int64 `json:"members"`
	BotIn   bool    `json:"bot_in"`
}

func (s *Server) serveState(w http.ResponseWriter, r *http.Request) {
	b := s.boardNow()
	s.mu.Lock()
	out := struct {
		Seq    int          `json:"seq"`
		Title  string       `json:"title"`
		Bot    User         `json:"bot"`
		People []personView `json:"people"`
		Groups []groupView  `json:"groups"`
		Board  board        `json:"board"`
	}{Seq: s.events.seq, Title: s.opt.Title, Bot: s.bot, People: []personView{}, Groups: []groupView{}, Board: b}
	for _, id := range s.order {
		p := s.people[id]
		v := personView{ID: id, Name: p.FirstName, Note: p.Note, Section: p.Section, Shirt: p.Shirt, Staff: p.Staff, Started: p.Started, Blocked: p.blocked, Lang: p.LanguageCode, Unread: map[int64]int{id: s.unread(p, s.chats[id])}}
		for _, g := range s.groups {
			if s.chats[g].members[id] {
				v.Unread[g] = s.unread(p, s.chats[g])
			}
		}
		out.People = append(out.People, v)
	}
	for _, g := range s.groups {
		ch := s.chats[g]
		v := groupView{ID: g, Title: ch.title, BotIn: ch.botIn, Members: []int64{}}
		for _, id := range s.order {
			if ch.members[id] {
				v.Members = append(v.Members, id)
			}
		}
		out.Groups = append(out.Groups, v)
	}
	s.mu.Unlock()
	writeJSON(w, http.StatusOK, out)
}

// pageSize is how many messages one look at a chat shows.
const pageSize = 100

// serveChat answers ?person=&chat= and, for what is farther up, &before=.
func (s *Server) serveChat(w http.ResponseWriter, r *http.Request) {
	q := r.URL.Query()
	personID, _ := strconv.ParseInt(q.Get("person"), 10, 64) // 0 is nobody
	chatID, _ := strconv.ParseInt(q.Get("chat"), 10, 64)
	before, err := strconv.Atoi(q.Get("before"))
	if err != nil || before <= 0 {
		before = 1 << 60
	}
	s.mu.Lock()
	p, ch, err := s.in(personID, chatID)
	if err != nil {
		s.mu.Unlock()
		writeJSON(w, http.StatusNotFound, pageError{plain(err)})
		return
	}
	end := len(ch.messages)
	for end > 0 && ch.messages[end-1].MessageID >= before {
		end--
	}
	from := max(end-pageSize, 0)
	out := struct {
		Seq      int            `json:"seq"`
		Messages []view         `json:"messages"`
		More     bool           `json:"more"`
		Seen     int            `json:"seen"`
		Keyboard *ReplyKeyboard `json:"keyboard"`
		Commands []BotCommand   `json:"commands"`
	}{Seq: s.events.seq, Messages: []view{}, More: from > 0, Seen: p.seen[ch.id], Keyboard: ch.keyboard, Commands: s.menu(p, ch)}
	for _, h := range ch.messages[from:end] {
		out.Messages = append(out.Messages, s.view(ch, h))
	}
	s.mu.Unlock()
	writeJSON(w, http.StatusOK, out)
}

// view is a message as the page draws it.
type view struct {
	ID        int        `json:"id"`
	From      string     `json:"from"`
	FromID    int64      `json:"from_id"`
	Bot       bool       `json:"bot"`
	Day       string     `json:"day"`
	At        string     `json:"at"`
	Edited    string     `json:"edited,omitempty"`
	Text      string     `json:"text,omitempty"`
	Entities  []Entity   `json:"entities,omitempty"`
	Photo     *PhotoSize `json:"photo,omitempty"`
	Document  *Document  `json:"document,omitempty"`
	Voice     *Voice     `json:"voice,omitempty"`
	Video     *Video     `json:"video,omitempty"`
	Sticker   string     `json:"sticker,omitempty"`
	Buttons   [][]Button `json:"buttons,omitempty"`
	Service   string     `json:"service,omitempty"`
	Reply     string     `json:"reply,omitempty"`
	Protected bool       `json:"protected,omitempty"`
}

func (s *Server) view(ch *chat, h *hung) view {
	at := time.Unix(h.Date, 0).In(s.opt.Zone)
	v := view{
		ID: h.MessageID, Day: at.Format("Mon 2 Jan 2006"), At: at.Format("15:04"),
		Text: h.Text, Entities: h.Entities, Document: h.Document, Voice: h.Voice, Video: h.Video, Protected: h.HasProtectedContent,
	}
	if h.From != nil {
		v.From, v.FromID, v.Bot = h.From.FirstName, h.From.ID, h.From.IsBot
	}
	if h.EditDate != 0 {
		v.Edited = time.Unix(h.EditDate, 0).In(s.opt.Zone).Format("15:04")
	}
	if h.Caption != "" {
		v.Text, v.Entities = h.Caption, h.CaptionEntities
	}
	if len(h.Photo) > 0 {
		v.Photo = &h.Photo[len(h.Photo)-1]
	}
	if h.Sticker != nil {
		v.Sticker = h.Sticker.Emoji
	}
	if h.ReplyMarkup != nil {
		v.Buttons = h.ReplyMarkup.Rows
	}
	if r := h.ReplyTo; r != nil {
		v.Reply = r.Text
		if v.Reply == "" {
			v.Reply = r.Caption
		}
		if runes := []rune(v.Reply); len(runes) > 80 {
			v.Reply = string(runes[:79]) + "…"
		}
	}
	switch {
	case len(h.NewChatMembers) > 0:
		v.Service = h.NewChatMembers[0].FirstName + " came in"
	case h.LeftChatMember != nil:
		v.Service = h.LeftChatMember.FirstName + " left"
	case h.MigrateToChatID != 0 || h.MigrateFromChatID != 0:
		v.Service = "The group moved to a larger room"
	}
	return v
}

// servePageFile shows pictures in place and hands everything else out as a
// download, so that no uploaded file is ever run as a page.
func (s *Server) servePageFile(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	f, ok := s.files.byID[r.URL.Query().Get("id")]
	s.mu.Unlock()
	if !ok {
		writeJSON(w, http.StatusNotFound, pageError{"this file is no longer kept"})
		return
	}
	if f.kind == "photo" {
		w.Header().Set("Content-Type", f.mime)
	} else {
		w.Header().Set("Content-Type", "application/octet-stream")
		w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": f.name}))
	}
	_, _ = w.Write(f.data)
}
