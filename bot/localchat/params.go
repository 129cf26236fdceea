package localchat

import (
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"unicode/utf8"
)

const (
	maxBody = 1 << 20  // of a request without files
	maxFile = 20 << 20 // of one with files: the largest a bot may download again
)

type upload struct {
	name string
	data []byte
}

// call is one request for a method, its parameters read from wherever they
// were put: query, form, JSON or multipart.
type call struct {
	r      *http.Request
	w      http.ResponseWriter
	values url.Values
	files  map[string]upload
}

// readCall reads a request as the public server does. It leaves the values
// in r.Form too, where a fault function can see them.
func readCall(w http.ResponseWriter, r *http.Request) (*call, *failure) {
	c := &call{r: r, w: w, values: url.Values{}, files: map[string]upload{}}
	for k, v := range r.URL.Query() {
		c.values[k] = v
	}
	if r.Method == http.MethodPost {
		if f := c.readBody(); f != nil {
			return nil, f
		}
	} else if r.Method != http.MethodGet {
		return nil, &failure{code: http.StatusMethodNotAllowed, description: "Method Not Allowed"}
	}
	for _, vs := range c.values {
		for _, v := range vs {
			if !utf8.ValidString(v) {
				return nil, badRequest("strings must be encoded in UTF-8")
			}
		}
	}
	r.Form = c.values
	return c, nil
}

func (c *call) readBody() *failure {
	kind, params, err := mime.ParseMediaType(c.r.Header.Get("Content-Type"))
	if err != nil {
		kind = ""
	}
	limit := int64(maxBody)
	if kind == "multipart/form-data" {
		limit = maxFile + maxBody
	}
	c.r.Body = http.MaxBytesReader(c.w, c.r.Body, limit)
	switch kind {
	case "multipart/form-data":
		if params["boundary"] == "" {
			return badRequest("boundary in multipart Content-Type is missing")
		}
		err = c.readMultipart()
	case "application/json":
		err = c.readJSON()
	case "application/x-www-form-urlencoded":
		var body []byte
		if body, err = io.ReadAll(c.r.Body); err == nil {
			var form url.Values
			form, err = url.ParseQuery(string(body))
			for k, v := range form {
				c.values[k] = v
			}
		}
	default:
		_, err = io.Copy(io.Discard, c.r.Body)
	}
	var tooLarge *http.MaxBytesError
	switch {
	case errors.As(err, &tooLarge) || errors.Is(err, errFileTooLarge):
		return failTooLarge
	case err != nil:
		return badRequest("can't parse the request body: %v", err)
	}
	return nil
}

var errFileTooLarge = errors.New("file too large")

func (c *call) readMultipart() error {
	mr, err := c.r.MultipartReader()
	if err != nil {
		return err
	}
	total := int64(0)
	for {
		part, err := mr.NextPart()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		room := maxFile - total
		if part.FileName() == "" {
			room = maxBody
		}
		data, err := io.ReadAll(io.LimitReader(part, room+1))
		if err != nil {
			return err
		}
		if int64(len(data)) > room {
			return errFileTooLarge
		}
		if part.FileName() == "" {
			c.values.Set(part.FormName(), string(data))
			continue
		}
		total += int64(len(data))
		c.files[part.FormName()] = upload{name: part.FileName(), data: data}
	}
}

func (c *call) readJSON() error {
	body, err := io.ReadAll(c.r.Body)
	if err != nil || len(body) == 0 {
		return err
	}
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(body, &fields); err != nil {
		return err
	}
	for k, raw := range fields {
		var s string
		switch {
		case string(raw) == "null":
		case json.Unmarshal(raw, &s) == nil:
			c.values.Set(k, s)
		default:
			c.values.Set(k, string(raw))
		}
	}
	return nil
}

func (c *call) str(name string) string { return c.values.Get(name) }

func (c *call) flag(name string) bool {
	switch strings.ToLower(c.str(name)) {
	case "true", "yes", "1":
		return true
	}
	return false
}

// number reads an optional whole number; what is no number counts as absent,
// as at the public server.
func (c *call) number(name string) int {
	n, err := strconv.Atoi(strings.TrimSpace(c.str(name)))
	if err != nil {
		return 0
	}
	return n
}

// words reads an optional JSON list of strings.
func (c *call) words(name string) (list []string, present bool, f *failure) {
	raw := c.str(name)
	if raw == "" {
		return nil, false, nil
	}
	if err := json.Unmarshal([]byte(raw), &list); err != nil {
		return nil, false, badRequest("can't parse %s: a JSON list of strings is expected", name)
	}
	return list, true, nil
}
