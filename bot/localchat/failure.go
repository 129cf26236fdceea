package localchat

import (
	"encoding/json"
	"fmt"
	"net/http"
)

// failure is a refusal as the Bot API words it; code is the HTTP status and
// the error_code alike.
type failure struct {
	code        int
	description string
	retryAfter  int
	migrateTo   int64
}

func badRequest(format string, args ...any) *failure {
	return &failure{code: http.StatusBadRequest, description: "Bad Request: " + fmt.Sprintf(format, args...)}
}

func forbidden(why string) *failure {
	return &failure{code: http.StatusForbidden, description: "Forbidden: " + why}
}

func tooMany(seconds int) *failure {
	return &failure{code: http.StatusTooManyRequests, description: fmt.Sprintf("Too Many Requests: retry after %d", seconds), retryAfter: seconds}
}

var (
	failUnauthorized = &failure{code: http.StatusUnauthorized, description: "Unauthorized"}
	failNotFound     = &failure{code: http.StatusNotFound, description: "Not Found"}
	failTooLarge     = &failure{code: http.StatusRequestEntityTooLarge, description: "Request Entity Too Large"}
	failRestart      = &failure{code: http.StatusInternalServerError, description: "Internal Server Error: restart"}
	failConflict     = &failure{code: http.StatusConflict, description: "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running"}
)

type responseParameters struct {
	RetryAfter      int   `json:"retry_after,omitempty"`
	MigrateToChatID int64 `json:"migrate_to_chat_id,omitempty"`
}

type apiResponse struct {
	OK          bool                `json:"ok"`
	Result      any                 `json:"result,omitempty"`
	ErrorCode   int                 `json:"error_code,omitempty"`
	Description string              `json:"description,omitempty"`
	Parameters  *responseParameters `json:"parameters,omitempty"`
}

func (f *failure) response() apiResponse {
	r := apiResponse{ErrorCode: f.code, Description: f.description}
	if f.retryAfter != 0 || f.migrateTo != 0 {
		r.Parameters = &responseParameters{RetryAfter: f.retryAfter, MigrateToChatID: f.migrateTo}
	}
	return r
}

func writeJSON(w http.ResponseWriter, status int, v any) {
	body, err := json.Marshal(v)
	if err != nil {
		http.Error(w, `{"ok":false,"error_code":500,"description":"Internal Server Error"}`, http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	// A reader that has gone away is its own affair.
	_, _ = w.Write(body)
}
