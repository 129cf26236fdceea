package bot_test

import (
	"log/slog"
	"testing"
)

// testLogger shows errors of the bot beside a failing test.
func testLogger(t *testing.T) *slog.Logger {
	return slog.New(slog.NewTextHandler(logWriter{t}, &slog.HandlerOptions{Level: slog.LevelWarn}))
}

type logWriter struct{ t *testing.T }

func (w logWriter) Write(p []byte) (int, error) {
	w.t.Log(string(p))
	return len(p), nil
}
