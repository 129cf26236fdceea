package bot_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"time"
)

// unruly is a network that misbehaves by a seed: refusals of every kind, pages
// that are not the server's, answers cut, late, endless or lost after the call
// was carried out, polls taken by somebody else, updates again and out of order.
// It watches that no call comes before the time a refusal named.
type unruly struct {
	base http.RoundTripper

	mu    sync.Mutex
	rng   *rand.Rand
	rough float64              // chance that a call meets a fault
	until map[string]time.Time // not to be called before
	early []string             // calls that came before
	lost  map[string]int       // chat → messages that arrived and whose answer did not
	met   map[string]int       // faults met, by kind
	past  []json.RawMessage    // updates handed out before
}

func newUnruly(base http.RoundTripper, rng *rand.Rand) *unruly {
	return &unruly{base: base, rng: rng, until: map[string]time.Time{}, lost: map[string]int{}, met: map[string]int{}}
}

// be sets the chance of a fault.
func (n *unruly) be(rough float64) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.rough = rough
}

// forget is a new process: what a refusal asked for was known to the old one.
func (n *unruly) forget() {
	n.mu.Lock()
	defer n.mu.Unlock()
	clear(n.until)
}

// seen is a copy of what was met, for the test to look at.
func (n *unruly) seen() (early []string, lost, met map[string]int) {
	n.mu.Lock()
	defer n.mu.Unlock()
	lost, met = map[string]int{}, map[string]int{}
	for k, v := range n.lost {
		lost[k] = v
	}
	for k, v := range n.met {
		met[k] = v
	}
	return append([]string(nil), n.early...), lost, met
}

var sending = map[string]bool{"sendMessage": true, "editMessageText": true, "sendDocument": true, "sendPhoto": true}

// faults by the kind of call. "carried out" is what the server did all the same.
var (
	pollFaults = []string{"429", "500", "page", "conflict", "reset", "cut", "slow", "endless", "lost", "hang", "again", "shuffled"}
	sendFaults = []string{"429", "429 page", "500", "page", "reset", "cut", "slow", "endless", "lost", "hang"}
	restFaults = []string{"500", "page", "reset", "lost", "hang"}
)

func (n *unruly) RoundTrip(r *http.Request) (*http.Response, error) {
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return nil, err
	}
	_ = r.Body.Close()
	method := r.URL.Path[strings.LastIndex(r.URL.Path, "/")+1:]
	v, err := url.ParseQuery(string(body))
	if err != nil || v.Get("chat_id") == "" && sending[method] {
		v = url.Values{"chat_id": {multipartChat(body)}}
	}
	key, kinds := "", restFaults
	switch {
	case method == "getUpdates":
		key, kinds = "poll", pollFaults
	case sending[method]:
		key, kinds = v.Get("chat_id"), sendFaults
	}
	n.mu.Lock()
	if key != "" {
		if t := n.until[key]; time.Now().Before(t) {
			n.early = append(n.early, fmt.Sprintf("%s for %s, %s early", method, key, time.Until(t)))
		}
	}
	fault := ""
	if n.rng.Float64() < n.rough {
		fault = kinds[n.rng.IntN(len(kinds))]
		n.met[fault]++
	}
	seconds := 1 + n.rng.IntN(40)
	if strings.HasPrefix(fault, "429") && key != "" {
		n.until[key] = time.Now().Add(time.Duration(seconds) * time.Second)
	}
	n.mu.Unlock()

	through := func() (*http.Response, []byte, error) {
		again := r.Clone(r.Context())
		again.Body = io.NopCloser(bytes.NewReader(body))
		res, err := n.base.RoundTrip(again)
		if err != nil {
			return nil, nil, err
		}
		b, err := io.ReadAll(res.Body)
		_ = res.Body.Close()
		res.Body = io.NopCloser(bytes.NewReader(b))
		if res.StatusCode == 429 && key != "" {
			// The server's own refusals count as well.
			var a struct {
				Parameters struct {
					RetryAfter int `json:"retry_after"`
				}
			}
			if json.Unmarshal(b, &a) == nil {
				n.mu.Lock()
				n.until[key] = time.Now().Add(time.Duration(a.Parameters.RetryAfter) * time.Second)
				n.met["429 of the server"]++
				n.mu.Unlock()
			}
		}
		return res, b, err
	}
	// gone counts a message that arrived and whose answer will not.
	gone := func(res *http.Response) {
		if sending[method] && res.StatusCode == 200 {
			n.mu.Lock()
			n.lost[key]++
			n.mu.Unlock()
		}
	}
	said := func(status int, text string) *http.Response {
		return &http.Response{StatusCode: status, Header: http.Header{}, Body: io.NopCloser(strings.NewReader(text))}
	}
	switch fault {
	case "429":
		return said(429, fmt.Sprintf(`{"ok":false,"error_code":429,"description":"Too Many Requests: retry after %d","parameters":{"retry_after":%d}}`, seconds, seconds)), nil
	case "429 page":
		res := said(429, "<html>slow down</html>")
		res.Header.Set("Retry-After", strconv.Itoa(seconds))
		return res, nil
	case "500":
		return said(500, `{"ok":false,"error_code":500,"description":"Internal Server Error"}`), nil
	case "page":
		return said([]int{200, 502, 503, 403}[n.draw(4)], "<html><title>elsewhere</title></html>"), nil
	case "conflict":
		return said(409, `{"ok":false,"error_code":409,"description":"Conflict: terminated by other getUpdates request; make sure that only one bot instance is running"}`), nil
	case "reset":
		return nil, errors.New("connection reset by peer")
	case "hang":
		<-r.Context().Done()
		return nil, r.Context().Err()
	}
	res, b, err := through()
	if err != nil {
		return nil, err
	}
	switch fault {
	case "":
		if method == "getUpdates" {
			n.remember(b)
		}
	case "cut":
		gone(res)
		res.Body = io.NopCloser(io.MultiReader(bytes.NewReader(b[:len(b)/2]), broken{}))
	case "slow":
		select {
		case <-time.After(time.Duration(1+n.draw(12)) * time.Second):
		case <-r.Context().Done():
			gone(res)
			return nil, r.Context().Err()
		}
	case "endless":
		gone(res)
		res.Body = io.NopCloser(endless{})
	case "lost":
		gone(res)
		return nil, io.ErrUnexpectedEOF
	case "again", "shuffled":
		res.Body = io.NopCloser(bytes.NewReader(n.mangle(fault, b)))
	}
	return res, nil
}

func (n *unruly) draw(k int) int {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.rng.IntN(k)
}

func updatesIn(body []byte) (list []json.RawMessage) {
	var a struct{ Result []json.RawMessage }
	if json.Unmarshal(body, &a) != nil {
		return nil
	}
	return a.Result
}

func (n *unruly) remember(body []byte) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.past = append(n.past, updatesIn(body)...)
	if len(n.past) > 50 {
		n.past = n.past[len(n.past)-50:]
	}
}

// mangle hands updates out again, under their old ids, or out of order.
func (n *unruly) mangle(how string, body []byte) []byte {
	n.mu.Lock()
	defer n.mu.Unlock()
	list := updatesIn(body)
	if how == "again" && len(n.past) > 0 {
		// As of a server that forgot what was confirmed: before what is new.
		list = append(append([]json.RawMessage(nil), n.past[n.rng.IntN(len(n.past)):]...), list...)
		list = list[:min(len(list), 100)]
	}
	if how == "shuffled" {
		n.rng.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	}
	if list == nil {
		list = []json.RawMessage{}
	}
	out, err := json.Marshal(map[string]any{"ok": true, "result": list})
	if err != nil {
		return body
	}
	return out
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, errors.New("connection reset by peer") }

// endless is an answer larger than any limit, without the memory.
type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }

// multipartChat is the chat of an upload.
func multipartChat(body []byte) string {
	_, after, ok := bytes.Cut(body, []byte(`name="chat_id"`))
	if !ok {
		return ""
	}
	word, _, _ := strings.Cut(strings.TrimSpace(string(after)), "\r\n")
	return word
}
