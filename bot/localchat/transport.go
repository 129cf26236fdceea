package localchat

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
)

// Transport carries a client's requests to the server inside the process,
// whatever host they name: no sockets, so tests may run it under a fake
// clock. Answers come whole, so the endless /page/events does not fit it.
func (s *Server) Transport() http.RoundTripper { return transport{s} }

type transport struct{ server *Server }

// errDropped is what a client sees of a connection that ended early.
var errDropped = fmt.Errorf("localchat: connection dropped: %w", io.ErrUnexpectedEOF)

func (t transport) RoundTrip(req *http.Request) (*http.Response, error) {
	ctx := req.Context()
	r := req.Clone(ctx)
	r.Host = "127.0.0.1"
	r.RemoteAddr = "127.0.0.1:0"
	r.RequestURI = req.URL.RequestURI()
	if r.Body == nil {
		r.Body = http.NoBody
	}
	done := make(chan error, 1)
	w := &recorder{header: http.Header{}}
	go func() {
		defer func() {
			// A handler may drop the connection only this way.
			switch p := recover(); {
			case p == nil:
				done <- nil
			case p == http.ErrAbortHandler:
				done <- errDropped
			default:
				done <- fmt.Errorf("localchat: handler panicked: %v", p)
			}
		}()
		t.server.ServeHTTP(w, r)
	}()
	var err error
	select {
	case err = <-done:
	case <-ctx.Done():
		err = ctx.Err()
	}
	if req.Body != nil {
		err = errors.Join(err, req.Body.Close())
	}
	if err != nil {
		return nil, err
	}
	if w.status == 0 {
		w.status = http.StatusOK
	}
	return &http.Response{
		Status:        strconv.Itoa(w.status) + " " + http.StatusText(w.status),
		StatusCode:    w.status,
		Proto:         "HTTP/1.1",
		ProtoMajor:    1,
		ProtoMinor:    1,
		Header:        w.header,
		Body:          io.NopCloser(bytes.NewReader(w.body.Bytes())),
		ContentLength: int64(w.body.Len()),
		Request:       req,
	}, nil
}

// recorder collects an answer; one handler goroutine writes it and the
// client reads it after that has ended.
type recorder struct {
	header http.Header
	status int
	body   bytes.Buffer
}

func (w *recorder) Header() http.Header { return w.header }

func (w *recorder) WriteHeader(status int) {
	if w.status == 0 {
		w.status = status
	}
}

func (w *recorder) Write(p []byte) (int, error) {
	w.WriteHeader(http.StatusOK)
	return w.body.Write(p)
}
